"""A sheet on file: its compact form, and how large it may be."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, replace

import pytest
from hlbcore.sheets.sheet import CHECK_ONLY, GOALS, UNITS
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import InvalidInput, Sheet, SheetEmulsifier, SheetLine, SheetOther, example_sheet
from hlbcore.limits import FIELD_MOST, FILE_MOST, LINES_MOST, SHEET_MOST, TEXT_MOST

words = st.text(max_size=8) | st.sampled_from(["", "oil", "water", "1", "3 to 6", '"', "\\", "é"])
sheets = st.builds(
    Sheet,
    words,
    st.sampled_from(["o/w cream", "w/o cream"]),
    st.sampled_from(UNITS),
    st.lists(st.builds(SheetLine, *[words] * 6), max_size=3).map(tuple),
    st.lists(st.builds(SheetEmulsifier, *[words] * 10), max_size=3).map(tuple),
    st.sampled_from(GOALS),
    *[words] * 5,
    st.booleans(),
    st.booleans(),
    st.lists(st.builds(SheetOther, *[words] * 6), max_size=3).map(tuple),
    words,
    st.lists(st.tuples(words, words), max_size=3).map(tuple),
    words,
    st.lists(words, max_size=3).map(tuple),
    words,
)


@settings(max_examples=150)
@given(sheets)
def test_a_sheet_comes_back_from_its_compact_form(sheet: Sheet) -> None:
    text = sheet.to_json(compact=True)
    assert Sheet.from_json(text) == sheet
    assert len(text) <= len(sheet.to_json())


def test_the_compact_form_leaves_out_what_is_as_at_the_start() -> None:
    assert Sheet().to_json(compact=True) == "{}"
    line = SheetEmulsifier("lecithin", phase="water")
    sheet = Sheet(emulsifiers=(line,), phases=())
    assert json.loads(sheet.to_json(compact=True)) == {
        "emulsifiers": [{"name": "lecithin", "phase": "water"}],
        "phases": [],
    }


def test_the_compact_form_is_much_shorter() -> None:
    sheet = example_sheet()
    assert len(sheet.to_json(compact=True)) < len(sheet.to_json()) / 2


def test_what_a_blank_sheet_holds_stays_the_same() -> None:
    # kept sheets leave these out: another default would change what they say
    assert asdict(
        Sheet(lines=(SheetLine("a"),), emulsifiers=(SheetEmulsifier("b"),), others=(SheetOther("c"),))
    ) == {
        "title": "",
        "product": "o/w cream",
        "unit": "% of the formula",
        "lines": ({"name": "a", "amount": "", "side": "", "own": "", "phase": "oil", "note": ""},),
        "emulsifiers": (
            {
                "name": "b",
                "now": "",
                "low": "",
                "high": "",
                "price": "",
                "hlb": "",
                "rate": "",
                "oil_limit": "",
                "phase": "oil",
                "note": "",
            },
        ),
        "objective": "closest",
        "total": "3 to 6",
        "window": "1",
        "batch": "500 g",
        "scale": "0.1 g",
        "smallest": "",
        "count_fragrance": True,
        "ionics": False,
        "others": ({"name": "c", "amount": "", "phase": "water", "active": "", "portion": "", "note": ""},),
        "portions": "",
        "facts": (),
        "blends": "",
        "phases": ("water", "oil", "cool-down", "solids"),
        "note": "",
    }


# --- how large a sheet may be

LONG = "x" * FIELD_MOST
MANY = LINES_MOST
LARGEST: dict[str, Callable[[int], Sheet]] = {
    "oil phase": lambda n: Sheet(lines=(SheetLine("a"),) * (MANY + n)),
    "emulsifiers": lambda n: Sheet(emulsifiers=(SheetEmulsifier("a"),) * (MANY + n)),
    "other lines": lambda n: Sheet(others=(SheetOther("a"),) * (MANY + n)),
    "facts": lambda n: Sheet(facts=(("ph", "5"),) * (MANY + n)),
    "phases": lambda n: Sheet(phases=("a",) * (MANY + n)),
    "title": lambda n: Sheet(title=LONG + "x" * n),
    "oil phase, line 2": lambda n: Sheet(lines=(SheetLine("a"), SheetLine("b", LONG + "x" * n))),
    "emulsifiers, line 1": lambda n: Sheet(emulsifiers=(SheetEmulsifier(LONG + "x" * n),)),
    "other lines, line 1": lambda n: Sheet(others=(SheetOther("a", portion=LONG + "x" * n),)),
    "facts, line 1": lambda n: Sheet(facts=(("area", LONG + "x" * n),)),
    "phases, line 1": lambda n: Sheet(phases=(LONG + "x" * n,)),
    "note": lambda n: Sheet(note="x" * (TEXT_MOST + n)),
    "portions": lambda n: Sheet(portions="x" * (TEXT_MOST + n)),
    "bought blends": lambda n: Sheet(blends="x" * (TEXT_MOST + n)),
}


@pytest.mark.parametrize(("where", "made"), LARGEST.items(), ids=LARGEST)
def test_the_largest_is_taken_and_one_more_is_refused_with_its_place(
    where: str, made: Callable[[int], Sheet]
) -> None:
    assert Sheet.from_json(made(0).to_json()) == made(0)
    with pytest.raises(InvalidInput, match=rf"^sheet, {where}: .*more than [\d,]+") as caught:
        Sheet.from_json(json.dumps(asdict(made(1))))
    assert str(caught.value).endswith(("Leave some out, or part it in two.", "Shorten it."))
    with pytest.raises(InvalidInput, match=rf"^sheet, {where}"):
        made(1).to_json(compact=True)


def filled(characters: int, sign: str) -> Sheet:
    """A sheet whose texts have so many characters in all."""
    bare = Sheet(unit="grams", objective=CHECK_ONLY)
    room = characters - sum(
        len(x)
        for v in asdict(bare).values()
        if not isinstance(v, bool)
        for x in ([v] if isinstance(v, str) else v)
    )
    each = room // (MANY * 4)
    lines = tuple(SheetLine(*[sign * each] * 4, phase="", note="") for _ in range(MANY))
    return replace(bare, lines=lines, note=sign * (room - each * MANY * 4))


@pytest.mark.parametrize("sign", ["x", "\x01", "é", "𝛼"], ids=["plain", "control", "accent", "wide"])
def test_the_largest_sheet_comes_back_from_every_form(sign: str) -> None:
    sheet = filled(SHEET_MOST, sign)
    for text in (sheet.to_json(), sheet.to_json(compact=True), json.dumps(asdict(sheet))):
        assert Sheet.from_json(text) == sheet


def test_a_sheet_with_too_much_text_in_all_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"have 150,001 characters in all, more than 150,000\."):
        filled(SHEET_MOST + 1, "x").check_size()


def test_a_file_that_is_too_long_is_not_read() -> None:
    with pytest.raises(InvalidInput, match=r"^sheet: the text has 2,000,001 characters, more than"):
        Sheet.from_json("{}" + " " * (FILE_MOST - 1))


def test_half_a_sign_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"^sheet: it cannot be read"):
        Sheet.from_json('{"title": "\\ud800"}')
