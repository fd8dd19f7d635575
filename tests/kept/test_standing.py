"""A file that is taken away while it is open: told at the next save, nothing lost, nothing overwritten."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from pulling import COPIES, WAYS

from hlbcore import Store, example_formula, export_all, import_all, plan_import
from hlbcore.errors import LostFile, NotSaved
from hlbcore.kept.backups import last_backup
from hlbcore.kept.versions import Version

CREAM = example_formula()
EARLIER, HERE = 5, 30


EACH = pytest.mark.parametrize("way", WAYS, ids=lambda w: w.__name__)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "work" / "w.db"


@pytest.fixture
def copy(path: Path, tmp_path: Path) -> Path:
    """A copy by hand of an earlier day, with one formula."""
    with Store(path) as store:
        last = store.save(CREAM)
        for n in range(EARLIER - 1):
            last = store.save(replace(CREAM, note=f"earlier {n}"), on=last)
    made = Path(shutil.copy(path, tmp_path / "copy.db"))
    with Store(path) as store:
        store.save(replace(CREAM, note="later"), on=last)
    return made


def worked_in(store: Store) -> list[Version]:
    """More versions of the formula that is there."""
    made = [store.open(store.formulas()["uid"][0])]
    for n in range(HERE):
        made.append(store.save(replace(CREAM, note=str(n)), on=made[-1]))
    return made


@EACH
def test_the_next_save_is_refused_and_says_why(path: Path, copy: Path, way: Callable[..., None]) -> None:
    with Store(path) as store:
        last = worked_in(store)[-1]
        way(path, copy)
        with pytest.raises(LostFile, match=r"^Not saved in .*w\.db: .* be put back in its place") as told:
            store.save(replace(CREAM, note="after"), on=last)
        assert told.value.copy == (way in COPIES)
        with pytest.raises(LostFile):
            store.set_setting("who", "me")


@EACH
def test_all_that_was_accepted_can_be_written_out_and_put_back(
    path: Path, copy: Path, way: Callable[..., None]
) -> None:
    with Store(path) as store:
        made = worked_in(store)
        way(path, copy)
        with pytest.raises(LostFile):
            store.look()
        with Store(in_memory=True) as other:
            import_all(other, plan_import(other, export_all(store)))
            assert {v.uid for v in made} <= set(other.history(made[0].work)["uid"])
        with store.in_memory() as rest:
            again = rest.save(replace(CREAM, note="after"), on=rest.open(made[0].work))
            rest.put_back(path)
    with Store(path) as store:
        assert store.open(made[0].work) == again
        assert len(store.history(made[0].work)) == EARLIER + 1 + HERE + 1


@EACH
def test_nothing_is_written_over_what_stands_there(path: Path, copy: Path, way: Callable[..., None]) -> None:
    if way not in COPIES:
        return
    for told in (True, False):  # also where the server ends before anybody noticed
        path.unlink(missing_ok=True)
        shutil.copyfile(copy, path)
        for tail in ("-wal", "-shm"):
            Path(f"{path}{tail}").unlink(missing_ok=True)
        store = Store(path)
        worked_in(store)
        way(path, copy)
        if told:
            with pytest.raises(LostFile):
                store.look()
        store.close()
        assert path.read_bytes() == copy.read_bytes()
        with Store(path) as again:
            assert len(again.history(again.formulas()["uid"][0])) == EARLIER


@pytest.mark.parametrize("way", COPIES, ids=lambda w: w.__name__)
def test_a_copy_put_there_while_a_killed_server_left_its_log_is_opened_as_it_is(
    path: Path, copy: Path, tmp_path: Path, way: Callable[..., None]
) -> None:
    store = Store(path)
    worked_in(store)
    killed = tmp_path / "killed" / "w.db"
    killed.parent.mkdir()
    for tail in ("", "-wal"):
        shutil.copyfile(f"{path}{tail}", f"{killed}{tail}")
    store.close()
    way(killed, copy)
    with Store(killed) as again:
        assert len(again.history(again.formulas()["uid"][0])) == EARLIER
    assert len(list(killed.parent.glob("w-lost-*.db-wal"))) == 1


def test_a_log_of_a_killed_server_is_read_into_its_own_file(path: Path, copy: Path, tmp_path: Path) -> None:
    store = Store(path)
    last = worked_in(store)[-1]
    killed = tmp_path / "killed" / "w.db"
    killed.parent.mkdir()
    for tail in ("", "-wal"):
        shutil.copyfile(f"{path}{tail}", f"{killed}{tail}")
    store.close()
    with Store(killed) as again:
        assert again.open(last.work) == last


def test_a_file_that_is_brought_back_goes_on(path: Path, copy: Path) -> None:
    with Store(path) as store:
        last = worked_in(store)[-1]
        path.parent.rename(path.parent.with_name("tidied"))
        with pytest.raises(LostFile, match="removed, renamed or moved"):
            store.save(CREAM, on=last)
        path.parent.with_name("tidied").rename(path.parent)
        assert store.save(CREAM, on=last).number == last.number + 1


def test_a_file_made_read_only_is_told(path: Path, copy: Path) -> None:
    with Store(path) as store:
        path.chmod(0o400)
        with pytest.raises(NotSaved, match=r"may not be written\. Allow writing there"):
            store.save(CREAM)
        path.chmod(0o600)
        store.save(CREAM)


def test_a_second_server_on_the_file_is_no_alarm(path: Path, copy: Path) -> None:
    with Store(path) as one:
        for n in range(3):
            with Store(path) as two:
                for _ in range(3):
                    two.save(replace(CREAM, note="x" * 19_000))
                    one.look()
            with closing(sqlite3.connect(path)) as link:
                link.execute("PRAGMA wal_checkpoint(FULL)")
            one.save(replace(CREAM, name=str(n)))
    backup = last_backup(path)
    assert backup is not None


def test_a_file_without_its_log_is_whole(path: Path, tmp_path: Path) -> None:
    with Store(path) as store:
        last = store.save(CREAM)
        shutil.copyfile(path, tmp_path / "copy.db")  # as people copy a file while the app runs
    with Store(tmp_path / "copy.db") as other:
        assert other.open(last.work) == last


def test_a_copy_of_the_newest_state_put_over_the_file_is_no_alarm(path: Path, copy: Path) -> None:
    with Store(path) as store:
        last = worked_in(store)[-1]
        shutil.copyfile(path, path.with_name("now.db"))
        shutil.copyfile(path.with_name("now.db"), path)
        assert store.save(CREAM, on=last).number == last.number + 1


def test_every_save_is_counted_in_the_head_of_the_file(path: Path) -> None:
    """So that an older copy can be told from the file."""
    from hlbcore.kept.standing import count_of

    counts = []
    for _ in range(3):
        with Store(path) as store:
            for n in range(4):
                store.set_setting("who", str(n))
        counts.append(count_of(path.read_bytes()))
    assert counts[1] - counts[0] >= 4
    assert counts[2] - counts[1] >= 4
