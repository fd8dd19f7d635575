"""The file of kept work as an object: transactions, and what to do where it is gone."""

from __future__ import annotations

import sqlite3
import threading
import weakref
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Self

from hlbcore.errors import HlbError, LostFile, NotSaved, StoreError
from hlbcore.kept import accepted
from hlbcore.kept._archive import MOST_UNPACKED
from hlbcore.kept.accepted import Behind
from hlbcore.kept.backups import backup_day, day_of, put_in_place, today_utc
from hlbcore.kept.file import (
    FILE_VARIABLE,
    MEMORY,
    connect,
    default_path,
    is_damage,
    is_filled,
    open_file,
    told,
)
from hlbcore.kept.opened import PAGE_BYTES, Opened, from_mirror, is_whole
from hlbcore.kept.salvage import salvaged
from hlbcore.kept.standing import CUT, NO_LOG, OTHER, READ_ONLY, Found

CLASS_UNPACKED = 40_000_000
"""A store that is limited in size imports files up to this, unpacked. [byte] Our convention."""


class StoreBase:
    """The file and its transactions."""

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
        self.behind: Behind | None = None
        self._lock = threading.RLock()
        day = "" if self.path is None else day_of(self.path)
        if fresh and self.path is not None and not is_filled(self.path):
            accepted.settle(self.path)
        link, standing = open_file(self.path, fresh=fresh)
        self._open = Opened(link, self.path, standing, day=day)
        self._end = weakref.finalize(self, self._open.end)  # also where nobody closes it
        # memory is for all sessions of a class
        self.most_unpacked = MOST_UNPACKED if most_bytes is None else CLASS_UNPACKED
        try:
            if self.path is not None:
                self._open.second = connect(str(self.path))
            if most_bytes is not None:
                link.execute(f"PRAGMA max_page_count = {max(most_bytes // PAGE_BYTES, 1)}")
            self._keep_day(written=False)
            with told(self.where):
                self._write_back()
                self._look_behind()
        except BaseException:
            self._end()
            raise

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
                found = self._open.look()
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

    def _still(self, opened: Opened) -> None:
        """Go no further with a change where the file is no longer the one that was opened."""
        if (found := opened.look()) is not None:
            opened.link.execute("ROLLBACK")
            self._tell(found)

    def _write_back(self, *, saved: bool = False) -> None:
        """Write the log back into the file, so that it is whole without it, and look whether it arrived.

        All of this tool write back while they hold the file alone: so nobody meets half a change.
        """
        opened = self._open
        if opened.standing is None or opened.second is None:
            return
        with opened.alone():
            found = opened.look(saved=saved) or opened.standing.write_back(opened.second)
        self._tell(found)

    def _look_behind(self) -> None:
        """Compare the file with the record of what was saved in it, and note what is saved from now on."""
        opened = self._open
        if opened.path is not None and opened.standing is not None:
            self.behind = accepted.behind(opened.link, opened.path, opened.standing.count())
            if self.behind is not None:
                accepted.put_off(opened.path)
            accepted.watch(opened.link)

    def catch_up(self) -> None:
        """Bring in what was saved and is not in the file; what is newer there stays.

        Raises
        ------
        NotSaved
            If it cannot be written.

        Examples
        --------
        >>> import shutil
        >>> from tempfile import TemporaryDirectory
        >>> from hlbcore import Store, example_formula
        >>> with TemporaryDirectory() as folder:
        ...     path, copy = Path(folder) / "workshop.db", Path(folder) / "copy.db"
        ...     with Store(path) as store:
        ...         copied = shutil.copy(path, copy)
        ...         first = store.save(example_formula())
        ...     copied = shutil.copy(copy, path)
        ...     with Store(path) as store:
        ...         print(len(store.formulas()), store.behind.versions)
        ...         store.catch_up()
        ...         print(len(store.formulas()), store.behind)
        0 1
        1 None
        """
        if self.path is not None and self.behind is not None:
            with self.writing() as link:
                accepted.bring_in(link, self.path)
            self.leave_behind()

    def leave_behind(self) -> None:
        """Go on with the file as it is; the record of what is missing stays beside the backups."""
        if self.path is not None and self.behind is not None:
            with told(self.where):
                accepted.settle(self.path, newest=False)
            self.behind = None

    def _go_to_memory(self, found: Found) -> None:
        """Read what can be read of a file that cannot go on, and let it go."""
        was, memory = self._open, open_file(None)[0]
        if found in (OTHER, NO_LOG):
            with suppress(sqlite3.Error, UnicodeDecodeError):
                was.link.backup(memory)
        if found not in (OTHER, NO_LOG) or not is_whole(memory):  # the file itself was changed
            memory.close()
            memory = from_mirror(was.mirror)
            if not was.mirror:  # too large
                salvaged(was.link)[0].write(memory)
        if self.path is not None:  # also what another process has saved
            with suppress(sqlite3.Error):
                memory.execute("BEGIN")
                accepted.bring_in(memory, self.path, backup=not was.mirror)
                memory.execute("COMMIT")
        self._open = Opened(memory)
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
                new._open.link = from_mirror(self._open.mirror)

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
            accepted.settle(path)

    def _keep_day(self, *, written: bool) -> None:
        """A backup of the last day on which the file was written, before today's first save."""
        opened, day = self._open, today_utc()
        if opened.path is None:
            return
        if not written or opened.day != day:
            try:
                with told(self.where):
                    done = backup_day(opened.link, opened.path, opened.day, written=written)
                opened.backed_up = done and opened.day != day
            except StoreError as error:
                self.notices.append(f"No backup could be made today. {error}")
            opened.day = day
        if written and opened.backed_up:  # what is saved from now on makes the record of a new day
            opened.backed_up = False
            with suppress(OSError):
                accepted.begin_anew(opened.path)

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """The connection, with what SQLite says turned into sentences."""
        with self._lock, told(self.where):
            try:
                yield self._open.link
            except (sqlite3.Error, UnicodeDecodeError):
                self.look()  # another hand may have spoilt the file
                raise

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
                self._still(opened)
                yield opened.link
                # as it is: writing it raises the count of changes in the head of the file
                (form,) = opened.link.execute("PRAGMA user_version").fetchone()
                opened.link.execute(f"PRAGMA user_version = {form}")
                self._still(opened)  # what was read meanwhile was read from it
                rows = [] if opened.path is None else accepted.changes(opened.link)
                count = 0 if opened.standing is None else opened.standing.count() + 1
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
            if opened.path is not None and rows:
                with suppress(OSError):  # it is safe in the file; a backup that fails is told of
                    accepted.append(opened.path, count, rows)
            self._write_back(saved=True)
