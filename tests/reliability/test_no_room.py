from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from kept_children import CREAM, NOBODY, done, fill_the_disk, open_as_nobody

from hlbcore import Store
from hlbcore.errors import NotSaved


def whole(path: Path, accepted: list[str]) -> None:
    """The file is in order and holds what was accepted, and can be written again."""
    with closing(sqlite3.connect(path)) as link:
        assert link.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    with Store(path) as store:
        assert [store.version(uid).uid for uid in accepted] == accepted
        store.save(CREAM)


@pytest.mark.parametrize("room", [0, 10_000, 300_000, 3_000_000])
def test_a_disk_that_fills_up_gives_a_sentence_and_costs_nothing_accepted(tmp_path: Path, room: int) -> None:
    path = tmp_path / "w.db"
    heard = done(fill_the_disk, path, room)
    words = [said for what, said in heard if what == "refused"]
    assert len(words) == 1
    assert "full" in words[0]
    assert words[0].endswith("save again: what is typed stays on the page.")
    assert heard[-1][0] == "version"  # with room again the same window saves again
    whole(path, [said for what, said in heard if what == "version"])


def test_a_file_that_reaches_its_limit_gives_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "w.db"
    accepted: list[str] = []
    with Store(path, most_bytes=300_000) as store:

        def work() -> None:
            while True:
                accepted.append(store.save(CREAM).uid)

        with pytest.raises(NotSaved, match=r"the disk is full\. Free some space, then save again"):
            work()
        assert store.open(store.version(accepted[0]).work).body == CREAM
    assert len(accepted) > 10
    whole(path, accepted)


@pytest.fixture
def theirs() -> Iterator[Path]:
    """A folder of a user with few rights, who may not write it; the rights come back at the end."""
    folder = Path(tempfile.mkdtemp())
    try:
        yield folder
    finally:
        folder.chmod(0o700)
        shutil.rmtree(folder)


def given_away(folder: Path) -> None:
    """Nobody may write the folder or what is in it; the user with few rights may read it."""
    for path in (*folder.rglob("*"), folder):
        if os.getuid() == 0:
            os.chown(path, NOBODY, NOBODY)
        path.chmod(0o500 if path.is_dir() else 0o400)


def test_a_folder_that_may_not_be_written_gives_a_sentence(theirs: Path) -> None:
    given_away(theirs)
    ((what, words),) = done(open_as_nobody, theirs / "w.db")
    assert what == "refused"
    assert words.endswith("Allow writing in its folder, or name another file with HLB_FILE.")
    assert list(theirs.iterdir()) == []


def test_a_file_that_may_not_be_written_gives_a_sentence_and_stays_whole(theirs: Path) -> None:
    path = theirs / "w.db"
    with Store(path) as store:
        accepted = [store.save(CREAM).uid]
    before = path.read_bytes()
    given_away(theirs)
    ((what, words),) = done(open_as_nobody, path)
    assert what == "refused"
    assert "or name another file with HLB_FILE." in words
    assert path.read_bytes() == before
    for held in (theirs, *theirs.rglob("*")):
        held.chmod(0o700)
    whole(path, accepted)
