"""What cannot be used is told in place, as text, and blanks nothing else."""

from __future__ import annotations

import re
from typing import Any

import pytest
from bench import opened
from serving import Served

import hlbcore as hlb

OIL = "Add an oil, butter, wax or other fat"
SCRIPT = "<img src=x onerror=alert(1)><script>alert(2)</script>"


def test_a_name_with_markup_is_shown_as_text(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.add(OIL, SCRIPT)
        bench.type(re.compile("^[^A].*onerror"), "4")
        bench.type(re.compile("^A required HLB for .*onerror"), "9")
        bench.sees("<script>alert(2)</script>")
        assert bench.page.locator("img[src='x'], img[onerror]").count() == 0
        assert bench.page.locator("script:text('alert(2)')").count() == 0
        assert bench.dialogs == []
        assert bench.verdict() != ""


def test_an_unknown_name_is_asked_for_in_place(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        before = bench.row("Required HLB of the oil phase")
        bench.add(OIL, "house oil")
        bench.type("house oil [%]", "5")
        bench.sees("'house oil' is not in the tables.")
        assert bench.row("Required HLB of the oil phase") == before
        bench.type("A required HLB for house oil", "12")
        lines = {x.name: float(x.amount) for x in hlb.example_sheet().lines} | {"house oil": 5}
        required = hlb.required_hlb(lines, values={"house oil": 12})
        assert bench.row("Required HLB of the oil phase")[1] == f"{required.value:.1f}"
        assert bench.page.get_by_text("is not in the tables").count() == 0


def test_a_close_match_is_one_press_away(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.add(OIL, "mangoo buter")
        bench.type("mangoo buter [%]", "5")
        bench.press("It is mango butter")
        assert bench.page.get_by_label("mango butter [%]", exact=True).input_value() == "5"
        assert bench.page.get_by_text("is not in the tables").count() == 0


@pytest.mark.parametrize(
    ("label", "text", "words"),
    [
        ("sunflower oil [%]", "lots", "'lots' is not a number"),
        ("All emulsifiers [%]", "0", "is too small"),
        ("Batch", "1e308", "is out of range"),
    ],
    ids=["amount", "total", "batch"],
)
def test_a_bad_field_blanks_no_other(browser: Any, server: Served, label: str, text: str, words: str) -> None:
    with opened(browser, server.url) as bench:
        boxes = bench.page.get_by_role("textbox")
        before = {b.get_attribute("aria-label"): b.input_value() for b in boxes.all()}
        bench.type(label, text)
        bench.sees(words)
        after = {b.get_attribute("aria-label"): b.input_value() for b in boxes.all()}
        assert after == before | {label: text}
        assert bench.row("Required HLB of the oil phase")[1] != ""
