"""The supplier's sheet that a line of a formula holds, to be kept with its material."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any

from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import Estimate
from hlbcore.formula.lines import Line
from hlbcore.library import Library, load_library
from hlbcore.own import sheet_that_fits
from hlbcore.sheets import OwnSheet
from hlbcore.typed import Typed


def sheet_of_line(line: Line, library: Library | None = None) -> OwnSheet:
    """What the rate, the oil limit and the own figure of a line say, as a supplier's sheet.

    Parameters
    ----------
    line : Line
        An emulsifier.
    library : Library, optional
        The tables, with the sheets of the user's own: what an earlier sheet says and the line leaves
        blank stays.

    Returns
    -------
    OwnSheet
        To be kept.

    Raises
    ------
    InvalidInput
        If a field cannot be read, or none is filled in.
    UnknownIngredient
        If the line holds no emulsifier.

    Examples
    --------
    >>> line = Line("my wax", 5, supplier_rate="4 to 6 % of the formula", oil_limit="25")
    >>> sheet_of_line(line).text
    '4 to 6 % of the formula, up to 25 % oil phase'
    """
    library = library or load_library()
    for held in (line.supplier_rate, line.oil_limit, line.own):
        if held.problem:
            raise InvalidInput(f"supplier's sheet of '{clipped(line.name)}'", held.problem, "Mend it first.")
    given: dict[str, Any] = {}
    if line.supplier_rate.value is not None:
        low, high, basis = line.supplier_rate.value
        given |= {"low_pct": low, "high_pct": high, "basis": basis}
    if line.oil_limit.value is not None:
        given["oil_high_pct"] = line.oil_limit.value
    if isinstance(line.own.value, Estimate):
        given["hlb"] = line.own.value.value
    before = library.sheet(line.name) if given else None
    made = (partial(replace, before) if before is not None else partial(OwnSheet, line.name))(**given)
    return sheet_that_fits(made, library)


def without_sheet(line: Line) -> Line:
    """The line without what its sheet says now.

    Parameters
    ----------
    line : Line
        An emulsifier whose sheet is kept.

    Returns
    -------
    Line
        Rate, oil limit and own figure blank.
    """
    own = Typed() if isinstance(line.own.value, Estimate) else line.own
    return replace(line, supplier_rate=Typed(), oil_limit=Typed(), own=own)
