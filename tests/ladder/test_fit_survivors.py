"""What a maker reads off the answer of a ladder, at the edges of the rules."""

from __future__ import annotations

import numpy as np

import hlbcore as hlb

SEVEN = [7, 8, 9, 10, 11, 12, 13]


def test_an_uneven_ladder_is_as_precise_as_its_step_at_the_optimum() -> None:
    rungs = [6, 8, 10, 10.5, 11, 11.5, 12]
    wide = hlb.fit_trials(rungs, [20 - (h - 8.5) ** 2 for h in rungs])
    assert (wide.optimum, wide.low, wide.high) == (8.5, 7.5, 9.5)
    fine = hlb.fit_trials(rungs, [20 - (h - 10.9) ** 2 for h in rungs])
    assert (fine.optimum, fine.low, fine.high) == (10.9, 10.6, 11.2)


def test_a_vial_counts_by_its_last_reading_even_where_later_ones_are_missing() -> None:
    # the vial at HLB 8 read above the limit and was not read again
    table = [[3, 2], [">7", None], [6, 6], [">7", ">7"], [6, 5], [3, 2], [2, 1]]
    fit = hlb.fit_trials(SEVEN, table)
    assert fit.low == 8.0
    (finding,) = [f for f in fit.findings if "as good as could be read" in f.title]
    assert finding.figure == "2 vials"


def test_two_spare_vials_are_too_few_to_judge_a_dip_by_their_scatter() -> None:
    fit = hlb.fit_trials([*SEVEN, 9, 10], [5, 0, 0, 4, 5, 1, 1, 5, 2])
    assert fit.outcome == "two peaks"


def test_a_dip_counts_only_where_duplicates_make_chance_unlikely() -> None:
    # between the 95 % and the 99 % point of F
    rungs = np.repeat([8.0, 9, 10, 11, 12], 2)
    assert hlb.fit_trials(rungs, [0, 1, 5, 4, 1, 0, 3, 4, 3, 3]).outcome == "too noisy"


def test_readings_on_a_perfect_curve_leave_a_scatter_beside_the_doubt_of_weighing() -> None:
    # without it the vials near the top would carry all the weight
    rungs = np.array(SEVEN, dtype=float)
    fit = hlb.fit_trials(rungs, 20 - (rungs - 9.3) ** 2, hlb_sd=0.1)
    assert (fit.optimum, fit.low, fit.high) == (9.3, 8.8, 9.8)
