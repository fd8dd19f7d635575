"""What notebook 3 works out."""

from __future__ import annotations

import numpy as np
from running import Notebook

import hlbcore as hlb

LESSON = Notebook(3)


def test_3_swap_an_ingredient() -> None:
    n = LESSON.after("cream = hlb.Formula(")
    assert abs(n.cream.total_pct - 100) < 0.01
    assert n.cream.problems() == ()


def test_a_swap_that_hlb_hardly_sees() -> None:
    n = LESSON.after("print(hlb.lessons.working(kept).text)")
    assert abs(n.kept.old_target.value - 6.6) < 1e-9
    assert abs(n.kept.new_target.value - n.by_hand) < 1e-9
    assert n.kept.chosen == "no change"
    assert n.kept.old_blend_fits

    n = LESSON.after("kept.old_blend_share")
    assert 0.3 < n.kept.old_blend_share <= 1
    assert abs(n.kept.formula.total_pct - 100) < 0.01


def test_a_swap_that_needs_a_new_ratio() -> None:
    n = LESSON.after("print(hlb.lessons.working(moved).text)")
    new_target = (10 * 14 + 7.5 * 6 + 7.5 * 8) / 25
    assert abs(n.moved.new_target.value - new_target) < 1e-9
    assert not n.moved.old_blend_fits
    assert abs(n.moved.new_blend.value - new_target) <= 1 + 1e-6
    assert abs(n.moved.formula.total_pct - 100) < 0.01

    n = LESSON.after("axis = hlb.plots.both_on_axis(moved)")
    said = hlb.plots.words(n.axis)
    assert f"{n.moved.old_target.value:.1f} before, {n.moved.new_target.value:.1f} after" in said
    assert f"Blend after {n.moved.new_blend.value:.1f}" in said


def test_is_it_really_the_least_change() -> None:
    n = LESSON.after("stearate, polysorbate = np.meshgrid(steps, steps)")
    after = {name: new for name, _, new in n.moved.option.changes}
    assert abs(after["sorbitan stearate"] - n.tried[0]) < 0.02
    assert abs(after["polysorbate 60"] - n.tried[1]) < 0.02
    solver = np.hypot(after["sorbitan stearate"] - 3.87, after["polysorbate 60"] - 1.13)
    assert solver <= n.distance.min() + 1e-9

    n = LESSON.after("middle.amounts, edge_share, middle.share_in_window")
    assert abs(n.middle.hlb - n.new_target) < 1e-6
    assert n.middle.share_in_window > n.edge_share
    assert abs(n.middle.amounts["polysorbate 60"] - 5 * (n.new_target - 4.7) / (14.9 - 4.7)) < 1e-6


def test_with_a_limit() -> None:
    n = LESSON.after(
        'tight = hlb.swap(cream, out="soybean oil", into="castor oil", limits={"polysorbate 60": (0, 2.0)})'
    )
    table = n.tight.options.set_index("option")
    assert not table.loc["keep total", "possible"]
    assert "polysorbate 60 from 2 to 2.0" in table.loc["keep total", "remark"]
    possible = table[table["possible"] & (table.index != "no change")]
    assert len(possible) > 0
    assert ((possible["hlb"] - n.new_target).abs() <= 1 + 1e-6).all()
    for option in possible.index:
        lines = {line.name: line.pct for line in n.tight.accept(option).lines}
        assert lines.get("polysorbate 60", 0) <= 2.0 + 1e-6

    n = LESSON.after("share = hlb.split_pair(4.7, 14.9, target=new_target - 1)[1]")
    assert round(100 * n.share, 1) == 40.2
    assert 4.9 < n.most < 5


def test_what_shifts_beside_hlb() -> None:
    n = LESSON.after('shifts = moved.shifts.set_index("quantity")')
    assert "soy" in n.shifts.loc["allergens and origin", "before_text"]
    assert "soy" not in n.shifts.loc["allergens and origin", "after_text"]
    known = n.shifts["before_known_pct"].dropna()
    assert known.between(0, 100 + 1e-9).all()

    n = LESSON.after("lines = hlb.plots.slopes(moved)")
    assert "castor oil from 0.00 to 10.00" in hlb.plots.words(n.lines)
    assert "soybean oil from 10.00 to 0.00" in hlb.plots.words(n.lines)


def test_your_turn() -> None:
    n = LESSON.after("print(hlb.lessons.mark(exercise, my_answer).hint)")
    assert hlb.lessons.mark(n.exercise, n.exercise.answer).right
    slips = {m.name for m in n.exercise.mistakes}
    assert "old oil phase" in slips
