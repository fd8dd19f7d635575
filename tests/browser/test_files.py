"""Lists and files into the formula page and out of it: they ask what they replace."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from bench import WIDTHS, Bench, opened
from serving import Served

import hlbcore as hlb

LIST = (
    "Ingredient\t%\nshea butter\t6\nsunflower oil\t12,5\nhouse oil\t3\nattic wax\t1\n"
    "sorbitan stearate\t2.4\npolysorbate 60\t1.6\nwater\t73,5\n"
)
WORKED = hlb.work_out(hlb.example_formula())
REPLACES = f"It replaces all {len(WORKED.formula.lines)} lines"


def fetched(bench: Bench, label: str) -> bytes:
    with bench.page.expect_download() as waiting:
        bench.page.get_by_role("button", name=label, exact=True).first.click()
    return Path(waiting.value.path()).read_bytes()


def test_files_are_those_of_the_core(browser: Any, server: Served) -> None:
    drawing = hlb.plots.of_formula(WORKED, "axis")
    with opened(browser, server.url) as bench:
        for part in (
            "Take the formula along: JSON, CSV",
            "Where the figures come from",
            "Pictures to keep or print",
        ):
            bench.open(part)
            bench.settle()
        assert fetched(bench, "Blend as CSV") == hlb.cells.to_csv(hlb.tables.blend_table(WORKED))
        assert fetched(bench, "Formula as JSON") == WORKED.formula.to_json().encode()
        assert fetched(bench, "Sources as CSV") == hlb.cells.to_csv(hlb.tables.sources_of(WORKED))
        bench.choose("Picture", "HLB axis with every emulsifier")
        assert fetched(bench, "Figure axis as SVG") == hlb.plots.to_svg(drawing)
        assert fetched(bench, "Figure axis as PNG") == hlb.plots.to_png(drawing)


def test_a_list_with_tabs_lands_and_unknown_names_are_asked(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.press("Paste a list")
        box = bench.page.get_by_label("A name and an amount a line", exact=True)
        box.fill(LIST)
        box.press("Control+Enter")
        bench.settle()
        bench.press(REPLACES)
        for name, amount in (("shea butter", "6"), ("sunflower oil", "12,5"), ("sorbitan stearate", "2.4")):
            assert bench.amount(name).input_value() == amount
        assert bench.amount("cocoa butter").count() == 0
        assert "Your amounts" in bench.page.locator(".who").inner_text()
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


def upload(bench: Bench, path: Path) -> None:
    bench.press("Open")
    bench.page.locator("input[type=file]").set_input_files(path)
    bench.page.wait_for_timeout(300)
    bench.settle()


def test_a_file_is_opened_and_a_broken_one_loses_nothing(
    browser: Any, server: Served, tmp_path: Path
) -> None:
    good, broken, recipe = (tmp_path / name for name in ("good.json", "broken.json", "recipe.csv"))
    good.write_text(hlb.example_formula("evening_cleansing_balm").to_json(), "utf-8")
    broken.write_text(json.dumps({"schema": "a recipe"}), "utf-8")
    recipe.write_text("name;%\nolive oil;25\npolysorbate 60;4\nwater;71\n", "utf-8")
    with opened(browser, server.url, WIDTHS["phone"]) as bench:
        upload(bench, recipe)
        bench.sees("What does it replace?")
        bench.press(REPLACES)
        assert bench.amount("olive oil").input_value() == "25"
        upload(bench, good)
        bench.amount("sunflower oil").wait_for()
        assert bench.amount("sunflower oil").input_value() == "38"
        upload(bench, broken)
        bench.sees("it is another kind of file")
        assert bench.amount("sunflower oil").input_value() == "38"
        assert bench.fits()
