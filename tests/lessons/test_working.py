"""Workings put through plain arithmetic again, and printed examples redone as lessons."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_sums import arithmetic
from printed_values import printed

import hlbcore as hlb
from hlbcore import Estimate
from hlbcore.folders import data_folder
from hlbcore.ladder.fit import fit_trials
from hlbcore.ladder.plan import plan_ladder
from hlbcore.lessons import (
    Step,
    Working,
    back_out_working,
    davies_working,
    lesson_text,
    lesson_texts,
    masses_working,
    oxyethylene_working,
    pair_working,
    saponification_working,
    working,
)
from hlbcore.lessons._steps import STEP_COLUMNS, figure

PHASE = {"soybean oil": 10, "cocoa butter": 7.5, "mango butter": 7.5, "water": 70}
REQUIRED = hlb.required_hlb(PHASE)
PAIR = ["sorbitan stearate", "polysorbate 60"]
BLEND = hlb.solve_blend(PAIR, REQUIRED, total=5)
TRIPLE = hlb.solve_blend([*PAIR, "ceteareth-20"], 10, total=(3, 6), objective="most tolerant")
WEIGHED = hlb.weigh_blend(BLEND, 100, 0.1)
LADDER = plan_ladder(
    "sorbitan stearate",
    "polysorbate 60",
    centre=10,
    half_width=3,
    steps=7,
    vial_mass_g=50,
    emulsifier_pct=3,
    oil_phase={"mineral oil": 20},
    readability_g=0.01,
)
FIT = fit_trials([7, 8, 9, 10, 11, 12, 13], [0, 2, 3, 4, 4, 3, 1])
CREAM = hlb.Formula(
    "Body butter",
    "o/w cream",
    (
        hlb.Line("soybean oil", 10, phase="oil"),
        hlb.Line("cocoa butter", 7.5, phase="oil"),
        hlb.Line("mango butter", 7.5, phase="oil"),
        hlb.Line("sorbitan oleate", 3.72, phase="oil"),
        hlb.Line("polysorbate 80", 1.28, phase="oil"),
        hlb.Line("water", 70, phase="water"),
    ),
)
KEPT = hlb.swap(CREAM, out="cocoa butter", into="mango butter")
MOVED = hlb.swap(CREAM, out="soybean oil", into="castor oil")
WORKINGS = {
    "required": working(REQUIRED),
    "required by numbers": working(hlb.required_hlb([(35.0, 12.0), (1.0, 10.0), (1.0, 15.0)])),
    "required in grams": working(hlb.required_hlb({"shea butter": "3 oz", "olive oil": "40 g"})),
    "blend hlb": working(hlb.blend_hlb({"sorbitan oleate": 42, "polysorbate 80": 58})),
    "pair": working(BLEND),
    "triple": working(TRIPLE),
    "weighed": working(WEIGHED),
    "weighed, exact": working(WEIGHED, blend=BLEND),
    "ladder": working(LADDER),
    "back-out": back_out_working(8, {"olive oil": 20}, 10),
    "back-out in grams": back_out_working("9,5", {"olive oil": "1 oz"}, "40 g"),
    "back-out from a fit": back_out_working(FIT, [(5, 7.0), (5, 8.0)], 10),
    "swap that keeps the blend": working(KEPT),
    "swap that moves the blend": working(MOVED),
    "split": pair_working(4.3, 15, target=10.5),
    "split at an end": pair_working(4.3, 15, target=15),
    "masses": masses_working(20 * 44.053, 20 * 44.053 + 270.5),
    "saponification": saponification_working(45.5, 276),
    "oxyethylene": oxyethylene_working(60, 12.5),
    "davies": davies_working({"SO4Na": 1, "CH3": 1, "CH2": 11}),
    **{
        f"dose of {t.name}": working(hlb.usual_loading(26, t))
        for t in hlb.product_types()
        if hlb.usual_loading(26, t).of_oil is not None
    },
}
STEPS = [
    pytest.param(step, id=f"{name} {n}")
    for name, held in WORKINGS.items()
    for n, step in enumerate(held.steps, 1)
]
every_working = pytest.mark.parametrize("held", WORKINGS.values(), ids=WORKINGS.keys())


@pytest.mark.parametrize("step", STEPS)
def test_the_line_with_numbers_comes_to_the_result(step: Step) -> None:
    assert step.result is not None
    # shares are printed to four decimals, so a product of HLB 20 may be off by a few thousandths
    assert arithmetic(step.with_numbers) == pytest.approx(step.result, rel=5e-4, abs=2e-3)


@pytest.mark.parametrize("step", STEPS)
def test_every_step_has_formula_and_unit(step: Step) -> None:
    assert step.text
    assert step.formula
    assert step.unit


def last(held: Working, text: str) -> float | None:
    return next(s.result for s in reversed(held.steps) if s.text.startswith(text))


def test_results_are_those_of_the_objects() -> None:
    required, pair = WORKINGS["required"], WORKINGS["pair"]
    assert last(required, "Together") == REQUIRED.value
    assert last(required, "The same sum with the low") == REQUIRED.low
    assert last(required, "The same sum with the high") == REQUIRED.high
    assert last(pair, "Put the shares back") == BLEND.hlb
    assert last(pair, "polysorbate 60, its share times the total") == BLEND.masses[1]
    weighed = WORKINGS["weighed"]
    assert last(weighed, "HLB as weighed") == WEIGHED.hlb.value
    assert (last(weighed, "Lowest"), last(weighed, "Highest")) == WEIGHED.hlb_span


def test_a_swap_shows_both_targets_and_what_changes() -> None:
    held = WORKINGS["swap that moves the blend"]
    assert MOVED.old_target is not None
    assert MOVED.new_target is not None
    assert MOVED.new_blend is not None
    assert last(held, "Required HLB before") == MOVED.old_target.value
    assert last(held, "Required HLB after") == MOVED.new_target.value
    assert last(held, "HLB with the option") == MOVED.new_blend.value
    changed = {s.text: s.result for s in held.steps if "changed by" in s.text}
    assert len(changed) == len(MOVED.option.changes) > 0
    kept = WORKINGS["swap that keeps the blend"]
    assert KEPT.chosen == "no change"
    assert not any("changed by" in s.text for s in kept.steps)
    assert KEPT.answer in kept.text


def test_the_weighing_error_of_each_vial_is_that_of_the_table() -> None:
    table = LADDER.table
    errors = [s.result for s in WORKINGS["ladder"].steps if "weighing error" in s.text]
    values = [s.result for s in WORKINGS["ladder"].steps if "HLB of its grams" in s.text]
    assert errors == pytest.approx(table["hlb_sd"].tolist())
    assert values == pytest.approx(table["hlb_as_weighed"].tolist())


def test_an_optimum_is_told_with_how_its_interval_comes_about() -> None:
    held = working(FIT)
    assert FIT.computed is not None
    low, middle, high = FIT.computed
    assert last(held, "Optimum: the mean of all tops") == pytest.approx(middle)
    assert last(held, "2 % of the belief lies below") == pytest.approx(high - low)
    assert last(held, "Half a rung") == FIT.half_rung
    assert round(middle, 1) == FIT.optimum
    assert f"{FIT.low:.1f} to {FIT.high:.1f}" in held.text
    assert FIT.verdict in held.text


def test_a_ladder_without_optimum_says_so() -> None:
    fit = fit_trials([8, 9, 10, 11, 12], [1, 2, 3, 4, 5])
    held = working(fit)
    assert "extend the ladder" in held.text
    assert not any("mean of all tops" in s.text for s in held.steps)


def test_the_sum_is_the_text_of_the_result_itself() -> None:
    assert WORKINGS["required"].steps[4].with_numbers == REQUIRED.working.rpartition(" = ")[0]
    assert WORKINGS["pair"].steps[0].with_numbers in BLEND.split_working


@every_working
def test_text_holds_every_step_and_remark(held: Working) -> None:
    assert held.text.splitlines()[0] == held.title
    assert [s.line in held.text for s in held.steps] == [True] * len(held.steps)
    assert [r in held.text for r in held.remarks] == [True] * len(held.remarks)


@every_working
def test_table_has_its_columns(held: Working) -> None:
    assert list(held.table.columns) == list(STEP_COLUMNS)
    assert held.table["step"].tolist() == list(range(1, len(held.steps) + 1))


def test_what_is_left_out_is_said() -> None:
    assert any(r.startswith("Left out: water (70 parts)") for r in WORKINGS["required"].remarks)


def test_exact_figures_have_no_range_steps() -> None:
    held = working(hlb.required_hlb([(1, 7.0), (1, 9.0)]))
    assert not any("same sum" in s.text for s in held.steps)


def test_no_usual_dose_is_said_in_words() -> None:
    held = working(hlb.usual_loading(20, "whipped butter"))
    assert held.steps == ()
    assert held.text.endswith("no usual emulsifier dose.")


def test_a_result_without_steps_is_refused_with_the_way_out() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"working of a float: .*Give the result of"):
        working(7.0)  # type: ignore[arg-type]


def test_names_of_the_users_own_are_clipped() -> None:
    name = "<b>" + "x" * 500
    held = working(hlb.required_hlb({name: 1, "olive oil": 1}, values={name: 9}))
    assert max(len(s.line) for s in held.steps) < 300


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (7.0, "7"),
        (12.02703, "12.027"),
        (1e-17, "0"),
        (0.0004, "0.0004"),
        (-0.475, "-0.475"),
        (2.5e7, "2.5e+07"),
        (-1e-16, "0"),
    ],
)
def test_figures_have_four_decimals_at_most(value: float, text: str) -> None:
    assert figure(value) == text


MASS = st.integers(1, 400).map(lambda n: n / 10)
VALUE = st.integers(10, 180).map(lambda n: n / 10)


@settings(max_examples=40)
@given(st.lists(st.tuples(MASS, VALUE), min_size=1, max_size=6))
def test_any_oil_phase_can_be_followed_by_hand(lines: list[tuple[float, float]]) -> None:
    held = working(hlb.required_hlb(lines))
    by_hand = sum(m * v for m, v in lines) / sum(m for m, _ in lines)
    assert last(held, "Together") == pytest.approx(by_hand, abs=1e-9)
    for step in held.steps:
        assert step.result is not None
        assert arithmetic(step.with_numbers) == pytest.approx(step.result, abs=2e-3)


@settings(max_examples=40)
@given(VALUE, VALUE, st.floats(0.01, 0.99))
def test_any_split_can_be_followed_by_hand(a: float, b: float, share: float) -> None:
    if abs(a - b) < 0.5:
        return
    target = a + share * (b - a)
    steps = pair_working(a, b, target=target).steps
    assert steps[0].result == pytest.approx(share, abs=1e-9)
    # a target is printed to four digits in the text of the blend
    assert arithmetic(steps[0].with_numbers) == pytest.approx(share, abs=0.02)


@pytest.mark.parametrize("target", [3.0, 16.0])
def test_a_split_out_of_reach_is_refused(target: float) -> None:
    with pytest.raises(hlb.UnreachableTarget):
        pair_working(4.3, 15.0, target=target)


# --- printed examples as lessons: the last line of the working prints what the page prints


def shown(step: Step, decimals: int) -> str:
    assert step.result is not None
    return f"{step.result:.{decimals}f}"


@pytest.mark.published
@pytest.mark.parametrize(
    ("lines", "page"),
    [
        pytest.param([(35, 12), (1, 10), (1, 15)], "12.03", id="worksheet_672866704"),
        pytest.param([(8, 15), (1, 15), (1, 10)], "14.5", id="study_cards_14736460, card 2"),
        pytest.param([(22, 12), (8, 11), (20, 10)], "11.04", id="worksheet_96860895"),
        pytest.param([(24, 9), (14, 11), (5, 14)], "10.23", id="class_exercise_156737183"),
        pytest.param([(10, 7), (7.5, 6), (7.5, 8)], "7.00", id="barclay_nichols_2011_04_28"),
    ],
)
def test_printed_required_hlb(lines: list[tuple[float, float]], page: str) -> None:
    held = working(hlb.required_hlb(lines))
    step = held.steps[-1]
    assert step.result == printed(page)
    assert shown(step, len(page.partition(".")[2])) == page
    assert arithmetic(step.with_numbers) == printed(page)


@pytest.mark.published
def test_57_14_of_a_homework_page_is_12_04_as_a_lesson() -> None:
    # homework_page_101529772 prints 57.14; the steps show the division that it missed
    held = working(hlb.required_hlb([(25, 12), (1, 10), (1, 15)]))
    assert held.steps[-1].with_numbers == "(25 × 12 + 1 × 10 + 1 × 15) / (25 + 1 + 1)"
    assert shown(held.steps[-1], 2) == "12.04"


@pytest.mark.published
@pytest.mark.parametrize(
    ("low", "high", "target", "total", "page_low", "page_high"),
    [
        pytest.param(4.7, 16.7, 14, 25, "5.625", "19.375", id="study_cards_14736460, card 1"),
        pytest.param(4.3, 14.9, 14, 12.5, "1.06", "11.44", id="study_cards_4291052"),
        pytest.param(4.3, 15, 13, 3, "0.561", "2.439", id="worksheet_452600676"),
        pytest.param(4.3, 15, 13, 5, "0.93", "4.07", id="quiz_d5wiv"),
        pytest.param(6, 16, 11.04, 5, "2.48", "2.52", id="worksheet_96860895"),
        pytest.param(4, 12, 10, 100, "25", "75", id="firsthope_emulsions, 25 and 75 %"),
    ],
)
def test_printed_splits(
    low: float, high: float, target: float, total: float, page_low: str, page_high: str
) -> None:
    blend = hlb.solve_blend({"low": low, "high": high}, target, total=total)
    held = working(blend)
    assert last(held, "low, its share times the total") == printed(page_low)
    assert last(held, "high, its share times the total") == printed(page_high)
    share = pair_working(low, high, target=target).steps[0].result
    assert share is not None
    assert total * share == printed(page_high)


@pytest.mark.published
@pytest.mark.parametrize(
    ("parts", "page"),
    [
        pytest.param([(10, 4.7), (20, 14.9)], "11.5", id="lecture_302177622"),
        pytest.param([(20, 16.7), (30, 8.6), (50, 4.3)], "8.07", id="homework_three_emulsifiers"),
        pytest.param([(90, 15.0), (10, 4.3)], "13.93", id="pmc4137601, 9:1"),
        pytest.param([(2, 3.8), (3, 15)], "10.52", id="grimoires_2009_07"),
    ],
)
def test_printed_blends(parts: list[tuple[float, float]], page: str) -> None:
    assert working(hlb.blend_hlb(parts)).steps[-1].result == printed(page)


@pytest.mark.published
@pytest.mark.parametrize(
    ("held", "page"),
    [
        pytest.param(davies_working({"SO4Na": 1, "CH3": 1, "CH2": 11}), "40.0", id="davies_1957"),
        pytest.param(
            davies_working({"COONa": 1, "CH2": 17}),
            "18.0",
            id="french_university_handout_413554008, sodium oleate",
        ),
        pytest.param(
            davies_working({"COOK": 1, "CH2": 17}),
            "20.0",
            id="french_university_handout_413554008, potassium oleate",
        ),
        pytest.param(saponification_working(45.5, 276), "16.7", id="griffin_1954_recalled"),
        pytest.param(
            masses_working(20 * 44.053, 20 * 44.053 + 270.5),
            "15.3",
            id="alfa_chemistry_hlb_reference, steareth-20",
        ),
    ],
)
def test_printed_structures(held: Working, page: str) -> None:
    assert held.steps[-1].result == printed(page)
    assert arithmetic(held.steps[-1].with_numbers) == printed(page)


@pytest.mark.published
@pytest.mark.parametrize(
    ("amounts", "page", "whole"),
    [
        pytest.param((1.5, 7.5, 7.5, 12.5), 10.33, 34, id="F1"),
        pytest.param((1.5, 7.5, 7.5, 10.5), 10.04, 32, id="F2"),
        pytest.param((1.5, 7.5, 7.5, 8.5), 9.71, 30, id="F3"),
        pytest.param((1.5, 7.5, 7.5, 6.5), 9.33, 28, id="F4"),
        pytest.param((1.5, 10.0, 10.0, 10.5), 9.72, 37, id="F5"),
    ],
)
def test_the_plant_oil_of_a_paper_is_worked_back(
    amounts: tuple[float, ...], page: float, whole: float
) -> None:
    # wangpradit_2022, Table 4: beeswax, myristate, glyceryl stearate, stearic acid and 5 % of a
    # plant oil of 6.2; the two decimals of the page leave 0.005 times the phase over 5
    known = list(zip(amounts, (12.0, 11.5, 3.8, 15.0), strict=True))
    held = back_out_working(page, known, 5)
    assert last(held, "Take away") == pytest.approx(6.2, abs=0.04)
    assert last(held, "An error") == whole / 5


# --- the short lessons


def test_every_source_of_a_lesson_resolves() -> None:
    known = hlb.load_library().sources
    for lesson in lesson_texts():
        for source in [x.source for x in lesson.limits] + [x for *_, x in lesson.rules]:
            tables = re.findall(r"\bdata/(\w+\.csv)", source)
            assert [t for t in tables if not (data_folder() / t).is_file()] == []
            keys = re.findall(r"\b[a-z]+(?:_[a-z0-9]+)+\b", re.sub(r"\bdata/\w+\.csv", "", source))
            assert [k for k in keys if k not in known] == []
            assert keys or tables or re.search("no source|memory|tables of this|arithmetic", source)


def test_every_lesson_names_limits_and_pasquali_is_heard() -> None:
    assert all(lesson.limits for lesson in lesson_texts())
    assert sum("pasquali_2008" in x.source for le in lesson_texts() for x in le.limits) >= 3


def test_every_level_belongs_to_one_lesson_and_exercises_say_which() -> None:
    named = [level for lesson in lesson_texts() for level in lesson.levels]
    assert sorted(named) == sorted(hlb.lessons.LEVELS)
    for lesson in lesson_texts():
        for level in lesson.levels:
            assert hlb.lessons.make_exercise(level, 1).lesson == lesson.key


@pytest.mark.parametrize("phrase", ["stable", "correct HLB", "guarantee"])
def test_lessons_promise_nothing(phrase: str) -> None:
    assert [x.key for x in lesson_texts() if phrase in x.text] == []


def test_figures_in_the_lessons_are_those_of_the_core() -> None:
    lib = hlb.load_library()
    mineral = lib.oil("mineral oil")
    ow, wo = mineral.required_hlb("o/w"), mineral.required_hlb("w/o")
    assert ow is not None
    assert wo is not None
    assert f"about {ow.value:g} in o/w and about {wo.value:g} in w/o" in lesson_text("required").text
    lauryl = lib.emulsifier("sodium lauryl sulfate").hlb
    assert lauryl is not None
    assert f"sodium lauryl sulfate at {lauryl.value:g}" in lesson_text("what").text
    before = hlb.required_hlb({"soybean oil": 10, "cocoa butter": 7.5, "mango butter": 7.5})
    after = hlb.required_hlb({"soybean oil": 10, "mango butter": 15})
    moved = after.value - before.value
    assert f"moves the required HLB by {moved:.1f}" in lesson_text("swap").text
    dose = hlb.usual_loading(25.0, "o/w cream")
    usual = (
        f"holds {dose.low_pct:.0f} to {dose.high_pct:.0f} % of emulsifier, or {dose.low_of_oil_pct:.0f} to "
        f"{dose.high_of_oil_pct:.0f} % of its oil phase"
    )
    assert usual in lesson_text("amount").text


def test_an_unknown_lesson_is_refused_with_the_list() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"lesson 'x': .*Use what, required, blend"):
        lesson_text("x")


def test_own_estimates_keep_their_range_in_the_working() -> None:
    held = working(hlb.required_hlb([(1, Estimate(8, 7, 10))]))
    assert last(held, "The same sum with the high") == 10
