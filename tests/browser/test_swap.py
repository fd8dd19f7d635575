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
    with opened(browser, url, WIDTHS[width]) as bench:
        bench.visit("Swap")
        bench.sees("Say what goes out and what comes in")
        yield bench


def swap(bench: Bench, out: str, into: str) -> None:
    bench.add("Goes out", out)
    bench.add("Comes in", into)
    bench.page.keyboard.press("Escape")
    bench.settle()


def example() -> hlb.Formula:
    return hlb.example_formula()


@pytest.mark.parametrize("width", ["desktop", "phone"])
def test_a_butter_is_swapped_and_accepted(browser: Any, server: Served, width: str) -> None:
    made = hlb.swap(example(), out="shea butter", into="mango butter")
    with swapping(browser, server.url, width) as bench:
        swap(bench, "shea butter", "mango butter")
        bench.sees("First answer")
        bench.sees(re.compile(re.escape(made.answer[:40])))
        bench.press("Accept as a new version")
        bench.sees(re.compile("as version 2"))
        bench.visit("Formula")
        bench.ready()
        assert bench.amount("mango butter").input_value() == "5"


def test_the_reason_of_a_swap_stands_in_the_history(browser: Any, server: Served) -> None:
    with swapping(browser, server.url) as bench:
        swap(bench, "shea butter", "mango butter")
        bench.press("Accept as a new version")
        bench.visit("Kept work")
        bench.sees("shea butter swapped for mango butter")


def test_undo_takes_an_accepted_swap_back(browser: Any, server: Served) -> None:
    with swapping(browser, server.url) as bench:
        swap(bench, "shea butter", "mango butter")
        bench.press("Accept as a new version")
        bench.press("Undo")
        bench.visit("Formula")
        bench.ready()
        assert bench.amount("shea butter").input_value() == "5"


def test_a_wish_swaps_every_line_that_it_shuts_out(browser: Any, server: Served) -> None:
    with swapping(browser, server.url) as bench:
        bench.open("Wishes for the whole formula, and how to rebalance")
        bench.settle()
        bench.add("Make the whole formula", "PEG-free")
        bench.page.keyboard.press("Escape")
        bench.sees("First answer")
        assert float(bench.row("polysorbate 60")[2]) == 0


@pytest.mark.parametrize(
    ("out", "into", "words"),
    [
        ("shea butter", "shea butter", "figure"),
        ("shea butter", "house butter", "house butter"),
        ("shea butter", "<b>house</b> butter", "<b>house</b> butter"),
    ],
    ids=["itself", "unknown", "markup"],
)
def test_what_cannot_be_swapped_is_told_in_place(
    browser: Any, server: Served, out: str, into: str, words: str
) -> None:
    with swapping(browser, server.url) as bench:
        swap(bench, out, into)
        told = bench.page.get_by_text(words).filter(visible=True)
        assert told.count() > 0
        assert bench.page.get_by_text("First answer").count() == 0
        assert bench.page.locator("[data-testid=stException]").count() == 0


def test_more_than_is_there_is_refused(browser: Any, server: Served) -> None:
    with swapping(browser, server.url) as bench:
        swap(bench, "shea butter", "mango butter")
        bench.type("of it [% of the formula]", "50")
        bench.sees(re.compile("shea butter.*(only|more than)"))
