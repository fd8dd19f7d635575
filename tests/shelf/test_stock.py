"""The shelf as typed: what is at hand, what runs short, what a batch takes, what is past its date."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from hlbcore import InvalidInput, Store, load_library
from hlbcore.kept.kinds import STOCK
from hlbcore.shelf.packs import StockItem, read_day
from hlbcore.shelf.stock import SHORT_COLUMNS, Stock, changed_words

LIB = load_library()
SHELF = Stock(
    (
        StockItem("Polysorbate 80", "250 g", "L1", "14", "2026-03-01", "2027-03"),
        StockItem("polysorbate 80", "100", "L2", "16", "2026-05-01", "2026-12"),
        StockItem("sorbitan oleate", lot="S7"),
        StockItem("shea butter", "1 kg"),
        StockItem("sorbitan stearate", "0"),
    )
)
NEEDS = {"polysorbate 80": 400, "shea butter": 200, "beeswax": 5, "sorbitan oleate": 3}
SAVED = Path(__file__).parents[1] / "saved" / "stock_v1.json"


def test_emulsifiers_at_hand_are_those_of_which_some_is_left() -> None:
    assert SHELF.emulsifiers(LIB) == ("polysorbate 80", "sorbitan oleate")


def test_price_is_that_of_the_pack_opened_last() -> None:
    assert SHELF.prices(LIB) == {"polysorbate 80": 16.0}


def test_what_runs_short_is_said_by_name_and_first() -> None:
    table = SHELF.short_for(
        {"polysorbate 80": 400, "shea butter": 200, "beeswax": 5, "sorbitan oleate": 3}, LIB
    )
    assert list(table.columns) == list(SHORT_COLUMNS)
    rows = table.set_index("ingredient")
    assert rows.loc["polysorbate 80", ["held_g", "short_g", "remark"]].tolist() == [350.0, 50.0, "too little"]
    assert rows["remark"]["beeswax"] == "none"
    assert rows["remark"]["sorbitan oleate"] == "no amount entered"
    assert rows["short_g"]["shea butter"] == 0
    assert table["ingredient"].iloc[-1] == "shea butter"


def test_a_batch_takes_the_pack_that_is_soonest_due_first() -> None:
    taken = SHELF.take({"polysorbate 80": 120}, LIB)
    assert [x.amount.value for x in taken.stock.items[:2]] == [230.0, 0.0]
    assert taken.lots == (("polysorbate 80", "L2", 100.0), ("polysorbate 80", "L1", 20.0))
    assert taken.missing == ()
    assert SHELF.items[0].amount.value == 250.0


def test_what_cannot_be_taken_is_told_and_nothing_goes_below_zero() -> None:
    taken = SHELF.take({"polysorbate 80": 400, "sorbitan oleate": 5, "beeswax": 2}, LIB)
    assert [x.amount.value for x in taken.stock.items[:3]] == [0.0, 0.0, None]
    assert taken.missing == (
        "polysorbate 80: 50 g more than the shelf holds",
        "sorbitan oleate: 5 g taken from a pack whose amount is not entered",
        "beeswax: 2 g more than the shelf holds",
    )


def test_dates_that_are_past_or_near_are_found_the_longest_past_first() -> None:
    found = SHELF.findings(date(2027, 3, 15))
    assert [(f.level, f.figure) for f in found] == [("caution", "2026-12-31"), ("note", "2027-03-31")]
    assert SHELF.findings(date(2026, 6, 1)) == ()


def test_ticking_keeps_what_stood_there() -> None:
    ticked = SHELF.ticked(["Polysorbate 80", "polysorbate 60"], ["polysorbate 80", "sorbitan oleate"], LIB)
    names = [x.name for x in ticked.items]
    assert names == ["Polysorbate 80", "polysorbate 80", "shea butter", "sorbitan stearate", "polysorbate 60"]
    assert ticked.items[0] == SHELF.items[0]


@pytest.mark.parametrize("text", ["31.03.2027", "2027-13", "soon", "03/04/2027", "2027-02-30", "0000-01"])
def test_a_day_that_can_be_read_two_ways_or_none_is_told(text: str) -> None:
    with pytest.raises(InvalidInput, match="Write year, month, day"):
        read_day(text, "x")
    item = StockItem("x").put("best_before", text)
    assert item.best_before.text == text
    assert "is no date" in item.problems[0]


def test_every_text_comes_back_as_typed() -> None:
    odd = Stock((StockItem("<b>oil</b>", "-3", "l\n2", "x", "y", "z", "é"), *SHELF.items))
    assert Stock.from_json(odd.to_json()) == odd
    assert len(odd.items[0].problems) == 4


def test_the_first_form_of_a_shelf_on_file_is_read() -> None:
    assert Stock.from_json(SAVED.read_text("utf-8")) == SHELF


@pytest.mark.parametrize(
    "text", ["", "{}", "[]", '{"schema":"hlbcore shelf","version":2}', '{"schema":"x","version":1}']
)
def test_any_other_text_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match="The shelf"):
        Stock.from_json(text)


def test_it_is_kept_with_its_changes_in_words() -> None:
    with Store(in_memory=True) as store:
        first = store.save(Stock())
        second = store.save(SHELF.ticked(["polysorbate 80"], ["polysorbate 80"], LIB), on=first)
        assert "polysorbate 80" in second.what.casefold()
        assert store.open(first.work, kind=STOCK).body == second.body
    assert changed_words(SHELF, Stock(SHELF.items[1:3])).endswith("off the shelf")


@pytest.mark.parametrize(
    ("items", "said"),
    [
        (SHELF.items[1:], "Polysorbate 80 changed"),  # one of two packs of it
        ((*SHELF.items, SHELF.items[3]), "shea butter changed"),
        (SHELF.items[::-1], "order changed"),
        (SHELF.items[:3], "shea butter, sorbitan stearate off the shelf"),
    ],
)
def test_a_pack_more_or_less_is_told_by_its_name(items: tuple[StockItem, ...], said: str) -> None:
    assert changed_words(SHELF, Stock(items)) == said


def test_what_is_left_of_a_pack_is_a_mass() -> None:
    assert "'20 %' is no mass. Weigh what is left" in StockItem("shea butter", "20 %").problems[0]
