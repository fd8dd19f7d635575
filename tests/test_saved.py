"""What an earlier version wrote is read for ever, and means what it meant."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import written

from hlbcore import Composite, CompositePart, Formula, Line, Portion

SAVED = Path(__file__).parent / "saved"
FILES = sorted(SAVED.glob("formula_v*.json"))

MEANING = {
    "formula_v1_evening_cleansing_balm": (
        "Evening cleansing balm",
        "cleansing balm",
        100.0,
        {
            "sunflower oil": 38,
            "caprylic/capric triglyceride": 26,
            "shea butter": 9,
            "beeswax": 3,
            "cetyl alcohol": 4,
            "emulsifying wax NF": 7,
            "sorbeth-30 tetraoleate": 12,
            "phenoxyethanol with ethylhexylglycerin": 0.8,
            "tocopherol": 0.2,
        },
    ),
    "formula_v1_faulty_lotion": (
        "Green lotion that failed",
        "light o/w lotion",
        101.0,
        {
            "water": 76.95,
            "magnesium sulfate": 2,
            "xanthan gum": 0.3,
            "sunflower oil": 10,
            "shea butter": 3,
            "stearic acid": 3,
            "sorbitan stearate": 0.9,
            "polysorbate 60": 1,
            "triethanolamine": 1,
            "fragrance": 2,
            "phenoxyethanol": 0.2,
            "bronopol": 0.05,
            "chlorophyllin": 0.6,
        },
    ),
    "formula_v1_two_portions": (
        "Two-colour sugar scrub",
        "wash-off scrub",
        100.0,
        {
            "sunflower oil": 22,
            "shea butter": 6,
            "cocoa butter": 3,
            "cetearyl alcohol": 4,
            "stearic acid": 1.6,
            "polysorbate 80": 3.2,
            "sorbitan stearate": 0.6,
            "tocopherol": 0.2,
            "phenoxyethanol with caprylyl glycol": 0.9,
            "sugar": 58.5,
            "lavender oil": 0.6,
            "ultramarines": 0.15,
            "sweet orange oil": 0.8,
            "iron oxides": 0.1,
        },
    ),
    "formula_v1_winter_hand_cream": (
        "Winter hand cream",
        "o/w cream",
        100.0,
        {
            "water": 70.15,
            "glycerin": 4,
            "xanthan gum": 0.25,
            "sunflower oil": 9,
            "shea butter": 5,
            "cocoa butter": 3,
            "cetyl alcohol": 2,
            "beeswax": 1,
            "sorbitan stearate": 2.97,
            "polysorbate 60": 1.53,
            "phenoxyethanol with ethylhexylglycerin": 0.9,
            "tocopherol": 0.2,
        },
    ),
}
"""Name, product type, total [% of formula] and lines [% of formula] as they were written."""


def loaded(name: str) -> Formula:
    return Formula.from_json((SAVED / f"{name}.json").read_text("utf-8"))


def test_every_saved_file_has_its_meaning_written_down() -> None:
    figures = {f"formula_v1_{name}" for name in written.FORMULAS}  # in tests/test_saved_figures.py
    assert {p.stem for p in FILES} == set(MEANING) | figures


@pytest.mark.parametrize("name", MEANING)
def test_a_saved_file_means_what_it_meant(name: str) -> None:
    title, product, total, amounts = MEANING[name]
    formula = loaded(name)
    assert (formula.name, formula.product_type) == (title, product)
    assert formula.total_pct == pytest.approx(total, abs=1e-9)
    assert {x.name: x.pct for x in formula.lines} == amounts


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_nothing_of_a_saved_file_is_dropped(path: Path) -> None:
    written = json.loads(path.read_text("utf-8"))
    again = json.loads(Formula.from_json(path.read_text("utf-8")).to_json())
    fields = set(written) - {"version", "lines", "facts"}
    assert {k: again[k] for k in fields} == {k: written[k] for k in fields}
    for old, new in zip(written["lines"], again["lines"], strict=True):
        assert old.items() <= new.items()
    assert written["facts"].items() <= again["facts"].items()


def test_portions_of_a_saved_file_are_kept() -> None:
    scrub = loaded("formula_v1_two_portions")
    assert scrub.portions == (Portion("lavender", 60), Portion("orange", 40))
    assert Line("iron oxides", 0.1, phase="cool-down", portion="orange") in scrub.lines


def test_composites_of_a_saved_file_are_kept() -> None:
    assert loaded("formula_v1_evening_cleansing_balm").composites == (
        Composite(
            "emulsifying wax NF",
            (CompositePart("cetearyl alcohol", 80, 75, 85), CompositePart("polysorbate 60", 20, 15, 25)),
        ),
    )


def test_facts_of_a_saved_file_are_kept() -> None:
    facts = loaded("formula_v1_faulty_lotion").facts
    assert (facts.ph, facts.hottest_c, facts.cool_down_c) == (7.9, 60, 45)
    assert (facts.cleansing, facts.dioxane_ppm, facts.fragrance_allergens) == (None, None, ())
