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


def test_a_reload_shows_what_was_typed(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.set(SUNFLOWER, "11,25")
        bench.sees(re.compile(r"Kept .* as version"))
        again(bench, bench.page.url)
        assert amount(bench) == "11,25"


def test_the_address_opens_the_formula_in_another_window(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as first, opened(browser, server.url) as second:
        first.type(NAME, "Balm for the ferry")
        assert "formula=" in first.page.url
        again(second, first.page.url)
        assert value(second, NAME) == "Balm for the ferry"


def test_a_killed_server_costs_nothing_that_was_kept(browser: Any, tmp_path: Path) -> None:
    file = tmp_path / "kept.db"
    with served(file=file) as first, opened(browser, first.url) as bench:
        bench.set(SUNFLOWER, "9.75")
        bench.sees(re.compile(r"Kept .* as version"))
        query = bench.page.url.partition("?")[2]
        os.kill(first.pid, signal.SIGKILL)
    with served(file=file) as second, opened(browser, second.url, fresh=False) as bench:
        again(bench, f"{second.url}/?{query}")
        assert amount(bench) == "9.75"


def test_undo_and_redo_walk_through_the_states(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.set(SUNFLOWER, "11")
        bench.set(SUNFLOWER, "13")
        bench.press("Undo")
        assert amount(bench) == "11"
        bench.press("Redo")
        assert amount(bench) == "13"


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
        first.press("Type my own")
        first.line(SUNFLOWER, "11")
        address = first.page.url
        again(second, address)
        first.set(SUNFLOWER, "12")
        second.set(SUNFLOWER, "14")
        second.sees("changed in another window in the meantime")
        assert [c.strip() for c in second.row("sunflower oil, amount")[1:]] == ["12", "14"]
        second.press(way)
        assert amount(second) == mine
        again(first, address)
        assert amount(first) == theirs


def test_a_formula_is_found_and_opened_again(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.type(NAME, "Harbour balm")
        bench.press("Type my own")
        bench.visit("Kept work")
        bench.type("Search in names and ingredients", "harbour sunflower")
        bench.press("Open Harbour balm")
        bench.ready()
        assert value(bench, NAME) == "Harbour balm"


def test_an_older_version_is_compared_and_restored(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.set(SUNFLOWER, "11")
        bench.set(SUNFLOWER, "15")
        bench.visit("Kept work")
        assert [c.strip() for c in bench.row("sunflower oil, amount")[1:]] == ["11", "15"]
        bench.press("Restore version 2")
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


def test_an_own_value_leads_and_can_be_withdrawn(browser: Any, tmp_path: Path) -> None:
    with served(file=tmp_path / "own.db") as running, opened(browser, running.url) as bench:
        before = bench.strip()
        bench.visit("Own values")
        bench.add("Ingredient", "sunflower oil")
        bench.page.get_by_label("Figure [HLB]", exact=True).fill("9")
        bench.press("Keep this figure")
        bench.sees("required HLB o/w 9.0 (8.5 to 9.5)")
        bench.visit("Formula")
        bench.ready()
        assert bench.strip() != before
        bench.visit("Own values")
        bench.page.get_by_role("button", name="Take out of use: sunflower oil").click()
        bench.settle()
        bench.visit("Formula")
        bench.ready()
        assert bench.strip() == before


def exported(bench: Bench) -> bytes:
    with bench.page.expect_download() as download:
        bench.page.get_by_role("button", name="Export of everything").first.click()
    return Path(download.value.path()).read_bytes()


def test_everything_moves_to_another_computer(browser: Any, tmp_path: Path) -> None:
    with served(file=tmp_path / "a.db") as first, opened(browser, first.url) as bench:
        bench.type(NAME, "Lighthouse cream")
        bench.visit("Kept work")
        held = exported(bench)
    listed = json.loads(zipfile.ZipFile(io.BytesIO(held)).read("manifest.json"))
    assert listed["schema"] == "hlbcore kept work"
    with served(file=tmp_path / "b.db") as second, opened(browser, second.url) as bench:
        bench.visit("Kept work")
        bench.page.locator("input[type=file]").set_input_files(
            {"name": "kept_work.zip", "mimeType": "application/zip", "buffer": held}
        )
        bench.sees("comes in as a new formula with 2 versions")
        bench.press("Import what is listed")
        bench.sees("All of it is here already.")
        bench.press("Open Lighthouse cream")
        bench.ready()
        assert value(bench, NAME) == "Lighthouse cream"


def test_a_class_shares_nothing_and_leaves_nothing(browser: Any, tmp_path: Path) -> None:
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
        with hlb.Store(in_memory=True) as held:
            assert hlb.plan_import(held, exported(first)).items[0].name == "Answer of the first"
    assert not file.exists()


def test_a_new_tab_goes_on_with_the_last_work(browser: Any, tmp_path: Path) -> None:
    with served(file=tmp_path / "last.db") as running:
        with opened(browser, running.url) as bench:
            bench.set(SUNFLOWER, "12,5")
            bench.sees(re.compile(r"Kept .* as version"))
        with opened(browser, running.url, fresh=False) as bench:
            assert amount(bench) == "12,5"
