"""Lines and what stands beside them: a text is kept with its fault, a number must be right."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore import Estimate, InvalidInput, Line, Portion, SupplierRate
from hlbcore.formula.lines import COUNTS, TYPED_FIELDS, Composite, CompositePart

# --- numbers


BAD = {
    "negative": (-2, r"-2 is negative\. Enter 0 or more"),
    "nan": (math.nan, "nan is not an amount. Write a plain number"),
    "inf": (math.inf, "inf is not an amount. Write a plain number"),
    "bool": (True, "'True' is not a number"),
    "list": ([1], r"'\[1\]' is not a number"),
    "long": (10**400, "inf is not a finite number"),
}


@pytest.mark.parametrize(("value", "words"), BAD.values(), ids=BAD)
def test_a_bad_number_is_refused_with_the_line_and_the_mend(value: Any, words: str) -> None:
    with pytest.raises(InvalidInput, match=rf"^'shea': .*{words}"):
        Line("shea", value)


@pytest.mark.parametrize("field", [f for f in TYPED_FIELDS if f != "amount"])
@pytest.mark.parametrize("value", [-1, math.nan, math.inf, True], ids=str)
def test_a_bad_number_of_any_field_names_the_line(field: str, value: Any) -> None:
    with pytest.raises(InvalidInput, match=r"^'shea', .*\. (Enter|Write)"):
        Line("shea", 1, **{field: value})


@pytest.mark.parametrize(
    ("field", "value"),
    [("active", 101), ("low", 101), ("high", 101), ("oil_limit", 101), ("own", 41), ("price", 1e10)],
)
def test_a_number_out_of_range_names_the_line(field: str, value: float) -> None:
    with pytest.raises(InvalidInput, match=r"^'shea', .* is out of range\. Enter"):
        Line("shea", 1, **{field: value})  # type: ignore[arg-type]


@given(st.floats(0, 1e300))
def test_no_digit_of_a_number_is_lost(number: float) -> None:
    assert Line("a", number).pct == number
    assert Line("a", Line("a", number).amount.text).pct == number


@given(st.lists(st.floats(0, 40), min_size=3, max_size=3).map(sorted))
def test_no_digit_of_an_own_figure_is_lost(ends: list[float]) -> None:
    low, value, high = ends
    own = Line("a", own=Estimate(value, low, high)).own.value
    assert isinstance(own, Estimate)
    assert (own.low, own.high) == (low, high)
    assert own.value == (value if low < high else low)


# --- texts


def test_text_of_an_amount_is_read() -> None:
    assert Line("alpha oil", "12,5 %").pct == 12.5


def test_an_amount_may_be_left_blank() -> None:
    line = Line("shea")
    assert (line.amount.text, line.amount.value, line.amount.problem, line.pct) == ("", None, "", 0.0)


TEXTS = {
    "word": ("lots", "'lots' is not a number. Write a plain number"),
    "negative": ("-2", "-2 is negative. Enter 0 or more"),
    "nan": ("nan", "nan is not an amount"),
    "thousands": ("1,000", "can be read in two ways"),
    "spoons": ("2 tbsp", "must be weighed"),
    "half": ("½", "'½' is not a number"),
    "HTML": ("<b>5</b>", "'<b>5</b>' is not a number"),
    "spreadsheet": ("=1+1", "'=1+1' is not a number"),
}


@pytest.mark.parametrize(("text", "words"), TEXTS.values(), ids=TEXTS)
def test_a_text_that_cannot_be_read_is_kept_with_its_sentence(text: str, words: str) -> None:
    amount = Line("shea", text).amount
    assert (amount.text, amount.value) == (text, None)
    assert amount.problem.startswith("'shea': ")
    assert words in amount.problem


@pytest.mark.parametrize("field", [f for f in TYPED_FIELDS if f not in ("amount", "own")])
@pytest.mark.parametrize("text", ["x", "-1", "1 2", "∞", "x" * 10_000], ids=lambda t: t[:5])
def test_a_bad_text_of_any_field_has_a_short_sentence(field: str, text: str) -> None:
    held = getattr(Line("shea", 1, **{field: text}), field)
    assert (held.text, held.value) == (text, None)
    assert held.problem.startswith("'shea', ")
    assert held.problem.endswith(".")
    assert len(held.problem) < 250


def test_a_renamed_line_has_its_new_name_in_the_sentence() -> None:
    assert "'shea'" in replace(Line("she", "lots"), name="shea").amount.problem


FIGURES = {
    "number": ("7,5", Estimate.exactly(7.5)),
    "range": ("7 to 9", Estimate(8, 7, 9)),
    "value and range": ("9 (8 to 14)", Estimate(9, 8, 14)),
    "kind": (" Butter ", "butter"),
    "class range": ("class  range", "class range"),
    "reading": ("Reading 9,0", "reading 9"),
}


@pytest.mark.parametrize(("text", "value"), FIGURES.values(), ids=FIGURES)
def test_an_own_figure_is_read_as_people_type_it(text: str, value: object) -> None:
    assert Line("a", own=text).own.value == value


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("41", "41 is out of range"),
        ("9 to 7", "the low end 9 lies above the high end 7"),
        ("5 (8 to 14)", "5 lies outside 8 to 14"),
        ("reading 50", "out of range"),
        ("reading x", "reading: 'x' is not a number"),
        ("5 g", "'5 g'"),
    ],
)
def test_an_own_figure_that_cannot_be_read_has_its_sentence(text: str, words: str) -> None:
    own = Line("shea", own=text).own
    assert own.value is None
    assert own.problem.startswith("'shea', own figure")
    assert words in own.problem


# --- words


@pytest.mark.parametrize("name", ["phase", "portion", "note"])
@pytest.mark.parametrize("value", [5, ["a"], {"a": 1}, {}], ids=["number", "list", "mapping", "empty"])
def test_a_word_of_a_line_is_text(name: str, value: Any) -> None:
    with pytest.raises(InvalidInput, match=rf"line 'shea', {name}: .* is not text"):
        Line("shea", 1, **{name: value})


@pytest.mark.parametrize("value", ["both", "", 5], ids=str)
def test_an_unknown_side_is_refused_with_the_choices(value: Any) -> None:
    with pytest.raises(InvalidInput, match=rf"'shea', counts as: '{value}'.*Use auto, oil, emulsifier"):
        Line("shea", 1, counts=value)


@pytest.mark.parametrize("counts", COUNTS)
def test_every_choice_is_taken_under_either_name(counts: str) -> None:
    assert Line("shea", 1, counts=counts) == Line("shea", 1, role=counts)


def test_the_older_name_of_the_active_part_is_taken() -> None:
    assert Line("lecithin", 4, active_pct=50) == Line("lecithin", 4, active=50)
    assert Line("lecithin", 4).active_pct == 100


def test_a_blank_portion_is_the_base() -> None:
    assert Line("shea", 1, portion=" ").portion is None


def test_what_the_supplier_says_needs_a_rate() -> None:
    assert Line("wax", 5, supplier_rate="4 to 6", oil_limit="25").supplier == SupplierRate(4, 6, 25)
    assert Line("wax", 5, supplier_rate=(4, 6)).supplier == SupplierRate(4, 6)
    assert Line("wax", 5, oil_limit="25").supplier is None


# --- portions and parts


@pytest.mark.parametrize("share", [-1, 101, math.nan], ids=str)
def test_a_bad_share_of_a_portion_is_refused(share: float) -> None:
    with pytest.raises(InvalidInput, match=r"portion 'rose': .*Enter"):
        Portion("rose", share)


@pytest.mark.parametrize("end", ["pct", "low", "high"])
def test_a_bad_part_of_a_composite_is_refused(end: str) -> None:
    with pytest.raises(InvalidInput, match=rf"part 'a', {end}: 101 % .*Enter 0 to 100 %"):
        CompositePart(**{"name": "a", "pct": 1, end: 101})  # type: ignore[arg-type]


def test_a_part_of_a_bought_blend_is_a_name_and_a_share() -> None:
    made = Composite("wax", (("cetyl alcohol", 60), CompositePart("ceteareth-20", 40)))  # type: ignore[arg-type]
    assert [(p.name, p.pct) for p in made.parts] == [("cetyl alcohol", 60), ("ceteareth-20", 40)]
    with pytest.raises(InvalidInput, match=r"parts of 'wax'.*is no part"):
        Composite("wax", ("cetyl alcohol",))  # type: ignore[arg-type]
