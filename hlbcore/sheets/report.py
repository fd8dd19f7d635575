"""Tables and files for reading and for spreadsheets."""

from __future__ import annotations

import pandas as pd

from hlbcore._numbers import adding_up
from hlbcore.errors import UnknownIngredient
from hlbcore.estimate import Reading
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library, load_library
from hlbcore.sheets.sheet import Outcome

READING_COLUMNS = {
    "ingredient": "common name",
    "quantity": "required HLB (o/w or w/o), or HLB",
    "value": "HLB",
    "low": "HLB; blank where the source prints no range",
    "high": "HLB; blank where the source prints no range",
    "grade": "own, measured, published, craft or memory",
    "source": "citation",
    "where": "page, table or section",
    "note": "method or caution",
}
"""Columns of `readings_table` with unit or meaning."""


def readings_table(ingredient: Ingredient, library: Library | None = None) -> pd.DataFrame:
    """Every reading of one ingredient with its source, disagreements in full.

    Parameters
    ----------
    ingredient : Ingredient
        An ingredient of the tables.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    DataFrame
        One row a reading and source; columns as in `READING_COLUMNS`. [HLB]

    Examples
    --------
    >>> from hlbcore import load_library
    >>> set(readings_table(load_library().oil("cocoa butter"))["value"])
    {6.0}
    """
    library = library or load_library()
    held: list[tuple[str, tuple[Reading, ...]]] = [
        ("required HLB, o/w", ingredient.ow_readings),
        ("required HLB, w/o", ingredient.wo_readings),
        ("HLB", ingredient.hlb_readings),
    ]
    return pd.DataFrame(
        [
            (
                ingredient.common_name,
                what,
                r.value,
                r.low,
                r.high,
                r.grade,
                library.sources[r.source].citation if r.source in library.sources else r.source,
                r.where,
                r.note,
            )
            for what, rows in held
            for r in rows
        ],
        columns=list(READING_COLUMNS),
    )


def sources_of(outcome: Outcome, library: Library | None = None) -> pd.DataFrame:
    """Every reading behind the figures of a sheet.

    Parameters
    ----------
    outcome : Outcome
        A worked sheet.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    DataFrame
        Columns as in `READING_COLUMNS`; only the emulsion type and side that were used. [HLB]
    """
    library = library or load_library()
    names: list[tuple[str, str]] = []
    if outcome.required is not None:
        what = f"required HLB, {outcome.required.emulsion}"
        names += [(p.name, what) for p in outcome.required.parts if p.basis == "table"]
    names += [(n, "HLB") for n in outcome.amounts]
    tables = []
    for name, what in names:
        try:
            rows = readings_table(library.find(name), library)
        except UnknownIngredient:
            continue
        tables.append(rows[rows["quantity"] == what])
    tables = [t for t in tables if not t.empty]
    if not tables:
        return pd.DataFrame(columns=list(READING_COLUMNS))
    return pd.concat([t.astype(object) for t in tables], ignore_index=True)


def blend_table(outcome: Outcome) -> pd.DataFrame:
    """The blend of a sheet with grams for the batch.

    Parameters
    ----------
    outcome : Outcome
        A worked sheet.

    Returns
    -------
    DataFrame
        emulsifier, pct_of_formula [% of formula, two decimals], pct_of_blend [%, one decimal],
        grams [g], hlb [HLB]; the printed columns add up.
    """
    columns = ["emulsifier", "pct_of_formula", "pct_of_blend", "grams", "hlb"]
    if outcome.blend is None:
        return pd.DataFrame(columns=columns)
    table = outcome.blend.table
    table["pct_of_formula"] = adding_up(table["pct_of_formula"].tolist(), 2)
    table["pct_of_blend"] = adding_up(table["pct_of_blend"].tolist(), 1)
    table["grams"] = list(outcome.weighed.grams) if outcome.weighed else float("nan")
    return table[columns]
