"""Speed of a screen against one linear programme a system, and its memory; printed, never asserted.

Run with ``pytest -n 0 -m benchmark -s tests/benchmarks/test_screen_speed.py``.
"""

from __future__ import annotations

import time
import tracemalloc

import numpy as np
import pytest
from screen_cases import OBJECTIVES, Case, by_programme

import hlbcore as hlb
from hlbcore.shelf.screening import screened

pytestmark = pytest.mark.benchmark

SAMPLE = 100  # programmes timed of each objective; their number is scaled up


def shelf(size: int) -> dict[str, hlb.Estimate]:
    rng = np.random.default_rng(size)
    return {f"e{n:03}": hlb.Estimate(v, v - 0.5, v + 1.0) for n, v in enumerate(rng.uniform(1, 19, size))}


def spent_s(work: object) -> tuple[float, float]:
    """The least of seven runs: by the clock, and of the processor."""
    runs = []
    for _ in range(7):
        begun, cpu = time.perf_counter(), time.process_time()
        work()  # type: ignore[operator]
        runs.append((time.perf_counter() - begun, time.process_time() - cpu))
    return min(r[0] for r in runs), min(r[1] for r in runs)


@pytest.mark.parametrize("objective", OBJECTIVES)
def test_screen_against_looping_linprog(objective: str, capsys: pytest.CaptureFixture[str]) -> None:
    held = shelf(100)
    cost = {n: 5.0 + v.value for n, v in held.items()}
    target = hlb.Estimate(10.0, 9.0, 11.0)
    clock, cpu = spent_s(lambda: hlb.screen(held, target, objective=objective, cost=cost))
    made = screened(held, target, objective=objective, cost=cost)
    case = Case(held, target, 1.0, (5.0, 5.0), 0.1, cost=cost)
    rng = np.random.default_rng(0)
    some = [tuple(rng.choice(list(held), 3, replace=False)) for _ in range(SAMPLE)]
    begun = time.process_time()
    for system in some:
        by_programme(case, system, objective)
    loop = (time.process_time() - begun) / SAMPLE * made.tried
    tracemalloc.start()
    hlb.screen(held, target, objective=objective, cost=cost)
    most = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    with capsys.disabled():
        print(
            f"\n{objective}: {made.tried:,} systems, {made.possible:,} possible: {clock:.3f} s by the clock, "
            f"{cpu:.3f} s of one processor; one linprog each {loop:.0f} s: {loop / cpu:,.0f} times; "
            f"{most:.0f} MB at most"
        )


def test_growth_with_the_shelf(capsys: pytest.CaptureFixture[str]) -> None:
    for size in (10, 25, 50, 100, 200):
        held = shelf(size)
        cost = {n: 5.0 + v.value for n, v in held.items()}
        made = screened(held, 10.0, objective="cheapest", cost=cost)
        _, cpu = spent_s(lambda held=held, cost=cost: hlb.screen(held, 10.0, objective="cheapest", cost=cost))
        with capsys.disabled():
            print(f"\n{size} emulsifiers, {made.tried:,} systems: {cpu:.3f} s of one processor")
