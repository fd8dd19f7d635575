"""What became of a batch: the formula as weighed, and the tables that people read."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import pandas as pd

from hlbcore.batch.entries import AFTER_CLOSING, ENTRY_KINDS
from hlbcore.batch.record import BatchRecord
from hlbcore.batch.weighed import formula_of_grams
from hlbcore.errors import InvalidInput
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Line
from hlbcore.ingredients import fold

RECORD_COLUMNS = {
    "ingredient": "as planned",
    "phase": "phase, with the portion where it is one",
    "planned_g": "g",
    "weighed_g": "g; blank while it is not weighed",
    "difference_g": "g",
    "difference_pct": "% of what was planned",
    "lot": "lot of the ingredient",
}
"""Columns of `record_table` with unit or meaning."""


class LogLine(NamedTuple):
    """One entry with what stood there before; all are texts but the last."""

    at: str
    who: str
    what: str
    where: str
    before: str
    entry: str
    why: str
    correction: bool


LOG_COLUMNS = LogLine._fields
"""Columns of `record_log`."""


def formula_made(record: BatchRecord) -> Formula:
    """The formula as weighed: what became of the plan.

    Parameters
    ----------
    record : BatchRecord
        Open or closed.

    Returns
    -------
    Formula
        A row that is not weighed yet counts as planned; water that was lost and not made up is gone;
        what was added beside the plan, and earlier batches by their parts, stand in lines of their own
        where the formula does not hold them.

    Raises
    ------
    InvalidInput
        If more water was lost than there was.

    Examples
    --------
    >>> from hlbcore import batch_sheet, example_formula
    >>> from hlbcore.batch.record_start import start_record
    >>> record = start_record(batch_sheet(example_formula())).enter("weighed", "360.8", where="0")
    >>> round(formula_made(record).pcts[0], 2)
    70.75
    """
    planned = record.formula
    grams: dict[int, float] = {}
    for row, mass in zip(record.rows, record.grams_of_rows(), strict=True):
        for number, share in row.brings:
            grams[number] = grams.get(number, 0.0) + mass * share
    if record.water_line is not None and record.lost_g:
        left = grams.get(record.water_line, 0.0) - record.lost_g
        if left < 0:
            raise InvalidInput(
                "vessel after heating", f"{record.lost_g:g} g lost is more water than there was", "Mend it."
            )
        grams[record.water_line] = left
    lines = list(planned.lines)
    for line, mass in _extras(record):
        same = (n for n, x in enumerate(lines) if x.portion is None and fold(x.name) == fold(line.name))
        at = next(same, None)
        if at is None:
            lines.append(line)
            at = len(lines) - 1
        grams[at] = grams.get(at, 0.0) + mass
    name = f"{planned.name}, batch {record.number}" if record.number else planned.name
    return formula_of_grams(replace(planned, name=name, lines=tuple(lines)), grams)


def _extras(record: BatchRecord) -> list[tuple[Line, float]]:
    """What is in it beside the plan, with its grams."""
    planned = record.formula
    last = planned.phases[-1] if planned.phases else ""
    late = "cool-down" if "cool-down" in planned.phases else last
    found = [(Line(name, 0.0, phase=late), mass) for name, mass in record.added_g.items() if mass > 0]
    for r in record.worked_in:
        held = [(x, p) for x, p in zip(r.formula.lines, r.formula.pcts, strict=True) if x.portion is None]
        whole = math.fsum(p for _, p in held)
        for x, p in held:
            phase = x.phase if x.phase in planned.phases else last
            if p > 0:
                found.append((replace(x, phase=phase), r.mass_g * p / whole))
    return found


def heat_limits(record: BatchRecord) -> tuple[str, ...]:
    """How warm earlier batches may get again, since their cool-down is in them already.

    Parameters
    ----------
    record : BatchRecord
        Any.

    Returns
    -------
    tuple of str
        A sentence for each batch that was worked in and holds a cool-down phase.
    """
    found = []
    for r in record.worked_in:
        facts = r.formula.known_facts
        known = [c for c in (facts.cool_down_c, facts.fragrance_max_c) if c is not None]
        pairs = zip(r.formula.lines, r.formula.pcts, strict=True)
        late = [x.name for x, p in pairs if "cool" in x.phase.casefold() and p > 0]
        if late:
            most = f"not above {min(known):g} °C" if known else "by the lowest limit on their papers"
            found.append(f"Batch {r.lot} holds {', '.join(late)}: warm it {most}.")
    return tuple(found)


def record_table(record: BatchRecord) -> pd.DataFrame:
    """Planned and weighed side by side.

    Parameters
    ----------
    record : BatchRecord
        Any.

    Returns
    -------
    DataFrame
        One row a weighing; columns as in `RECORD_COLUMNS`.
    """
    rows = []
    for n, r in enumerate(record.rows):
        weighed = record.weighed_g(n)
        held = math.nan if weighed is None else weighed
        off = round(held - r.grams, 9)
        rows.append((r.name, r.place, r.grams, held, off, 100 * off / r.grams, record.value("lot", str(n))))
    return pd.DataFrame(rows, columns=list(RECORD_COLUMNS))


def log_lines(record: BatchRecord) -> tuple[LogLine, ...]:
    """Every entry of a record in its order."""
    found = []
    before: dict[tuple[str, str], str] = {}
    closed = False
    for e in record.entries:
        held = ENTRY_KINDS[e.kind]
        place = record.rows[int(e.where)].name if held.where == "row" else e.where
        was = "" if held.many else before.get((e.kind, e.where), "")
        text = "" if e.kind == "closed" else e.text
        correction = closed and e.kind not in AFTER_CLOSING
        found.append(LogLine(e.at, e.who, held.label, place, was, text, e.why, correction))
        before[e.kind, e.where] = e.text
        closed = closed or e.kind == "closed"
    return tuple(found)


def record_log(record: BatchRecord) -> pd.DataFrame:
    """Every entry in its order, with what stood there before.

    Parameters
    ----------
    record : BatchRecord
        Any.

    Returns
    -------
    DataFrame
        Columns as in `LOG_COLUMNS`; ``correction`` says what came after the closing.
    """
    return pd.DataFrame(log_lines(record), columns=list(LOG_COLUMNS))
