"""The store of kept work, and the tables with the own values that lie in it."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any
from weakref import WeakKeyDictionary

import streamlit as st

import hlbcore as hlb
from hlbcore.errors import LostFile
from hlbcore.kept.accepted import Behind
from hlbcore.kept.benches import library_of, stamp_of
from hlbcore.kept.file import default_path
from hlbcore.kept.salvage import LeftOut

CLASSROOM_BYTES = 20_000_000
"""Most that one session of a class may keep. [byte] Our convention."""


@dataclass
class Opened:
    """The file of kept work, or why it cannot be used, and where work goes on until it can."""

    path: str
    store: hlb.Store | None = None
    error: hlb.StoreError | None = None
    rest: hlb.Store | None = None
    all_along: bool = False  # whether the rest holds all that was open
    left_out: tuple[LeftOut, ...] = ()
    lock: Any = field(default_factory=threading.RLock)

    def open(self) -> None:
        """Open the file, and take along what was made while it could not be used."""
        with self.lock:
            try:
                if self.store is None or self.store.lost is not None:
                    self.store = hlb.Store(self.path)
                self.store.look()
                if self.rest is not None:
                    hlb.import_all(self.store, hlb.plan_import(self.store, hlb.export_all(self.rest)))
                    if self.all_along:
                        self.store.leave_behind()
            except hlb.StoreError as error:
                self.fails(error)
            else:
                self.error = self.rest = None

    def look(self) -> None:
        """Notice where the file was taken away since it was opened."""
        with self.lock:
            if self.store is not None and self.error is None:
                try:
                    self.store.look()
                except LostFile as error:
                    self.fails(error)
                except hlb.StoreError:  # the next save tells it
                    return

    def fails(self, error: hlb.StoreError) -> None:
        """Go on in memory, with all that was open."""
        self.error = error
        if self.rest is None:
            lost = self.store
            self.all_along = lost is not None
            self.rest = hlb.Store(in_memory=True) if lost is None else lost.in_memory()

    def afresh(self, how: Callable[[], object], *, along: bool = True) -> None:
        """Do something about the file, then open it; `along` brings what is open here."""
        with self.lock:
            if self.store is not None:
                self.store.close()
                self.store = None
            how()
            if not along:
                self.rest = None
            self.open()

    @property
    def in_use(self) -> hlb.Store:
        """Where work is kept now."""
        with self.lock:
            if self.error is None and self.store is not None:
                return self.store
            if self.rest is None:
                self.rest = hlb.Store(in_memory=True)
            return self.rest


_OPENING = threading.Lock()


def opened(path: str) -> Opened:
    """The one store of this computer, shared by all windows."""
    with _OPENING:
        return _opened(path)


@lru_cache(4)
def _opened(path: str) -> Opened:
    made = Opened(path)
    made.open()
    return made


def classroom() -> bool:
    """Whether each session keeps its own work, in memory only."""
    return os.environ.get("HLB_CLASSROOM") == "1"


def the_file() -> Opened:
    """The file of this computer."""
    return opened(str(default_path()))


def file_error() -> hlb.StoreError | None:
    """Why the file cannot be used; None where it can, and in a classroom."""
    return None if classroom() else the_file().error


def behind() -> Behind | None:
    """What was saved in the file and is not in it; None in a class, and while the file cannot be used."""
    held = None if classroom() or file_error() is not None else the_file().store
    return None if held is None else held.behind


def store() -> hlb.Store:
    """The store of this computer, in memory while its file fails; in a class, one of this session."""
    if not classroom():
        return the_file().in_use
    if "store" not in st.session_state:
        st.session_state["store"] = hlb.Store(in_memory=True, most_bytes=CLASSROOM_BYTES)
    return st.session_state["store"]


_LAID: WeakKeyDictionary[hlb.Store, tuple[tuple[object, ...], hlb.Library]] = WeakKeyDictionary()
"""The tables by store, as of its last change: a page asks for them some twenty times."""


def library() -> hlb.Library:
    """The tables with the own values of this store laid over them, and the learned figures it uses."""
    held = store()
    try:
        stamp = stamp_of(held)
        if _LAID.get(held, ((), None))[0] != stamp:
            _LAID[held] = stamp, library_of(held)
        return _LAID[held][1]
    except hlb.StoreError:
        return hlb.load_library()
