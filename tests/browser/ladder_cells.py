"""Typing into the table of readings of a ladder."""

from __future__ import annotations

import re

from bench import Bench

CELLS_A_SECOND = 6


def fill(bench: Bench, column: str, texts: tuple[str, ...]) -> None:
    """Type into a column of the table of readings, the vials from the lowest HLB up as in `texts`."""
    rows = bench.page.get_by_role("table", name="Readings, a row a vial").locator(".tr:not(.head)")
    hlbs = [float(t.partition("HLB ")[2]) for t in rows.locator(".what").all_inner_texts()]
    rising = sorted(range(len(hlbs)), key=hlbs.__getitem__)
    wanted = [texts[rising.index(n)] for n in range(len(hlbs))]
    inputs = rows.get_by_label(re.compile(f", {column}$"))
    inputs.first.click()
    for text in wanted:
        bench.page.keyboard.type(text)
        bench.page.keyboard.press("Enter")
        bench.page.wait_for_timeout(1000 / CELLS_A_SECOND)  # as fast as a person types
    bench.settle()
    assert [i.input_value() for i in inputs.all()] == wanted
