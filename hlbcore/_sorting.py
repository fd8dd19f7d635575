"""The order in which the rows of the tables stand."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from hlbcore.errors import TableError

ORDER = {
    "ingredients": ("id",),
    "aliases": ("id",),
    "emulsifier_hlb": ("id", "source"),
    "required_hlb": ("id", "source"),
    "properties": ("id", "property", "source"),
    "preservatives": ("id",),
    "sources": ("key",),
    "standing_doubts": ("id", "quantity"),
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
