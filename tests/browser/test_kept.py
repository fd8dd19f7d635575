"""Kept work in a real browser: reload, crash, two windows, undo, a class, files in and out."""

from __future__ import annotations

import io
import json
import os
import re
import signal
import zipfile
from pathlib import Path
from typing import Any

import pytest
from bench import Bench, opened
from serving import Served, served

import hlbcore as hlb

SUNFLOWER = "sunflower oil [%]"
SCRIPT = "<img src=x onerror=alert(1)><script>alert(2)</script>"
NAME = "Name of the formula"


def value(bench: Bench, label: str) -> str:
    return str(bench.page.get_by_label(label, exact=True).input_value())


def visit(bench: Bench, page: str) -> None:
    bench.page.get_by_role("link", name=page, exact=True).first.click()
    bench.settle()


def again(bench: Bench, url: str) -> None:
    """The same address once more, as after a reload or in another window."""
    bench.page.goto(url)
    bench.sees("Required HLB of the oil phase")
    bench.settle()


def test_a_reload_shows_what_was_typed(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.type(SUNFLOWER, "11,25")
        bench.sees("Kept ")
        again(bench, bench.page.url)
        assert value(bench, SUNFLOWER) == "11,25"


def test_the_address_opens_the_formula_in_another_window(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as first, opened(browser, server.url) as second:
        first.type(NAME, "Balm for the ferry")
        assert "formula=" in first.page.url
        again(second, first.page.url)
        assert value(second, NAME) == "Balm for the ferry"


def test_a_killed_server_costs_nothing_that_was_kept(browser: Any, tmp_path: Path) -> None:
    file = tmp_path / "kept.db"
    with served(file=file) as first, opened(browser, first.url) as bench:
        bench.type(SUNFLOWER, "9.75")
        bench.sees("Kept ")
        query = bench.page.url.partition("?")[2]
        os.kill(first.pid, signal.SIGKILL)
    with served(file=file) as second, opened(browser, second.url) as bench:
        again(bench, f"{second.url}/?{query}")
        assert value(bench, SUNFLOWER) == "9.75"


def test_undo_and_redo_walk_through_the_states(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.type(SUNFLOWER, "11")
        bench.type(SUNFLOWER, "13")
        bench.press("Undo")
        assert value(bench, SUNFLOWER) == "11"
        bench.press("Redo")
        assert value(bench, SUNFLOWER) == "13"


@pytest.mark.parametrize(
    ("way", "mine", "theirs"),
    [
        ("Take theirs", "12", "12"),
        ("Put mine on top", "14", "14"),
        ("Keep mine as a formula of its own", "14", "12"),
    ],
    ids=["theirs", "mine", "apart"],
)
def test_two_windows_lose_no_update(browser: Any, server: Served, way: str, mine: str, theirs: str) -> None:
    with opened(browser, server.url) as first, opened(browser, server.url) as second:
        first.type(SUNFLOWER, "11")
        address = first.page.url
        again(second, address)
        first.type(SUNFLOWER, "12")
        second.type(SUNFLOWER, "14")
        second.sees("changed in another window in the meantime")
        assert [c.strip() for c in second.row("sunflower oil, amount")[1:]] == ["12", "14"]
        second.press(way)
        assert value(second, SUNFLOWER) == mine
        again(first, address)
        assert value(first, SUNFLOWER) == theirs


def test_a_formula_is_found_and_opened_again(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.type(NAME, "Harbour balm")
        bench.press("Start with an empty sheet")
        visit(bench, "Kept work")
        bench.type("Search in names and ingredients", "harbour sunflower")
        bench.press("Open")
        assert value(bench, NAME) == "Harbour balm"


def test_an_older_version_is_compared_and_restored(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.type(SUNFLOWER, "11")
        bench.type(SUNFLOWER, "15")
        visit(bench, "Kept work")
        assert [c.strip() for c in bench.row("sunflower oil, amount")[1:]] == ["11", "15"]
        bench.press("Restore version 2")
        visit(bench, "Oils and emulsifiers")
        assert value(bench, SUNFLOWER) == "11"


def test_script_in_names_stays_text(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.type(NAME, SCRIPT)
        bench.press("Mark this state")
        bench.type(re.compile("^Why version"), SCRIPT)
        visit(bench, "Kept work")
        bench.sees(SCRIPT)
        bench.page.get_by_label("Who works here", exact=True).fill(SCRIPT)
        bench.page.keyboard.press("Enter")
        bench.settle()
        visit(bench, "Own values")
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


def test_an_own_value_leads_and_can_be_withdrawn(browser: Any, tmp_path: Path) -> None:
    with served(file=tmp_path / "own.db") as running, opened(browser, running.url) as bench:
        before = bench.row("Required HLB of the oil phase")
        visit(bench, "Own values")
        bench.add("Ingredient", "sunflower oil")
        bench.page.get_by_label("Figure [HLB]", exact=True).fill("9")
        bench.press("Keep this figure")
        bench.sees("required HLB o/w 9.0 (8.5 to 9.5)")
        visit(bench, "Oils and emulsifiers")
        assert bench.row("Required HLB of the oil phase") != before
        visit(bench, "Own values")
        bench.page.get_by_role("button", name="Take out of use").click()
        bench.settle()
        visit(bench, "Oils and emulsifiers")
        assert bench.row("Required HLB of the oil phase") == before


def exported(bench: Bench) -> bytes:
    with bench.page.expect_download() as download:
        bench.page.get_by_role("button", name="Export of everything").first.click()
    return Path(download.value.path()).read_bytes()


def test_everything_moves_to_another_computer(browser: Any, tmp_path: Path) -> None:
    with served(file=tmp_path / "a.db") as first, opened(browser, first.url) as bench:
        bench.type(NAME, "Lighthouse cream")
        visit(bench, "Kept work")
        held = exported(bench)
    listed = json.loads(zipfile.ZipFile(io.BytesIO(held)).read("manifest.json"))
    assert listed["schema"] == "hlbcore kept work"
    with served(file=tmp_path / "b.db") as second, opened(browser, second.url) as bench:
        visit(bench, "Kept work")
        bench.page.locator("input[type=file]").set_input_files(
            {"name": "kept_work.zip", "mimeType": "application/zip", "buffer": held}
        )
        bench.sees("comes in as a new formula with 2 versions")
        bench.press("Import what is listed")
        bench.sees("All of it is here already.")
        bench.press("Open")
        assert value(bench, NAME) == "Lighthouse cream"


def test_a_class_shares_nothing_and_leaves_nothing(browser: Any, tmp_path: Path) -> None:
    file = tmp_path / "class.db"
    with (
        served(file=file, options=("--", "--classroom")) as running,
        opened(browser, running.url) as first,
        opened(browser, running.url) as second,
    ):
        first.sees("kept in this browser tab only")
        first.type(NAME, "Answer of the first")
        address = first.page.url
        visit(second, "Kept work")
        second.sees("None yet.")
        again(second, address)
        assert value(second, NAME) == hlb.example_sheet().title
        with hlb.Store(in_memory=True) as held:
            assert hlb.plan_import(held, exported(first)).items[0].name == "Answer of the first"
    assert not file.exists()
