"""What the file of kept work should hold, byte by byte, so that any other hand on it is noticed.

SQLite alone changes the file, page by page, from the log that it wrote first (www.sqlite.org/walformat).
So what must stand there is known: what stood there, with the pages of the log on top. A copy that is
written over the file in place gives itself away by any byte, whatever its size and time.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

WAL_HEAD, FRAME_HEAD = 32, 24
CHUNK = 1 << 20

Read = Callable[[int, int], bytes]
"""Bytes of the file that is open: from where, how many."""


@dataclass(frozen=True, slots=True)
class Logged:
    """The pages that a log holds, up to the last whole change.

    Parameters
    ----------
    pages : dict of int to bytes
        Each as it was written last, by number, counted from 1.
    earlier : dict of int to list of bytes
        Each as it was written before: a reader may hold the write-back up in the middle of the log.
    size : int
        Pages of the whole file after the last change; 0 where there is none.
    """

    pages: dict[int, bytes] = field(default_factory=dict)
    earlier: dict[int, list[bytes]] = field(default_factory=dict)
    size: int = 0


def frames(log: Path) -> Iterator[tuple[int, int, bytes]]:
    """Each page in a log that counts: number, size of the file where a change ends, body."""
    with suppress(OSError), log.open("rb") as opened:
        head = opened.read(WAL_HEAD)
        if len(head) < WAL_HEAD:
            return
        (page,) = struct.unpack(">I", head[8:12])
        while len(frame := opened.read(FRAME_HEAD)) == FRAME_HEAD and frame[8:16] == head[16:24]:
            body = opened.read(page)
            if len(body) < page:
                return
            number, size = struct.unpack(">II", frame[:8])
            yield number, size, body


def logged(log: Path) -> Logged:
    """What the log beside a file holds."""
    found, pending = Logged(), list[tuple[int, bytes]]()
    whole = 0
    for number, size, body in frames(log):
        pending.append((number, body))
        if size:
            for page, written in pending:
                if page in found.pages:
                    found.earlier.setdefault(page, []).append(found.pages[page])
                found.pages[page] = written
            pending, whole = [], size
    return Logged(found.pages, found.earlier, whole)


class Mirror:
    """The bytes that the file should hold, and what of them may still lie in the log alone."""

    def __init__(self, content: bytes) -> None:
        self.held = bytearray(content)
        size = int.from_bytes(content[16:18], "big")
        self._page = 65536 if size == 1 else size
        self._late: dict[int, list[bytes]] = {}
        self._new: dict[int, bytes] = {}
        self._torn: set[int] = set()

    def _of(self, number: int) -> bytes:
        return bytes(self.held[(number - 1) * self._page : number * self._page])

    def allow(self, read: Read) -> None:
        """Take what the file holds now as pages that the log is not written back to yet."""
        for number in range(1, len(self.held) // self._page + 1):
            there = read((number - 1) * self._page, self._page)
            if there != self._of(number):
                self._late.setdefault(number, []).append(there)

    def follow(self, log: Logged) -> None:
        """Put the pages of the log on top; until all has arrived, the file may hold each as it was before."""
        self._new = {}
        for number, body in log.pages.items():
            was = self._of(number)
            if was == body:
                continue
            self._new[number] = body
            self._late.setdefault(number, []).append(was)
            end = number * self._page
            if len(self.held) < end:
                self.held.extend(bytes(end - len(self.held)))
            self.held[end - self._page : end] = body
        if log.size:
            del self.held[log.size * self._page :]
        for number, bodies in log.earlier.items():
            self._late.setdefault(number, []).extend(bodies)

    def arrive(self, log: Logged, *, whole: bool, failed: bool) -> None:
        """Note that the log was written back: `whole`, or it broke off, for example on a full disk."""
        if failed:
            self._torn |= set(log.pages)
        if whole:
            self._late, self._torn = {}, set()

    def differs(self, read: Read) -> bool:
        """Whether the file holds anything else; pages that may lie in the log alone may be as before."""
        end = len(self.held)
        for at in range(0, end, CHUNK):
            there, here = read(at, CHUNK), self.held[at : at + CHUNK]
            if there[: len(here)] == here:
                continue
            if not self._late and not self._torn:
                return True
            for start in range(0, len(here), self._page):
                part = there[start : start + self._page]
                number = (at + start) // self._page + 1
                if part == here[start : start + self._page] or part in self._late.get(number, ()):
                    continue
                if number not in self._torn:
                    return True
        return not (self._late or self._torn) and bool(read(end, 1))

    def is_part_written(self, read: Read) -> bool:
        """Whether a page of the last change stands in the file."""
        return any(read((n - 1) * self._page, self._page) == body for n, body in self._new.items())
