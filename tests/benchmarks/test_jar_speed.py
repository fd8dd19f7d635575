"""Speed of the jar, beside one bare interpolation and all other checks; printed, never asserted.

Run with ``pytest -n 0 -m benchmark -s tests/benchmarks/test_jar_speed.py``.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np
import pytest

import hlbcore as hlb
from hlbcore.checks import CHECKS, products_of
from hlbcore.checks.jar import jar
from hlbcore.rules.jar import softness_of

pytestmark = pytest.mark.benchmark

LINES = {
    "oil": {
        "cocoa butter": 8,
        "coconut oil": 6,
        "shea butter": 5,
        "mango butter": 3,
        "palm oil": 2,
        "olive oil": 6,
        "sunflower oil": 4,
        "castor oil": 2,
        "jojoba oil": 1,
        "beeswax": 2,
        "cetearyl alcohol": 2,
        "stearic acid": 1,
        "isododecane": 0.5,
        "polysorbate 80": 2,
        "glyceryl stearate": 1,
    },
    "water": {"water": 12, "glycerin": 3, "xanthan gum": 0.2},
    "solids": {"sugar": 38.4, "pumice": 0.9},
}
TWENTY = hlb.Formula(
    "twenty lines",
    "wash-off scrub",
    [hlb.Line(n, pct, phase=phase) for phase, held in LINES.items() for n, pct in held.items()],
    facts={"grain_um": "0.5 mm", "yield_pa": "0.3", "hottest_c": "75"},
)


def median_ms(work: Callable[[], object], times: int = 50) -> float:
    work()
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - begun))
    return statistics.median(taken)


def test_a_band_of_500_points_against_one_interpolation(capsys: pytest.CaptureFixture[str]) -> None:
    assert len(TWENTY.lines) == 20
    held, at = softness_of(hlb.work_out(TWENTY)), np.linspace(0, 60, 500)
    band = median_ms(lambda: held.band(at))
    bare = median_ms(lambda: np.interp(at, [20.0, 30.0, 40.0], [60.0, 30.0, 0.0]))
    with capsys.disabled():
        print(f"\nband of 500 points {band:.2f} ms (wanted: under 5), {band / bare:.0f} interpolations")


def test_all_physics_of_20_lines_against_all_other_checks(capsys: pytest.CaptureFixture[str]) -> None:
    (view,) = products_of(hlb.work_out(TWENTY))
    ours = median_ms(lambda: jar(view))
    rest = median_ms(lambda: [one(view) for one in CHECKS if one is not jar])
    with capsys.disabled():
        print(
            f"\njar {ours:.1f} ms (wanted: under 20), all other checks {rest:.1f} ms: {ours / rest:.1f} times"
        )
