"""Speed in a real browser, as ratios to a bare page in the same run; prints, asserts no time."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))  # the server and the browser
from serving import browser_path, launched, served

pytestmark = [pytest.mark.benchmark, pytest.mark.browser]
ROUNDS = 7
BARE = """
import streamlit as st

value = st.slider("Amount", 0, 100, 9, key="amount")
st.markdown(f"Twice that is {value} and {value}")
"""


def median_s(once: Callable[[int], float]) -> float:
    """Median seconds of several rounds; the first, which warms up, is left out."""
    return statistics.median([once(n) for n in range(ROUNDS + 1)][1:])


def first_load_s(browser: Any, url: str, words: str) -> float:
    """Seconds from navigation until the result is visible, in a fresh context each time."""

    def once(_: int) -> float:
        context = browser.new_context()
        page = context.new_page()
        begin = time.perf_counter()
        page.goto(url, wait_until="commit")
        page.get_by_text(words).first.wait_for(timeout=30_000)
        took = time.perf_counter() - begin
        context.close()
        return took

    return median_s(once)


def rerun_s(page: Any, field: Any, key: str, seen: Callable[[], str], texts: list[str]) -> float:
    """Seconds from a key press in a field until the text of the result has changed."""

    def once(n: int) -> float:
        before = seen()
        if texts:
            field.fill(texts[n])
        page.wait_for_timeout(300)
        begin = time.perf_counter()
        field.press(key)
        while seen() == before:
            time.sleep(0.002)
        return time.perf_counter() - begin

    return median_s(once)


def test_first_load_and_rerun_beside_a_bare_page(tmp_path: Path) -> None:
    if not browser_path():
        pytest.fail("no Chromium or Chrome on the PATH")
    from playwright.sync_api import sync_playwright

    bare = tmp_path / "bare.py"
    bare.write_text(BARE, encoding="utf-8")
    with sync_playwright() as playwright, served() as ours, served(bare) as plain:
        browser = launched(playwright)
        loads = (
            first_load_s(browser, ours.url, "Required HLB of the oil phase"),
            first_load_s(browser, plain.url, "Twice that is"),
        )
        page = browser.new_page()
        page.goto(ours.url)
        page.get_by_text("Another figure").first.wait_for()
        page.wait_for_timeout(1500)
        box = page.get_by_label("sunflower oil [%]", exact=True)
        amounts = [str(12 + 3 * n) for n in range(ROUNDS + 1)]
        status = page.get_by_role("status").first
        ours_rerun = rerun_s(page, box, "Enter", status.inner_text, amounts)
        other = browser.new_page()
        other.goto(plain.url)
        slider = other.get_by_role("slider").first
        slider.wait_for()
        other.wait_for_timeout(1000)
        line = other.get_by_text("Twice that is").first
        bare_rerun = rerun_s(other, slider, "ArrowRight", line.inner_text, [])
        browser.close()
    print(f"\nfirst load: {loads[0] / loads[1]:.2f} times a bare page", end="")
    print(f" ({loads[0]:.2f} s, {loads[1]:.2f} s)")
    print(f"rerun after an edit: {ours_rerun / bare_rerun:.2f} times a bare page", end="")
    print(f" ({1000 * ours_rerun:.0f} ms, {1000 * bare_rerun:.0f} ms)")
