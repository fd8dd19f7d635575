"""What a maker reads off the answer of a ladder, at the edges of the rules."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import invgamma

import hlbcore as hlb
from hlbcore.ladder.curves import courses
from hlbcore.ladder.evidence import Belief, Block, believed, weighed
from hlbcore.ladder.fit_courses import is_clear
from hlbcore.ladder.fit_results import ends

SEVEN = [7, 8, 9, 10, 11, 12, 13]


def test_an_uneven_ladder_is_as_precise_as_its_step_at_the_optimum() -> None:
    rungs = [4, 6, 8, 8.5, 9, 9.5, 10, 10.5, 11, 13]
    wide = hlb.fit_trials(rungs, [20 - 8 * abs(h - 6.5) for h in rungs])
    fine = hlb.fit_trials(rungs, [20 - 8 * abs(h - 9.2) for h in rungs])
    assert (wide.half_rung, fine.half_rung) == (1.0, 0.25)
    for fit, top in ((wide, 6.5), (fine, 9.2)):
        assert fit.optimum is not None
        assert fit.low is not None
        assert fit.high is not None
        assert fit.low <= fit.optimum - fit.half_rung < fit.optimum + fit.half_rung <= fit.high
        assert fit.low <= top <= fit.high
    assert fine.high - fine.low <= 1.6 < 2 <= wide.high - wide.low


def test_a_vial_counts_by_its_last_reading_even_where_later_ones_are_missing() -> None:
    # the vial at HLB 8 read above the limit and was not read again
    def read(first: object) -> hlb.TrialFit:
        return hlb.fit_trials(SEVEN, [[3, 2], [first, None], [6, 6], [">7", ">7"], [6, 5], [3, 2], [2, 1]])

    fit, poor, plain = read(">7"), read(2), read(7)
    assert fit.low is not None
    assert poor.low is not None
    assert fit.low <= 8 < poor.low
    (finding,) = [f for f in fit.findings if "as good as could be read" in f.title]
    assert finding.figure == "2 vials"
    assert not [f for f in plain.findings if "as good as could be read" in f.title]


@pytest.mark.parametrize(("twice", "outcome"), [(2, "flat"), (3, "two peaks")])
def test_two_peaks_are_said_from_three_spare_vials(twice: int, outcome: str) -> None:
    again = [(9, 0.2), (10, 4.1), (8, 0.1)][:twice]
    fit = hlb.fit_trials([*SEVEN, *(h for h, _ in again)], [5, 0, 0, 4, 5, 1, 1, *(r for _, r in again)])
    assert fit.outcome == outcome


@pytest.mark.parametrize(
    ("fourth", "outcome"),
    # by hand: F(2, 5) is 12.9 and 21.7; its 95 % point is 5.8, its 99 % point 13.3 (scipy.stats.f)
    [(3, "too noisy"), (4, "two peaks")],
)
def test_a_dip_counts_only_where_duplicates_make_chance_unlikely(fourth: int, outcome: str) -> None:
    rungs = np.repeat([8.0, 9, 10, 11, 12], 2)
    assert hlb.fit_trials(rungs, [0, 1, 5, 4, 1, 0, fourth, 4, 3, 3]).outcome == outcome


def test_duplicates_that_agree_to_the_whole_score_confirm_two_peaks() -> None:
    fit = hlb.fit_trials([*SEVEN, 9, 10, 8], [5, 0, 0, 4, 5, 1, 1, 0, 4, 0])
    assert fit.outcome == "two peaks"


def test_the_doubt_of_weighing_moves_no_optimum_and_widens_the_interval() -> None:
    # else the vials near the top would carry all the weight
    rungs = np.array(SEVEN, dtype=float)
    fits = [hlb.fit_trials(rungs, 20 - (rungs - 9.3) ** 2, hlb_sd=sd) for sd in (None, 0.1, 0.3)]
    widths = []
    for fit in fits:
        assert fit.low is not None
        assert fit.high is not None
        assert fit.optimum == pytest.approx(9.3, abs=0.15)
        widths.append(fit.high - fit.low)
    assert 1 < widths[0] <= widths[1] < widths[2] < 3


def test_five_vials_need_a_stronger_sign_than_seven() -> None:
    five, seven = [1.0, 2.0, 4.4, 2.4, 0.5], [0.9, 1.0, 2.0, 4.4, 2.4, 0.5, 0.4]
    assert hlb.fit_trials([8, 9, 10, 11, 12], five).outcome == "too noisy"
    assert hlb.fit_trials(SEVEN, seven).outcome == "clear optimum"
    assert hlb.fit_trials([8, 9, 10, 11, 12], [0, 2, 5, 2, 0]).outcome == "clear optimum"


def test_where_every_vial_was_made_twice_it_is_not_asked_for_again() -> None:
    once, twice = [3, 2, 4, 3, 2, 3, 4], [3, 2, 4, 3, 2, 3, 4, 3, 2, 3, 4, 3, 2, 3]
    assert hlb.fit_trials(SEVEN, once).verdict.endswith("repeat with every vial twice")
    said = hlb.fit_trials(SEVEN * 2, twice).verdict
    assert "repeat with every vial twice" not in said
    assert "make every vial twice more" in said


def test_the_best_of_two_ladders_is_found_across_their_levels() -> None:
    # the second stands 20 higher; 11 is better than 10 there, and 10 the best of the first
    both = hlb.fit_ladders([([8, 9, 10], [0, 5, 10]), ([9, 10, 11], [25, 30, 31])])
    assert "the best vial is at 11" in both.verdict


def test_where_the_top_may_as_well_lie_inside_one_vial_alone_goes_beyond_the_end() -> None:
    unsure = hlb.fit_trials(SEVEN, [1.0, 1.6, 1.2, 2.6, 3.4, 4.4, 4.1])
    assert unsure.outcome == "edge"
    assert unsure.next_rungs == (10, 11, 12, 13, 14)
    assert hlb.fit_trials(SEVEN, [0, 1, 1, 2, 3, 4, 5]).next_rungs == (12, 13, 14, 15, 16)


def test_so_few_vials_are_said_to_be_provisional() -> None:
    assert repr(hlb.fit_trials([8, 9, 10, 11, 12], [0, 2, 5, 2, 0])).endswith("(provisional)")
    assert "provisional" not in repr(hlb.fit_trials(SEVEN, [0, 1, 3, 5, 3, 1, 0]))


@pytest.mark.parametrize(
    ("against_slope", "against_flat", "scatter", "clear"),
    # by hand: 5.4 and 7.1 times the scatter, up to 0.25 of the height, but at least 0.5; 1.8 and 2.1
    [
        (0.55, 1.85, 0.05, (True, False, True, False)),
        (0.45, 5.0, 0.05, (False, False, False, False)),
        (1.20, 5.0, 0.20, (True, True, False, False)),
        (1.50, 5.0, 0.20, (True, True, True, True)),
        (1.80, 5.0, 0.90, (True, True, True, True)),
        (1.70, 5.0, 0.90, (True, True, False, False)),
        (5.00, 1.75, 0.20, (False, False, False, False)),
    ],
)
def test_scores_and_few_vials_need_a_stronger_sign(
    against_slope: float, against_flat: float, scatter: float, clear: tuple[bool, ...]
) -> None:
    odds = (np.array(v) for v in (against_slope, against_flat, 5.0, 0.5, 0.1, scatter))
    held = Belief(np.ones(1), *odds)
    found = [is_clear(held, few=few, steps=steps) for steps in (False, True) for few in (False, True)]
    assert tuple(bool(f) for f in found) == clear


def test_ladders_weighed_at_once_say_what_each_says_alone() -> None:
    tried = courses((7.0, 8, 9, 10, 11, 12, 13))
    rows = np.array([[0, 2, 5, 6, 4, 3, 0.5], [5, 4, 3, 2, 1, 0, 0.0], [30, 10, 20, 15, 25, 12, 18]])
    ones, at = np.ones(7), np.arange(7)
    # the second ladder stands 40 times as high as the first: each has a span of its own
    many = believed(tried, weighed(tried, [Block(at, rows, ones), Block(at, rows[::-1], ones)], tied=True))
    for n, row in enumerate(rows):
        both = [Block(at, row, ones), Block(at, rows[::-1][n], ones)]
        alone = believed(tried, weighed(tried, both, tied=True))
        for name in ("mass", "hump_odds", "flat_odds", "course_odds", "rising", "scatter", "outer_scatter"):
            assert getattr(many, name)[n] == pytest.approx(getattr(alone, name), rel=1e-9, abs=1e-12), name


def test_ladders_may_share_one_height_and_scatter() -> None:
    rungs = np.linspace(7, 13, 7)
    row = np.exp(-0.5 * ((rungs - 10) / 1.5) ** 2) + 0.1 * np.array([1, -1, 1, 0, -1, 1, -1])
    tried = courses(tuple(rungs.tolist()))
    block = Block(np.arange(7), row, np.ones(7))
    apart, shared = (believed(tried, weighed(tried, [block] * 2, tied=t)) for t in (False, True))
    assert shared.flat_odds > apart.flat_odds + 0.1
    one = [believed(tried, weighed(tried, [block], tied=t)).flat_odds for t in (False, True)]
    assert one[0] == one[1]


@pytest.mark.parametrize(("top", "power"), [(10.0, 2.0), (11.0, 4.0), (13.0, 1.2)])
def test_evidence_in_closed_form_is_the_integral_over_height_and_variance(top: float, power: float) -> None:
    # the level drops out with the mean; variance: inverse gamma that counts as one reading of 0.15
    rungs = np.linspace(7, 13, 7)
    row = np.array([0.0, 0.3, 0.55, 1.0, 0.8, 0.75, 0.3])
    tried = courses(tuple(rungs.tolist()))
    held = weighed(tried, [Block(np.arange(7), row, np.ones(7))])
    k = int(np.flatnonzero((np.abs(tried.top - top) < 0.01) & (tried.power == power))[20])
    y, s = row - row.mean(), tried.shape[k] - tried.shape[k].mean()

    def summed(height: np.ndarray) -> float:
        """Mean over the heights of the sum over the logs of the scatter."""
        log_sd = np.linspace(math.log(1e-3), math.log(10), 2000)[:, None]
        left = ((y - height[:, None] * s) ** 2).sum(axis=1)
        readings = -left / (2 * np.exp(2 * log_sd)) - 6 * (log_sd + math.log(2 * math.pi) / 2)
        before = invgamma.logpdf(np.exp(2 * log_sd), 0.5, scale=0.15**2 / 2) + math.log(2) + 2 * log_sd
        return float(np.exp(readings + before).mean() * math.log(1e4))

    heights = (np.arange(1000) + 0.5) / 500  # from 0 to 2
    assert float(held.course[k]) == pytest.approx(math.log(summed(heights)), abs=0.08)
    assert float(held.flat) == pytest.approx(math.log(summed(np.zeros(1))), abs=0.01)


def test_an_interval_reaches_half_a_rung_to_either_side() -> None:
    assert ends(9.93, 10.0, 10.08, 0.5) == (9.5, 10.5)
    assert ends(9.13, 10.0, 11.08, 0.5) == (9.1, 11.1)
    assert ends(0.2, 0.3, 39.99, 0.5) == (0.0, 40.0)
