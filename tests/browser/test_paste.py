"""A list from a spreadsheet lands in the tables of the page."""

from __future__ import annotations

from typing import Any

from bench import opened
from serving import Served

import hlbcore as hlb

LIST = (
    "Ingredient\t%\nshea butter\t6\nsunflower oil\t12,5\nhouse oil\t3\nattic wax\t1\n"
    "sorbitan stearate\t2.4\npolysorbate 60\t1.6\nwater\t73,5\n"
)


def test_a_list_with_tabs_lands_in_both_tables_and_unknown_names_are_asked(
    browser: Any, server: Served
) -> None:
    with opened(browser, server.url) as bench:
        bench.open("Paste a list from a spreadsheet or a text file")
        bench.page.get_by_role("textbox", name="Names and amounts, a line each").fill(LIST)
        bench.press("Put the list in the table")
        shown = {
            b.get_attribute("aria-label"): b.input_value() for b in bench.page.get_by_role("textbox").all()
        }
        assert shown["shea butter [%]"].startswith("6")
        assert shown["sunflower oil [%]"].startswith("12,5")
        assert "cocoa butter [%]" not in shown
        bench.sees("'house oil' is not in the tables.")
        bench.sees("'attic wax' is not in the tables.")
        bench.sees("Not part of the oil phase: water.")
        required = hlb.required_hlb({"shea butter": 6, "sunflower oil": 12.5})
        assert bench.row("Required HLB of the oil phase")[1] == f"{required.value:.1f}"
        bench.type("A required HLB for house oil", "8")
        bench.sees("'attic wax' is not in the tables.")
        assert bench.page.get_by_text("'house oil' is not in the tables.").count() == 0
        bench.type("A required HLB for attic wax", "10 to 12")
        required = hlb.required_hlb(
            {"shea butter": 6, "sunflower oil": 12.5, "house oil": 3, "attic wax": 1},
            values={"house oil": 8, "attic wax": hlb.Estimate(11, 10, 12)},
        )
        assert bench.row("Required HLB of the oil phase")[1] == f"{required.value:.1f}"


def test_pasted_emulsifiers_bring_their_amounts_in_use(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.open("Paste a list from a spreadsheet or a text file")
        bench.page.get_by_role("textbox", name="Names and amounts, a line each").fill(LIST)
        bench.press("Put the list in the table")
        bench.press("Amounts", nth=0)
        box = bench.page.get_by_label("sorbitan stearate: in use now [% of the formula]", exact=True)
        assert box.input_value().startswith("2.4")
