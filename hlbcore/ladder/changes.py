"""What differs between two states of a recorded ladder, as a table and in words."""

from __future__ import annotations

from dataclasses import fields

import pandas as pd

from hlbcore.errors import clipped
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.record_cells import NOTE, column_heading
from hlbcore.ladder.sheet import LadderSheet

LISTED_MOST = 3
"""Changes that are named in words; of more their number is told. [-] Our convention."""

_WORDS = {"kinds": "what is looked at", "made_on": "made on", "closed": "readings closed"}


def compare_ladders(ladder: Ladder, before: LadderSheet, after: LadderSheet) -> pd.DataFrame:
    """What differs between two states of one ladder.

    Parameters
    ----------
    ladder : Ladder
        The ladder of both.
    before, after : LadderSheet
        What was typed.

    Returns
    -------
    DataFrame
        Columns what, before, after; one row a field, reading or weighed amount.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> from hlbcore.ladder.sheet import Cell
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20}, seed=1)
    >>> read = LadderSheet(cells=(Cell("1", "score", "1 day", "", "4"),))
    >>> compare_ladders(ladder, LadderSheet(), read).iloc[0].tolist()
    ['vial 6, score, 1 day', '', '4']
    """
    names = {str(v.number): v.label for v in ladder.vials}
    rows = []
    for f in fields(LadderSheet):
        if f.name in ("cells", "weighed"):
            continue
        one, two = getattr(before, f.name), getattr(after, f.name)
        if one != two:
            rows.append((_WORDS.get(f.name, f.name.replace("_", " ")), _text(one), _text(two)))
    for one, two in (
        (
            {(c.vial, _heading(c.kind, c.time, c.temperature)): c.text for c in before.cells},
            {(c.vial, _heading(c.kind, c.time, c.temperature)): c.text for c in after.cells},
        ),
        (
            {(v, f"{n} [g]"): t for v, n, t in before.weighed},
            {(v, f"{n} [g]"): t for v, n, t in after.weighed},
        ),
    ):
        for vial, heading in dict.fromkeys((*one, *two)):
            old, new = one.get((vial, heading), ""), two.get((vial, heading), "")
            if old != new:
                rows.append((f"vial {names.get(vial, vial)}, {heading}", old, new))
    return pd.DataFrame(rows, columns=["what", "before", "after"])


def _heading(kind: str, time: str, temperature: str) -> str:
    return kind if kind == NOTE else column_heading(kind, time, temperature)


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return ", ".join(value) if isinstance(value, tuple) else str(value)


def ladder_changes(ladder: Ladder, before: LadderSheet, after: LadderSheet) -> str:
    """The same in a few words.

    Parameters
    ----------
    ladder : Ladder
        The ladder of both.
    before, after : LadderSheet
        What was typed.

    Returns
    -------
    str
        Blank where nothing differs.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20})
    >>> ladder_changes(ladder, LadderSheet(), LadderSheet(name="March"))
    'name: March'
    """
    rows = compare_ladders(ladder, before, after)
    told = [f"{r.what}: {clipped(r.after, 40) or 'taken out'}" for r in rows.head(LISTED_MOST).itertuples()]
    more = len(rows) - LISTED_MOST
    return ", ".join(told) + (f" and {more} more" if more > 0 else "")
