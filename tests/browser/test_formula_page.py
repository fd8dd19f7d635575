"""The whole formula in the browser: write, mend, open a file; narrow and wide."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from bench import WIDTHS, Bench, opened
from serving import Served

import hlbcore as hlb

FITS = """() => [document.scrollingElement, document.querySelector('[data-testid=stMain]')]
    .every(e => e.scrollWidth <= e.clientWidth)"""
SIZES = {name: WIDTHS[name] for name in ("desktop", "phone")}
ADD = "Add water, preservative, gum, colour or other"
SCRIPT = "<img src=x onerror=alert(1)><script>alert(2)</script>"


@contextmanager
def formula_page(browser: Any, server: Served, size: tuple[int, int]) -> Iterator[Bench]:
    """The page as a visit of its address gives it."""
    with opened(browser, server.url, size) as bench:
        bench.page.goto(f"{server.url}/formula")
        for words in ("The formula by phase", "What the checks find", "Examples and files"):
            bench.sees(words)
        bench.settle()
        yield bench


def upload(bench: Bench, path: Path) -> None:
    bench.page.locator("input[type=file]").set_input_files(path)
    bench.page.wait_for_timeout(300)
    bench.settle()


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES.keys())
def test_a_line_is_added_and_the_total_mended(browser: Any, server: Served, size: tuple[int, int]) -> None:
    with formula_page(browser, server, size) as bench:
        bench.sees("Together 100.00 %.")
        bench.add(ADD, "panthenol")
        bench.type("panthenol [%]", "2")
        bench.sees("The formula adds to 102 %: 2 % is too much.")
        bench.press("Fill with water")
        bench.sees("Together 100.00 %.")
        assert bench.page.get_by_label("water [%]", exact=True).input_value() == "68"
        assert bench.page.get_by_role("button", name="Fill with water").count() == 0
        bench.add("What do you see?", "water below")
        bench.sees("Bench test")
        assert bench.page.evaluate(FITS)


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES.keys())
def test_a_file_is_opened_and_a_broken_one_loses_nothing(
    browser: Any, server: Served, size: tuple[int, int], tmp_path: Path
) -> None:
    good, broken = tmp_path / "good.json", tmp_path / "broken.json"
    formula = hlb.example_formula("evening_cleansing_balm")
    good.write_text(formula.to_json(), "utf-8")
    broken.write_text(json.dumps({"schema": "a recipe"}), "utf-8")
    with formula_page(browser, server, size) as bench:
        upload(bench, good)
        bench.sees("Evening cleansing balm, cleansing balm")
        assert bench.row("oil")[1:3] == ["sunflower oil", "38.00"]
        upload(bench, broken)
        bench.sees("it is another kind of file")
        bench.sees("Evening cleansing balm, cleansing balm")
        assert bench.row("oil")[1:3] == ["sunflower oil", "38.00"]
        assert bench.page.evaluate(FITS)


@pytest.mark.parametrize("size", SIZES.values(), ids=SIZES.keys())
def test_names_with_markup_are_shown_as_text(browser: Any, server: Served, size: tuple[int, int]) -> None:
    with formula_page(browser, server, size) as bench:
        bench.add(ADD, SCRIPT)
        bench.type(re.compile(r"^[^A].*onerror.*\[%\]$"), "1")
        bench.sees("<script>alert(2)</script>")
        assert bench.page.locator("img[src='x'], img[onerror]").count() == 0
        assert bench.page.locator("script:text('alert(2)')").count() == 0
        assert bench.dialogs == []
        assert bench.page.evaluate(FITS)


def test_what_is_typed_survives_the_other_pages(browser: Any, server: Served) -> None:
    with formula_page(browser, server, WIDTHS["desktop"]) as bench:
        bench.type("glycerin [%]", "lots")
        bench.sees("'lots' is not a number.")
        bench.page.get_by_role("link", name="Oils and emulsifiers").click()
        bench.sees("Required HLB of the oil phase")
        bench.settle()
        bench.page.get_by_role("link", name="Whole formula").click()
        bench.sees("The formula by phase")
        bench.settle()
        assert bench.page.get_by_label("glycerin [%]", exact=True).input_value() == "lots"
