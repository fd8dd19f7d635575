"""Lists of ingredients, allergen sums, names and net contents as others print them.

``label_examples.jsonl`` holds each with its source, place, and how it was seen; what was worked out from
the rule cited says so. Slips of a source stay as refusals. Percentages are those of the source.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

import hlbcore as hlb
from hlbcore import Composite, Formula, HlbError, Line
from hlbcore.batch.declared_names import label_name
from hlbcore.batch.declared_order import COLOUR, FREE
from hlbcore.batch.label_contents import (
    ML_PER_FL_OZ,
    net_contents_eu,
    net_contents_us,
    tolerable_negative_error,
)
from hlbcore.formula.lines import CompositePart
from hlbcore.rules.fragrance import in_product, named

pytestmark = pytest.mark.published

ROWS = {
    r["id"]: r
    for r in map(json.loads, Path(__file__).with_name("label_examples.jsonl").read_text("utf-8").splitlines())
}
LISTS = [r for r in ROWS.values() if r["kind"] == "declaration" and r["formula"]]
REFUSED = [r for r in LISTS if "refuse" in r["expected"]]
SHORT = "L19"  # adds to 99.7: "sum 99.70: ask"


def formula_of(row: dict[str, Any]) -> Formula:
    """The formula as printed; of an extract, whose rest is not told, the parts fill the whole."""
    whole = row["sum_pct"] if row["sum_pct"] == 9 else 100
    lines, blends = [], []
    for x in row["formula"]:
        amount = "" if x["pct"] is None else x["pct"] * 100 / whole
        lines.append(Line(x["name"], amount, counts=x.get("role", "auto")))
        if parts := x.get("parts"):
            blends.append(Composite(x["name"], tuple(part(p, len(parts)) for p in parts)))
    return Formula(row["title"], "o/w cream", lines, blends=blends)


def part(p: dict[str, Any], n: int) -> CompositePart:
    share = p["share"]
    if share is None:
        return CompositePart(p["inci"], 100 / n, 0, 100)
    if isinstance(share, list):
        return CompositePart(p["inci"], 50 * (share[0] + share[1]), 100 * share[0], 100 * share[1])
    return CompositePart(p["inci"], 100 * share)


def markets(row: dict[str, Any]) -> list[str]:
    return ["us", "eu"] if row["market"] == "both" else [row["market"].lower()]


def printed_as(name: str, market: str, role: str = "") -> str:
    return label_name(name, market, colour=role == "colour" or name.startswith("CI ")).base


CASES = [(r, m) for r in LISTS if r not in REFUSED and r["id"] != SHORT for m in markets(r)]
EACH = pytest.mark.parametrize(("row", "market"), CASES, ids=[f"{r['id']}-{m}" for r, m in CASES])


@EACH
def test_what_is_above_1_pct_stands_in_falling_order(row: dict[str, Any], market: str) -> None:
    entries = hlb.declare(formula_of(row), market).lists[0].entries
    order = [e.base for e in entries]
    groups = [[printed_as(n, market) for n in group] for group in row["expected"].get("above_1", [])]
    places = [sorted(order.index(n) for n in group) for group in groups]
    assert [p for group in places for p in group] == sorted(p for group in places for p in group)


@EACH
def test_what_may_stand_in_any_order_stands_behind(row: dict[str, Any], market: str) -> None:
    entries = {e.base: e for e in hlb.declare(formula_of(row), market).lists[0].entries}
    expected = row["expected"]
    key = "at_or_below_1_any_order" if market == "us" else "below_1_any_order"
    for name in (*expected.get(key, ()), *expected.get("below_1", ())):
        assert entries[printed_as(name, market)].group == FREE, name
    for name in expected.get("colours_last", ()):
        assert entries[printed_as(name, market, "colour")].group == COLOUR
    groups = [e.group for e in entries.values()]
    assert groups == sorted(groups, key=["sorted", FREE, COLOUR].index)


@EACH
def test_each_name_stands_once_with_its_sum(row: dict[str, Any], market: str) -> None:
    entries = hlb.declare(formula_of(row), market).lists[0].entries
    assert len({e.base for e in entries}) == len(entries)
    held = {e.base: e for e in entries}
    scale = 100 / 9 if row["sum_pct"] == 9 else 1
    for name, value in row["expected"]["percent"].items():
        if market == "us" and name.startswith("CI 774"):
            continue  # three oxides are one name in the US
        low, high = value if isinstance(value, list) else (value, value)
        entry = held[printed_as(name, market)]
        assert (entry.low, entry.high) == pytest.approx((low * scale, high * scale), abs=2e-4), name


@pytest.mark.parametrize("row", [*REFUSED, ROWS[SHORT]], ids=lambda r: r["id"])
def test_slips_of_a_source_are_refused_by_name(row: dict[str, Any]) -> None:
    with pytest.raises(HlbError) as told:
        hlb.declare(formula_of(row), "us")
    without = next((x["name"] for x in row["formula"] if x["pct"] is None), f"{row['sum_pct']:g}")
    assert without in str(told.value)


@pytest.mark.parametrize(
    ("id", "names"),
    [
        ("L03", ("Cetearyl Olivate", "Sorbitan Olivate", "Fructose")),
        ("L08", ("Polysorbate 60",)),
        ("L14", ("Caprylic/Capric Triglyceride", "Propanediol")),
        ("L20", ("Cetearyl Alcohol",)),
    ],
)
def test_an_order_that_the_shares_do_not_settle_is_said(id: str, names: tuple[str, ...]) -> None:
    said = [p for p in hlb.declare(formula_of(ROWS[id]), "eu").open_points if "do not settle" in p]
    assert len(said) == 1
    assert [n for n in names if n not in said[0]] == []


def test_a_preservative_that_came_within_juice_may_be_left_out_in_the_us() -> None:
    formula = formula_of(ROWS["C04"])
    assert hlb.declare(formula, "us").may_be_left_out == tuple(ROWS["C04"]["expected"]["may_be_left_out"])
    assert "Potassium Sorbate" not in hlb.declare(formula, "us", leave_out=["potassium sorbate"]).text
    assert "Potassium Sorbate" in hlb.declare(formula, "eu").text


def test_a_blend_gives_its_parts_and_not_its_name() -> None:
    # need 35: 6 % of 80:20 and 2 % cetearyl alcohol
    lines = [Line("water", 92), Line("emulsifying wax", 6), Line("cetearyl alcohol", 2)]
    formula = Formula(
        "x", "o/w cream", lines, blends="emulsifying wax: cetearyl alcohol 80, polysorbate 60 20"
    )
    draft = hlb.declare(formula, "us")
    assert dict(zip(draft.table["ingredient"], draft.table["pct"], strict=True)) == pytest.approx(
        {"Water": 92, "Cetearyl Alcohol": 6.8, "Polysorbate 60": 1.2}
    )
    assert "emulsifying wax" not in draft.text.casefold()


# allergens


@pytest.mark.parametrize("row", [r for r in ROWS.values() if r["kind"] == "allergen"], ids=lambda r: r["id"])
def test_allergens_are_named_above_the_threshold(row: dict[str, Any]) -> None:
    pct = in_product(row["fragrance_pct"], row["share_in_fragrance_pct"])
    assert pct == pytest.approx(row["expected"]["in_product_pct"], rel=1e-9)
    leave_on = row["product"] == "leave-on"
    assert named(row["allergen"], pct).to_name(leave_on=leave_on) == row["expected"]["declare"]
    lines = [Line("water", 100 - row["fragrance_pct"]), Line("fragrance", row["fragrance_pct"])]
    sheet = {"fragrance_allergens": f"{row['allergen']} {row['share_in_fragrance_pct']}"}
    text = hlb.declare(Formula("x", "o/w cream", lines, facts=sheet), "eu").ingredients
    assert (row["allergen"].capitalize() in text or row["allergen"] in text) == row["expected"]["declare"]


# names


def test_words_that_are_no_part_of_a_name_are_left_out() -> None:
    row = ROWS["T01"]
    typed = re.split(r", (?![^()]*\))", row["input"])
    assert ", ".join(str(label_name(n, "us")) for n in typed) == row["expected"]


def test_foreign_words_of_the_us_list_stand_in_brackets() -> None:
    row = ROWS["T06"]
    names = [label_name(n, "us", colour=n.startswith("CI")) for n in row["input"].split("; ")]
    assert "; ".join(map(str, names)) == row["expected"]


def test_both_words_for_scent_and_water_stand_as_typed() -> None:
    row = ROWS["T05"]
    assert ", ".join(str(label_name(n, "eu")) for n in row["input"].split(", ")) == row["input"]


def test_certified_colours_are_shortened_and_nano_is_said() -> None:
    assert str(label_name(ROWS["T07"]["input"], "us", colour=True)) == ROWS["T07"]["expected"]
    assert str(label_name(ROWS["T11"]["input"], "eu")) == ROWS["T11"]["expected"]


def test_colours_stand_behind_the_fragrance() -> None:
    amounts = (50, 20, 10, 8, 6, 4, 1.5, 0.5)
    names = ROWS["T04"]["input"].split(", ")[:8]
    lines = [Line(n, a) for n, a in zip(names, amounts, strict=True)]
    facts = {"fragrance_allergens": "limonene 5"}
    order = hlb.declare(Formula("x", "o/w cream", lines, facts=facts), "eu").names
    assert order[-4:] == ("Panthenol", "Parfum", "Limonene", "CI 75470")


def test_an_assortment_has_common_names_once_and_colours_last() -> None:
    # T10: 21 CFR 701.3(o)(1), (h)
    lines = [
        Line("sugar", 60),
        Line("sunflower oil", 40),
        Line("fragrance", 1, portion="rose"),
        Line("iron oxides", 0.2, portion="rose"),
        Line("peppermint oil", 0.5, portion="mint"),
        Line("chromium oxide green", 0.1, portion="mint"),
    ]
    formula = Formula("Scrub", "wash-off scrub", lines, portions="rose 50, mint 50")
    text = hlb.declare(formula, "us", portions="together").ingredients
    common = "Sucrose, Helianthus Annuus (Sunflower) Seed Oil"
    assert text == (
        f"{common}; rose: Fragrance; mint: Mentha Piperita (Peppermint) Oil; "
        "Iron Oxides, Chromium Oxide Greens"
    )
    with pytest.raises(HlbError, match=r"portions: one list for several products is written by US law"):
        hlb.declare(formula, "eu", portions="together")


def test_shades_may_contain_the_colours_of_a_range() -> None:
    # T12: Art. 19(1)(g), decorative cosmetics in several shades; 21 CFR 701.3(g)
    lines = [
        Line("water", 100),
        Line("CI 77491", 2, portion="a", counts="colour"),
        Line("CI 77492", 2, portion="b", counts="colour"),
    ]
    formula = Formula("Tint", "o/w cream", lines, portions="a 50, b 50")
    eu, us = (hlb.declare(formula, m, portions="shades") for m in ("eu", "us"))
    assert eu.ingredients == "Aqua, [+/- CI 77491, CI 77492]"
    assert us.ingredients == "Water. May contain: Iron Oxides (CI 77491, CI 77492)"
    assert "decorative cosmetics" in eu.open_points[-1]


# net contents

GRAMS = {"oz": 28.349523125, "lb": 453.59237, "g": 1.0}
MLS = {"floz": ML_PER_FL_OZ, "gal": 128 * ML_PER_FL_OZ, "ml": 1.0}


def folded(text: str) -> str:
    return re.sub(r"[^0-9a-z./()]|\.(?!\d)|net contents", "", text.casefold().replace("net contents", ""))


@pytest.mark.parametrize("id", ["N02", "N05", "N06", "N07", "N08", "N10", "N12", "N14", "N16", "N17", "N21"])
def test_net_contents_in_both_systems_never_overstate(id: str) -> None:
    given = ROWS[id]["input"]
    kinds = [(u, v) for u, v in given.items() if u != "jar_ml"]
    unit, value = kinds[0]
    text = net_contents_us(g=value * GRAMS[unit]) if unit in GRAMS else net_contents_us(ml=value * MLS[unit])
    ours = {folded(text), folded(text).partition("(")[0], folded(text).removeprefix("netwt")}
    assert ours & set(map(folded, ROWS[id]["expected"])), text


def test_net_contents_of_the_eu_and_what_one_package_may_lack() -> None:
    assert net_contents_eu(ml=250) == ROWS["N18"]["expected"][0]
    assert net_contents_eu(g=50) + " ℮" == ROWS["N19"]["expected"][0]
    assert tolerable_negative_error(250) == 9  # N18
    assert tolerable_negative_error(50) == 4.5  # N19
