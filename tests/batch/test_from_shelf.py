"""What a batch record takes from the shelf."""

from __future__ import annotations

from datetime import date

import pytest

from hlbcore import Scale, batch_sheet, example_formula, load_library
from hlbcore.batch.from_shelf import lots_of, needs_of, take_from_shelf, was_taken
from hlbcore.batch.record import BatchRecord
from hlbcore.batch.record_start import start_record
from hlbcore.shelf.packs import StockItem
from hlbcore.shelf.stock import Stock

LIB = load_library()
SHELF = Stock(
    (
        StockItem("shea butter", 20, "OLD", best_before="2026-06"),
        StockItem("shea butter", 500, "NEW", best_before="2027-06"),
        StockItem("polysorbate 60", 5),
    )
)


@pytest.fixture
def record() -> BatchRecord:
    sheet = batch_sheet(example_formula(), 500, scales=[Scale(0.1, 2000)])
    return start_record(sheet, number="1", made_on=date(2026, 3, 1), who="Ana")


def row_of(record: BatchRecord, name: str) -> str:
    return next(str(n) for n, r in enumerate(record.rows) if r.name == name)


def test_it_takes_what_was_weighed_and_no_water(record: BatchRecord) -> None:
    record = record.enter("weighed", "26.0 g", where=row_of(record, "shea butter"))
    needs = needs_of(record, LIB)
    assert needs["shea butter"] == 26.0
    assert needs["cocoa butter"] == 15.0
    assert "water" not in needs


def test_the_lot_that_the_record_names_goes_first(record: BatchRecord) -> None:
    taken, note = take_from_shelf(record, SHELF, LIB)
    assert [x.amount.value for x in taken.stock.items] == [0.0, 495.0, 0.0]
    assert "20 g shea butter of lot OLD" in note
    named = record.enter("lot", "new", where=row_of(record, "shea butter"))
    assert lots_of(named) == {"shea butter": "new"}
    taken, note = take_from_shelf(named, SHELF, LIB)
    assert [x.amount.value for x in taken.stock.items] == [20.0, 475.0, 0.0]


def test_it_is_taken_once_and_the_record_says_so(record: BatchRecord) -> None:
    taken, note = take_from_shelf(record, SHELF, LIB)
    assert any(said.startswith("polysorbate 60") for said in taken.missing)
    assert not was_taken(record)
    assert was_taken(record.enter("note", note))
