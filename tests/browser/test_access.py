"""Every page at every width: no serious finding of axe-core, own title, one h1, nothing cut off."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from bench import WIDTHS, Bench, opened
from serving import Served

import hlbcore as hlb
from hlbcore.plots.page import axis_words

PAGES = {
    "": "Formula",
    "ladder": "Bench ladder",
    "batch": "Batch",
    "kept": "Kept work",
    "shelf": "Shelf",
    "swap": "Swap",
    "cost": "Cost",
    "label": "Label",
    "selling": "Before you sell",
    "own": "Own values",
    "values": "Values and sources",
    "learn": "Learn",
}
TITLES = {**PAGES, "ladder": "Ladder"}
TARGET = 44  # [px]
NAMES = """all => all.map(b => { const held = b.cloneNode(true);
    held.querySelectorAll('[data-testid=stIconMaterial]').forEach(icon => icon.remove());
    return b.getAttribute('aria-label') || held.textContent.trim(); })"""
GROUND = "getComputedStyle(document.querySelector('.stApp')).backgroundColor.match(/[0-9]+/g).map(Number)"
SMALL = """most => { const found = [];
    const wanted = 'button, a[href], input, select, summary';
    const look = root => { for (const e of root.querySelectorAll(wanted)) {
        const r = e.getBoundingClientRect();
        const box = e.closest('label') || e;
        const height = Math.max(r.height, box.getBoundingClientRect().height);
        const shown = r.width > 1 && r.height > 1 && getComputedStyle(e).visibility !== 'hidden';
        const name = e.getAttribute('aria-label') || e.textContent || e.type;
        if (shown && height < most - .6) found.push(`${name.trim()} ${height}`);
    } for (const e of root.querySelectorAll('*')) if (e.shadowRoot) look(e.shadowRoot); };
    look(document); return found; }"""


COLOURS = {"runOnly": ["color-contrast"]}
ALL_BUT_COLOURS = {"rules": {"color-contrast": {"enabled": False}}}


def grave(bench: Bench, options: dict[str, Any] | None = None) -> list[str]:
    """Serious and critical findings with the first element of each."""
    found = Axe().run(bench.page, options=options).response["violations"]
    return [
        f"{v['id']} ({v['impact']}): {v['nodes'][0]['html'][:200]}"
        for v in found
        if v["impact"] in ("serious", "critical")
    ]


def darkened(bench: Bench) -> None:
    """Change to the dark look, as the system asks for it."""
    assert sum(bench.page.evaluate(GROUND)[:3]) > 600
    bench.page.emulate_media(color_scheme="dark")
    bench.page.wait_for_function(f"{GROUND}.slice(0, 3).every(part => part < 50)")
    bench.page.wait_for_timeout(400)  # colours fade over


def unfold(bench: Bench, path: str) -> None:
    """Open all that is folded, and ask what fills the page."""
    if path == "":
        bench.more("polysorbate 60")
    if path == "swap":
        bench.add("Goes out", "shea butter")
        bench.add("Comes in", "mango butter")
        bench.page.keyboard.press("Escape")
        bench.sees("First answer")
        bench.settle()
    for folded in bench.page.locator("[data-testid=stExpander] summary").all():
        folded.click()
        bench.settle()


@pytest.mark.parametrize("path", PAGES, ids=PAGES.values())
def test_a_page_unfolded_is_sound_at_every_width_in_light_and_dark(
    browser: Any, server: Served, path: str
) -> None:
    with opened(browser, server.url, path=path, heading=PAGES[path]) as bench:
        assert bench.page.title() == TITLES[path]
        assert bench.page.get_by_role("heading", level=1).count() == 1
        unfold(bench, path)
        for width in WIDTHS:
            bench.resize(width)
            assert bench.fits(), width
            named = bench.page.get_by_role("main").get_by_role("button").evaluate_all(NAMES)
            assert named, width
            assert "" not in named, width
            # colours do not change with the width, and are the slowest to look through
            assert grave(bench, None if width == "desktop" else ALL_BUT_COLOURS) == [], width
        bench.resize("desktop")
        darkened(bench)
        assert grave(bench, COLOURS) == []


def test_the_first_screen_at_every_width(browser: Any, server: Served) -> None:
    said = axis_words(hlb.work_out(hlb.example_formula()))
    with opened(browser, server.url) as bench:
        assert bench.page.get_by_text("Traceback").count() == 0
        assert bench.page.get_by_label(said, exact=True).count() >= 1
        for width in WIDTHS:
            bench.resize(width)
            for word in ("Formula", "Ladder", "Kept work"):
                assert bench.page.get_by_role("link", name=word, exact=True).is_visible(), width
            assert bench.page.get_by_role("button", name="More", exact=True).is_visible(), width
        assert bench.page.evaluate(SMALL, TARGET) == []  # on the phone, for a finger
        bench.visit("Swap")
        assert bench.page.get_by_role("button", name="More: Swap").is_visible()


def test_a_long_name_does_not_widen_a_narrow_page(browser: Any, server: Served) -> None:
    name = "x" * 120
    with opened(browser, server.url, WIDTHS["phone"]) as bench:
        bench.line(name, "9")
        bench.more(name)
        bench.in_menu("own figure", "9")
        assert bench.fits()
