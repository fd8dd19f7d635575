"""What a batch of a formula takes from the shelf, and what runs short."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from hlbcore.blending.worked import Worked
from hlbcore.shelf.stock import Stock

OUTSIDE = ("water",)
"""Kinds that come from the tap or the still and are not kept on a shelf."""


@dataclass(frozen=True, slots=True)
class Short:
    """What a batch takes, beside what the shelf holds.

    Parameters
    ----------
    needs : mapping of str to float
        As bought. [g]
    table : DataFrame
        Columns as in `SHORT_COLUMNS`.
    """

    needs: Mapping[str, float]
    table: pd.DataFrame


def runs_short(worked: Worked, stock: Stock) -> Short | None:
    """What the batch of a formula takes from the shelf.

    Parameters
    ----------
    worked : Worked
        The formula, worked out.
    stock : Stock
        The shelf.

    Returns
    -------
    Short or None
        Water left out; None where the formula has no batch or no amounts.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> short = runs_short(work_out(example_formula()), Stock())
    >>> round(short.needs["shea butter"], 1)
    25.0
    """
    batch = worked.formula.aims.batch.value
    if batch is None:
        return None
    needs: dict[str, float] = {}
    for x in worked.bought:
        if x.pct > 0 and x.line.portion is None and x.kind not in OUTSIDE and x.name.strip():
            needs[x.name] = needs.get(x.name, 0.0) + x.pct / 100 * batch
    if not needs:
        return None
    return Short(needs, stock.short_for(needs, worked.library))


def short_words(short: Short, batch: str) -> str:
    """What runs short, in a sentence.

    Parameters
    ----------
    short : Short
        What a batch takes, beside what the shelf holds.
    batch : str
        The batch as typed.

    Returns
    -------
    str
        How many lines are short, how many cannot be said.
    """
    short_of = int((short.table["short_g"] > 0).sum())
    unknown = int(short.table["short_g"].isna().sum())
    if not short_of and not unknown:
        return f"The shelf holds all that {batch} takes."
    said = [f"{short_of} of {len(short.table)} run short"] if short_of else []
    said += [f"{unknown} without an amount on the shelf"] if unknown else []
    return f"For {batch}: {', '.join(said)}."
