"""Every page at every width: no serious finding of axe-core, own title, one h1, targets and focus."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from bench import WIDTHS, opened
from serving import ROOT, Served, served

PAGES = {
    "": "Formula",
    "ladder": "Bench ladder",
    "kept": "Kept work",
    "swap": "Swap",
    "own": "Own values",
    "values": "Values and sources",
    "learn": "Learn",
}
TITLES = {**PAGES, "ladder": "Ladder"}
TARGET = 44  # [px]


@pytest.fixture(scope="module")
def server() -> Any:
    """Started from the checkout, as README says, so that its settings hold."""
    with served(folder=ROOT) as running:
        yield running


def grave(page: Any) -> list[str]:
    """Serious and critical findings with the first element of each."""
    found = Axe().run(page).response["violations"]
    return [
        f"{v['id']} ({v['impact']}): {v['nodes'][0]['html'][:200]}"
        for v in found
        if v["impact"] in ("serious", "critical")
    ]


@pytest.mark.parametrize("path", PAGES, ids=PAGES.values())
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious(browser: Any, server: Served, path: str, scheme: str) -> None:
    with opened(browser, server.url, scheme=scheme) as bench:
        if path:
            bench.page.goto(f"{server.url}/{path}")
        bench.page.get_by_role("heading", level=1, name=PAGES[path], exact=True).wait_for()
        bench.settle()
        for name, (width, height) in WIDTHS.items():
            bench.page.set_viewport_size({"width": width, "height": height})
            bench.page.wait_for_timeout(500)
            assert grave(bench.page) == [], name


@pytest.mark.parametrize("path", PAGES, ids=PAGES.values())
def test_each_page_has_its_title_and_one_heading(browser: Any, server: Served, path: str) -> None:
    with opened(browser, server.url) as bench:
        bench.page.goto(f"{server.url}/{path}")
        bench.page.get_by_role("heading", level=1, name=PAGES[path], exact=True).wait_for()
        bench.settle()
        assert bench.page.title() == TITLES[path]
        assert bench.page.get_by_role("heading", level=1).count() == 1


def test_the_menu_of_a_line_and_open_parts_are_sound_too(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.more("polysorbate 60")
        bench.open("How the figures come about")
        bench.settle()
        assert grave(bench.page) == []


@pytest.mark.parametrize("width", WIDTHS)
def test_the_place_in_the_job_is_in_sight_at_every_width(browser: Any, server: Served, width: str) -> None:
    with opened(browser, server.url, WIDTHS[width]) as bench:
        for word in ("Formula", "Ladder", "Kept work"):
            assert bench.page.get_by_role("link", name=word, exact=True).is_visible()
        assert bench.page.get_by_role("button", name="More", exact=True).is_visible()
        bench.visit("Swap")
        assert bench.page.get_by_role("button", name="More: Swap").is_visible()


def test_targets_are_large_enough_for_a_finger(browser: Any, server: Served) -> None:
    with opened(browser, server.url, WIDTHS["phone"]) as bench:
        small = bench.page.evaluate(
            """most => { const found = [];
            const wanted = 'button, a[href], input, select, summary';
            const look = root => { for (const e of root.querySelectorAll(wanted)) {
                const r = e.getBoundingClientRect();
                const box = e.closest('label') || e;
                const height = Math.max(r.height, box.getBoundingClientRect().height);
                const shown = r.width > 1 && r.height > 1 && getComputedStyle(e).visibility !== 'hidden';
                const name = e.getAttribute('aria-label') || e.textContent || e.type;
                if (shown && height < most - .6) found.push(`${name.trim()} ${height}`);
            } for (const e of root.querySelectorAll('*')) if (e.shadowRoot) look(e.shadowRoot); };
            look(document); return found; }""",
            TARGET,
        )
        assert small == []


def test_light_and_dark_follow_the_system(browser: Any, server: Served) -> None:
    shades = {}
    for scheme in ("light", "dark"):
        with opened(browser, server.url, scheme=scheme) as bench:
            colour = bench.page.evaluate(
                "getComputedStyle(document.querySelector('.stApp')).backgroundColor.match(/[0-9]+/g).map(Number)"
            )
            shades[scheme] = sum(colour[:3])
    assert shades["light"] > 600
    assert shades["dark"] < 150


def test_the_picture_says_its_numbers(browser: Any, server: Served) -> None:
    import hlbcore as hlb
    from hlbcore.plots.page import axis_words

    said = axis_words(hlb.work_out(hlb.example_formula()))
    with opened(browser, server.url) as bench:
        assert bench.page.get_by_label(said, exact=True).count() >= 1
