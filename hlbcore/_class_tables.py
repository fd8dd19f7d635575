"""The reading of class ranges and suppliers' rates from the CSV files in ``data/``."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from hlbcore._tables import _number, _rows, _word
from hlbcore.classes import ClassRange
from hlbcore.errors import TableError
from hlbcore.ingredients import EMULSIONS, KINDS
from hlbcore.ready import ROLES, ReadyEmulsifier
from hlbcore.sheets import RATE_BASES
from hlbcore.sources import Source


def _listed(text: str) -> tuple[str, ...]:
    return tuple(t for part in text.split(";") if (t := part.strip()))


def read_classes(folder: Path, sources: Mapping[str, Source]) -> tuple[ClassRange, ...]:
    """The class ranges.

    Parameters
    ----------
    folder : Path
        Holds ``class_ranges.csv``.
    sources : mapping of str to Source
        By key.

    Returns
    -------
    tuple of ClassRange
        In the order of the file.

    Raises
    ------
    TableError
        With file, line and column.
    """
    name = "class_ranges.csv"
    columns = ("class", "kinds", "ids", "emulsion", "value", "low", "high", "source", "where", "note")
    found = []
    for line, row in _rows(folder, name, columns):
        value, low, high = (_number(row, c, name, line) for c in ("value", "low", "high"))
        if low is None or high is None or not 0 <= low <= (low if value is None else value) <= high:
            raise TableError(name, line, "low", "low, value, high are not in rising order")
        for key in _listed(row["source"]):
            _word({"source": key}, "source", sources, name, line)
        for kind in _listed(row["kinds"]):
            _word({"kinds": kind}, "kinds", KINDS, name, line)
        found.append(
            ClassRange(
                row["class"],
                _word(row, "emulsion", EMULSIONS, name, line),
                _listed(row["kinds"]),
                _listed(row["ids"]),
                value,
                low,
                high,
                _listed(row["source"]),
                row["where"],
                row["note"],
            )
        )
    return tuple(found)


_RATES = (
    "name",
    "parts",
    "shares",
    "role",
    "emulsion",
    "charge",
    "low_pct",
    "high_pct",
    "basis",
    "oil_low_pct",
    "oil_high_pct",
    "oil_note",
    "ph_low",
    "ph_high",
    "process",
    "electrolyte",
    "partner",
    "hlb",
    "hlb_note",
    "melting",
    "one_formula",
    "source",
    "where",
    "seen",
    "note",
)
_RATE_NUMBERS = ("low_pct", "high_pct", "oil_low_pct", "oil_high_pct", "ph_low", "ph_high", "hlb")


def read_rates(folder: Path, sources: Mapping[str, Source]) -> tuple[ReadyEmulsifier, ...]:
    """The ready emulsifiers with their suppliers' rates.

    Parameters
    ----------
    folder : Path
        Holds ``supplier_rates.csv``.
    sources : mapping of str to Source
        By key.

    Returns
    -------
    tuple of ReadyEmulsifier
        In the order of the file.

    Raises
    ------
    TableError
        With file, line and column.
    """
    name = "supplier_rates.csv"
    found = []
    for line, row in _rows(folder, name, _RATES):
        numbers = {c: _number(row, c, name, line) for c in _RATE_NUMBERS}
        for low, high in (("low_pct", "high_pct"), ("oil_low_pct", "oil_high_pct"), ("ph_low", "ph_high")):
            a, b = numbers[low], numbers[high]
            if a is not None and b is not None and a > b:
                raise TableError(name, line, low, f"{low} lies above {high}")
        if (numbers["low_pct"] is numbers["high_pct"] is None) != (row["basis"] == ""):
            raise TableError(name, line, "basis", "a rate and its basis go together")
        _word(row, "role", ROLES, name, line)
        _word(row, "basis", ("", *RATE_BASES), name, line)
        _word(row, "source", sources, name, line)
        once = _word(row, "one_formula", ("yes", "no"), name, line) == "yes"
        parts = _listed(row["parts"])
        found.append(
            ReadyEmulsifier(**{**row, **numbers, "parts": parts, "one_formula": once})  # type: ignore[arg-type]
        )
    return tuple(found)
