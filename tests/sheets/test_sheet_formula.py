"""A sheet as a formula and back: nothing that can be read is lost, nothing that cannot stops it."""

from __future__ import annotations

import math
from dataclasses import fields, replace

import pytest
from hlbcore.sheets.sheet import CHECK_ONLY
from hlbcore.sheets.sheet_formula import FORMULA_COLUMNS
from hypothesis import given, settings
from hypothesis import strategies as st

import hlbcore as hlb
from hlbcore import (
    Composite,
    CompositePart,
    Estimate,
    Facts,
    Formula,
    Line,
    Portion,
    Sheet,
    SheetEmulsifier,
    SheetFormula,
    SheetLine,
    SheetOther,
    formula_of,
    formula_table,
    sheet_of,
    with_amounts,
    work_out,
)
from hlbcore.ingredients import fold

CREAM = "o/w cream"
CHECKED = Sheet(
    title="x",
    product=CREAM,
    lines=(SheetLine("sunflower oil", "20"),),
    emulsifiers=(SheetEmulsifier("polysorbate 60", now="2"), SheetEmulsifier("sorbitan stearate", now="2")),
    objective=CHECK_ONLY,
    others=(SheetOther("water", "76"),),
)


def of(sheet: Sheet) -> SheetFormula:
    return formula_of(work_out(sheet))


def amounts(formula: Formula) -> dict[str, float]:
    return {x.name: x.pct for x in formula.lines}


# --- a sheet as a formula


def test_every_part_of_the_sheet_stands_in_the_formula() -> None:
    made = of(CHECKED)
    assert amounts(made.formula) == {
        "sunflower oil": 20,
        "polysorbate 60": 2,
        "sorbitan stearate": 2,
        "water": 76,
    }
    assert made.formula.total_pct == 100
    assert made.errors == {}


def test_emulsifiers_are_those_worked_out() -> None:
    outcome = work_out(replace(CHECKED, objective="closest", total="5"))
    held = amounts(formula_of(outcome).formula)
    assert outcome.blend is not None
    assert {n: held[n] for n in outcome.blend.labels} == dict(
        zip(outcome.blend.labels, outcome.blend.masses, strict=True)
    )
    assert math.fsum(held[n] for n in outcome.blend.labels) == pytest.approx(5)


def test_emulsifiers_are_those_that_the_tool_chose() -> None:
    outcome = work_out(replace(CHECKED, emulsifiers=(), objective="closest"))
    assert outcome.blend is not None
    assert set(outcome.blend.labels) <= set(amounts(formula_of(outcome).formula))


def test_an_emulsifier_that_nobody_knows_is_in_the_jar_all_the_same() -> None:
    odd = replace(CHECKED, emulsifiers=(*CHECKED.emulsifiers, SheetEmulsifier("house x", now="3")))
    assert amounts(of(odd).formula)["house x"] == 3


def test_a_two_sided_emulsifier_counts_as_emulsifier() -> None:
    sheet = replace(CHECKED, emulsifiers=(SheetEmulsifier("cetyl alcohol", now="2"),))
    (line,) = [x for x in of(sheet).formula.lines if x.name == "cetyl alcohol"]
    assert line.role == "emulsifier"


def test_the_side_of_a_two_sided_oil_is_kept() -> None:
    sheet = replace(CHECKED, lines=(SheetLine("glyceryl stearate", "2", side="oil"),))
    assert of(sheet).formula.lines[0].role == "oil"


def test_an_own_value_of_an_oil_travels() -> None:
    sheet = replace(CHECKED, lines=(SheetLine("house oil", "20", own="8 to 10"),))
    own = of(sheet).formula.lines[0].own
    assert own is not None
    assert (own.value, own.low, own.high) == (9, 8, 10)


@pytest.mark.parametrize(("text", "ends"), [("15", (15, 15)), ("14 to 16", (14, 16))])
def test_an_own_hlb_of_an_emulsifier_travels(text: str, ends: tuple[float, float]) -> None:
    sheet = replace(CHECKED, emulsifiers=(SheetEmulsifier("house ester", now="2", hlb=text),))
    (line,) = [x for x in of(sheet).formula.lines if x.name == "house ester"]
    assert line.own is not None
    assert (line.own.low, line.own.high) == ends


def test_grams_of_the_batch_become_per_cent() -> None:
    sheet = replace(CHECKED, unit="grams", batch="200 g", lines=(SheetLine("olive oil", "30"),))
    assert amounts(of(sheet).formula)["olive oil"] == 15


def test_phase_active_part_portion_and_note_of_a_line_travel() -> None:
    other = SheetOther("lecithin", "2", "cool-down", "50", "rose", "stir")
    line = of(replace(CHECKED, others=(other,), portions="rose 100")).formula.lines[-1]
    assert line == Line("lecithin", 2, phase="cool-down", active_pct=50, portion="rose", note="stir")


def test_a_phase_of_the_users_own_is_one_of_the_phases() -> None:
    made = of(replace(CHECKED, others=(SheetOther("water", "76", "second water"),))).formula
    assert made.phases[-1] == "second water"
    assert made.problems() == ()


BAD = {
    "line 0 amount": replace(CHECKED, lines=(SheetLine("sunflower oil", "lots"),)),
    "other 0 amount": replace(CHECKED, others=(SheetOther("water", "-1"),)),
    "portions": replace(CHECKED, portions="rose, plain"),
    "fact ph": replace(CHECKED, facts=(("ph", "sour"),)),
    "fact mood": replace(CHECKED, facts=(("mood", "good"),)),
}


@pytest.mark.parametrize(("key", "sheet"), BAD.items(), ids=BAD)
def test_a_bad_field_has_its_sentence_and_the_rest_stays(key: str, sheet: Sheet) -> None:
    made = of(sheet)
    assert list(made.errors) == [key]
    assert made.errors[key].endswith(".")
    assert {"polysorbate 60", "sorbitan stearate"} <= set(amounts(made.formula))


def test_an_active_part_that_is_no_share_is_told_at_its_line() -> None:
    made = of(replace(CHECKED, others=(SheetOther("lecithin", "2", active="150"),)))
    assert "'lecithin', active part: 150" in made.errors["other 0 amount"]


def test_a_side_that_is_none_is_told_at_its_line() -> None:
    made = of(replace(CHECKED, lines=(SheetLine("cetyl alcohol", "2", side="left"),)))
    assert "role: 'left' is not one of the choices" in made.errors["line 0 amount"]


# --- portions and facts as typed


@pytest.mark.parametrize(
    "text",
    ["rose 50, plain 50", "rose 50,plain 50", "rose: 50; plain = 50 %", "rose 50\nplain 50,0,"],
    ids=["spaced", "tight", "marks", "lines"],
)
def test_portions_are_read_as_people_type_them(text: str) -> None:
    made = of(replace(CHECKED, portions=text))
    assert made.errors == {}
    assert made.formula.portions == (Portion("rose", 50), Portion("plain", 50))


def test_a_decimal_comma_does_not_part_two_portions() -> None:
    made = of(replace(CHECKED, portions="rose 33,5, plain 66,5"))
    assert [p.share_pct for p in made.formula.portions] == [33.5, 66.5]


@pytest.mark.parametrize("text", ["rose", "50", ", rose 50 50 x", "rose 150", "x" * 5000])
def test_portions_that_cannot_be_read_say_so_in_a_short_sentence(text: str) -> None:
    sentence = of(replace(CHECKED, portions=text)).errors["portions"]
    assert sentence.startswith("portion")
    assert len(sentence) < 200


def test_facts_are_read_as_typed() -> None:
    typed = (
        ("ph", "5,6"),
        ("area", "face"),
        ("cleansing", "yes"),
        ("hottest_c", "75"),
        ("fragrance_allergens", "linalool 1,2, limonene 0.4"),
        ("dioxane_ppm", ""),
    )
    made = of(replace(CHECKED, facts=typed))
    assert made.errors == {}
    assert made.formula.facts == Facts(
        ph=5.6,
        area="face",
        cleansing=True,
        hottest_c=75,
        fragrance_allergens=(("linalool", 1.2), ("limonene", 0.4)),
    )


FACTS = {
    "ph": ("15", "Enter 0 to 14"),
    "area": ("wall", "Use body, face, lips, eye area"),
    "cleansing": ("maybe", "'maybe' is neither yes nor no"),
    "hottest_c": ("hot", "'hot' is not a number"),
    "cool_down_c": ("1e9", "out of range"),
    "fragrance_max_pct": ("-1", "-1 is negative"),
    "fragrance_max_c": ("NaN", "is not an amount"),
    "fragrance_allergens": ("linalool", "Write a name and a number"),
    "dioxane_ppm": ("some", "'some' is not a number"),
}


def test_every_fact_has_a_bad_case_here() -> None:
    assert set(FACTS) == {f.name for f in fields(Facts)}


@pytest.mark.parametrize(("name", "text", "words"), [(n, *c) for n, c in FACTS.items()], ids=FACTS)
def test_a_bad_fact_stays_open_and_loses_no_other(name: str, text: str, words: str) -> None:
    good = ("ph", "5.5") if name != "ph" else ("area", "face")
    made = of(replace(CHECKED, facts=((name, text), good)))
    assert list(made.errors) == [f"fact {name}"]
    assert words in made.errors[f"fact {name}"]
    wanted = Facts(ph=5.5) if name != "ph" else Facts(area="face")
    assert made.formula.facts == wanted


# --- a formula as a sheet


@pytest.mark.parametrize("name", hlb.example_formulas())
def test_an_example_comes_back_from_its_sheet(name: str) -> None:
    formula = hlb.example_formula(name)
    made = of(sheet_of(formula))
    assert made.errors == {}
    assert sorted((x.name, x.pct, x.portion or "") for x in made.formula.lines) == sorted(
        (x.name, x.pct, x.portion or "") for x in formula.lines
    )
    for part in ("name", "product_type", "portions", "composites", "facts"):
        assert getattr(made.formula, part) == getattr(formula, part)


@pytest.mark.parametrize("name", hlb.example_formulas())
def test_a_second_round_changes_nothing(name: str) -> None:
    once = sheet_of(hlb.example_formula(name))
    assert sheet_of(of(once).formula) == once


@pytest.mark.parametrize("name", hlb.example_formulas())
def test_checks_find_the_same_before_and_after(name: str) -> None:
    formula = hlb.example_formula(name)
    before = {(f.level, f.title) for f in hlb.check(formula)}
    assert {(f.level, f.title) for f in hlb.check(of(sheet_of(formula)).formula)} == before


def test_amounts_of_a_formula_are_checked_and_not_solved() -> None:
    sheet = sheet_of(hlb.example_formula())
    assert sheet.objective == CHECK_ONLY
    assert [e.now for e in sheet.emulsifiers] == ["2.97", "1.53"]


def test_an_active_part_and_an_own_value_come_back() -> None:
    formula = Formula(
        "x",
        CREAM,
        (
            Line("house oil", 10, phase="oil", own=Estimate(9, 8, 10)),
            Line("house ester", 2, phase="cool-down", active_pct=50, note="n"),
        ),
    )
    assert of(sheet_of(formula)).formula.lines == formula.lines


# --- a filled or rescaled formula back on its sheet


def test_fill_changes_the_water_alone() -> None:
    outcome = work_out(replace(CHECKED, others=(SheetOther("water", "70"),)))
    sheet = with_amounts(outcome, formula_of(outcome).formula.fill("water"))
    assert sheet == CHECKED


def test_fill_leaves_the_aim_and_the_limits_as_typed() -> None:
    outcome = work_out(hlb.example_sheet())
    sheet = with_amounts(outcome, formula_of(outcome).formula.fill("water"))
    assert replace(sheet, others=()) == replace(hlb.example_sheet(), others=())
    assert of(sheet).formula.total_pct == pytest.approx(100, abs=1e-6)


TYPED = Sheet(
    lines=(SheetLine("olive oil", "10"), SheetLine("", ""), SheetLine("shea butter", "lots")),
    emulsifiers=(
        SheetEmulsifier("polysorbate 60", price="3"),
        SheetEmulsifier("sorbitan stearate", high="4"),
    ),
    total="5",
    others=(
        SheetOther("water", "40"),
        SheetOther("olive oil", "5", "oil"),
        SheetOther("polysorbate 20", "1", "cool-down"),
        SheetOther("fragrance", "1", "cool-down", "", "a"),
        SheetOther("fragrance", "2", "cool-down", "", "b"),
    ),
    portions="a 50, b 50",
)


@pytest.mark.parametrize(
    "sheet",
    [TYPED, replace(TYPED, emulsifiers=()), replace(TYPED, unit="grams", batch="250 g")],
    ids=["typed", "tool chooses", "grams"],
)
def test_rescaled_amounts_add_up_once_put_back(sheet: Sheet) -> None:
    outcome = work_out(sheet)
    rescaled = formula_of(outcome).formula.rescaled()
    back = with_amounts(outcome, rescaled)
    made = of(back)
    assert made.formula.total_pct == pytest.approx(100, abs=1e-4)
    # what is on top of the base stays, each portion with its own
    assert [o.amount for o in back.others[-2:]] == ["1", "2"]
    assert back.lines[1:] == sheet.lines[1:]
    assert [(x.name, x.phase, x.portion) for x in made.formula.lines] == [
        (x.name, x.phase, x.portion) for x in rescaled.lines
    ]
    assert [x.pct for x in made.formula.lines] == pytest.approx([x.pct for x in rescaled.lines])


# --- the formula as a table


def test_columns_are_those_written_down() -> None:
    assert list(formula_table(hlb.example_formula()).columns) == list(FORMULA_COLUMNS)


@settings(max_examples=50)
@given(st.lists(st.floats(0.01, 1000), min_size=1, max_size=20))
def test_the_printed_column_of_the_base_adds_to_100(masses: list[float]) -> None:
    # names repeat: two lines that look alike must still add up
    lines = [Line(f"n{i % 3}", m, phase="oil") for i, m in enumerate(masses)]
    table = formula_table(Formula("x", CREAM, tuple(lines)).rescaled())
    assert round(100 * math.fsum(table["pct"])) == 10_000
    assert all(math.isclose(100 * p, round(100 * p), abs_tol=1e-6) for p in table["pct"])


def test_three_lines_that_are_alike_add_up() -> None:
    thirds = Formula("x", CREAM, (Line("a", 100 / 3),) * 3)
    assert list(formula_table(thirds)["pct"]) == [33.34, 33.33, 33.33]


def test_what_is_on_top_does_not_count_in_the_column() -> None:
    table = formula_table(hlb.example_formula("two_colour_scrub"))
    base = table[table["portion"] == ""]
    assert math.fsum(base["pct"]) == pytest.approx(100)
    assert set(table["portion"]) == {"", "lavender", "orange"}


def test_phases_stand_in_the_order_of_work_and_unknown_ones_last() -> None:
    lines = (
        Line("a", 1, phase="?"),
        Line("b", 1, phase="oil"),
        Line("c", 1, phase="water"),
        Line("d", 1, phase="oil"),
    )
    assert list(formula_table(Formula("x", CREAM, lines))["ingredient"]) == ["c", "b", "d", "a"]


def test_grams_follow_the_batch_and_stay_blank_without_one() -> None:
    formula = Formula("x", CREAM, (Line("olive oil", 12.345),))
    assert list(formula_table(formula, 200)["grams"]) == [pytest.approx(24.69)]
    assert formula_table(formula)["grams"].isna().all()


def test_the_table_says_how_each_line_counts() -> None:
    table = formula_table(hlb.example_formula()).set_index("ingredient")["counts_as"]
    assert table["sunflower oil"] == "oil phase"
    assert table["polysorbate 60"] == "emulsifier"
    assert table["water"] == ""


# --- what stands beside the oils counts too


def test_oils_of_the_cool_down_count_in_the_oil_phase() -> None:
    alone = work_out(CHECKED).required
    both = work_out(
        replace(CHECKED, others=(*CHECKED.others, SheetOther("castor oil", "20", "cool-down")))
    ).required
    wanted = hlb.required_hlb({"sunflower oil": 20, "castor oil": 20})
    assert alone is not None
    assert both is not None
    assert both.value == pytest.approx(wanted.value)
    assert both.value != pytest.approx(alone.value)


def test_an_oil_of_a_portion_does_not_count_in_the_base() -> None:
    other = SheetOther("castor oil", "20", "cool-down", portion="rose")
    both = work_out(replace(CHECKED, others=(other,), portions="rose 100")).required
    alone = work_out(CHECKED).required
    assert both is not None
    assert alone is not None
    assert both.value == alone.value


def test_a_base_among_the_others_makes_soap() -> None:
    acid = replace(CHECKED, lines=(SheetLine("sunflower oil", "20"), SheetLine("stearic acid", "5")))
    without = work_out(acid).required
    soaped = work_out(replace(acid, others=(SheetOther("triethanolamine", "1"),))).required
    assert without is not None
    assert soaped is not None
    assert not [f for f in without.cautions if "soap" in f.title.casefold()]
    assert [f for f in soaped.cautions if "soap" in f.title.casefold()]


# --- arbitrary text


words = st.text(max_size=25) | st.sampled_from(
    ["", "5", "12,5 %", "3 g", "NaN", "1e308", "olive oil", "polysorbate 60", "rose 50, x 50"]
)
sheets = st.builds(
    Sheet,
    title=words,
    product=st.sampled_from([t.name for t in hlb.product_types()]),
    unit=st.sampled_from(["% of the formula", "grams"]),
    lines=st.lists(st.builds(SheetLine, words, words, words, words), max_size=3).map(tuple),
    emulsifiers=st.lists(st.builds(SheetEmulsifier, words, words, hlb=words), max_size=2).map(tuple),
    objective=st.sampled_from([CHECK_ONLY, "closest"]),
    batch=words,
    others=st.lists(st.builds(SheetOther, words, words, words, words, words, words), max_size=3).map(tuple),
    portions=words,
    facts=st.lists(st.tuples(words | st.sampled_from(sorted(FACTS)), words), max_size=4).map(tuple),
)


@settings(max_examples=120)
@given(sheets)
def test_arbitrary_text_never_raises(sheet: Sheet) -> None:
    made = of(sheet)
    assert all(made.errors.values())
    formula_table(made.formula, 100)
    assert isinstance(sheet_of(made.formula), Sheet)
    assert Formula.from_json(made.formula.to_json()).lines == made.formula.lines


@settings(max_examples=40)
@given(sheets)
def test_checks_and_causes_never_raise_on_what_was_typed(sheet: Sheet) -> None:
    formula = of(sheet).formula
    assert all(f.title for f in hlb.check(formula))
    assert hlb.diagnose(formula, symptom="thin").formula == formula.name


def test_a_formula_comes_back_whole_through_a_sheet() -> None:
    whole = Formula(
        "x",
        "o/w cream",
        (
            Line("water", 70, phase="first", note="boiled"),
            Line("olive oil", 20, phase="second", note="pressed"),
            Line("polysorbate 60", 4, phase="second", note="soft"),
            Line("jojoba oil", 6, phase="last"),
        ),
        phases=("first", "second", "last"),
        note="a note",
    )
    back = formula_of(work_out(sheet_of(whole))).formula
    assert sorted(back.lines, key=lambda x: x.name) == sorted(whole.lines, key=lambda x: x.name)
    assert (back.phases, back.note) == (whole.phases, whole.note)


NAMES = st.text(
    st.characters(codec="utf-8", exclude_characters="\n\r\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029"), max_size=8
) | st.sampled_from(["rose, dark", "a; b", '"x"', '5" square', "50", "rose 2", "a:", ' "', "b,5"])
SHARES = st.floats(0, 100)


@settings(max_examples=150)
@given(st.lists(st.tuples(NAMES, SHARES), max_size=4))
def test_portions_and_allergens_come_back_whole_whatever_their_names(held: list[tuple[str, float]]) -> None:
    facts = Facts(fragrance_allergens=tuple(held))
    whole = Formula("x", CREAM, portions=tuple(Portion(*p) for p in held), facts=facts)
    made = of(sheet_of(whole))
    assert made.errors == {}
    assert made.formula.portions == whole.portions
    assert made.formula.facts == facts


@settings(max_examples=150)
@given(NAMES.filter(fold), st.lists(st.tuples(NAMES, SHARES), min_size=1, max_size=3), SHARES)
def test_a_bought_blend_comes_back_whole_whatever_its_names(
    name: str, parts: list[tuple[str, float]], low: float
) -> None:
    held = (*(CompositePart(*p) for p in parts), CompositePart("last, one", 5, low, 100))
    whole = Formula("x", CREAM, composites=(Composite(name.strip(), held),))
    made = of(sheet_of(whole))
    assert made.errors == {}
    assert made.formula.composites == whole.composites


def test_a_name_with_a_comma_is_typed_in_quotes() -> None:
    portions = (Portion("rose, dark", 50), Portion("plain", 50))
    sheet = sheet_of(Formula("x", CREAM, portions=portions))
    assert sheet.portions == '"rose, dark" 50, plain 50'


def test_a_quote_inside_a_name_is_no_mark() -> None:
    made = of(replace(CHECKED, portions='5" square 50, 3" round 50'))
    assert made.formula.portions == (Portion('5" square', 50), Portion('3" round', 50))


def test_a_quote_that_is_not_closed_gets_a_sentence() -> None:
    errors = of(replace(CHECKED, portions='"rose, dark 50, plain 50')).errors
    assert errors["portions"].startswith("portions: '\"rose, dark 50")


WAX = "house wax: cetearyl alcohol 80 (70 to 90), polysorbate 60 20"


def test_a_bought_blend_is_read_with_its_ranges() -> None:
    (wax,) = formula_of(work_out(Sheet(blends=WAX))).formula.composites
    assert [(p.name, p.pct, p.low, p.high) for p in wax.parts] == [
        ("cetearyl alcohol", 80.0, 70.0, 90.0),
        ("polysorbate 60", 20.0, None, None),
    ]


def test_a_bought_blend_counts_by_its_parts() -> None:
    sheet = Sheet(
        lines=(SheetLine("olive oil", "20"),), others=(SheetOther("House Wax", "6", "oil"),), blends=WAX
    )
    required = work_out(sheet).required
    assert required is not None
    assert {p.name: p.mass for p in required.parts} == pytest.approx(
        {"olive oil": 20.0, "cetearyl alcohol": 4.8}
    )


@pytest.mark.parametrize("text", ["house wax", "wax: oil", ": a 5", "wax: a 5 (x to y)", "w: a -3"])
def test_a_blend_that_cannot_be_read_gets_a_sentence(text: str) -> None:
    errors = formula_of(work_out(Sheet(blends=text))).errors
    assert errors["blends"].startswith("blend '")


def test_a_blend_comes_back_through_a_sheet() -> None:
    blend = Composite(
        "house wax", (CompositePart("cetearyl alcohol", 80, 70, 90), CompositePart("polysorbate 60", 20))
    )
    whole = Formula("x", "o/w cream", (Line("house wax", 6, phase="oil"),), composites=(blend,))
    sheet = sheet_of(whole)
    assert sheet.blends == WAX
    assert formula_of(work_out(sheet)).formula.expanded() == whole.expanded()
