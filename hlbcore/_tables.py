"""The reading of the CSV files in ``data/``, explicit about every cell."""

from __future__ import annotations

import csv
import hashlib
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from hlbcore.errors import TableError, clipped
from hlbcore.estimate import HLB_MAX
from hlbcore.ingredients import CONVENTIONS, EMULSIONS, SYSTEMS, Doubt, Ingredient, Property
from hlbcore.readings import TABLE_GRADES, Reading
from hlbcore.sources import SOURCE_KINDS, Source


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


_READING = ("value", "low", "high", "grade", "source", "where", "note", "root")


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
        source = sources[row["source"]]
        if row["root"]:
            _word(row, "root", source.roots, name, line)
        elif len(source.roots) > 1:
            raise TableError(name, line, "root", f"'{source.key}' has several roots: name one")
        root = row["root"] or source.root
        # a source finds its own figures only; what it took over is a copy
        own = not source.roots or root == source.roots[0]
        yield (
            row,
            Reading(
                value,
                grade,
                source.key,
                low,
                high,
                row["where"],
                row["note"],
                root,
                source.place if own else max(source.place, 2),
            ),
        )


def read_tables(folder: Path) -> tuple[list[Ingredient], dict[str, Source], str, tuple[TableError, ...]]:
    """Read the tables of a folder.

    Parameters
    ----------
    folder : Path
        Holds the seven files that ``data/README.md`` explains.

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
        "root",
        "place",
    )
    for line, row in _rows(folder, "sources.csv", columns):
        if row["key"] in sources:
            raise TableError("sources.csv", line, "key", f"'{row['key']}' stands twice")
        _word(row, "kind", SOURCE_KINDS, "sources.csv", line)
        place = _word(row, "place", ("", "1", "2", "3"), "sources.csv", line)
        sources[row["key"]] = Source(**{**row, "place": int(place or 0)})  # type: ignore[arg-type]
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
        "system",
        "note",
    )
    for line, row in _rows(folder, "ingredients.csv", columns):
        if row["id"] in drafts:
            raise TableError("ingredients.csv", line, "id", f"'{row['id']}' stands twice")
        _word(row, "convention", CONVENTIONS, "ingredients.csv", line)
        _word(row, "system", ("", *SYSTEMS), "ingredients.csv", line)
        peg = _word(row, "peg_based", ("yes", "no", ""), "ingredients.csv", line)
        drafts[row["id"]] = Ingredient(
            **{**row, "peg_based": None if peg == "" else peg == "yes"}  # type: ignore[arg-type]
        )
    aliases: dict[str, list[str]] = {i: [] for i in drafts}
    for line, row in _rows(folder, "aliases.csv", ("alias", "id", "label_inci")):
        aliases[_word(row, "id", drafts, "aliases.csv", line)].append(row["alias"])
    doubts: dict[str, list[Doubt]] = {i: [] for i in drafts}
    columns = ("id", "quantity", "low", "high", "source", "where", "note")
    for line, row in _rows(folder, "standing_doubts.csv", columns):
        doubts[_word(row, "id", drafts, "standing_doubts.csv", line)].append(
            Doubt(
                _word(row, "quantity", (*EMULSIONS, "HLB"), "standing_doubts.csv", line),
                _number(row, "low", "standing_doubts.csv", line),
                _number(row, "high", "standing_doubts.csv", line),
                _word(row, "source", ("", *sources), "standing_doubts.csv", line),
                row["where"],
                row["note"],
            )
        )
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
            doubts=tuple(doubts[i]),
        )
        for i, draft in drafts.items()
    ]
    return ingredients, sources, digest.hexdigest()[:16], tuple(faults)


def read_corrections(folder: Path) -> tuple[dict[str, str], ...]:
    """What was changed after a figure had been in use.

    Parameters
    ----------
    folder : Path
        Holds ``corrections.csv``.

    Returns
    -------
    tuple of dict
        One a row: date, table, id, source, old, new, reason.
    """
    columns = ("date", "table", "id", "source", "old", "new", "reason")
    return tuple(row for _, row in _rows(folder, "corrections.csv", columns))


def read_labels(folder: Path) -> dict[str, str]:
    """Label names that an alias keeps: by alias, where it is not the ingredient's own INCI name.

    Parameters
    ----------
    folder : Path
        Holds the tables.

    Returns
    -------
    dict of str to str
        INCI name by alias as written.
    """
    rows = _rows(folder, "aliases.csv", ("alias", "id", "label_inci"))
    return {row["alias"]: row["label_inci"] for _, row in rows if row["label_inci"]}
