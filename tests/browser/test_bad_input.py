"""What cannot be used is told in place, as text, and blanks nothing else."""

from __future__ import annotations

from typing import Any

from bench import opened
from serving import Served

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
