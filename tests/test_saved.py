"""What an earlier version wrote is read for ever, and means what it meant."""

from __future__ import annotations

import json
from dataclasses import fields
from operator import attrgetter
from pathlib import Path
from typing import Any

import pytest
import written

from hlbcore import Aims, Composite, Estimate, Facts, Formula, Line, Portion
from hlbcore.formula.lines import CompositePart
from hlbcore.formula.old_files import EMULSIFIER_FIELDS, FLAGS, LISTS, OIL_FIELDS, OTHER_FIELDS, TEXTS

SAVED = Path(__file__).parent / "saved"
FILES = sorted(SAVED.glob("formula_v1_*.json"))

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
    assert {p.stem for p in FILES} == {*MEANING, *WHOLE}
    assert {p.stem for p in SAVED.glob("formula_v2_*.json")} == {f"formula_v2_{n}" for n in written.FORMULAS}


@pytest.mark.parametrize("name", MEANING)
def test_a_saved_file_means_what_it_meant(name: str) -> None:
    title, product, total, amounts = MEANING[name]
    formula = loaded(name)
    assert (formula.name, formula.product_type) == (title, product)
    assert formula.total_pct == pytest.approx(total, abs=1e-9)
    assert {x.name: x.pct for x in formula.lines} == amounts


WHOLE: dict[str, Formula] = {
    "formula_v1_every_field": Formula(
        "Hedge balm, every field",
        "cleansing balm",
        (
            Line("sunflower oil", 45.25, phase="oil", note="two lots, « a » and b"),
            Line("meadow fat", 12, phase="oil", own=Estimate(9, 8, 14)),
            Line("house wax", 8, phase="oil", supplier_rate=(4, 9), oil_limit=60),
            Line("cetyl alcohol", 4, phase="oil", counts="oil"),
            Line("glyceryl stearate", 3, phase="oil", counts="emulsifier", active=90),
            Line("sorbeth-30 tetraoleate", 14, phase="oil", own=Estimate(11.5, 11, 12)),
            Line("caprylic/capric triglyceride", 13, phase="oil"),
            Line("tocopherol", 0.25, phase="cool-down"),
            Line("jojoba oil", 0.5, phase="cool-down"),
            Line("lavender oil", 0.6, phase="cool-down", portion="dusk"),
            Line("iron oxides", 0.1, phase="cool-down", portion="dawn"),
        ),
        phases=("oil", "cool-down", "filling"),
        portions=(Portion("dawn", 45), Portion("dusk", 55)),
        blends=(
            Composite(
                "house wax",
                (CompositePart("cetearyl alcohol", 78, 70, 85), CompositePart("ceteareth-20", 22)),
            ),
        ),
        facts=Facts(
            ph=6.5,
            area="eye area",
            cleansing=True,
            hottest_c=78,
            cool_down_c=42,
            fragrance_max_pct=0.5,
            fragrance_max_c=50,
            fragrance_allergens=(("linalool", 32.5),),
            dioxane_ppm=4,
        ),
        note="Poured at 45 °C.",
    ),
    "formula_v1_plain": Formula(
        "Plain lotion",
        "light o/w lotion",
        (
            Line("water", 81.6, phase="water"),
            Line("soybean oil", 12, phase="oil"),
            Line("sorbitan oleate", 2.6, phase="oil"),
            Line("polysorbate 80", 0.9, phase="oil", active=97),
            Line("phenoxyethanol, diluted", 0.9, phase="cool-down", note='said "mild"'),
            Line("glycerin", 2, phase="water"),
        ),
    ),
}
"""Formulas of schema 1 as they were written."""


@pytest.mark.parametrize("name", WHOLE)
def test_nothing_of_a_saved_formula_is_lost(name: str) -> None:
    assert loaded(name) == WHOLE[name]


@pytest.mark.parametrize("name", written.FORMULAS)
def test_nothing_of_a_formula_of_today_is_lost(name: str) -> None:
    formula = written.FORMULAS[name]
    text = (SAVED / f"formula_v2_{name}.json").read_text("utf-8")
    assert Formula.from_json(text) == formula
    assert json.loads(formula.to_json()) == json.loads(text)


@pytest.mark.parametrize("path", sorted(SAVED.glob("formula_v2_*.csv")), ids=lambda p: p.stem)
def test_the_lines_of_a_csv_of_today_are_there(path: Path) -> None:
    formula = written.FORMULAS[path.stem.removeprefix("formula_v2_")]
    read = written.from_csv(path)
    held = [(x.name, x.phase, x.counts, x.active_pct, x.own, x.note) for x in read.lines]
    assert held == [(x.name, x.phase, x.counts, x.active_pct, x.own, x.note) for x in formula.lines]
    assert read.pcts == pytest.approx(formula.pcts)
    assert formula.to_csv().splitlines() == path.read_text("utf-8").splitlines()


@pytest.mark.parametrize("name", ["every_field", "plain"])
def test_the_lines_of_a_csv_of_form_1_are_there(name: str) -> None:
    read = written.from_csv(SAVED / f"formula_v1_{name}.csv")
    held = [(x.name, x.pct, x.phase, x.counts, x.active_pct, x.portion, x.note) for x in read.lines]
    whole = WHOLE[f"formula_v1_{name}"].lines
    assert held == [(x.name, x.pct, x.phase, x.counts, x.active_pct, x.portion, x.note) for x in whole]


def test_the_saved_formulas_use_every_field() -> None:
    def unused(kind: type, held: list[Any], plain: object) -> list[str]:
        names = [f.name for f in fields(kind) if f.init]
        return [n for n in names if all(getattr(x, n) == getattr(plain, n) for x in held)]

    formulas = list(written.FORMULAS.values())
    assert unused(Formula, formulas, Formula()) == []
    assert unused(Aims, [f.aims for f in formulas], Aims()) == []
    assert unused(Line, [x for f in formulas for x in f.lines], Line("")) == []
    assert unused(Facts, [f.known_facts for f in formulas], Facts()) == []


def test_portions_of_a_saved_file_are_kept(two_colour_scrub: Formula) -> None:
    assert two_colour_scrub.portion_list == (Portion("lavender", 60), Portion("orange", 40))
    assert Line("iron oxides", 0.1, phase="cool-down", portion="orange") in two_colour_scrub.lines


def test_blends_of_a_saved_file_are_kept() -> None:
    assert loaded("formula_v1_evening_cleansing_balm").blend_list == (
        Composite(
            "emulsifying wax NF",
            (CompositePart("cetearyl alcohol", 80, 75, 85), CompositePart("polysorbate 60", 20, 15, 25)),
        ),
    )


def test_facts_of_a_saved_file_are_kept() -> None:
    facts = loaded("formula_v1_faulty_lotion").known_facts
    assert (facts.ph, facts.hottest_c, facts.cool_down_c) == (7.9, 60, 45)
    assert (facts.cleansing, facts.dioxane_ppm, facts.fragrance_allergens) == (None, None, ())


# --- pages as typed

PAGES = sorted(SAVED.glob("sheet_v1_*_full.json"))
MOVED = {
    "title": "name",
    "product": "product_type",
    "portions": "portions.text",
    "blends": "blends.text",
    "note": "note",
    "total": "aims.dose.text",
    "window": "aims.window.text",
    "batch": "aims.batch.text",
    "scale": "aims.scales.text",
    "smallest": "aims.smallest.text",
    "count_fragrance": "aims.fragrance_counts",
    "ionics": "aims.ionics",
    "name": "name",
    "amount": "amount.text",
    "now": "amount.text",
    "side": "counts",
    "own": "own.text",
    "hlb": "own.text",
    "phase": "phase",
    "low": "low.text",
    "high": "high.text",
    "price": "price.text",
    "rate": "supplier_rate.text",
    "oil_limit": "oil_limit.text",
    "active": "active.text",
    "portion": "portion",
}
"""Where each text of a page stands now."""


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.stem)
def test_both_forms_of_a_page_mean_the_same(path: Path) -> None:
    compact = path.with_name(path.name.replace("_full", "_compact"))
    assert written.from_json(path) == written.from_json(compact)


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.stem)
def test_nothing_of_a_saved_page_is_lost(path: Path) -> None:
    raw, formula = json.loads(path.read_text("utf-8")), written.from_json(path)
    grams = raw["unit"] == "grams"
    assert formula.aims.unit == ("g" if grams else "%")
    assert formula.aims.goal == raw["objective"].replace("check my amounts", "as typed")
    assert formula.facts == tuple(map(tuple, raw["facts"]))
    assert formula.phases[: len(raw["phases"])] == tuple(raw["phases"])
    lines = [(x, part) for part in ("lines", "emulsifiers", "others") for x in raw[part]]
    for (old, part), line in zip(lines, formula.lines, strict=True):
        for name, text in old.items():
            if name == "side" and not text:
                continue
            if grams and part != "lines" and name in ("amount", "now") and text.strip("0123456789.") == "":
                text = f"{text} %" if text else text  # a plain number meant % in these two lists
            assert (attrgetter(MOVED[name])(line) or "") == text, name
    for name in sorted(set(raw) & set(MOVED)):
        assert attrgetter(MOVED[name])(formula) == raw[name], name


def test_the_saved_pages_use_every_field() -> None:
    pages = [json.loads(p.read_text("utf-8")) for p in PAGES]
    for name, text in (TEXTS | FLAGS).items():
        assert any(page[name] != text for page in pages), name
    for part, names in zip(LISTS, (OIL_FIELDS, EMULSIFIER_FIELDS, OTHER_FIELDS), strict=True):
        for name in names:
            assert len({x[name] for page in pages for x in page[part]}) > 1, (part, name)
