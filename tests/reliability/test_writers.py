from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from kept_children import CREAM, save_some, started, told

from hlbcore import Store

WRITERS = 8


def written(path: Path, count: int, formula: str) -> list[tuple[str, str]]:
    """What eight processes saved at once."""
    working = [started(save_some, path, count, formula) for _ in range(WRITERS)]
    heard = [said for _, end in working for said in told(end) if said[0] != "ready"]
    for process, _ in working:
        process.join()
        assert process.exitcode == 0
    return heard


def checked(path: Path) -> None:
    with closing(sqlite3.connect(path)) as link:
        assert link.execute("PRAGMA integrity_check").fetchone() == ("ok",)


@pytest.mark.parametrize("count", [4, pytest.param(50, marks=pytest.mark.reliability)], ids=["short", "full"])
def test_eight_processes_at_one_formula_lose_nothing(
    tmp_path: Path, count: int, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "w.db"
    with Store(path) as store:
        first = store.save(CREAM)
        heard = written(path, count, first.work)
        table = store.history(first.work)
        mine = {uid for _, uid in heard} | {first.uid}
        assert len(mine) == WRITERS * count + 1
        assert set(table["uid"]) == mine
        assert sorted(table["version"]) == list(range(1, len(mine) + 1))
        # each that was no conflict was in front once: they follow from one another
        front, state = set(), store.open(first.work)
        while state is not None:
            front.add(state.uid)
            state = store.before(state)
    assert front == {uid for what, uid in heard if what == "version"} | {first.uid}
    checked(path)
    with capsys.disabled():
        if count > 4:
            conflicts = sum(what == "conflict" for what, _ in heard)
            print(
                f"\n{WRITERS} processes, one formula: {len(heard)} saves, {conflicts} of them "
                "beside a newer state, none lost"
            )


@pytest.mark.parametrize("count", [4, pytest.param(50, marks=pytest.mark.reliability)], ids=["short", "full"])
def test_eight_processes_at_many_formulas_lose_nothing(tmp_path: Path, count: int) -> None:
    path = tmp_path / "w.db"  # made by whoever comes first
    heard = written(path, count, "")
    with Store(path) as store:
        assert {what for what, _ in heard} == {"version"}
        assert len(store.formulas()) == WRITERS * count
        assert {store.open(uid).uid for uid in store.formulas()["uid"]} == {u for _, u in heard}
    checked(path)
