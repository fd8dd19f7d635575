"""The pages: what is typed arrives, the result is shown, nothing typed is lost."""

from __future__ import annotations

from dataclasses import replace

import pytest
from opened_app import (
    BLEND,
    VALUES,
    chosen,
    everything,
    field,
    figures,
    filled,
    opened,
    pasted,
    pressed,
    required_row,
    said,
    sentences,
    typed,
    verdict,
)
from streamlit.testing.v1 import AppTest

import hlbcore as hlb

EXAMPLE = hlb.example_sheet()
SUNFLOWER = "sunflower oil [%]"
OF_FORMULA = "[% of the formula]"


@pytest.fixture
def app() -> AppTest:
    return opened()


def with_line(n: int, **changes: str) -> hlb.Sheet:
    lines = list(EXAMPLE.lines)
    lines[n] = replace(lines[n], **changes)
    return replace(EXAMPLE, lines=tuple(lines))


def with_emulsifier(n: int, **changes: str) -> hlb.Sheet:
    held = list(EXAMPLE.emulsifiers)
    held[n] = replace(held[n], **changes)
    return replace(EXAMPLE, emulsifiers=tuple(held))


# --- the first screen


def test_first_screen_shows_the_example_solved(app: AppTest) -> None:
    assert not app.exception
    assert verdict(app).startswith("Inside ")


def test_first_screen_shows_the_numbers_of_the_core(app: AppTest) -> None:
    outcome = hlb.work_out(EXAMPLE)
    shown = figures(app)
    assert required_row(outcome) in shown
    for row in hlb.report.blend_table(outcome).itertuples():
        line = f"{row.emulsifier} {row.pct_of_formula:.2f} {row.pct_of_blend:.1f} {row.grams:g}"
        assert line in shown


def test_first_screen_shows_the_sentence_of_the_core(app: AppTest) -> None:
    outcome = hlb.work_out(EXAMPLE)
    assert outcome.verdict is not None
    assert said(outcome.verdict.sentence) in verdict(app)


def test_first_screen_has_no_field_to_mend(app: AppTest) -> None:
    assert sentences(app) == []


def test_every_widget_has_a_label(app: AppTest) -> None:
    held = [*app.text_input, *app.selectbox, *app.button, *app.toggle, *app.text_area]
    assert [w.key for w in held if not w.label] == []


# --- edits


def test_an_edit_changes_the_result_without_a_button(app: AppTest) -> None:
    typed(app, SUNFLOWER, "20")
    outcome = hlb.work_out(with_line(0, amount="20"))
    assert required_row(outcome) != required_row(hlb.work_out(EXAMPLE))
    assert required_row(outcome) in figures(app)


@pytest.mark.parametrize("text", ["12,5", "12.5", "12.5 %", "62.5 g", "62,5 g"])
def test_an_amount_can_be_typed_in_each_way(app: AppTest, text: str) -> None:
    typed(app, SUNFLOWER, text)
    assert sentences(app) == []
    assert required_row(hlb.work_out(with_line(0, amount="12.5"))) in figures(app)


def test_what_is_typed_stays_after_a_visit_to_the_other_page(app: AppTest) -> None:
    typed(app, SUNFLOWER, "20")
    typed(app, "All emulsifiers [%]", "abc")
    before = filled(app)
    app.switch_page(VALUES).run()
    assert not app.exception
    app.switch_page(BLEND).run()
    assert filled(app) == before
    assert filled(app)[SUNFLOWER] == "20"


def test_plain_numbers_can_be_grams(app: AppTest) -> None:
    chosen(app, "% of the formula", "grams")
    assert required_row(hlb.work_out(replace(EXAMPLE, unit="grams"))) in figures(app)
    assert "sunflower oil [g]" in filled(app)


def test_a_removed_line_does_not_count(app: AppTest) -> None:
    pressed(app, "Remove cocoa butter")
    lines = tuple(x for x in EXAMPLE.lines if x.name != "cocoa butter")
    assert required_row(hlb.work_out(replace(EXAMPLE, lines=lines))) in figures(app)
    assert "cocoa butter [%]" not in filled(app)


def test_an_ingredient_can_be_added(app: AppTest) -> None:
    field(app, "Add an oil, butter, wax or other fat").set_value("mango butter").run()
    typed(app, "mango butter [%]", "4")
    lines = (*EXAMPLE.lines, hlb.SheetLine("mango butter", "4"))
    assert required_row(hlb.work_out(replace(EXAMPLE, lines=lines))) in figures(app)


def test_empty_sheet_and_back(app: AppTest) -> None:
    pressed(app, "Start with an empty sheet")
    assert not app.exception
    assert [i.value for i in app.info if "Enter an oil phase" in i.value]
    assert SUNFLOWER not in filled(app)
    pressed(app, "Show the example again")
    assert verdict(app).startswith("Inside ")
    assert filled(app)[SUNFLOWER] == "9"


@pytest.mark.parametrize("kind", [t.name for t in hlb.product_types()])
def test_every_product_type_runs(app: AppTest, kind: str) -> None:
    field(app, "Product type").set_value(kind).run()
    assert not app.exception
    outcome = hlb.work_out(replace(EXAMPLE, product=kind))
    word = "no verdict" if outcome.verdict is None else outcome.verdict.word
    assert verdict(app).startswith(word.capitalize())


def test_a_missing_figure_stands_in_the_place_of_the_verdict(app: AppTest) -> None:
    field(app, "Product type").set_value("w/o cream").run()
    sentence = hlb.work_out(replace(EXAMPLE, product="w/o cream")).errors["phase"]
    assert said(sentence) in verdict(app)
    assert "Enter an oil phase" not in everything(app)


@pytest.mark.parametrize("kind", ["contributions", "ratio", "triangle", "map"])
def test_every_figure_runs_or_says_why_not(app: AppTest, kind: str) -> None:
    field(app, "Another figure").set_value(kind).run()
    assert not app.exception
    try:
        words = hlb.plots.words(hlb.plots.of_sheet(hlb.work_out(EXAMPLE), kind))
    except hlb.HlbError as error:
        words = str(error)
    assert said(words) in everything(app)


def test_two_sided_switch_gives_the_value_that_stood_beside_it(app: AppTest) -> None:
    outcome = hlb.work_out(EXAMPLE)
    assert outcome.required is not None
    other = next(o for o in outcome.required.others if o.name == "cetyl alcohol")
    assert other.estimate is not None
    assert f"cetyl alcohol counted as emulsifier {other.estimate!r}" in figures(app)
    chosen(app, "oil", "emulsifier")
    assert f"Required HLB of the oil phase {other.estimate.value:.1f} " in figures(app)


def test_the_tool_chooses_and_says_why(app: AppTest) -> None:
    field(app, "Let the tool choose").set_value(True).run()
    outcome = hlb.work_out(replace(EXAMPLE, emulsifiers=()))
    assert outcome.blend is not None
    assert said(outcome.reason) in everything(app)
    assert all(name in figures(app) for name in outcome.blend.labels)


def test_own_choice_comes_back_after_the_tool_chose(app: AppTest) -> None:
    before = figures(app)
    field(app, "Let the tool choose").set_value(True).run()
    field(app, "Let the tool choose").set_value(False).run()
    assert figures(app) == before


def test_cheapest_with_prices_is_solved(app: AppTest) -> None:
    field(app, "What to look for").set_value("cheapest").run()
    outcome = hlb.work_out(replace(EXAMPLE, objective="cheapest"))
    assert outcome.verdict is not None
    assert said(outcome.verdict.sentence) in verdict(app)


def test_cheapest_without_a_price_says_what_is_missing(app: AppTest) -> None:
    typed(app, "polysorbate 60: price per kg", "")
    field(app, "What to look for").set_value("cheapest").run()
    assert any("price" in s and "polysorbate 60" in s for s in sentences(app))


def test_least_change_without_amounts_says_what_is_missing(app: AppTest) -> None:
    field(app, "What to look for").set_value("least change").run()
    assert any("needs the amounts in use" in s for s in sentences(app))


def test_check_my_amounts_judges_what_is_in_use(app: AppTest) -> None:
    typed(app, f"sorbitan stearate: in use now {OF_FORMULA}", "1")
    typed(app, f"polysorbate 60: in use now {OF_FORMULA}", "3")
    field(app, "What to look for").set_value("check my amounts").run()
    required = hlb.work_out(EXAMPLE).required
    judged = hlb.judge({"sorbitan stearate": 1, "polysorbate 60": 3}, required, "o/w cream")
    assert judged.word == "outside"
    assert verdict(app).startswith("Outside ")


# --- input that cannot be used

LONG = "x" * 1_900
SCRIPT = "<script>alert(1)</script><b>x</b>"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("some", "'some' is not a number"),
        ("", "the amount is blank"),
        ("-3", "-3 is negative. Enter 0 or more"),
        ("NaN", "nan is not an amount"),
        ("1e308", "is out of range. Enter 0 to 100 %"),
        (LONG, "is not a number"),
        (SCRIPT, "is not a number"),
        ("1,234", "can be read in two ways"),
        ("2 tbsp", "is not a unit of mass known here"),
    ],
    ids=["text", "blank", "negative", "nan", "huge", "long", "script", "two ways", "spoons"],
)
def test_a_bad_amount_has_its_sentence_and_the_rest_goes_on(app: AppTest, text: str, words: str) -> None:
    typed(app, SUNFLOWER, text)
    assert not app.exception
    assert any(s.startswith("'sunflower oil': ") for s in sentences(app))
    # a script is told as plain text, so its signs are gone from what `said` gives
    assert words in " ".join(sentences(app))
    assert required_row(hlb.work_out(with_line(0, amount=text))) in figures(app)
    assert filled(app)[SUNFLOWER] == text[: field(app, SUNFLOWER).max_chars]


def test_an_amount_of_zero_counts_as_nothing(app: AppTest) -> None:
    typed(app, SUNFLOWER, "0")
    assert required_row(hlb.work_out(with_line(0, amount="0"))) in figures(app)


FIELDS = (
    "Required HLB of sunflower oil",
    f"sorbitan stearate: at least {OF_FORMULA}",
    f"sorbitan stearate: at most {OF_FORMULA}",
    f"sorbitan stearate: in use now {OF_FORMULA}",
    "sorbitan stearate: price per kg",
    "sorbitan stearate: HLB of your own",
    f"sorbitan stearate: supplier's rate {OF_FORMULA}",
    f"sorbitan stearate: supplier's oil limit {OF_FORMULA}",
    "All emulsifiers [%]",
    "Batch",
    "Scale shows steps of",
    "Window, plus or minus [HLB]",
    f"If used, at least {OF_FORMULA}",
)
BAD = ("some", "-3", "NaN", "1e308", LONG, SCRIPT)


@pytest.mark.parametrize("label", FIELDS)
def test_a_bad_field_has_its_sentence_and_nothing_is_lost(app: AppTest, label: str) -> None:
    before = filled(app)
    most = field(app, label).max_chars
    for text in BAD:
        typed(app, label, text)
        assert not app.exception
        assert sentences(app) != [], text[:40]
        assert filled(app) == before | {label: text[:most]}
        # what the oil phase requires does not hang on any of these fields
        assert required_row(hlb.work_out(EXAMPLE)) in figures(app)


@pytest.mark.parametrize(
    "label", ["All emulsifiers [%]", "Batch", "Scale shows steps of", "Window, plus or minus [HLB]"]
)
def test_a_blank_field_that_is_needed_has_its_sentence(app: AppTest, label: str) -> None:
    typed(app, label, "")
    assert any("is blank" in s for s in sentences(app))
    assert required_row(hlb.work_out(EXAMPLE)) in figures(app)


def test_the_sentence_of_a_field_names_the_ingredient(app: AppTest) -> None:
    typed(app, f"polysorbate 60: at most {OF_FORMULA}", "some")
    assert any(s.startswith("'polysorbate 60', high: 'some' is not a number") for s in sentences(app))


def test_a_low_limit_alone_holds(app: AppTest) -> None:
    typed(app, f"polysorbate 60: at least {OF_FORMULA}", "1.6")
    blend = hlb.work_out(with_emulsifier(1, low="1.6")).blend
    assert blend is not None
    assert blend.masses[1] >= 1.6
    assert sentences(app) == []
    assert f"polysorbate 60 {blend.masses[1]:.2f}" in figures(app)


def test_limits_that_cross_are_refused_with_both_numbers(app: AppTest) -> None:
    typed(app, f"polysorbate 60: at least {OF_FORMULA}", "5")
    typed(app, f"polysorbate 60: at most {OF_FORMULA}", "2")
    assert any("low limit 5 lies above the high limit 2. Swap the two" in s for s in sentences(app))
    assert filled(app)[f"polysorbate 60: at least {OF_FORMULA}"] == "5"


@pytest.mark.parametrize(
    ("total", "words"),
    [
        ("0", "0 % of the formula is too small"),
        ("6 to 3", "lies above the high end 3. Swap"),
        ("120", "emulsifiers: 120 % is more than the whole formula"),
        ("5 g", "'5 g' is not in % of the formula"),
    ],
    ids=["zero", "crossed", "over 100", "grams"],
)
def test_a_total_that_cannot_be_used_says_why(app: AppTest, total: str, words: str) -> None:
    typed(app, "All emulsifiers [%]", total)
    assert words in " ".join(sentences(app))
    assert required_row(hlb.work_out(EXAMPLE)) in figures(app)


def test_a_target_out_of_reach_names_the_smallest_change(app: AppTest) -> None:
    typed(app, f"sorbitan stearate: at most {OF_FORMULA}", "0.5")
    assert verdict(app).startswith("Not reachable ")
    assert "Smallest change that makes it possible: raise the upper limit of sorbitan stearate" in (
        verdict(app)
    )
    assert required_row(hlb.work_out(EXAMPLE)) in figures(app)


def test_the_smallest_change_named_does_open_the_way(app: AppTest) -> None:
    label = f"sorbitan stearate: at most {OF_FORMULA}"
    typed(app, label, "0.5")
    limit = verdict(app).partition("from 0.5 to ")[2].partition(" ")[0]
    typed(app, label, limit)
    assert not verdict(app).startswith("Not reachable")


# --- names


def test_an_unknown_name_is_asked_for_in_place(app: AppTest) -> None:
    pasted(app, "shea butter 10 %\nshee butter 5 %")
    assert not app.exception
    assert any(s.startswith("'shee butter' is not in the tables.") for s in sentences(app))
    assert required_row(
        hlb.work_out(replace(EXAMPLE, lines=(hlb.SheetLine("shea butter", "10"),)))
    ) in figures(app)


def test_a_close_match_is_one_press_away(app: AppTest) -> None:
    pasted(app, "cocoa butter 10 %\nshee butter 5 %")
    pressed(app, "It is shea butter")
    assert sentences(app) == []
    lines = (hlb.SheetLine("cocoa butter", "10"), hlb.SheetLine("shea butter", "5"))
    assert required_row(hlb.work_out(replace(EXAMPLE, lines=lines))) in figures(app)
    assert filled(app)["shea butter [%]"] == "5 %"


def test_a_value_of_your_own_makes_an_unknown_name_count(app: AppTest) -> None:
    pasted(app, "cocoa butter 10 %\nhouse blend 5 %")
    typed(app, "A required HLB for house blend", "9 to 11")
    assert sentences(app) == []
    lines = (hlb.SheetLine("cocoa butter", "10"), hlb.SheetLine("house blend", "5", own="9 to 11"))
    assert required_row(hlb.work_out(replace(EXAMPLE, lines=lines))) in figures(app)
    assert filled(app)["A required HLB for house blend"] == "9 to 11"


def test_a_bad_value_for_an_unknown_name_keeps_its_field(app: AppTest) -> None:
    pasted(app, "cocoa butter 10 %\nhouse blend 5 %")
    typed(app, "A required HLB for house blend", "some")
    assert any("'some' is neither a number nor a kind" in s for s in sentences(app))
    assert filled(app)["A required HLB for house blend"] == "some"


def test_the_range_of_its_kind_makes_an_unknown_name_count(app: AppTest) -> None:
    pasted(app, "cocoa butter 10 %\nhouse blend 5 %")
    field(app, "or take the range of its kind").set_value("butter").run()
    assert not app.exception
    lines = (hlb.SheetLine("cocoa butter", "10"), hlb.SheetLine("house blend", "5", own="butter"))
    assert required_row(hlb.work_out(replace(EXAMPLE, lines=lines))) in figures(app)
    assert filled(app)["A required HLB for house blend"] == "butter"


@pytest.mark.parametrize(
    "name",
    [SCRIPT, LONG, "**x** $a$ :red[b] `c`", "=1+1", "  "],
    ids=["script", "long", "markup", "formula", "blank"],
)
def test_an_odd_name_never_breaks_the_page(app: AppTest, name: str) -> None:
    pasted(app, f"cocoa butter 10 %\n{name}\t5 %")
    assert not app.exception
    lines = (hlb.SheetLine("cocoa butter", "10"),)
    assert required_row(hlb.work_out(replace(EXAMPLE, lines=lines))) in figures(app)
    assert not [h for h in app.html if "<script" in h.value]


# --- lists


def test_a_pasted_list_fills_both_tables(app: AppTest) -> None:
    pasted(
        app,
        "ingredient\t%\nshea butter\t10,5\nsunflower oil\t12\npolysorbate 60\t1.4\n"
        "sorbitan stearate\t2\nwater\t70",
    )
    shown = filled(app)
    assert shown["shea butter [%]"].startswith("10,5")
    assert shown[SUNFLOWER].startswith("12")
    assert shown[f"polysorbate 60: in use now {OF_FORMULA}"].startswith("1.4")
    assert "Not part of the oil phase: water." in everything(app)


def test_a_pasted_list_with_emulsifiers_ends_the_tools_choice(app: AppTest) -> None:
    field(app, "Let the tool choose").set_value(True).run()
    pasted(app, "shea butter 10 %\npolysorbate 60 1.4 %\nsorbitan stearate 2 %")
    assert field(app, "Let the tool choose").value is False


def test_a_list_without_a_name_says_so_and_changes_nothing(app: AppTest) -> None:
    before = filled(app)
    pasted(app, "\n\n")
    assert "there is no line with a name" in everything(app)
    assert filled(app) == before


# --- values and sources


def test_values_page_shows_every_reading_with_its_source(app: AppTest) -> None:
    app.switch_page(VALUES).run()
    field(app, "Ingredient").set_value("soybean oil").run()
    assert not app.exception
    readings = hlb.report.readings_table(hlb.load_library().find("soybean oil"))
    assert all(said(source) in figures(app) for source in readings["source"])


@pytest.mark.parametrize("name", ["sunflower wax", "glyceryl stearate", "water"])
def test_values_page_runs_for_odd_ingredients(app: AppTest, name: str) -> None:
    app.switch_page(VALUES).run()
    field(app, "Ingredient").set_value(name).run()
    assert not app.exception
