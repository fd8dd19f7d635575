"""The file form of a batch record: JSON, read back as it was written."""

from __future__ import annotations

import msgspec

from hlbcore._numbers import MASS_MAX, checked, grams
from hlbcore.batch.entries import ENTRY_KINDS, Entry, entry_number
from hlbcore.batch.record import ENTRIES_MOST, BatchRecord, PlannedRow, Rework
from hlbcore.batch.size import checked_loss
from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.formula import Formula
from hlbcore.limits import FORMULA_LINES_MOST, check_count
from hlbcore.saved_text import opened, saved

SCHEMA, VERSION = "hlbcore batch record", 1


class _Row(msgspec.Struct, forbid_unknown_fields=True):
    name: str
    place: str
    grams: float
    text: str
    scale: str
    brings: list[tuple[int, float]]


class _Entry(msgspec.Struct, forbid_unknown_fields=True):
    kind: str
    where: str = ""
    text: str = ""
    who: str = ""
    at: str = ""
    why: str = ""


class _Rework(msgspec.Struct, forbid_unknown_fields=True):
    lot: str
    mass_g: float
    formula: str


class _File(msgspec.Struct, forbid_unknown_fields=True):
    number: str
    made_on: str
    who: str
    formula: str
    source: str
    size_g: float
    loss_pct: float
    jars: str
    rows: list[_Row]
    steps: list[str]
    water_line: int | None
    entries: list[_Entry]
    reworks: list[_Rework]


def record_json(record: BatchRecord) -> str:
    """A record as text, with a schema version.

    Parameters
    ----------
    record : BatchRecord
        Open or closed.

    Returns
    -------
    str
        JSON; its fields are those of `BatchRecord`.
    """
    held = _File(
        record.number,
        record.made_on,
        record.who,
        record.formula_text,
        record.source,
        record.size_g,
        record.loss_pct,
        record.jars,
        [_Row(r.name, r.place, r.grams, r.text, r.scale, list(r.brings)) for r in record.rows],
        list(record.steps),
        record.water_line,
        [_Entry(e.kind, e.where, e.text, e.who, e.at, e.why) for e in record.entries],
        [_Rework(r.lot, r.mass_g, r.formula_text) for r in record.reworks],
    )
    return saved(SCHEMA, VERSION, msgspec.to_builtins(held))


def record_from_json(text: str) -> BatchRecord:
    """A record from its text.

    Parameters
    ----------
    text : str
        As written by `record_json`.

    Returns
    -------
    BatchRecord
        As it was.

    Raises
    ------
    InvalidInput
        If it is no record, one of a later version, or one that was altered after it was closed.
    """
    with opened(text, [SCHEMA], VERSION, "batch record") as (_, _, raw):
        held = msgspec.convert(raw, _File)
    grams(held.size_g, "batch record, size")
    checked_loss(held.loss_pct)
    check_count(held.rows, "batch record, weighings", FORMULA_LINES_MOST)
    check_count(held.entries, "batch record, entries", 2 * ENTRIES_MOST)
    lines = len(Formula.from_json(held.formula).lines)
    rows = tuple(PlannedRow(r.name, r.place, r.grams, r.text, r.scale, tuple(r.brings)) for r in held.rows)
    for r in rows:
        grams(r.grams, f"batch record, '{clipped(r.name)}'")
        if not all(0 <= n < lines and 0 <= share <= 1 + 1e-9 for n, share in r.brings):
            raise InvalidInput(
                "batch record", "a weighing has no line, or an odd share", "Choose a whole file."
            )
    if held.water_line is not None and not 0 <= held.water_line < lines:
        raise InvalidInput("batch record", "its line of water is missing", "Choose a whole file.")
    places = {str(n) for n in range(len(rows))}
    for e in held.entries:
        if e.kind not in ENTRY_KINDS:
            raise InvalidInput("batch record", f"'{e.kind}' is no entry", "Install the later version.")
        if ENTRY_KINDS[e.kind].where == "row" and e.where not in places:
            raise InvalidInput("batch record", "an entry has no weighing", "Choose a whole file.")
        entry_number(e.kind, e.text)
    for rework in held.reworks:
        checked(rework.mass_g, f"batch record, batch '{clipped(rework.lot)}'", low=0, high=MASS_MAX, unit="g")
        Formula.from_json(rework.formula)
    record = BatchRecord(
        held.number,
        held.made_on,
        held.who,
        held.formula,
        held.source,
        held.size_g,
        held.loss_pct,
        held.jars,
        rows,
        tuple(held.steps),
        held.water_line,
        tuple(Entry(e.kind, e.where, e.text, e.who, e.at, e.why) for e in held.entries),
        tuple(Rework(r.lot, r.mass_g, r.formula) for r in held.reworks),
    )
    if record.closed is not None and record.closed.text != record.seal:
        raise InvalidInput(
            f"batch record {record.number}", "it was altered after it was closed", "Take it from a backup."
        )
    return record
