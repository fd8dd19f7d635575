"""A supplier's sheet: kept from the menu of a line and from the page Own values, used by every formula."""

from __future__ import annotations

from opened_app import (
    FORMULA,
    added,
    answer,
    everything,
    field,
    formula,
    line,
    listed,
    opened,
    pressed,
    pressed_in,
)
from streamlit.testing.v1 import AppTest


def fields_of(app: AppTest, name: str) -> list[str]:
    return next(r.fields for r in listed(app).rows if r.name == name)


def test_a_sheet_typed_in_a_line_is_kept_with_its_material_and_leaves_the_line() -> None:
    app = opened()
    added(app, "glyceryl stearate citrate", "2")
    assert "keep sheet" not in fields_of(app, "glyceryl stearate citrate")
    line(app, "glyceryl stearate citrate", "3 to 5 % of the formula", "supplier_rate")
    assert "keep sheet" in fields_of(app, "glyceryl stearate citrate")
    pressed_in(app, "glyceryl stearate citrate", "keep sheet")
    kept = next(x for x in formula(app).lines if x.name == "glyceryl stearate citrate")
    assert kept.supplier_rate.text == ""
    assert "glyceryl stearate citrate: its supplier says 3 to 5 % of the formula" in answer(app)
    assert "The sheet of glyceryl stearate citrate is kept: 3 to 5 % of the formula." in everything(app)


def test_a_sheet_that_cannot_be_read_stays_in_the_line() -> None:
    app = opened()
    added(app, "glyceryl stearate citrate", "2")
    line(app, "glyceryl stearate citrate", "much", "supplier_rate")
    pressed_in(app, "glyceryl stearate citrate", "keep sheet")
    assert formula(app).lines[-1].supplier_rate.text == "much"
    assert "Mend it first." in everything(app)


def test_a_sheet_typed_on_the_page_of_own_values_is_listed_and_used() -> None:
    app = opened()
    app.switch_page("views/own.py").run()
    field(app, "Emulsifier").set_value("glyceryl stearate citrate")
    field(app, "Rate [%]").set_value("4 to 6")
    field(app, "Oil phase it carries [%]").set_value("25")
    field(app, "pH").set_value("5 to 8")
    pressed(app, "Keep this sheet")
    assert "supplier's sheet: 4 to 6 % of the formula, up to 25 % oil phase, pH 5 to 8" in everything(app)
    app.switch_page(FORMULA).run()
    added(app, "glyceryl stearate citrate", "5")
    said = (
        "glyceryl stearate citrate: 5 % of the formula, its supplier says 4 to 6 % with up to 25 % oil phase"
    )
    assert said in answer(app)


def test_a_sheet_without_figures_is_refused_in_a_sentence() -> None:
    app = opened()
    app.switch_page("views/own.py").run()
    field(app, "Emulsifier").set_value("glyceryl stearate citrate")
    pressed(app, "Keep this sheet")
    assert any("it holds no figure" in x.value for x in app.error)
