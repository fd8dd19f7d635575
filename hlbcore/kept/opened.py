"""The open file of kept work: its connections, how it stands, and what it held."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from hlbcore.kept.backups import backup_day, today_utc
from hlbcore.kept.file import open_file
from hlbcore.kept.standing import Found, Standing

PAGE_BYTES = 4096
MIRROR_MOST = 50_000_000
"""Largest file that is also held in memory. [byte] Our convention."""


@dataclass(slots=True)
class Opened:
    """What is open: the connection, and how its file stands."""

    link: sqlite3.Connection
    path: Path | None = None
    standing: Standing | None = None
    second: sqlite3.Connection | None = None
    day: str = ""
    written: bool = False
    seen: int = -1
    backed_up: bool = False

    @property
    def mirror(self) -> bytes:
        """What the file held when it was last in order; nothing where it is too large."""
        held = None if self.standing is None else self.standing.mirror
        return b"" if held is None else bytes(held.held)

    def look(self, *, saved: bool = False) -> Found | None:
        """What is wrong with the file, while nobody else writes to it; what others saved is taken along.

        `saved`: this process has just saved.
        """
        if self.standing is None:
            return None
        data = self.seen
        with suppress(sqlite3.Error, UnicodeDecodeError):  # another hand has spoilt the file
            (data,) = self.link.execute("PRAGMA data_version").fetchone()
        others = data != self.seen or self.seen < 0
        found = None if others or not saved else self.standing.follow(saved=True)
        found = found or self.standing.look(others=others)
        if found is None and others:
            (pages,) = self.link.execute("PRAGMA page_count").fetchone()
            self.standing.hold(self.link.serialize() if pages * PAGE_BYTES <= MIRROR_MOST else None)
            self.standing.follow()
            self.seen = data
        return found

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
                    found = self.look()
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


def is_whole(link: sqlite3.Connection) -> bool:
    """Whether all of a database can be read."""
    try:
        return bool(link.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok")
    except (sqlite3.Error, UnicodeDecodeError):
        return False


def from_mirror(mirror: bytes) -> sqlite3.Connection:
    """What the file held when it was last looked at, in memory."""
    memory = open_file(None)[0]
    if mirror:
        # memory has no log: the head says how a file is written
        memory.deserialize(mirror[:18] + b"\1\1" + mirror[20:])
    return memory
