"""A file that holds less than was saved in it: told at the next start, and brought back."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from hlbcore import OwnReading, Store, example_formula
from hlbcore.errors import DamagedFile
from hlbcore.kept import backups, base, opened
from hlbcore.kept.accepted import record_of
from hlbcore.kept.recovery import from_backup
from hlbcore.kept.versions import Version

CREAM = example_formula()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "work" / "w.db"


@pytest.fixture
def copy(path: Path, tmp_path: Path) -> Path:
    """A copy by hand that holds the first version alone."""
    with Store(path) as store:
        store.save(CREAM)
    return Path(shutil.copy(path, tmp_path / "copy.db"))


def saved_on(path: Path, *notes: str) -> Version:
    """More versions of the one formula that is there."""
    with Store(path) as store:
        last = store.open(store.formulas()["uid"][0])
        for note in notes:
            last = store.save(replace(CREAM, note=note), on=last)
    return last


def notes(store: Store) -> list[str]:
    (uid,) = store.formulas()["uid"]
    return [store.version(u).body.note for u in store.history(uid)["uid"]]


def test_an_older_copy_put_there_while_nothing_ran_is_told_and_what_is_missing_comes_back(
    path: Path, copy: Path
) -> None:
    last = saved_on(path, "a", "b")
    with Store(path) as store:
        store.add_own(OwnReading("shea butter", 9.0))
        store.set_setting("who", "me")
    shutil.copyfile(copy, path)
    with Store(path) as store:
        told = str(store.behind)
        assert "2 versions of 'Winter hand cream' and 1 own value (saved " in told
        assert told.endswith("are not there. An older copy may have been put in its place.")
        assert notes(store) == [CREAM.note]  # opened as it is
        store.catch_up()
        assert store.open(last.work) == last
        assert (len(store.own()), store.setting("who"), store.behind) == (1, "me", None)
    with Store(path) as store:
        assert store.behind is None


def test_a_copy_put_there_after_the_last_save_of_a_server_that_ended_is_told(path: Path, copy: Path) -> None:
    store = Store(path)
    last = store.save(replace(CREAM, note="a"), on=store.open(store.formulas()["uid"][0]))
    shutil.copyfile(copy, path)
    store.close()  # nobody looked in between
    assert path.read_bytes() == copy.read_bytes()
    with Store(path) as again:
        assert again.behind is not None
        again.catch_up()
        assert again.open(last.work) == last


def test_work_in_the_older_copy_stays_beside_what_comes_back(path: Path, copy: Path) -> None:
    saved_on(path, "a", "b")
    shutil.copyfile(copy, path)
    saved_on(path, "made in the copy")
    with Store(path) as store:  # not answered: asked again
        assert store.behind is not None
        assert store.behind.versions == 2
        store.catch_up()
        assert sorted(notes(store)) == sorted([CREAM.note, "a", "b", "made in the copy"])
        assert store.open(store.formulas()["uid"][0]).body.note == "made in the copy"


def test_who_goes_on_with_the_file_as_it_is_is_not_asked_again(path: Path, copy: Path) -> None:
    saved_on(path, "a")
    shutil.copyfile(copy, path)
    with Store(path) as store:
        store.leave_behind()
        assert store.behind is None
    assert len(list(record_of(path).parent.glob("w-settled-*.jsonl"))) == 1
    with Store(path) as store:
        assert store.behind is None
        assert notes(store) == [CREAM.note]


def test_a_step_that_was_undone_a_mark_and_a_setting_are_missed_too(path: Path) -> None:
    with Store(path) as store:
        first = store.save(CREAM)
        second = store.save(replace(CREAM, note="a"), on=first)
    older = Path(shutil.copy(path, path.with_name("older.db")))
    with Store(path) as store:
        store.point_at(first, on=second)
        store.mark(second, "held four weeks")
    shutil.copyfile(older, path)
    with Store(path) as store:
        assert "the last marks, settings or undone steps are not there" in str(store.behind)
        store.catch_up()
        assert store.open(first.work).number == 1
        assert store.version(second.uid).why == "held four weeks"


def test_what_was_deleted_for_good_is_not_missed(path: Path, copy: Path) -> None:
    with Store(path) as store:
        work = store.save(replace(CREAM, name="Balm")).work
        store.put_away(work)
        store.delete(work)
    with Store(path) as store:
        assert store.behind is None


def test_two_programs_on_one_file_miss_nothing(path: Path, copy: Path) -> None:
    with Store(path) as one, Store(path) as two:
        for n in range(3):
            uid = one.formulas()["uid"][0]
            one.save(replace(CREAM, note=f"one {n}"), on=one.open(uid))
            two.save(replace(CREAM, note=f"two {n}"), on=two.open(uid))
            one.set_setting("who", str(n))
    with Store(path) as store:
        assert store.behind is None
        assert store.setting("who") == "2"


def test_a_record_that_was_cut_short_is_read_as_far_as_it_goes(path: Path, copy: Path) -> None:
    last = saved_on(path, "a")
    with record_of(path).open("ab") as record:
        record.write(b'[7,[["version","cut')
    newest = saved_on(path, "b")
    shutil.copyfile(copy, path)
    with Store(path) as store:
        assert store.behind is not None
        assert store.behind.versions == 2
        store.catch_up()
        assert store.open(last.work) == newest


def test_the_last_backup_and_the_record_hold_all_that_was_saved(
    path: Path, copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    saved_on(path, "a")  # its close leaves the backup of the day
    with Store(path) as store:
        last = store.save(replace(CREAM, note="b"), on=store.open(store.formulas()["uid"][0]))
        store._end.detach()  # killed: no backup at its end
        path.unlink()
        held = store._open
        for link in filter(None, (held.link, held.second)):
            link.close()  # as the end of a process does
    with pytest.raises(DamagedFile) as caught:
        Store(path)
    assert caught.value.backup is not None
    from_backup(caught.value.backup, path)
    with Store(path) as store:
        assert store.behind is not None
        store.catch_up()
        assert store.open(last.work) == last


def test_the_record_begins_anew_with_the_first_save_after_the_backup_of_a_day(
    path: Path, copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    saved_on(path, "a")
    for module in (backups, base, opened):
        monkeypatch.setattr(module, "today_utc", lambda: "20990101")
    before = record_of(path).read_bytes()
    with Store(path) as store:
        assert record_of(path).read_bytes() == before  # until something is saved
        last = store.save(replace(CREAM, note="b"), on=store.open(store.formulas()["uid"][0]))
    assert before.strip().splitlines()[0] not in record_of(path).read_bytes()
    shutil.copyfile(copy, path)
    with Store(path) as store:
        assert store.behind is not None
        assert store.behind.versions == 1
        store.catch_up()  # the older ones come from the backup
        assert store.open(last.work) == last
        assert notes(store) == ["b", "a", CREAM.note]


def test_an_empty_file_that_is_asked_for_misses_nothing(path: Path, copy: Path) -> None:
    path.unlink()
    with Store(path, fresh=True) as store:
        assert store.behind is None
