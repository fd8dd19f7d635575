"""Speed as ratios taken in one run on one machine; printed, never asserted.

Run with ``pytest -n 0 -m benchmark -s tests/benchmarks``.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np
import pytest
from scipy.optimize import linprog

import hlbcore as hlb

pytestmark = pytest.mark.benchmark

SIX = {
    "a": hlb.Estimate(3.8, 3.3, 4.3),
    "b": hlb.Estimate(4.7, 4.2, 5.2),
    "c": hlb.Estimate(8.6, 8.1, 9.1),
    "d": hlb.Estimate(11, 10, 12),
    "e": hlb.Estimate(14.9, 13.9, 15.4),
    "f": hlb.Estimate(16.7, 15.7, 17.7),
}
TARGET = hlb.Estimate(10.2, 9.2, 11.2)
PHASE = {
    "sweet almond oil": 5,
    "shea butter": 4,
    "cocoa butter": 3,
    "mango butter": 3,
    "beeswax": 1.5,
    "cetyl alcohol": 2,
    "isopropyl myristate": 4,
    "mineral oil": 3,
    "jojoba oil": 2,
    "castor oil": 1,
}

TWENTY = hlb.Formula(
    "twenty lines",
    "o/w cream",
    (
        hlb.Line("water", 61.4, phase="water"),
        hlb.Line("glycerin", 4, phase="water"),
        hlb.Line("xanthan gum", 0.3, phase="water"),
        hlb.Line("sodium benzoate", 0.4, phase="water"),
        hlb.Line("sweet almond oil", 5, phase="oil"),
        hlb.Line("shea butter", 4, phase="oil"),
        hlb.Line("cocoa butter", 3, phase="oil"),
        hlb.Line("mango butter", 3, phase="oil"),
        hlb.Line("beeswax", 1.5, phase="oil"),
        hlb.Line("cetyl alcohol", 2, phase="oil"),
        hlb.Line("stearic acid", 1, phase="oil"),
        hlb.Line("isopropyl myristate", 4, phase="oil"),
        hlb.Line("jojoba oil", 2, phase="oil"),
        hlb.Line("castor oil", 1, phase="oil"),
        hlb.Line("sorbitan stearate", 2.5, phase="oil"),
        hlb.Line("polysorbate 60", 2.5, phase="oil"),
        hlb.Line("phenoxyethanol", 0.9, phase="cool-down"),
        hlb.Line("tocopherol", 0.5, phase="oil"),
        hlb.Line("fragrance", 0.9, phase="cool-down"),
        hlb.Line("iron oxides", 0.1, phase="water"),
    ),
    facts=hlb.Facts(ph=5, hottest_c=75, cool_down_c=40),
)


def median_ms(work: Callable[[], object], times: int = 50) -> float:
    work()
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - begun))
    return statistics.median(taken)


def import_ms(statement: str) -> float:
    """Time of a fresh interpreter that imports and ends."""
    return median_ms(lambda: subprocess.run([sys.executable, "-c", statement], check=True), 5)


def bare_linprog() -> object:
    """One programme of the size of the six-emulsifier problem, nothing around it."""
    hlbs = np.array([e.value for e in SIX.values()])
    rows = np.vstack([hlbs - TARGET.value - 1, TARGET.value - 1 - hlbs])
    return linprog(
        np.arange(6.0),
        A_ub=rows,
        b_ub=[0, 0],
        A_eq=np.ones((1, 6)),
        b_eq=[5.0],
        bounds=[(0, 3)] * 6,
        method="highs",
    )


def test_import_against_pandas_and_scipy(capsys: pytest.CaptureFixture[str]) -> None:
    bare = import_ms("pass")
    theirs = import_ms("import pandas, scipy.optimize") - bare
    ours = import_ms("import hlbcore") - bare
    with capsys.disabled():
        print(
            f"\nimport hlbcore {ours:.0f} ms, pandas and scipy.optimize {theirs:.0f} ms: "
            f"ratio {ours / theirs:.2f}"
        )


def test_required_hlb_of_ten_ingredients(capsys: pytest.CaptureFixture[str]) -> None:
    taken = median_ms(lambda: hlb.required_hlb(PHASE))
    with capsys.disabled():
        print(f"\nrequired_hlb of {len(PHASE)} ingredients {taken:.2f} ms")


@pytest.mark.parametrize(
    "objective", ["closest", "most tolerant", "cheapest", "least total", "fewest", "least change"]
)
def test_six_emulsifiers_with_ranges_and_reasons_against_one_linprog(
    objective: str, capsys: pytest.CaptureFixture[str]
) -> None:
    def solve() -> object:
        blend = hlb.solve_blend(
            SIX,
            TARGET,
            total=(3, 6),
            limits={n: (0, 3) for n in SIX},
            objective=objective,
            cost=dict.fromkeys(SIX, 5.0),
            start=dict.fromkeys(SIX, 0.7),
        )
        return blend.share_in_window, blend.binding, blend.working

    ours, theirs = median_ms(solve), median_ms(bare_linprog)
    with capsys.disabled():
        print(f"\n{objective}: {ours:.2f} ms, one linprog {theirs:.2f} ms: ratio {ours / theirs:.1f}")


def test_pair_by_alligation(capsys: pytest.CaptureFixture[str]) -> None:
    taken = median_ms(lambda: hlb.solve_blend({"a": 4.3, "f": 15}, 10.2, total=5))
    with capsys.disabled():
        print(f"\npair {taken:.2f} ms")


def test_all_checks_of_twenty_lines(capsys: pytest.CaptureFixture[str]) -> None:
    found = hlb.check(TWENTY)
    taken = median_ms(lambda: hlb.check(TWENTY))
    with capsys.disabled():
        print(f"\nall checks of {len(TWENTY.lines)} lines, {len(found)} findings: {taken:.1f} ms")


def test_learning_from_500_ladders_of_300_oils(capsys: pytest.CaptureFixture[str]) -> None:
    rng = np.random.default_rng(1)
    own = [hlb.OwnIngredient(f"oil {n}", "oil") for n in range(300)]
    library = hlb.load_library(overlay=own)
    ladders = []
    for n in range(500):
        oils = rng.choice(300, int(rng.integers(2, 7)), replace=False)
        phase = {f"oil {o}": float(m) for o, m in zip(oils, rng.random(len(oils)), strict=True)}
        top = float(rng.normal(8, 1))
        pair = ("sorbitan oleate", f"polysorbate {20 * int(rng.integers(1, 5))}")
        ladders.append(hlb.BenchResult(phase, pair, top, top - 0.7, top + 0.7, name=f"l{n}"))
    matrix = rng.random((500, 500))
    spd = matrix @ matrix.T + 500 * np.eye(500)
    one = median_ms(lambda: np.linalg.cholesky(spd), 5)
    learned = median_ms(lambda: hlb.learn(ladders, library).figures, 3)
    with capsys.disabled():
        print(f"\nlearn, 500 ladders: {learned:.0f} ms, {learned / one:.0f} times one Cholesky of 500")
