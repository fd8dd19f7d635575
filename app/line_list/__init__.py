"""One list for all pages: lines in groups, or a table of cells, with an input for each amount.

The caller gives texts and gets texts: what a line means and what follows from an amount is worked out
elsewhere. Show the list last on its page, so that the next keystroke never cuts off the rest.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import streamlit as st

from line_list.content import (
    Adding,
    Cells,
    Choice,
    Column,
    Field,
    Group,
    Lines,
    Mark,
    Name,
    Names,
    Piece,
    Problem,
    Row,
    data_of,
    said_in,
)
from line_list.edits import Added, Edit, Edits, Moved, Pasted, Pressed, Removed, Typed, edits_of

__all__ = [
    "Added",
    "Adding",
    "Cells",
    "Choice",
    "Column",
    "Edit",
    "Edits",
    "Field",
    "Group",
    "Lines",
    "Mark",
    "Moved",
    "Name",
    "Names",
    "Pasted",
    "Piece",
    "Pressed",
    "Problem",
    "Removed",
    "Row",
    "Typed",
    "line_list",
]

HERE = Path(__file__).parent
# one module for the browser: only the last part exports
SCRIPTS = ("outbox.js", "matching.js", "parts.js", "lines.js", "adding.js", "cells.js", "list.js")


def script() -> str:
    """The parts of the script as one."""
    return "\n".join(HERE.joinpath(name).read_text("utf-8") for name in SCRIPTS)


_show = st.components.v2.component(
    "line_list",
    html=HERE.joinpath("list.html").read_text("utf-8"),
    css=HERE.joinpath("list.css").read_text("utf-8"),
    js=script(),
)


@dataclass(slots=True)
class _Held:
    """What this session knows of one list: the number taken last, and the names the page holds."""

    to: str
    taken: int = 0
    holds: str = ""


def line_list(
    content: Lines | Cells,
    *,
    key: str,
    on_edits: Callable[[Edits], object],
    says: Callable[[str], str] | None = None,
) -> None:
    """The list on the page; `on_edits` is called with what was typed, before the page runs again.

    `says` turns words of the tool into the units of who reads them.

    Edits that were taken are not given twice. Text that no run has taken yet is kept by the browser
    under the key, also over a reload: use another key for another formula.
    """
    name = f"{key} held"
    if name not in st.session_state:
        st.session_state[name] = _Held(secrets.token_hex(8))
    held: _Held = st.session_state[name]

    def waiting() -> Edits:
        state = st.session_state.get(key) or {}
        return edits_of(state.get("sent"), to=held.to, after=held.taken)

    def take() -> None:
        edits = waiting()
        held.holds = edits.holds
        if edits:
            on_edits(edits)
        # only now: what a run did not finish to take is given again
        held.taken = edits.order

    if waiting():  # the run that should have taken them was cut off
        take()
        st.rerun()
    if says is not None:
        content = said_in(content, says)
    _show(
        key=key,
        data=data_of(content, key=key, to=held.to, taken=held.taken, holds=held.holds),
        on_sent_change=take,
    )
