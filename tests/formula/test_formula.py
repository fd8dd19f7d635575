"""A formula: half-written is valid, problems are told by line, nothing changes unasked."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import asdict, replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import (
    Composite,
    CompositePart,
    EmptyPhase,
    Estimate,
    Facts,
    Formula,
    HlbError,
    InvalidInput,
    Library,
    Line,
    Portion,
)
from hlbcore.formula.formula import CSV_COLUMNS

CREAM = "o/w cream"
WAX = Composite("house wax", (CompositePart("cetearyl alcohol", 80), CompositePart("polysorbate 60", 20)))
ALL = (Line("alpha oil", 100, phase="oil"),)


def made(*lines: Line, **more: Any) -> Formula:
    return Formula("x", CREAM, lines, **more)


def told(formula: Formula, library: Library) -> list[tuple[int | None, str]]:
    return [(p.line, p.text) for p in formula.problems(library)]


# --- half-written formulas are valid, bad numbers are not


@pytest.mark.parametrize(
    "lines",
    [(), (Line("", 0),), (Line("nobody knows", 3, phase="?"),), (Line("alpha oil", 1e6),)],
    ids=["empty", "blank", "unknown", "far too much"],
)
def test_a_half_written_formula_is_an_object(lines: tuple[Line, ...]) -> None:
    assert made(*lines).problems() != ()


def test_a_formula_can_be_compared_and_hashed() -> None:
    assert len({made(*ALL), made(*ALL), made()}) == 2


def test_an_unknown_product_type_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"soup"):
        Formula("x", "soup")


def test_text_of_an_amount_is_read() -> None:
    assert Line("alpha oil", "12,5 %").pct == 12.5  # type: ignore[arg-type]


BAD = {
    "negative": (-2, r"-2 % is negative\. Enter 0 % or more"),
    "nan": (math.nan, "nan is not a finite number. Enter a finite number"),
    "inf": (math.inf, "inf is not a finite number"),
    "text": ("lots", r"'lots' is not a number\. Write a plain number"),
    "none": (None, "the number is blank. Enter a number"),
    "bool": (True, "True is not a number"),
    "grams": ("3 g", "'3 g' is not in %"),
}


@pytest.mark.parametrize(("value", "words"), BAD.values(), ids=BAD)
def test_a_bad_amount_names_the_line_and_the_mend(value: Any, words: str) -> None:
    with pytest.raises(InvalidInput, match=rf"^line 'shea', amount: .*{words}"):
        Line("shea", value)


@pytest.mark.parametrize("value", [-1, 101, math.nan, "x"], ids=str)
def test_a_bad_active_part_names_the_line(value: Any) -> None:
    with pytest.raises(InvalidInput, match=r"line 'shea', active part: .*\. (Enter|Write)"):
        Line("shea", 1, active_pct=value)


@pytest.mark.parametrize("name", ["phase", "portion", "note"])
@pytest.mark.parametrize("value", [5, ["a"], {"a": 1}], ids=["number", "list", "mapping"])
def test_a_word_of_a_line_is_text(name: str, value: Any) -> None:
    with pytest.raises(InvalidInput, match=rf"line 'shea', {name}: .* is not text"):
        Line("shea", 1, **{name: value})


def test_an_unknown_role_is_refused_with_the_choices() -> None:
    with pytest.raises(InvalidInput, match=r"role: 'both'.*Use auto, oil, emulsifier"):
        Line("shea", 1, role="both")


def test_the_active_part_counts_of_the_whole() -> None:
    assert Line("lecithin", 4, active_pct=50).active == 2


@pytest.mark.parametrize("share", [-1, 101, math.nan], ids=str)
def test_a_bad_share_of_a_portion_is_refused(share: float) -> None:
    with pytest.raises(InvalidInput, match=r"portion 'rose': .*Enter"):
        Portion("rose", share)


@pytest.mark.parametrize("end", ["pct", "low", "high"])
def test_a_bad_part_of_a_composite_is_refused(end: str) -> None:
    with pytest.raises(InvalidInput, match=rf"part 'a', {end}: 101 % .*Enter 0 to 100 %"):
        CompositePart(**{"name": "a", "pct": 1, end: 101})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("ph", 15, "fact, ph: 15 .*Enter 0 to 14"),
        ("hottest_c", 300, "fact, hottest_c: 300"),
        ("dioxane_ppm", -1, "fact, dioxane_ppm: -1 is negative"),
        ("area", "wall", "fact, area: 'wall'.*Use body, face, lips, eye area"),
        ("cleansing", "maybe", "fact, cleansing: 'maybe'"),
        ("fragrance_allergens", (("linalool", 101),), "allergen 'linalool': 101 %"),
    ],
)
def test_a_bad_fact_is_refused_by_name(name: str, value: Any, words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        Facts(**{name: value})


def test_facts_that_are_not_known_stay_open() -> None:
    assert [v for k, v in asdict(Facts()).items() if k not in ("area", "fragrance_allergens")] == [None] * 7


# --- problems


def test_a_whole_formula_has_no_problem(tiny_library: Library) -> None:
    assert told(made(*ALL), tiny_library) == []


@pytest.mark.parametrize(
    ("total", "words"),
    [(101, "adds to 101 %: 1 % is too much"), (98.7, "adds to 98.7 %: 1.3 % is missing")],
    ids=["over", "under"],
)
def test_the_total_is_told_with_how_much_and_the_mend(
    tiny_library: Library, total: float, words: str
) -> None:
    [(line, text)] = told(made(Line("alpha oil", total, phase="oil")), tiny_library)
    assert line is None
    assert words in text
    assert text.endswith("Fill a line, or rescale.")


@pytest.mark.parametrize("total", [99.995, 100.005])
def test_what_two_decimals_cannot_show_is_no_problem(tiny_library: Library, total: float) -> None:
    assert told(made(Line("alpha oil", total, phase="oil")), tiny_library) == []


@pytest.mark.parametrize("name", ["", "  "], ids=["empty", "spaces"])
def test_a_blank_name_is_told_by_its_line(tiny_library: Library, name: str) -> None:
    assert told(made(*ALL, Line(name, 0, phase="oil")), tiny_library) == [
        (1, "Line 2 has no name. Name it, or delete it.")
    ]


def test_an_unknown_name_is_told_with_close_matches(tiny_library: Library) -> None:
    [(line, text)] = told(made(Line("alpa oil", 100, phase="oil")), tiny_library)
    assert line == 0
    assert "'alpa oil' is not in the tables. Did you mean 'alpha oil'" in text


def test_an_unknown_name_with_a_value_of_its_own_is_no_problem(tiny_library: Library) -> None:
    own = Line("house oil", 100, phase="oil", own=Estimate.exactly(8))
    assert told(made(own), tiny_library) == []


def test_the_name_of_a_composite_is_known(tiny_library: Library) -> None:
    formula = made(Line("House Wax", 100, phase="oil"), composites=(WAX,))
    assert told(formula, tiny_library) == []


def test_an_unknown_phase_is_told_with_the_phases(tiny_library: Library) -> None:
    [(line, text)] = told(made(Line("alpha oil", 100, phase="attic")), tiny_library)
    assert line == 0
    assert "phase 'attic' is not one of water, oil, cool-down, solids" in text


def test_a_formula_may_name_its_own_phases(tiny_library: Library) -> None:
    own = made(Line("alpha oil", 100, phase="attic"), phases=("attic",))
    assert told(own, tiny_library) == []


def test_a_missing_portion_is_told(tiny_library: Library) -> None:
    formula = made(*ALL, Line("beta oil", 1, phase="oil", portion="rose"))
    assert told(formula, tiny_library) == [
        (1, "'beta oil': there is no portion 'rose'. Add it, or move the line to the base.")
    ]


def test_an_ingredient_twice_in_a_phase_is_told_by_any_of_its_names(tiny_library: Library) -> None:
    twice = made(Line("alpha oil", 50, phase="oil"), Line("First Oil", 50, phase="oil"))
    [(line, text)] = told(twice, tiny_library)
    assert line == 1
    assert "stands again in the same phase, also in line 1. Put the two together" in text


def test_an_ingredient_may_stand_in_two_phases(tiny_library: Library) -> None:
    two = made(Line("alpha oil", 50, phase="oil"), Line("alpha oil", 50, phase="cool-down"))
    assert told(two, tiny_library) == []


def test_shares_of_portions_must_add_to_100(tiny_library: Library) -> None:
    formula = made(*ALL, portions=(Portion("a", 50), Portion("b", 40)))
    assert told(formula, tiny_library) == [(None, "The portions add to 90 % of the base, not 100 %.")]


def test_parts_of_a_composite_must_add_to_100(tiny_library: Library) -> None:
    short = Composite("short", (CompositePart("alpha oil", 60), CompositePart("beta oil", 30)))
    [(line, text)] = told(made(*ALL, composites=(short,)), tiny_library)
    assert line is None
    assert "parts of 'short' add to 90 %, not 100 %. Mend the parts" in text


def test_every_problem_is_told_at_once(tiny_library: Library) -> None:
    formula = made(Line("", 1), Line("nobody", 2, phase="?"), portions=(Portion("a", 1),))
    assert [line for line, _ in told(formula, tiny_library)] == [None, 0, 1, 1, None]


# --- fill, rescaled


def test_fill_changes_one_line_alone() -> None:
    before = made(Line("water", 70, phase="water"), Line("olive oil", 25, phase="oil"))
    after = before.fill("aqua")
    assert after.total_pct == pytest.approx(100, abs=1e-12)
    assert after.lines[1] == before.lines[1]
    assert after.lines[0] == replace(before.lines[0], pct=75)


def test_fill_takes_away_too() -> None:
    assert made(Line("water", 70), Line("olive oil", 31)).fill("water").lines[0].pct == 69


def test_fill_that_would_be_negative_is_refused_with_the_amount() -> None:
    with pytest.raises(InvalidInput, match=r"'water': it would be -5 %\. Reduce other lines first"):
        made(Line("water", 1), Line("olive oil", 105)).fill("water")


def test_fill_of_a_line_that_is_not_there_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"'water': it is not in the base\. Add it"):
        made(*ALL).fill("water")


def test_fill_never_takes_a_line_of_a_portion() -> None:
    with pytest.raises(InvalidInput, match="it is not in the base"):
        made(*ALL, Line("water", 1, portion="a")).fill("water")


def test_rescaled_keeps_proportions_and_what_is_on_top() -> None:
    on_top = Line("fragrance", 2, portion="a")
    after = made(Line("a", 30), Line("b", 20), on_top, portions=(Portion("a", 100),)).rescaled()
    assert [x.pct for x in after.lines] == [60, 40, 2]


def test_rescaled_nothing_is_refused() -> None:
    with pytest.raises(EmptyPhase, match=r"The formula has no amount above 0\. Enter amounts"):
        made(Line("a", 0)).rescaled()


def test_nothing_is_changed_in_place() -> None:
    before = made(Line("water", 70), Line("b", 20))
    text = before.to_json()
    before.fill("water")
    before.rescaled()
    before.expanded()
    assert before.to_json() == text


# --- portions and composites


ROSE = made(
    Line("sunflower oil", 99, phase="oil"),
    Line("phenoxyethanol", 1, phase="cool-down"),
    Line("fragrance", 2, portion="rose"),
    Line("iron oxides", 3, portion="Rose"),
    Line("ultramarines", 1, portion="plain"),
    portions=(Portion("rose", 50), Portion("plain", 50)),
)


def test_what_is_added_on_top_dilutes_the_base() -> None:
    rose = ROSE.part("rose")
    assert {x.name: x.pct for x in rose.lines} == pytest.approx(
        {
            "sunflower oil": 99 / 1.05,
            "phenoxyethanol": 1 / 1.05,
            "fragrance": 2 / 1.05,
            "iron oxides": 3 / 1.05,
        }
    )
    assert rose.total_pct == pytest.approx(100)


def test_what_is_on_top_does_not_count_in_the_base() -> None:
    assert ROSE.total_pct == 100


def test_a_portion_that_is_not_there_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"portion 'mint': there is none .*Add it first"):
        ROSE.part("mint")


def test_each_portion_leaves_the_bench_under_its_name() -> None:
    assert [f.name for f in ROSE.finished()] == ["x, rose", "x, plain"]
    assert all(f.portions == () for f in ROSE.finished())


def test_a_formula_without_portions_is_its_own_product() -> None:
    assert made(*ALL).finished() == (made(*ALL),)


def test_a_wax_of_80_to_20_at_6_beside_2_of_fatty_alcohol() -> None:
    formula = made(
        Line("house wax", 6, phase="oil"), Line("cetearyl alcohol", 2, phase="oil"), composites=(WAX,)
    )
    lines = formula.expanded().lines
    assert [(x.name, round(x.pct, 9), x.phase) for x in lines] == [
        ("cetearyl alcohol", 4.8, "oil"),
        ("polysorbate 60", 1.2, "oil"),
        ("cetearyl alcohol", 2.0, "oil"),
    ]
    assert math.fsum(x.pct for x in lines if x.name == "cetearyl alcohol") == pytest.approx(6.8)
    assert [x.note for x in lines] == ["part of house wax", "part of house wax", ""]
    assert formula.expanded().composites == ()


# --- JSON

numbers = st.floats(0, 1e6)
shares = st.floats(0, 100)
words = st.text(st.characters(codec="utf-8"), max_size=20)
estimates = st.builds(
    lambda ends, sources, others: Estimate(ends[1], ends[0], ends[2], sources, "own", others),
    st.lists(st.floats(0, 40), min_size=3, max_size=3).map(sorted),
    st.lists(words, max_size=2),
    st.sampled_from([(), (4.0, 9.0)]),
)
lines = st.builds(
    Line,
    words,
    numbers,
    phase=words,
    role=st.sampled_from(["auto", "oil", "emulsifier"]),
    active_pct=shares,
    portion=st.none() | words,
    note=words,
    own=st.none() | estimates,
)
composites = st.builds(
    Composite, words, st.lists(st.builds(CompositePart, words, shares, st.none() | shares))
)
facts = st.builds(
    Facts,
    ph=st.none() | st.floats(0, 14),
    area=st.sampled_from(["body", "face", "lips"]),
    cleansing=st.none() | st.booleans(),
    hottest_c=st.none() | st.floats(-30, 250),
    fragrance_allergens=st.lists(st.tuples(words, shares), max_size=3),
)
formulas = st.builds(
    Formula,
    words,
    st.sampled_from([CREAM, "cleansing balm"]),
    st.lists(lines, max_size=4),
    st.lists(words, max_size=3),
    st.lists(st.builds(Portion, words, shares), max_size=2),
    st.lists(composites, max_size=2),
    facts,
    words,
)


@settings(max_examples=60)
@given(formulas)
def test_a_formula_comes_back_from_its_json(formula: Formula) -> None:
    again = Formula.from_json(formula.to_json())
    assert again == formula
    assert hash(again) == hash(formula)


@settings(max_examples=60)
@given(formulas)
def test_problems_are_told_of_any_formula(formula: Formula) -> None:
    assert all(p.text and (p.line is None or p.line < len(formula.lines)) for p in formula.problems())


RAW = json.loads(made(*ALL, composites=(WAX,), portions=(Portion("a", 100),)).to_json())


def test_the_schema_and_its_version_stand_first() -> None:
    assert list(RAW)[:2] == ["schema", "version"]
    assert (RAW["schema"], RAW["version"]) == ("hlbcore formula", 1)


def test_fields_that_are_missing_take_their_default() -> None:
    short = {
        "schema": "hlbcore formula",
        "version": 1,
        "name": "x",
        "product_type": CREAM,
        "lines": [{"name": "alpha oil", "pct": "12,5"}],
    }
    assert Formula.from_json(json.dumps(short)) == made(Line("alpha oil", 12.5))


L = "x" * 2_001
TOO_LARGE = {
    "lines": ({"lines": (Line("a", 0),) * 601}, "lines: there are more than 600 entries"),
    "phases": ({"phases": ("a",) * 201}, "phases: there are more than 200"),
    "portions": ({"portions": (Portion("a", 0),) * 21}, "portions: there are more than 20 e"),
    "blends": ({"composites": (Composite("a", ()),) * 201}, "bought blends: there are more than"),
    "parts": (
        {"composites": (Composite("a", (CompositePart("b", 0),) * 31),)},
        "parts of 'a': there are more than 30 entries",
    ),
    "allergens": ({"facts": Facts(fragrance_allergens=(("a", 0),) * 201)}, "allergens: there are"),
    "name": ({"name": L}, "'x+…': the text has 2,001"),
    "phase": ({"phases": (L,)}, "'x+…': the text has 2,001"),
    "portion": ({"portions": (Portion(L, 0),)}, "'x+…': the text has 2,001"),
    "blend": ({"composites": (Composite(L, ()),)}, "'x+…': the text has 2,001"),
    "part": ({"composites": (Composite("a", (CompositePart(L, 0),)),)}, "'x+…': the text has"),
    "allergen": ({"facts": Facts(fragrance_allergens=((L, 0),))}, "'x+…': the text has"),
    "name of a line": ({"lines": (Line(L, 0),)}, "'x+…': the text has 2,001"),
    "phase of a line": ({"lines": (Line("a", 0, phase=L),)}, "'x+…': the text has"),
    "portion of a line": ({"lines": (Line("a", 0, portion=L),)}, "'x+…': the text has"),
    "note of a line": ({"lines": (Line("a", 0, note=L),)}, "'x+…': the text has"),
    "note": ({"note": "x" * 20_001}, "note: the text has 20,001"),
}


@pytest.mark.parametrize(("parts", "said"), TOO_LARGE.values(), ids=TOO_LARGE)
def test_a_formula_that_is_too_large_is_refused(parts: dict[str, Any], said: str) -> None:
    text = replace(Formula("x", CREAM), **parts).to_json()
    with pytest.raises(InvalidInput, match=rf"^formula, {said}") as caught:
        Formula.from_json(text)
    assert len(str(caught.value)) < 250


def test_the_largest_formula_is_read() -> None:
    formula = Formula("x" * 2_000, CREAM, (Line("a", 0),) * 600, note="x" * 20_000)
    assert Formula.from_json(formula.to_json()) == formula
    assert len(back(formula.to_csv()).lines) == 600


def test_a_file_of_a_formula_that_is_too_long_is_not_read() -> None:
    with pytest.raises(InvalidInput, match=r"^formula: the text has 2,000,001 characters"):
        Formula.from_json(" " * 2_000_001)


def test_two_portions_of_one_name_are_a_problem() -> None:
    portions = (Portion("Rose", 30), Portion("plain", 40), Portion("rose ", 30))
    said = [p.text for p in made(Line("alpha oil", 100), portions=portions).problems()]
    wanted = "2 portions are named 'rose'. Give each a name of its own, or put them together."
    assert wanted in said
    assert not [t for t in said if "plain" in t]


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
    "newer version": (changed("version", 2), r"written by a newer version \(2 after 1\)"),
    "endless version": (changed("version", math.inf), "cannot be read"),
    "no version": (changed("version", None), "cannot be read"),
    "other schema": (changed("schema", "recipe"), "it is another kind of file"),
    "odd field": (changed("colour", "red"), "'colour' is not a field of it"),
    "odd field of a line": (changed("lines.0.colour", "red"), "'colour' is not a field"),
    "odd field of a fact": (changed("facts.mood", "good"), "'mood' is not a field"),
    "odd field of a portion": (changed("portions.0.size", 1), "'size' is not a field"),
    "odd field of a composite": (changed("composites.0.size", 1), "'size' is not a field"),
    "odd field of a part": (changed("composites.0.parts.0.size", 1), "'?size'?"),
    "name": (changed("name", ["x"]), "is not text"),
    "note": (changed("note", {"a": 1}), "is not text"),
    "lines": (changed("lines", 5), "cannot be read"),
    "line": (changed("lines.0", "olive oil"), "cannot be read|is not a field"),
    "amount": (changed("lines.0.pct", [1]), "line 'alpha oil', amount"),
    "blank amount": (changed("lines.0.pct", None), "the number is blank"),
    "endless amount": (changed("lines.0.pct", math.inf), "not a finite number"),
    "long amount": (changed("lines.0.pct", 10**400), "line 'alpha oil', amount"),
    "name of a line": (changed("lines.0.name", ["a"]), "is not text"),
    "phase of a line": (changed("lines.0.phase", ["a"]), "is not text"),
    "portion of a line": (changed("lines.0.portion", {}), "is not text"),
    "own": (changed("lines.0.own", 5), "cannot be read"),
    "own range": (changed("lines.0.own", {"value": 5, "low": 6, "high": 7}), "outside its range"),
    "own source": (changed("lines.0.own", {"value": 5, "low": 5, "high": 5, "sources": 7}), "cannot be read"),
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
    "deep lines": '{"schema": "hlbcore formula", "version": 1, "lines": ' + "[" * 100_000,
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
        st.none() | st.booleans() | numbers | words,
        lambda x: st.lists(x, max_size=3) | st.dictionaries(words, x, max_size=3),
    ),
    st.sampled_from(
        [
            "name",
            "lines",
            "lines.0",
            "lines.0.pct",
            "lines.0.own",
            "phases",
            "portions",
            "composites",
            "composites.0.parts",
            "facts",
            "facts.ph",
            "version",
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
    Line("=HYPERLINK(1)", 1, phase="oil", note="@x", role="oil"),
    Line("+5", 2, phase="-oil", portion="=a"),
    Line("'quoted'", 3, active_pct=33.5, note="a\nb"),
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
    active_pct=shares,
    portion=st.none() | plain.filter(bool),
    note=plain,
)


@settings(max_examples=60)
@given(st.lists(plain_lines, max_size=4))
def test_any_lines_come_back_from_csv(held: list[Line]) -> None:
    assert back(made(*held).to_csv()).lines == tuple(held)


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
        ("shea butter,,", "pct: the amount is blank"),
        ("shea butter,1,both", "'both' is not one of the choices"),
        ("shea butter", "pct: the amount is blank"),
    ],
    ids=["text", "negative", "blank", "role", "short"],
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


# --- masses


def from_masses(*pairs: tuple[str, float | str]) -> tuple[Formula, tuple[str, ...]]:
    return Formula.from_masses(pairs, name="x", product=CREAM)


@pytest.mark.parametrize("build", [dict, list], ids=["mapping", "pairs"])
def test_grams_become_per_cent_and_the_trimmed_line_is_named(build: Callable[..., Any]) -> None:
    held = build([("a", 1.0), ("b", 1.0), ("c", 1.0)])
    formula, trimmed = Formula.from_masses(held, name="x", product=CREAM)
    assert [x.pct for x in formula.lines] == [33.34, 33.33, 33.33]
    assert trimmed == ("a",)


def test_nothing_is_trimmed_where_nothing_needs_it() -> None:
    formula, trimmed = from_masses(("a", "300 g"), ("b", "0.2 kg"))
    assert [x.pct for x in formula.lines] == [60, 40]
    assert trimmed == ()


def test_ounces_and_grams_go_together() -> None:
    formula, _ = from_masses(("a", "1 oz"), ("b", "28.349523125 g"))
    assert [x.pct for x in formula.lines] == [50, 50]


@given(st.lists(st.floats(0.001, 1e5), min_size=1, max_size=12))
def test_the_printed_column_adds_to_100_and_each_trim_is_named(masses: list[float]) -> None:
    formula, trimmed = from_masses(*((f"n{i}", m) for i, m in enumerate(masses)))
    assert round(100 * formula.total_pct) == 10_000
    assert math.isclose(formula.total_pct, 100, abs_tol=1e-9)
    whole = math.fsum(masses)
    for line, mass in zip(formula.lines, masses, strict=True):
        exact = 100 * mass / whole
        assert abs(line.pct - exact) < 0.01 + 1e-6
        if abs(line.pct - exact) > 0.005 + 1e-6:
            assert line.name in trimmed


@pytest.mark.parametrize("pairs", [(), (("a", 0.0),)], ids=["no line", "all zero"])
def test_a_recipe_of_nothing_is_refused(pairs: tuple[tuple[str, float], ...]) -> None:
    with pytest.raises(EmptyPhase, match="The recipe has no amount above 0"):
        from_masses(*pairs)


@pytest.mark.parametrize(
    ("mass", "words"),
    [("2 tbsp", "'a': .*must be weighed"), (-1.0, "'a': -1 is negative"), ("5 %", "mixed")],
    ids=["spoons", "negative", "mixed units"],
)
def test_a_bad_mass_names_its_line(mass: float | str, words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        from_masses(("b", "3 g"), ("a", mass))
