"""A ladder that was weighed and read elsewhere, from a table of a file."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from statistics import median

import pandas as pd

from hlbcore._numbers import checked
from hlbcore.errors import InvalidInput, UnknownIngredient, clipped
from hlbcore.estimate import Estimate
from hlbcore.ingredients import Ingredient, fold
from hlbcore.intake.ingredients import Rows
from hlbcore.intake.rows import check_width
from hlbcore.ladder.doubts import recorded_ladder
from hlbcore.ladder.kinds import OBSERVATION_KINDS, observation_kind
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.record_table import COLUMNS
from hlbcore.ladder.record_upload import with_upload
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.ladder.vial import WATER
from hlbcore.library import Library, load_library

VIALS_MOST = 80
"""Vials of one file. [-] Our convention."""

HLB_HEADINGS = ("hlb", "hlbwritten", "hlbofthevial", "targethlb")
_UNIT = re.compile(r"\s*(?:\[g\]|\(g\)|,\s*g|\bg|\bgrams)\s*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True, eq=False)
class FromElsewhere:
    """A ladder of a file, and what of it could not be used.

    Parameters
    ----------
    ladder : Ladder
        With the grams of each vial.
    sheet : LadderSheet
        The readings, as they would have been typed.
    problems : DataFrame
        Columns row, column, problem.
    """

    ladder: Ladder
    sheet: LadderSheet
    problems: pd.DataFrame


def ladder_from_rows(rows: Rows, *, name: str = "", library: Library | None = None) -> FromElsewhere:
    r"""A ladder of a table with grams, and its readings.

    Parameters
    ----------
    rows : Rows
        As `read_rows` gives them. Columns: ``vial``, one of grams for each ingredient, such as
        ``polysorbate 60 g``; if wanted ``HLB`` as written on the vial, and for readings ``time`` and a
        column for each kind, such as ``score``. A vial may have several rows, one for each time.
    name : str
        Name of the trial.

    Returns
    -------
    FromElsewhere
        HLB follows from the grams; a label that does not agree is told.

    Raises
    ------
    InvalidInput
        Where there is no vial, a vial is listed twice with other grams, or no column is an emulsifier
        with a figure.

    Examples
    --------
    >>> from hlbcore.intake.ingredients import read_rows
    >>> text = ("vial;sorbitan stearate g;polysorbate 60 g;mineral oil g;time;score\n"
    ...         "a;1,2;0,3;10;1 day;2\nb;0,8;0,7;10;1 day;4\nc;0,4;1,1;10;1 day;3\n")
    >>> made = ladder_from_rows(read_rows(text.encode(), "seen.csv"))
    >>> [round(made.ladder.hlb(v), 1) for v in made.ladder.vials], len(made.sheet.cells)
    ([6.7, 9.5, 12.2], 3)
    """
    library = library or load_library()
    heads = [h.strip() for h in rows.header]
    vial = next((h for h in heads if COLUMNS.get(fold(h)) == "vial"), None)
    if vial is None:
        raise InvalidInput("file", "it has no column vial", "Name the vials in a column called vial.")
    written = next((h for h in heads if fold(h) in HLB_HEADINGS), None)
    weighed = {h: _UNIT.sub("", h) for h in heads if _is_ingredient(h)}
    known = {n: _known(n, library) for n in weighed.values()}
    emulsifiers = _emulsifiers(known)
    held: dict[str, tuple[float | None, dict[str, float]]] = {}
    for number, cells in zip(rows.numbers, rows.rows, strict=True):
        check_width(len(cells) - len(heads), f"row {number}")
        row = dict(zip(heads, cells, strict=False))
        label = row.get(vial, "").strip()
        if not label:
            continue
        grams = {
            n: checked(row[h], f"row {number}, '{clipped(n, 40)}'", low=0, high=1e6, unit="g")
            for h, n in weighed.items()
            if row.get(h, "").strip()
        }
        text = row.get(written, "").strip() if written else ""
        before = held.setdefault(label, (checked(text, f"row {number}, HLB", low=0) if text else None, grams))
        if grams and before[1] != grams:
            raise InvalidInput(
                f"row {number}, vial '{clipped(label, 40)}'",
                "it is listed twice with other grams",
                "Give each vial one set of grams; further rows of it may hold readings only.",
            )
    if not held or len(held) > VIALS_MOST:
        raise InvalidInput("file", f"it holds {len(held)} vials", f"Give 3 to {VIALS_MOST} vials.")
    ladder = recorded_ladder(list(held.values()), emulsifiers, labels=list(held))
    ladder = _with_shares(ladder, known, emulsifiers)
    readings = Rows(
        tuple(h for h in heads if h not in weighed and h != written),
        tuple(
            tuple(c for h, c in zip(heads, cells, strict=False) if h not in weighed and h != written)
            for cells in rows.rows
        ),
        rows.numbers,
    )
    times = ", ".join(dict.fromkeys(_times(readings))) or LadderSheet().times
    kinds = tuple(dict.fromkeys(observation_kind(h).name for h in heads if _kind(h)))
    sheet, problems = with_upload(LadderSheet(name=name, times=times, kinds=kinds), ladder, readings)
    return FromElsewhere(ladder, sheet, problems)


def _kind(heading: str) -> bool:
    return any(fold(heading) in map(fold, (n, *k.aliases)) for n, k in OBSERVATION_KINDS.items())


def _is_ingredient(heading: str) -> bool:
    folded = fold(heading)
    return bool(folded) and folded not in COLUMNS and folded not in HLB_HEADINGS and not _kind(heading)


def _known(name: str, library: Library) -> Ingredient | None:
    try:
        return library.find(name)
    except UnknownIngredient:
        return None


def _emulsifiers(known: Mapping[str, Ingredient | None]) -> dict[str, Estimate]:
    """Columns that are emulsifiers with a figure; what stands on both sides counts only beside no two."""
    sure = {n: i.hlb for n, i in known.items() if i is not None and i.convention == "emulsifier" and i.hlb}
    if len(sure) < 2:
        sure |= {n: i.hlb for n, i in known.items() if i is not None and i.kind == "emulsifier" and i.hlb}
    if not sure:
        named = ", ".join(clipped(n, 30) for n in known) or "none"
        raise InvalidInput(
            "file",
            f"no column of grams is an emulsifier with an HLB (columns: {named})",
            "Head each column of grams with the ingredient, for example polysorbate 60 g.",
        )
    return sure


def _with_shares(
    ladder: Ladder, known: Mapping[str, Ingredient | None], emulsifiers: Mapping[str, Estimate]
) -> Ladder:
    """The ladder with its oil phase and dose, the middle of all vials. [% of the vial]"""
    shares: dict[str, list[float]] = {}
    doses = []
    for v in ladder.vials:
        held, whole = dict(v.grams), v.total_g
        if whole <= 0:
            continue
        doses.append(100 * math.fsum(held.get(n, 0.0) for n in emulsifiers) / whole)
        for n in known:
            shares.setdefault(n, []).append(100 * held.get(n, 0.0) / whole)
    middle = {n: median(s) for n, s in shares.items() if n not in emulsifiers and median(s) > 0}
    outside = {
        n for n in middle if fold(n) == WATER or ((i := known[n]) is not None and i.convention == "outside")
    }
    return replace(
        ladder,
        oils=tuple((n, s) for n, s in middle.items() if n not in outside),
        others=tuple((n, s) for n, s in middle.items() if n in outside and fold(n) != WATER),
        emulsifier_pct=median(doses) if doses else None,
    )


def _times(rows: Rows) -> list[str]:
    at = [n for n, h in enumerate(rows.header) if COLUMNS.get(fold(h)) == "time"]
    return [row[at[0]].strip() for row in rows.rows if at and len(row) > at[0] and row[at[0]].strip()]
