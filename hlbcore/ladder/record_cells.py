"""The tables of a recorded ladder, to be filled in: columns, cells, what was weighed, rows of a file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import pandas as pd

from hlbcore.cells import whole_signs
from hlbcore.errors import clipped
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.sheet import DEFAULT_TIMES, Cell, LadderSheet, parted
from hlbcore.limits import FIELD_MOST
from hlbcore.quantities import TEMPERATURE, read_quantity
from hlbcore.typed import Typed

USUAL_KINDS = {
    "rinse": ("milkiness", "oil ring", "film on glass", "hardness", "oil layer", "settled layer"),
    "clarity": ("clarity",),
}
"""What is looked at in a ladder of that kind; else the score."""


RINSE_TIMES = {"milkiness": ("at once",), "oil ring": ("5 min", "15 min"), "film on glass": ("15 min",)}
"""When the rinse water is looked at, from the moment of rinsing; common practice, no source."""


JAR_TIMES, JAR_PLACES = "1 day", "5, 22, 40"
"""When and where the jars of a rinse ladder are looked at: cold, room and 40 °C.
[h or with a unit; °C] Our convention."""


TYPE_KINDS = ("drop in water", "drop in oil")
"""The test of the emulsion type, once a vial."""


TYPE_TIME = "at once"


NOTE, VIAL = "note", "vial"
"""Columns of the table beside the readings."""


NO_TYPE_TEST = ("rinse", "clarity")
"""Kinds of ladder without a test of the emulsion type."""


@dataclass(frozen=True, slots=True)
class RecordColumn:
    """One column of the table of readings.

    Parameters
    ----------
    name : str
        Its heading.
    kind : str
        What was looked at.
    time, temperature : str
        When and where, as typed. [h or with a unit, °C]
    """

    name: str
    kind: str
    time: str = ""
    temperature: str = ""


def record_columns(ladder: Ladder, sheet: LadderSheet) -> tuple[RecordColumn, ...]:
    """The columns of the table of readings: those asked for, and those that hold something.

    Parameters
    ----------
    ladder : Ladder
        The ladder that is recorded.
    sheet : LadderSheet
        What was typed.

    Returns
    -------
    tuple of RecordColumn
        Readings by time, the test of the emulsion type, a note.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20})
    >>> [c.name for c in record_columns(ladder, LadderSheet(times="1 h, 1 day"))]
    ['score, 1 h', 'score, 1 day', 'drop in water', 'drop in oil', 'note']
    """
    kinds = sheet.kinds or USUAL_KINDS.get(ladder.kind, ("score",))
    warm = read_places(sheet.temperatures)[0] or [""]
    rinsed = RINSE_TIMES if ladder.kind == "rinse" else {}
    asked = [(k, t, "") for k in kinds for t in rinsed.get(k, ())]
    asked += [(k, t, c) for t in parted(sheet.times) for c in warm for k in kinds if k not in rinsed]
    if ladder.kind not in NO_TYPE_TEST:
        asked += [(k, TYPE_TIME, "") for k in TYPE_KINDS]
    held = [(c.kind, c.time, c.temperature) for c in sheet.cells if c.text.strip()]
    places = dict.fromkeys([*asked, *(h for h in held if h[0] != NOTE)])
    return (*(RecordColumn(column_heading(k, t, c), k, t, c) for k, t, c in places), RecordColumn(NOTE, NOTE))


def read_places(text: str) -> tuple[list[str], str]:
    """The temperatures at which vials stand, each as text in °C, and what is wrong with one of them.

    Parameters
    ----------
    text : str
        As typed; a unit behind the last one holds for those without one. [°C or with its unit]

    Returns
    -------
    tuple of list of str and str
        What cannot be read, and plain numbers, as they were typed.

    Examples
    --------
    >>> read_places("5, 22, 40"), read_places("41, 72 F")
    ((['5', '22', '40'], ''), (['5', '22.2'], ''))
    """
    parts = parted(text)
    unit = "".join(parts[-1:]).lstrip("+-−0123456789.,' ")
    made, wrong = [], ""
    for part in parts:
        plain = part[-1:].isdigit()
        read = Typed.read(f"{part} {unit}" if plain else part, _place)
        made.append(part if read.value is None or (plain and not unit) else f"{read.value:g}")
        wrong = wrong or read.problem
    return made, wrong


def _place(text: str) -> float:
    return read_quantity(text, "temperature", TEMPERATURE, low=-80, high=250)


def ready_to_record(sheet: LadderSheet, ladder: Ladder, made_on: str = "") -> LadderSheet:
    """The sheet as recording begins: the jars of a rinse ladder stand cold, at room and warm.

    Parameters
    ----------
    sheet : LadderSheet
        What was typed for the plan.
    ladder : Ladder
        The ladder that is to be recorded.
    made_on : str
        Day of making, where none was typed.

    Returns
    -------
    LadderSheet
        Times and temperatures that were typed stay.

    Examples
    --------
    >>> from hlbcore.ladder import rinse_ladder
    >>> ladder = rinse_ladder("wash-off scrub", oil_phase={"sunflower oil": 80})
    >>> [c.name for c in record_columns(ladder, ready_to_record(LadderSheet(), ladder))][:5]
    ['milkiness, at once', 'oil ring, 5 min', 'oil ring, 15 min', 'film on glass, 15 min', \
'hardness, 1 day, 5 °C']
    """
    sheet = replace(sheet, made_on=sheet.made_on.strip() or made_on)
    if ladder.kind != "rinse" or sheet.temperatures.strip() or sheet.times != DEFAULT_TIMES:
        return sheet
    return replace(sheet, times=JAR_TIMES, temperatures=JAR_PLACES)


def column_heading(kind: str, time: str, temperature: str) -> str:
    """The heading of a column of readings."""
    when = "" if kind in TYPE_KINDS and time == TYPE_TIME else f", {time}"
    return kind + when + (f", {temperature} °C" if temperature else "")


def vial_name(ladder: Ladder, number: int) -> str:
    """A vial as the table names it: its label, and what it is where that is no secret."""
    v = ladder.vial(number)
    hlb = ladder.hlb(v)
    if ladder.blinded or hlb is None or ladder.kind not in ("coarse", "fine", "recorded"):
        return v.label
    return f"{v.label} · HLB {hlb:.1f}"


def record_table(ladder: Ladder, sheet: LadderSheet) -> pd.DataFrame:
    """The table of readings to fill in, one row a vial, all of it text.

    Parameters
    ----------
    ladder : Ladder
        The ladder that is recorded.
    sheet : LadderSheet
        What was typed.

    Returns
    -------
    DataFrame
        Column vial, then as `record_columns` names them.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20}, seed=1)
    >>> record_table(ladder, LadderSheet())["vial"][0]
    '1 · HLB 8.0'
    """
    columns = record_columns(ladder, sheet)
    held = {(c.vial, c.kind, c.time, c.temperature): c.text for c in sheet.cells}
    rows = [
        (
            vial_name(ladder, v.number),
            *(held.get((str(v.number), c.kind, c.time, c.temperature), "") for c in columns),
        )
        for v in ladder.at_bench
    ]
    return pd.DataFrame(rows, columns=[VIAL, *(c.name for c in columns)], dtype=object)


def with_record(
    sheet: LadderSheet, ladder: Ladder, edits: Mapping[int, Mapping[str, object]], shown: Sequence[str]
) -> LadderSheet:
    """The sheet with cells of the table of readings changed.

    Parameters
    ----------
    sheet : LadderSheet
        What was typed before.
    ladder : Ladder
        The ladder that is recorded.
    edits : mapping of int to mapping
        Text by column heading, by number of the vial.
    shown : sequence of str
        The headings of the table that was edited.

    Returns
    -------
    LadderSheet
        A blank cell is taken out.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20})
    >>> with_record(LadderSheet(), ladder, {1: {"score, 1 h": "3"}}, ["score, 1 h"]).cells[0].text
    '3'
    """
    columns = {c.name: c for c in record_columns(ladder, sheet) if c.name in shown}
    held = {(c.vial, c.kind, c.time, c.temperature): c for c in sheet.cells}
    for number, cells in edits.items():
        vial = str(ladder.vial(number).number)
        for name, value in cells.items():
            if name not in columns:
                continue
            c = columns[name]
            key = (vial, c.kind, c.time, c.temperature)
            text = whole_signs(clipped("" if value is None else value, FIELD_MOST))
            held.pop(key, None)
            if text.strip():
                held[key] = Cell(*key, text)
    return replace(sheet, cells=tuple(held.values()))


def weighed_table(ladder: Ladder, sheet: LadderSheet) -> pd.DataFrame:
    """The table of what was really weighed, one row a vial, all of it text.

    Parameters
    ----------
    ladder : Ladder
        The ladder that is recorded.
    sheet : LadderSheet
        What was typed.

    Returns
    -------
    DataFrame
        Column vial, then one an ingredient; blank where it is as planned. [g]

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20})
    >>> list(weighed_table(ladder, LadderSheet()))[1]
    'sorbitan oleate [g]'
    """
    held = {(v, n): text for v, n, text in sheet.weighed}
    rows = [
        (vial_name(ladder, v.number), *(held.get((str(v.number), n), "") for n in ladder.ingredients))
        for v in ladder.at_bench
    ]
    return pd.DataFrame(rows, columns=[VIAL, *(f"{n} [g]" for n in ladder.ingredients)], dtype=object)


def with_weighed(
    sheet: LadderSheet, ladder: Ladder, edits: Mapping[int, Mapping[str, object]]
) -> LadderSheet:
    """The sheet with what was really weighed changed.

    Parameters
    ----------
    sheet : LadderSheet
        What was typed before.
    ladder : Ladder
        The ladder that is recorded.
    edits : mapping of int to mapping
        Text by column heading, by number of the vial. [g]

    Returns
    -------
    LadderSheet
        A blank cell is as planned.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20})
    >>> with_weighed(LadderSheet(), ladder, {1: {"mineral oil [g]": "9.98"}}).weighed
    (('1', 'mineral oil', '9.98'),)
    """
    names = {f"{n} [g]": n for n in ladder.ingredients}
    held = {(v, n): text for v, n, text in sheet.weighed}
    for number, cells in edits.items():
        vial = str(ladder.vial(number).number)
        for heading, value in cells.items():
            if heading in names:
                text = whole_signs(clipped("" if value is None else value, FIELD_MOST))
                held.pop((vial, names[heading]), None)
                if text.strip():
                    held[vial, names[heading]] = text
    return replace(sheet, weighed=tuple((v, n, t) for (v, n), t in held.items()))
