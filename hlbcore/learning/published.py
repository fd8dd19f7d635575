"""Bench ladders that were published, as a set to learn from."""

from __future__ import annotations

from functools import cache

from hlbcore._tables import _number, _rows, _word
from hlbcore.errors import HlbError, TableError
from hlbcore.folders import data_folder
from hlbcore.learning.bench_result import BenchResult
from hlbcore.library import load_library

COLUMNS = (
    "name",
    "phase",
    "pair",
    "optimum",
    "low",
    "high",
    "dose_pct",
    "temperature_c",
    "emulsion",
    "method",
    "made_on",
    "source",
    "where",
    "note",
)
_FILE = "bench_ladders.csv"


@cache
def published_ladders() -> tuple[BenchResult, ...]:
    """The ladders of ``data/bench_ladders.csv``.

    Returns
    -------
    tuple of BenchResult
        One a row. Where a source gives no honest interval (the ends of what was best, or nothing),
        none is given here, so that the optimum counts as known to 1.0 each way.

    Raises
    ------
    TableError
        With line and column.

    Examples
    --------
    >>> held = published_ladders()
    >>> all(x.source for x in held), "citronella oil" in [x.phase[0][0] for x in held]
    (True, True)
    """
    sources, found = load_library().sources, []
    for line, row in _rows(data_folder(), _FILE, COLUMNS):
        _word(row, "source", sources, _FILE, line)
        optimum, low, high = (_number(row, c, _FILE, line) for c in ("optimum", "low", "high"))
        dose, warm = (_number(row, c, _FILE, line) for c in ("dose_pct", "temperature_c"))
        phase = []
        for part in row["phase"].split(";"):
            name, _, share = part.strip().rpartition(" ")
            try:
                phase.append((name, float(share)))
            except ValueError:
                raise TableError(
                    _FILE, line, "phase", "names with amounts are wanted: 'oil 70; other 30'"
                ) from None
        note = ": ".join(t for t in (row["where"], row["note"]) if t)
        try:
            made = BenchResult(
                phase,
                row["pair"],
                optimum,
                low,
                high,
                name=row["name"],
                made_on=row["made_on"],
                method=row["method"],
                note=note,
                source=row["source"],
                dose_pct=dose,
                temperature_c=warm,
                emulsion=row["emulsion"],
            )
        except HlbError as error:
            raise TableError(_FILE, line, "all", str(error)) from None
        found.append(made)
    return tuple(found)
