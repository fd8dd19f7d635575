"""The formula page in the browser: mend the sum, open a file; narrow and wide."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from bench import WIDTHS, Bench, opened
from serving import Served

import hlbcore as hlb

FITS = """() => [document.scrollingElement, document.querySelector('[data-testid=stMain]')]
    .every(e => e.scrollWidth <= e.clientWidth)"""
SIZES = pytest.mark.parametrize("size", [WIDTHS["desktop"], WIDTHS["phone"]], ids=["desktop", "phone"])


def upload(bench: Bench, path: Path) -> None:
    bench.page.locator("input[type=file]").set_input_files(path)
    bench.page.wait_for_timeout(300)
    bench.settle()


@SIZES
def test_a_line_is_added_and_the_total_mended(browser: Any, server: Served, size: tuple[int, int]) -> None:
    with opened(browser, server.url, size) as bench:
        bench.sees("Together 100.00 %.")
        bench.line("panthenol", "2")
        bench.sees("2.00 % is too much.")
        bench.press("Take 2 % from the water")
        bench.sees("Together 100.00 %.")
        assert float(bench.amount("water").input_value()) == pytest.approx(68.15)
        assert bench.page.evaluate(FITS)


@SIZES
def test_a_file_is_opened_and_a_broken_one_loses_nothing(
    browser: Any, server: Served, size: tuple[int, int], tmp_path: Path
) -> None:
    good, broken = tmp_path / "good.json", tmp_path / "broken.json"
    good.write_text(hlb.example_formula("evening_cleansing_balm").to_json(), "utf-8")
    broken.write_text(json.dumps({"schema": "a recipe"}), "utf-8")
    with opened(browser, server.url, size) as bench:
        bench.press("Open")
        upload(bench, good)
        assert bench.amount("sunflower oil").input_value() == "38"
        bench.press("Open")
        upload(bench, broken)
        bench.sees("it is another kind of file")
        assert bench.amount("sunflower oil").input_value() == "38"
        assert bench.page.evaluate(FITS)


def test_what_is_typed_survives_the_other_pages(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.set("glycerin", "lots")
        bench.sees("'lots' is not a number.")
        bench.visit("Ladder")
        bench.visit("Formula")
        bench.ready()
        assert bench.amount("glycerin").input_value() == "lots"


def test_causes_are_named_by_what_is_seen(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.open("Something went wrong: causes by what you see")
        bench.settle()
        bench.add("What do you see?", "water below")
        bench.sees("Bench test")
