"""Formulas on file, schema 2 and CSV: what was typed comes back, what is no formula is refused."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import (
    Aims,
    Composite,
    Estimate,
    Facts,
    Formula,
    HlbError,
    InvalidInput,
    Line,
    Portion,
    example_formula,
)
from hlbcore.formula.aims import GOALS, UNITS
from hlbcore.formula.files import CSV_COLUMNS
from hlbcore.formula.lines import COUNTS, CompositePart
from hlbcore.limits import FIELD_MOST, FILE_MOST, FORMULA_LINES_MOST, LINES_MOST, SHEET_MOST, TEXT_MOST

CREAM = "o/w cream"
WAX = Composite("house wax", (CompositePart("cetearyl alcohol", 80), CompositePart("polysorbate 60", 20)))
ALL = (Line("alpha oil", 100, phase="oil"),)


def made(*lines: Line, **more: Any) -> Formula:
    return Formula("x", CREAM, lines, **more)


# --- JSON

numbers = st.floats(0, 100)
words = st.text(st.characters(codec="utf-8"), max_size=8) | st.sampled_from(
    ["", "oil", "water", "1", "3 to 6", "12,5 %", "7 g", '"', "\\", "é", "rose 50, plain 50"]
)
lines = st.builds(
    Line,
    words,
    words | numbers,
    phase=words,
    counts=st.sampled_from(COUNTS),
    own=words | st.builds(Estimate.exactly, st.floats(0, 40)),
    active=words | numbers,
    portion=st.none() | words,
    low=words | numbers,
    high=words | numbers,
    price=words | numbers,
    supplier_rate=words,
    oil_limit=words | numbers,
    note=words,
)
aims = st.builds(
    Aims,
    st.sampled_from(GOALS),
    *[words] * 5,
    fragrance_counts=st.booleans(),
    ionics=st.booleans(),
    unit=st.sampled_from(UNITS),
)
formulas = st.builds(
    Formula,
    words,
    st.sampled_from([CREAM, "cleansing balm"]),
    st.lists(lines, max_size=4),
    st.lists(words, max_size=3),
    words,
    words,
    st.dictionaries(words | st.sampled_from(["ph", "area", "cleansing"]), words, max_size=3),
    aims,
    words,
)


@settings(max_examples=150)
@given(formulas, st.booleans())
def test_a_formula_comes_back_from_its_json(formula: Formula, compact: bool) -> None:
    again = Formula.from_json(formula.to_json(compact=compact))
    assert again == formula
    assert hash(again) == hash(formula)
    assert (again.pcts, again.found) == (formula.pcts, formula.found)
    assert again.to_json() == formula.to_json()


@settings(max_examples=60)
@given(formulas)
def test_problems_are_told_of_any_formula(formula: Formula) -> None:
    assert all(p.text and (p.line is None or p.line < len(formula.lines)) for p in formula.problems())


RAW = json.loads(made(*ALL, portions=(Portion("a", 100),)).to_json())


def test_the_schema_and_its_version_stand_first() -> None:
    assert list(RAW)[:2] == ["schema", "version"]
    assert (RAW["schema"], RAW["version"]) == ("hlbcore formula", 2)


def test_what_is_blank_is_left_out() -> None:
    formula = Formula(lines=[Line("lecithin", phase="water")], phases=())
    assert json.loads(formula.to_json(compact=True)) == {
        "schema": "hlbcore formula",
        "version": 2,
        "product_type": "o/w cream",
        "lines": [{"name": "lecithin", "phase": "water"}],
        "phases": [],
        "aims": {"batch": "500 g", "scales": "0.1 g"},
    }


def test_what_a_blank_formula_holds_stays_the_same() -> None:
    # kept formulas leave these out: another default would change what they say
    formula = Formula.from_json('{"schema": "hlbcore formula", "version": 2, "lines": [{}]}')
    assert (formula.name, formula.product_type, formula.note) == ("", "o/w cream", "")
    assert formula.phases == ("water", "oil", "cool-down", "solids")
    assert (formula.portions.text, formula.blends.text, formula.facts) == ("", "", ())
    assert formula.aims == Aims("", "", "", "500 g", "0.1 g", "")
    (line,) = formula.lines
    assert (line.name, line.phase, line.counts, line.portion, line.note) == ("", "", "auto", None, "")
    assert {t.text for _, t in line.typed_fields()} == {""}


def test_the_compact_form_is_one_line() -> None:
    formula = example_formula()
    assert "\n" not in formula.to_json(compact=True)
    assert len(formula.to_json(compact=True)) < len(formula.to_json())


def test_fields_that_are_missing_take_their_default() -> None:
    short = {
        "schema": "hlbcore formula",
        "version": 2,
        "name": "x",
        "lines": [{"name": "a", "amount": "12,5"}],
    }
    assert Formula.from_json(json.dumps(short)) == made(Line("a", "12,5"))


L = "x" * (FIELD_MOST + 1)
T = "x" * (TEXT_MOST + 1)
TOO_LARGE: dict[str, tuple[dict[str, Any], str]] = {
    "lines": ({"lines": (Line("a", 0),) * 601}, "lines: there are more than 600 entries"),
    "phases": ({"phases": ("a",) * 201}, "phases: there are more than 200"),
    "facts": ({"facts": [(f"fact {n}", "5") for n in range(201)]}, "facts: there are more than 200"),
    "allergens": ({"facts": Facts(fragrance_allergens=(("a", 0),) * 201)}, "allergens: there are"),
    "name": ({"name": L}, "'x+…': the text has 2,001"),
    "phase": ({"phases": (L,)}, "'x+…': the text has 2,001"),
    "fact": ({"facts": (("area", L),)}, "'x+…': the text has 2,001"),
    "allergen": ({"facts": Facts(fragrance_allergens=((L, 0),))}, "'\"x+…': the text has"),
    "dose": ({"aims": Aims(dose=L)}, "'x+…': the text has 2,001"),
    "name of a line": ({"lines": (Line(L, 0),)}, "'x+…': the text has 2,001"),
    "amount of a line": ({"lines": (Line("a", L),)}, "'x+…': the text has 2,001"),
    "own figure of a line": ({"lines": (Line("a", own=L),)}, "'x+…': the text has 2,001"),
    "phase of a line": ({"lines": (Line("a", 0, phase=L),)}, "'x+…': the text has"),
    "portion of a line": ({"lines": (Line("a", 0, portion=L),)}, "'x+…': the text has"),
    "note of a line": ({"lines": (Line("a", 0, note=L),)}, "'x+…': the text has"),
    "note": ({"note": T}, "note, portions or bought blends: the text has 20,001"),
    "portions": ({"portions": T}, "note, portions or bought blends: the text has 20,001"),
    "bought blends": ({"blends": T}, "note, portions or bought blends: the text has 20,001"),
}


@pytest.mark.parametrize(("parts", "said"), TOO_LARGE.values(), ids=TOO_LARGE)
def test_a_formula_that_is_too_large_is_neither_written_nor_read(
    parts: dict[str, Any], said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    formula = Formula(**parts)
    with pytest.raises(InvalidInput, match=rf"^formula, {said}") as caught:
        formula.to_json()
    assert str(caught.value).endswith(("Leave some out, or part it in two.", "Shorten it."))
    assert len(str(caught.value)) < 250
    with monkeypatch.context() as held:
        held.setattr(Formula, "check_size", lambda self: None)
        text = formula.to_json()
    with pytest.raises(InvalidInput, match=rf"^formula, {said}"):
        Formula.from_json(text)


LARGEST: dict[str, dict[str, Any]] = {
    "lines": {"lines": (Line("a"),) * FORMULA_LINES_MOST},
    "phases": {"phases": ("a",) * LINES_MOST},
    "facts": {"facts": [(f"fact {n}", "5") for n in range(LINES_MOST)]},
    "name": {"name": L[1:]},
    "amount of a line": {"lines": (Line("a", L[1:]),)},
    "fact": {"facts": (("area", L[1:]),)},
    "note": {"note": T[1:]},
    "portions": {"portions": T[1:]},
    "bought blends": {"blends": T[1:]},
}


@pytest.mark.parametrize("parts", LARGEST.values(), ids=LARGEST)
def test_the_largest_is_taken(parts: dict[str, Any]) -> None:
    formula = Formula(**parts)
    assert Formula.from_json(formula.to_json()) == formula


def test_the_largest_formula_comes_back_from_csv_too() -> None:
    assert len(back(Formula("x", CREAM, (Line("a", 0),) * 600).to_csv()).lines) == 600


def filled(characters: int, sign: str) -> Formula:
    """A formula whose texts have so many characters in all."""
    bare = Formula(phases=(), aims=Aims(batch="", scales=""))
    each = characters // (LINES_MOST * 4)
    texts = [sign * each] * 3
    held = [Line(sign * each, texts[0], own=texts[1], price=texts[2]) for _ in range(LINES_MOST)]
    rest = sign * (characters - each * LINES_MOST * 4)
    return Formula(bare.name, bare.product_type, held, (), note=rest, aims=bare.aims)


@pytest.mark.parametrize("sign", ["x", "\x01", "é", "𝛼"], ids=["plain", "control", "accent", "wide"])
def test_the_most_text_comes_back_from_every_form(sign: str) -> None:
    formula = filled(SHEET_MOST, sign)
    for text in (formula.to_json(), formula.to_json(compact=True), json.dumps(json.loads(formula.to_json()))):
        assert Formula.from_json(text) == formula


def test_too_much_text_in_all_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"have 150,001 characters in all, more than 150,000\."):
        filled(SHEET_MOST + 1, "x").check_size()


def test_a_file_of_a_formula_that_is_too_long_is_not_read() -> None:
    with pytest.raises(InvalidInput, match=r"^formula: the text has 2,000,001 characters"):
        Formula.from_json(" " * (FILE_MOST + 1))


def test_half_a_sign_is_refused() -> None:
    with pytest.raises(InvalidInput, match="half a sign that no file can hold"):
        Formula(name="\ud800").to_json()


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
    "newer version": (changed("version", 3), r"written by a newer version \(3 after 2\)"),
    "endless version": (changed("version", math.inf), "cannot be read"),
    "no version": (changed("version", None), "cannot be read"),
    "other schema": (changed("schema", "recipe"), "it is another kind of file"),
    "odd field": (changed("colour", "red"), "'colour' is not a field of it"),
    "odd field of a line": (changed("lines.0.colour", "red"), "'colour' is not a field of it"),
    "odd field of the aims": (changed("aims", {"colour": "red"}), "'colour' is not a field of it"),
    "name": (changed("name", ["x"]), "cannot be read"),
    "note": (changed("note", {"a": 1}), "cannot be read"),
    "lines": (changed("lines", 5), "cannot be read"),
    "line": (changed("lines.0", "olive oil"), "cannot be read"),
    "amount": (changed("lines.0.amount", [1]), "cannot be read"),
    "amount as a number": (changed("lines.0.amount", 5), "cannot be read"),
    "endless amount": (changed("lines.0.amount", math.inf), "cannot be read"),
    "long amount": (changed("lines.0.amount", 10**400), "cannot be read"),
    "side": (changed("lines.0.counts", "both"), "'both' is not one of the choices"),
    "name of a line": (changed("lines.0.name", ["a"]), "cannot be read"),
    "phase of a line": (changed("lines.0.phase", ["a"]), "cannot be read"),
    "portion of a line": (changed("lines.0.portion", {}), "cannot be read"),
    "own": (changed("lines.0.own", 5), "cannot be read"),
    "phases": (changed("phases", "oil"), "cannot be read"),
    "phase": (changed("phases", [["oil"]]), "cannot be read"),
    "portions": (changed("portions", [{"name": "a"}]), "cannot be read"),
    "blends": (changed("blends", 5), "cannot be read"),
    "facts": (changed("facts", [["ph", "5"]]), "cannot be read"),
    "fact": (changed("facts", {"ph": 5}), "cannot be read"),
    "goal": (changed("aims", {"goal": "best"}), "'best' is not one of the choices"),
    "unit": (changed("aims", {"unit": "cups"}), "'cups' is not one of the choices"),
    "yes or no": (changed("aims", {"ionics": "false"}), "cannot be read"),
    "product type": (changed("product_type", "soup"), "soup"),
    "lone surrogate": (changed("name", "\ud800"), "cannot be read"),
}


@pytest.mark.parametrize(("text", "words"), REFUSED.values(), ids=REFUSED)
def test_a_file_that_cannot_be_used_says_why(text: str, words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        Formula.from_json(text)


ODD = {
    "blank": "",
    "no JSON": "{",
    "a list": "[]",
    "a number": "5",
    "nothing": "null",
    "deep": "[" * 100_000,
    "deep lines": '{"schema": "hlbcore formula", "version": 2, "lines": ' + "[" * 100_000,
    "a million signs": "x" * 1_000_000,
    "a million digits": "1" * 1_000_000,
    "a long text": json.dumps("x" * 1_000_000),
}


@pytest.mark.parametrize("text", ODD.values(), ids=ODD)
def test_what_is_no_formula_is_refused_in_a_short_sentence(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"Choose a file that this tool wrote\.$") as caught:
        Formula.from_json(text)
    assert len(str(caught.value)) < 300


@settings(max_examples=60)
@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | words,
        lambda x: st.lists(x, max_size=3) | st.dictionaries(words, x, max_size=3),
    ),
    st.sampled_from(
        [
            *("name", "lines", "lines.0", "lines.0.amount", "lines.0.own", "lines.0.counts", "phases"),
            *("portions", "blends", "facts", "aims", "version", "product_type"),
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


# --- CSV


def back(text: str) -> Formula:
    return Formula.from_csv(text, name="x", product=CREAM)


CSV = made(
    Line("water", 70.25, phase="water", note='two, "signs"'),
    Line("=HYPERLINK(1)", 1, phase="oil", note="@x", counts="oil", own="7 to 9"),
    Line("+5", 2, phase="-oil", portion="=a"),
    Line("'quoted'", 3, active=33.5, note="a\nb"),
    Line("crème ≥ 5 µm", 0),
)


def test_a_formula_comes_back_from_its_csv() -> None:
    assert back(CSV.to_csv()).lines == CSV.lines


def test_no_cell_of_the_csv_runs_in_a_spreadsheet() -> None:
    cells = CSV.to_csv().replace("\n", ",").replace('"', "").split(",")
    assert [c for c in cells if c[:1] in ("=", "+", "-", "@")] == []


def test_the_heading_is_that_of_the_list() -> None:
    assert CSV.to_csv().splitlines()[0] == ",".join(CSV_COLUMNS)


plain = st.text(st.characters(codec="utf-8", exclude_characters="'\r\n\x00"), max_size=12)
plain_lines = st.builds(
    Line,
    plain.filter(bool),
    numbers,
    phase=plain,
    active=numbers,
    counts=st.sampled_from(COUNTS),
    own=st.none() | st.floats(0, 40),
    portion=st.none() | plain.filter(bool),
    note=plain,
)


@settings(max_examples=60)
@given(st.lists(plain_lines, max_size=4))
def test_any_lines_come_back_from_csv(held: list[Line]) -> None:
    assert back(made(*held).to_csv()).lines == tuple(held)


def test_grams_are_written_in_per_cent() -> None:
    formula = made(Line("a", "50 g"), Line("b", "10"), aims=Aims(unit="g", batch="200 g"))
    assert [x.pct for x in back(formula.to_csv()).lines] == [25.0, 5.0]


@pytest.mark.parametrize("text", ["lots", "", "150"])
def test_what_is_no_amount_is_not_written_as_0(text: str) -> None:
    assert made(Line("a", text)).to_csv().splitlines()[1].split(",")[2] == text


def test_a_blank_amount_comes_back_blank() -> None:
    formula = made(Line("olive oil", 20), Line("polysorbate 60"))
    assert back(formula.to_csv()).lines == formula.lines


def test_a_decimal_comma_is_read() -> None:
    assert back('ingredient,pct\nshea butter,"12,5"\n').lines[0].pct == 12.5


def test_a_mark_at_the_start_of_the_file_and_columns_of_others_do_not_matter() -> None:
    read = back("\ufeffpct,supplier,ingredient\n5,someone,shea butter\n")
    assert read.lines == (Line("shea butter", 5),)


@pytest.mark.parametrize("column", ["ingredient", "pct"])
def test_a_missing_column_is_named_with_the_heading(column: str) -> None:
    with pytest.raises(InvalidInput, match=rf"the column {column} is missing\. Write the heading"):
        back(CSV.to_csv().replace(column, "other", 1))


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("shea butter,lots,", "pct: 'lots' is not a number"),
        ("shea butter,-1,", "-1 % is negative"),
        ("shea butter,1,both", "'both' is not one of the choices"),
        ("shea butter", "pct: the row ends before it"),
    ],
    ids=["text", "negative", "role", "short"],
)
def test_an_error_in_a_row_has_the_number_of_its_line(row: str, words: str) -> None:
    text = f"ingredient,pct,role\nwater,90,\n{row}\nbeeswax,1,\n"
    with pytest.raises(InvalidInput, match=rf"^CSV, line 3: .*{words}.*Mend that line\.$"):
        back(text)


@pytest.mark.parametrize(
    "text",
    ["", "x" * 1_000_000, "ingredient,pct\n" + "x" * 1_000_000, '"' * 99_999, "ingredient,pct\n\x00"],
    ids=["blank", "long heading", "long cell", "quotes", "zero sign"],
)
def test_what_is_no_csv_is_refused_in_a_short_sentence(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"^CSV") as caught:
        back(text)
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("ingredient,pct\n" + "a,1\n" * 601, "formula, lines: there are more than 600 entries"),
        ("ingredient,pct\n" + "a" * 2001 + ",1\n", "formula, 'a+…': the text has 2,001"),
        ("x" * 2_000_001, "CSV: the text has 2,000,001 characters"),
    ],
    ids=["lines", "name", "file"],
)
def test_a_csv_that_is_too_large_is_refused(text: str, said: str) -> None:
    with pytest.raises(InvalidInput, match=f"^{said}"):
        back(text)
