from __future__ import annotations

import csv
import json
import math
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from hlbcore import InvalidInput, Line, Scale, Store, batch_sheet, check, example_formula, work_out
from hlbcore.batch.entries import ENTRY_KINDS
from hlbcore.batch.numbering import best_before, next_number
from hlbcore.batch.record import STANDARD, BatchRecord
from hlbcore.batch.record_file import record_from_json, record_json
from hlbcore.batch.record_made import LOG_COLUMNS, RECORD_COLUMNS, heat_limits, record_log, record_table
from hlbcore.batch.record_page import record_csv, record_page
from hlbcore.batch.record_start import start_record
from hlbcore.kept.kinds import RECORD

SAVED = Path(__file__).parents[1] / "saved"


def started(name: str = "winter_hand_cream", size: float = 500, **options: object) -> BatchRecord:
    sheet = batch_sheet(example_formula(name), size, scales=[Scale(0.1, 2000)], **options)
    return start_record(sheet, number="20260301-1", made_on=date(2026, 3, 1), who="Ana")


def weighed(record: BatchRecord, **other: str) -> BatchRecord:
    for n, row in enumerate(record.rows):
        record = record.enter("weighed", other.get(f"row{n}", row.text), where=str(n))
        record = record.enter("lot", f"L{n}", where=str(n))
    return record


def closed(**other: str) -> BatchRecord:
    return weighed(started(), **other).close(who="Ana")


def pcts(record: BatchRecord) -> dict[str, float]:
    formula = record.as_weighed
    return {x.name: p for x, p in zip(formula.lines, formula.pcts, strict=True)}


def test_planned_and_weighed_stand_side_by_side() -> None:
    table = record_table(started().enter("weighed", "351,0 g", where="0"))
    assert list(table.columns) == list(RECORD_COLUMNS)
    row = table.iloc[0]
    assert (row.planned_g, row.weighed_g, row.difference_g) == (350.8, 351.0, 0.2)
    assert table.weighed_g.isna().sum() == len(table) - 1


def test_the_formula_as_weighed_is_what_was_weighed() -> None:
    record = weighed(started(), row2="2.4", row10="2.5")
    total = 500 + 1.2 - 2.0
    assert record.total_g == pytest.approx(total)
    made = pcts(record)
    assert made["xanthan gum"] == pytest.approx(100 * 2.4 / total)
    assert made["phenoxyethanol with ethylhexylglycerin"] == pytest.approx(100 * 2.5 / total)
    assert record.as_weighed.total_pct == pytest.approx(100)


def test_what_was_weighed_is_worked_out_like_any_formula() -> None:
    record = weighed(started(), row8="20.0")
    worked = work_out(record.as_weighed)
    assert worked.blend is not None
    assert worked.blend.value < work_out(record.formula).blend.value
    assert any("preserv" in f.title.casefold() or "phenoxy" in f.title for f in check(worked))


def test_the_record_of_a_plan_weighed_as_planned_is_that_of_the_sheet() -> None:
    sheet = batch_sheet(example_formula(), 100, scales=[0.1], use_premixes=True)
    record = weighed(start_record(sheet, number="1"))
    assert record.as_weighed.pcts == pytest.approx(sheet.as_weighed.pcts)


def test_a_premix_brings_both_of_its_parts() -> None:
    record = started(size=100, use_premixes=True)
    at = next(n for n, r in enumerate(record.rows) if r.name.startswith("slurry"))
    more = record.enter("weighed", "8.4", where=str(at))
    assert pcts(more)["xanthan gum"] > 1.8 * pcts(record)["xanthan gum"]
    assert pcts(more)["glycerin"] > 1.8 * pcts(record)["glycerin"]


def test_portions_keep_theirs_on_top_of_their_part() -> None:
    record = weighed(started("three_scent_lotion", 600))
    at = [r.name for r in record.rows].index("lavender oil")
    more = record.enter("weighed", "2.4", where=str(at))
    assert pcts(more)["lavender oil"] == pytest.approx(1.0)
    assert more.as_weighed.total_pct == pytest.approx(100)


def test_water_that_was_lost_and_not_made_up_raises_the_rest() -> None:
    record = weighed(started()).enter("vessel before", "812").enter("vessel after", "798")
    assert record.lost_g == 14
    assert pcts(record)["phenoxyethanol with ethylhexylglycerin"] == pytest.approx(100 * 4.5 / 486)
    assert record.enter("water added", "14").lost_g == 0
    with pytest.raises(InvalidInput, match="more water than there was"):
        _ = record.enter("vessel after", "100").as_weighed


def test_what_was_added_beside_the_plan_counts() -> None:
    record = weighed(started()).enter("added", "1 g", where="lactic acid").enter("added", "2", where="Water")
    assert pcts(record)["lactic acid"] == pytest.approx(100 / 503)
    assert pcts(record)["water"] == pytest.approx(100 * 352.8 / 503)


def test_an_earlier_batch_counts_by_its_parts_and_keeps_its_heat_limit() -> None:
    old = started("three_scent_lotion", 600)
    record = weighed(started()).with_rework("20260201-1", "50 g", old.as_weighed, who="Ana", why="too thin")
    made = pcts(record)
    assert made["jojoba oil"] == pytest.approx(100 * 50 * 0.03 / 550)
    assert made["sunflower oil"] == pytest.approx(100 * (45 + 50 * 0.07) / 550, rel=1e-4)
    assert heat_limits(record) == (
        "Batch 20260201-1 holds phenoxyethanol with ethylhexylglycerin, tocopherol, lavender oil, sweet "
        "orange oil, rosemary oil: warm it not above 40 °C.",
    )
    none = replace(old.as_weighed, lines=(Line("menthol", 0, phase="cool-down"), *old.as_weighed.lines))
    again = weighed(started()).with_rework("20260201-1", "50 g", none, who="Ana", why="too thin")
    assert heat_limits(again) == heat_limits(record)
    with pytest.raises(InvalidInput, match="reason is missing"):
        record.with_rework("x", "5", old.as_weighed, why=" ")
    with pytest.raises(InvalidInput, match="formula is missing"):
        record.enter("rework", "5", where="x")


def test_the_first_entry_stays_readable() -> None:
    record = started().enter("weighed", "351", where="0").enter("weighed", "352", where="0", who="Ben")
    assert [e.text for e in record.all_of("weighed", "0")] == ["351", "352"]
    log = record_log(record)
    assert tuple(log.columns) == LOG_COLUMNS
    assert log.iloc[1][["who", "before", "entry", "correction"]].tolist() == ["Ben", "351", "352", False]


def test_entering_the_same_again_changes_nothing() -> None:
    record = started().enter("weighed", "351", where="0")
    assert record.enter("weighed", "351", where="0") is record
    twice = record.enter("cycle", "5 min").enter("cycle", "5 min")
    assert len(twice.all_of("cycle")) == 2


# --- closing


def test_a_closed_record_is_not_altered() -> None:
    record = closed()
    for alter in (
        lambda: record.enter("weighed", "1", where="0"),
        lambda: record.enter("weighed", "1", where="0", who="Ben"),
        lambda: record.headed(number="2"),
        lambda: record.close(who="Ana"),
        lambda: record.with_rework("x", "5", record.formula, why="why"),
    ):
        with pytest.raises(InvalidInput, match="closed"):
            alter()


def test_a_correction_is_added_with_who_why_and_the_first_entry() -> None:
    record = closed().enter(
        "weighed", "5.4", where="10", who="Ben", why="read wrongly", at="2026-03-02T09:00"
    )
    [correction] = record.corrections
    assert (correction.text, correction.who, correction.why) == ("5.4", "Ben", "read wrongly")
    last = record_log(record).iloc[-1]
    assert (last.before, last.entry, last.correction) == ("4.5", "5.4", True)
    assert pcts(record)["phenoxyethanol with ethylhexylglycerin"] == pytest.approx(100 * 5.4 / 500.9)


def test_what_is_seen_in_store_is_entered_after_closing() -> None:
    record = closed().enter("stability", "no change", where="room|2026-03-08")
    assert record.corrections == ()
    assert record.value("stability", "room|2026-03-08") == "no change"


def test_open_points_need_a_reason() -> None:
    record = started().enter("weighed", "350", where="0")
    with pytest.raises(InvalidInput, match="Not weighed: glycerin, xanthan gum, sunflower oil and 8 more"):
        record.close(who="Ana")
    assert record.close(who="Ana", why="stopped: scale broke").closed is not None


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda r: r.close(who=" "), "nobody closes it"),
        (lambda r: r.headed(number="").close(who="Ana", why="x"), "batch number is missing"),
        (lambda r: r.close(who="Ana", why="x"), "nothing is weighed"),
        (lambda r: r.enter("closed", "", who=" "), "nobody closes it"),
        (
            lambda r: weighed(r).enter("vessel before", "190").enter("vessel after", "200").close(who="Ana"),
            "The vessel is heavier after heating than before",
        ),
        (lambda r: r.enter("weighed", "a lot", where="0"), "not a number"),
        (lambda r: r.enter("weighed", "-1", where="0"), "negative"),
        (lambda r: r.enter("weighed", "5 %", where="0"), "no mass"),
        (lambda r: r.enter("weighed", "1e300", where="0"), "out of range"),
        (lambda r: r.enter("weighed", "5", where="12"), "no weighing '12'.*0 to 11"),
        (lambda r: r.enter("weighed", "5", where="x"), "no weighing"),
        (lambda r: r.enter("ph", "15"), "out of range"),
        (lambda r: r.enter("temperature", "900", where="x"), "out of range"),
        (lambda r: r.enter("magic", "5"), "is no entry"),
        (lambda r: r.enter("note", "x" * 3000), "3,000 characters"),
        (lambda r: r.headed(made_on="yesterday"), "is no day"),
    ],
)
def test_an_entry_that_cannot_be_is_told_in_a_sentence(change, message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        change(started())


def test_numbers_and_days() -> None:
    assert next_number(["20260301-1", "20260301-3"], date(2026, 3, 1)) == "20260301-2"
    assert best_before("2024-08-29", 18).isoformat() == "2026-02-28"
    assert best_before(date(2026, 12, 15), 12).isoformat() == "2027-12-15"
    for months in (0, 121, 1.5, True):
        with pytest.raises(InvalidInput, match="cannot be"):
            best_before("2026-03-01", months)


def test_the_record_claims_no_conformity() -> None:
    assert "no claim of conformity" in STANDARD


# --- on file


def test_a_record_comes_back_as_it_was() -> None:
    old = started("three_scent_lotion", 600)
    record = weighed(started()).with_rework("20260201-1", "50", old.as_weighed, why="thin").close(who="Ana")
    record = record.enter("note", "<b> = \ud800", who="Ben", why="late")
    assert record_from_json(record_json(record)) == record


@pytest.mark.parametrize(
    ("change", "message"),
    [
        (lambda d: d["entries"][0].update(text="400"), "altered after it was closed"),
        (lambda d: d["entries"].pop(3), "altered after it was closed"),
        (lambda d: d["rows"][0].update(grams=1.0), "altered after it was closed"),
        (lambda d: d.update(number="other"), "altered after it was closed"),
        (lambda d: d.update(version=2), "newer version"),
        (lambda d: d.update(extra=1), "cannot be read"),
        (lambda d: d.update(schema="x"), "another kind of file"),
        (lambda d: d["rows"][0].update(brings=[[99, 1.0]]), "no line"),
        (lambda d: d["rows"][0].update(grams=0), "too small"),
        (lambda d: d["rows"][0].update(grams=1e999), "not a finite number"),
        (lambda d: d["rows"][0].update(brings=[[0, 7.0]]), "an odd share"),
        (lambda d: d.update(size_g=math.nan), "size: nan is not a finite number"),
        (lambda d: d.update(loss_pct=-5), "loss in the process"),
        (lambda d: d.update(who="\ud800"), "half a sign"),
        (lambda d: d["entries"][0].update(where="²"), "no weighing"),
        (lambda d: d["reworks"].append({"lot": "A", "mass_g": -1, "formula": "{}"}), "is negative"),
        (lambda d: d["reworks"].append({"lot": "A", "mass_g": 5, "formula": "["}), "formula"),
        (lambda d: d.update(water_line=99), "line of water"),
        (lambda d: d["entries"][0].update(where="99"), "no weighing"),
        (lambda d: d["entries"][0].update(kind="magic"), "no entry"),
    ],
)
def test_an_altered_file_is_told(change, message: str) -> None:
    raw = json.loads(record_json(closed()))
    change(raw)
    with pytest.raises(InvalidInput, match=message):
        record_from_json(json.dumps(raw))


def test_a_record_is_kept_and_found_by_number_and_lot(tmp_path: Path) -> None:
    with Store(tmp_path / "w.db") as store:
        first = store.save(started())
        second = store.save(first.body.enter("lot", "A-77", where="0"), on=first)
        assert second.what == "water, lot A-77"
        assert store.listed(RECORD)[["name", "product"]].values.tolist() == [
            ["Winter hand cream", "batch 20260301-1, 2026-03-01, open"]
        ]
        assert [len(store.listed(RECORD, w)) for w in ("a-77", "20260301", "beeswax", "tallow")] == [
            1,
            1,
            1,
            0,
        ]
        last = store.save(weighed(second.body).close(who="Ana"), on=second)
        assert "closed" in store.listed(RECORD)["product"][0]
        assert store.open(last.work, kind=RECORD).body == last.body


def test_a_record_of_the_first_release_is_read_for_ever() -> None:
    record = record_from_json((SAVED / "record_v1.json").read_text("utf-8"))
    assert record.closed is not None
    assert record.corrections[0].why == "read wrongly"
    assert record.as_weighed.total_pct == pytest.approx(100)
    assert set(ENTRY_KINDS) >= {e.kind for e in record.entries}


def test_an_open_record_takes_another_head() -> None:
    assert replace(started(), number="9") == started().headed(number="9")


# printed


def test_the_page_shows_what_was_entered_and_every_correction() -> None:
    record = weighed(started(), row0="351.8").enter("ph", "5.5").enter("temperature", "75", where="oil phase")
    record = record.close(who="Ana").enter("weighed", "350", where="0", who="Ben", why="read wrongly")
    page = record_page(record)
    for text in ("closed by Ana", "Ben", "351.8", "read wrongly", "5.5", "75 °C", "oil phase"):
        assert text in page, text
    assert "open" not in re.findall(r"<td[^>]*>([^<]*)", page)


def test_the_csv_has_a_row_a_weighing_with_its_difference() -> None:
    rows = list(csv.DictReader(record_csv(weighed(started(), row0="351.8")).decode("utf-8-sig").splitlines()))
    assert len(rows) == 12
    assert rows[0]["batch"] == "20260301-1"
    assert (rows[0]["weighed [g]"], rows[0]["difference [g]"]) == ("351.8", "1.0")
