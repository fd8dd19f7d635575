"""What cannot be used is told in place, as text, and blanks nothing else."""

from __future__ import annotations

from typing import Any

from bench import opened
from serving import Served

import hlbcore as hlb

SCRIPT = "<img src=x onerror=alert(1)><script>alert(2)</script>"


def test_what_cannot_be_used_is_told_as_text_and_blanks_no_other(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        boxes = bench.page.locator(".line .cells input")
        before = {b.get_attribute("aria-label"): b.input_value() for b in boxes.all()}
        bench.set("sunflower oil", "lots")
        bench.sees("'lots' is not a number")
        after = {b.get_attribute("aria-label"): b.input_value() for b in boxes.all()}
        assert after == before | {"sunflower oil, amount in %": "lots"}
        bench.type("Batch", "1e308")
        bench.sees("is out of range")
        assert bench.page.get_by_label("Batch", exact=True).input_value() == "1e308"
        bench.line(SCRIPT, "4")
        bench.more(SCRIPT)
        bench.in_menu("own figure", "9")
        bench.sees("<script>alert(2)</script>")
        assert bench.page.locator("img[src='x'], img[onerror]").count() == 0
        assert bench.page.locator("script:text('alert(2)')").count() == 0
        assert "oils ask " in bench.strip()
        bench.visit("Ladder")
        bench.visit("Formula")
        bench.ready()
        assert bench.amount("sunflower oil").input_value() == "lots"
        assert bench.dialogs == []


def test_an_unknown_name_is_asked_for_in_place(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        before = bench.strip().partition("oils ask ")[2]
        bench.line("house oil", "5")
        bench.page.get_by_role("button", name="not known: say what it is, house oil").click()
        assert bench.strip().partition("oils ask ")[2] == before
        bench.in_menu("own figure", "12")
        worked = hlb.work_out(hlb.example_formula())
        lines = {x.name: x.pct for x in worked.lines if x.side == "oil"} | {"house oil": 5}
        required = hlb.required_hlb(lines, values={"house oil": 12})
        bench.held(f"oils ask {required.value:.1f}")
        bench.more("house oil")
        bench.line("linden complex", "0.3")
        bench.page.get_by_role("button", name="not known: say what it is, linden complex").click()
        bench.page.locator(".panel").get_by_label("counts as").select_option("preservative")
        bench.page.locator(".line.open .about").get_by_text("preservative").wait_for()
        bench.more("linden complex")
        bench.line("mangoo buter", "5")
        bench.more("mangoo buter")
        bench.press("It is mango butter")
        assert bench.amount("mango butter").input_value() == "5"
