"""Every page at every width: no serious finding of axe-core, own title, one h1, nothing cut off."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from bench import FITS, WIDTHS, Bench, opened
from bench_cases import CREAM, LADDERS
from page_list import PAGES
from serving import FILES, Served, clear

import hlbcore as hlb
from hlbcore.batch.cost import cost
from hlbcore.batch.label_pages import cost_page, label_page
from hlbcore.batch.printing import batch_page, formula_page
from hlbcore.batch.record_page import record_page
from hlbcore.batch.record_start import start_record
from hlbcore.ladder import labels_page, weighing_page
from hlbcore.learning.bench import Bench as Learning
from hlbcore.lessons import class_sheets, exercise_sheet, hand_out
from hlbcore.plots.page import axis_words

TARGET = 44  # [px]; help signs and the tools of a picture, which no one needs at the bench, have 24
AT_THE_BENCH = ("Formula", "Ladder", "Batch")
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
        const aside = e.closest('[data-testid=stElementToolbar], [data-testid=stTooltipHoverTarget]');
        if (shown && !aside && height < most - .6) found.push(`${name.trim()} ${height}`);
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


def unfold(bench: Bench, page: str) -> None:
    """Open all that is folded, and ask what fills the page."""
    if page == "Formula":
        bench.more("polysorbate 60")
    if page == "Swap":
        bench.add("Goes out", "shea butter")
        bench.add("Comes in", "mango butter")
        bench.page.keyboard.press("Escape")
        bench.sees("First answer")
        bench.settle()
    for folded in bench.page.locator("[data-testid=stExpander] summary").all():
        folded.click()
    bench.settle()


@pytest.fixture(scope="module")
def tour(browser: Any, server: Served) -> Iterator[Bench]:
    """One tab that goes from page to page, as a person does; opening the app anew costs most."""
    clear(server.url)
    with hlb.Store(FILES[server.url]) as store:
        store.save(Learning(LADDERS))
        store.save(CREAM)
    with opened(browser, server.url, fresh=False) as bench:
        yield bench


def learn_for_a_class(bench: Bench) -> None:
    """An answer that is counted under a class code, and the sheets and answers of that class."""
    bench.type("Class code", "maple")
    bench.page.get_by_text("Count my answers for the class, without a name").click()
    bench.settle()
    bench.type(re.compile("^Answer 1 "), "a")
    bench.page.get_by_role("radio", name="For a class", exact=True).click()
    bench.page.get_by_role("region", name="Answers of the class").wait_for()
    bench.open("Look at the questions")
    bench.settle()


MORE_VIEWS = {"Learn": learn_for_a_class}
"""The way on to another view of a page, in the same visit."""


@pytest.mark.parametrize("page", PAGES.values())
def test_a_page_unfolded_is_sound_at_every_width_in_light_and_dark(tour: Bench, page: str) -> None:
    tour.page.emulate_media(color_scheme="light")
    tour.resize("desktop")
    tour.visit(page)
    unfold(tour, page)
    sound(tour, page)
    if page in MORE_VIEWS:
        tour.page.emulate_media(color_scheme="light")
        tour.resize("desktop")
        MORE_VIEWS[page](tour)
        sound(tour, page)


def sound(bench: Bench, page: str) -> None:
    """What stands there, at every width, in light and dark."""
    assert bench.page.title() == page
    assert bench.page.get_by_role("heading", level=1).count() == 1
    assert grave(bench) == []
    darkened(bench)
    # colours do not change with the width, and are the slowest to look through
    assert grave(bench, COLOURS) == []
    for width in ("tablet", "phone"):
        bench.resize(width)
        assert bench.fits(), width
        named = bench.page.get_by_role("main").get_by_role("button").evaluate_all(NAMES)
        assert named, width
        assert "" not in named, width
    if page in AT_THE_BENCH:
        assert bench.page.evaluate(SMALL, TARGET) == []  # for a finger
    assert grave(bench, ALL_BUT_COLOURS) == []


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
        bench.visit("Swap")
        assert bench.page.get_by_role("button", name="More: Swap").is_visible()


def test_what_is_printed_or_handed_out_is_sound(browser: Any) -> None:
    worked = hlb.work_out(CREAM)
    sheet = hlb.batch_sheet(worked, 500, scales=[hlb.Scale(0.1, 2000)])
    ladder = hlb.plan_ladder(
        "sorbitan stearate", "polysorbate 60", centre=8, half_width=3, oil_phase={"olive oil": 20}
    )
    one, every = exercise_sheet("class 1", ("formula", "split"), 2), class_sheets("class 1", 3, None, 4)
    held = hlb.plots.lesson_figure("required")
    drawn = held.draw(held.start)
    pages = {
        "batch sheet": batch_page(sheet),
        "batch record": record_page(start_record(sheet, number="20260301-1")),
        "formula": formula_page(worked),
        "ladder": weighing_page(ladder, "Trial"),
        "vial labels": labels_page(ladder, "Trial"),
        "label": label_page(hlb.declare(CREAM, "eu")),
        "cost": cost_page(cost(CREAM, batch=500, jar=50), "Cream"),
        "questions": one.html,
        "answer key": one.key_html,
        "questions of a class": every.html,
        "one key for a class": every.key_html,
        "hand-out": hand_out("required", {"required": (hlb.plots.to_svg(drawn), hlb.plots.words(drawn))}),
    }
    page = browser.new_page()
    found = {}
    for name, html in pages.items():
        page.set_content(html)
        assert page.title(), name
        found[name] = grave(Bench(page), ALL_BUT_COLOURS)  # all is black on white
    page.close()
    assert {name: said for name, said in found.items() if said} == {}


def test_a_long_name_does_not_widen_a_narrow_page(browser: Any, server: Served) -> None:
    name = "x" * 120
    with opened(browser, server.url, WIDTHS["phone"]) as bench:
        bench.line(name, "9")
        bench.more(name)
        bench.in_menu("own figure", "9")
        bench.page.wait_for_function(FITS)
