"""Units that people read: exact definitions, and sentences of the tool said in them.

1 lb = 453.592 37 g and 1 oz = 1/16 lb exactly: international yard and pound agreement of 1959, as printed in
NIST Handbook 44, Appendix C. t(°F) = 1.8 t(°C) + 32.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore._numbers import grams
from hlbcore.errors import InvalidInput
from hlbcore.units import AS_KEPT, Units, UnitsAsked, learned

US = Units("oz", "°F")
COMMA = Units(decimal=",")


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ("453.59237 g", "16 oz"),
        ("28.349523125 g", "1 oz"),
        ("1 kg", "35 oz"),
        ("14.8 + 7.7 g together", "0.522 + 0.27 oz together"),
        ("0.1 to 2.0 g", "0.0035 to 0.071 oz"),
        ("75 °C", "167 °F"),
        ("-10 °C for a day, then 25 °C", "14 °F for a day, then 77 °F"),
        ("77 to 85 °C", "171 to 185 °F"),
        ("within 5 °C of each other", "within 9 °F of each other"),
        ("10 °C above the melting point", "18 °F above the melting point"),
        ("not above 40 °C", "not above 104 °F"),
    ],
)
def test_masses_and_temperatures_are_said_in_ounces_and_fahrenheit(said: str, read: str) -> None:
    assert US.text(said) == read


@pytest.mark.parametrize(
    "said",
    ["3.2 g/mol", "iodine value 50 g I2/100 g", "polysorbate 60", "5 grams", "0.9 g/mL", "1 gum", "2.1 g/g"],
)
def test_what_is_no_mass_stays(said: str) -> None:
    assert US.text(said) == said


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ("HLB 8.2 (7.0 to 9.1).", "HLB 8,2 (7,0 to 9,1)."),
        ("1,234.5 g", "1\u202f234,5 g"),
        ("1,4-dioxane 12 ppm", "1,4-dioxane 12 ppm"),
        ("10.1021/ja01234 in section 4.4.1", "10.1021/ja01234 in section 4.4.1"),
        ("1.3-butanediol", "1.3-butanediol"),
    ],
)
def test_a_decimal_comma_stands_in_numbers_only(said: str, read: str) -> None:
    assert COMMA.text(said) == read


def test_a_name_stays_as_typed_wherever_it_stands() -> None:
    units = Units("oz", "°F", ",").naming(["Cream 2.1", "Salve 50 g", "2.1", "10 g", "70 °C wax", "Plain"])
    assert set(units.names) == {"Cream 2.1", "Salve 50 g", "70 °C wax"}
    assert units.text("Cream 2.1: HLB 2.1, Cream 2.15") == "Cream 2.1: HLB 2,1, Cream 2,15"
    assert units.text("283.5 g of Salve 50 g") == "10 oz of Salve 50 g"
    assert Units().naming(["Cream 2.1"]).as_kept


@given(st.floats(0.01, 1e6))
def test_a_mass_that_was_shown_reads_back_within_half_its_last_digit(mass: float) -> None:
    said = f"{mass:.2f} g"
    for units in (Units("oz"), Units("lb")):
        back = grams(units.text(said).replace(",", ""), "mass")
        assert back == pytest.approx(float(f"{mass:.2f}"), abs=0.0051, rel=1e-9)


@given(st.integers(1, 5000), st.sampled_from([0.1, 0.05, 0.01]))
def test_what_a_scale_in_ounces_shows_is_round_again(steps: int, step: float) -> None:
    held = grams(f"{step} oz", "scale") * steps
    shown = US.text(f"{held:.9g} g").removesuffix(" oz").replace(",", "")
    assert float(shown) == pytest.approx(steps * step, abs=1e-6)
    assert len(shown.partition(".")[2]) <= 2


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ("12,5 %", COMMA),
        ("0,125", COMMA),
        ("1,234", AS_KEPT),
        ("2 lb", Units("lb")),
        ("16 oz", Units("oz")),
        ("shea butter 10,5 %\nsunflower oil 3,25 %\nwater 80.5", COMMA),
        ("polysorbate 60", AS_KEPT),
        ("", AS_KEPT),
    ],
)
def test_units_are_learned_from_what_is_typed(text: str, units: Units) -> None:
    assert learned(text, AS_KEPT) == units


def test_a_temperature_teaches_its_unit_and_a_name_does_not() -> None:
    assert learned("167 F", AS_KEPT, heat=True).temperature == "°F"
    assert learned("vitamin 3 C", Units(temperature="°F")).temperature == "°F"


def test_a_plain_number_gets_the_unit_in_which_its_field_is_read() -> None:
    assert US.typed_temperature("167") == "167 F"
    assert US.held_temperature("75") == "75 °C"
    assert US.typed_mass("12,5") == "12,5 oz"
    assert US.held_mass("500") == "500 g"
    assert AS_KEPT.typed_mass("500") == "500"
    assert US.typed_mass("two") == "two"


def test_what_was_chosen_leads_over_what_was_typed() -> None:
    asked = UnitsAsked("oz", "", "", typed=Units("lb", "°F", ","))
    assert asked.units == Units("oz", "°F", ",")
    assert UnitsAsked.of_code(asked.code) == asked
    assert UnitsAsked.of_code("<b> | 7").units == AS_KEPT


def test_pounds_and_ounces_are_read_together() -> None:
    assert grams("1 lb 8 oz", "batch") == pytest.approx(1.5 * 453.59237)
    with pytest.raises(InvalidInput, match="batch"):
        grams("1 lb oz", "batch")


def test_other_units_are_refused() -> None:
    with pytest.raises(InvalidInput, match="unit of mass"):
        Units("stone")
