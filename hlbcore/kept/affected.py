"""Which kept formulas a new figure of the user's own would move, and by how much."""

from __future__ import annotations

import pandas as pd

from hlbcore.blending.work_out import work_out
from hlbcore.errors import HlbError
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import OwnReading
from hlbcore.kept.figures import MOVED, kept_figures
from hlbcore.kept.store import NO_NAME, Store
from hlbcore.library import Library, load_library

AFFECTED_COLUMNS = (
    "name",
    "required_before",
    "required_after",
    "verdict_before",
    "verdict_after",
    "moves",
    "uid",
)
"""Columns of `affected`."""


def library_without(store: Store, item: OwnReading | None = None, *, trial: str = "") -> Library:
    """The tables with the user's own figures, but for one figure or those of one trial.

    Parameters
    ----------
    store : Store
        Kept work.
    item : OwnReading, optional
        Left out wherever it is laid over.
    trial : str
        Name of a trial whose figures are left out.

    Returns
    -------
    Library
        As it stood before.

    Examples
    --------
    >>> library_without(Store(in_memory=True)) is load_library()
    True
    """
    return load_library(
        overlay=[
            own
            for own in store.overlay()
            if own != item and not (trial and getattr(own, "trial", "") == trial)
        ]
    )


def affected(store: Store, item: OwnReading, library: Library | None = None) -> pd.DataFrame:
    """The kept formulas that use an ingredient, with what a figure of it would move.

    Parameters
    ----------
    store : Store
        Kept work; nothing of it is changed.
    item : OwnReading
        The figure, in use already or not.
    library : Library, optional
        The tables before it; left out: those in use without it.

    Returns
    -------
    DataFrame
        Columns name, required_before, required_after [HLB], verdict_before, verdict_after (word;
        the amounts of the formula stay as they are now where the tool does not work them out),
        moves (whether anything that is printed changes), uid; what moves most first.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> store = Store(in_memory=True)
    >>> kept = store.save(example_formula())
    >>> moved = affected(store, OwnReading("shea butter", 11.0))
    >>> bool(moved["required_after"][0] > moved["required_before"][0])
    True
    """
    before = library_without(store, item) if library is None else library
    after = load_library(overlay=[*(o for o in store.overlay() if o != item), item])
    wanted = after.key(item.name)
    rows = []
    for uid, formula in _formulas(store):
        if not any(after.key(x.name) == wanted for x in formula.lines):
            continue
        old, new = (kept_figures(work_out(formula, tables)) for tables in (before, after))
        first, second = _number(old.get("required")), _number(new.get("required"))
        words = str(old.get("word", "")), str(new.get("word", ""))
        gap = abs(second - first)
        # NaN: a formula that had no figure at all moves
        moves = words[0] != words[1] or not gap < MOVED
        rows.append((formula.name or NO_NAME, first, second, *words, moves, uid))
    table = pd.DataFrame(rows, columns=list(AFFECTED_COLUMNS))
    if table.empty:
        return table
    size = (table["required_after"] - table["required_before"]).abs().fillna(float("inf"))
    return table.iloc[(-size).argsort(kind="stable")].reset_index(drop=True)


def _number(value: float | str | None) -> float:
    return float("nan") if value is None or isinstance(value, str) else value


def _formulas(store: Store) -> list[tuple[str, Formula]]:
    """The formulas in use, as they stand now; one that cannot be read is left out."""
    found = []
    for uid in store.formulas()["uid"]:
        try:
            found.append((str(uid), store.open(str(uid)).body))
        except HlbError:
            continue
    return found
