"""The open formula: one frozen formula, how it is kept, and what the page shows of it."""

from __future__ import annotations

import secrets
import threading
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

import hlbcore as hlb
from hlbcore.formula.reading import ListRow
from hlbcore.kept.kinds import FORMULA
from hlbcore.kept.versions import Version
from state.stores import store


@dataclass
class FormulaDraft:
    """The formula that is open, as typed."""

    formula: hlb.Formula = field(default_factory=hlb.Formula)
    ids: list[str] = field(default_factory=list)  # of the lines, each the same for the life of its line
    key: str = field(default_factory=lambda: secrets.token_hex(6))  # of the list on the page
    version: int = 0  # fields beside the list start afresh with a new one
    kept: Version | None = None  # the version that it was last kept as
    saved: hlb.Formula | None = None  # the state that needs no keeping
    theirs: Version | None = None  # what another window kept in the meantime
    trouble: str = ""
    told: str = ""  # said once in the bar
    notice: str = ""  # said above the list until the next list comes in
    lock: Any = field(default_factory=threading.RLock)  # the next run begins before this one ends
    panel: str = ""  # what is open above the list: paste, open, or nothing
    pasted: tuple[ListRow, ...] = ()  # lines that wait for a word on what they replace
    seen: tuple[hlb.Finding, ...] | None = None  # findings before the last edit
    now_seen: tuple[hlb.Finding, ...] | None = None  # findings after it
    symptom: str | None = None
    reference: hlb.Formula | None = None
    figure: str = "none"

    def __post_init__(self) -> None:
        self.name_lines()

    def name_lines(self) -> None:
        """An id for each line; the same after a reload as long as place and name are."""
        self.ids = [f"{n} {line.name}" for n, line in enumerate(self.formula.lines)]

    def put(self, formula: hlb.Formula) -> None:
        """Another state of the same formula, made elsewhere than in the list."""
        same = [x.name for x in formula.lines] == [x.name for x in self.formula.lines]
        self.formula = formula
        if not same:
            self.ids = [f"{n} {line.name} {secrets.token_hex(2)}" for n, line in enumerate(formula.lines)]
        self.afresh()

    def afresh(self) -> None:
        """Let the fields beside the list start afresh."""
        self.version += 1


def draft() -> FormulaDraft:
    """The open formula: the one of the last visit, else the bundled example."""
    if "draft" not in st.session_state:
        st.session_state["draft"] = last_work() or started(hlb.example_formula())
    return st.session_state["draft"]


def last_work() -> FormulaDraft | None:
    """The formula that was changed last; None where there is none, or it cannot be read."""
    try:
        held = store().formulas()
        return None if held.empty else as_kept(store().open(held["uid"].iloc[0], kind=FORMULA))
    except hlb.HlbError:
        return None


def as_kept(version: Version) -> FormulaDraft:
    """A draft of a kept formula."""
    return FormulaDraft(version.body, kept=version, saved=version.body, key=version.work)


def started(formula: hlb.Formula) -> FormulaDraft:
    """A draft that is kept once something of it is changed."""
    return FormulaDraft(formula, saved=formula)


def example_open() -> bool:
    """Whether the bundled example is open and unchanged."""
    now = draft()
    return now.kept is None and now.formula == hlb.example_formula()


def replace_draft(new: FormulaDraft) -> None:
    """Put another formula in its place; the one before is kept already."""
    before = draft()
    new.reference, new.version = before.reference, before.version
    new.afresh()
    st.session_state["draft"] = new
