"""Files of earlier versions: formulas of schema 1 and pages as typed are read for ever, or refused."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import Composite, Estimate, Facts, Formula, HlbError, InvalidInput, Line, Portion, work_out
from hlbcore.formula.lines import CompositePart
from hlbcore.formula.old_files import FLAGS, LISTS, TEXTS

# --- formulas of schema 1

RAW: dict[str, Any] = {
    "schema": "hlbcore formula",
    "version": 1,
    "name": "x",
    "product_type": "o/w cream",
    "lines": [
        {
            "name": "alpha oil",
            "pct": 100.0,
            "phase": "oil",
            "role": "auto",
            "active_pct": 100.0,
            "portion": None,
            "note": "",
            "own": {
                "value": 9,
                "low": 8,
                "high": 14,
                "sources": ["a"],
                "grade": "own",
                "alternatives": [8, 14],
            },
            "supplier": {"low_pct": 4, "high_pct": 6, "oil_limit_pct": None},
        }
    ],
    "phases": ["water", "oil", "cool-down", "solids"],
    "portions": [{"name": "a", "share_pct": 100.0}],
    "composites": [
        {
            "name": "house wax",
            "parts": [
                {"name": "cetearyl alcohol", "pct": 80.0, "low": None, "high": None},
                {"name": "polysorbate 60", "pct": 20.0, "low": 15.0, "high": 25.0},
            ],
        }
    ],
    "facts": {"ph": 5.5, "area": "face", "cleansing": None, "fragrance_allergens": [["linalool", 1.5]]},
    "note": "soft",
}


def test_a_formula_of_schema_1_means_what_it_meant() -> None:
    parts = (CompositePart("cetearyl alcohol", 80), CompositePart("polysorbate 60", 20, 15, 25))
    line = Line("alpha oil", 100, phase="oil", own=Estimate(9, 8, 14), supplier_rate=(4, 6))
    assert Formula.from_json(json.dumps(RAW)) == Formula(
        "x",
        "o/w cream",
        [line],
        portions=(Portion("a", 100),),
        blends=(Composite("house wax", parts),),
        facts=Facts(ph=5.5, area="face", fragrance_allergens=(("linalool", 1.5),)),
        note="soft",
    )


def test_fields_of_schema_1_that_are_missing_take_their_default() -> None:
    short = {key: RAW[key] for key in ("schema", "version", "name", "product_type")}
    lines = [{"name": "alpha oil", "pct": "12,5"}]
    wanted = Formula("x", "o/w cream", [Line("alpha oil", "12,5")])
    assert Formula.from_json(json.dumps({**short, "lines": lines})) == wanted


def changed(path: str, value: object) -> str:
    """The stored form with one value put elsewhere or made odd."""
    raw = json.loads(json.dumps(RAW))
    *way, last = [int(p) if p.isdigit() else p for p in path.split(".")]
    place = raw
    for step in way:
        place = place[step]
    place[last] = value
    return json.dumps(raw)


REFUSED = {
    "odd field": (changed("colour", "red"), "'colour' is not a field of it"),
    "odd field of a line": (changed("lines.0.colour", "red"), "'colour' is not a field"),
    "odd field of a fact": (changed("facts.mood", "good"), "'?mood'?"),
    "odd field of a portion": (changed("portions.0.size", 1), "'size' is not a field"),
    "odd field of a composite": (changed("composites.0.size", 1), "'size' is not a field"),
    "odd field of a part": (changed("composites.0.parts.0.size", 1), "'size' is not a field"),
    "name": (changed("name", ["x"]), "is not text"),
    "note": (changed("note", {"a": 1}), "is not text"),
    "lines": (changed("lines", 5), "cannot be read"),
    "line": (changed("lines.0", "olive oil"), "cannot be read|is not a field"),
    "amount": (changed("lines.0.pct", [1]), "'alpha oil'"),
    "endless amount": (changed("lines.0.pct", math.inf), "cannot be read"),
    "long amount": (changed("lines.0.pct", 10**400), "'alpha oil'"),
    "name of a line": (changed("lines.0.name", ["a"]), "is not text"),
    "phase of a line": (changed("lines.0.phase", ["a"]), "is not text"),
    "portion of a line": (changed("lines.0.portion", {}), "is not text"),
    "own": (changed("lines.0.own", 5), "cannot be read"),
    "own range": (changed("lines.0.own", {"value": 5, "low": 6, "high": 7}), "outside its range"),
    "supplier": (changed("lines.0.supplier", 5), "cannot be read"),
    "phases": (changed("phases", "oil"), "phases"),
    "phase": (changed("phases", [["oil"]]), "is not text"),
    "portion": (changed("portions.0.name", 5), "is not text"),
    "composite": (changed("composites.0.name", {}), "is not text"),
    "parts": (changed("composites.0.parts", "abc"), "cannot be read"),
    "name of a part": (changed("composites.0.parts.0.name", 5), "is not text"),
    "area": (changed("facts.area", {}), "is not one of the choices"),
    "cleansing": (changed("facts.cleansing", {}), "cleansing"),
    "allergens": (changed("facts.fragrance_allergens", [1]), "cannot be read"),
    "product type": (changed("product_type", "soup"), "soup"),
    "lone surrogate": (changed("name", "\ud800"), "cannot be read"),
    "many lines": (changed("lines", [{"name": "a", "pct": 0}] * 601), "more than 600"),
}


@pytest.mark.parametrize(("text", "words"), REFUSED.values(), ids=REFUSED)
def test_a_file_that_cannot_be_used_says_why(text: str, words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        Formula.from_json(text)


@pytest.mark.parametrize(
    ("path", "value", "kept", "words"),
    [
        ("portions", [{"name": "a", "share_pct": 1}] * 21, "a 1", "there are more than 20"),
        ("composites", [{"name": "a", "parts": [{"name": "b", "pct": 1}]}] * 201, "a: b 1", "more than 200"),
        ("composites", [{"name": "a", "parts": [{"name": "b", "pct": 1}] * 31}], "b 1", "more than 30"),
        ("composites", [{"name": "my wax", "parts": []}], "my wax:", "it has no parts"),
        ("composites", [{"name": "", "parts": [{"name": "b", "pct": 1}]}], ": b 1", "blend ''"),
    ],
    ids=["many portions", "many blends", "many parts", "no part", "no name"],
)
def test_what_no_text_can_say_is_kept_with_its_sentence(
    path: str, value: object, kept: str, words: str
) -> None:
    formula = Formula.from_json(changed(path, value))
    assert kept in formula.portions.text + formula.blends.text
    (problem,) = formula.found
    assert words in problem.text
    assert Formula.from_json(formula.to_json()) == formula


@pytest.mark.parametrize(("low", "high", "span"), [(15, None, (15, 100)), (None, 25, (0, 25))])
def test_one_end_of_a_range_of_a_part_is_kept(low: object, high: object, span: tuple[int, int]) -> None:
    part = {"name": "b", "pct": 20, "low": low, "high": high}
    formula = Formula.from_json(changed("composites", [{"name": "a", "parts": [part]}]))
    ((held,),) = (blend.parts for blend in formula.blend_list)
    assert (held.low, held.high) == span


VALUES = st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=8),
    lambda x: st.lists(x, max_size=3) | st.dictionaries(st.text(max_size=8), x, max_size=3),
)


@settings(max_examples=100)
@given(
    VALUES,
    st.sampled_from(
        [
            *("name", "lines", "lines.0", "lines.0.pct", "lines.0.own", "lines.0.supplier", "phases"),
            *("portions", "composites", "composites.0.parts", "facts", "facts.ph", "version"),
        ]
    ),
)
def test_any_value_in_any_place_gives_a_formula_that_works_or_a_sentence(value: object, path: str) -> None:
    try:
        read = Formula.from_json(changed(path, value))
    except HlbError:
        return
    read.problems()
    assert Formula.from_json(read.to_json()) == read


# --- pages as typed


def page(**fields: object) -> Formula:
    return Formula.from_json(json.dumps({"title": "x"} | fields))


def test_fields_of_a_page_that_are_missing_take_the_default_of_then() -> None:
    formula = page()
    assert (formula.name, formula.product_type, formula.phases) == (
        "x",
        "o/w cream",
        ("water", "oil", "cool-down", "solids"),
    )
    aims = formula.aims
    assert (aims.goal, aims.unit, aims.fragrance_counts, aims.ionics) == ("closest", "%", True, False)
    assert [t.text for _, t in aims.typed_fields()] == ["3 to 6", "1", "500 g", "0.1 g", ""]


def test_a_blank_page_was_kept_without_a_field() -> None:
    assert Formula.from_json("{}") == page(title="")


def test_numbers_written_by_hand_are_taken_as_typed() -> None:
    formula = page(total=5, lines=[{"name": "olive oil", "amount": 2.5}])
    assert (formula.aims.dose.text, formula.lines[0].amount.text) == ("5", "2.5")


def test_amounts_that_were_checked_are_taken_as_typed() -> None:
    assert page(objective="check my amounts").aims.goal == "as typed"


def test_oils_emulsifiers_and_the_rest_stand_in_one_list() -> None:
    formula = page(
        lines=[{"name": "cetyl alcohol", "amount": "2", "side": "oil", "own": "15", "note": "flakes"}],
        emulsifiers=[
            {
                "name": "my wax",
                "now": "5",
                "low": "1",
                "high": "6",
                "price": "9",
                "hlb": "12",
                "rate": "4 to 6",
                "oil_limit": "25",
            }
        ],
        others=[{"name": "lecithin", "amount": "2", "phase": "cool-down", "active": "50", "portion": "rose"}],
    )
    assert formula.lines == (
        Line("cetyl alcohol", "2", phase="oil", counts="oil", own="15", note="flakes"),
        Line(
            "my wax",
            "5",
            phase="oil",
            counts="emulsifier",
            own="12",
            low="1",
            high="6",
            price="9",
            supplier_rate="4 to 6",
            oil_limit="25",
        ),
        Line("lecithin", "2", phase="cool-down", active="50", portion="rose"),
    )


def test_a_plain_number_beside_oils_in_grams_stays_per_cent() -> None:
    formula = page(
        unit="grams",
        batch="200 g",
        lines=[{"name": "olive oil", "amount": "30"}],
        emulsifiers=[{"name": "polysorbate 60", "now": "2,5"}],
        others=[{"name": "water", "amount": "70"}, {"name": "glycerin", "amount": "5 g"}],
    )
    assert formula.pcts == pytest.approx((15, 2.5, 70, 2.5))


def test_an_unknown_name_of_another_phase_still_counts_as_the_oil_it_stood_among() -> None:
    formula = page(lines=[{"name": "house oil", "amount": "2", "phase": "cool-down", "own": "9"}])
    assert formula.lines[0].counts == "oil"


def test_a_phase_of_the_users_own_is_one_of_the_phases() -> None:
    formula = page(others=[{"name": "water", "amount": "100", "phase": "second water"}])
    assert formula.phases[-1] == "second water"
    assert formula.problems() == ()


def test_what_cannot_be_read_is_kept_as_typed() -> None:
    formula = page(
        window="wide", lines=[{"name": "olive oil", "amount": "lots"}], portions="rose", blends="wax"
    )
    assert (formula.aims.window.text, formula.lines[0].amount.text) == ("wide", "lots")
    assert (formula.portions.text, formula.blends.text) == ("rose", "wax")
    assert {p.field for p in formula.found} == {"window", "amount", "portions", "blends"}


ODD = {
    "field that nobody knows": ('{"colour": "red"}', "'colour' is not a field"),
    "field of a line that nobody knows": ('{"lines": [{"name": "a", "x": 1}]}', "'x' is not a field"),
    "field of an emulsifier that nobody knows": (
        '{"emulsifiers": [{"name": "a", "x": 1}]}',
        "'x' is not a field",
    ),
    "line without a name": ('{"lines": [{"amount": "1"}]}', "name"),
    "list for text": ('{"title": ["a"]}', "'title' is not text"),
    "nothing for text": ('{"batch": null}', "'batch' is not text"),
    "object for text": ('{"lines": [{"name": {"a": 1}}]}', "'name' is not text"),
    "word for yes or no": ('{"ionics": "false"}', "true or false"),
    "number for lines": ('{"lines": 5}', "not iterable"),
    "text for lines": ('{"lines": "abc"}', "no list of fields"),
    "nothing for lines": ('{"lines": null}', "not iterable"),
    "unit that nobody knows": ('{"unit": "cups"}', "neither % nor grams"),
    "side that nobody knows": ('{"lines": [{"name": "a", "side": "left"}]}', "'left' is no side"),
    "text for phases": ('{"phases": "oil"}', "'phases' is no list"),
    "list": ("[]", "it cannot be read"),
    "nothing": ("null", "it cannot be read"),
    "not JSON": ("title: cream", "it cannot be read"),
    "blank": ("", "it cannot be read"),
    "half a file": ('{"title": "a"', "it cannot be read"),
    "deep nesting": ("[" * 100_000, "it cannot be read"),
    "deep nesting, closed": ('{"title": ' + "[" * 500 + "]" * 500 + "}", "'title' is not text"),
    "a million characters": ('{"x": "' + "y" * 1_000_000 + '"}', "'x' is not a field"),
    "a million digits": ("1" * 1_000_000, "it cannot be read"),
    "half a sign": ('{"title": "\\ud800"}', "it cannot be read"),
}


@pytest.mark.parametrize(("text", "said"), ODD.values(), ids=ODD)
def test_what_is_no_page_is_refused_in_a_short_sentence(text: str, said: str) -> None:
    with pytest.raises(InvalidInput, match=r"^formula: it cannot be read: .*Choose a file") as caught:
        Formula.from_json(text)
    assert said in str(caught.value)
    assert len(str(caught.value)) < 250


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('{"product": "paint"}', "product type 'paint': it is not known"),
        ('{"objective": "best"}', "what to look for: 'best'"),
    ],
)
def test_a_choice_that_nobody_knows_is_named(text: str, said: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        Formula.from_json(text)
    assert str(caught.value).startswith(said)


KEYS = (*TEXTS, *FLAGS, *LISTS, "facts", "phases")


@settings(max_examples=150)
@given(st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=5), VALUES, max_size=4))
def test_any_json_is_a_page_or_refused(value: object) -> None:
    try:
        formula = Formula.from_json(json.dumps(value))
    except InvalidInput:
        return
    assert work_out(formula).formula is formula


TEXT = st.text(max_size=8) | st.sampled_from(["olive oil", "polysorbate 60", "5", "12,5 %", "3 g", "lots"])


@settings(max_examples=100)
@given(
    st.fixed_dictionaries(
        {
            "title": TEXT,
            "unit": st.sampled_from(["grams", "% of the formula"]),
            "lines": st.lists(st.fixed_dictionaries(dict.fromkeys(("name", "amount", "own", "phase"), TEXT))),
            "emulsifiers": st.lists(
                st.fixed_dictionaries(
                    dict.fromkeys(("name", "now", "low", "high", "price", "hlb", "rate"), TEXT)
                ),
                max_size=3,
            ),
            "others": st.lists(
                st.fixed_dictionaries(dict.fromkeys(("name", "amount", "phase", "active", "note"), TEXT)),
                max_size=3,
            ),
            **dict.fromkeys(("total", "window", "batch", "portions", "blends", "note"), TEXT),
        }
    )
)
def test_every_text_of_a_page_stands_in_the_formula(raw: dict[str, Any]) -> None:
    formula = Formula.from_json(json.dumps(raw))
    aims = formula.aims
    assert (formula.name, formula.note) == (raw["title"], raw["note"])
    assert (formula.portions.text, formula.blends.text) == (raw["portions"], raw["blends"])
    assert (aims.dose.text, aims.window.text, aims.batch.text) == (raw["total"], raw["window"], raw["batch"])
    old = [*raw["lines"], *raw["emulsifiers"], *raw["others"]]
    names = {"now": "amount", "hlb": "own", "rate": "supplier_rate"}
    for before, line in zip(old, formula.lines, strict=True):
        for key, text in before.items():
            held = getattr(line, names.get(key, key))
            assert (held if isinstance(held, str) else held.text).removesuffix(" %") == text.removesuffix(
                " %"
            ).strip() or str(held) == text
