"""The page of the shelf: ticked, remembered, solved as the core does, carried into the formula."""

from __future__ import annotations

from pathlib import Path

import pytest
from opened_app import (
    app_modules,
    everything,
    field,
    figures,
    formula,
    opened,
    pressed,
    said,
    typed,
    unfolded,
)
from streamlit.testing.v1 import AppTest

import hlbcore as hlb
from hlbcore.kept.kinds import STOCK
from hlbcore.shelf.packs import StockItem
from hlbcore.shelf.sheet import ShelfSheet, work_out_shelf
from hlbcore.shelf.stock import Stock
from hlbcore.shelf.words import listed

SIX = ["sorbitan oleate", "polysorbate 80", "sorbitan stearate", "polysorbate 60", "glyceryl stearate"]
EXAMPLE = hlb.example_formula()


@pytest.fixture
def app() -> AppTest:
    return opened().switch_page("views/shelf.py").run()


def tick(app: AppTest, *names: str) -> AppTest:
    field(app, "Emulsifiers that I have").set_value(list(names)).run()
    assert not app.exception
    return app


def stock_of(app: AppTest) -> Stock:
    return app.session_state["shelf"].stock


def test_what_is_ticked_is_remembered(app: AppTest, own_file: Path) -> None:
    tick(app, *SIX)
    app.run()
    with hlb.Store(own_file) as store:
        kept = store.open(store.listed(STOCK)["uid"][0]).body
    assert [x.name for x in kept.items] == [x.name for x in stock_of(app).items]
    again = opened().switch_page("views/shelf.py").run()
    assert set(field(again, "Emulsifiers that I have").value) == set(SIX)


def test_the_systems_are_those_of_the_core(app: AppTest) -> None:
    tick(app, *SIX)
    made = work_out_shelf(hlb.work_out(EXAMPLE), stock_of(app), ShelfSheet())
    rows = listed(made.screening, every=False)
    assert len(rows) > 2
    for row in rows:
        assert said(row["system"]) in figures(app)
    assert f"{made.screening.possible} systems meet HLB" in everything(app)


def test_one_press_carries_a_system_into_the_formula(app: AppTest) -> None:
    tick(app, "sorbitan oleate", "polysorbate 80")
    pressed(app, "Put this system into the formula")
    assert not app.exception
    held = {x.name: x.pct for x in formula(app).lines}
    assert held["polysorbate 80"] > 0
    assert "polysorbate 60" not in held
    assert hlb.work_out(formula(app)).verdict.word == "inside"
    assert formula(app).total_pct == pytest.approx(100)


def test_wrong_figures_are_told_beside_them_and_stay(app: AppTest) -> None:
    tick(app, *SIX)
    typed(app, "HLB asked", "ninety")
    assert not app.exception
    assert field(app, "HLB asked").value == "ninety"
    assert "HLB asked" in everything(app)
    typed(app, "HLB asked", "19")
    assert "No system of your shelf meets HLB 19.0" in everything(app)


def test_packs_are_typed_in_the_list_and_what_cannot_be_read_stays(app: AppTest) -> None:
    tick(app, "polysorbate 80")
    app_modules()
    import sys

    folder = str(Path(hlb.__file__).parents[1] / "app")
    sys.path.insert(0, folder)
    try:
        import shelf_list
    finally:
        sys.path.remove(folder)
    now = app.session_state["shelf"]
    edits = [
        shelf_list.Typed(now.ids[0], "amount", "minus two"),
        shelf_list.Added("new", "shea butter", "", "shea butter", True),
        shelf_list.Typed("new", "amount", "1,5 kg"),
        shelf_list.Removed("gone"),
    ]
    shelf_list.take(now, shelf_list.Edits(len(edits), tuple(edits)))
    app.run()
    assert not app.exception
    assert [x.amount.text for x in stock_of(app).items] == ["minus two", "1,5 kg"]
    shown = shelf_list.shown(now, hlb.load_library())
    assert shown.rows[0].problems[0].text.startswith("'polysorbate 80', amount")
    assert stock_of(app).items[1].amount.value == 1500


def test_a_batch_takes_from_the_shelf(app: AppTest, own_file: Path) -> None:
    with hlb.Store(own_file) as store:
        for uid in store.listed(STOCK)["uid"]:
            store.put_away(uid)
        store.save(Stock((StockItem("shea butter", "100 g", "SB1"), StockItem("polysorbate 60", "50"))))
    app.run()
    assert "9 of 11 run short" in everything(app)
    pressed(app, "Take this batch from the shelf")
    assert not app.exception
    assert [x.amount.value for x in stock_of(app).items] == [75.0, 42.35]


def test_the_formula_page_takes_from_the_shelf_first(app: AppTest) -> None:
    tick(app, "laureth-4")
    draft = app.session_state["draft"]
    oils = [x for x in EXAMPLE.lines if x.name not in ("sorbitan stearate", "polysorbate 60")]
    draft.put(hlb.Formula("Bare", "o/w cream", oils))
    app.switch_page("views/formula.py").run()
    assert not app.exception
    told = "One emulsifier more opens HLB 8.2: glyceryl laurate, with laureth-4 from your shelf."
    assert told in everything(app)


def test_several_families_go_into_a_ladder(app: AppTest) -> None:
    tick(app, *SIX)
    press = next(b for b in app.button if b.label.startswith("Plan a family ladder"))
    press.click().run()
    app.switch_page("views/ladder.py").run()
    assert not app.exception
    assert "glyceryl stearate" in figures(app)


# --- over all kept formulas


def test_one_swap_over_all_kept_formulas_is_accepted_at_once(own_file: Path) -> None:
    with hlb.Store(own_file) as store:
        kept = store.save(hlb.Formula("Night cream", "o/w cream", EXAMPLE.lines))
        store.save(hlb.Formula("Plain", "o/w cream", [hlb.Line("mineral oil", 20, phase="oil")]))
    app = unfolded(opened().switch_page("views/swap.py").run(), "all kept")
    field(app, "Which of mine hold").set_value("shea butter").run()
    assert "1 of 2 kept formulas hold shea butter." in everything(app)
    field(app, "Swap it in all of them for").set_value(["mango butter"]).run()
    assert not app.exception
    assert "Night cream still inside" in figures(app)
    pressed(app, "Accept in 1 formula, each as a new version")
    assert not app.exception
    with hlb.Store(own_file) as store:
        newest = store.open(kept.work)
    assert "mango butter" in {x.name for x in newest.body.lines}
    assert "shea butter swapped for mango butter" in newest.why
