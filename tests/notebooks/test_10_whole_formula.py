"""What notebook 10 works out."""

from __future__ import annotations

import pytest
from running import Notebook

import hlbcore as hlb

LESSON = Notebook(10)


def test_required_hlb_and_blend_by_hand() -> None:
    n = LESSON.after("blend_by_hand = ")
    assert n.worked.required.value == pytest.approx(n.by_hand)
    assert n.worked.blend.value == pytest.approx(n.blend_by_hand) == pytest.approx(10.82)
    assert n.worked.verdict.word == "outside"


def test_a_solved_pair_stands_inside() -> None:
    n = LESSON.after("second = first.with_pct(")
    made = hlb.work_out(n.second)
    assert made.verdict.word == "inside"
    assert made.blend.value == pytest.approx(made.required.value, abs=0.01)
    assert n.solved.total == pytest.approx(5)
    assert n.second.total_pct == pytest.approx(100, abs=0.01)


def test_a_stop_is_mended_in_the_list() -> None:
    n = LESSON.after("third = hlb.Formula(")
    levels = [[f.level for f in hlb.check(x)] for x in (n.second, n.third)]
    assert levels[0].count("stop") == 1
    assert levels[1].count("stop") == 0
    assert levels[1].count("caution") < levels[0].count("caution") + 1
    assert n.third.problems() == ()


def test_the_butters_are_near_enough_to_each_other() -> None:
    n = LESSON.after("swapped = hlb.swap(")
    assert n.swapped.chosen == "no change"


def test_what_is_weighed_adds_up_and_the_hlb_follows_the_grams() -> None:
    n = LESSON.after("sheet = hlb.batch_sheet(")
    grams = dict(zip(n.sheet.table["ingredient"], n.sheet.table["grams"], strict=True))
    assert sum(grams.values()) == pytest.approx(500)
    low, high = grams["sorbitan stearate"], grams["polysorbate 60"]
    assert n.sheet.hlb.value == pytest.approx((low * 4.7 + high * 14.9) / (low + high))


def test_the_label_goes_by_amount() -> None:
    n = LESSON.after("draft = hlb.declare(")
    assert n.draft.names[:3] == ("Aqua", "Helianthus Annuus Seed Oil", "Butyrospermum Parkii Butter")
