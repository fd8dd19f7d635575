"""A recorded ladder as the list takes it: readings and weighed grams, a row a vial."""

from __future__ import annotations

from line_list import Cells, Column, Edits, Piece, Problem, Row

import hlbcore as hlb
from hlbcore.ladder import OBSERVATION_KINDS
from hlbcore.ladder.ladder import Vial
from hlbcore.ladder.record import Recorded
from hlbcore.ladder.record_cells import (
    RecordColumn,
    record_columns,
    record_table,
    vial_name,
    weighed_table,
    with_record,
    with_weighed,
)
from hlbcore.ladder.sheet import LadderSheet

TYPED_AS_NUMBERS = tuple(n for n, k in OBSERVATION_KINDS.items() if k.form in ("score", "number"))


def readings(made: hlb.Ladder, sheet: LadderSheet, recorded: Recorded) -> Cells:
    """The table of readings, with a sentence below each vial whose readings cannot be used."""
    columns = record_columns(made, sheet)
    wrong: dict[str, list[Problem]] = {}
    for found in recorded.problems.itertuples():
        wrong.setdefault(found.vial, []).append(Problem(found.problem, found.column))
    held = record_table(made, sheet).to_dict("records")
    rows = tuple(
        Row(
            str(v.number),
            v.label,
            texts={c.name: texts[c.name] for c in columns},
            about=about(made, v),
            problems=tuple(wrong.get(v.label, ())),
        )
        for v, texts in zip(made.at_bench, held, strict=True)
    )
    return Cells("Readings, a row a vial", tuple(map(column, columns)), rows, "vial")


def about(made: hlb.Ladder, vial: Vial) -> tuple[Piece, ...]:
    """What a vial is, where that is no secret."""
    words = vial_name(made, vial.number).removeprefix(vial.label).removeprefix(" · ")
    return (Piece(words),) if words else ()


def column(of: RecordColumn) -> Column:
    """A column of readings under its time."""
    over = of.name.removeprefix(of.kind).removeprefix(", ")
    return Column(of.name, of.kind, over=over, kind="amount" if of.kind in TYPED_AS_NUMBERS else "text")


def take_readings(sheet: LadderSheet, made: hlb.Ladder, edits: Edits) -> LadderSheet:
    """The sheet with what was typed into the table of readings."""
    shown = [c.name for c in record_columns(made, sheet)]
    for row, field, text in edits.texts:
        sheet = with_record(sheet, made, {int(row): {field: text}}, shown)
    return sheet


def weighed(made: hlb.Ladder, sheet: LadderSheet) -> Cells:
    """The table of what was really weighed."""
    held = weighed_table(made, sheet)
    names = [str(c) for c in held.columns][1:]
    rows = tuple(
        Row(str(v.number), v.label, texts={n: texts[n] for n in names})
        for v, texts in zip(made.at_bench, held.to_dict("records"), strict=True)
    )
    return Cells("What was weighed, a row a vial", tuple(Column(n, n) for n in names), rows, "vial")


def take_weighed(sheet: LadderSheet, made: hlb.Ladder, edits: Edits) -> LadderSheet:
    """The sheet with what was typed into the table of grams."""
    for row, field, text in edits.texts:
        sheet = with_weighed(sheet, made, {int(row): {field: text}})
    return sheet
