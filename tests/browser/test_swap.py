"""The page Swap in a real browser: asked, answered, accepted, taken back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from bench import WIDTHS, Bench, opened
from serving import Served

import hlbcore as hlb


@contextmanager
def swapping(browser: Any, url: str, width: str = "desktop") -> Iterator[Bench]:
    with opened(browser, url, WIDTHS[width], path="swap", heading="Swap") as bench:
        bench.sees("Say what goes out and what comes in")
        yield bench


def swap(bench: Bench, out: str, into: str) -> None:
    bench.add("Goes out", out)
    bench.add("Comes in", into)
    bench.page.keyboard.press("Escape")
    bench.settle()


def test_a_butter_is_swapped_accepted_and_taken_back(browser: Any, server: Served) -> None:
    made = hlb.swap(hlb.example_formula(), out="shea butter", into="mango butter")
    with swapping(browser, server.url) as bench:
        swap(bench, "shea butter", "mango butter")
        bench.sees("First answer")
        bench.sees(re.compile(re.escape(made.answer[:40])))
        bench.press("Accept as a new version")
        bench.sees(re.compile("as version 2"))
        bench.visit("Kept work")
        bench.sees("shea butter swapped for mango butter")
        bench.visit("Formula")
        bench.ready()
        assert bench.amount("mango butter").input_value() == "5"
        bench.press("Undo")
        bench.amount("shea butter").wait_for()
        assert bench.amount("shea butter").input_value() == "5"


@pytest.mark.parametrize(
    ("into", "words"),
    [("shea butter", "figure"), ("<b>house</b> butter", "<b>house</b> butter")],
    ids=["itself", "markup"],
)
def test_what_cannot_be_swapped_is_told_in_place(browser: Any, server: Served, into: str, words: str) -> None:
    with swapping(browser, server.url, "phone") as bench:
        swap(bench, "shea butter", into)
        bench.sees(words)
        assert bench.page.get_by_text("First answer").count() == 0
        assert bench.page.locator("[data-testid=stException]").count() == 0
