"""The page of the whole formula: what is typed arrives, is checked, and is not lost."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from opened_app import (
    BLEND,
    VALUES,
    everything,
    field,
    figures,
    filled,
    opened,
    pressed,
    said,
    sentences,
    typed,
)
from streamlit.testing.v1 import AppTest

import hlbcore as hlb

FORMULA = "views/formula.py"
EXAMPLE = hlb.example_sheet()
ADD = "Add water, preservative, gum, colour or other"
OPEN, SYMPTOM = "Open an example", "What do you see?"
LONG = "x" * 1_900
SCRIPT = "<script>alert(1)</script><b>x</b>"
BAD = ("some", "-3", "NaN", "1e308", LONG, SCRIPT)
GUM, TOCOPHEROL = 2, 4  # rows of the example


@pytest.fixture
def app() -> AppTest:
    page = opened()
    page.switch_page(FORMULA).run()
    return page


def made(sheet: hlb.Sheet) -> hlb.Formula:
    return hlb.formula_of(hlb.work_out(sheet)).formula


def held(app: AppTest) -> hlb.Formula:
    """The formula that the page works on."""
    return made(app.session_state["draft"].sheet())


def with_other(n: int, **changes: str) -> hlb.Sheet:
    others = list(EXAMPLE.others)
    others[n] = replace(others[n], **changes)
    return replace(EXAMPLE, others=tuple(others))


def with_more(*more: hlb.SheetOther) -> hlb.Sheet:
    return replace(EXAMPLE, others=(*EXAMPLE.others, *more))


def added(app: AppTest, name: str, amount: str) -> AppTest:
    field(app, ADD).set_value(name).run()
    return typed(app, f"{name} [%]", amount)


def put(app: AppTest, **row: str) -> AppTest:
    """With a line that no list offers: its name is free text in the browser."""
    held = app.session_state["draft"]
    held.add(held.others, row)
    return app.run()


def phase(app: AppTest, name: str):
    """The choice of the phase of a line."""
    found = [s for s in app.selectbox if said(s.help) == f"Phase that {name} goes into"]
    assert len(found) == 1
    return found[0]


def levels(app: AppTest) -> list[str]:
    """Levels of the findings in the order of the page, of those in sight and of the notes."""
    boxes = " ".join(h.value for h in app.html if 'class="finding' in h.value)
    return re.findall(r'class="finding (\w+)"', boxes)


def warnings(app: AppTest) -> str:
    return " ".join(said(w.value) for w in app.warning)


# --- the first look


def test_the_page_opens_with_the_example(app: AppTest) -> None:
    assert not app.exception
    assert sentences(app) == []
    assert warnings(app) == ""
    assert said(EXAMPLE.title) in everything(app)
    assert "Together 100.00 %." in everything(app)


def test_the_page_shows_the_table_of_the_core(app: AppTest) -> None:
    table = hlb.formula_table(made(EXAMPLE), 500)
    for row in table.itertuples():
        line = f"{row.phase} {row.ingredient} {row.pct:.2f} {row.grams:.4g} {row.counts_as}"
        assert line.strip() in figures(app)


def test_every_widget_has_a_label(app: AppTest) -> None:
    kinds = (app.text_input, app.selectbox, app.button, app.toggle)
    assert [w.key for kind in kinds for w in kind if not w.label] == []


def test_findings_stand_worst_first(app: AppTest) -> None:
    field(app, OPEN).set_value("faulty_lotion").run()
    shown = levels(app)
    assert shown == [f.level for f in hlb.check(hlb.example_formula("faulty_lotion"))]
    assert shown[0] == "stop"
    assert shown == sorted(shown, key=["stop", "caution", "note"].index)


# --- edits


def test_a_line_can_be_added_with_name_amount_and_phase(app: AppTest) -> None:
    added(app, "panthenol", "2")
    phase(app, "panthenol").set_value("cool-down").run()
    assert not app.exception
    wanted = made(with_more(hlb.SheetOther("panthenol", "2", "cool-down")))
    assert held(app) == wanted
    assert "cool-down panthenol 2.00 10" in figures(app)
    assert f"Together {wanted.total_pct:.2f} %." in everything(app)


def test_the_total_that_is_off_is_told_with_how_much(app: AppTest) -> None:
    typed(app, "water [%]", "71")
    (problem,) = made(with_other(0, amount="71")).problems()
    assert said(problem.text) in warnings(app)
    assert "is too much" in problem.text


def test_a_phase_of_ones_own_is_offered_and_shown(app: AppTest) -> None:
    put(app, name="panthenol", amount="2", phase="second water")
    assert not app.exception
    assert phase(app, "panthenol").value == "second water"
    assert held(app).phases[-1] == "second water"
    assert "second water panthenol 2.00" in figures(app)


def test_active_part_portion_and_note_arrive(app: AppTest) -> None:
    typed(app, "glycerin: active part [%]", "86")
    typed(app, "glycerin: only in the portion", "rose")
    typed(app, "glycerin: note", "warm")
    typed(app, "Portions of the base [%]", "rose 50, plain 50")
    (line,) = [x for x in held(app).lines if x.name == "glycerin"]
    assert (line.active_pct, line.portion, line.note) == (86, "rose", "warm")
    assert held(app).portions == (hlb.Portion("rose", 50), hlb.Portion("plain", 50))


def test_a_line_can_be_removed(app: AppTest) -> None:
    pressed(app, "Remove xanthan gum")
    assert "xanthan gum" not in {x.name for x in held(app).lines}
    assert "xanthan gum [%]" not in filled(app)


def test_facts_arrive(app: AppTest) -> None:
    typed(app, "pH measured", "5,6")
    typed(app, "Fragrance: allergens, % of the fragrance", "linalool 1.2, limonene 0.4")
    field(app, "Claims to cleanse").set_value("no").run()
    field(app, "Used on").set_value("face").run()
    assert held(app).facts == hlb.Facts(
        ph=5.6, area="face", cleansing=False, fragrance_allergens=(("linalool", 1.2), ("limonene", 0.4))
    )


def test_fill_with_water_brings_the_total_to_100_and_changes_nothing_else(app: AppTest) -> None:
    typed(app, "xanthan gum [%]", "0.9")
    pressed(app, "Fill with water")
    assert not app.exception
    assert warnings(app) == ""
    assert "Together 100.00 %." in everything(app)
    before, after = made(with_other(GUM, amount="0.9")), held(app)
    assert [x for x in after.lines if x.name != "water"] == [x for x in before.lines if x.name != "water"]
    assert app.session_state["draft"].fields["objective"] == EXAMPLE.objective


def test_rescale_keeps_the_proportions(app: AppTest) -> None:
    typed(app, "water [%]", "80")
    before = held(app)
    pressed(app, "Rescale all lines")
    assert not app.exception
    assert warnings(app) == ""
    assert [x.pct for x in held(app).lines] == pytest.approx(
        [x.pct for x in before.rescaled().lines], rel=1e-6
    )


def test_rescale_does_not_mix_portions_up(app: AppTest) -> None:
    field(app, OPEN).set_value("two_colour_scrub").run()
    typed(app, "sugar [%]", "68.5")
    pressed(app, "Rescale all lines")
    on_top = {x.name: x.pct for x in held(app).lines if x.portion}
    assert on_top == {"lavender oil": 0.6, "ultramarines": 0.15, "sweet orange oil": 0.8, "iron oxides": 0.1}
    assert held(app).total_pct == pytest.approx(100, abs=1e-5)


def test_fill_without_water_says_what_to_do_until_it_works(app: AppTest) -> None:
    pressed(app, "Remove water")
    pressed(app, "Fill with water")
    assert not app.exception
    assert "'water': it is not in the base. Add it" in warnings(app)
    added(app, "water", "1")
    pressed(app, "Fill with water")
    assert warnings(app) == ""
    assert held(app).total_pct == pytest.approx(100, abs=1e-6)


def test_fill_that_would_be_negative_says_so_and_changes_nothing(app: AppTest) -> None:
    typed(app, "glycerin [%]", "99")
    before = filled(app)
    pressed(app, "Fill with water")
    assert "Reduce other lines first" in warnings(app)
    assert filled(app) == before


def test_the_last_edit_shows_what_is_new_and_gone(app: AppTest) -> None:
    assert not [e for e in app.expander if "The last edit" in e.label]
    typed(app, "1,4-dioxane of the ethoxylates [ppm]", "5")
    found = hlb.changes(
        hlb.check(made(EXAMPLE)), hlb.check(made(replace(EXAMPLE, facts=(("dioxane_ppm", "5"),))))
    )
    (box,) = [e for e in app.expander if "The last edit" in e.label]
    assert box.label == f"The last edit: {len(found.new)} new, {len(found.gone)} gone"
    shown = " ".join(said(h.value) for h in box.html)
    assert found.new
    assert found.gone
    assert all(said(f.title) in shown for f in (*found.new, *found.gone))


# --- examples and symptoms


@pytest.mark.parametrize("name", hlb.example_formulas())
def test_each_example_opens_and_is_checked(app: AppTest, name: str) -> None:
    field(app, OPEN).set_value(name).run()
    assert not app.exception
    formula = hlb.example_formula(name)
    assert f"{said(formula.name)}, {formula.product_type}" in everything(app)
    assert f"Together {formula.total_pct:.2f} %." in everything(app)
    assert {x.name: x.pct for x in held(app).lines} == {x.name: x.pct for x in formula.lines}
    assert all(said(f.title) in everything(app) for f in hlb.check(formula))


@pytest.mark.parametrize("name", hlb.example_formulas())
def test_each_example_opens_on_the_first_page_too(app: AppTest, name: str) -> None:
    field(app, OPEN).set_value(name).run()
    app.switch_page(BLEND).run()
    assert not app.exception


@pytest.mark.parametrize("symptom", hlb.symptoms())
def test_each_symptom_has_its_causes(app: AppTest, symptom: str) -> None:
    field(app, SYMPTOM).set_value(symptom).run()
    assert not app.exception
    causes = hlb.diagnose(held(app), symptom=symptom).causes
    titles = [said(e.label) for e in app.expander]
    assert causes
    assert [t for t in titles if re.match(r"\d+\. ", t)] == [said(f"{c.rank}. {c.cause}") for c in causes]
    first = next(e for e in app.expander if said(e.label).startswith("1. "))
    assert said(causes[0].test) in " ".join(said(h.value) for h in first.html)


# --- input that cannot be used


def test_far_too_much_is_told_and_never_breaks_the_page(app: AppTest) -> None:
    for name in ("polysorbate 60", "polysorbate 80", "fragrance"):
        put(app, name=name, amount="90", phase="oil")
    field(app, SYMPTOM).set_value("thin").run()
    assert not app.exception
    assert "is too much" in warnings(app)
    assert "The check 'cautions' cannot run" in everything(app)


FIELDS = (
    "water [%]",
    "glycerin: active part [%]",
    "Portions of the base [%]",
    "pH measured",
    "Hottest step [°C]",
    "Cool-down goes in at [°C]",
    "Fragrance: supplier's maximum [%]",
    "Fragrance: heat limit [°C]",
    "Fragrance: allergens, % of the fragrance",
    "1,4-dioxane of the ethoxylates [ppm]",
)


@pytest.mark.parametrize("label", FIELDS)
def test_a_bad_field_has_its_sentence_and_keeps_what_was_typed(app: AppTest, label: str) -> None:
    before = filled(app)
    most = field(app, label).max_chars
    for text in BAD:
        if text == "-3" and "[°C]" in label:  # cold, but a temperature
            continue
        typed(app, label, text)
        assert not app.exception
        assert len(sentences(app)) == 1, text[:40]
        assert filled(app) == before | {label: text[:most]}
        assert "sunflower oil 9.00" in figures(app)


def test_a_bad_amount_names_the_line(app: AppTest) -> None:
    typed(app, "glycerin [%]", "lots")
    assert sentences(app) == [
        "'glycerin': 'lots' is not a number. Write a plain number such as 12.5 or 12,5."
    ]
    assert "glycerin 4.00" not in figures(app)


@pytest.mark.parametrize(
    "name",
    ["nobody knows", SCRIPT, LONG, "**x** $a$ :red[b] `c`", "=1+1"],
    ids=["unknown", "script", "long", "markup", "formula"],
)
def test_an_odd_name_is_a_problem_in_words_and_never_breaks_the_page(app: AppTest, name: str) -> None:
    put(app, name=name, amount="1", phase="water")
    assert not app.exception
    assert "is not in the tables" in warnings(app)
    assert not [h for h in app.html if "<script" in h.value]


def test_what_is_typed_stays_after_a_visit_to_the_other_pages(app: AppTest) -> None:
    added(app, "panthenol", "lots")
    typed(app, "glycerin: note", "warm")
    typed(app, "pH measured", "sour")
    typed(app, "Portions of the base [%]", "rose 50")
    put(app, name="house x", amount="1", phase="second water")
    phase(app, "xanthan gum").set_value("cool-down").run()
    field(app, "Claims to cleanse").set_value("yes").run()
    field(app, SYMPTOM).set_value("grainy").run()
    before, choices = filled(app), [s.value for s in app.selectbox]
    for page in (BLEND, VALUES, BLEND, FORMULA):
        app.switch_page(page).run()
        assert not app.exception
    assert filled(app) == before
    assert [s.value for s in app.selectbox] == choices
    assert filled(app)["panthenol [%]"] == "lots"
    assert {"second water", "grainy", "yes"} <= set(choices)


def test_an_edit_of_the_first_page_shows_here(app: AppTest) -> None:
    app.switch_page(BLEND).run()
    typed(app, "sunflower oil [%]", "12")
    app.switch_page(FORMULA).run()
    assert "sunflower oil 12.00 60" in figures(app)


# --- files


def test_the_formula_of_the_page_comes_back_from_its_file(app: AppTest) -> None:
    added(app, "panthenol", "2,5")
    typed(app, "panthenol: note", "stir in")
    typed(app, "Portions of the base [%]", "rose 50, plain 50")
    typed(app, "pH measured", "5.6")
    formula = held(app)
    again = hlb.Formula.from_json(formula.to_json())
    assert again == formula
    back = made(hlb.sheet_of(again))
    assert back.facts == formula.facts
    assert back.portions == formula.portions
    assert [(x.name, x.phase, x.note) for x in back.lines] == [
        (x.name, x.phase, x.note) for x in formula.lines
    ]
    assert [x.pct for x in back.lines] == pytest.approx([x.pct for x in formula.lines], rel=1e-6)


def test_the_formula_can_be_taken_along_in_two_forms(app: AppTest) -> None:
    labels = [b.proto.label for b in app.get("download_button")]
    assert labels == ["Formula as JSON", "Formula as CSV"]
