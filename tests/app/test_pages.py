"""Every page: its own title, one heading of the first order, what it shows is that of the core."""

from __future__ import annotations

import pytest
from opened_app import VALUES, everything, field, figures, line, opened, said, sentences, typed, unfolded
from page_list import HEADINGS, VIEWS
from streamlit.testing.v1 import AppTest

import hlbcore as hlb
from hlbcore.swapping.sheet import amounts_table
from hlbcore.swapping.substitutes import rank_substitutes

EXAMPLE = hlb.example_formula()


@pytest.fixture
def app() -> AppTest:
    return opened()


def test_every_view_is_a_page_of_the_list() -> None:
    assert {path.stem for path in VIEWS.glob("*.py")} == set(HEADINGS)


def test_each_page_has_one_heading_of_the_first_order_and_labels_of_its_own(app: AppTest) -> None:
    for page, heading in HEADINGS.items():  # one visit: opening the app costs most
        app.switch_page(f"views/{page}.py").run()
        assert not app.exception, page
        assert [said(t.value) for t in app.title] == [heading]
        held = [*app.text_input, *app.selectbox, *app.button, *app.toggle, *app.text_area, *app.multiselect]
        names = [w.label for w in held]
        assert "" not in names, page
        assert sorted(names) == sorted(set(names)), page


# --- values and sources


def test_values_page_shows_every_reading_with_its_source(app: AppTest) -> None:
    app.switch_page(VALUES).run()
    field(app, "Ingredient").set_value("soybean oil").run()
    assert not app.exception
    readings = hlb.tables.readings_table(hlb.load_library().find("soybean oil"))
    assert all(said(source) in figures(app) for source in readings["source"])


@pytest.mark.parametrize("name", ["sunflower wax", "glyceryl stearate", "water"])
def test_values_page_runs_for_odd_ingredients(app: AppTest, name: str) -> None:
    app.switch_page(VALUES).run()
    field(app, "Ingredient").set_value(name).run()
    assert not app.exception


def test_values_page_shows_all_readings_and_filters_them(app: AppTest) -> None:
    app.switch_page(VALUES).run()
    every = len(app.dataframe[0].value)
    assert f"Readings shown: {every}." in everything(app)
    typed(app, "Words in name or source", "cocoa butter")
    app.multiselect(key="values_grade").set_value(["memory"]).run()
    assert not app.exception
    shown = app.dataframe[0].value
    assert 0 < len(shown) < every
    assert set(shown["grade"]) == {"memory"}
    assert len(app.get("vega_lite_chart")) == 2


# --- swap


def swapping(app: AppTest, out: str, *into: str) -> AppTest:
    app.switch_page("views/swap.py").run()
    field(app, "Goes out").set_value(out).run()
    field(app, "Comes in").set_value(list(into)).run()
    assert not app.exception
    return app


def test_a_swap_shows_the_answer_of_the_core_and_is_accepted(app: AppTest) -> None:
    made = hlb.swap(EXAMPLE, out="shea butter", into="mango butter")
    swapping(app, "shea butter", "mango butter")
    assert said(made.answer) in everything(app)
    for row in amounts_table(made).itertuples():
        assert f"{row.ingredient} {row.before:.2f} {row.after:.2f}" in figures(app)
    next(b for b in app.button if b.label == "Accept as a new version").click().run()
    assert not app.exception
    assert app.session_state["draft"].formula == made.formula
    assert field(app, "Goes out").value is None  # what was asked is done
    assert not any("is not in the formula" in s for s in sentences(app))


def test_a_swap_works_on_what_was_typed_last(app: AppTest) -> None:
    line(app, "shea butter", "6")
    swapping(app, "shea butter", "mango butter")
    assert "mango butter 0.00 6.00" in figures(app)


def test_more_than_is_there_is_refused(app: AppTest) -> None:
    swapping(app, "shea butter", "mango butter")
    typed(app, "of it [% of the formula]", "50")
    assert any("shea butter" in s and "only" in s for s in sentences(app))


def test_a_wish_swaps_every_line_that_it_shuts_out(app: AppTest) -> None:
    app.switch_page("views/swap.py").run()
    unfolded(app, "wishes")
    field(app, "Make the whole formula").set_value(["PEG-free"]).run()
    assert not app.exception
    assert "polysorbate 60 1.53 0.00" in figures(app)


def test_several_swaps_in_one_step(app: AppTest) -> None:
    swapping(app, "shea butter", "mango butter")
    next(b for b in app.button if b.label == "Swap another one in the same step").click().run()
    field(app, "Goes out (2)").set_value("cocoa butter").run()
    field(app, "Comes in (2)").set_value(["kokum butter"]).run()
    assert not app.exception
    assert "kokum butter 0.00 3.00" in figures(app)
    next(b for b in app.button if b.label == "Take swap 1 out").click().run()
    assert "mango butter" not in figures(app)


def test_what_could_stand_in_is_ranked(app: AppTest) -> None:
    swapping(app, "shea butter", "mango butter")
    unfolded(app, "substitutes")
    best = rank_substitutes("shea butter", emulsion="o/w")
    assert f"{best.iloc[0]['substitute'] if 'substitute' in best else best.iloc[0, 1]}" in figures(app)


# --- pickers


@pytest.mark.parametrize(
    ("page", "label"), [("shelf", "Emulsifiers that I have"), ("swap", "Comes in")], ids=["shelf", "swap"]
)
def test_enter_takes_one_name_not_all_that_match(app: AppTest, page: str, label: str) -> None:
    app.switch_page(f"views/{page}.py").run()
    (picker,) = [m for m in app.multiselect if m.label == label]
    assert not picker.proto.select_all
