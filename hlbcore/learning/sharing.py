"""What ladders say as an open file, so that a class or several workshops can pool them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import Any

from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.learning.bench_result import BenchResult
from hlbcore.saved_text import opened, saved

SCHEMA, VERSION = "hlbcore bench results", 1

LADDERS_MOST = 5000
"""Ladders that one file may hold. [-] Our convention."""

_BEYOND = ("others", "note")
_FIELDS = tuple(f.name for f in fields(BenchResult))


@dataclass(frozen=True, slots=True)
class Shared:
    """What a shared file holds.

    Parameters
    ----------
    ladders : tuple of BenchResult
        Those that could be read, each once.
    problems : tuple of str
        A sentence for each that could not.
    """

    ladders: tuple[BenchResult, ...]
    problems: tuple[str, ...] = ()


def results_to_json(ladders: Iterable[BenchResult], *, whole: bool = False) -> str:
    """What ladders say as a file: figures, conditions, who and when.

    Parameters
    ----------
    ladders : iterable of BenchResult
        Any.
    whole : bool
        Whether notes, and what else was in the vials beside oil phase and emulsifiers, go along.

    Returns
    -------
    str
        JSON; the oil phase in % of the oil phase; fields that are blank are left out.

    Examples
    --------
    >>> one = BenchResult({"shea butter": 1}, ("sorbitan oleate",), 8.0, others=[("glycerin", 3)])
    >>> "glycerin" in results_to_json([one]), "glycerin" in results_to_json([one], whole=True)
    (False, True)
    """
    rows = [_row(x, whole) for x in ladders]
    return saved(SCHEMA, VERSION, {"ladders": rows}, indent=1)


def _row(ladder: BenchResult, whole: bool) -> dict[str, Any]:
    mass = math.fsum(m for _, m in ladder.phase)
    return {**row_of(ladder, whole), "phase": [[n, 100 * m / mass] for n, m in ladder.phase]}


def row_of(ladder: BenchResult, whole: bool = True) -> dict[str, Any]:
    """One ladder as JSON takes it; what is blank is left out.

    Parameters
    ----------
    ladder : BenchResult
        Any.
    whole : bool
        Whether notes and what else was in the vials go along.

    Returns
    -------
    dict
        `result_of` reads it back.
    """
    held: dict[str, Any] = {}
    for name in _FIELDS:
        value = getattr(ladder, name)
        if value not in ("", None, ()) and (whole or name not in _BEYOND):
            held[name] = value
    return held


def results_from_json(text: str) -> Shared:
    """What ladders say, from a file.

    Parameters
    ----------
    text : str
        As `results_to_json` writes it, or written elsewhere by its form.

    Returns
    -------
    Shared
        One bad ladder does not keep the others out.

    Raises
    ------
    InvalidInput
        If it is no such file, or one of a newer version.

    Examples
    --------
    >>> one = BenchResult({"shea butter": 100}, ("sorbitan oleate",), 8.0, name="first")
    >>> results_from_json(results_to_json([one])).ladders == (one,)
    True
    """
    with opened(text, [SCHEMA], VERSION, "file of ladders") as (_, _, raw):
        rows = raw["ladders"]
        if not isinstance(rows, list):
            raise ValueError("it holds no list of ladders")
    if len(rows) > LADDERS_MOST:
        raise InvalidInput(
            "file of ladders", f"it holds {len(rows)} ladders", f"Share at most {LADDERS_MOST} at a time."
        )
    held: dict[str, BenchResult] = {}
    problems = []
    for n, row in enumerate(rows, 1):
        try:
            found = result_of(row)
        except HlbError as error:
            problems.append(f"Ladder {n}: {error}")
        else:
            held.setdefault(found.identity, found)
    return Shared(tuple(held.values()), tuple(problems))


def result_of(row: object) -> BenchResult:
    """One ladder of a file.

    Parameters
    ----------
    row : object
        As JSON gives it.

    Returns
    -------
    BenchResult
        Checked as any other.

    Raises
    ------
    InvalidInput
        For odd fields and words for numbers.
    """
    if not isinstance(row, dict):
        raise InvalidInput("ladder of the file", "it is no list of fields", "Leave it out.")
    if odd := sorted(set(map(str, row)) - set(_FIELDS)):
        raise InvalidInput("ladder of the file", f"'{clipped(odd[0])}' is not a field of it", "Leave it out.")
    if "phase" not in row:
        raise InvalidInput("ladder of the file", "its oil phase is missing", "Add the field 'phase'.")
    given = dict(row)
    pair = given.get("pair", ())
    if not isinstance(pair, (list, tuple, str)) or not all(isinstance(p, str) for p in pair):
        raise InvalidInput("ladder of the file", "its pair is no list of names", "Name the emulsifiers.")
    for name in ("phase", "others"):
        if not isinstance(given.get(name, []), (list, dict)):
            raise InvalidInput("ladder of the file", f"'{name}' is no list of names and amounts", "Mend it.")
    others = given.get("others", [])
    given["others"] = list(others.items()) if isinstance(others, dict) else others
    for name in ("optimum", "low", "high", "dose_pct", "temperature_c"):
        if isinstance(given.get(name), (bool, list, dict)):
            raise InvalidInput("ladder of the file", f"'{name}' is no number", "Write a number.")
    return BenchResult(**given)
