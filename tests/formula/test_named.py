"""Portions, allergens and bought blends as people type them, and back to text."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import Composite, Facts, Formula, Portion
from hlbcore.formula.lines import CompositePart
from hlbcore.ingredients import fold

WAX = "house wax: cetearyl alcohol 80 (70 to 90), polysorbate 60 20"


def problems(formula: Formula) -> dict[str, str]:
    return {p.field: p.text for p in formula.found}


# --- portions


@pytest.mark.parametrize(
    "text",
    ["rose 50, plain 50", "rose 50,plain 50", "rose: 50; plain = 50 %", "rose 50\nplain 50,0,"],
    ids=["spaced", "tight", "marks", "lines"],
)
def test_portions_are_read_as_people_type_them(text: str) -> None:
    formula = Formula(portions=text)
    assert problems(formula) == {}
    assert formula.portion_list == (Portion("rose", 50), Portion("plain", 50))


def test_a_decimal_comma_does_not_part_two_portions() -> None:
    assert [p.share_pct for p in Formula(portions="rose 33,5, plain 66,5").portion_list] == [33.5, 66.5]


@pytest.mark.parametrize("text", ["rose", "50", ", rose 50 50 x", "rose 150", "x" * 5000])
def test_portions_that_cannot_be_read_say_so_in_a_short_sentence(text: str) -> None:
    formula = Formula(portions=text)
    assert formula.portions.text == text
    assert problems(formula)["portions"].startswith("portion")
    assert len(problems(formula)["portions"]) < 200


def test_a_name_with_a_comma_is_typed_in_quotes() -> None:
    formula = Formula(portions=(Portion("rose, dark", 50), Portion("plain", 50)))
    assert formula.portions.text == '"rose, dark" 50, plain 50'


def test_a_quote_inside_a_name_is_no_mark() -> None:
    formula = Formula(portions='5" square 50, 3" round 50')
    assert formula.portion_list == (Portion('5" square', 50), Portion('3" round', 50))


def test_a_quote_that_is_not_closed_gets_a_sentence() -> None:
    found = problems(Formula(portions='"rose, dark 50, plain 50'))
    assert found["portions"].startswith("portions: '\"rose, dark 50")


NAMES = st.text(
    st.characters(codec="utf-8", exclude_characters="\n\r\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029"), max_size=8
) | st.sampled_from(["rose, dark", "a; b", '"x"', '5" square', "50", "rose 2", "a:", ' "', "b,5"])
SHARES = st.floats(0, 100)


@settings(max_examples=150)
@given(st.lists(st.tuples(NAMES, SHARES), max_size=4))
def test_portions_and_allergens_come_back_whole_whatever_their_names(held: list[tuple[str, float]]) -> None:
    facts = Facts(fragrance_allergens=tuple(held))
    portions = tuple(Portion(*p) for p in held)
    formula = Formula(portions=portions, facts=facts)
    again = Formula(portions=formula.portions.text, facts=formula.facts)
    for one in (formula, again):
        assert problems(one) == {}
        assert one.portion_list == portions
        assert one.known_facts == facts


# --- bought blends


def test_a_bought_blend_is_read_with_its_ranges() -> None:
    (wax,) = Formula(blends=WAX).blend_list
    assert [(p.name, p.pct, p.low, p.high) for p in wax.parts] == [
        ("cetearyl alcohol", 80.0, 70.0, 90.0),
        ("polysorbate 60", 20.0, None, None),
    ]


def test_a_bought_blend_is_written_as_it_is_typed() -> None:
    parts = (CompositePart("cetearyl alcohol", 80, 70, 90), CompositePart("polysorbate 60", 20))
    assert Formula(blends=(Composite("house wax", parts),)).blends.text == WAX


@pytest.mark.parametrize("text", ["house wax", "wax: oil", ": a 5", "wax: a 5 (x to y)", "w: a -3"])
def test_a_blend_that_cannot_be_read_gets_a_sentence(text: str) -> None:
    formula = Formula(blends=text)
    assert formula.blends.text == text
    assert problems(formula)["blends"].startswith("blend '")


@settings(max_examples=150)
@given(NAMES.filter(fold), st.lists(st.tuples(NAMES, SHARES), min_size=1, max_size=3), SHARES)
def test_a_bought_blend_comes_back_whole_whatever_its_names(
    name: str, parts: list[tuple[str, float]], low: float
) -> None:
    held = (*(CompositePart(*p) for p in parts), CompositePart("last, one", 5, low, 100))
    blends = (Composite(name.strip(), held),)
    formula = Formula(blends=blends)
    for one in (formula, Formula(blends=formula.blends.text)):
        assert problems(one) == {}
        assert one.blend_list == blends
