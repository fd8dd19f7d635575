"""The bench ladder: what is typed for it, and how it is kept."""

from __future__ import annotations

import secrets
import threading
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

import hlbcore as hlb
from hlbcore.kept.kinds import KeptLadder
from hlbcore.kept.versions import Version
from hlbcore.ladder.finish import fresh_seed
from hlbcore.ladder.sheet import LadderSheet


def new_sheet() -> LadderSheet:
    """A ladder to be planned, with codes and an order of its own."""
    return LadderSheet(seed=str(fresh_seed()))


@dataclass
class LadderDraft:
    """The bench ladder as it is being typed, and the one that is recorded."""

    sheet: LadderSheet = field(default_factory=new_sheet)
    ladder: hlb.Ladder | None = None  # None while it is planned
    kept: Version | None = None
    saved: KeptLadder | None = None  # the sheet that needs no keeping
    theirs: Version | None = None  # what another window kept in the meantime
    trouble: str = ""
    notice: str = ""
    table: str = field(default_factory=lambda: secrets.token_hex(8))  # of the tables in the browser
    problems: Any = None  # rows of an uploaded file that could not be used
    kind: str = ""
    temperature: float | None = None
    oil: str = ""
    more: tuple[str, ...] = ()
    moved: Any = None  # kept formulas that the accepted value moves
    version: int = 0  # widgets start afresh with a new version
    # a new run of the page begins before the one it replaces has ended
    lock: Any = field(default_factory=threading.RLock)

    def afresh(self) -> None:
        """Let all widgets start afresh."""
        self.version += 1


def ladder() -> LadderDraft:
    """The lasting key of the bench ladder, at first a plan for the open formula."""
    if "ladder" not in st.session_state:
        st.session_state["ladder"] = LadderDraft()
    return st.session_state["ladder"]
