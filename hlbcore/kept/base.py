"""The file of kept work as an object: transactions, the tree of versions, own figures, settings."""

from __future__ import annotations

import sqlite3
import threading
import uuid
import weakref
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

from hlbcore.errors import HlbError, LostFile, NotSaved, StoreError, clipped
from hlbcore.kept._archive import MOST_UNPACKED
from hlbcore.kept.backups import backup_day, day_of, last_backup, put_in_place, today_utc
from hlbcore.kept.file import FILE_VARIABLE, MEMORY, connect, default_path, is_damage, open_file, told
from hlbcore.kept.recovery import read_only
from hlbcore.kept.salvage import salvaged
from hlbcore.kept.standing import CUT, NO_LOG, OTHER, READ_ONLY, Found, Standing
from hlbcore.kept.versions import now
from hlbcore.limits import TEXT_MOST, check_length
from hlbcore.own import own_from_json, own_to_json
from hlbcore.sheets import Own

PAGE_BYTES = 4096
MIRROR_MOST = 20_000_000
"""Largest file that is also held in memory. [byte] Our convention."""
CLASS_UNPACKED = 40_000_000
"""A store that is limited in size imports files up to this, unpacked. [byte] Our convention."""


@dataclass(slots=True)
class _Open:
    """What is open: the connection, and how its file stands."""

    link: sqlite3.Connection
    path: Path | None = None
    standing: Standing | None = None
    second: sqlite3.Connection | None = None
    day: str = ""
    written: bool = False
    mirror: bytes = b""

    def reflect(self) -> None:
        """Hold what is in the file, in case somebody empties or overwrites it."""
        if self.path is not None:
            (pages,) = self.link.execute("PRAGMA page_count").fetchone()
            self.mirror = self.link.serialize() if pages * PAGE_BYTES <= MIRROR_MOST else b""

    @contextmanager
    def alone(self) -> Iterator[None]:
        """While nobody else writes to the file; as far as it can still be locked."""
        with suppress(sqlite3.Error):
            self.link.execute("BEGIN IMMEDIATE")
        try:
            yield
        finally:
            with suppress(sqlite3.Error):
                if self.link.in_transaction:
                    self.link.execute("ROLLBACK")

    def end(self) -> None:
        """Close it, with a backup of the day; nothing is written over another file in its place."""
        with suppress(sqlite3.Error, OSError, UnicodeDecodeError):
            if self.path is not None and self.standing is not None:
                with self.alone():
                    found = self.standing.look()
                if found is not None and found.breaks:
                    self.standing.set_log_aside()
                elif found is None and self.written:
                    backup_day(self.link, self.path, today_utc(), written=True)
        for link in (self.second, self.link):
            with suppress(sqlite3.Error):
                if link is not None:
                    link.close()
        if self.standing is not None:
            self.standing.release()


class StoreBase:
    """The file, its transactions, own figures and settings."""

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
        self.lost: LostFile | None = None
        self._lock = threading.RLock()
        day = "" if self.path is None else day_of(self.path)
        link, standing = open_file(self.path, fresh=fresh)
        second = None if self.path is None else connect(str(self.path))
        self._open = _Open(link, self.path, standing, second, day)
        self._end = weakref.finalize(self, self._open.end)  # also where nobody closes it
        # memory is for all sessions of a class
        self.most_unpacked = MOST_UNPACKED if most_bytes is None else CLASS_UNPACKED
        if most_bytes is not None:
            link.execute(f"PRAGMA max_page_count = {max(most_bytes // PAGE_BYTES, 1)}")
        self._keep_day(written=False)
        with told(self.where):
            self._write_back()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        with self._lock:
            self._end()

    @property
    def where(self) -> str:
        """The file in words."""
        return MEMORY if self.path is None else str(self.path)

    # the file

    def look(self) -> None:
        """Compare the file that is open with the one that stands at its path.

        Raises
        ------
        LostFile
            If it was removed, moved, emptied, cut or replaced. What is open can still be read; where
            it could not go on, what could be read of it is in memory from now on.
        NotSaved
            If it may not be written any more.

        Examples
        --------
        >>> from tempfile import TemporaryDirectory
        >>> from hlbcore import Store, example_formula
        >>> from hlbcore.errors import LostFile
        >>> with TemporaryDirectory() as folder:
        ...     with Store(Path(folder) / "workshop.db") as store:
        ...         first = store.save(example_formula())
        ...         store.path.unlink()
        ...         try:
        ...             store.save(example_formula())
        ...         except LostFile:
        ...             print("not saved")
        not saved
        """
        with self._lock, told(self.where):
            if self.lost is not None:
                raise self.lost
            standing = self._open.standing
            if standing is None or standing.is_same():
                return
            with self._open.alone():
                found = standing.look()
            self._tell(found)

    def _tell(self, found: Found | None) -> None:
        """Raise what is wrong with the file; where it cannot go on, let it go first."""
        if found is not None:
            if found is READ_ONLY:
                raise NotSaved(
                    self.where,
                    found.problem,
                    f"Allow writing there, or name another file with {FILE_VARIABLE}.",
                )
            error = LostFile(self.where, found.problem, found.copy)
            if found.breaks:
                self.lost = error
                self._go_to_memory(found)
            raise error

    def _write_back(self) -> None:
        """Write the log back into the file, so that it is whole without it, and take it as it is.

        All of this tool write back while they hold the file alone: so nobody meets half a change.
        """
        opened = self._open
        if opened.standing is None or opened.second is None:
            return
        with self._open.alone():
            found = opened.standing.look()
            if found is None:
                with suppress(sqlite3.Error):  # what was saved is safe in the log
                    opened.second.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchall()
                found = opened.standing.look(wrote=True)  # a copy may have come while this was written
        self._tell(found)
        opened.reflect()

    def _go_to_memory(self, found: Found) -> None:
        """Read what can be read of a file that cannot go on, and let it go."""
        was, memory = self._open, open_file(None)[0]
        if found in (OTHER, NO_LOG):
            with suppress(sqlite3.Error, UnicodeDecodeError):
                was.link.backup(memory)
        if found not in (OTHER, NO_LOG) or not _is_whole(memory):  # the file itself was changed
            memory.close()
            memory = _from_mirror(was.mirror)
            if torn := not _is_whole(memory):  # the hole was there when it was last seen
                held, memory = memory, open_file(None)[0]
                salvaged(held)[0].write(memory)
            salvaged(was.link)[0].write(memory)
            backup = None if self.path is None else last_backup(self.path)
            if (torn or not was.mirror) and backup is not None:
                with suppress(sqlite3.Error, UnicodeDecodeError), closing(read_only(backup)) as kept:
                    salvaged(kept)[0].write(memory)
        self._open = _Open(memory)
        self._end.detach()
        self._end = weakref.finalize(self, self._open.end)
        was.end()

    def copy_of_all(self, new: StoreBase) -> None:
        """Put a copy of everything into a store in memory, where work can go on."""
        with self._lock:
            try:
                self._open.link.backup(new._open.link)
            except (sqlite3.Error, UnicodeDecodeError):  # its disk is gone: as it was last seen
                new._open.link.close()
                new._open.link = _from_mirror(self._open.mirror)

    def put_back(self, path: Path) -> None:
        """Put a copy of everything at a path; whatever is there is moved aside, never deleted.

        Parameters
        ----------
        path : Path
            The file of kept work.

        Raises
        ------
        NotSaved
            If it cannot be written.

        Examples
        --------
        >>> from tempfile import TemporaryDirectory
        >>> from hlbcore import Store, example_formula
        >>> with TemporaryDirectory() as folder, Store(in_memory=True) as store:
        ...     first = store.save(example_formula())
        ...     store.put_back(Path(folder) / "workshop.db")
        ...     with Store(Path(folder) / "workshop.db") as again:
        ...         len(again.formulas())
        1
        """
        with self.reading() as link, told(str(path)):
            put_in_place(link, path, "replaced")

    def _keep_day(self, *, written: bool) -> None:
        """A backup of the last day on which the file was written, before today's first save."""
        opened, day = self._open, today_utc()
        if opened.path is None or (written and opened.day == day):
            return
        try:
            with told(self.where):
                backup_day(opened.link, opened.path, opened.day, written=written)
        except StoreError as error:
            self.notices.append(f"No backup could be made today. {error}")
        opened.day = day

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """The connection, with what SQLite says turned into sentences."""
        with self._lock, told(self.where):
            yield self._open.link

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: all of it is saved, or nothing; writers wait for each other.

        What was written counts only where the file still stands at its path afterwards.
        """
        with self._lock, told(self.where):
            self.look()
            self._keep_day(written=True)
            opened = self._open
            opened.link.execute("PRAGMA shrink_memory")  # else the count below stands still
            try:
                opened.link.execute("BEGIN IMMEDIATE")
                if opened.standing is not None and (found := opened.standing.look()) is not None:
                    opened.link.execute("ROLLBACK")
                    self._tell(found)
                yield opened.link
                # as it is: writing it raises the count of changes in the head of the file
                (form,) = opened.link.execute("PRAGMA user_version").fetchone()
                opened.link.execute(f"PRAGMA user_version = {form}")
                opened.link.execute("COMMIT")
            except BaseException as error:
                with suppress(sqlite3.ProgrammingError):  # let go already
                    if opened.link.in_transaction:  # a full disk ends it by itself
                        opened.link.execute("ROLLBACK")
                if isinstance(error, (HlbError, sqlite3.Error, UnicodeDecodeError)):
                    self.look()  # it may have failed since the file was being overwritten
                    if opened.standing is not None and is_damage(error):
                        self._tell(CUT)  # between a look and a write-back, which filled the hole
                raise
            opened.written = True
            self._write_back()

    # the user's own figures

    def add_own(self, *items: Own, who: str = "") -> tuple[str, ...]:
        """Keep ingredients, measured values or suppliers' sheets of the user's own.

        Parameters
        ----------
        *items : OwnReading, OwnIngredient or OwnSheet
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

    def own(self, *, withdrawn: bool = False) -> tuple[tuple[str, Own, str, str], ...]:
        """Own ingredients and values with uid, item, who and when, the oldest first.

        One that cannot be read is left out; `own_damaged` names it.
        """
        return tuple((u, i, w, a) for u, i, w, a in self._own(withdrawn) if not isinstance(i, str))

    def own_damaged(self) -> tuple[tuple[str, str, str], ...]:
        """Own values in use that cannot be read: uid, what is wrong, and when they were entered."""
        return tuple((u, i, a) for u, i, _, a in self._own(False) if isinstance(i, str))

    def _own(self, withdrawn: bool) -> Iterator[tuple[str, Own | str, str, str]]:
        with self.reading() as link:
            rows = link.execute(
                f"SELECT uid, CAST(body AS BLOB), who, at FROM own WHERE withdrawn IS "
                f"{'NOT ' if withdrawn else ''}NULL ORDER BY rowid"
            ).fetchall()
        for uid, body, who, at in rows:
            try:
                yield uid, own_from_json(body.decode()), who, at
            except (HlbError, UnicodeDecodeError) as error:
                yield uid, clipped(error, 200), who, at

    def overlay(self) -> tuple[Own, ...]:
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


def _is_whole(link: sqlite3.Connection) -> bool:
    try:
        return bool(link.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok")
    except (sqlite3.Error, UnicodeDecodeError):
        return False


def _from_mirror(mirror: bytes) -> sqlite3.Connection:
    """What the file held when it was last looked at, in memory."""
    memory = open_file(None)[0]
    if mirror:
        # memory has no log: the head says how a file is written
        memory.deserialize(mirror[:18] + b"\1\1" + mirror[20:])
    return memory
