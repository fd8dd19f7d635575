"""The page fits narrow and wide screens, and the figure says its numbers in words."""

from __future__ import annotations

from typing import Any

import pytest
from bench import WIDTHS, opened
from serving import Served

FITS = """() => [document.scrollingElement, document.querySelector('[data-testid=stMain]')]
    .every(e => e.scrollWidth <= e.clientWidth)"""
NAMES = """all => all.map(b => { const held = b.cloneNode(true);
    held.querySelectorAll('[data-testid=stIconMaterial]').forEach(icon => icon.remove());
    return b.getAttribute('aria-label') || held.textContent.trim(); })"""
PAGES = {
    "": "Formula",
    "swap": "Swap",
    "ladder": "Bench ladder",
    "kept": "Kept work",
    "own": "Own values",
    "learn": "Learn",
    "values": "Values and sources",
}
LONG = "x" * 120


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
        for folded in bench.page.locator("[data-testid=stExpander] summary").all():
            folded.click()
            bench.settle()
        for name, (width, height) in WIDTHS.items():
            bench.page.set_viewport_size({"width": width, "height": height})
            bench.page.wait_for_timeout(500)
            assert bench.page.evaluate(FITS), name
            named = bench.page.get_by_role("main").get_by_role("button").evaluate_all(NAMES)
            assert named, name
            assert "" not in named, name


def test_a_long_name_does_not_widen_a_narrow_page(browser: Any, server: Served) -> None:
    with opened(browser, server.url, WIDTHS["phone"]) as bench:
        bench.line(LONG, "9")
        bench.more(LONG)
        bench.in_menu("own figure", "9")
        bench.open("How the figures come about")
        bench.page.wait_for_timeout(500)
        assert bench.page.evaluate(FITS)
