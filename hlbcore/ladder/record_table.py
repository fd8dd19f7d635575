"""Reading a table of observations as people fill it in, with a report by row."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from hlbcore._numbers import checked, checked_text
from hlbcore.cells import whole_signs
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.ingredients import fold
from hlbcore.ladder.kinds import OBSERVATION_KINDS, ObservationKind, observation_kind
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.observations import Observation
from hlbcore.ladder.times import read_hours
from hlbcore.quantities import TEMPERATURE, read_quantity

COLUMNS = {
    "vial": "vial",
    "label": "vial",
    "tube": "vial",
    "number": "vial",
    "hours": "hours",
    "h": "hours",
    "time": "time",
    "after": "time",
    "age": "time",
    "kind": "kind",
    "what": "kind",
    "value": "value",
    "reading": "value",
    "of": "of",
    "height": "of",
    "wholeheight": "of",
    "total": "of",
    "temperature": "temperature",
    "temperaturec": "temperature",
    "temp": "temperature",
    "note": "note",
    "notes": "note",
}
MISSING = ("missing", "-", "–", "?", "n/a", "na", "none", "not read")
"""Words for a reading that was not taken."""
BROKEN = ("broke", "broken", "leaked", "spilled", "lost")
"""Words for a vial that is no more."""


@dataclass(frozen=True, slots=True)
class RowProblem:
    """One cell of a table that could not be used.

    Parameters
    ----------
    row : int
        Row of the table, from 1, header not counted. [-]
    column : str
        Its column.
    problem : str
        What is wrong and what to do.
    """

    row: int
    column: str
    problem: str


@dataclass(frozen=True, slots=True)
class ReadObservations:
    """What was read from a table.

    Parameters
    ----------
    observations : tuple of Observation
        What can be used.
    problems : tuple of RowProblem
        What cannot, by row; the rest of the row is kept.
    """

    observations: tuple[Observation, ...]
    problems: tuple[RowProblem, ...] = ()

    @property
    def report(self) -> pd.DataFrame:
        """One row a problem: row, column, problem."""
        return pd.DataFrame(
            [(p.row, whole_signs(p.column), whole_signs(p.problem)) for p in self.problems],
            columns=["row", "column", "problem"],
        )


def read_observations(rows: Sequence[Mapping[str, object]], ladder: Ladder) -> ReadObservations:
    """Observations from a table as filled in at the bench, with a report by row.

    Parameters
    ----------
    rows : sequence of mapping of str to object
        One row a vial and time. Columns: ``vial`` (its label), ``hours`` or ``time``, and
        either ``kind`` and ``value`` or one column a kind (``score``, ``water layer``, ...); also
        ``of`` (whole height), ``temperature``, ``note``. Case and spacing are free.
    ladder : Ladder
        Whose vials they are.

    Returns
    -------
    ReadObservations
        What can be used, and what cannot with the reason. A blank cell is left out, ``-`` or
        ``missing`` is a reading not taken, ``broke`` ends the vial; ``<3`` and ``>10`` are values
        known from one side only, ``not yet`` means not separated.

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> read = read_observations(
    ...     [{"vial": "1", "time": "1 day", "score": "2", "water layer": "12/40 mm"},
    ...      {"vial": "9", "time": "1 day", "score": "6"}], ladder)
    >>> len(read.observations), read.report["problem"].tolist()
    (2, ["vial '9': the ladder has no such vial. Use 1, 2, 3, 4, 5, 6, 7."])
    """
    kept: dict[tuple[int, float, str, float | None], Observation] = {}
    problems: list[RowProblem] = []
    for number, row in enumerate(rows, 1):
        try:
            cells = _cells(row)
        except HlbError as error:
            problems.append(RowProblem(number, "header", str(error)))
            continue
        if all(_blank(v) for _, v in cells.values()):
            continue
        where = "vial"
        try:
            vial = _vial(cells, ladder)
            where = "time"
            hours = _hours(cells)
            where = "temperature"
            temperature = _optional(cells, "temperature", "°C")
            where = "of"
            of = _optional(cells, "of", "")
        except HlbError as error:
            problems.append(RowProblem(number, where, str(error)))
            continue
        note = str(cells["note"][1]).strip() if not _blank(cells.get("note", ("", None))[1]) else ""
        for column, kind, cell in _readings(cells, number, problems):
            try:
                seen = _observation(vial, hours, kind, cell, of, temperature, note)
                if seen.key in kept:
                    raise InvalidInput(
                        f"vial {vial}, {seen.kind}",
                        f"it is given twice at {hours:g} h",
                        "Keep one of the two; the first one counts.",
                    )
                kept[seen.key] = seen
            except HlbError as error:
                problems.append(RowProblem(number, column, str(error)))
    return ReadObservations(tuple(kept.values()), tuple(problems))


def _cells(row: Mapping[str, object]) -> dict[str, tuple[str, object]]:
    """Known columns by their plain name, with the header as written."""
    if not isinstance(row, Mapping):
        raise InvalidInput("row", "it is no row of named cells", "Give {column: text}.")
    found: dict[str, tuple[str, object]] = {}
    for header, value in row.items():
        key = COLUMNS.get(fold(str(header)))
        if key is None:
            try:
                key = observation_kind(str(header)).name
            except InvalidInput:
                if _blank(value):
                    continue
                raise InvalidInput(
                    f"column '{clipped(header)}'",
                    "it is not known here",
                    "Use vial, time, kind, value, of, temperature, note or a kind of observation.",
                ) from None
        if key in found and not _blank(value) and not _blank(found[key][1]):
            raise InvalidInput(
                f"column '{clipped(header)}'",
                f"it is '{clipped(found[key][0])}' again",
                "Keep one of the two.",
            )
        if key not in found or _blank(found[key][1]):
            found[key] = (str(header), value)
    return found


def _blank(value: object) -> bool:
    return (
        value is None
        or (isinstance(value, str) and not value.strip())
        or (
            isinstance(value, float) and math.isnan(value)  # a blank cell of a spreadsheet
        )
    )


def _vial(cells: Mapping[str, tuple[str, object]], ladder: Ladder) -> int:
    given = cells.get("vial", ("", None))[1]
    if _blank(given):
        raise InvalidInput("vial", "it is blank", "Give the number or the label of the vial.")
    word = str(int(given)) if isinstance(given, float) and given.is_integer() else str(given)
    # labels lead: a blinded code must never be taken for a number
    for v in ladder.vials:
        if fold(v.label) == fold(word):
            return v.number
    raise InvalidInput(
        f"vial '{clipped(word)}'",
        "the ladder has no such vial",
        f"Use {', '.join(v.label for v in ladder.at_bench[:30])}.",
    )


def _hours(cells: Mapping[str, tuple[str, object]]) -> float:
    for key, plain in (("hours", "h"), ("time", "")):
        given = cells.get(key, ("", None))[1]
        if not _blank(given):
            # a bare number below "time" may be hours or days; below "hours" it is hours
            bare = isinstance(given, int | float) and not isinstance(given, bool) and given != 0
            return read_hours(f"{given:g}" if bare else given, "time", plain=plain)
    raise InvalidInput("time", "it is blank", "Write for example 1 h, 2 days or 1 week.")


def _optional(cells: Mapping[str, tuple[str, object]], key: str, unit: str) -> float | None:
    given = cells.get(key, ("", None))[1]
    if _blank(given):
        return None
    if isinstance(given, str):
        words = given.strip().casefold()
        if key == "temperature":
            return read_quantity(words, key, TEMPERATURE, low=-80, high=250)
        given = re.sub(r"\s*(mm|ml)\s*$", "", words)
    return checked(given, key, unit=unit)  # type: ignore[arg-type]


def _readings(
    cells: Mapping[str, tuple[str, object]], number: int, problems: list[RowProblem]
) -> list[tuple[str, ObservationKind, object]]:
    """The readings of a row: of kind and value, and of columns named as a kind."""
    found: list[tuple[str, ObservationKind, object]] = []
    if not _blank(cells.get("kind", ("", None))[1]):
        header, given = cells["kind"]
        try:
            value = cells.get("value", ("value", None))
            word = "missing" if _blank(value[1]) else value[1]
            found.append((value[0], observation_kind(str(given)), word))
        except HlbError as error:
            problems.append(RowProblem(number, header, str(error)))
    elif not _blank(cells.get("value", ("", None))[1]):
        problems.append(RowProblem(number, "kind", "kind: it is blank. Say what was looked at."))
    found += [
        (header, OBSERVATION_KINDS[key], value)
        for key, (header, value) in cells.items()
        if key in OBSERVATION_KINDS and not _blank(value)
    ]
    return found


_PART = re.compile(r"(?P<part>[^/]+?)\s*(?:mm|ml)?\s*(?:/|\bof\b)\s*(?P<whole>.+?)\s*(?:mm|ml)?")


def _observation(
    vial: int,
    hours: float,
    kind: ObservationKind,
    cell: object,
    of: float | None,
    temperature: float | None,
    note: str,
) -> Observation:
    item = f"vial {vial}, {kind.name}"
    limit = ""
    value: float | None
    if not kind.is_typed:
        return Observation(vial, hours, kind.name, 0.0)  # refused there with its sentence
    if kind.form == "text":
        words = "" if _missing(cell) else checked_text(str(cell).strip(), item)
        return Observation(
            vial,
            hours,
            kind.name,
            None,
            temperature_c=temperature,
            note="; ".join(filter(None, (words, note))),
        )
    if not isinstance(cell, str) or isinstance(cell, bool):
        if isinstance(cell, bool) and kind.form in ("yes/no", "event"):
            cell = float(cell)
        if kind.form == "event":
            return Observation(vial, hours, kind.name, None, temperature_c=temperature, note=note)
        value = checked(cell, item)  # type: ignore[arg-type]
        if kind.form == "layer" and of is None and value > 0:
            raise _no_whole(item)
        return Observation(vial, hours, kind.name, value, of, "", temperature, note)
    text = " ".join(cell.casefold().split())
    if text in BROKEN or (kind.form == "event" and text not in ("no", "0", *MISSING)):
        return Observation(vial, hours, "broken", None, temperature_c=temperature, note=note)
    if kind.form == "event":
        raise InvalidInput(item, "it is said not to be", "Leave the cell blank.")
    if text in MISSING:
        return Observation(vial, hours, kind.name, None, temperature_c=temperature, note=note)
    if text[:1] in ("<", ">", "≤", "≥"):
        limit, text = {"≤": "<", "≥": ">"}.get(text[0], text[0]), text[1:].strip()
    if kind.form == "yes/no":
        value = _yes(text, item)
    elif kind.form == "type":
        value = _type(text, item)
    elif kind.form == "layer":
        value, of = _layer(text, of, item)
    else:
        bare = re.sub(r"\s*(µm|μm|um|micron|microns|mpa[·. ]?s|cp)$", "", text) if kind.unit else text
        value = checked(bare, item)
    return Observation(vial, hours, kind.name, value, of, limit, temperature, note)


def _missing(cell: object) -> bool:
    return isinstance(cell, str) and cell.strip().casefold() in MISSING


def _yes(text: str, item: str) -> float:
    if text in ("yes", "y", "1", "true", "spreads", "x"):
        return 1.0
    if text in ("no", "n", "0", "false", "not yet", "stays"):
        return 0.0
    raise InvalidInput(item, f"'{clipped(text)}' is neither yes nor no", "Write yes or no.")


def _type(text: str, item: str) -> float:
    folded = fold(text)
    if folded in ("ow", "oilinwater"):
        return 1.0
    if folded in ("wo", "waterinoil"):
        return 0.0
    raise InvalidInput(item, f"'{clipped(text)}' is no emulsion type", "Write o/w or w/o.")


def _no_whole(item: str) -> InvalidInput:
    return InvalidInput(
        item,
        "the whole height is missing",
        "Write layer and whole, for example 3/40 mm, or per cent, or fill the column of.",
    )


def _layer(text: str, of: float | None, item: str) -> tuple[float, float | None]:
    if len(text) < 100 and (found := _PART.fullmatch(text)):
        return checked(found["part"], item), checked(found["whole"], f"{item}, whole height")
    if text.endswith("%"):
        return checked(text[:-1], item), None
    value = checked(re.sub(r"\s*(mm|ml)$", "", text), item)
    if of is None and value > 0:
        raise _no_whole(item)
    return value, of
