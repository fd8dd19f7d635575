"""The bench ladder in a real browser: planned, recorded in the table, read, accepted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from bench import WIDTHS, Bench, opened
from ladder_cells import fill
from serving import FILES, Served, clear

import hlbcore as hlb
from hlbcore.ladder import labels_page, weighing_page
from hlbcore.ladder.sheet import LadderSheet

SCORES = ("0", "2", "3", "4", "4", "3", "1")
OILS = "Oil phase of the ladder [% of the vial]"


@contextmanager
def planning(browser: Any, server: Served, size: str = "desktop") -> Iterator[Bench]:
    """The page of ladders where one formula is kept."""
    clear(server.url)
    with hlb.Store(FILES[server.url]) as store:
        store.save(hlb.example_formula())
    with opened(
        browser, server.url, WIDTHS[size], path="ladder", heading="Bench ladder", fresh=False
    ) as bench:
        bench.sees("What to weigh")
        yield bench


def area(bench: Bench, label: str, text: str) -> None:
    """Text of a field of several lines, handed over by leaving it."""
    box = bench.page.get_by_label(label, exact=True)
    box.fill(text)
    box.blur()
    bench.settle()


def one_oil(bench: Bench) -> None:
    bench.open("Oil phase, and what else is in every vial")
    area(bench, OILS, "sunflower oil 20")
    bench.type("Middle [HLB]", "10")
    bench.type("Half width [HLB]", "3")
    bench.sees(re.compile("7 vials of 50 g, HLB 7 to 13"))


def start(bench: Bench) -> None:
    bench.press("Make this ladder and record it")
    bench.sees("Nothing was read yet")


def on_first_screen(bench: Bench) -> None:
    """Verdict and next steps are seen without scrolling."""
    bench.settle()
    ends = bench.page.evaluate("""() => {
        document.querySelector('[data-testid=stMain]').scrollTo(0, 0);
        const next = (b) => /^(Plan .*HLB|Extend by)/.test(b.innerText);
        const steps = [...document.querySelectorAll('button')].filter(next);
        return [document.querySelector('.verdict'), ...steps].map((n) => n.getBoundingClientRect().bottom);
    }""")
    assert len(ends) > 1
    assert 0 < max(ends) <= bench.page.viewport_size["height"]


def test_a_ladder_is_planned_recorded_read_and_accepted(browser: Any, server: Served) -> None:
    with planning(browser, server) as bench:
        one_oil(bench)
        for label, words in (("Labels", "HLB 7.0"), ("Weighing and reading sheet", "sunflower oil, g")):
            with bench.page.expect_download() as held:
                bench.page.get_by_role("button", name=label, exact=True).click()
            assert words in Path(held.value.path()).read_text("utf-8")
        assert "ladder=" not in bench.page.url
        start(bench)
        bench.page.wait_for_url(re.compile("ladder=[0-9a-f]{32}"))
        fill(bench, "1 day, score", SCORES)
        bench.sees(re.compile(r"Clear optimum at HLB 10\.\d"))
        assert bench.verdict().startswith("Clear optimum · 7 of 21 read")
        on_first_screen(bench)
        bench.open("What is read, when, and when it was made")
        bench.type("Name of the ladder", "March ladder")
        bench.page.reload()
        bench.sees(re.compile(r"Clear optimum at HLB 10\.\d"))
        bench.settle()
        bench.open("What is read, when, and when it was made")
        assert bench.page.get_by_label("Name of the ladder", exact=True).input_value() == "March ladder"
        bench.press("Keep as my own value")
        bench.sees("Kept formulas that use it")
        cells = bench.row(hlb.example_formula().name)
        assert float(cells[2]) > float(cells[1])
        bench.sees("Nothing in them is changed")
        bench.page.get_by_role("button", name=re.compile(r"^Plan \d+ vials on the flanks")).click()
        bench.sees("What to weigh")
        bench.page.wait_for_url(lambda now: "ladder=" not in now)
        bench.visit("Own values")
        bench.sees(re.compile(r"required HLB o/w 10\.\d"))
        bench.visit("Formula")
        bench.ready()
        assert bench.strip().partition("oils ask ")[2].split()[0] == cells[2]


def test_bad_readings_are_told_stay_and_stop_nothing(browser: Any, server: Served) -> None:
    with planning(browser, server, "phone") as bench:
        one_oil(bench)
        assert bench.fits()
        start(bench)
        assert bench.fits()
        fill(bench, "1 day, score", ("9", "good", "", "broke", "4", "3", "1"))
        bench.sees(re.compile("2 cells cannot be used"))
        on_first_screen(bench)
        bench.sees(re.compile("9 is outside the scale"))
        bench.sees(re.compile("'good' is not a number"))
        assert bench.verdict()
        area(bench, "Note", "<script>alert(1)</script><img src=x onerror=alert(2)>")
        bench.open("What is read, when, and when it was made")
        bench.type("Name of the ladder", "<img src=x onerror=alert(3)>")
        bench.page.goto(f"{server.url}/ladder?ladder=<b>none</b>")
        bench.sees("What to weigh")
        bench.sees(re.compile("Choose one from the list"))
        bench.page.get_by_role("button", name="Kept ladders (1)").click()
        bench.page.get_by_text(re.compile("<img src=x onerror=alert")).filter(visible=True).first.wait_for()
        bench.page.get_by_role("button", name=re.compile("^Open ")).first.click()
        bench.sees(re.compile("9 is outside the scale"))
        assert bench.page.locator("[data-testid=stException]").count() == 0
        assert bench.dialogs == []


MM = 96 / 25.4  # [px]
WIDE = {"A4": 210, "Letter": 215.9}  # [mm]


def test_nothing_of_what_is_printed_is_cut_at_margins_of_10_mm(browser: Any) -> None:
    oils = {f"oil number {n} with a name that goes on and on": 2 for n in range(8)}
    ladder = hlb.plan_ladder("sorbitan stearate", "polysorbate 60", centre=10, half_width=3, oil_phase=oils)
    name, kinds = (
        "A trial with a long name " * 4,
        ("score", "water layer", "oil layer", "viscosity", "colour"),
    )
    page = browser.new_page()
    for paper, wide in WIDE.items():
        room = int((wide - 20) * MM)
        page.set_viewport_size({"width": room, "height": 900})
        page.emulate_media(media="print")
        for made in (
            weighing_page(ladder, name, sheet=LadderSheet(kinds=kinds), formula="x" * 200, paper=paper),
            labels_page(ladder, name, paper=paper),
        ):
            page.set_content(made)
            furthest = page.evaluate("""() => {
                const nodes = [...document.body.querySelectorAll('*')];
                return Math.max(...nodes.map((n) => n.getBoundingClientRect().right));
            }""")
            assert room / 2 < furthest <= room + 1
    page.close()
