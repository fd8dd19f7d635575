"""In the jar: what is typed arrives and is kept with the formula, what follows is that of the core."""

from __future__ import annotations

import pytest
from opened_app import everything, field, opened, said, sentences, typed
from streamlit.testing.v1 import AppTest

from hlbcore import Formula, Line, work_out
from hlbcore.rules.jar.sheet import JarSheet, work_out_jar

SCRUB = Formula(
    "Syrup scrub",
    "wash-off scrub",
    [
        Line("water", 15, phase="water"),
        Line("xanthan gum", 0.1, phase="water"),
        Line("sugar", 50, phase="solids"),
        Line("sunflower oil", 25, phase="oil"),
        Line("cetearyl alcohol", 5, phase="oil"),
        Line("polysorbate 80", 4.5, phase="oil"),
        Line("isododecane", 0.4, phase="oil"),
    ],
)


@pytest.fixture
def app() -> AppTest:
    page = opened()
    page.session_state["draft"].put(SCRUB)
    return page.switch_page("views/jar.py").run()


def test_the_page_says_what_the_core_says(app: AppTest) -> None:
    assert not app.exception
    held = work_out_jar(work_out(SCRUB))
    shown = everything(app)
    assert held.grains is not None
    assert held.ratio is not None
    for words in (held.grains.why, held.ratio.words, held.syrup.words, held.pourings[0].words):
        assert said(words) in shown
    assert "flash point from 42 °C (recalled)" in shown
    assert "section 9" in shown


def test_what_was_measured_is_kept_with_the_formula(app: AppTest) -> None:
    typed(app, "Size of a grain", "0,5 mm")
    typed(app, "Yield stress, measured [Pa]", "3")
    assert not app.exception
    kept = app.session_state["draft"].formula
    assert (kept.known_facts.grain_um, kept.known_facts.yield_pa) == (500, 3)
    assert "Held" in everything(app)


def test_the_suppliers_solids_change_the_band(app: AppTest) -> None:
    typed(app, "Solids from the supplier's sheet, one fat a line", "sunflower oil: N20 90, N30 80")
    assert not app.exception
    assert "firm" in everything(app)


@pytest.mark.parametrize(
    ("label", "text", "words"),
    [
        ("Size of a grain", "0.5", "grain size: 0.5 µm is out of range"),
        ("Yield stress, measured [Pa]", "lots", "'lots' is not a number"),
        ("Solids from the supplier's sheet, one fat a line", "shea 45", "has no name before a colon"),
        ("Shall keep for [days]", "-1", "days to keep"),
        ("Size of a grain", "<script>", "is not a number"),
    ],
)
def test_bad_input_is_told_beside_its_field_and_not_lost(
    app: AppTest, label: str, text: str, words: str
) -> None:
    typed(app, label, text)
    assert not app.exception
    assert any(words in s for s in sentences(app))
    assert field(app, label).value == text


def test_a_slider_moves_the_temperature_after_mixing(app: AppTest) -> None:
    slider = next(s for s in app.slider if s.label == "Water phase at [°C]")
    slider.set_value(20.0).run()
    assert not app.exception
    made = work_out_jar(work_out(SCRUB), JarSheet(water_c="20")).pourings[0]
    assert made.word == "sets while you stir"
    assert said(made.words) in everything(app)


def test_the_working_of_each_number_is_there(app: AppTest) -> None:
    shown = everything(app)
    for words in (
        "Volume share of the grains",
        "Foot of the band",
        "Oil by volume",
        "K 6.47",
        "heat before is heat after",
    ):
        assert words in shown


@pytest.mark.parametrize(
    "formula",
    [
        Formula(),
        Formula("x", "o/w cream", [Line("olive oil", 100)]),
        Formula("x", lines=[Line("water", 100)]),
    ],
    ids=["empty", "oil", "water"],
)
def test_any_formula_opens_the_page(formula: Formula) -> None:
    page = opened()
    page.session_state["draft"].put(formula)
    page.switch_page("views/jar.py").run()
    assert not page.exception
