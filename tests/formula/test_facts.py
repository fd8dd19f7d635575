"""What checks may need beside the lines: one bad fact stays open and loses no other."""

from __future__ import annotations

from dataclasses import asdict, fields
from typing import Any

import pytest

from hlbcore import Facts, Formula, InvalidInput
from hlbcore.formula.facts import read_facts


def problems(formula: Formula) -> dict[str, str]:
    return {p.field: p.text for p in formula.found}


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("ph", 15, "fact, ph: 15 .*Enter 0 to 14"),
        ("hottest_c", 300, "fact, hottest_c: 300"),
        ("dioxane_ppm", -1, "fact, dioxane_ppm: -1 is negative"),
        ("area", "wall", "fact, area: 'wall'.*Use body, face, lips, eye area"),
        ("cleansing", "maybe", "fact, cleansing: 'maybe'"),
        ("fragrance_allergens", (("linalool", 101),), "allergen 'linalool': 101 %"),
        ("grain_um", 0.5, "grain size: 0.5 µm is out of range"),
        ("grain_bulk_g", 0, "fact, grain_bulk_g: 0"),
        ("yield_pa", float("nan"), "yield stress: nan"),
        ("viscosity_mpas", -1, "viscosity of the outer phase: -1"),
        ("outer_phase", "milk", "'milk' is not one of the choices. Use water, oil"),
        ("solid_fat", (("shea butter", ((20, 30), (25, 40))),), "40 % at 25 °C is more than 30 % at 20 °C"),
    ],
)
def test_a_bad_fact_is_refused_by_name(name: str, value: Any, words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        Facts(**{name: value})


def test_facts_that_are_not_known_stay_open() -> None:
    held = {k: v for k, v in asdict(Facts()).items() if k != "area" and v is not None}
    assert held == {"fragrance_allergens": (), "outer_phase": "", "solid_fat": ()}


def test_facts_are_read_as_typed() -> None:
    typed = (
        ("ph", "5,6"),
        ("area", "face"),
        ("cleansing", "yes"),
        ("hottest_c", "75"),
        ("fragrance_allergens", "linalool 1,2, limonene 0.4"),
        ("dioxane_ppm", ""),
    )
    formula = Formula(facts=typed)
    assert problems(formula) == {}
    assert formula.known_facts == Facts(
        ph=5.6,
        area="face",
        cleansing=True,
        hottest_c=75,
        fragrance_allergens=(("linalool", 1.2), ("limonene", 0.4)),
    )


def test_quantities_carry_their_units() -> None:
    typed = (("grain_um", "0,5 mm"), ("yield_pa", "20 dyn/cm²"), ("viscosity_mpas", "1.5 Pa s"))
    held = Formula(facts=typed).known_facts
    assert (held.grain_um, held.yield_pa, held.viscosity_mpas) == (500, 2, 1500)


def test_solids_of_the_supplier_are_read_and_written() -> None:
    formula = Formula(facts=(("solid_fat", "shea butter: N20 45,5, 30°C 22; kokum butter: 20 80, 35 60"),))
    held = formula.known_facts.solid_fat
    assert held == (("shea butter", ((20, 45.5), (30, 22))), ("kokum butter", ((20, 80), (35, 60))))
    assert Formula(facts=Facts(solid_fat=held)).known_facts.solid_fat == held


def test_facts_may_come_as_a_mapping_or_as_values() -> None:
    known = Facts(ph=5.5, area="lips", cleansing=False, dioxane_ppm=0.1)
    assert Formula(facts=known).known_facts == known
    assert Formula(facts=dict(Formula(facts=known).facts)).known_facts == known


BAD = {
    "ph": ("15", "Enter 0 to 14"),
    "area": ("wall", "Use body, face, lips, eye area"),
    "cleansing": ("maybe", "'maybe' is neither yes nor no"),
    "hottest_c": ("hot", "'hot' is not a number"),
    "cool_down_c": ("900", "out of range"),
    "fragrance_max_pct": ("-1", "-1 is negative"),
    "fragrance_max_c": ("NaN", "is not an amount"),
    "fragrance_allergens": ("linalool", "Write a name and a number"),
    "dioxane_ppm": ("some", "'some' is not a number"),
    "grain_um": ("0.5 cm", "'cm' is not a unit known for it. Use µm"),
    "grain_bulk_g": ("0", "Enter 5 to 2500"),
    "yield_pa": ("two", "'two' is not a number"),
    "viscosity_mpas": ("0", "0 mpa s is out of range"),
    "outer_phase": ("milk", "Use water, oil"),
    "solid_fat": ("shea butter 20 45", "has no name before a colon"),
}


def test_every_fact_has_a_bad_case_here() -> None:
    assert set(BAD) == {f.name for f in fields(Facts)}


@pytest.mark.parametrize(("name", "text", "words"), [(n, *c) for n, c in BAD.items()], ids=BAD)
def test_a_bad_fact_stays_open_and_loses_no_other(name: str, text: str, words: str) -> None:
    good = ("ph", "5.5") if name != "ph" else ("area", "face")
    formula = Formula(facts=((name, text), good))
    assert list(problems(formula)) == [f"fact {name}"]
    assert words in problems(formula)[f"fact {name}"]
    assert formula.known_facts == (Facts(ph=5.5) if name != "ph" else Facts(area="face"))
    assert dict(formula.facts)[name] == text


@pytest.mark.parametrize(("second", "ph"), [("6", 6), ("", 5)])
def test_of_two_facts_of_one_name_the_later_one_that_says_something_holds(second: str, ph: float) -> None:
    formula = Formula(facts=(("ph", "5"), ("area", "face"), ("ph", second)))
    assert formula.facts == (("ph", f"{ph}"), ("area", "face"))
    assert formula.known_facts.ph == ph


def test_a_fact_that_nobody_knows_is_kept_with_its_sentence() -> None:
    formula = Formula(facts=(("mood", "good"), ("ph", "5")))
    assert problems(formula) == {"fact mood": "fact, mood: there is no fact of that name. Delete it."}
    assert formula.known_facts == Facts(ph=5)


@pytest.mark.parametrize("text", ["75", "75 °C", "75 C", "167 F", "167 °F", "75,0"])
def test_a_temperature_is_read_in_celsius_or_fahrenheit(text: str) -> None:
    facts, found = read_facts((("hottest_c", text),))
    assert found == {}
    assert facts.hottest_c == pytest.approx(75)


def test_a_list_written_as_text_is_read_as_in_its_field() -> None:
    assert Facts(fragrance_allergens="linalool 3 %, limonene 1").fragrance_allergens == (
        ("linalool", 3.0),
        ("limonene", 1.0),
    )
    assert Facts(solid_fat="shea butter: N20 45, N30 22").solid_fat == (
        ("shea butter", ((20.0, 45.0), (30.0, 22.0))),
    )
    with pytest.raises(InvalidInput, match="fragrance allergens"):
        Facts(fragrance_allergens="plenty")
