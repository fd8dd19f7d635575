"""The reading of the CSV files in ``data/``; one function, explicit about every cell."""

from __future__ import annotations

import csv
import hashlib
import io
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from hlbcore.errors import TableError, clipped
from hlbcore.estimate import HLB_MAX, TABLE_GRADES, Reading
from hlbcore.ingredients import CONVENTIONS, EMULSIONS, SOURCE_KINDS, Ingredient, Property, Source


def _rows(folder: Path, name: str, columns: tuple[str, ...]) -> Iterator[tuple[int, dict[str, str]]]:
    """Rows of one table with their line numbers."""
    with (folder / name).open(encoding="utf-8", newline="") as handle:
        reader = csv.DictReader(handle, strict=True)
        try:
            if tuple(reader.fieldnames or ()) != columns:
                raise TableError(name, 1, "all", f"the columns must be {','.join(columns)}")
            for row in reader:
                if None in row or None in row.values():
                    raise TableError(name, reader.line_num, "all", "the number of cells is wrong")
                yield reader.line_num, row
        except (csv.Error, UnicodeDecodeError) as error:
            raise TableError(name, reader.line_num, "all", clipped(error)) from None


def _number(row: Mapping[str, str], column: str, file: str, line: int) -> float | None:
    """A cell as a number; a blank cell is unknown, never zero."""
    text = row[column]
    if text == "":
        return None
    try:
        number = float(text)
    except ValueError:
        raise TableError(file, line, column, f"'{clipped(text)}' is not a number") from None
    if not math.isfinite(number):
        raise TableError(file, line, column, f"{text} is not finite")
    return number


def _word(row: Mapping[str, str], column: str, allowed: Iterable[str], file: str, line: int) -> str:
    if row[column] not in allowed:
        raise TableError(file, line, column, f"'{clipped(row[column])}' is not known here")
    return row[column]


def _sourced(
    row: Mapping[str, str], sources: Mapping[str, Source], file: str, line: int, faults: list[TableError]
) -> bool:
    """Whether the source of a reading is known; one slip there must not hide all other figures."""
    if row["source"] in sources:
        return True
    said = f"'{clipped(row['source'])}' is no key of sources.csv, so this reading is left out"
    faults.append(TableError(file, line, "source", said))
    return False


ORDER = {
    "ingredients": ("id",),
    "aliases": ("id",),
    "emulsifier_hlb": ("id", "source"),
    "required_hlb": ("id", "source"),
    "properties": ("id", "property", "source"),
    "preservatives": ("id",),
    "sources": ("key",),
}
"""Columns by which the rows of each table stand."""


def sort_tables(folder: Path) -> tuple[str, ...]:
    """Put the rows of every table of `ORDER` in order; the names of the files that changed."""
    changed = []
    for table, columns in ORDER.items():
        path = folder / f"{table}.csv"
        before = path.read_bytes()
        reader = csv.reader(io.StringIO(before.decode("utf-8-sig"), newline=""), strict=True)
        head = next(reader)
        rows = []
        for row in reader:
            if len(row) != len(head):
                raise TableError(path.name, reader.line_num, "all", "the number of cells is wrong")
            rows.append(row)
        places = [head.index(c) for c in columns]
        rows.sort(key=lambda row, places=places: [row[n] for n in places])  # type: ignore[misc]
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerows([head, *rows])
        after = text.getvalue().encode()
        if after != before:
            path.write_bytes(after)
            changed.append(path.name)
    return tuple(changed)


_READING = ("value", "low", "high", "grade", "source", "where", "note")


def _read_readings(
    folder: Path,
    name: str,
    known: Iterable[str],
    sources: Mapping[str, Source],
    keys: tuple[str, ...],
    faults: list[TableError],
) -> Iterator[tuple[dict[str, str], Reading]]:
    ids = set(known)
    for line, row in _rows(folder, name, (*keys, *_READING)):
        _word(row, "id", ids, name, line)
        value = _number(row, "value", name, line)
        low, high = _number(row, "low", name, line), _number(row, "high", name, line)
        if value is None or not 0 <= value <= HLB_MAX:
            raise TableError(name, line, "value", "an HLB from 0 to 40 is wanted")
        if (low is not None and low > value) or (high is not None and high < value):
            raise TableError(name, line, "low", "low, value, high are not in rising order")
        grade = _word(row, "grade", TABLE_GRADES, name, line)
        if not _sourced(row, sources, name, line, faults):
            continue
        yield (row, Reading(value, grade, row["source"], low, high, row["where"], row["note"]))


def read_tables(folder: Path) -> tuple[list[Ingredient], dict[str, Source], str, tuple[TableError, ...]]:
    """Read the tables of a folder.

    Parameters
    ----------
    folder : Path
        Holds the six files that ``data/README.md`` explains.

    Returns
    -------
    tuple
        Ingredients with all their readings, sources by key, a digest that changes when any
        figure changes, and what was left out: readings whose source is not known.

    Raises
    ------
    TableError
        With file, line and column.
    """
    faults: list[TableError] = []
    sources: dict[str, Source] = {}
    columns: tuple[str, ...] = (
        "key",
        "kind",
        "authors",
        "title",
        "year",
        "publisher_or_journal",
        "doi_or_url",
        "read_on",
        "note",
    )
    for line, row in _rows(folder, "sources.csv", columns):
        if row["key"] in sources:
            raise TableError("sources.csv", line, "key", f"'{row['key']}' stands twice")
        _word(row, "kind", SOURCE_KINDS, "sources.csv", line)
        sources[row["key"]] = Source(**row)
    drafts: dict[str, Ingredient] = {}
    columns = (
        "id",
        "inci",
        "common_name",
        "kind",
        "charge",
        "family",
        "chain",
        "form",
        "peg_based",
        "convention",
        "note",
    )
    for line, row in _rows(folder, "ingredients.csv", columns):
        if row["id"] in drafts:
            raise TableError("ingredients.csv", line, "id", f"'{row['id']}' stands twice")
        _word(row, "convention", CONVENTIONS, "ingredients.csv", line)
        peg = _word(row, "peg_based", ("yes", "no", ""), "ingredients.csv", line)
        drafts[row["id"]] = Ingredient(
            **{**row, "peg_based": None if peg == "" else peg == "yes"}  # type: ignore[arg-type]
        )
    aliases: dict[str, list[str]] = {i: [] for i in drafts}
    for line, row in _rows(folder, "aliases.csv", ("alias", "id")):
        aliases[_word(row, "id", drafts, "aliases.csv", line)].append(row["alias"])
    own: dict[str, list[Reading]] = {i: [] for i in drafts}
    for row, reading in _read_readings(folder, "emulsifier_hlb.csv", drafts, sources, ("id",), faults):
        own[row["id"]].append(reading)
    required: dict[tuple[str, str], list[Reading]] = {}
    for row, reading in _read_readings(
        folder, "required_hlb.csv", drafts, sources, ("id", "emulsion"), faults
    ):
        required.setdefault((row["id"], row["emulsion"]), []).append(reading)
    for line, row in _rows(folder, "required_hlb.csv", ("id", "emulsion", *_READING)):
        _word(row, "emulsion", EMULSIONS, "required_hlb.csv", line)
    held: dict[str, list[Property]] = {i: [] for i in drafts}
    columns = (
        "id",
        "property",
        "temperature_c",
        "value",
        "low",
        "high",
        "unit",
        "grade",
        "source",
        "where",
        "note",
    )
    for line, row in _rows(folder, "properties.csv", columns):
        numbers = {
            c: _number(row, c, "properties.csv", line) for c in ("value", "low", "high", "temperature_c")
        }
        rising = [n for c in ("low", "value", "high") if (n := numbers[c]) is not None]
        if rising != sorted(rising):
            raise TableError("properties.csv", line, "low", "low, value, high are not in rising order")
        _word(row, "id", drafts, "properties.csv", line)
        _word(row, "grade", TABLE_GRADES, "properties.csv", line)
        if not _sourced(row, sources, "properties.csv", line, faults):
            continue
        held[row["id"]].append(
            Property(
                row["property"],
                row["unit"],
                grade=row["grade"],
                source=row["source"],
                where=row["where"],
                note=row["note"],
                **numbers,
            )
        )
    digest = hashlib.sha256()
    for path in sorted(folder.glob("*.csv")):
        digest.update(path.read_bytes())
    ingredients = [
        replace(
            draft,
            aliases=tuple(aliases[i]),
            hlb_readings=tuple(own[i]),
            ow_readings=tuple(required.get((i, "o/w"), ())),
            wo_readings=tuple(required.get((i, "w/o"), ())),
            properties=tuple(held[i]),
        )
        for i, draft in drafts.items()
    ]
    return ingredients, sources, digest.hexdigest()[:16], tuple(faults)
