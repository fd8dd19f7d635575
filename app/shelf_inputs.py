"""What is asked of the shelf: what stands on it, and for which HLB."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import streamlit as st
from parts import field_error, named, picker_options
from state import ShelfDraft, library

from hlbcore.shelf.sheet import ShelfOutcome

ORDERS = {
    "": "As the tool would choose",
    "closest": "Nearest HLB",
    "most tolerant": "Most tolerant of doubt",
    "cheapest": "Cheapest",
    "least total": "Least emulsifier",
}
SIZES = {1: "one alone", 2: "up to two", 3: "up to three"}
SHUT = {"PEG-based": "PEG-based", "solids": "solids", "palm": "named after the palm"}


def ticks(now: ShelfDraft) -> None:
    """The emulsifiers on the shelf, ticked from the tables."""
    options = picker_options("emulsifier", library())
    on = [n for n in now.stock.emulsifiers(library()) if n in options]
    key = f"shelf_ticks_{now.key}_{len(now.ids)}"

    def tick() -> None:
        with now.lock:
            now.put(now.stock.ticked(st.session_state[key], options, library()))

    st.multiselect(
        "Emulsifiers that I have",
        list(options),
        on,
        key=key,
        on_change=tick,
        format_func=named,
        placeholder="Type a name",
        select_all=False,  # else Enter takes all that match what was typed
        help="Kept with your work; the formula page takes from these first",
    )


def asked(now: ShelfDraft, made: ShelfOutcome, product: str) -> None:
    """For which HLB, dose and window, in which order, and what is left out."""
    errors: Mapping[str, str] = made.errors
    with st.container(horizontal=True):
        text(now, "target", "HLB asked", "" if made.target is None else f"{made.target:.1f}")
        text(now, "total", "Dose [% of the formula]", span(made.total))
        text(now, "window", "Window, ± [HLB]", "as the formula")
    for name in ("target", "total", "window", "screen"):
        field_error(errors, name)
    with st.container(horizontal=True):
        choice(now, "most", "Emulsifiers in a system", SIZES)
        choice(now, "objective", "Order", ORDERS)
    key = "shelf_exclude"

    def shut() -> None:
        now.asked = replace(now.asked, exclude=tuple(st.session_state[key]))

    st.multiselect(
        "Leave out",
        list(SHUT),
        list(now.asked.exclude),
        key=key,
        on_change=shut,
        format_func=SHUT.get,
        placeholder="Nothing",
        help="Of palm the tables know the name only: ask your supplier about the rest",
    )

    def whole() -> None:
        now.asked = replace(now.asked, whole_table=st.session_state["shelf_whole"])

    st.toggle(
        "All emulsifiers of the tables instead",
        now.asked.whole_table,
        key="shelf_whole",
        on_change=whole,
        help="Every single, pair and triple of all that HLB may judge",
    )


def span(ends: tuple[float, float]) -> str:
    low, high = ends
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def text(now: ShelfDraft, name: str, label: str, usual: str) -> None:
    key = f"shelf_{name}"

    def put() -> None:
        now.asked, now.chosen = replace(now.asked, **{name: st.session_state[key] or ""}), 1

    st.text_input(
        label,
        getattr(now.asked, name),
        key=key,
        on_change=put,
        placeholder=usual,
        max_chars=40,
        width=170,
        help="Blank: as the open formula has it",
    )


def choice(now: ShelfDraft, name: str, label: str, words: Mapping) -> None:
    key = f"shelf_{name}"
    options = list(words)

    def put() -> None:
        now.asked, now.chosen = replace(now.asked, **{name: st.session_state[key]}), 1

    st.selectbox(
        label,
        options,
        options.index(getattr(now.asked, name)),
        key=key,
        on_change=put,
        format_func=words.get,
        width=220,
    )
