"""Tables of a worked formula for reading and for spreadsheets."""

from __future__ import annotations

import math

import pandas as pd

from hlbcore._numbers import adding_up
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import TABLE
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library, load_library
from hlbcore.readings import Reading

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


def sources_of(worked: Worked) -> pd.DataFrame:
    """Every reading behind the figures of a formula.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    DataFrame
        Columns as in `READING_COLUMNS`; only the emulsion type and side that were used. [HLB]
    """
    required = f"required HLB, {worked.product.phase_emulsion}"
    whats = {"oil": required, "emulsifier": "HLB"}
    tables = []
    for x in dict.fromkeys(
        (x.ingredient, x.side) for x in worked.base_lines if x.basis == TABLE and x.pct > 0
    ):
        if x[0] is not None:
            rows = readings_table(x[0], worked.library)
            tables.append(rows[rows["quantity"] == whats[x[1]]])
    tables = [t for t in tables if not t.empty]
    if not tables:
        return pd.DataFrame(columns=list(READING_COLUMNS))
    return pd.concat([t.astype(object) for t in tables], ignore_index=True)


def blend_table(worked: Worked) -> pd.DataFrame:
    """The emulsifiers of a formula with grams for the batch.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    DataFrame
        emulsifier, pct_of_formula [% of formula, two decimals], pct_of_blend [%, one decimal],
        grams [g], hlb [HLB]; the printed columns add up.
    """
    held = worked.emulsifiers
    whole = math.fsum(x.pct for x in held)
    return pd.DataFrame(
        {
            "emulsifier": [x.label for x in held],
            "pct_of_formula": adding_up([x.pct for x in held], 2),
            "pct_of_blend": adding_up([100 * x.pct / whole for x in held], 1),
            "grams": list(worked.weighed.grams) if worked.weighed else [math.nan] * len(held),
            "hlb": [math.nan if x.estimate is None else x.estimate.value for x in held],
        }
    )


FORMULA_COLUMNS = {
    "phase": "phase, in the order of work",
    "ingredient": "name as written",
    "pct": "% of formula, two decimals; the base adds up",
    "grams": "g for the batch; blank where no batch is given",
    "counts_as": "oil phase, emulsifier, or blank",
    "portion": "portion that it is added to; blank for the base",
    "note": "free text",
}
"""Columns of `formula_table` with unit or meaning."""


def formula_table(worked: Worked) -> pd.DataFrame:
    """The lines of a formula by phase, as people read them.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    DataFrame
        Columns as in `FORMULA_COLUMNS`; phases in the order of work, lines as written.

    Examples
    --------
    >>> from hlbcore import Aims, Formula, Line, work_out
    >>> f = Formula("x", "o/w cream", [Line("olive oil", 20, phase="oil"),
    ...                                Line("water", 80, phase="water")], aims=Aims(batch=500))
    >>> list(formula_table(work_out(f))["grams"])
    [400.0, 100.0]
    """
    formula, batch = worked.made, worked.made.aims.batch.value
    held = worked.bought
    printed = iter(adding_up([x.pct for x in held if x.line.portion is None], 2))
    pcts = [next(printed) if x.line.portion is None else x.pct for x in held]
    order = {phase: n for n, phase in enumerate(formula.phases)}
    rows = []
    pairs = zip(held, pcts, strict=True)
    for x, pct in sorted(pairs, key=lambda pair: order.get(pair[0].line.phase, len(order))):
        counts = "emulsifier" if x.is_emulsifier else "oil phase" if x.is_fat else ""
        grams = math.nan if batch is None else x.pct * batch / 100
        rows.append((x.line.phase, x.name, pct, grams, counts, x.line.portion or "", x.line.note))
    return pd.DataFrame(rows, columns=list(FORMULA_COLUMNS))
