"""The bench ladder in a real browser: planned, recorded in the table, read, accepted."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from bench import WIDTHS, Bench, opened
from serving import FILES, Served, clear

import hlbcore as hlb

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


def fill(bench: Bench, column: int, texts: tuple[str, ...]) -> None:
    """Type into a column of the table of readings, a cell opened and closed by Enter."""
    table = bench.page.get_by_test_id("stDataFrame").first
    table.evaluate("e => e.scrollIntoView({block: 'center'})")  # clear of the bar above
    bench.page.wait_for_timeout(400)
    box = table.bounding_box()
    bench.page.mouse.click(box["x"] + 30, box["y"] + 55)
    bench.page.wait_for_timeout(400)
    for _ in range(column):
        bench.page.keyboard.press("ArrowRight")
        bench.page.wait_for_timeout(60)
    editor = bench.page.locator("#portal textarea, #portal input").first
    for text in texts:
        if text:
            bench.page.keyboard.press("Enter")
            editor.wait_for()
            bench.page.keyboard.type(text, delay=60)
            bench.page.keyboard.press("Enter")
            editor.wait_for(state="hidden")
        else:
            bench.page.keyboard.press("ArrowDown")
        bench.page.wait_for_timeout(200)
    bench.settle()


def test_a_ladder_is_planned_recorded_read_and_accepted(browser: Any, server: Served) -> None:
    with planning(browser, server) as bench:
        one_oil(bench)
        for label, words in (("Labels to print", "HLB 7.0"), ("Weighing sheet to print", "sunflower oil, g")):
            with bench.page.expect_download() as held:
                bench.page.get_by_role("button", name=label, exact=True).click()
            assert words in Path(held.value.path()).read_text("utf-8")
        assert "ladder=" not in bench.page.url
        start(bench)
        bench.page.wait_for_url(re.compile("ladder=[0-9a-f]{32}"))
        fill(bench, 1, SCORES)
        bench.sees(re.compile(r"Clear optimum at HLB 10\.\d"))
        assert bench.verdict().startswith("Clear optimum")
        bench.type("Name of the ladder", "March ladder")
        bench.page.reload()
        bench.sees(re.compile(r"Clear optimum at HLB 10\.\d"))
        bench.settle()
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
        fill(bench, 1, ("9", "good", "", "broke", "4", "3", "1"))
        bench.sees("Cells that cannot be used; they stay as typed")
        bench.sees(re.compile("9 is outside the scale"))
        bench.sees(re.compile("'good' is not a number"))
        assert bench.verdict()
        area(bench, "Note", "<script>alert(1)</script><img src=x onerror=alert(2)>")
        bench.type("Name of the ladder", "<img src=x onerror=alert(3)>")
        bench.page.goto(f"{server.url}/ladder?ladder=<b>none</b>")
        bench.sees("What to weigh")
        bench.sees(re.compile("Choose one from the list"))
        bench.open("Kept ladders (1)")
        bench.page.get_by_text(re.compile("<img src=x onerror=alert")).filter(visible=True).first.wait_for()
        bench.page.get_by_role("button", name=re.compile("^Open ")).first.click()
        bench.sees(re.compile("9 is outside the scale"))
        assert bench.page.locator("[data-testid=stException]").count() == 0
        assert bench.dialogs == []
