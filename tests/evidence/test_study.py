"""The study of the evidence, and the method behind its intervals."""

from __future__ import annotations

import itertools
import math
import re

import numpy as np
import pytest
from scipy.stats import bootstrap

import hlbcore as hlb
from hlbcore.blending.evidence import EVIDENCE, PICKS
from hlbcore.blending.marks import LEFT_OUT
from hlbcore.lessons.evidence import told_apart, variance
from tests.evidence.study import apart, formula_cases, ladder_cases, rank, rungs


def test_the_area_is_the_share_of_pairs_with_the_failed_one_farther_off() -> None:
    failed, held = [4.7, 5.0, 1.0, 2.0], [2.0, 0.5, 3.0]
    pairs = list(itertools.product(failed, held))
    share = sum((f > h) + 0.5 * (f == h) for f, h in pairs) / len(pairs)
    assert told_apart(failed, held).value == pytest.approx(share)


def test_the_variance_is_that_of_hanley_and_mcneil() -> None:
    # hanley_mcneil_1982, their example: area 0.893, 51 and 58 cases, SE 0.032 (from memory)
    assert math.sqrt(variance(0.893, 51, 58)) == pytest.approx(0.032, abs=0.001)


def test_the_interval_agrees_with_the_bootstrap_on_many_cases() -> None:
    rng = np.random.default_rng(7)
    failed, held = np.abs(rng.normal(2.0, 1.0, 60)), np.abs(rng.normal(1.0, 1.0, 60))

    def area(a: np.ndarray, b: np.ndarray) -> float:
        return float((a[:, None] > b[None, :]).mean())

    other = bootstrap((failed, held), area, vectorized=False, n_resamples=999, rng=rng).confidence_interval
    found = told_apart(failed, held)
    assert (found.low, found.high) == (
        pytest.approx(other.low, abs=0.04),
        pytest.approx(other.high, abs=0.04),
    )


@pytest.mark.parametrize(("n", "shift"), [(4, 0.0), (6, 1.0), (10, 2.0)])
def test_the_interval_holds_the_true_area_for_few_cases_too(n: int, shift: float) -> None:
    rng = np.random.default_rng(n)
    true = 0.5 * (1 + math.erf(shift / 2))  # two normals of sd 1, `shift` apart
    hits = 0
    for _ in range(300):
        a, b = rng.normal(10 + shift, 1, n), rng.normal(10, 1, n)
        found = told_apart(a, b)
        hits += found.low <= true <= found.high
    assert hits >= 0.92 * 300


def test_perfect_and_reversed_order_stay_within_0_and_1() -> None:
    best, worst = told_apart([3, 4, 5], [1, 2]), told_apart([1, 2], [3, 4, 5])
    assert (best.value, best.high) == (1.0, 1.0)
    assert (worst.value, worst.low) == (0.0, 0.0)
    assert 0.3 < best.low < 1.0 > worst.high > 0.0


@pytest.mark.parametrize(("failed", "held"), [([], [1.0]), ([1.0], [])])
def test_both_kinds_are_needed(failed: list[float], held: list[float]) -> None:
    with pytest.raises(hlb.HlbError, match="there is none"):
        told_apart(failed, held)


@pytest.mark.parametrize("odd", [math.nan, -1.0, math.inf])
def test_a_distance_that_is_none_is_refused(odd: float) -> None:
    with pytest.raises(hlb.HlbError, match="distance 1 of what failed"):
        told_apart([odd], [1.0])


# --- what the printed cases say


def test_rungs_and_formulas_neither_show_nor_exclude_that_the_distance_predicts() -> None:
    ladder, formulas = list(ladder_cases()), list(formula_cases())
    assert not apart(ladder).shows
    assert not apart(formulas).shows
    assert not apart(formulas, published_is_good=True).shows


def test_the_best_rung_of_the_mineral_oil_ladder_lies_outside_what_the_tables_ask_for() -> None:
    # 12 against 10: light and heavy mineral oil differ in the lists
    best = max(rungs(), key=lambda row: float(row["response"]))
    case = next(c for c in ladder_cases() if c.name.endswith(best["hlb"]))
    assert (best["hlb"], case.word) == ("12.001", "outside")
    tau, p = rank()
    assert tau < 0  # farther off goes with less that stayed,
    assert p > 0.05  # not more than chance may do with ten tubes


def test_the_ladder_is_the_printed_one() -> None:
    grams = {"7": (0.643, 0.607), "9": (0.886, 0.364)}  # polysorbate 80, sorbitan stearate
    for row in rungs():
        if row["rung"] in grams:
            high, low = grams[row["rung"]]
            assert float(row["hlb"]) == pytest.approx((15 * high + 4.7 * low) / (high + low), abs=5e-4)


def test_the_sentence_stands_where_hlb_is_judged_and_where_it_is_taught() -> None:
    assert EVIDENCE in LEFT_OUT.detail
    pair = {"sorbitan stearate": 2, "polysorbate 60": 3}
    assert LEFT_OUT in hlb.judge(pair, 10.5, "o/w cream", oil_pct=20).findings
    taught = [limit.text for lesson in hlb.lessons.lesson_texts() for limit in lesson.limits]
    assert taught.count(EVIDENCE) == 1
    assert EVIDENCE.endswith(f"{PICKS}.")


def test_both_intervals_of_the_sentence_hold_0_5() -> None:
    spans = re.findall(r"(\d\.\d\d) to (\d\.\d\d)", EVIDENCE)
    assert len(spans) == 2
    assert all(float(low) < 0.5 < float(high) for low, high in spans)
