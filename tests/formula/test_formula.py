"""A formula: half-written is valid, problems are told by line, nothing changes unasked."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore import Aims, Composite, Estimate, Formula, InvalidInput, Library, Line, Portion, load_library
from hlbcore.errors import EmptyPhase
from hlbcore.formula.lines import CompositePart

CREAM = "o/w cream"
WAX = Composite("house wax", (CompositePart("cetearyl alcohol", 80), CompositePart("polysorbate 60", 20)))
ALL = (Line("alpha oil", 100, phase="oil"),)


def made(*lines: Line, **more: Any) -> Formula:
    return Formula("x", CREAM, lines, **more)


def told(formula: Formula, library: Library) -> list[tuple[int | None, str]]:
    return [(p.line, p.text) for p in formula.problems(library)]


# --- half-written formulas are valid, bad numbers are not


@pytest.mark.parametrize(
    "lines",
    [(), (Line("", 0),), (Line("nobody knows", 3, phase="?"),), (Line("alpha oil", 1e6),)],
    ids=["empty", "blank", "unknown", "far too much"],
)
def test_a_half_written_formula_is_an_object(lines: tuple[Line, ...]) -> None:
    assert made(*lines).problems() != ()


def test_a_formula_can_be_compared_and_hashed() -> None:
    assert len({made(*ALL), made(*ALL), made()}) == 2


def test_an_unknown_product_type_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"soup"):
        Formula("x", "soup")


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("name", 5, "formula, name: '5' is not text"),
        ("note", None, "formula, note: 'None' is not text"),
        ("phases", "oil", "phases: 'oil' is no list. List them"),
        ("phases", [["oil"]], "is not text"),
        ("facts", {"ph": 5}, "fact, ph: '5' is not text"),
    ],
)
def test_a_text_of_a_formula_is_text(field: str, value: Any, words: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        Formula(**{field: value})
    assert words in str(caught.value)


# --- amounts in per cent of the batch


@pytest.mark.parametrize("amount", ["10 %", "50 g", "0.05 kg", "50000 mg", "1.763698 oz", "0.1102311 lb"])
@pytest.mark.parametrize("unit", ["%", "g"])
def test_a_unit_behind_the_number_leads_over_the_unit_of_the_formula(amount: str, unit: str) -> None:
    formula = made(Line("a", amount), aims=Aims(unit=unit))
    assert formula.pcts == (pytest.approx(10.0, rel=1e-6),)


def test_plain_numbers_may_be_grams_of_the_batch() -> None:
    formula = made(Line("a", 10), Line("b", "10 %"), aims=Aims(unit="g", batch="200 g"))
    assert formula.pcts == (5.0, 10.0)


def test_grams_wait_for_a_batch_and_per_cents_do_not() -> None:
    formula = made(Line("a", "50 g"), Line("b", "10 %"), aims=Aims(batch=""))
    assert formula.pcts == (0.0, 10.0)
    (problem,) = formula.found
    assert (problem.line, problem.field) == (0, "amount")
    assert problem.text == "'a': it needs the mass of the batch. Mend the batch first."


@pytest.mark.parametrize("amount", ["101", "501 g", "1e308", "100.001 %"])
def test_more_than_the_whole_is_told_at_its_line(amount: str) -> None:
    formula = made(Line("a", amount), Line("b", "10 %"))
    assert formula.pcts == (0.0, 10.0)
    (problem,) = formula.found
    assert (problem.line, problem.field) == (0, "amount")
    assert problem.text.endswith("% is more than the whole formula. Enter 0 to 100 %.")


def test_every_field_that_cannot_be_read_is_told_at_once() -> None:
    bad = Line("a", "x", own="41", active="x", low="x", high="x", price="x", supplier_rate="x", oil_limit="x")
    aims = Aims(dose="x", window="x", batch="x", scales="x", smallest="x")
    formula = Formula("x", CREAM, [bad], portions="x", blends="x", facts=(("ph", "x"),), aims=aims)
    assert [p.field for p in formula.found] == [
        *("amount", "own", "active", "low", "high", "price", "supplier_rate", "oil_limit"),
        *("dose", "window", "batch", "scales", "smallest", "portions", "blends", "fact ph"),
    ]
    assert {p.line for p in formula.found} == {0, None}


def test_limits_the_wrong_way_round_are_told() -> None:
    (problem,) = made(Line("a", 1, low="3", high="2")).found
    assert (problem.field, problem.text) == (
        "low",
        "'a': the low limit 3 lies above the high limit 2. Swap the two.",
    )


def test_an_oil_limit_without_a_rate_is_told() -> None:
    (problem,) = made(Line("a", 1, oil_limit="25")).found
    assert problem.field == "oil_limit"
    assert problem.text.startswith("'a': the supplier's rate is missing. Enter it too")


# --- problems


def test_a_whole_formula_has_no_problem(tiny_library: Library) -> None:
    assert told(made(*ALL), tiny_library) == []


@pytest.mark.parametrize(
    ("total", "words"),
    [(101, "adds to 101 %: 1 % is too much"), (98.7, "adds to 98.7 %: 1.3 % is missing")],
    ids=["over", "under"],
)
def test_the_total_is_told_with_how_much_and_the_mend(
    tiny_library: Library, total: float, words: str
) -> None:
    [(line, text)] = told(
        made(Line("alpha oil", 60, phase="oil"), Line("beta oil", total - 60, phase="oil")), tiny_library
    )
    assert line is None
    assert words in text
    assert text.endswith("Fill a line, or rescale.")


@pytest.mark.parametrize("total", [99.995, 100.005])
def test_what_two_decimals_cannot_show_is_no_problem(tiny_library: Library, total: float) -> None:
    assert (
        told(
            made(Line("alpha oil", 60, phase="oil"), Line("beta oil", total - 60, phase="oil")), tiny_library
        )
        == []
    )


@pytest.mark.parametrize("name", ["", "  "], ids=["empty", "spaces"])
def test_a_blank_name_is_told_by_its_line(tiny_library: Library, name: str) -> None:
    assert told(made(*ALL, Line(name, 0, phase="oil")), tiny_library) == [
        (1, "Line 2 has no name. Name it, or delete it.")
    ]


def test_an_unknown_name_is_told_with_close_matches(tiny_library: Library) -> None:
    [(line, text)] = told(made(Line("alpa oil", 100, phase="oil")), tiny_library)
    assert line == 0
    assert "'alpa oil' is not in the tables. Did you mean 'alpha oil'" in text


def test_an_unknown_name_with_a_value_of_its_own_is_no_problem(tiny_library: Library) -> None:
    own = Line("house oil", 100, phase="oil", own=Estimate.exactly(8))
    assert told(made(own), tiny_library) == []


def test_the_name_of_a_composite_is_known() -> None:
    formula = made(Line("House Wax", 100, phase="oil"), blends=(WAX,))
    assert told(formula, load_library()) == []


def test_a_part_that_nobody_knows_is_told_with_its_blend(tiny_library: Library) -> None:
    formula = made(Line("House Wax", 100, phase="oil"), blends=(WAX,))
    assert ["a part of 'house wax'" in text for _, text in told(formula, tiny_library)] == [True]


def test_an_unknown_phase_is_told_with_the_phases(tiny_library: Library) -> None:
    [(line, text)] = told(made(Line("alpha oil", 100, phase="attic")), tiny_library)
    assert line == 0
    assert "phase 'attic' is not one of water, oil, cool-down, solids" in text


def test_a_formula_may_name_its_own_phases(tiny_library: Library) -> None:
    own = made(Line("alpha oil", 100, phase="attic"), phases=("attic",))
    assert told(own, tiny_library) == []


def test_a_missing_portion_is_told(tiny_library: Library) -> None:
    formula = made(*ALL, Line("beta oil", 1, phase="oil", portion="rose"))
    assert told(formula, tiny_library) == [
        (1, "'beta oil': there is no portion 'rose'. Add it, or move the line to the base.")
    ]


def test_an_ingredient_twice_in_a_phase_is_told_by_any_of_its_names(tiny_library: Library) -> None:
    twice = made(Line("alpha oil", 50, phase="oil"), Line("First Oil", 50, phase="oil"))
    [(line, text)] = told(twice, tiny_library)
    assert line == 1
    assert "stands again in the same phase, also in line 1. Put the two together" in text


def test_an_ingredient_may_stand_in_two_phases(tiny_library: Library) -> None:
    two = made(Line("alpha oil", 50, phase="oil"), Line("alpha oil", 50, phase="cool-down"))
    assert told(two, tiny_library) == []


def test_shares_of_portions_must_add_to_100(tiny_library: Library) -> None:
    formula = made(*ALL, portions=(Portion("a", 50), Portion("b", 40)))
    assert told(formula, tiny_library) == [(None, "The portions add to 90 % of the base, not 100 %.")]


def test_parts_of_a_composite_must_add_to_100(tiny_library: Library) -> None:
    short = Composite("short", (CompositePart("alpha oil", 60), CompositePart("beta oil", 30)))
    [(line, text)] = told(made(*ALL, blends=(short,)), tiny_library)
    assert line is None
    assert "parts of 'short' add to 90 %, not 100 %. Mend the parts" in text


def test_every_problem_is_told_at_once(tiny_library: Library) -> None:
    formula = made(Line("", 1), Line("nobody", 2, phase="?"), portions=(Portion("a", 1),))
    assert [line for line, _ in told(formula, tiny_library)] == [None, 0, 1, 1, None]


# --- fill, rescaled


def test_a_blank_line_is_no_problem(tiny_library: Library) -> None:
    assert told(made(*ALL, Line("", "")), tiny_library) == []


def test_fill_changes_one_line_alone() -> None:
    before = made(Line("water", 70, phase="water"), Line("olive oil", 25, phase="oil"))
    after = before.fill("aqua")
    assert after.total_pct == pytest.approx(100, abs=1e-12)
    assert after.lines[1] == before.lines[1]
    assert after.lines[0] == before.lines[0].with_amount("75")


def test_fill_takes_away_too() -> None:
    assert made(Line("water", 70), Line("olive oil", 31)).fill("water").lines[0].pct == 69


def test_fill_that_would_be_negative_is_refused_with_the_amount() -> None:
    with pytest.raises(InvalidInput, match=r"'water': it would be -5 %\. Reduce other lines first"):
        made(Line("water", 1), Line("olive oil", 99), Line("castor oil", 6)).fill("water")


def test_fill_of_a_line_that_is_not_there_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"'water': it is not in the base\. Add it"):
        made(*ALL).fill("water")


def test_fill_never_takes_a_line_of_a_portion() -> None:
    with pytest.raises(InvalidInput, match="it is not in the base"):
        made(*ALL, Line("water", 1, portion="a")).fill("water")


def test_rescaled_keeps_proportions_and_what_is_on_top() -> None:
    on_top = Line("fragrance", 2, portion="a")
    after = made(Line("a", 30), Line("b", 20), on_top, portions=(Portion("a", 100),)).rescaled()
    assert [x.pct for x in after.lines] == [60, 40, 2]


@pytest.mark.parametrize("text", ["lots", "150", "", "3 spoons"])
def test_what_cannot_be_read_stays_as_typed(text: str) -> None:
    odd = Line("odd", text)
    before = made(Line("a", 30), odd, portions=(Portion("p", 100),))
    assert before.rescaled().lines[1] == odd
    assert before.part("p").lines[1] == odd


def test_amounts_with_a_unit_come_back_in_per_cent() -> None:
    aims = Aims(unit="g", batch="200 g")
    after = made(Line("a", 30), Line("b", "5 %"), aims=aims).rescaled()
    assert [x.amount.text for x in after.lines] == ["75 %", "25 %"]
    assert after.total_pct == pytest.approx(100)


def test_rescaled_nothing_is_refused() -> None:
    with pytest.raises(EmptyPhase, match=r"The formula has no amount above 0\. Enter amounts"):
        made(Line("a", 0)).rescaled()


def test_nothing_is_changed_in_place() -> None:
    before = made(Line("water", 70), Line("b", 20), portions=(Portion("a", 100),))
    text = before.to_json()
    before.fill("water")
    before.rescaled()
    before.part("a")
    assert before.to_json() == text


# --- portions and composites


ROSE = made(
    Line("sunflower oil", 99, phase="oil"),
    Line("phenoxyethanol", 1, phase="cool-down"),
    Line("fragrance", 2, portion="rose"),
    Line("iron oxides", 3, portion="Rose"),
    Line("ultramarines", 1, portion="plain"),
    portions=(Portion("rose", 50), Portion("plain", 50)),
)


def test_what_is_added_on_top_dilutes_the_base() -> None:
    rose = ROSE.part("rose")
    assert dict(zip((x.name for x in rose.lines), rose.pcts, strict=True)) == pytest.approx(
        {
            "sunflower oil": 99 / 1.05,
            "phenoxyethanol": 1 / 1.05,
            "fragrance": 2 / 1.05,
            "iron oxides": 3 / 1.05,
        }
    )
    assert rose.total_pct == pytest.approx(100)


def test_what_is_on_top_does_not_count_in_the_base() -> None:
    assert ROSE.total_pct == 100


def test_a_portion_that_is_not_there_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"portion 'mint': there is none .*Add it first"):
        ROSE.part("mint")


def test_each_portion_leaves_the_bench_under_its_name() -> None:
    assert [f.name for f in ROSE.finished()] == ["x, rose", "x, plain"]
    assert all(f.portion_list == () for f in ROSE.finished())


def test_a_formula_without_portions_is_its_own_product() -> None:
    assert made(*ALL).finished() == (made(*ALL),)


def test_two_portions_of_one_name_are_a_problem() -> None:
    portions = (Portion("Rose", 30), Portion("plain", 40), Portion("rose ", 30))
    said = [p.text for p in made(Line("alpha oil", 100), portions=portions).problems()]
    wanted = "2 portions are named 'rose'. Give each a name of its own, or put them together."
    assert wanted in said
    assert not [t for t in said if "plain" in t]


# --- masses


def from_masses(*pairs: tuple[str, float | str]) -> tuple[Formula, tuple[str, ...]]:
    return Formula.from_masses(pairs, name="x", product=CREAM)


@pytest.mark.parametrize("build", [dict, list], ids=["mapping", "pairs"])
def test_grams_become_per_cent_and_the_trimmed_line_is_named(build: Callable[..., Any]) -> None:
    held = build([("a", 1.0), ("b", 1.0), ("c", 1.0)])
    formula, trimmed = Formula.from_masses(held, name="x", product=CREAM)
    assert [x.pct for x in formula.lines] == [33.34, 33.33, 33.33]
    assert trimmed == ("a",)


def test_nothing_is_trimmed_where_nothing_needs_it() -> None:
    formula, trimmed = from_masses(("a", "300 g"), ("b", "0.2 kg"))
    assert [x.pct for x in formula.lines] == [60, 40]
    assert trimmed == ()


def test_ounces_and_grams_go_together() -> None:
    formula, _ = from_masses(("a", "1 oz"), ("b", "28.349523125 g"))
    assert [x.pct for x in formula.lines] == [50, 50]


@given(st.lists(st.floats(0.001, 1e5), min_size=1, max_size=12))
def test_the_printed_column_adds_to_100_and_each_trim_is_named(masses: list[float]) -> None:
    formula, trimmed = from_masses(*((f"n{i}", m) for i, m in enumerate(masses)))
    assert round(100 * formula.total_pct) == 10_000
    assert math.isclose(formula.total_pct, 100, abs_tol=1e-9)
    whole = math.fsum(masses)
    for line, mass in zip(formula.lines, masses, strict=True):
        exact = 100 * mass / whole
        assert abs(line.pct - exact) < 0.01 + 1e-6
        if abs(line.pct - exact) > 0.005 + 1e-6:
            assert line.name in trimmed


@pytest.mark.parametrize("pairs", [(), (("a", 0.0),)], ids=["no line", "all zero"])
def test_a_recipe_of_nothing_is_refused(pairs: tuple[tuple[str, float], ...]) -> None:
    with pytest.raises(EmptyPhase, match="The recipe has no amount above 0"):
        from_masses(*pairs)


@pytest.mark.parametrize(
    ("mass", "words"),
    [("2 tbsp", "'a': .*must be weighed"), (-1.0, "'a': -1 is negative"), ("5 %", "mixed")],
    ids=["spoons", "negative", "mixed units"],
)
def test_a_bad_mass_names_its_line(mass: float | str, words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        from_masses(("b", "3 g"), ("a", mass))
