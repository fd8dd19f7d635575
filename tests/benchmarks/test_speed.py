"""Speed as ratios taken in one run on one machine; printed, never asserted.

Run with ``pytest -n 0 -m benchmark -s tests/benchmarks``. Beside an older state, in turns:
``python tests/benchmarks/test_speed.py path/of/another/checkout``.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from scipy.optimize import linprog

import hlbcore as hlb

pytestmark = pytest.mark.benchmark

ROOT = Path(__file__).parents[2]
ROUNDS = 7
FRESH = """
import json, sys, time

begun = time.process_time()
IMPORT
took = {"import": time.process_time() - begun}
"""
THEIRS = FRESH.replace("IMPORT", "import pandas, scipy.optimize") + "print(json.dumps(took))"
OURS = (
    FRESH.replace("IMPORT", "import hlbcore as hlb")
    + """
lines = [hlb.Line(name, pct, phase=phase) for name, pct, phase in json.loads(sys.argv[1])]
facts = hlb.Facts(ph=5, hottest_c=75, cool_down_c=40)
formula = hlb.Formula("twenty lines", "o/w cream", tuple(lines), facts=facts)
# a page was a form of its own before there was one formula
typed = hlb.sheet_of(formula) if hasattr(hlb, "sheet_of") else formula
for name, work in {"work_out": lambda: hlb.work_out(typed), "check": lambda: hlb.check(formula)}.items():
    work()
    begun = time.process_time()
    for _ in range(20):
        work()
    took[name] = (time.process_time() - begun) / 20
print(json.dumps(took))
"""
)

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


def spent_ms(script: str, checkout: Path, cache: Path) -> dict[str, float]:
    """Processor time of each step of a script in a fresh interpreter, with the code of a checkout."""
    lines = json.dumps([(x.name, x.amount.value.number, x.phase) for x in TWENTY.lines if x.amount.value])
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    told = subprocess.run(
        [sys.executable, "-c", script, lines],
        check=True,
        capture_output=True,
        text=True,
        cwd=checkout,
        env=kept | {"PYTHONPATH": str(checkout), "PYTHONPYCACHEPREFIX": str(cache)},
    ).stdout
    return {name: 1000 * seconds for name, seconds in json.loads(told).items()}


def beside(checkouts: list[Path]) -> str:
    """Import, `work_out` and all checks of 20 lines in each checkout, in turns.

    Of the rounds the least is taken: a busy machine only adds.
    """
    theirs: list[dict[str, float]] = []
    ours: dict[Path, list[dict[str, float]]] = {path: [] for path in checkouts}
    with TemporaryDirectory() as cache:  # of compiled code: the first round fills it
        for _ in range(ROUNDS + 1):
            theirs.append(spent_ms(THEIRS, ROOT, Path(cache)))
            for path, runs in ours.items():
                runs.append(spent_ms(OURS, path, Path(cache)))
    bare = min(run["import"] for run in theirs[1:])
    rows = []
    for path, runs in ours.items():
        held = {name: min(run[name] for run in runs[1:]) for name in runs[0]}
        rows.append(
            f"{path}: import {held['import']:.0f} ms, {held['import'] / bare:.2f} times pandas and "
            f"scipy.optimize ({bare:.0f} ms); work_out of {len(TWENTY.lines)} lines "
            f"{held['work_out']:.2f} ms; all checks {held['check']:.1f} ms"
        )
    return "\n".join(rows)


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


def test_import_work_out_and_all_checks(capsys: pytest.CaptureFixture[str]) -> None:
    with capsys.disabled():
        print("\n" + beside([ROOT]))


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


if __name__ == "__main__":
    print(beside([*map(Path, sys.argv[1:]), ROOT]))
