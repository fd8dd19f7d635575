"""The shelf: what stands on it, how it is kept, and what is asked of it."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import streamlit as st

import hlbcore as hlb
from hlbcore.kept.kinds import STOCK
from hlbcore.kept.versions import Version
from hlbcore.shelf.sheet import ShelfSheet
from hlbcore.shelf.stock import Stock
from state.stores import library, store


@dataclass
class ShelfDraft:
    """The shelf as it is being typed, and what is asked of it."""

    stock: Stock = field(default_factory=Stock)
    ids: list[str] = field(default_factory=list)  # of the lines of its list
    asked: ShelfSheet = field(default_factory=ShelfSheet)
    kept: Version | None = None
    saved: Stock | None = None  # the stock that needs no keeping
    theirs: Version | None = None
    trouble: str = ""
    told: str = ""
    chosen: int = 1  # number of the system that is open
    every: bool = False  # all systems instead of the varied ones
    out: str = ""  # of one swap over all formulas
    into: tuple[str, ...] = ()
    lock: Any = field(default_factory=threading.RLock)
    key: int = 0  # the list starts afresh with a new key

    def put(self, stock: Stock) -> None:
        """Another shelf, whose lines start afresh."""
        self.stock = stock
        self.ids = [f"kept {n}" for n in range(len(stock.items))]
        self.key += 1


def shelf() -> ShelfDraft:
    """The lasting key of the shelf."""
    if "shelf" not in st.session_state:
        st.session_state["shelf"] = ShelfDraft(saved=Stock())
    return st.session_state["shelf"]


def follow_shelf() -> None:
    """Take the shelf as it is kept, unless something is typed that is not kept yet."""
    now = shelf()
    with now.lock:
        newest = kept_shelf()
        if newest is None or now.stock != now.saved:
            return
        if now.kept is None or now.kept.uid != newest.uid:
            now.kept, now.saved = newest, newest.body
            now.put(newest.body)


def kept_shelf() -> Version | None:
    """The shelf in the file of kept work; None where there is none that can be read."""
    try:
        listed = store().listed(STOCK)["uid"].tolist()
        return store().open(listed[0], kind=STOCK) if listed else None
    except hlb.HlbError:
        return None


emulsifiers_of = lru_cache(20)(Stock.emulsifiers)


def at_hand() -> tuple[str, ...]:
    """The emulsifiers on the shelf."""
    return emulsifiers_of(shelf().stock, library())
