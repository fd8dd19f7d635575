"""What the tables hold, as tables: every reading, every figure, where sources disagree most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pandas as pd

from hlbcore.errors import clipped
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library, load_library
from hlbcore.readings import TABLE_GRADES, Reading

QUANTITIES = ("required HLB, o/w", "required HLB, w/o", "HLB")

READING_COLUMNS = ("ingredient", "quantity", "HLB", "range", "grade", "root", "source", "where", "note")
"""Columns of `readings_held`; figures in HLB, the range as printed, the root is what others copied."""

FIGURE_COLUMNS = ("ingredient", "quantity", "HLB", "low", "high", "grade", "roots", "least", "most", "apart")
"""Columns of `figures_held`: figure and range in use, independent roots, and the lowest and the highest
reading with their distance. [HLB]"""


def readings_held(
    library: Library | None = None,
    *,
    quantities: Sequence[str] = (),
    grades: Sequence[str] = (),
    words: str = "",
) -> pd.DataFrame:
    """Every reading of the tables and of the user's own, a row each.

    Parameters
    ----------
    quantities, grades : sequence of str
        Only these of `QUANTITIES` and of the grades of readings; all if left out.
    words : str
        Words that name or source must hold, whatever their case.

    Returns
    -------
    DataFrame
        Columns as in `READING_COLUMNS`, by ingredient. [HLB]

    Examples
    --------
    >>> held = readings_held(quantities=["required HLB, o/w"], words="cocoa butter")
    >>> set(held["HLB"])
    {6.0}
    """
    library = library or load_library()
    asked = fold(words).split()
    rows = []
    for ingredient in library:
        for what, readings in _readings(ingredient):
            if quantities and what not in quantities:
                continue
            for r in readings:
                if grades and r.grade not in grades:
                    continue
                source = library.sources.get(r.source)
                told = r.source if source is None else source.citation
                if all(word in fold(f"{ingredient.common_name} {told}") for word in asked):
                    root = (r.source if source is None else source.root or r.source).replace("_", " ")
                    span = "" if r.low is None or r.high is None else f"{r.low:g} to {r.high:g}"
                    name = ingredient.common_name
                    rows.append((name, what, r.value, span, r.grade, root, told, r.where, r.note))
    return pd.DataFrame(rows, columns=list(READING_COLUMNS))


def figures_held(library: Library | None = None) -> pd.DataFrame:
    """Every figure in use with its range, grade, roots, and how far its readings lie apart.

    Returns
    -------
    DataFrame
        Columns as in `FIGURE_COLUMNS`, the widest disagreement first. [HLB]

    Examples
    --------
    >>> held = figures_held()
    >>> bool((held["apart"] >= 0).all())
    True
    """
    library = library or load_library()
    rows = []
    for ingredient in library:
        for what, readings in _readings(ingredient):
            e = ingredient.hlb if what == "HLB" else ingredient.required_hlb(what.rpartition(" ")[2])
            if e is None or not readings:
                continue
            least, most = min(r.value for r in readings), max(r.value for r in readings)
            rows.append(
                (
                    ingredient.common_name,
                    what,
                    e.value,
                    e.low,
                    e.high,
                    e.grade,
                    len(e.roots),
                    least,
                    most,
                    most - least,
                )
            )
    made = pd.DataFrame(rows, columns=list(FIGURE_COLUMNS))
    return made.sort_values(["apart", "ingredient"], ascending=[False, True], ignore_index=True)


def _readings(ingredient: Ingredient) -> Iterator[tuple[str, tuple[Reading, ...]]]:
    held = (ingredient.ow_readings, ingredient.wo_readings, ingredient.hlb_readings)
    return zip(QUANTITIES, held, strict=True)


def held_words(library: Library | None = None) -> str:
    """How much the tables hold, in a sentence.

    Examples
    --------
    >>> held_words().split()[1:3]
    ['readings', 'of']
    """
    library = library or load_library()
    readings, figures = readings_held(library), figures_held(library)
    alone = int((figures["roots"] == 1).sum())
    counts = ", ".join(f"{g} {int((readings['grade'] == g).sum())}" for g in ("own", *TABLE_GRADES))
    return clipped(
        f"{len(readings)} readings of {len(figures)} figures: {counts}. "
        f"{alone} figures rest on one root alone.",
        300,
    )
