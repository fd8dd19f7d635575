from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore import InvalidInput
from hlbcore._numbers import Amount, adding_up, checked, checked_word, grams, read_amount


@pytest.mark.parametrize(
    ("text", "number", "unit"),
    [
        ("12,5 %", 12.5, "%"),
        ("12.5%", 12.5, "%"),
        ("1 oz", 1.0, "oz"),
        ("0.5g", 0.5, "g"),
        (" 3 Grams ", 3.0, "g"),
        ("2 lbs.", 2.0, "lb"),
        ("1.234,5", 1234.5, ""),
        ("1,234.5", 1234.5, ""),
        ("1,234,567", 1234567.0, ""),
        ("1'234.5 g", 1234.5, "g"),
        ("1 234,5", 1234.5, ""),
        ("0,125", 0.125, ""),
        (",5", 0.5, ""),
        ("1e3", 1000.0, ""),
        ("−2", -2.0, ""),
        ("１２", 12.0, ""),
    ],
)
def test_typed_amounts_are_read_as_people_write_them(text: str, number: float, unit: str) -> None:
    assert read_amount(text, "x") == Amount(number, unit)


@pytest.mark.parametrize("text", ["1,000", "12,500", "-1,234 g"])
def test_lone_comma_before_three_digits_is_refused_with_both_readings(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"shea: .* can be read in two ways\. Write \d+ for"):
        read_amount(text, "shea")


@pytest.mark.parametrize(
    "text", ["ten", "12..5", "1.2.3", "1,2,3", "1.23,456,7", "12 5", "1'2", "5 % 3", "--2", "½", "<b>"]
)
def test_text_that_is_no_number_is_refused_with_the_mend(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"shea: .* is not a number\. Write a plain number"):
        read_amount(text, "shea")


@pytest.mark.parametrize("text", ["", "   ", "\u00a0"])
def test_blank_amount_is_said_to_be_blank(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"shea: the amount is blank\. Enter a number, or delete"):
        read_amount(text, "shea")


@pytest.mark.parametrize("text", ["nan", "inf", "-Infinity", "+inf"])
def test_typed_infinity_is_no_amount(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"shea: .* is not an amount\. Write a plain number"):
        read_amount(text, "shea")


@pytest.mark.parametrize("text", ["2 spoons", "3 ml", "1 cup"])
def test_volumes_and_spoons_must_be_weighed(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"not a unit of mass known here\. Use %, g, kg"):
        read_amount(text, "shea")


@given(st.floats(0, 1e6, allow_nan=False).map(lambda x: round(x, 4)))
def test_what_is_printed_is_read_again(number: float) -> None:
    assert read_amount(f"{number:.4f} %", "x") == Amount(float(f"{number:.4f}"), "%")


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, "1e400"])
def test_number_must_be_finite(value: float | str) -> None:
    with pytest.raises(InvalidInput, match=r"x: .* is not a finite number\. Enter a finite number"):
        checked(value, "x")


@pytest.mark.parametrize("value", [None, True, "abc", [1], 1j, 10**400], ids=str)
def test_what_is_no_number_is_refused(value: object) -> None:
    with pytest.raises(InvalidInput, match=r"^x: "):
        checked(value, "x")  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "low", "high", "message"),
    [
        (-2, 0, math.inf, r"x: -2 g is negative\. Enter 0 g or more\."),
        (41, 0, 40, r"x: 41 g is out of range\. Enter 0 to 40 g\."),
        (41, -math.inf, 40, r"x: 41 g is out of range\. Enter 40 g or less\."),
    ],
)
def test_number_out_of_range_is_told_the_range(value: float, low: float, high: float, message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        checked(value, "x", low=low, high=high, unit="g")


def test_number_must_be_above_an_open_end() -> None:
    with pytest.raises(InvalidInput, match=r"x: 0 g is too small\. Enter more than 0 g\."):
        checked(0, "x", above=0, unit="g")


def test_largest_numbers_pass() -> None:
    assert checked(1e308, "x", low=0) == 1e308


def test_typed_unit_must_be_the_unit_wanted() -> None:
    with pytest.raises(InvalidInput, match=r"x: '8 g' is not in %\. Write a plain number"):
        checked("8 g", "x", unit="%")


def test_typed_per_cent_passes_where_per_cent_is_wanted() -> None:
    assert checked("8 %", "x", unit="% of the formula") == 8.0


def test_word_is_folded_to_the_spelling_of_the_list() -> None:
    assert checked_word(" O/W ", ("o/w", "w/o"), "emulsion") == "o/w"


def test_word_not_in_the_list_is_told_the_list() -> None:
    with pytest.raises(InvalidInput, match=r"emulsion: 'oil' is not one of .*\. Use o/w, w/o\."):
        checked_word("oil", ("o/w", "w/o"), "emulsion")


# NIST Handbook 44, Appendix C: exact
@pytest.mark.parametrize(
    ("text", "mass"),
    [("1 oz", 28.349523125), ("1 lb", 453.59237), ("2 kg", 2000.0), ("500 mg", 0.5), ("7", 7.0)],
)
def test_mass_is_turned_to_grams(text: str, mass: float) -> None:
    assert grams(text, "batch") == pytest.approx(mass, rel=1e-15)


def test_sixteen_ounces_are_a_pound() -> None:
    assert grams("16 oz", "batch") == pytest.approx(grams("1 lb", "batch"), rel=1e-15)


def test_per_cent_is_no_mass() -> None:
    with pytest.raises(InvalidInput, match=r"batch: '5 %' is no mass\. Use g, kg, oz or lb\."):
        grams("5 %", "batch")


@pytest.mark.parametrize("value", [0, -1, "0 g"])
def test_mass_must_be_above_zero(value: float | str) -> None:
    with pytest.raises(InvalidInput, match=r"batch: .* is too small\. Enter more than 0 g"):
        grams(value, "batch")


@given(st.lists(st.floats(0, 100), min_size=1, max_size=12), st.integers(0, 3))
def test_printed_amounts_add_to_the_printed_total(values: list[float], decimals: int) -> None:
    printed = adding_up(values, decimals)
    assert math.fsum(printed) == pytest.approx(math.fsum(values), abs=0.5001 * 10**-decimals)
    assert all(abs(p - v) <= 10**-decimals for p, v in zip(printed, values, strict=True))
