from __future__ import annotations

import json
import re
from collections import Counter
from typing import Any

import pytest

import hlbcore
from hlbcore import InvalidInput, Library, OwnIngredient, OwnReading, load_library
from hlbcore.errors import clipped
from hlbcore.folders import data_folder
from hlbcore.ingredients import CONVENTIONS, KINDS, NAME_MAX
from hlbcore.library import _with_own
from hlbcore.own import own_from_json, own_to_json

MEADOW = OwnIngredient("meadow butter", "butter", "Pratum Butter", "soft", ("green butter",))


# --- kinds


def test_kinds_of_the_tables_are_those_known(library: Library) -> None:
    assert {i.kind for i in library} - set(KINDS) == set()


def test_kind_counts_as_most_of_its_kind_in_the_tables(library: Library) -> None:
    counts = Counter((i.kind, i.convention) for i in library)
    usual = {kind: max(CONVENTIONS, key=lambda c: counts[kind, c]) for kind in {i.kind for i in library}}
    assert {k: KINDS[k] for k in usual} == usual


def test_kinds_are_those_of_the_readme_of_the_tables() -> None:
    text = (data_folder() / "README.md").read_text(encoding="utf-8")
    found = re.search(r"^Kinds: (butter.*?)\.$", text, re.MULTILINE | re.DOTALL)
    assert found is not None
    assert [k.strip() for k in re.split(r"[,;]", found[1].replace("\n", " "))] == list(KINDS)


@pytest.mark.parametrize(
    ("kind", "convention"),
    [("butter", "oil"), ("emulsifier", "emulsifier"), ("humectant", "outside"), ("Oil", "oil")],
)
def test_own_ingredient_counts_as_its_kind(kind: str, convention: str) -> None:
    assert OwnIngredient("x", kind).convention == convention


# --- laid over the tables


def test_own_ingredient_is_found_by_all_its_names() -> None:
    mine = load_library([MEADOW])
    found = {mine.find(n).id for n in ("Meadow Butter", "GREEN butter", "pratum butter")}
    assert found == {"own_meadowbutter"}
    assert mine.oil("meadow butter").note == "soft"


@pytest.mark.parametrize("turned", [False, True], ids=["ingredient first", "reading first"])
def test_own_items_may_come_in_any_order(turned: bool) -> None:
    items = [MEADOW, OwnReading("green butter", 8.0)]
    mine = load_library(items[::-1] if turned else items)
    found = mine.oil("meadow butter")
    assert (found.kind, [r.value for r in found.ow_readings]) == ("butter", [8.0])
    assert mine == load_library(items)


def test_own_reading_leads_and_the_tables_stay_visible_beside_an_own_ingredient() -> None:
    before = load_library().oil("shea butter").ow_readings
    own = [OwnReading("shea butter", 9.0), OwnIngredient("shea butter", "butter")]
    assert load_library(own).oil("shea butter").ow_readings == (own[0].reading, *before)


def test_known_ingredient_takes_only_what_is_blank(tiny_library: Library) -> None:
    own = OwnIngredient("first oil", "wax", "Other Name", "my note", ("house oil", "beta oil"))
    mine = _with_own(tiny_library, own)
    found = mine.find("alpha oil")
    assert (found.inci, found.kind, found.note) == ("Alphus Inventus Seed Oil", "oil", "my note")
    assert mine.find("house oil").id == "alpha_oil"
    assert mine.find("beta oil").id == "beta_oil"


def test_own_names_never_take_a_name_of_the_tables() -> None:
    before = load_library()
    thieves = [
        OwnIngredient("aaa oil", "oil", before.find("shea butter").inci, aliases=("olive oil",)),
        OwnIngredient("aab oil", "oil", aliases=(before.find("cocoa butter").inci, "aaa oil")),
    ]
    mine = load_library(thieves)
    assert [n for n, i in before.names.items() if mine.names[n] != i] == []
    assert mine.find("aaa oil").common_name == "aaa oil"


def test_names_that_begin_with_own_stay_apart() -> None:
    mine = load_library([OwnIngredient("zeta"), OwnIngredient("own zeta", "oil")])
    assert mine.find("own zeta").kind == "oil"
    assert mine.find("zeta").kind == "other"


def test_own_ingredients_stand_in_order_of_their_ids() -> None:
    ids = list(load_library([MEADOW, OwnIngredient("aaa")]).ingredients)
    assert ids == sorted(ids)


def test_same_overlay_gives_the_same_object() -> None:
    assert load_library([MEADOW]) is load_library(x for x in (MEADOW,))


def test_another_overlay_has_another_digest() -> None:
    digests = {
        load_library(o).digest for o in ([], [MEADOW], [OwnReading("x", 8.0)], [MEADOW, OwnReading("x", 8.0)])
    }
    assert len(digests) == 4


# --- what cannot be used


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"name": " "}, "the name is blank. Name the ingredient"),
        ({"name": "x" * (NAME_MAX + 1)}, "it has 201 characters. Use at most 200"),
        ({"name": 5}, "'5' is not text"),
        ({"name": "a\ud800"}, "half a sign"),
        ({"kind": "spell"}, "kind: 'spell' is not one of the choices. Use butter, oil"),
        ({"note": "x" * 2001}, "note: it has 2001 characters"),
        ({"inci": None}, "INCI name: 'None' is not text"),
        ({"aliases": "green butter"}, "its other names are no list"),
        ({"aliases": (7,)}, "other names: '7' is not text"),
    ],
    ids=lambda x: next(iter(x)) if isinstance(x, dict) else "",
)
def test_own_ingredient_that_cannot_be_used_is_refused(given: dict[str, Any], message: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        OwnIngredient(**{"name": "x", **given})
    assert message in str(caught.value)


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"kind": "spell"}, "kind: 'spell' is not one of the choices"),
        ({"pair": 3}, "pair: '3' is not text"),
        ({"dose_pct": 101}, "dose_pct: 101 is out of range. Enter 0 to 100"),
        ({"temperature_c": float("inf")}, "temperature_c: inf is not a finite number"),
    ],
    ids=["kind", "pair", "dose", "temperature"],
)
def test_circumstances_that_cannot_be_used_are_refused(given: dict[str, Any], message: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        OwnReading(**{"name": "x", "value": 9.0, **given})
    assert message in str(caught.value)


def test_blank_and_double_other_names_fall_away() -> None:
    assert OwnIngredient("x", aliases=(" a ", "", "a", "!")).aliases == ("a", "!")


# --- as text


@pytest.mark.parametrize(
    "item",
    [
        MEADOW,
        OwnIngredient("<script>alert('ü 🧈')</script>"),
        OwnReading("shea butter", 9.0),
        OwnReading(
            "x",
            9.0,
            8.0,
            11.5,
            "HLB",
            "w/o",
            0.25,
            "ester",
            "a and b",
            "ladder",
            "2026-03-01",
            "T4",
            5.0,
            70.0,
        ),
    ],
    ids=["ingredient", "odd name", "reading", "whole reading"],
)
def test_own_item_comes_back_from_its_text(item: OwnIngredient | OwnReading) -> None:
    assert own_from_json(own_to_json(item)) == item


def changed(item: OwnIngredient | OwnReading, **fields: Any) -> str:
    return json.dumps({**json.loads(own_to_json(item)), **fields})


READING = OwnReading("x", 9.0)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "it cannot be read"),
        ("[]", "it cannot be read"),
        ("{}", "'schema'"),
        ("[" * 100_000, "it cannot be read"),
        ("9" * 10_000, "it cannot be read"),
        (changed(READING, schema="hlbcore formula"), "it cannot be read"),
        (changed(READING, schema=[]), "it cannot be read"),
        (changed(READING, version=2), "written by a newer version (2 after 1)"),
        (changed(READING, version=True), "its version is no number"),
        (changed(READING, price=4), "'price' is not a field of it"),
        (changed(READING, value="9"), "'value' is no number"),
        (changed(READING, value=True), "'value' is no number"),
        (changed(READING, value=None), "'value' is no number"),
        (changed(READING, value=float("nan")), "nan is not a finite number"),
        (changed(READING, value=10**400), "'value' is no number"),
        (changed(READING, value="?").replace('"?"', "1e400"), "not a finite number"),
        (changed(READING, name=None), "'name' is no text"),
        (changed(MEADOW, aliases={"a": 1}), "no list"),
        (changed(MEADOW, name="\ud800"), "half a sign"),
        ('{"schema": "hlbcore own reading", "version": 1, "name": "x"}', "'value' is missing"),
    ],
    ids=lambda x: clipped(x, 40),
)
def test_text_that_is_no_own_item_is_refused(text: str, message: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        own_from_json(text)
    assert message in str(caught.value)


def test_missing_fields_take_their_default() -> None:
    text = '{"schema": "hlbcore own ingredient", "version": 1, "name": "x"}'
    assert own_from_json(text) == OwnIngredient("x")


def test_public_names_hold_both_own_items() -> None:
    assert {"OwnIngredient", "OwnReading"} <= set(hlbcore.__all__)
