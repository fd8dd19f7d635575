from __future__ import annotations

import os
import shutil
import sqlite3
import stat
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from hlbcore import Store, example_formula
from hlbcore.errors import DamagedFile, NewerFile, NotSaved
from hlbcore.kept import backups, base, opened
from hlbcore.kept import file as store_file
from hlbcore.kept.backups import copy_to, last_backup, move_aside
from hlbcore.kept.file import default_path
from hlbcore.kept.recovery import from_backup
from hlbcore.kept.versions import Version

CREAM = example_formula()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "work" / "w.db"


def filled(path: Path, count: int = 30) -> Version:
    """A closed file with one formula; its last version."""
    with Store(path) as store:
        last = store.save(CREAM)
        for n in range(count):
            last = store.save(replace(CREAM, name=f"state {n}"), on=last)
    return last


def asked(path: Path, pragma: str) -> object:
    with closing(sqlite3.connect(path)) as link:
        return link.execute(f"PRAGMA {pragma}").fetchone()[0]


def spoilt(path: Path) -> bytes:
    """Write rubbish over the middle of the file; its bytes now."""
    data = bytearray(path.read_bytes())
    data[4096:-4096] = b"\xa5" * (len(data) - 8192)
    path.write_bytes(data)
    return bytes(data)


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


# where it lies


def test_the_environment_names_another_file(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setenv(store_file.FILE_VARIABLE, f" {path} ")
    assert default_path() == path
    with Store() as store:
        assert store.path == path
    assert path.exists()


def test_a_home_sign_in_the_variable_is_followed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(store_file.FILE_VARIABLE, "~/w.db")
    assert default_path() == Path.home() / "w.db"


@pytest.mark.parametrize("value", [None, "", "  "], ids=["unset", "blank", "spaces"])
def test_without_a_variable_it_lies_in_the_data_folder_of_the_user(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, value: str | None
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv(store_file.FILE_VARIABLE, raising=False)
    if value is not None:
        monkeypatch.setenv(store_file.FILE_VARIABLE, value)
    assert default_path().parts[-2:] == ("hlbcore", "workshop.db")


def test_nothing_of_a_session_in_memory_reaches_the_disk(monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setenv(store_file.FILE_VARIABLE, str(path))
    with Store(in_memory=True) as store:
        store.save(CREAM)
        assert store.where == "this session only"
    assert not path.parent.exists()


# who may read it


@pytest.mark.parametrize("umask", [0o000, 0o022])
def test_only_the_user_can_read_what_is_kept(path: Path, umask: int) -> None:
    before = os.umask(umask)
    try:
        with Store(path) as store:
            store.save(CREAM)
            made = [p for p in path.parent.rglob("*") if p.is_file()]
            assert {p.name: oct(mode(p)) for p in made} == {p.name: "0o600" for p in made}
            assert {"w.db", "w.db-wal"} <= {p.name for p in made}
        assert mode(path.parent) == mode(path.parent / "backups") == 0o700
    finally:
        os.umask(before)


# how it is kept


def test_the_file_says_whose_it_is_and_of_which_form(path: Path) -> None:
    filled(path)
    assert asked(path, "application_id") == store_file.APPLICATION_ID
    assert asked(path, "user_version") == len(store_file.MIGRATIONS)


def test_a_power_cut_costs_nothing_accepted(path: Path) -> None:
    with Store(path) as store, store.reading() as link:
        assert link.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert link.execute("PRAGMA synchronous").fetchone() == (2,)  # FULL: synced at each commit


def test_foreign_keys_are_watched(path: Path) -> None:
    with Store(path) as store:
        kept = store.save(CREAM)
        with pytest.raises(NotSaved, match="changed in the meantime"):
            _execute(store, "DELETE FROM formula WHERE uid = ?", kept.work)
        assert store.open(kept.work) == kept


def _execute(store: Store, sql: str, *values: object) -> None:
    with store.writing() as link:
        link.execute(sql, values)


def test_all_tables_are_strict(path: Path) -> None:
    with Store(path) as store, store.reading() as link:
        tables = link.execute(
            "SELECT name, strict FROM pragma_table_list WHERE schema = 'main' AND name NOT LIKE 'sqlite_%'"
        ).fetchall()
    assert dict(tables) == dict.fromkeys(("formula", "version", "own", "setting"), 1)


def test_a_word_never_lands_where_a_number_belongs(path: Path) -> None:
    with Store(path) as store:
        kept = store.save(CREAM)
        with pytest.raises(NotSaved):
            _execute(store, "UPDATE version SET number = 'two' WHERE uid = ?", kept.uid)


def test_work_is_there_after_closing_and_opening(path: Path) -> None:
    last = filled(path)
    with Store(path) as store:
        assert store.open(last.work) == last
        assert len(store.history(last.work)) == 31


# files that are not ours


def test_a_database_of_another_program_is_refused_untouched(path: Path) -> None:
    path.parent.mkdir()
    with closing(sqlite3.connect(path)) as link:
        link.execute("CREATE TABLE theirs (a)")
        link.commit()
    before = path.read_bytes()
    with pytest.raises(NotSaved, match=r"belongs to another program\. Name another file with HLB"):
        Store(path)
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == ["w.db"]


@pytest.mark.parametrize(
    "body", [b"my notes\n" * 200, b"xy", b"PK\x03\x04" + bytes(5000)], ids=["text", "two letters", "zip"]
)
def test_a_file_of_another_kind_is_refused_and_stays_in_its_place(path: Path, body: bytes) -> None:
    path.parent.mkdir()
    path.write_bytes(body)
    with pytest.raises(NotSaved, match="belongs to another program"):
        Store(path)
    assert path.read_bytes() == body


def test_a_folder_in_the_place_of_the_file_gives_a_sentence(path: Path) -> None:
    path.mkdir(parents=True)
    with pytest.raises(NotSaved, match=r"Name another file|name another file"):
        Store(path)


def test_a_file_in_the_place_of_the_folder_gives_a_sentence(path: Path) -> None:
    path.parent.write_text("x")
    with pytest.raises(NotSaved, match="cannot be opened or made"):
        Store(path)


def test_an_empty_file_without_a_backup_becomes_one_of_ours(path: Path) -> None:
    path.parent.mkdir()
    path.touch()
    last = filled(path, 1)
    with Store(path) as store:
        assert store.open(last.work) == last


def test_an_empty_file_beside_a_backup_is_asked_about_like_a_missing_one(path: Path) -> None:
    last = filled(path, 1)
    path.write_bytes(b"")
    with pytest.raises(DamagedFile, match=r"is not there.* The last backup is") as caught:
        Store(path)
    assert caught.value.backup is not None
    from_backup(caught.value.backup, path)
    with Store(path) as store:
        assert store.open(last.work) == last


def test_the_user_may_go_on_with_the_empty_file(path: Path) -> None:
    filled(path, 1)
    path.write_bytes(b"")
    with Store(path, fresh=True) as store:
        assert store.formulas().empty
    assert len(days(path)) == 1


def test_a_file_of_a_later_version_is_refused_untouched(path: Path) -> None:
    filled(path)
    later = len(store_file.MIGRATIONS) + 1
    with closing(sqlite3.connect(path)) as link:
        link.execute(f"PRAGMA user_version = {later}")
    before = path.read_bytes()
    names = sorted(p.name for p in path.parent.rglob("*"))
    with pytest.raises(NewerFile, match=r"later version.* It was not touched\.") as caught:
        Store(path)
    assert (caught.value.form, caught.value.known) == (later, later - 1)
    assert path.read_bytes() == before
    assert sorted(p.name for p in path.parent.rglob("*")) == names


# damage


def test_a_damaged_file_is_moved_aside_and_never_deleted(path: Path) -> None:
    filled(path)
    broken = spoilt(path)
    with pytest.raises(DamagedFile, match=r"is damaged. It now lies at .*; nothing was") as caught:
        Store(path)
    assert caught.value.moved_to is not None
    assert caught.value.moved_to.read_bytes() == broken
    assert not path.exists()


@pytest.mark.parametrize("kept", [28, 100, 4096], ids=["sizes", "head", "first page"])
def test_a_file_that_is_refused_leaves_no_connection_open(
    path: Path, kept: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled(path, 1)
    path.write_bytes(path.read_bytes()[:kept] + b"x" * 20_000)
    made: list[sqlite3.Connection] = []
    connects = sqlite3.connect

    def connect(*args: Any, **named: Any) -> sqlite3.Connection:
        made.append(connects(*args, **named))
        return made[-1]

    monkeypatch.setattr(sqlite3, "connect", connect)
    with pytest.raises((DamagedFile, NotSaved)):
        Store(path)
    assert made
    for link in made:
        with pytest.raises(sqlite3.ProgrammingError, match="closed"):
            link.execute("SELECT 1")


def test_what_lies_beside_a_damaged_file_moves_with_it(path: Path) -> None:
    filled(path)
    spoilt(path)
    wal = b"what was not yet in the file"
    Path(f"{path}-wal").write_bytes(wal)
    moved = move_aside(path)
    assert Path(f"{moved}-wal").read_bytes() == wal
    assert not Path(f"{path}-wal").exists()


@pytest.mark.parametrize("cut", [0, 100, 5000], ids=["no head", "part of a page", "two pages"])
def test_a_file_cut_short_is_found_damaged(path: Path, cut: int) -> None:
    filled(path)
    whole = path.read_bytes()
    path.write_bytes(whole[:cut] or b"\0" * len(whole))
    with pytest.raises(DamagedFile):
        Store(path)


def test_damage_found_at_work_gives_a_sentence_that_names_the_backup(path: Path) -> None:
    filled(path)
    with pytest.raises(DamagedFile, match=r"could not be read\. The last backup is") as caught:
        _tell(_said(sqlite3.SQLITE_CORRUPT), str(path))
    assert caught.value.backup == last_backup(path)


def test_the_last_backup_is_named(path: Path) -> None:
    filled(path)
    spoilt(path)
    with pytest.raises(DamagedFile, match=r"The last backup is .* Start from it") as caught:
        Store(path)
    assert caught.value.backup == last_backup(path)
    assert caught.value.backup is not None


def test_without_a_backup_it_is_said_that_there_is_none(path: Path) -> None:
    filled(path)
    for backup in (path.parent / "backups").iterdir():
        backup.unlink()
    spoilt(path)
    with pytest.raises(DamagedFile, match=r"There is no backup. Start with an empty file"):
        Store(path)


def test_work_starts_again_from_a_backup(path: Path) -> None:
    with Store(path) as store:
        kept = store.save(CREAM)
    backup = last_backup(path)
    assert backup is not None
    backup.unlink()
    with Store(path):  # a new backup for today, now with the formula
        pass
    spoilt(path)
    with pytest.raises(DamagedFile) as caught:
        Store(path)
    assert caught.value.backup is not None
    from_backup(caught.value.backup, path)
    with Store(path) as store:
        assert store.open(kept.work) == kept
    assert mode(path) == 0o600


def test_a_file_that_a_backup_replaces_is_moved_aside(path: Path) -> None:
    filled(path)
    now = path.read_bytes()
    backup = last_backup(path)
    assert backup is not None
    from_backup(backup, path)
    aside = [p for p in path.parent.glob("w-damaged-*.db")]
    assert [p.read_bytes() for p in aside] == [now]
    assert backup.exists()


def test_a_log_without_its_file_is_not_read_into_a_backup(path: Path) -> None:
    with Store(path) as store:
        store.save(CREAM)
        log = Path(f"{path}-wal").read_bytes()
    path.unlink()
    Path(f"{path}-wal").write_bytes(log)
    backup = last_backup(path)
    assert backup is not None
    from_backup(backup, path)
    with Store(path) as store:
        assert len(store.formulas()) == 1
        assert len(store.history(store.formulas()["uid"][0])) == 1
    assert [p.read_bytes() for p in path.parent.glob("w-damaged-*.db-wal")] == [log]


def test_a_log_without_its_file_is_kept_when_a_new_file_is_made(path: Path) -> None:
    with Store(path) as store:
        store.save(CREAM)
        log = Path(f"{path}-wal").read_bytes()
    path.unlink()
    Path(f"{path}-wal").write_bytes(log)
    with Store(path, fresh=True) as store:
        assert store.formulas().empty
    assert [p.read_bytes() for p in path.parent.glob("w-lost-*.db-wal")] == [log]


def test_a_backup_that_cannot_be_read_gives_a_sentence(path: Path) -> None:
    with pytest.raises(NotSaved):
        from_backup(path.parent / "backups" / "none.db", path)


def test_a_file_that_is_gone_is_not_replaced_silently(path: Path) -> None:
    filled(path)
    path.unlink()
    with pytest.raises(DamagedFile, match=r"is not there.* The last backup is") as caught:
        Store(path)
    assert caught.value.moved_to is None
    assert not path.exists()


def test_an_empty_file_is_made_where_the_user_asks_for_it(path: Path) -> None:
    filled(path)
    path.unlink()
    with Store(path, fresh=True) as store:
        assert store.formulas().empty


def test_asking_for_a_fresh_file_never_replaces_one_that_is_there(path: Path) -> None:
    last = filled(path)
    with Store(path, fresh=True) as store:
        assert store.open(last.work) == last


# backups


def days(path: Path) -> list[str]:
    """Days that there is a backup for, from today back. [-1 is yesterday]"""
    held = sorted(p.name for p in (path.parent / "backups").glob("w-day-*.db"))
    return [n.removeprefix("w-day-").removesuffix(".db") for n in held]


def backed_up(path: Path) -> int:
    """Versions in the last backup."""
    backup = last_backup(path)
    assert backup is not None
    with closing(sqlite3.connect(backup)) as link:
        return int(link.execute("SELECT count(*) FROM version").fetchone()[0])


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A calendar of one leaf that tests turn; files keep the times of the real one."""
    leaf = [datetime.now(UTC).strftime("%Y%m%d")]
    for module in (backups, base, opened):
        monkeypatch.setattr(module, "today_utc", lambda: leaf[0])
    return leaf


def test_the_first_day_has_a_backup_of_its_end(path: Path) -> None:
    filled(path, 20)
    assert days(path) == [datetime.now(UTC).strftime("%Y%m%d")]
    assert backed_up(path) == 21


def test_a_server_that_runs_for_weeks_keeps_the_end_of_each_day(path: Path, clock: list[str]) -> None:
    with Store(path) as store:
        last = store.save(CREAM)
        for n, day in enumerate(("20260302", "20260303", "20260304"), 1):
            before = clock[0]
            clock[0] = day
            last = store.save(replace(CREAM, note=f"{n} a"), on=last)
            assert backed_up(path) == 2 * n - 1  # before the first save of the new day
            assert before in days(path)
            last = store.save(replace(CREAM, note=f"{n} b"), on=last)
            assert backed_up(path) == 2 * n - 1


def test_an_empty_file_leaves_no_backup(path: Path) -> None:
    with Store(path):
        pass
    with Store(path):
        pass
    assert not (path.parent / "backups").exists()


def test_empty_days_rotate_no_full_backup_out(path: Path, clock: list[str]) -> None:
    filled(path, 1)
    path.unlink()
    for n in range(1, 15):
        clock[0] = f"202603{n:02}"
        with Store(path, fresh=True) as store:
            store.set_setting("who", str(n))
    assert backed_up(path) == 2


def test_a_state_that_holds_less_does_not_take_the_place_of_a_backup(path: Path) -> None:
    filled(path, 5)
    path.unlink()
    with Store(path, fresh=True) as store:
        store.save(CREAM)
    assert backed_up(path) == 6


def test_a_backup_is_whole(path: Path) -> None:
    last = filled(path)
    with Store(path) as store, store.reading() as link:
        copy_to(link, path.parent / "copy.db")
    assert asked(path.parent / "copy.db", "integrity_check") == "ok"
    with Store(path.parent / "copy.db") as store:
        assert store.open(last.work) == last


def test_looking_makes_no_backup_twice(path: Path) -> None:
    filled(path)
    backup = last_backup(path)
    assert backup is not None
    before = backup.read_bytes(), backup.stat().st_mtime_ns
    with Store(path) as store:
        store.formulas()
    assert (backup.read_bytes(), backup.stat().st_mtime_ns) == before


def test_ten_daily_backups_are_kept_and_the_rest_is_left_alone(path: Path) -> None:
    folder = path.parent / "backups"
    folder.mkdir(parents=True)
    held = [(datetime.now(UTC) - timedelta(days=n)).strftime("%Y%m%d") for n in range(1, 15)]
    others = ["w-form-1-20200101-000000-000000.db", "w-2-day-20200101.db", "letter.txt"]
    for name in (*(f"w-day-{d}.db" for d in held), *others):
        (folder / name).touch()
    with Store(path, fresh=True) as store:
        store.save(CREAM)
    today = datetime.now(UTC).strftime("%Y%m%d")
    assert days(path) == sorted((today, *held[:9]))
    assert all((folder / name).exists() for name in others)


def test_the_backup_of_another_file_beside_it_is_not_taken(path: Path) -> None:
    filled(path)
    newer = filled(path.with_name("w-2.db"))
    assert newer.number == 31
    backup = last_backup(path)
    assert backup is not None
    assert backup.name.startswith("w-day-")


def test_odd_signs_in_the_name_of_the_file_do_no_harm(path: Path) -> None:
    odd = path.with_name("my [best] work? 100%.db")
    last = filled(odd, 1)
    assert last_backup(odd) is not None
    with Store(odd) as store:
        assert store.open(last.work) == last


def test_a_backup_that_fails_is_said_and_stops_nobody(path: Path) -> None:
    filled(path, 0)
    shutil.rmtree(path.parent / "backups")
    (path.parent / "backups").write_text("no folder")
    with Store(path) as store:
        kept = store.save(CREAM)
        assert store.open(kept.work) == kept
        assert [n.split(".")[0] for n in store.notices] == ["No backup could be made today"]


# forms of the file


STEP = "ALTER TABLE formula ADD COLUMN shelf TEXT NOT NULL DEFAULT ''; CREATE TABLE lot (a) STRICT"


@pytest.fixture
def older(path: Path, monkeypatch: pytest.MonkeyPatch) -> Version:
    """A file of the form before the newest."""
    last = filled(path, 2)
    step = STEP.replace("(a)", "(a TEXT)")
    monkeypatch.setattr(store_file, "MIGRATIONS", (*store_file.MIGRATIONS, step))
    return last


def test_an_older_file_is_brought_to_the_newest_form(path: Path, older: Version) -> None:
    with Store(path) as store, store.reading() as link:
        assert store.open(older.work) == older
        assert link.execute("SELECT shelf FROM formula").fetchall() == [("",)]
    assert asked(path, "user_version") == len(store_file.MIGRATIONS)


def test_before_a_change_of_form_a_backup_is_made(path: Path, older: Version) -> None:
    form = len(store_file.MIGRATIONS) - 1
    with Store(path):
        pass
    (backup,) = (path.parent / "backups").glob(f"w-form-{form}-*.db")
    assert asked(backup, "user_version") == form
    with closing(sqlite3.connect(backup)) as link:
        assert link.execute("SELECT count(*) FROM version").fetchone() == (3,)


def test_a_change_of_form_that_fails_leaves_the_file_as_it_was(
    path: Path, older: Version, monkeypatch: pytest.MonkeyPatch
) -> None:
    bad = (*store_file.MIGRATIONS, "CREATE TABLE more (a TEXT) STRICT; SELECT nothing")
    monkeypatch.setattr(store_file, "MIGRATIONS", bad)
    with pytest.raises(NotSaved):
        Store(path)
    assert asked(path, "user_version") == len(bad) - 2
    monkeypatch.setattr(store_file, "MIGRATIONS", bad[:-2])
    with Store(path) as store:
        assert store.open(older.work) == older


# what the system says, in words


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (sqlite3.SQLITE_FULL, "the disk is full"),
        (sqlite3.SQLITE_IOERR_WRITE, "cannot be read or written"),
        (sqlite3.SQLITE_READONLY_DIRECTORY, "may not be written"),
        (sqlite3.SQLITE_CANTOPEN, "cannot be opened or made"),
        (sqlite3.SQLITE_BUSY, "another window has been writing"),
        (sqlite3.SQLITE_TOOBIG, "the text is too long"),
        (sqlite3.SQLITE_CONSTRAINT_UNIQUE, "has changed in the meantime"),
    ],
    ids=["full", "io", "readonly", "cantopen", "busy", "toobig", "constraint"],
)
def test_what_sqlite_says_becomes_a_sentence(code: int, words: str) -> None:
    with pytest.raises(NotSaved, match=rf"^Not saved in the file: .*{words}.*\. [A-Z].*\.$"):
        _tell(_said(code))


@pytest.mark.parametrize("number", [28, 27], ids=["no space", "file too large"])
def test_a_full_disk_is_called_full(number: int) -> None:
    with pytest.raises(NotSaved, match="the disk is full"):
        _tell(OSError(number, os.strerror(number)))


def _said(code: int) -> sqlite3.Error:
    error = sqlite3.OperationalError("as SQLite says it")
    error.sqlite_errorcode = code
    return error


def _tell(error: Exception, where: str = "the file") -> None:
    with store_file.told(where):
        raise error
