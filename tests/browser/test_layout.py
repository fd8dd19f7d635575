"""The page fits narrow and wide screens, and the figure says its numbers in words."""

from __future__ import annotations

from typing import Any

import pytest
from bench import WIDTHS, opened
from serving import Served

import hlbcore as hlb

FITS = """() => [document.scrollingElement, document.querySelector('[data-testid=stMain]')]
    .every(e => e.scrollWidth <= e.clientWidth)"""
NAMES = """all => all.map(b => { const held = b.cloneNode(true);
    held.querySelectorAll('[data-testid=stIconMaterial]').forEach(icon => icon.remove());
    return b.getAttribute('aria-label') || held.textContent.trim(); })"""
PAGES = {
    "": "Oils and emulsifiers",
    "formula": "Whole formula",
    "swap": "Swap",
    "ladder": "Bench ladder",
    "kept": "Kept work",
    "own": "Own values",
    "learn": "Learn",
    "values": "Values and sources",
}
OIL = "Add an oil, butter, wax or other fat"
LONG = "x" * 120


@pytest.mark.parametrize("size", WIDTHS.values(), ids=WIDTHS.keys())
def test_nothing_scrolls_sideways(browser: Any, server: Served, size: tuple[int, int]) -> None:
    with opened(browser, server.url, size) as bench:
        assert bench.page.evaluate("document.scrollingElement.scrollWidth <= window.innerWidth")
        assert bench.page.evaluate(FITS)
        bench.open("How the figures come about")
        bench.open("Where the figures come from")
        bench.page.wait_for_timeout(500)
        assert bench.page.evaluate(FITS)


@pytest.mark.parametrize("path", PAGES, ids=PAGES.values())
def test_every_page_unfolded_fits_all_widths_and_names_its_buttons(
    browser: Any, server: Served, path: str
) -> None:
    with opened(browser, server.url) as bench:
        bench.page.goto(f"{server.url}/{path}")
        bench.page.get_by_role("heading", name=PAGES[path], exact=True).first.wait_for()
        bench.settle()
        if path == "swap":
            bench.add("Goes out", "shea butter")
            bench.add("Comes in", "mango butter")
            bench.page.keyboard.press("Escape")
            bench.sees("First answer")
            bench.settle()
        for folded in bench.page.get_by_role("main").locator("summary").all():
            folded.click()
        for name, (width, height) in WIDTHS.items():
            bench.page.set_viewport_size({"width": width, "height": height})
            bench.page.wait_for_timeout(500)
            assert bench.page.evaluate(FITS), name
            named = bench.page.get_by_role("main").get_by_role("button").evaluate_all(NAMES)
            assert named, name
            assert "" not in named, name


def test_a_long_name_does_not_widen_a_narrow_page(browser: Any, server: Served) -> None:
    with opened(browser, server.url, WIDTHS["phone"]) as bench:
        bench.add(OIL, LONG)
        box = bench.page.get_by_role("textbox", name="A required HLB for xxx")
        box.fill("9")
        box.press("Enter")
        bench.settle()
        bench.open("How the figures come about")
        bench.page.wait_for_timeout(500)
        assert bench.page.evaluate(FITS)


def test_the_figure_says_its_numbers(browser: Any, server: Served) -> None:
    words = hlb.plots.words(hlb.plots.of_sheet(hlb.work_out(hlb.example_sheet()), "axis"))
    with opened(browser, server.url) as bench:
        figure = bench.page.get_by_role("img", name=words, exact=True)
        assert figure.count() == 1
        assert figure.evaluate("e => e.naturalWidth") > 0


def test_every_button_has_a_name(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        held = bench.page.get_by_role("main").get_by_role("button")
        named = [b.get_attribute("aria-label") or b.inner_text().strip() for b in held.all()]
        assert "Remove" in named
        assert "" not in named
