"""Batch sheets leave the printer whole, and a line that is ticked at the bench outlives a reload."""

from __future__ import annotations

import io
from typing import Any

import pytest
from bench import WIDTHS, opened
from pypdf import PdfReader
from serving import Served

import hlbcore as hlb
from hlbcore.batch.printing import batch_page, formula_page
from hlbcore.batch.record_page import record_page
from hlbcore.batch.record_start import start_record

POINTS = {"A4": (595, 842), "Letter": (612, 792)}


def printed(browser: Any, html: str) -> list[Any]:
    page = browser.new_page()
    page.set_content(html)
    file = page.pdf(prefer_css_page_size=True)
    page.close()
    return list(PdfReader(io.BytesIO(file)).pages)


@pytest.mark.parametrize("paper", POINTS)
def test_twelve_lines_print_on_one_page_and_nothing_is_cut(browser: Any, paper: str) -> None:
    sheet = hlb.batch_sheet(hlb.example_formula(), 500, scales=[hlb.Scale(0.1, 2000)])
    [page] = printed(browser, batch_page(sheet, paper=paper))
    width, height = POINTS[paper]
    assert (page.mediabox.width, page.mediabox.height) == pytest.approx((width, height), abs=1)
    text = " ".join(page.extract_text().split())
    assert len(sheet.table) == 12
    for name, grams in zip(sheet.table.ingredient, sheet.table.grams, strict=True):
        assert name in text
        assert f"{grams:.1f} g" in text
    assert "does not certify" in text  # the last line
    record = start_record(sheet, number="20260301-1")
    words = " ".join(p.extract_text() for p in printed(browser, record_page(record, paper=paper)))
    assert "no claim of conformity" in " ".join(words.split())
    [page] = printed(browser, formula_page(hlb.work_out(hlb.example_formula()), paper=paper))
    assert "total of the base" in page.extract_text()


def test_a_line_ticked_on_a_phone_is_kept_at_once(browser: Any, server: Served) -> None:
    with opened(browser, server.url, WIDTHS["phone"]) as bench:
        bench.page.goto(f"{server.url}/batch")
        bench.sees("into the pot")
        bench.press("Start this batch")
        tick = bench.page.get_by_role("checkbox", name="water, done", exact=True)
        tick.wait_for()
        box = tick.bounding_box()
        assert min(box["width"], box["height"]) >= 44
        tick.check()
        lot = bench.page.get_by_label("glycerin, lot", exact=True)
        lot.fill("A-77")
        lot.press("Enter")
        bench.settle()
        bench.page.reload()
        weighed = bench.page.get_by_label("water, weighed in g", exact=True)
        weighed.wait_for()
        bench.settle()
        assert weighed.input_value() == "350.8"
        assert bench.page.get_by_label("glycerin, lot", exact=True).input_value() == "A-77"
        assert tick.is_checked()
