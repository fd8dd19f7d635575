"""Cost, label and what to have before a sale: what was typed arrives, and what is shown is the core's."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from opened_app import MAIN, everything, figures, line, opened, pressed, said, typed
from streamlit.testing.v1 import AppTest

import hlbcore as hlb
from hlbcore.batch.cost import cost
from hlbcore.batch.prices import Price, PriceList

EXAMPLE = hlb.example_formula()


@pytest.fixture
def app() -> AppTest:
    return opened()


def prices(app: AppTest, *edits: tuple[str, str, str]) -> AppTest:
    """After texts were typed in lines of the price list: name, field, text."""
    sys.path.insert(0, str(MAIN.parent))
    try:
        import cost_list
    finally:
        sys.path.remove(str(MAIN.parent))
    now = app.session_state["cost"]
    for name, field, text in edits:
        at = next(i for i, p in zip(now.ids, now.prices.prices, strict=True) if p.name == name)
        cost_list.one(now, cost_list.Typed(at, field, text))
    return app.run()


def test_a_price_list_is_typed_counted_and_kept(app: AppTest, own_file: Path) -> None:
    app.switch_page("views/cost.py").run()
    pressed(app, "Add 10 lines for what has no price")
    prices(app, ("sunflower oil", "price", "8,50"), ("shea butter", "price", "-3"), ("water", "price", "0"))
    typed(app, "Currency", "EUR")
    assert not app.exception
    held = PriceList(currency="EUR", prices=(Price("sunflower oil", "8,50"), Price("water", "0")))
    made = cost(EXAMPLE, held, batch="500 g", jar="50 g")
    assert said(made.headline) in everything(app)
    assert f"sunflower oil 45 {made.lines[3].cost:.2f}" in figures(app)
    assert "Workings to print" in {said(b.label) for b in app.get("download_button")}
    again = opened()
    again.switch_page("views/cost.py").run()
    assert again.session_state["cost"].prices.prices[4].price.text == "-3"  # nothing typed is lost


def test_prices_go_into_the_formula_on_request(app: AppTest) -> None:
    app.switch_page("views/cost.py").run()
    pressed(app, "Add 10 lines for what has no price")
    prices(app, ("sunflower oil", "price", "8,50"), ("sunflower oil", "pack", "500 g"))
    pressed(app, "Write these prices into the formula")
    held = {x.name: x.price.text for x in app.session_state["draft"].formula.lines}
    assert (held["sunflower oil"], held["polysorbate 60"], held["water"]) == ("17", "11", "")


def test_what_cannot_be_counted_is_said_and_stays_typed(app: AppTest) -> None:
    app.switch_page("views/cost.py").run()
    typed(app, "One jar holds", "a cup")
    assert not app.exception
    assert "jar: 'a cup' is not a number" in everything(app)
    typed(app, "One jar holds", "100 g")
    assert "5 jars" in everything(app)


def test_the_label_shows_the_draft_of_each_market(app: AppTest) -> None:
    app.switch_page("views/label.py").run()
    for market in ("us", "eu"):
        app.radio[0].set_value(market).run()
        assert not app.exception
        draft = hlb.declare(EXAMPLE, market)
        assert app.code[0].value == draft.ingredients
        assert draft.status in everything(app)


def test_what_is_filled_in_is_kept_with_the_formula(app: AppTest) -> None:
    app.switch_page("views/label.py").run()
    typed(app, "Batch number (where asked)", "B <7>")  # the example is not kept yet
    line(app, "shea butter", "5.0")
    typed(app, "One package holds [g or ml]", "50")
    pressed(app, "Write Net Wt 1.76 oz (50 g)")
    again = opened()
    again.switch_page("views/label.py").run()
    held = {w.label: w.value for w in again.text_input}
    assert held["Net contents"] == "Net Wt 1.76 oz (50 g)"
    assert held["Batch number (where asked)"] == "B <7>"


def test_a_half_written_formula_has_no_list_but_a_sentence(app: AppTest) -> None:
    line(app, "water", "60")
    app.switch_page("views/label.py").run()
    assert not app.exception
    assert "the formula adds to 89.85 %" in everything(app)
    assert not app.code


@pytest.mark.parametrize(("market", "word"), [("us", "MoCRA"), ("eu", "CPNP"), ("uk", "SCPN")])
def test_each_market_has_its_page_before_a_sale(app: AppTest, market: str, word: str) -> None:
    app.switch_page("views/selling.py").run()
    app.radio[0].set_value(market).run()
    assert not app.exception
    assert word in everything(app)
    assert "What this tool cannot know" in [s.value for s in app.subheader]
