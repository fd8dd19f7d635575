"""A list from a spreadsheet lands in the list of lines, and asks what it replaces."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from bench import Bench, opened
from serving import Served

import hlbcore as hlb

LIST = (
    "Ingredient\t%\nshea butter\t6\nsunflower oil\t12,5\nhouse oil\t3\nattic wax\t1\n"
    "sorbitan stearate\t2.4\npolysorbate 60\t1.6\nwater\t73,5\n"
)


def pasted(bench: Bench) -> None:
    bench.press("Paste a list")
    box = bench.page.get_by_label("A name and an amount a line", exact=True)
    box.fill(LIST)
    box.press("Control+Enter")
    bench.settle()
    bench.press(f"It replaces all {len(hlb.example_formula().lines)} lines")


def test_a_list_with_tabs_lands_and_unknown_names_are_asked(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        pasted(bench)
        assert bench.amount("shea butter").input_value() == "6"
        assert bench.amount("sunflower oil").input_value() == "12,5"
        assert bench.amount("water").input_value() == "73,5"
        assert bench.amount("cocoa butter").count() == 0
        bench.page.get_by_role("button", name="not known: say what it is, house oil").wait_for()
        required = hlb.required_hlb({"shea butter": 6, "sunflower oil": 12.5})
        bench.held(f"oils ask {required.value:.1f}")
        for name, own in (("house oil", "8"), ("attic wax", "10 to 12")):
            bench.more(name)
            bench.in_menu("own figure", own)
        required = hlb.required_hlb(
            {"shea butter": 6, "sunflower oil": 12.5, "house oil": 3, "attic wax": 1},
            values={"house oil": 8, "attic wax": hlb.Estimate(11, 10, 12)},
        )
        bench.held(f"oils ask {required.value:.1f}")


def test_pasted_emulsifiers_keep_their_amounts(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        pasted(bench)
        assert bench.amount("sorbitan stearate").input_value() == "2.4"
        assert "Your amounts" in bench.page.locator(".who").inner_text()


def test_a_recipe_file_asks_what_it_replaces(browser: Any, server: Served, tmp_path: Path) -> None:
    file = tmp_path / "recipe.csv"
    file.write_text("name;%\nolive oil;25\npolysorbate 60;4\nwater;71\n", "utf-8")
    with opened(browser, server.url) as bench:
        bench.press("Open")
        bench.page.locator("input[type=file]").set_input_files(file)
        bench.sees("What does it replace?")
        bench.press(f"It replaces all {len(hlb.example_formula().lines)} lines")
        assert bench.amount("olive oil").input_value() == "25"
