"""Kept work in a real browser: reload, crash, two windows, undo, a class, files in and out."""

from __future__ import annotations

import os
import re
import signal
from pathlib import Path
from typing import Any

from bench import Bench, opened
from serving import CLASSROOM, Served, served

import hlbcore as hlb

SUNFLOWER = "sunflower oil"
SCRIPT = "<img src=x onerror=alert(1)><script>alert(2)</script>"
NAME = "Name of the formula"


def value(bench: Bench, label: str) -> str:
    return str(bench.page.get_by_label(label, exact=True).input_value())


def amount(bench: Bench) -> str:
    return str(bench.amount(SUNFLOWER).input_value())


def again(bench: Bench, url: str) -> None:
    """The same address once more, as after a reload or in another window."""
    bench.page.goto(url)
    bench.ready()


def test_what_was_kept_is_shown_after_a_reload_in_a_new_tab_and_after_a_crash(
    browser: Any, tmp_path: Path
) -> None:
    file = tmp_path / "kept.db"
    with served(file=file) as first:
        with opened(browser, first.url) as bench, opened(browser, first.url) as other:
            bench.set(SUNFLOWER, "11,25")
            bench.type(NAME, "Balm for the ferry")
            bench.sees(re.compile(r"Kept .* as version"))
            again(bench, bench.page.url)
            assert amount(bench) == "11,25"
            assert "formula=" in bench.page.url
            again(other, bench.page.url)
            assert value(other, NAME) == "Balm for the ferry"
        with opened(browser, first.url, fresh=False) as bench:
            assert amount(bench) == "11,25"
            bench.set(SUNFLOWER, "9.75")
            bench.sees(re.compile(r"Kept .* as version"))
            query = bench.page.url.partition("?")[2]
            os.kill(first.pid, signal.SIGKILL)
    with served(file=file) as second, opened(browser, second.url, fresh=False) as bench:
        again(bench, f"{second.url}/?{query}")
        assert amount(bench) == "9.75"


def test_two_windows_lose_no_update(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as first, opened(browser, server.url) as second:
        first.press("Type my own")
        first.line(SUNFLOWER, "11")
        address = first.page.url
        for way, theirs, mine, stays in (
            ("Take theirs", "12", "14", "12"),
            ("Put mine on top", "13", "15", "15"),
            ("Keep mine as a formula of its own", "16", "17", "17"),
        ):
            again(second, address)
            first.set(SUNFLOWER, theirs)
            second.set(SUNFLOWER, mine)
            second.sees("changed in another window in the meantime")
            assert [c.strip() for c in second.row("sunflower oil, amount")[1:]] == [theirs, mine]
            second.press(way)
            assert amount(second) == stays
            again(first, address)
            assert amount(first) == (theirs if way.startswith("Keep mine") else stays)


def test_a_formula_is_found_again_and_its_versions_are_walked_through(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.type(NAME, "Harbour balm")
        bench.set(SUNFLOWER, "11")
        bench.set(SUNFLOWER, "15")
        bench.press("Undo")
        assert amount(bench) == "11"
        bench.press("Redo")
        assert amount(bench) == "15"
        bench.press("Type my own")
        bench.visit("Kept work")
        bench.type("Search in names and ingredients", "harbour sunflower")
        bench.press("Open Harbour balm")
        bench.ready()
        assert value(bench, NAME) == "Harbour balm"
        bench.visit("Kept work")
        assert [c.strip() for c in bench.row("sunflower oil, amount")[1:]] == ["11", "15"]
        bench.press("Restore version 3")
        bench.visit("Formula")
        assert amount(bench) == "11"


def test_script_in_names_stays_text(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.type(NAME, SCRIPT)
        bench.press("Mark")
        bench.type(re.compile("^Why version"), SCRIPT)
        bench.visit("Kept work")
        bench.sees(SCRIPT)
        bench.page.get_by_label("Who works here", exact=True).fill(SCRIPT)
        bench.page.keyboard.press("Enter")
        bench.settle()
        bench.visit("Own values")
        bench.page.locator("input[type=file]").set_input_files(
            {
                "name": "<img src=x onerror=alert(3)>.csv",
                "mimeType": "text/csv",
                "buffer": f"name,required HLB\n{SCRIPT},9\n".encode(),
            }
        )
        bench.sees("Row by row")
        bench.press("Keep the rows that can be read")
        bench.sees("required HLB o/w 9.0")
        assert bench.page.locator("img[src='x'], img[onerror]").count() == 0
        assert bench.dialogs == []


def exported(bench: Bench) -> bytes:
    with bench.page.expect_download() as download:
        bench.page.get_by_role("button", name="Export of everything").first.click()
    return Path(download.value.path()).read_bytes()


def test_a_class_shares_nothing_leaves_nothing_and_its_work_moves_elsewhere(
    browser: Any, server: Served, tmp_path: Path
) -> None:
    file = tmp_path / "class.db"
    with (
        served(CLASSROOM, file=file) as running,
        opened(browser, running.url) as first,
        opened(browser, running.url) as second,
    ):
        first.sees("kept in this browser tab only")
        first.type(NAME, "Answer of the first")
        address = first.page.url
        second.visit("Kept work")
        second.sees("None yet.")
        again(second, address)
        assert value(second, NAME) == hlb.example_formula().name
        held = exported(first)
    assert not file.exists()
    with opened(browser, server.url, path="kept", heading="Kept work") as bench:
        bench.page.locator("input[type=file]").set_input_files(
            {"name": "kept_work.zip", "mimeType": "application/zip", "buffer": held}
        )
        bench.sees("comes in as a new formula with 2 versions")
        bench.press("Import what is listed")
        bench.sees("All of it is here already.")
        bench.press("Open Answer of the first")
        bench.ready()
        assert value(bench, NAME) == "Answer of the first"
