"""What was typed and done in the list, taken into the open formula."""

from __future__ import annotations

from editing import neighbour, swapped_lines, with_line, with_new_line, with_whole_line, without_line
from line_list import Added, Edit, Edits, Moved, Pasted, Pressed, Removed, Typed
from rows import KEEP_SHEET, first_phase
from starting import take_text
from state import FormulaDraft, learn, store

import hlbcore as hlb
from hlbcore.errors import clipped
from hlbcore.formula.sheets import sheet_of_line, without_sheet
from hlbcore.limits import FORMULA_LINES_MOST

NAME_MOST = 200  # [characters]
FIELD_MOST = 500
AMOUNTS = ("amount", "own", "low", "high", "active", "price", "supplier_rate", "oil_limit")
"""Fields whose text tells how this user writes numbers and masses."""


def take(now: FormulaDraft, edits: Edits, tables: hlb.Library) -> None:
    """What was typed and done in the list, in order."""
    with now.lock:
        for edit in edits:
            one(now, edit, tables)


def one(now: FormulaDraft, edit: Edit, tables: hlb.Library) -> None:
    """One edit of the list."""
    if isinstance(edit, Added):
        if len(now.formula.lines) >= FORMULA_LINES_MOST:
            now.told = f"A formula holds at most {FORMULA_LINES_MOST} lines."
            return
        phase = edit.group or first_phase(now.formula)
        typed = edit.typed.strip()
        name = typed if edit.known and typed in names_of(edit.name, tables) else edit.name
        now.formula = with_new_line(now.formula, clipped(name, NAME_MOST), phase)
        now.ids.append(edit.row)
        return
    if isinstance(edit, Pasted):
        take_text(now, edit.text, tables)
        return
    if edit.row not in now.ids:  # a line that is gone
        return
    n = now.ids.index(edit.row)
    if isinstance(edit, Typed):
        if edit.field in AMOUNTS:
            learn(edit.text)
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
        press(now, n, edit.field, tables)


def press(now: FormulaDraft, n: int, field: str, tables: hlb.Library) -> None:
    """A name, a reading or a sheet that was one press away."""
    if field.startswith("is "):
        now.formula = with_line(now.formula, n, "name", field.removeprefix("is "))
    elif field.startswith("own "):
        now.formula = with_line(now.formula, n, "own", field.removeprefix("own "))
    elif field == KEEP_SHEET:
        keep_sheet(now, n, tables)


def keep_sheet(now: FormulaDraft, n: int, tables: hlb.Library) -> None:
    """The supplier's figures of a line, kept with the material; the line then follows what is kept."""
    line = now.formula.lines[n]
    try:
        sheet = sheet_of_line(line, tables)
        store().add_own(sheet, who=store().setting("who"))
    except hlb.HlbError as error:
        now.told = str(error)
        return
    now.formula = with_whole_line(now.formula, n, without_sheet(line))
    now.told = f"The sheet of {clipped(line.name)} is kept: {sheet.text}. A pH window: on Own values."


def names_of(name: str, tables: hlb.Library) -> tuple[str, ...]:
    """All names of an ingredient, as the tables write them."""
    try:
        found = tables.find(name)
    except hlb.UnknownIngredient:  # the page held names of own values that are withdrawn since
        return ()
    return (found.common_name, found.inci, *found.aliases)
