"""What one edit in the list costs the server, beside a bare page and plain widgets in the same run."""

from __future__ import annotations

import os
import re
import statistics
import sys
import time
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))  # the server and the browser
from serving import ROOT, browser_path, launched, served

pytestmark = [pytest.mark.benchmark, pytest.mark.browser]
EDITS = 20
HEAD = "import time\nimport streamlit as st\n"
FOOT = '\nst.text(f"run {time.perf_counter_ns()}")\n'
BARE = HEAD + 'st.text_input("amount 0", "1", key="a")' + FOOT
PLAIN = (
    HEAD
    + """
for n in range(15):
    name, amount, about = st.columns([4, 1, 2])
    name.markdown(f"ingredient {n}")
    amount.text_input(f"amount {n}", "1", key=f"a{n}", label_visibility="collapsed")
    about.caption("asks for 7 (6 to 8)")
"""
    + FOOT
)
FULL = (
    HEAD
    + """
for n in range(15):
    name, amount, about, more = st.columns([4, 1, 2, 1])
    name.markdown(f"ingredient {n}")
    amount.text_input(f"amount {n}", "1", key=f"a{n}", label_visibility="collapsed")
    about.caption("asks for 7 (6 to 8)")
    with more.popover("more", key=f"p{n}"):
        for field in ("own HLB", "at least", "at most", "price", "note"):
            st.text_input(field, key=f"{field}{n}")
        st.button("Remove", key=f"r{n}")
"""
    + FOOT
)
LIST = (
    f"import sys\nsys.path.insert(0, {str(ROOT / 'app')!r})\n"
    + HEAD
    + """
from line_list import Adding, Column, Field, Group, Lines, Name, Names, Piece, Row, line_list


@st.cache_resource
def names():
    return Names(tuple(Name(f"name {n}", "oil", (f"other {n}", f"third {n}")) for n in range(740)))


texts = st.session_state.setdefault("texts", {f"r{n}": "1" for n in range(15)})


def take(edits):
    texts.update({row: text for row, _, text in edits.texts})


rows = tuple(
    Row(r, f"ingredient {r[1:]}", "oil", {"amount": t, "own": "7"}, (Piece("asks for"), Piece("7", "asked")))
    for r, t in texts.items()
)
fields = tuple(Field(k, k) for k in ("own", "at least", "at most", "price", "note"))
groups = (Group("oil", "Oil phase", {"amount": "15"}),)
lines = Lines("lines", (Column("amount", "amount", "%"),), rows, groups, fields, Adding(names()))
line_list(lines, key="list", on_edits=take)
"""
    + FOOT
)


def cpu_s(pid: int) -> float:
    """CPU seconds of a process so far, of its own and for it."""
    fields = Path(f"/proc/{pid}/stat").read_text("ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def edited(browser: Any, url: str, pid: int, label: str) -> dict[str, float]:
    """CPU and wall time of one edit, and the bytes that went each way; the first edits warm up."""
    page = browser.new_page()
    sizes: dict[str, list[int]] = {"framereceived": [], "framesent": []}
    for kind, seen in sizes.items():
        page.on("websocket", lambda ws, k=kind, s=seen: ws.on(k, lambda frame: s.append(len(frame))))
    page.goto(url)
    box = page.get_by_label(label, exact=True).first
    box.wait_for()
    first = sum(sizes["framereceived"])
    run = page.get_by_text(re.compile(r"^run \d+"))
    page.wait_for_timeout(1500)
    walls = []

    def once(text: str) -> None:
        before = run.inner_text()
        box.fill(text)
        begin = time.perf_counter()
        box.press("Enter")
        while run.inner_text() == before:
            page.wait_for_timeout(5)
        walls.append(time.perf_counter() - begin)
        page.wait_for_timeout(250)

    for n in range(4):
        once(str(50 + n))
    for seen in sizes.values():
        seen.clear()
    begin = cpu_s(pid)
    for n in range(EDITS):
        once(str(10 + n))
    took = cpu_s(pid) - begin
    page.close()
    return {
        "cpu": took / EDITS,
        "wall": statistics.median(walls[4:]),
        "down": sum(sizes["framereceived"]) / EDITS,
        "up": sum(sizes["framesent"]) / EDITS,
        "first": first,
    }


def test_an_edit_in_the_list_beside_a_bare_page_and_plain_widgets(tmp_path: Path) -> None:
    if not browser_path():
        pytest.fail("no Chromium or Chrome on the PATH")
    from playwright.sync_api import sync_playwright

    pages = {"bare": BARE, "plain": PLAIN, "full": FULL, "list": LIST}
    labels = {
        "bare": "amount 0",
        "plain": "amount 3",
        "full": "amount 3",
        "list": "ingredient 3, amount in %",
    }
    found = {}
    with sync_playwright() as playwright:
        browser = launched(playwright)
        for name, text in pages.items():
            script = tmp_path / f"{name}.py"
            script.write_text(text, encoding="utf-8")
            with served(script) as running:
                found[name] = edited(browser, running.url, running.pid, labels[name])
        browser.close()
    bare = found["bare"]
    for name, got in found.items():
        print(
            f"\n{name}: CPU {got['cpu'] / bare['cpu']:.2f} times a bare page ({1000 * got['cpu']:.0f} ms)",
            end="",
        )
        print(f", wall {got['wall'] / bare['wall']:.2f} ({1000 * got['wall']:.0f} ms)", end="")
        print(f", {got['down']:.0f} bytes down and {got['up']:.0f} up an edit", end="")
        print(f", {got['first']:.0f} down at first", end="")
    print()
