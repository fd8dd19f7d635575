"""Worked examples of the lessons: numbers of the formula where it has them, else of the example."""

from __future__ import annotations

from dataclasses import replace

import pytest

import hlbcore as hlb
from hlbcore.lessons import formula_workings, lesson_example, lesson_texts, working

EXAMPLE = hlb.example_formula()
OWN = hlb.work_out(
    hlb.Formula(
        "Two oils",
        lines=(
            hlb.Line("castor oil", "5", phase="oil"),
            hlb.Line("soybean oil", "15", phase="oil"),
            hlb.Line("sorbitan oleate", phase="oil"),
            hlb.Line("polysorbate 80", phase="oil"),
        ),
        aims=hlb.Aims(dose="5", batch="200 g", scales="0.1 g"),
    )
)
KEYS = tuple(lesson.key for lesson in lesson_texts())
each_lesson = pytest.mark.parametrize("key", KEYS)


@each_lesson
def test_every_lesson_has_an_example_with_the_numbers_of_the_formula(key: str) -> None:
    made = lesson_example(key, OWN)
    assert made.own
    assert made.told.startswith("With the numbers of Two oils.")
    assert all(w.steps for w in made.workings)


@each_lesson
def test_an_empty_formula_gets_the_bundled_example_and_is_told(key: str) -> None:
    made = lesson_example(key, hlb.work_out(hlb.Formula()))
    assert not made.own
    assert made.told.startswith("The open formula does not hold what this needs")
    assert EXAMPLE.name in made.told
    assert made.workings == lesson_example(key, hlb.work_out(EXAMPLE)).workings


@each_lesson
@pytest.mark.parametrize("product", [t.name for t in hlb.product_types()])
def test_every_product_type_has_an_example(key: str, product: str) -> None:
    made = lesson_example(key, hlb.work_out(replace(EXAMPLE, product_type=product)))
    assert made.workings


def results(key: str) -> dict[str, float | None]:
    return {s.text: s.result for w in lesson_example(key, OWN).workings for s in w.steps}


def test_what_is_asked_and_what_is_brought_stand_apart() -> None:
    held = results("what")
    assert "castor oil asks for HLB 14, its required HLB" in held
    assert "sorbitan oleate brings HLB 4.3, its own HLB" in held
    assert held["The oils together ask for"] == pytest.approx((5 * 14 + 15 * 6) / 20)


def test_the_required_hlb_of_the_formula_is_written_out() -> None:
    assert results("required")["Together"] == pytest.approx(8.0)


def test_the_blend_of_the_formula_is_split() -> None:
    share = (8.0 - 4.3) / (15 - 4.3)
    text = "Share of polysorbate 80: the way from sorbitan oleate to the HLB wanted, over the whole way"
    assert results("blend")[text] == pytest.approx(share)


def test_amounts_hold_the_usual_dose_and_the_grams() -> None:
    titles = [w.title for w in lesson_example("amount", OWN).workings]
    assert titles == ["Usual dose, o/w cream", "Grams on the scale"]


def test_the_largest_oil_is_swapped_where_no_swap_is_asked_for() -> None:
    made = lesson_example("swap", OWN)
    assert "so soybean oil goes out and" in made.told


def test_a_swap_that_is_asked_for_is_the_one_written_out() -> None:
    asked = hlb.swap(OWN, out="castor oil", into="mango butter")
    made = lesson_example("swap", OWN, wanted=asked)
    assert made.workings == (working(asked),)
    assert "the one on the page Swap" in made.told


def test_the_ladder_is_made_with_the_pair_of_the_formula() -> None:
    made = lesson_example("ladder", OWN)
    vials = [s for s in made.workings[0].steps if "HLB of its grams" in s.text]
    assert len(vials) == 5
    assert all("× 4.3" in s.with_numbers or "× 15" in s.with_numbers for s in vials)


def test_doubt_and_window_are_set_side_by_side() -> None:
    held = results("limits")
    assert held["Required HLB: from the low to the high end"] == pytest.approx(2)
    assert held["The window, from edge to edge"] == pytest.approx(2)


def test_a_lesson_that_is_none_is_refused() -> None:
    with pytest.raises(hlb.InvalidInput, match="there is none of that name"):
        lesson_example("nothing", OWN)


# --- the same for a formula


def test_a_formula_is_written_out_in_the_order_of_the_page() -> None:
    assert [w.title for w in formula_workings(OWN)] == [
        "Required HLB of the oil phase, o/w",
        "A blend for the HLB wanted",
        "Usual dose, o/w cream",
        "Grams on the scale",
    ]


def test_amounts_that_are_only_checked_are_written_out_as_a_blend() -> None:
    *oils, low, high = OWN.formula.lines
    lines = (*oils, low.with_amount("2"), high.with_amount("3"))
    held = hlb.work_out(replace(OWN.formula, lines=lines))
    assert held.solved is None
    made = {w.title: w for w in formula_workings(held)}
    last = made["HLB of the blend"].steps[2]
    assert last.result == pytest.approx(0.4 * 4.3 + 0.6 * 15)


def test_an_empty_formula_has_nothing_to_write_out() -> None:
    assert formula_workings(hlb.work_out(hlb.Formula())) == ()


def test_every_rule_and_limit_of_the_lessons_says_where_it_comes_from() -> None:
    for lesson in lesson_texts():
        assert lesson.rules
        assert lesson.limits
        assert all(source for _, _, source in lesson.rules)
        assert all(limit.source for limit in lesson.limits)


def test_every_lesson_has_exercises_and_every_level_a_lesson() -> None:
    dealt = [level for lesson in lesson_texts() for level in lesson.levels]
    assert sorted(dealt) == sorted(hlb.lessons.LEVELS)
