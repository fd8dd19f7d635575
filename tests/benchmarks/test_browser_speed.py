"""Speed in a real browser, as ratios to a bare page in the same run; prints, asserts no time."""

from __future__ import annotations

import os
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))  # the server and the browser
from bench import Bench
from serving import Served, browser_path, clear, launched, served

pytestmark = [pytest.mark.benchmark, pytest.mark.browser]
ROUNDS = 5
EDITS = 20
BARE = """
import streamlit as st

value = st.text_input("Amount", "9", key="amount")
st.markdown(f"Twice that is {value} and {value}")
"""
FIELDS = {
    "Formula": ("sunflower oil, amount in %", 9, "{:g}"),
    "Ladder": ("Middle [HLB]", 9, "{:g}"),
    "Batch": ("Mass to make", 500, "{:g} g"),
    "Cost": ("Batch", 500, "{:g} g"),
    "Label": ("One package holds [g or ml]", 50, "{:g}"),
    "Swap": ("Own figure of what comes in [HLB]", 7, "{:g}"),
    "Shelf": ("HLB asked", 9, "{:g}"),
}
"""A field of each page, where its numbers begin, and how they are typed. In the jar has none that always
changes what is shown."""

WATCH = """() => {
    window.changed = 0;
    const noted = new MutationObserver(() => { window.changed = performance.now(); });
    const main = document.querySelector('[data-testid=stMain]');
    noted.observe(main, {subtree: true, childList: true, characterData: true});
    const press = e => { if (e.key === 'Enter') window.pressed = performance.now(); };
    document.addEventListener('keydown', press, true);
}"""
"""Notes when Enter was pressed, and when the page changed last."""

TICKS = os.sysconf("SC_CLK_TCK") if hasattr(os, "sysconf") else 100


def cpu_s(pid: int) -> float:
    """Processor time that a process has taken; 0 where the system does not tell."""
    stat = Path(f"/proc/{pid}/stat")
    if not stat.exists():
        return 0.0
    parts = stat.read_text().rpartition(")")[2].split()
    return (int(parts[11]) + int(parts[12])) / TICKS


def median_s(once: Callable[[int], float]) -> float:
    """Median seconds of several rounds; the first, which warms up, is left out."""
    return statistics.median([once(n) for n in range(ROUNDS + 1)][1:])


def first_load_s(browser: Any, url: str, shown: str) -> float:
    """Seconds from navigation until the result is visible, in a fresh context each time."""

    def once(_: int) -> float:
        context = browser.new_context()
        page = context.new_page()
        begin = time.perf_counter()
        page.goto(url, wait_until="commit")
        page.locator(shown).first.wait_for(timeout=30_000)
        took = time.perf_counter() - begin
        context.close()
        return took

    return median_s(once)


def edits_s(page: Any, field: Any, seen: Any, texts: list[str], pid: int) -> tuple[float, float]:
    """Median seconds from Enter in a field until the answer has changed, and mean processor time."""
    took, before_cpu = [], 0.0
    for n, text in enumerate(texts):
        if n == 1:  # the first warms up
            before_cpu = cpu_s(pid)
        before = seen.text_content()
        field.fill(text)
        begin = time.perf_counter()
        field.press("Enter")
        while seen.text_content() == before:
            time.sleep(0.002)
        took.append(time.perf_counter() - begin)
        page.wait_for_timeout(400)
    return statistics.median(took[1:]), (cpu_s(pid) - before_cpu) / (len(texts) - 1)


def test_first_load_and_rerun_beside_a_bare_page(tmp_path: Path) -> None:
    if not browser_path():
        pytest.fail("no Chromium or Chrome on the PATH")
    from playwright.sync_api import sync_playwright

    bare = tmp_path / "bare.py"
    bare.write_text(BARE, encoding="utf-8")
    with sync_playwright() as playwright, served() as ours, served(bare) as plain:
        browser = launched(playwright)
        loads = (
            first_load_s(browser, ours.url, ".verdict-line"),
            first_load_s(browser, plain.url, "text=Twice that is"),
        )
        page = browser.new_page()
        page.goto(ours.url)
        page.locator(".line-list").wait_for()
        page.wait_for_timeout(2500)
        box = page.get_by_label("sunflower oil, amount in %", exact=True)
        texts = [f"{9 + n / 2:g}" for n in range(1, EDITS + 2)]
        mine = edits_s(page, box, page.locator(".sum"), texts, ours.pid)
        other = browser.new_page()
        other.goto(plain.url)
        field = other.get_by_label("Amount", exact=True)
        field.wait_for()
        other.wait_for_timeout(1000)
        theirs = edits_s(other, field, other.get_by_text("Twice that is").first, texts, plain.pid)
        browser.close()
    print(f"\nfirst load: {loads[0] / loads[1]:.2f} times a bare page", end="")
    print(f" ({loads[0]:.2f} s, {loads[1]:.2f} s)")
    print(f"an edit: {mine[0] / theirs[0]:.2f} times a bare page", end="")
    print(f" ({1000 * mine[0]:.0f} ms, {1000 * theirs[0]:.0f} ms)")
    if theirs[1]:
        print(f"processor time of an edit: {mine[1] / theirs[1]:.2f} times a bare page", end="")
        print(f" ({1000 * mine[1]:.0f} ms, {1000 * theirs[1]:.0f} ms)")


def once(page: Any, label: str, text: str) -> float:
    """Seconds from Enter in a field until the page has changed for the last time."""
    box = page.get_by_label(label, exact=True)
    box.fill(text)
    page.evaluate("window.pressed = Infinity")
    box.press("Enter")
    # what changes within 20 ms is the field itself: no server answers so soon
    page.wait_for_function("window.changed > window.pressed + 20 && performance.now() - window.changed > 600")
    return float(page.evaluate("window.changed - window.pressed")) / 1000


def watched(browser: Any, server: Served, name: str) -> Any:
    """A page of the app in a tab of its own, ready for its field to be typed in."""
    clear(server.url)
    bench = Bench(browser.new_page())
    bench.page.goto(server.url)
    bench.page.locator(".line-list").wait_for()
    if name != "Formula":
        bench.visit(name)
    if name == "Swap":
        bench.add("Goes out", "shea butter")
        bench.add("Comes in", "mango butter")
        bench.page.keyboard.press("Escape")
        bench.sees("First answer")
    if name == "Shelf":
        bench.add("Emulsifiers that I have", "sorbitan oleate")
        bench.add("Emulsifiers that I have", "polysorbate 80")
        bench.page.keyboard.press("Escape")
    bench.page.wait_for_timeout(2000)
    bench.page.evaluate(WATCH)
    return bench.page


def test_an_edit_on_each_page_beside_a_bare_page(tmp_path: Path) -> None:
    from playwright.sync_api import sync_playwright

    bare = tmp_path / "bare.py"
    bare.write_text(BARE, encoding="utf-8")
    with sync_playwright() as playwright, served() as ours, served(bare) as plain:
        browser = launched(playwright)
        other = browser.new_page()
        other.goto(plain.url)
        other.get_by_label("Amount", exact=True).wait_for()
        other.wait_for_timeout(1000)
        other.evaluate(WATCH)
        for name, (label, start, form) in FIELDS.items():
            page = watched(browser, ours, name)
            took, theirs, cpu = [], [], [0.0, 0.0]
            for n in range(2 * ROUNDS + 1):
                before = cpu_s(ours.pid), cpu_s(plain.pid)
                took.append(once(page, label, form.format(start + (n + 1) / 5)))
                theirs.append(once(other, "Amount", f"{name} {n}"))
                if n:  # the first warms up
                    cpu[0] += cpu_s(ours.pid) - before[0]
                    cpu[1] += cpu_s(plain.pid) - before[1]
            page.close()
            mine, its = statistics.median(took[1:]), statistics.median(theirs[1:])
            print(f"\n{name}: an edit {mine / its:.2f} times a bare page", end="")
            print(f" ({1000 * mine:.0f} ms, {1000 * its:.0f} ms)", end="")
            if cpu[1]:
                print(f", processor time {cpu[0] / cpu[1]:.2f} times", end="", flush=True)
        browser.close()
    print()
