"""The formula: all lines in one list, and the answer beside it; every edit is worked out at once."""

from __future__ import annotations

import streamlit as st
from aims import asked, known, what_it_is
from bar import bar
from card import answer
from details import details
from editing import neighbour, swapped_lines, with_line, with_new_line, without_line
from line_list import Added, Edit, Edits, Moved, Pasted, Pressed, Removed, Typed, line_list
from rows import first_phase, shown
from starting import begin, mends, take_text
from state import FormulaDraft, draft, library
from worked import worked

from hlbcore.errors import clipped
from hlbcore.limits import FORMULA_LINES_MOST

NAME_MOST = 200
FIELD_MOST = 500


def take(now: FormulaDraft, edits: Edits) -> None:
    """What was typed and done in the list, in order."""
    with now.lock:
        for edit in edits:
            one(now, edit)


def one(now: FormulaDraft, edit: Edit) -> None:
    if isinstance(edit, Added):
        if len(now.formula.lines) >= FORMULA_LINES_MOST:
            now.told = f"A formula holds at most {FORMULA_LINES_MOST} lines."
            return
        phase = edit.group or first_phase(now.formula)
        name = edit.typed.strip() if edit.known and edit.typed.strip() in names_of(edit.name) else edit.name
        now.formula = with_new_line(now.formula, clipped(name, NAME_MOST), phase)
        now.ids.append(edit.row)
        return
    if isinstance(edit, Pasted):
        take_text(now, edit.text)
        return
    if edit.row not in now.ids:  # a line that is gone
        return
    n = now.ids.index(edit.row)
    if isinstance(edit, Typed):
        now.formula = with_line(now.formula, n, edit.field, clipped(edit.text, FIELD_MOST))
    elif isinstance(edit, Removed):
        now.formula = without_line(now.formula, n)
        del now.ids[n]
    elif isinstance(edit, Moved):
        m = neighbour(now.formula, n, up=edit.up)
        if m is not None:
            now.formula = swapped_lines(now.formula, n, m)
            now.ids[n], now.ids[m] = now.ids[m], now.ids[n]
    elif isinstance(edit, Pressed):
        press(now, n, edit.field)


def press(now: FormulaDraft, n: int, field: str) -> None:
    """A name or a reading that was one press away."""
    if field.startswith("is "):
        now.formula = with_line(now.formula, n, "name", field.removeprefix("is "))
    elif field.startswith("own "):
        now.formula = with_line(now.formula, n, "own", field.removeprefix("own "))


def names_of(name: str) -> tuple[str, ...]:
    """All names of an ingredient, as the tables write them."""
    found = library().find(name)
    return (found.common_name, found.inci, *found.aliases)


def page() -> None:
    now = draft()
    left, right = st.columns([62, 38], gap="large")
    with right:
        answer(now)
    with left:
        begin()
        bar()
        what_it_is(now)
        lines = st.container(key="lines")  # filled last: a keystroke cuts off nothing that stands below
        mends(now)
        asked(now)
        known(now)
        details(now)
    with lines:
        content = shown(worked(now.formula), now.ids, library())
        line_list(content, key=f"lines {now.key}", on_edits=lambda edits: take(now, edits))


page()
