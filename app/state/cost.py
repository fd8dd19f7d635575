"""The price list that is open, how it is kept, and what a jar is asked about."""

from __future__ import annotations

import secrets
import threading
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

import hlbcore as hlb
from hlbcore.batch.prices import PriceList
from hlbcore.kept.kinds import PRICES
from hlbcore.kept.versions import Version
from state.stores import store


@dataclass
class CostDraft:
    """The price list as it is being typed, and the jar."""

    prices: PriceList = field(default_factory=PriceList)
    ids: list[str] = field(default_factory=list)  # of the prices, each the same for the life of its line
    key: str = field(default_factory=lambda: secrets.token_hex(6))
    kept: Version | None = None
    saved: PriceList | None = None
    theirs: Version | None = None
    trouble: str = ""
    told: str = ""  # said once above the list
    batch: str = ""  # blank: that of the formula
    jar: str = "50 g"
    loss: str = ""
    lock: Any = field(default_factory=threading.RLock)

    def __post_init__(self) -> None:
        self.name_lines()
        if self.saved is None:
            self.saved = self.prices

    def name_lines(self) -> None:
        """An id for each price; the same after a reload as long as place and name are."""
        self.ids = [f"{n} {p.name}" for n, p in enumerate(self.prices.prices)]

    def put(self, prices: PriceList) -> None:
        """Another state of the list, made elsewhere than in it."""
        self.prices = prices
        self.ids = [f"{n} {p.name} {secrets.token_hex(2)}" for n, p in enumerate(prices.prices)]


def cost_draft() -> CostDraft:
    """The price list of the last visit, else an empty one."""
    if "cost" not in st.session_state:
        st.session_state["cost"] = last_list() or CostDraft()
    return st.session_state["cost"]


def last_list() -> CostDraft | None:
    """The price list that was changed last; None where there is none, or it cannot be read."""
    try:
        held = store().listed(PRICES)
        return None if held.empty else as_kept(store().open(held["uid"].iloc[0], kind=PRICES))
    except hlb.HlbError:
        return None


def as_kept(version: Version) -> CostDraft:
    """A draft of a kept list."""
    return CostDraft(version.body, kept=version, saved=version.body, key=version.work)


def replace_list(new: CostDraft) -> None:
    """Open another list; the one before is kept already."""
    before = cost_draft()
    new.batch, new.jar, new.loss = before.batch, before.jar, before.loss
    st.session_state["cost"] = new
