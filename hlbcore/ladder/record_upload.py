"""Readings of a file, put into the table of a recorded ladder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

import pandas as pd

from hlbcore.errors import HlbError
from hlbcore.intake.ingredients import Rows
from hlbcore.intake.rows import check_width
from hlbcore.ladder.kinds import observation_kind
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.observations import Observation
from hlbcore.ladder.record_cells import NOTE, RINSE_TIMES, TYPE_KINDS, TYPE_TIME
from hlbcore.ladder.record_table import read_observations
from hlbcore.ladder.sheet import Cell, LadderSheet, parted
from hlbcore.ladder.times import read_hours
from hlbcore.typed import Fields


def with_upload(sheet: LadderSheet, ladder: Ladder, rows: Rows) -> tuple[LadderSheet, pd.DataFrame]:
    r"""The sheet with the readings of a file put into its table.

    Parameters
    ----------
    sheet : LadderSheet
        What was typed before.
    ladder : Ladder
        The ladder that is recorded.
    rows : Rows
        As `read_rows` gives them; columns as for `read_observations`.

    Returns
    -------
    LadderSheet
        A reading of the file takes the place of the one of that vial, time, kind and temperature.
    DataFrame
        Columns row, column, problem: what could not be used.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> from hlbcore.intake.ingredients import read_rows
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20})
    >>> rows = read_rows(b"vial;time;score\n1;1 day;3\n2;1 day;9\n", "seen.csv")
    >>> after, problems = with_upload(LadderSheet(), ladder, rows)
    >>> [c.text for c in after.cells], len(problems)
    (['3'], 1)
    """
    wide = Fields()
    for number, row in zip(rows.numbers, rows.rows, strict=True):
        wide.read(str(number), partial(check_width, len(row) - len(rows.header)))
    kept = [(n, r) for n, r in zip(rows.numbers, rows.rows, strict=True) if str(n) not in wide.errors]
    read = read_observations([dict(zip(_once(rows.header), r, strict=False)) for _, r in kept], ladder)
    held = {_place(c): c for c in sheet.cells}
    rinsed = [t for times in RINSE_TIMES.values() for t in times]
    times = {_hours(t): t for t in (*(rinsed if ladder.kind == "rinse" else ()), *parted(sheet.times))}
    for o in read.observations:
        time = times.get(o.hours, f"{o.hours:g} h")
        if o.kind in TYPE_KINDS and o.hours == 0:
            time = TYPE_TIME
        warm = "" if o.temperature_c is None else f"{o.temperature_c:g}"
        cell = Cell(str(o.vial), o.kind, time, warm, cell_text(o))
        held[_place(cell)] = cell
        if o.note and observation_kind(o.kind).form != "text":
            note = Cell(str(o.vial), NOTE, "", "", o.note)
            held.setdefault(_place(note), note)
    problems = pd.DataFrame(
        [
            *((int(number), "", why) for number, why in wide.errors.items()),
            *((kept[p.row - 1][0], p.column, p.problem) for p in read.problems),
        ],
        columns=["row", "column", "problem"],
    )
    return replace(sheet, cells=tuple(held.values())), problems


def _once(header: Sequence[str]) -> list[str]:
    """Headings, each once: a second column of a name would hide the first."""
    return [h if h not in header[:n] else f"{h} ({n + 1})" for n, h in enumerate(header)]


def _place(cell: Cell) -> tuple[str, str, object, str]:
    hours = _hours(cell.time)
    return cell.vial, cell.kind, cell.time if hours is None else hours, cell.temperature


def _hours(text: str) -> float | None:
    try:
        return read_hours(text)
    except HlbError:
        return None


def cell_text(seen: Observation) -> str:
    """A reading as people write it in a table.

    Parameters
    ----------
    seen : Observation
        One reading.

    Returns
    -------
    str
        ``3/40`` for a layer, ``yes``, ``o/w``, ``<3``, ``broke``, ``-`` where it is missing.

    Examples
    --------
    >>> cell_text(Observation(3, 24, "water layer", 3, of=40))
    '3/40'
    """
    kind = observation_kind(seen.kind)
    if kind.form == "event":
        return "broke"
    if kind.form == "text":
        return seen.note or "-"
    if seen.value is None:
        return "-"
    if kind.form in ("yes/no", "type"):
        return kind.words[int(seen.value)]
    layer = f"/{seen.of:g}" if seen.of is not None else ""
    return f"{seen.limit}{seen.value:g}{layer}"
