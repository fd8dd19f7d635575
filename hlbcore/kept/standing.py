"""Whether the file that is written is still the file that stands at its path.

A file can be removed, moved, emptied, cut or replaced while it is open: writing then goes on without
an error, into something that nobody will ever open again. So each save compares. What is compared:

- identity (device and inode) and size of the file at the path, and of the log beside it (``-wal``),
  which holds what is not yet in the file
- the count of changes in the head of the file (offset 24 of the format, www.sqlite.org/fileformat2),
  which every save raises: where the file was written and it stands still or is lower, a copy was
  written over the file
"""

from __future__ import annotations

import os
import shutil
import stat
import struct
import threading
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

HEAD = b"SQLite format 3\0"
HEAD_BYTES = 100
WAL_HEAD, FRAME_HEAD = 32, 24
IN_WAL = b"\x02\x02"
"""Bytes 18 and 19 of a file that is written through a log; a backup has others."""

WRITABLE = stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH

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
        self._key, self._descriptor = _hold(path)
        self._size = self._count = self._log_size = self._written = 0
        self._log: Identity | None = None
        self._open = True

    def take(self) -> None:
        """Take the file as it is now; nobody else may be writing to it at that moment."""
        now = os.stat(self.path)
        self._size, self._written, self._count = now.st_size, now.st_mtime_ns, count_of(self.head())
        with suppress(OSError):
            log = os.stat(log_of(self.path))
            self._log, self._log_size = identity(log), log.st_size

    def release(self) -> None:
        """Let the file go, once SQLite has closed it."""
        if self._open:
            self._open = False
            _release(self._key)

    def head(self) -> bytes:
        """The first bytes of the file that was opened."""
        with _guard:
            os.lseek(self._descriptor, 0, os.SEEK_SET)
            return os.read(self._descriptor, HEAD_BYTES)

    def is_same(self) -> bool:
        """Whether nothing at all has changed since it was last taken."""
        if not self._open:
            return True
        try:
            now, log = os.stat(self.path), os.stat(log_of(self.path))
        except OSError:
            return False
        here = (identity(now), now.st_size, now.st_mtime_ns, identity(log))
        then = (self._key, self._size, self._written, self._log)
        return here == then and log.st_size >= self._log_size and bool(now.st_mode & WRITABLE)

    def look(self, *, wrote: bool = False) -> Found | None:
        """What is wrong with the file at the path; None where it is the one that was opened.

        Nobody else may be writing to it at that moment: else half a change looks like damage. `wrote`:
        this process has just written the log back, and may have written what was there already.
        """
        if not self._open:
            return None
        try:
            now = os.stat(self.path)
        except OSError:
            return REMOVED
        if identity(now) != self._key:
            return OTHER
        if not now.st_size:
            return EMPTIED
        head = self.head()
        if not head.startswith(HEAD):
            return CUT
        count, written = count_of(head), now.st_mtime_ns != self._written
        if head[18:20] != IN_WAL or count < self._count:
            return OLDER
        if now.st_size < self._size:
            return CUT
        # a write-back that a reader holds up leaves the first page, and its count, for later
        if (
            written
            and not wrote
            and count == self._count
            and count >= max(counts_in_log(self.path), default=0)
        ):
            return OLDER
        try:
            log = os.stat(log_of(self.path))
        except OSError:
            return NO_LOG
        if identity(log) != self._log or log.st_size < self._log_size:
            return NO_LOG
        if not now.st_mode & WRITABLE:
            return READ_ONLY
        self.take()
        return None

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


def count_of(head: bytes) -> int:
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
    with suppress(OSError), log_of(path).open("rb") as opened:
        log = opened.read(WAL_HEAD)
        if len(log) < WAL_HEAD:
            return
        (page,) = struct.unpack(">I", log[8:12])
        while len(frame := opened.read(FRAME_HEAD)) == FRAME_HEAD and frame[8:16] == log[16:24]:
            body = opened.read(page)
            if frame[:4] == b"\0\0\0\1":
                yield count_of(body)
