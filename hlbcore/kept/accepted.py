"""What was saved since the last backup, row by row, in a record beside the backups.

The file itself cannot tell that an older copy was put in its place while nobody was looking. The record
can: what it names must be in the file. With the last backup it also holds all that was ever accepted.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec

from hlbcore.kept.backups import backups_of, last_backup
from hlbcore.kept.recovery import read_only
from hlbcore.kept.salvage import COLUMNS, Row, salvaged
from hlbcore.kept.standing import stamp
from hlbcore.kept.versions import local_time

NAMES_MOST = 3
"""Formulas named in the sentence. [-] Our convention."""

Change = tuple[str, str, list[Any] | None]
"""A row as a save left it: table, key, and the row; None where it was deleted."""

Rows = dict[tuple[str, str], list[Any] | None]

_PLACES = {table: {n: k for k, n in enumerate(columns.split(", "))} for table, columns in COLUMNS.items()}


class _Saved(msgspec.Struct, array_like=True):
    """One save: the count of changes in the file after it, and its rows."""

    count: int
    rows: list[Change]


@dataclass(frozen=True, slots=True)
class Behind:
    """What was saved in a file and is not in it.

    Parameters
    ----------
    path : Path
        The file.
    versions, own : int
        Versions and own values that are missing.
    names : tuple of str
        What the versions belong to.
    first, last : str
        When the first and the last of them were saved; blank where only smaller changes are missing.
    """

    path: Path
    versions: int
    own: int
    names: tuple[str, ...]
    first: str
    last: str

    def __str__(self) -> str:
        what = []
        if self.versions:
            named = ", ".join(f"'{n}'" for n in self.names[:NAMES_MOST])
            more = len(self.names) - NAMES_MOST
            named += f" and {more} more" if more > 0 else ""
            what.append(f"{self.versions} version{'s' * (self.versions != 1)} of {named}")
        if self.own:
            what.append(f"{self.own} own value{'s' * (self.own != 1)}")
        if not what:
            what.append("the last marks, settings or undone steps")
        when = f" (saved {local_time(self.first)} to {local_time(self.last)})" if self.first else ""
        return (
            f"{self.path} holds less than was saved in it: {' and '.join(what)}{when} are not there. "
            "An older copy may have been put in its place."
        )


def record_of(path: Path) -> Path:
    """The record of a file of kept work."""
    return backups_of(path) / f"{path.stem}-saved.jsonl"


def watch(link: sqlite3.Connection) -> None:
    """Note every row that this connection changes from now on."""
    link.execute("PRAGMA temp_store = MEMORY")
    link.execute("CREATE TEMP TABLE touched (tab TEXT, key TEXT, PRIMARY KEY (tab, key)) WITHOUT ROWID")
    for table in COLUMNS:
        key = _key(table)
        for when, row in (("INSERT", "NEW"), ("UPDATE", "NEW"), ("DELETE", "OLD")):
            link.execute(
                f"CREATE TEMP TRIGGER touched_{table}_{when} AFTER {when} ON main.{table} "
                f"BEGIN INSERT OR IGNORE INTO touched VALUES ('{table}', {row}.{key}); END"
            )


def _key(table: str) -> str:
    return next(iter(_PLACES[table]))


def changes(link: sqlite3.Connection) -> list[Change]:
    """The rows that the open transaction has changed, as they are now."""
    found: list[Change] = []
    for table, key in link.execute("SELECT tab, key FROM touched").fetchall():
        row = _row(link, table, key)
        found.append((table, key, None if row is None else list(row)))
    link.execute("DELETE FROM touched")
    return found


def _row(link: sqlite3.Connection, table: str, key: str) -> Row | None:
    row = link.execute(f"SELECT {COLUMNS[table]} FROM {table} WHERE {_key(table)} = ?", (key,)).fetchone()
    return None if row is None else tuple(row)


def append(path: Path, count: int, rows: list[Change]) -> None:
    """Add a save to the record of a file."""
    record = record_of(path)
    record.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    made = os.open(record, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    with os.fdopen(made, "ab") as opened:  # a line that was cut short ends where the next begins
        opened.write(b"\n" + msgspec.json.encode(_Saved(count, rows)) + b"\n")


def begin_anew(path: Path) -> None:
    """Leave out what a backup holds by now."""
    record_of(path).unlink(missing_ok=True)


def _put_off(path: Path) -> list[Path]:
    name = "".join(f"[{c}]" if c in "[]*?" else c for c in path.stem)
    return sorted(backups_of(path).glob(f"{name}-saved-*.jsonl"))


def put_off(path: Path) -> None:
    """Give the record another name, under which it is still asked about; the file goes on with a new one."""
    with suppress(OSError):
        os.replace(record_of(path), backups_of(path) / f"{path.stem}-saved-{stamp()}.jsonl")


def settle(path: Path, *, newest: bool = True) -> None:
    """Ask no more about what the records of a file name; they stay beside the backups.

    `newest`: that of the file as it stands too, not only those that were put off.
    """
    for record in [*_put_off(path), *([record_of(path)] if newest else [])]:
        with suppress(OSError):
            os.replace(record, record.with_name(f"{path.stem}-settled-{stamp()}.jsonl"))


def _saves(record: Path) -> Iterator[_Saved]:
    with suppress(OSError), record.open("rb") as opened:
        for line in opened:
            with suppress(msgspec.MsgspecError, UnicodeDecodeError):  # cut short
                yield msgspec.json.decode(line, type=_Saved)


def _recorded(record: Path) -> tuple[Rows, int]:
    """The rows in a record as the last save of each left them, and the highest count."""
    rows: Rows = {}
    count = 0
    for saved in sorted(_saves(record), key=lambda s: s.count):
        count = saved.count
        for table, key, row in saved.rows:
            if table in COLUMNS and (row is None or len(row) == len(_PLACES[table])):
                rows[table, key] = row
    return rows, count


def _all_recorded(path: Path) -> tuple[Rows, Rows, int]:
    """The rows in all records of a file, those of the newest record, and the highest count in it."""
    rows: Rows = {}
    for record in _put_off(path):
        rows |= _recorded(record)[0]
    newest, count = _recorded(record_of(path))
    rows |= newest
    for table, key in list(rows):
        row = rows[table, key]
        if table == "version" and row is not None and rows.get(("formula", row[1]), row) is None:
            rows[table, key] = None  # its formula was deleted for good
    return rows, newest, count


def behind(link: sqlite3.Connection, path: Path, count: int) -> Behind | None:
    """What the records name and the file does not hold.

    Parameters
    ----------
    link : sqlite3.Connection
        The file.
    path : Path
        Where it lies.
    count : int
        The count of changes in its head.

    Returns
    -------
    Behind or None
        None where the file holds all of it.
    """
    rows, newest, last = _all_recorded(path)
    missing = [
        (table, row)
        for (table, key), row in rows.items()
        if row is not None and table in ("version", "own") and _row(link, table, key) is None
    ]
    if not missing:
        if count >= last:
            return None
        if all(row is None or _row(link, t, key) == tuple(row) for (t, key), row in newest.items()):
            settle(path)  # another file, from a backup perhaps, that holds all of it: it counts anew
            return None
    versions = [row for table, row in missing if table == "version"]
    names = dict.fromkeys(
        str((rows.get(("formula", v[1])) or ["", ""])[1]) or "no name yet" for v in versions
    )
    times = sorted(str(row[_PLACES[table]["at"]]) for table, row in missing)
    return Behind(
        path, len(versions), len(missing) - len(versions), tuple(names), *(times[:1] + times[-1:] or ["", ""])
    )


def bring_in(link: sqlite3.Connection, path: Path, *, backup: bool = True) -> None:
    """Put what the records and the last backup of a file hold beside what a connection holds.

    Part of a transaction. Nothing is deleted, and what was changed later stays as it is.
    """
    rows, _, _ = _all_recorded(path)
    found = {table: {k: r for (t, k), r in rows.items() if t == table and r is not None} for table in COLUMNS}
    older: dict[str, list[Row]] = {}
    kept = last_backup(path) if backup else None
    if kept is not None:
        with suppress(sqlite3.Error, UnicodeDecodeError), closing(read_only(kept)) as held:
            older = salvaged(held)[0].rows
    for table, of in older.items():
        for row in of:
            gone = (table, row[0]) in rows or (
                table == "version" and rows.get(("formula", row[1]), row) is None
            )
            if not gone:
                found[table].setdefault(row[0], list(row))
    link.execute("PRAGMA defer_foreign_keys = ON")  # the tables name each other
    for uid, work in found["formula"].items():
        _bring_work(link, uid, work)
    for state in sorted(found["version"].values(), key=lambda v: int(v[2])):
        _bring_version(link, state)
    link.execute("UPDATE version SET parent = NULL WHERE parent NOT IN (SELECT uid FROM version)")
    link.execute(
        "UPDATE formula SET current = coalesce((SELECT uid FROM version WHERE formula = formula.uid ORDER BY "
        "number DESC LIMIT 1), '') WHERE current NOT IN (SELECT uid FROM version)"
    )
    link.execute("DELETE FROM formula WHERE current = ''")
    for table in ("own", "setting"):
        for key, values in found[table].items():
            signs = ", ".join("?" * len(values))
            verb = "REPLACE" if (table, key) in rows else "IGNORE"
            link.execute(f"INSERT OR {verb} INTO {table} VALUES ({signs})", values)


def _bring_work(link: sqlite3.Connection, uid: str, row: list[Any]) -> None:
    there = link.execute("SELECT changed FROM formula WHERE uid = ?", (uid,)).fetchone()
    if there is None:
        link.execute(f"INSERT INTO formula VALUES ({', '.join('?' * len(row))})", row)
    elif str(there[0]) < str(row[6]):
        link.execute(
            "UPDATE formula SET name = ?, product = ?, words = ?, current = ?, changed = ?, removed = ? "
            "WHERE uid = ?",
            (*row[1:5], row[6], row[7], uid),
        )


def _bring_version(link: sqlite3.Connection, row: list[Any]) -> None:
    if link.execute("SELECT 1 FROM formula WHERE uid = ?", (row[1],)).fetchone() is None:
        return
    if link.execute("SELECT 1 FROM version WHERE uid = ?", (row[0],)).fetchone() is not None:
        link.execute("UPDATE version SET why = ?, kept = ? WHERE uid = ?", (row[9], row[11], row[0]))
        return
    taken = link.execute(
        "SELECT 1 FROM version WHERE formula = ? AND number = ?", (row[1], row[2])
    ).fetchone()
    number = row[2]
    if taken is not None:  # another state was saved under that number in the meantime
        (last,) = link.execute("SELECT max(number) FROM version WHERE formula = ?", (row[1],)).fetchone()
        number = last + 1
    link.execute(f"INSERT INTO version VALUES ({', '.join('?' * len(row))})", (*row[:2], number, *row[3:]))
