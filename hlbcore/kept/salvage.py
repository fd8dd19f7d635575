"""What can still be read of a damaged file, row by row, and a list of what cannot."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

LEFT_OUT = ("what", "name", "why")
"""Columns of a list of what was left out."""

PROBES_MOST = 100_000
"""Rows looked for one by one behind a damaged page. [-] Our convention."""

COLUMNS = {
    "formula": "uid, name, product, words, current, created, changed, removed, kind",
    "version": "uid, formula, number, parent, sheet, figures, digest, who, what, why, at, kept",
    "own": "uid, body, who, at, withdrawn",
    "setting": "name, value",
}
"""Tables of the file, in the order in which rows of one may name rows of another."""

_MAYBE = (str, type(None))
_KIND: dict[str, Any] = {"number": int, "kept": int, "parent": _MAYBE, "removed": _MAYBE, "withdrawn": _MAYBE}
Row = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """One thing that could not be read.

    Parameters
    ----------
    what, name, why : str
        What it is, its name, and what is wrong with it.
    """

    what: str
    name: str
    why: str


@dataclass(frozen=True, slots=True)
class Salvaged:
    """Rows of a damaged file, put in order so that they hold together."""

    rows: dict[str, list[Row]] = field(default_factory=dict)

    def write(self, link: sqlite3.Connection) -> None:
        """Write them into a file of the newest form, where they are not there already."""
        link.execute("BEGIN IMMEDIATE")
        self.put_into(link)
        link.execute("COMMIT")

    def put_into(self, link: sqlite3.Connection) -> None:
        """The same, as part of a transaction."""
        for table, rows in self.rows.items():
            signs = ", ".join("?" * len(COLUMNS[table].split(",")))
            for row in rows:
                with suppress(sqlite3.IntegrityError):  # its neighbours are good all the same
                    link.execute(f"INSERT OR IGNORE INTO {table} VALUES ({signs})", row)


def salvaged(link: sqlite3.Connection) -> tuple[Salvaged, list[LeftOut]]:
    """All rows of a file that can be read, and what is missing.

    Parameters
    ----------
    link : sqlite3.Connection
        The damaged file.

    Returns
    -------
    Salvaged
        Rows that hold together: each version stands on one that is there.
    list of LeftOut
        Each thing that is known to be missing.
    """
    left: list[LeftOut] = []
    found = {table: list(_rows(link, table, left)) for table in COLUMNS}
    versions: dict[str, dict[str, Row]] = {}
    for row in found["version"]:
        versions.setdefault(row[1], {})[row[0]] = row
    works = {row[0]: row for row in found["formula"]}
    for uid, of in versions.items():
        if uid not in works:  # its line in the list is lost; what it is called stands in its body
            last = max(of.values(), key=lambda v: v[2])
            kind = "trial" if str(last[4]).startswith('{"trial"') else "formula"
            works[uid] = (uid, "Found again", "", "", last[0], last[10], last[10], None, kind)
            left.append(LeftOut(kind, "Found again", "its name could not be read"))
    kept: dict[str, list[Row]] = {"formula": [], "version": [], "own": found["own"]}
    kept["setting"] = found["setting"]
    for uid, work in works.items():
        of = versions.get(uid, {})
        if not of:
            left.append(LeftOut(work[8], work[1], "none of its versions could be read"))
            continue
        numbers = {v[2] for v in of.values()}
        if gone := sorted(set(range(1, max(numbers))) - numbers):
            named = ", ".join(map(str, gone[:10]))
            left.append(LeftOut(work[8], work[1], f"versions that could not be read: {named}"))
        current = work[4]
        if current not in of:
            current = max(of.values(), key=lambda v: v[2])[0]
            left.append(LeftOut(work[8], work[1], "its newest version"))
        kept["formula"].append((*work[:4], current, *work[5:]))
        kept["version"] += [
            (*v[:3], v[3] if v[3] in of else None, *v[4:]) for v in sorted(of.values(), key=lambda v: v[2])
        ]
    return Salvaged(kept), left


def _rows(link: sqlite3.Connection, table: str, left: list[LeftOut]) -> Iterator[Row]:
    """The rows of a table from both of its ends, then one by one between; none twice."""
    seen: dict[int, Row] = {}
    broken = False
    columns = COLUMNS[table]
    if table == "formula" and not _has_kinds(link):
        columns = columns.replace("kind", "'formula'")
    for order in ("ASC", "DESC"):
        try:
            for rowid, *row in link.execute(f"SELECT rowid, {columns} FROM {table} ORDER BY rowid {order}"):
                if rowid in seen:
                    break
                seen[rowid] = tuple(row)
            else:
                if not broken:
                    break
        except sqlite3.Error:
            broken = True
    if broken:
        left.append(LeftOut("the file", f"table of {table}s", "part of it could not be read"))
        for rowid in range(min(seen, default=1), min(max(seen, default=0), PROBES_MOST)):
            if rowid in seen:
                continue
            try:
                row = link.execute(f"SELECT {columns} FROM {table} WHERE rowid = ?", (rowid,)).fetchone()
            except sqlite3.Error:
                continue
            if row is not None:
                seen[rowid] = tuple(row)
    names = COLUMNS[table].split(", ")
    for rowid in sorted(seen):
        if all(isinstance(value, _KIND.get(n, str)) for n, value in zip(names, seen[rowid], strict=True)):
            yield seen[rowid]
        else:
            left.append(LeftOut("the file", f"row {rowid} of the table of {table}s", "it is damaged"))


def _has_kinds(link: sqlite3.Connection) -> bool:
    """Whether the file is of the second form or a later one."""
    try:
        return any(row[1] == "kind" for row in link.execute("PRAGMA table_info(formula)"))
    except sqlite3.Error:
        return True
