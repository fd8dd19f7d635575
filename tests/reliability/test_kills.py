from __future__ import annotations

import random
import time
from dataclasses import dataclass
from pathlib import Path

import pytest
from kept_children import save_for_ever, started, told

from hlbcore import Store

LONGEST_S = 0.25  # of a life after its first save
LONGEST_NEW_S = 0.1  # of a life that makes the file


@dataclass
class Killed:
    """What so many kills left."""

    accepted: int = 0
    lost: int = 0
    early: int = 0
    logs: int = 0


def killed(folder: Path, kills: int) -> Killed:
    """Kill a writer so many times, and open the file each time."""
    chance = random.Random()
    found = Killed()
    path, accepted = folder / "w.db", set[tuple[str, str]]()
    for n in range(kills):
        if n % 5 == 0:  # a new file: the kill may come while it and its first backup are made
            path, accepted = folder / f"w{n}.db", set()
        process, end = started(save_for_ever, path, n)
        if n % 5:
            end.poll(60)
        time.sleep(chance.uniform(0, LONGEST_S if n % 5 else LONGEST_NEW_S))
        process.kill()
        process.join()
        heard = set(told(end))
        accepted |= heard
        log = Path(f"{path}-wal")
        found.logs += log.exists() and log.stat().st_size > 0
        found.early += not heard
        found.accepted += len(heard)
        found.lost += len(accepted - held(path))
    return found


def held(path: Path) -> set[tuple[str, str]]:
    """All that the file holds, read as the app reads it."""
    with Store(path) as store, store.reading() as link:
        assert link.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert link.execute("PRAGMA foreign_key_check").fetchall() == []
        versions = link.execute("SELECT uid FROM version").fetchall()
        return {("version", store.version(uid).uid) for (uid,) in versions} | {
            ("own", uid) for uid, *_ in store.own()
        }


def test_ten_kills_lose_nothing_that_was_accepted(tmp_path: Path) -> None:
    found = killed(tmp_path, 10)
    assert found.accepted > 0
    assert found.lost == 0


@pytest.mark.reliability
def test_two_hundred_kills_lose_nothing_that_was_accepted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = killed(tmp_path, 200)
    with capsys.disabled():
        print(
            f"\n200 kills: {found.accepted:,} things accepted, {found.lost} lost; {found.early} "
            f"kills before the first save, {found.logs} with a log left behind"
        )
    assert found.lost == 0
