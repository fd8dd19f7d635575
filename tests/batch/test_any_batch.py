"""What holds for every batch: generated formulas, sizes and scales."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from any_formula import LIBRARY, formulas
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import Formula, HlbError, Scale, batch_sheet, work_out
from hlbcore.batch.record_start import start_record

SCALES = [Scale(0.01, 300), Scale(0.1, 3000), Scale(1, 20_000)]
sizes = st.integers(20, 10_000).map(float)


@settings(max_examples=60)
@given(formulas(), sizes, st.booleans(), st.integers(1, 3))
def test_every_batch_adds_up_or_is_refused(formula: Formula, size: float, premixes: bool, count: int) -> None:
    readable = [x for x in formula.lines if x.amount.value is not None]
    try:
        whole = replace(formula, lines=readable, aims=replace(formula.aims, goal="as typed")).rescaled()
        worked = work_out(whole, LIBRARY)
        sheet = batch_sheet(worked, size, scales=SCALES[-count:], use_premixes=premixes)
    except HlbError:
        return
    table = sheet.table
    assert math.fsum(table.grams) == pytest.approx(sheet.total_g, abs=1e-9)
    largest = max((r for r in sheet.weighings if not r.portion), key=lambda r: r.grams)
    assert abs(sheet.base_g - size) <= largest.scale.readability_g / 2 + 1e-6
    assert (table.grams > 0).all()
    assert all(r.grams <= r.scale.room_g + r.scale.readability_g for r in sheet.weighings)
    # nothing is lost on the way into the pot
    held = {r.line for r in sheet.rows}
    bought = {x.number for x in worked.bought if x.pct > 0 and x.number in worked.made.counted_lines}
    parts = {p.name for p in worked.made.portion_list if p.share_pct > 0}
    assert {n for n in bought if worked.made.lines[n].portion in (None, *parts)} - held == set()
    record = start_record(sheet)
    for made in (sheet.as_weighed, record.as_weighed):
        assert made.total_pct == pytest.approx(100)
    rows = [n for s in sheet.steps for n in s.rows]
    assert sorted(rows) == list(range(len(sheet.rows)))
