"""What notebook 9 works out."""

from __future__ import annotations

import math
import statistics

import pytest
from running import Notebook

import hlbcore as hlb

LESSON = Notebook(9)


def test_a_larger_batch_and_a_finer_scale_leave_less_open() -> None:
    n = LESSON.after("half_span(size, d)")
    assert n.spans["1 g"].is_monotonic_decreasing
    assert (n.spans["0.1 g"] < n.spans["1 g"]).all()
    assert n.spans.loc[50, "1 g"] > 1


@pytest.mark.published
def test_rounding_is_a_rectangle_and_two_readings_add_as_squares() -> None:
    # JCGM 100:2008, 4.3.7: u = a / sqrt(3); from memory
    n = LESSON.after("worst = 2 * half")
    assert n.one_reading == pytest.approx(0.05 / math.sqrt(3))
    assert n.scale.standard_g == pytest.approx(n.usual) == pytest.approx(0.1 / math.sqrt(6))
    assert n.scale.worst_g == pytest.approx(n.worst) == pytest.approx(0.1)


def test_a_measured_spread_leads_over_the_rounding() -> None:
    n = LESSON.after("spread = statistics.stdev(readings)")
    assert n.spread == pytest.approx(statistics.pstdev(n.readings) * math.sqrt(10 / 9))
    assert n.tried.standard_g == n.spread > n.scale.standard_g


def test_the_doubt_of_the_hlb_by_hand_is_that_of_the_sheet() -> None:
    n = LESSON.after("by_hand = tried.standard_g")
    told = n.small.effects.set_index("quantity").loc["HLB of the blend"]
    assert told["as_weighed"] == pytest.approx(n.mean)
    assert told["standard"] == pytest.approx(n.by_hand)
    assert told["low"] < told["as_weighed"] < told["high"]


def test_what_is_too_small_is_mended_by_a_finer_scale_or_a_premix() -> None:
    n = LESSON.after("premixed = hlb.batch_sheet")
    assert n.small.small[0].ingredient == "xanthan gum"
    assert all(s.enough_g > 100 for s in n.small.small)
    assert n.mended.small == ()
    assert "xanthan gum" in [x.ingredient for x in n.premixed.premixes]


def test_the_exercises_take_their_answers() -> None:
    n = LESSON.after("my_rounding = None")
    for exercise in (n.rounding, n.weighed):
        assert hlb.lessons.mark(exercise, exercise.answer).right
