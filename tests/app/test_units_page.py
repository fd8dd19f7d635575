"""The pages read as their user types: comma, ounces, Fahrenheit; and as was chosen."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from opened_app import (
    answer,
    brief,
    everything,
    field,
    figures,
    filled,
    line,
    opened,
    pressed,
    typed,
    unfolded,
)
from streamlit.testing.v1 import AppTest

from hlbcore.ladder.record_cells import record_columns


@pytest.fixture
def app() -> AppTest:
    return opened()


def test_figures_follow_the_comma_and_the_ounces_that_are_typed(app: AppTest) -> None:
    line(app, "sunflower oil", "9,5")
    assert "4,5 %" in brief(app)
    typed(app, "Scale step", "0.1 oz")
    typed(app, "Batch", "32")
    assert filled(app)["Batch"] == "32 oz"
    assert brief(app).endswith("oz")
    assert " oz " in answer(app)


def test_the_batch_sheet_and_a_temperature_follow_too(app: AppTest) -> None:
    unfolded(app, "Known")
    typed(app, "Hottest step [°C]", "167 F")
    assert filled(app)["Cool-down goes in at [°F]"] == "40 °C"  # kept as it was meant
    typed(app, "Batch", "2 lb")
    app.switch_page("views/batch.py").run()
    assert "lb" in figures(app)
    assert app.session_state["draft"].formula.known_facts.hottest_c == pytest.approx(75)


def test_what_is_chosen_leads_over_what_is_typed(app: AppTest) -> None:
    app.selectbox(key="units_mass").set_value("oz").run()
    typed(app, "Batch", "600 g")
    assert brief(app).endswith("oz")


def test_an_own_value_is_typed_and_read_in_fahrenheit(app: AppTest) -> None:
    app.selectbox(key="units_temperature").set_value("°F").run()
    app.switch_page("views/own.py").run()
    app.selectbox(key="own_name_0").set_value("shea butter")
    app.text_input(key="own_value_0").set_value("9")
    field(app, "Temperature [°F]").set_value("160")
    pressed(app, "Keep this figure")
    assert "160.0 °F" in everything(app)


def test_the_places_of_vials_are_typed_and_read_in_fahrenheit(app: AppTest) -> None:
    app.selectbox(key="units_temperature").set_value("°F").run()
    app.switch_page("views/ladder.py").run()
    typed(app, "Oil phase of the ladder [% of the vial]", "mineral oil 20")
    pressed(app, "Make this ladder and record it")
    typed(app, "Where they stand [°F]", "41, 104")
    assert filled(app)["Where they stand [°F]"] == "41, 104 F"
    now = app.session_state["ladder"]
    columns = {c.name for c in record_columns(now.ladder, now.sheet)}
    assert {"score, 1 day, 5 °C", "score, 1 day, 40 °C"} <= columns


def test_a_name_with_a_point_keeps_it_beside_decimal_commas(app: AppTest) -> None:
    now = app.session_state["draft"]
    now.put(replace(now.formula, name="Cream 2.1"))
    app.selectbox(key="units_decimal").set_value(",").run()
    line(app, "shea butter", "Shea 1.5 raw", "name")
    assert "Shea 1.5 raw" in everything(app)
    assert "Shea 1,5 raw" not in everything(app)
    app.switch_page("views/batch.py").run()
    assert "Of **Cream 2.1**" in everything(app)
    assert re.search(r"\d,\d g", figures(app))
