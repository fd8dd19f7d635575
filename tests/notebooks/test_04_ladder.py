"""What notebook 4 works out."""

from __future__ import annotations

import math

from running import Notebook

import hlbcore as hlb

LESSON = Notebook(4)


def test_plan_it() -> None:
    n = LESSON.after("ladder = hlb.plan_ladder(")
    printed = [5.37, 6.44, 7.51, 8.58, 9.65, 10.72, 11.79, 12.86, 13.93]
    assert [round(h, 2) for h in n.ladder.table["hlb_as_weighed"]] == printed
    assert n.ladder.table["total_g"].round(6).eq(50).all()

    n = LESSON.after("steps = hlb.lessons.working(ladder).steps")
    low, high = (2.25, 0.25)
    mean = (low * 4.3 + high * 15) / (low + high)
    by_hand = 0.01 / math.sqrt(12) * math.hypot((4.3 - mean) / 2.5, (15 - mean) / 2.5)
    assert abs(n.steps[1].result - by_hand) < 1e-9
    assert n.ladder.table["hlb_sd"].max() < 0.05


def test_which_vials_held_a_band() -> None:
    n = LESSON.after("held = [rung in (9.65, 10.72, 11.79) for rung in printed]")
    assert n.band.outcome == "band"
    assert n.band.optimum is None
    assert n.band.low <= 9.65
    assert n.band.high >= 11.79
    assert n.band.estimate.high - n.band.estimate.low >= 2 * 1.07

    n = LESSON.after("band.estimate")
    assert n.band.estimate.low < 10.185 < n.band.estimate.high


def test_readings_of_a_class() -> None:
    n = LESSON.after("label = [4, 5, 6, 7, 8, 9, 10, 11, 12, 13]")
    assert n.tubes["hlb"].iloc[0] > n.tubes["hlb"].iloc[1]
    assert abs(n.tubes["hlb"] - n.tubes["label"])[1:].max() < 0.15
    assert n.tubes.loc[n.tubes["height"].idxmax(), "label"] == 12

    n = LESSON.after("except hlb.UnreachableTarget as error:")
    assert n.refused.reachable == (4.7, 15.0)
    assert round(n.tubes["hlb"].iloc[0], 1) == 5.3

    n = LESSON.after("print(hlb.lessons.working(fit).text)")
    assert n.fit.outcome != "clear optimum"
    assert n.fit.estimate is None
    assert n.fit.optimum is None

    n = LESSON.after("top = (x[0] + x[1]) / 2 - left / (2 * bend)")
    assert 12.0 < n.top < 12.3
    assert max(n.fit.next_rungs) > max(n.as_weighed) - 1

    n = LESSON.after("figure.tight_layout()")
    assert len(n.axes.collections) == 1
    assert len(n.axes.collections[0].get_offsets()) == 10
    assert len(n.axes.lines) == 1
    assert len(n.fit.curve) > 50


def test_a_ladder_with_an_answer() -> None:
    n = LESSON.after("clear")
    assert n.clear.outcome == "clear optimum"
    assert n.clear.low < n.clear.optimum < n.clear.high
    assert n.clear.optimum - n.clear.low >= n.clear.half_rung - 0.051


def test_work_back_an_unknown_oil() -> None:
    n = LESSON.after("known = [(1.5, 12.0), (7.5, 11.5), (7.5, 3.8), (12.5, 15.0)]")
    back = hlb.back_out_required_hlb(10.33, n.known, 5)
    by_hand = (10.33 * 34 - sum((m * r for m, r in n.known))) / 5
    assert abs(back.value - by_hand) < 1e-9
    assert abs(back.value - 6.2) < 0.04

    n = LESSON.after("much = hlb.back_out_required_hlb(9.0, [(10, 7.0)], 10)")
    assert abs((back.high - back.low) / 2 - 0.5 * 34 / 5) < 0.01
    assert abs((n.much.high - n.much.low) / 2 - 0.5 * 2) < 0.01


def test_your_turn() -> None:
    n = LESSON.after("print(hlb.lessons.mark(exercise, answer).hint)")
    assert hlb.lessons.mark(n.reading, n.reading.answer).right
    assert hlb.lessons.mark(n.working_back, n.working_back.answer).right
