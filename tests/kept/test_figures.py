from __future__ import annotations

import math

import pytest

from hlbcore import Formula, example_formula, work_out
from hlbcore.kept.figures import compare_figures, kept_figures, what_moved

WORKED = work_out(example_formula())
BLANK = work_out(Formula())


def test_the_figures_kept_are_those_of_the_page() -> None:
    held = kept_figures(WORKED)
    assert WORKED.required is not None
    assert WORKED.blend is not None
    assert held == {
        "required": WORKED.required.value,
        "blend": WORKED.blend.value,
        "total": pytest.approx(math.fsum(WORKED.amounts.values())),
        "word": WORKED.verdict.word,
    }


def test_what_could_not_be_computed_is_left_out() -> None:
    assert kept_figures(BLANK) == {"word": "no verdict: no emulsifier"}


def test_nothing_has_moved_right_after_keeping() -> None:
    assert what_moved(kept_figures(WORKED), WORKED) == ()


@pytest.mark.parametrize(("by", "told"), [(0.04, 0), (0.06, 1), (-0.06, 1)])
def test_a_figure_has_moved_once_its_first_decimal_may(by: float, told: int) -> None:
    then = kept_figures(WORKED)
    assert isinstance(then["required"], float)
    assert len(what_moved({"required": then["required"] + by}, WORKED)) == told


def test_a_verdict_that_changed_is_told_in_words() -> None:
    assert what_moved({"word": "outside"}, WORKED) == ("verdict: outside when it was kept, inside now",)


def test_a_figure_that_is_unknown_on_one_side_has_not_moved() -> None:
    assert what_moved({}, WORKED) == ()
    assert what_moved({"required": 7.0}, BLANK) == ()


def test_figures_of_another_hand_break_nothing() -> None:
    assert what_moved({"required": "seven", "odd": 1.0}, WORKED)[0].startswith("required HLB")


def test_two_versions_stand_beside_each_other_as_printed() -> None:
    table = compare_figures({"required": 7.04, "word": "inside"}, {"required": 7.06})
    assert table.columns.tolist() == ["figure", "before", "after"]
    assert table["before"].tolist() == ["7.0", "", "", "inside"]
    assert table["after"].tolist() == ["7.1", "", "", ""]
