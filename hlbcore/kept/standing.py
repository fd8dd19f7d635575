"""Whether the file that is written is still the file that stands at its path.

A file can be removed, moved, emptied, cut or replaced while it is open: writing then goes on without
an error, into something that nobody will ever open again. So each save compares. What is compared:

- identity (device and inode) and size of the file at the path, and of the log beside it (``-wal``),
  which holds what is not yet in the file
- its bytes with those that must stand there (`mirror.py`), after each save and wherever its times
  differ from those last seen, or are too fresh to tell
- where another process has written too, or the file is too large for that: the count of changes in its
  head (offset 24 of the format, www.sqlite.org/fileformat2), which every save raises
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import threading
import time
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from hlbcore.kept.mirror import WAL_HEAD, Logged, Mirror, frames, logged

HEAD = b"SQLite format 3\0"
HEAD_BYTES = 100
IN_WAL = b"\x02\x02"
"""Bytes 18 and 19 of a file that is written through a log; a backup has others."""

WRITABLE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH

TICK_NS, COARSE_NS = 50_000_000, 2_100_000_000
"""A time of a file tells two writings apart after this long; where times are whole seconds (FAT: every 2 s)
after the longer one. [ns] Our convention."""

SETTLE_S = (0.0, 0.02, 0.05, 0.1)
"""Waits for a copy that is still being written, before it is said what stands there. [s] Our convention."""

Identity = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Found:
    """What is wrong with the file at the path.

    Parameters
    ----------
    problem : str
        In words, after "Not saved in ...:".
    copy : bool
        Whether a whole other file stands there, which must not be overwritten.
    breaks : bool
        Whether the open file cannot go on even if all is put back.
    """

    problem: str
    copy: bool = False
    breaks: bool = False


REMOVED = Found("it was removed, renamed or moved while it was open, or its disk is gone")
OTHER = Found("another file was put in its place while it was open", copy=True, breaks=True)
OLDER = Found("an older copy was written over it while it was open", copy=True, breaks=True)
MIXED = Found(
    "another program changed it at the moment of a save, so that what stands there is part of both",
    breaks=True,
)
EMPTIED = Found("it was emptied while it was open", breaks=True)
CUT = Found("it was cut short or overwritten while it was open", breaks=True)
NO_LOG = Found("its newest part, the file that ends in -wal, was removed or emptied", breaks=True)
READ_ONLY = Found("the file or its folder may not be written")


# Closing any descriptor of a file gives up all locks that this process has on it (POSIX), those of
# SQLite too: so there is one a file, and it is closed after the last connection.
_held: dict[Identity, list[int]] = {}  # descriptor, users
_guard = threading.Lock()


def _hold(path: Path) -> tuple[Identity, int]:
    with _guard:
        key = identity(os.stat(path))
        if key not in _held:
            _held[key] = [os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0)), 0]
        _held[key][1] += 1
        return key, _held[key][0]


def _release(key: Identity) -> None:
    with _guard:
        _held[key][1] -= 1
        if not _held[key][1]:
            os.close(_held.pop(key)[0])


def identity(told: os.stat_result) -> Identity:
    """Device and number of a file."""
    return told.st_dev, told.st_ino


def stamp() -> str:
    """A moment as part of a name of a file."""
    return datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")


def log_of(path: Path) -> Path:
    """The log beside a file."""
    return Path(f"{path}-wal")


class Standing:
    """A file as it stood when it was last looked at; made before SQLite opens it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.mirror: Mirror | None = None
        self._key, self._descriptor = _hold(path)
        self._size = self._count = self._log_size = 0
        self._times = (0, 0)
        self._log: Identity | None = None
        self._logged = Logged()
        self._open, self._sure = True, False

    def take(self, seen: os.stat_result | None = None) -> None:
        """Take the file as it is now, or was seen; nobody else may be writing to it at that moment."""
        now = os.stat(self.path) if seen is None else seen
        self._size, self._times, self._count = now.st_size, _times(now), count_of(self.head())
        self._sure = self.mirror is None
        with suppress(OSError):
            log = os.stat(log_of(self.path))
            self._log, self._log_size = identity(log), log.st_size

    def hold(self, content: bytes | None) -> None:
        """Take what SQLite reads now as what the file should hold; None: it is too large to hold."""
        self.mirror = None if content is None else Mirror(content)
        if self.mirror is not None:
            self.mirror.allow(self._read)
        with suppress(OSError):  # gone since it was looked at: the next look tells
            self.take()

    def count(self) -> int:
        """The count of changes that the file should hold, with those in the log."""
        if self.mirror is not None:
            return count_of(self.mirror.held[:HEAD_BYTES])
        return max((count_of(self.head()), *counts_in_log(self.path)))

    def release(self) -> None:
        """Let the file go, once SQLite has closed it."""
        if self._open:
            self._open = False
            _release(self._key)

    def head(self) -> bytes:
        """The first bytes of the file that was opened."""
        return self._read(0, HEAD_BYTES)

    def _read(self, at: int, size: int) -> bytes:
        with _guard:
            os.lseek(self._descriptor, at, os.SEEK_SET)
            return os.read(self._descriptor, size)

    def is_same(self) -> bool:
        """Whether nothing at all has changed since it was last taken."""
        if not self._open:
            return True
        try:
            now, log = os.stat(self.path), os.stat(log_of(self.path))
        except OSError:
            return False
        here = (identity(now), now.st_size, _times(now), identity(log))
        then = (self._key, self._size, self._times, self._log)
        if here != then or log.st_size < self._log_size or not now.st_mode & WRITABLE:
            return False
        if not self._sure and self.mirror is not None:
            if self.mirror.differs(self._read):
                return False
            coarse = self._times[0] % 1_000_000_000 == 0
            self._sure = time.time_ns() - max(self._times) > (COARSE_NS if coarse else TICK_NS)
        return True

    def look(self, *, others: bool = True) -> Found | None:
        """What is wrong with the file at the path; None where it is the one that was opened.

        Nobody else may be writing to it at that moment: else half a change looks like damage. `others`:
        another process may have written since the file was last taken.
        """
        if not self._open or (not others and self.is_same()):
            return None
        try:
            now = os.stat(self.path)
        except OSError:
            return REMOVED
        if identity(now) != self._key:
            return OTHER
        if others or self.mirror is None:
            found = self._counted(now)
        else:
            found = self._what_stands() if self.mirror.differs(self._read) else None
        if found is None:
            found = self._log_found() or (None if now.st_mode & WRITABLE else READ_ONLY)
        if found is None:
            self.take(now)
        return found

    def _counted(self, now: os.stat_result) -> Found | None:
        """What the count of changes says, where it is not known what the file should hold."""
        head = self.head()
        if not now.st_size or not head.startswith(HEAD):
            return self._what_stands()
        count = count_of(head)
        if head[18:20] != IN_WAL or count < self._count or now.st_size < self._size:
            return self._what_stands()
        # a write-back that a reader holds up leaves the first page, and its count, for later
        if now.st_mtime_ns != self._times[0] and count == self._count:
            return OLDER if count >= max(counts_in_log(self.path), default=0) else None
        return None

    def _log_found(self) -> Found | None:
        try:
            log = os.stat(log_of(self.path))
        except OSError:
            return NO_LOG
        return NO_LOG if identity(log) != self._log or log.st_size < self._log_size else None

    def _what_stands(self) -> Found | None:
        """What became of the file; a copy may still be on its way, and may be one of the newest state."""
        found = CUT
        for wait in SETTLE_S:
            time.sleep(wait)
            if self.mirror is not None and not self.mirror.differs(self._read):
                return None
            if not os.fstat(self._descriptor).st_size:
                found = EMPTIED
            else:
                found = OLDER if _is_whole(self.path) else CUT
            if found is OLDER:
                break
        return found

    def follow(self, *, saved: bool = False) -> Found | None:
        """Take along what the log holds; another process may write it back at any moment.

        `saved`: this process has just saved, so that the log holds something.
        """
        if self.mirror is None:
            return None
        self._logged = logged(log_of(self.path))
        if saved and not self._logged.pages:
            return NO_LOG
        self.mirror.follow(self._logged)
        return None

    def write_back(self, link: sqlite3.Connection) -> Found | None:
        """Write the log back into the file, and look whether it arrived.

        Parameters
        ----------
        link : sqlite3.Connection
            One that nothing is being written by.

        Returns
        -------
        Found or None
            None where the file holds all that it should.
        """
        whole = failed = False
        try:
            busy, written, moved = link.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
            whole = not busy and written == moved
        except sqlite3.Error:  # what was saved is safe in the log
            failed = True
        if self.mirror is None:  # the file is as its writing left it
            try:
                now = os.stat(self.path)
            except OSError:
                return REMOVED
            self._times = _times(now)
            return self._counted(now) or self.look()
        self.mirror.arrive(self._logged, whole=whole, failed=failed)
        if not self.mirror.differs(self._read):
            return self.look(others=False)
        found = self._what_stands()
        return MIXED if found is not None and self.mirror.is_part_written(self._read) else found

    def set_log_aside(self) -> None:
        """Keep the log of this file away from another one that stands in its place.

        SQLite would write it into that one, at the next opening or when it closes this one.
        """
        log = log_of(self.path)
        with suppress(OSError):
            if identity(os.stat(log)) != self._log:
                return
            if identity(os.stat(self.path)) != self._key:
                set_log_aside(self.path)
            elif os.stat(log).st_size:
                shutil.copy2(log, lost_log(self.path))
                os.truncate(log, 0)


def count_of(head: bytes | bytearray) -> int:
    """The count of changes in the head of a file."""
    return int.from_bytes(head[24:28], "big")


def lost_log(path: Path) -> Path:
    """A name for a log without its file."""
    return path.with_name(f"{path.stem}-lost-{stamp()}{path.suffix}-wal")


def set_log_aside(path: Path) -> None:
    """Move a log, and the index of it, away from a file that it does not belong to."""
    os.replace(log_of(path), lost_log(path))
    with suppress(OSError):
        os.unlink(f"{path}-shm")


def is_strange(standing: Standing) -> bool:
    """Whether the log beside a file belongs to another file, so that it must not be read into it.

    Every change in the log counts on from the file; a copy put there by hand is further back. The file
    is read after the log: others may write both meanwhile, and its count only rises.
    """
    with suppress(OSError):
        is_log = os.stat(log_of(standing.path)).st_size >= WAL_HEAD
        first = next(counts_in_log(standing.path), 0)
        head = standing.head()
        if is_log and head.startswith(HEAD):
            return head[18:20] != IN_WAL or count_of(head) + 1 < first
    return False


def counts_in_log(path: Path) -> Iterator[int]:
    """The count of changes in each first page that the log beside a file holds."""
    return (count_of(body) for number, _, body in frames(log_of(path)) if number == 1)


def _times(told: os.stat_result) -> tuple[int, int]:
    """When the file was last written and last changed in any way; a copy may bring a time along."""
    return told.st_mtime_ns, told.st_ctime_ns


def _is_whole(path: Path) -> bool:
    """Whether a whole database stands at a path."""
    with suppress(sqlite3.Error, UnicodeDecodeError):
        name = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
        with closing(sqlite3.connect(name, uri=True)) as link:
            return bool(link.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok")
    return False
