from __future__ import annotations

import random
import shutil
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import astuple, dataclass
from multiprocessing.connection import Connection
from pathlib import Path

import pytest
from kept_children import started, told
from pulling import COPIES, CREAM, WAYS, folder_renamed, renamed, save_until_told

from hlbcore import Store
from hlbcore.errors import DamagedFile
from hlbcore.kept.recovery import from_backup, from_damaged

EARLIER = 5


@dataclass
class Pulled:
    """What so many tries came to."""

    accepted: int = 0
    lost: int = 0
    unsaid: int = 0
    part_written: int = 0
    copy_changed: int = 0

    def __add__(self, other: Pulled) -> Pulled:
        return Pulled(*(a + b for a, b in zip(astuple(self), astuple(other), strict=True)))

    def __str__(self) -> str:
        return (
            f"{self.accepted:,} accepted, {self.lost} lost, {self.unsaid} tries unsaid; {self.part_written} "
            "times another hand met a save half way, and it was said; "
            f"{self.copy_changed} copies changed unsaid"
        )


def started_on(folder: Path) -> tuple[Path, Path, set[str]]:
    """A file, a copy of an earlier state of it, and what was saved since."""
    path, copy = folder / "work" / "w.db", folder / "copy.db"
    with Store(path) as store:
        last = store.save(CREAM)
        for _ in range(EARLIER):
            last = store.save(CREAM, on=last, what="earlier")
    shutil.copyfile(path, copy)
    with Store(path) as store:
        return path, copy, {store.save(CREAM, on=last, what="later").uid}


def begun(end: Connection, chance: random.Random) -> list[tuple[str, str]]:
    """What a process said until some moment after its first save."""
    heard = [end.recv(), end.recv()]
    time.sleep(chance.uniform(0, 0.3))
    return heard


def versions(path: Path) -> set[str]:
    if not path.exists():
        return set()
    with closing(sqlite3.connect(path)) as link:
        return {uid for (uid,) in link.execute("SELECT uid FROM version")}


def pulled(folder: Path, way: int, chance: random.Random) -> Pulled:
    """One try: the file goes while a process saves, which then writes out all that it holds."""
    path, copy, accepted = started_on(folder)
    process, end = started(save_until_told, path, False)
    heard = begun(end, chance)
    WAYS[way](path, copy)
    heard += told(end)
    process.join()
    accepted |= {uid for what, uid in heard if what == "version"}
    words = [w for what, w in heard if what == "told"]
    (out,) = [Path(w) for what, w in heard if what == "out"] or [path]
    met = any("part of both" in w for w in words)
    as_it_was = WAYS[way] not in COPIES or path.read_bytes() == copy.read_bytes()
    # an emptied log that is written anew before anybody looks costs nothing
    unsaid = not words and not accepted <= versions(path)
    return Pulled(len(accepted), len(accepted - versions(out)), unsaid, met, not (as_it_was or met))


def pulled_and_ended(folder: Path, way: int, chance: random.Random) -> Pulled:
    """One try: the process ends before anybody was told; the next start tells, and has all of it."""
    path, copy, accepted = started_on(folder)
    process, end = started(save_until_told, path, True)
    heard = begun(end, chance)
    if chance.random() < 0.5:  # or after the last save
        process.kill()
        process.join()
    WAYS[way](path, copy)
    accepted |= {uid for what, uid in (*heard, *told(end)) if what == "version"}
    process.join()
    if WAYS[way] is folder_renamed:
        path = path.parent.with_name(f"{path.parent.name} tidied") / path.name
    elif WAYS[way] is renamed:
        path.with_name("elsewhere.db").rename(path)
    said = False
    try:
        store = Store(path)
    except DamagedFile as error:
        said = True
        if error.backup is not None:
            from_backup(error.backup, path)
        elif error.moved_to is not None:
            from_damaged(error.moved_to, path)
        store = Store(path)
    with store:
        said = said or store.behind is not None
        missing = accepted - versions(path)
        store.catch_up()
        return Pulled(len(accepted), len(accepted - versions(path)), bool(missing) and not said)


@pytest.mark.reliability  # a race with the clock; tests/kept tells of each way without one
@pytest.mark.parametrize("tries", [1, 40], ids=["short", "full"])
@pytest.mark.parametrize("way", range(len(WAYS)), ids=[w.__name__ for w in WAYS])
@pytest.mark.parametrize("how", [pulled, pulled_and_ended], ids=lambda h: h.__name__)
def test_a_file_pulled_away_while_saves_run_is_told_and_costs_nothing(
    tmp_path: Path,
    how: Callable[[Path, int, random.Random], Pulled],
    way: int,
    tries: int,
    capsys: pytest.CaptureFixture[str],
) -> None:
    chance = random.Random(way)
    found = Pulled()
    for n in range(tries):
        found += how(tmp_path / str(n), way, chance)
    with capsys.disabled():
        if tries > 1:
            print(f"\n{how.__name__}, {WAYS[way].__name__}: {tries} tries, {found}")
    assert found.accepted > tries
    assert (found.lost, found.unsaid, found.copy_changed) == (0, 0, 0)
