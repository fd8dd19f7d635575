"""Water lost, titration, stability log, scale-up."""

from __future__ import annotations

from datetime import date

import pytest
from icalendar import Calendar

from hlbcore import Formula, InvalidInput, Line, Scale, batch_sheet, example_formula, work_out
from hlbcore.batch.record import BatchRecord
from hlbcore.batch.record_start import start_record
from hlbcore.batch.scale_up import scale_up_words
from hlbcore.batch.stability import (
    STABILITY_COLUMNS,
    STANDARD,
    plan_of,
    plan_text,
    read_days,
    stability_calendar,
    stability_plan,
    stability_table,
)
from hlbcore.batch.titration import preservative_window, read_titration, titration_line
from hlbcore.batch.water import water_lost, without_water


def test_what_heating_drove_off_is_made_up() -> None:
    made = water_lost("812 g", "798")
    assert (made.lost_g, made.words) == (14.0, "Add 14 g of hot water, as hot as the phase.")
    assert water_lost(812, 812).words == "Nothing was lost."


def test_lost_water_raises_every_other_share() -> None:
    # 60 + 30 + 8 + 0.9 + 1.1 = 100 g; 8 g gone leave 92 g
    names = {"water": 60, "almond oil": 30, "cetearyl alcohol": 8, "phenoxyethanol": 0.9, "glycerin": 1.1}
    f = Formula("x", "o/w cream", [Line(n, p, phase="water") for n, p in names.items()])
    pcts = without_water(f, 100, 8).pcts
    assert pcts == pytest.approx((56.521739, 32.608696, 8.695652, 0.978261, 1.195652), abs=1e-6)


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: water_lost(798, 812), "more than the 798 g before"),
        (lambda: water_lost("", 812), "blank"),
        (lambda: without_water(example_formula(), 500, 400), "cannot be lost"),
        (lambda: without_water(example_formula(), 500, -1), "cannot be lost"),
        (lambda: titration_line([(0, 6)]), "one point"),
        (lambda: titration_line([(0, 6), (0, 5)]), "point 2 adds no more"),
        (lambda: titration_line([(0, 6), (1, 5), (2, 5.5)]), "up and down"),
        (lambda: titration_line([(0, 6), (1, 15)]), "point 2, pH"),
        (lambda: titration_line([(0, 6), (1, 5)]).for_ph(4.5), "outside what was measured \\(5 to 6\\)"),
        (lambda: titration_line([(0, 6), (1, 5)], sample=0), "sample"),
        (lambda: stability_plan("soon"), "is no day"),
        (lambda: stability_plan("2026-03-01", [" "]), "no place"),
        (lambda: stability_plan("2026-03-01", ["room"], [-1]), "negative"),
        (lambda: stability_plan("2026-03-01", ["room"], [0.5]), "0.5 is no whole day"),
        (lambda: read_days("0, seven"), "not a number"),
        (lambda: scale_up_words(0, 5), "batch that was made"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(made, message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        made()


def test_a_measured_line_is_scaled_to_the_batch_and_never_run_past() -> None:
    line = titration_line([("0", "6,4"), ("0.2", "5.6"), ("0.4", "5.1")], sample="200 g", adds="citric acid")
    assert line.for_ph(6.0) == pytest.approx(0.05)
    assert line.for_ph(6.4) == 0
    assert "0.25 g of citric acid for 500 g" in line.words(6.0, "500 g")
    assert line.words(6.4, 500) == "It has pH 6.4 already."


def test_a_typed_titration_line_is_read() -> None:
    line = read_titration("100 g, citric acid 50 %\n0 g 6,5\n0.3g pH 5.5\n")
    assert (line.adds, line.points) == ("citric acid 50 %", ((0, 6.5), (0.3, 5.5)))
    for text, message in (("", "blank"), ("100 g; 0 6 5", "point 1"), ("some; 0 6; 1 5", "sample")):
        with pytest.raises(InvalidInput, match=message):
            read_titration(text)


def test_the_window_of_the_preservatives_is_what_all_of_them_share() -> None:
    lines = [Line("water", 98.5, phase="water"), Line("sodium benzoate", 0.5, phase="water")]
    f = Formula("x", "o/w cream", [*lines, Line("phenoxyethanol", 1, phase="cool-down")])
    found = preservative_window(work_out(f))
    assert found is not None
    assert found[1] <= 5.5
    assert "sodium benzoate" in found[2]
    assert preservative_window(work_out(Formula("x", "o/w cream", lines[:1]))) is None


# --- stability


@pytest.fixture
def record() -> BatchRecord:
    sheet = batch_sheet(example_formula(), 500, scales=[Scale(0.1)])
    return start_record(sheet, number="7", made_on=date(2026, 3, 1), who="Ana")


def test_a_plan_is_dated_from_the_day_of_making() -> None:
    plan = stability_plan(date(2026, 3, 1), ["room", "cold", "warm"])
    assert len(plan) == 21
    assert [(x.place, x.due.isoformat()) for x in plan[3:6]] == [
        ("room", "2026-03-04"),
        ("cold", "2026-03-04"),
        ("warm", "2026-03-04"),
    ]
    assert stability_plan("2026-03-01", ["my attic"], [400])[0].due == date(2027, 4, 5)


def test_a_record_keeps_its_plan_and_what_was_seen(record: BatchRecord) -> None:
    assert plan_of(record) == ()
    record = record.enter("stability plan", plan_text(["room", "freeze and thaw"], "0, 7"))
    plan = plan_of(record)
    record = record.enter("stability", "thin", where=plan[0].where, who="Ben", at="2026-03-02T08:00")
    table = stability_table(record, plan)
    assert tuple(table.columns) == STABILITY_COLUMNS
    assert table.iloc[0].tolist() == ["room", 0, "2026-03-01", "thin", "Ben", "2026-03-02"]
    assert table.seen.tolist()[1:] == ["", "", ""]


def test_the_looks_are_a_calendar(record: BatchRecord) -> None:
    file = stability_calendar(record, stability_plan(record.made_on, ["centrifuge"]))
    events = Calendar.from_ical(file).walk("VEVENT")
    assert [e.decoded("dtstart") for e in events] == [date(2026, 3, 2), date(2026, 3, 31)]
    assert "3000 rpm" in str(events[0]["description"])


def test_the_plan_claims_no_shelf_life() -> None:
    assert "no shelf life follows" in STANDARD


def test_a_larger_batch_is_told_what_changes() -> None:
    words = scale_up_words("200 g", "5 kg")
    assert "1/2.9 of the surface" in words[0]
    assert scale_up_words(500, 600) == ()
