"""The bench ladder: what is typed for it, and how it is kept."""

from __future__ import annotations

import threading
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

import hlbcore as hlb
from hlbcore.kept.kinds import KeptLadder
from hlbcore.kept.versions import Version
from hlbcore.ladder.sheet import LadderSheet


@dataclass
class LadderDraft:
    """The bench ladder as it is being typed, and the one that is recorded."""

    sheet: LadderSheet = field(default_factory=LadderSheet)
    ladder: hlb.Ladder | None = None  # None while it is planned
    kept: Version | None = None
    saved: KeptLadder | None = None  # the sheet that needs no keeping
    theirs: Version | None = None  # what another window kept in the meantime
    trouble: str = ""
    notice: str = ""
    shown: dict[str, LadderSheet] = field(default_factory=dict)  # by table that is edited
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
        self.shown.clear()


def ladder() -> LadderDraft:
    """The lasting key of the bench ladder, at first a plan for the open formula."""
    if "ladder" not in st.session_state:
        st.session_state["ladder"] = LadderDraft()
    return st.session_state["ladder"]
