"""The file of kept work as an object: transactions, the tree of versions, own figures, settings."""

from __future__ import annotations

import sqlite3
import threading
import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Self

from hlbcore.errors import NotSaved
from hlbcore.ingredients import OwnIngredient, OwnReading
from hlbcore.kept._archive import MOST_UNPACKED
from hlbcore.kept.file import MEMORY, daily_backup, default_path, open_file, told
from hlbcore.kept.versions import now
from hlbcore.limits import TEXT_MOST, check_length
from hlbcore.own import own_from_json, own_to_json

PAGE_BYTES = 4096
CLASS_UNPACKED = 40_000_000
"""A store that is limited in size imports files up to this, unpacked. [byte] Our convention."""


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
                f"{'NOT ' if withdrawn else ''}NULL ORDER BY rowid"
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
