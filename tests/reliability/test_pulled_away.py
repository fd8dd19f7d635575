from __future__ import annotations

import random
import shutil
import sqlite3
import time
from contextlib import closing
from pathlib import Path

import pytest
from kept_children import started, told
from pulling import COPIES, CREAM, WAYS, save_until_told

from hlbcore import Store

EARLIER = 5


def pulled(folder: Path, way: int, chance: random.Random) -> tuple[int, int, int, bool]:
    """One try: saves accepted, lost of them, told, and whether a copy put there is as it was."""
    path, copy = folder / "work" / "w.db", folder / "copy.db"
    with Store(path) as store:
        last = store.save(CREAM)
        for _ in range(EARLIER):
            last = store.save(CREAM, on=last, what="earlier")
    shutil.copyfile(path, copy)
    with Store(path) as store:
        store.save(CREAM, on=last, what="later")
    process, end = started(save_until_told, path)
    assert end.poll(60)
    time.sleep(chance.uniform(0.02, 0.3))
    WAYS[way](path, copy)
    heard = told(end)
    process.join()
    accepted = {uid for what, uid in heard if what == "version"}
    words = [w for what, w in heard if what == "told"]
    (out,) = [Path(w) for what, w in heard if what == "out"] or [path]
    with closing(sqlite3.connect(out)) as link:
        there = {uid for (uid,) in link.execute("SELECT uid FROM version")}
    as_it_was = WAYS[way] not in COPIES or path.read_bytes() == copy.read_bytes()
    return len(accepted), len(accepted - there), len(words), as_it_was


@pytest.mark.reliability  # a race with the clock; tests/kept tells of each way without one
@pytest.mark.parametrize("tries", [1, 40], ids=["short", "full"])
@pytest.mark.parametrize("way", range(len(WAYS)), ids=[w.__name__ for w in WAYS])
def test_a_file_pulled_away_while_saves_run_is_told_and_costs_nothing(
    tmp_path: Path, way: int, tries: int, capsys: pytest.CaptureFixture[str]
) -> None:
    chance = random.Random(way)
    found = [pulled(tmp_path / str(n), way, chance) for n in range(tries)]
    accepted, lost, said = (sum(f[k] for f in found) for k in range(3))
    with capsys.disabled():
        if tries > 1:
            print(f"\n{WAYS[way].__name__}: {tries} tries, {accepted:,} accepted, {lost} lost, {said} told")
    assert accepted > 0
    assert lost == 0
    assert said == tries
    assert all(f[3] for f in found)
