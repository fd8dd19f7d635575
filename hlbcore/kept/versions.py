"""The file of kept work as an object: transactions, the tree of versions, own figures, settings."""

from __future__ import annotations

import sqlite3
import threading
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Self

from hlbcore.errors import Conflict, InvalidInput, NotSaved, clipped
from hlbcore.ingredients import OwnIngredient, OwnReading, fold
from hlbcore.kept._archive import MOST_UNPACKED
from hlbcore.kept.file import MEMORY, daily_backup, default_path, open_file, told
from hlbcore.limits import TEXT_MOST, check_length
from hlbcore.own import own_from_json, own_to_json

PAGE_BYTES = 4096
CLASS_UNPACKED = 40_000_000
"""A store that is limited in size imports files up to this, unpacked. [byte] Our convention."""
FORMULA, TRIAL = "formula", "trial"
"""Kinds of work that are kept."""


@dataclass(frozen=True, slots=True)
class Work:
    """A state of some work, ready to be kept: how it is listed, and its body as text."""

    kind: str
    name: str
    product: str
    words: str
    body: str


class StoreBase:
    """The file, its transactions, the tree of versions, own figures and settings."""

    def __init__(
        self,
        path: str | Path | None = None,
        *,
        in_memory: bool = False,
        fresh: bool = False,
        most_bytes: int | None = None,
    ) -> None:
        self.path = None if in_memory else (default_path() if path is None else Path(path))
        self.notices: list[str] = []
        self._lock = threading.RLock()
        self._link = open_file(self.path, fresh=fresh)
        # memory is for all sessions of a class
        self.most_unpacked = MOST_UNPACKED if most_bytes is None else CLASS_UNPACKED
        if most_bytes is not None:
            self._link.execute(f"PRAGMA max_page_count = {max(most_bytes // PAGE_BYTES, 1)}")
        if self.path is not None:
            try:
                with told(str(self.path)):
                    daily_backup(self._link, self.path)
            except NotSaved as error:
                self.notices.append(f"No backup could be made today. {error}")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        with self._lock, suppress(sqlite3.Error):
            self._link.close()

    @property
    def where(self) -> str:
        """The file in words."""
        return MEMORY if self.path is None else str(self.path)

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """The connection, with what SQLite says turned into sentences."""
        with self._lock, told(self.where):
            yield self._link

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: all of it is saved, or nothing; writers wait for each other."""
        with self._lock, told(self.where):
            self._link.execute("BEGIN IMMEDIATE")
            try:
                yield self._link
                self._link.execute("COMMIT")
            except BaseException:
                if self._link.in_transaction:  # a full disk ends it by itself
                    self._link.execute("ROLLBACK")
                raise

    # the tree of versions

    def _keep(
        self,
        work: Work,
        uid_of: str | None,
        on: str | None,
        *,
        who: str,
        what: str,
        why: str,
        figures: str = "{}",
        digest: str = "",
    ) -> str:
        """Add a version of some work; tell where it has moved on from `on` in the meantime."""
        for text, item in ((who, "who"), (what, "what was changed"), (why, "reason")):
            check_length(text, item, TEXT_MOST)
        uid, at = uuid.uuid4().hex, now()
        whole = uid_of or uuid.uuid4().hex
        with self.writing() as link:
            row = link.execute(
                "SELECT current, (SELECT max(number) FROM version WHERE formula = f.uid) "
                "FROM formula f WHERE uid = ? AND kind = ? AND EXISTS "
                "(SELECT 1 FROM version WHERE uid = ? AND formula = f.uid)",
                (whole, work.kind, on),
            ).fetchone()
            if on is not None and row is None:  # for example after a backup was brought back
                raise NotSaved(
                    self.where,
                    "the state that it was made from is not in the file",
                    f"Save it as a new {work.kind}.",
                )
            current, number = row or (uid, 0)
            if row is None:
                link.execute(
                    "INSERT INTO formula VALUES (?, ?, ?, ?, ?, ?, ?, NULL, ?)",
                    (whole, work.name, work.product, work.words, uid, at, at, work.kind),
                )
            link.execute(
                "INSERT INTO version VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (uid, whole, number + 1, on, work.body, figures, digest, who, what, why, at, int(bool(why))),
            )
            if on is not None and current == on:
                point(link, whole, uid, work, at)
        if on is not None and current != on:
            raise Conflict(uid, current)
        return uid

    def _point(self, work: Work, whole: str, version: str, on: str) -> None:
        """Let some work point at another of its versions."""
        with self.writing() as link:
            row = link.execute("SELECT current FROM formula WHERE uid = ?", (whole,)).fetchone()
            current = row[0] if row else ""
            if current == on:
                point(link, whole, version, work, now())
        if current != on:
            raise Conflict(version, current)

    def _listed(self, kind: str, search: str, removed: bool) -> list[tuple[str, str, str, int, str]]:
        """Name, product, time of change, versions and identity, the last changed first."""
        wanted = [w for w in map(fold, search.split()) if w]
        sql = (
            "SELECT name, product, changed, (SELECT max(number) FROM version WHERE formula = f.uid)"
            f", uid FROM formula f WHERE removed IS {'NOT ' if removed else ''}NULL AND kind = ?"
            + " AND instr(words, ?) > 0" * len(wanted)
            + " ORDER BY changed DESC, uid"
        )
        with self.reading() as link:
            return list(link.execute(sql, (kind, *wanted)))

    def put_away(self, formula: str) -> None:
        """Take a formula out of the list; it stays in the file and can be brought back."""
        with self.writing() as link:
            link.execute("UPDATE formula SET removed = ? WHERE uid = ?", (now(), formula))

    def bring_back(self, formula: str) -> None:
        """Put a formula back into the list."""
        with self.writing() as link:
            link.execute("UPDATE formula SET removed = NULL WHERE uid = ?", (formula,))

    # the user's own figures

    def add_own(self, *items: OwnReading | OwnIngredient, who: str = "") -> tuple[str, ...]:
        """Keep ingredients or measured values of the user's own.

        Parameters
        ----------
        *items : OwnReading or OwnIngredient
            Laid over the tables in this order.
        who : str
            Who entered them.

        Returns
        -------
        tuple of str
            Their identities.
        """
        at = now()
        rows = [(uuid.uuid4().hex, own_to_json(item), who, at) for item in items]
        with self.writing() as link:
            link.executemany("INSERT INTO own VALUES (?, ?, ?, ?, NULL)", rows)
        return tuple(uid for uid, *_ in rows)

    def own(self, *, withdrawn: bool = False) -> tuple[tuple[str, OwnReading | OwnIngredient, str, str], ...]:
        """Own ingredients and values with uid, item, who and when, the oldest first."""
        with self.reading() as link:
            rows = link.execute(
                f"SELECT uid, body, who, at FROM own WHERE withdrawn IS "
                f"{'NOT ' if withdrawn else ''}NULL ORDER BY at, rowid"
            ).fetchall()
        return tuple((uid, own_from_json(body), who, at) for uid, body, who, at in rows)

    def overlay(self) -> tuple[OwnReading | OwnIngredient, ...]:
        """What `load_library` lays over the tables."""
        return tuple(item for _, item, _, _ in self.own())

    def withdraw_own(self, uid: str) -> None:
        """Take an own figure out of use; it stays in the file."""
        with self.writing() as link:
            link.execute("UPDATE own SET withdrawn = ? WHERE uid = ?", (now(), uid))

    def use_own_again(self, uid: str) -> None:
        """Put a withdrawn figure back into use."""
        with self.writing() as link:
            link.execute("UPDATE own SET withdrawn = NULL WHERE uid = ?", (uid,))

    # settings

    def setting(self, name: str, default: str = "") -> str:
        """A setting, or the default where none is kept."""
        with self.reading() as link:
            row = link.execute("SELECT value FROM setting WHERE name = ?", (name,)).fetchone()
        return default if row is None else str(row[0])

    def set_setting(self, name: str, value: str) -> None:
        """Keep a setting."""
        check_length(value, f"setting {name}", TEXT_MOST)
        with self.writing() as link:
            link.execute(
                "INSERT INTO setting VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                (name, value),
            )


def point(link: sqlite3.Connection, whole: str, version: str, work: Work, at: str) -> None:
    """Let some work point at one of its versions, and be listed by it."""
    link.execute(
        "UPDATE formula SET current = ?, name = ?, product = ?, words = ?, changed = ? WHERE uid = ?",
        (version, work.name, work.product, work.words, at, whole),
    )


def now() -> str:
    """The time as it is kept: UTC, to the microsecond."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def today() -> str:
    """The day on the clock of this computer, as it is kept.

    Returns
    -------
    str
        Year, month and day.

    Examples
    --------
    >>> len(today())
    10
    """
    return local_time(now())[:10]


def local_time(at: str) -> str:
    """A kept time on the clock of this computer.

    Parameters
    ----------
    at : str
        As kept: UTC.

    Returns
    -------
    str
        Day, hour and minute.

    Examples
    --------
    >>> len(local_time("2026-03-01T10:42:07.000001Z"))
    16
    """
    try:
        return datetime.fromisoformat(at).astimezone().strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError, OSError):  # from a file of another hand
        return clipped(at)


def checked_uid(uid: str) -> str:
    """An identity from outside, for example from an address.

    Parameters
    ----------
    uid : str
        As given.

    Returns
    -------
    str
        Lower case.

    Raises
    ------
    InvalidInput
        If it is none.

    Examples
    --------
    >>> checked_uid("0123456789ABCDEF" * 2)
    '0123456789abcdef0123456789abcdef'
    """
    text = uid.strip().lower()
    if len(text) != 32 or set(text) - set("0123456789abcdef"):
        raise InvalidInput("formula", f"'{clipped(uid)}' names none", "Choose one from the list.")
    return text
