"""What lasts between pages and reruns: every key with its type and default."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from typing import Any

import streamlit as st

import hlbcore as hlb
from hlbcore.formula.lines import PHASES
from hlbcore.limits import LINES_MOST

FIELDS = (
    "product",
    "unit",
    "objective",
    "total",
    "window",
    "batch",
    "scale",
    "smallest",
    "portions",
    "blends",
)
FLAGS = ("count_fragrance", "ionics")


@dataclass
class Row:
    """One row of a list on the page: a stable number for its widgets, and what was typed."""

    number: int
    typed: dict[str, Any]


@dataclass
class Draft:
    """The sheet as it is being typed."""

    title: str = ""
    fields: dict[str, str] = field(default_factory=dict)
    flags: dict[str, bool] = field(default_factory=dict)
    lines: list[Row] = field(default_factory=list)
    emulsifiers: list[Row] = field(default_factory=list)
    others: list[Row] = field(default_factory=list)
    facts: dict[str, str] = field(default_factory=dict)
    phases: tuple[str, ...] = PHASES
    note: str = ""
    symptom: str | None = None
    reference: hlb.Formula | None = None
    seen_findings: tuple[hlb.Finding, ...] = ()
    changed: hlb.Changes | None = None
    tool_chooses: bool = False
    figure: str = "none"
    numbers: list[int] = field(default_factory=lambda: list(range(100_000, 0, -1)))
    notice: str = ""
    kept: hlb.Version | None = None  # the version that the draft was last kept as
    saved: hlb.Sheet | None = None  # the sheet that needs no keeping
    theirs: hlb.Version | None = None  # what another window kept in the meantime
    trouble: str = ""
    told: str = ""  # said once in the bar
    lock: Any = field(default_factory=threading.RLock)  # the next run begins before this one ends
    swaps: list[Row] = field(default_factory=list)
    wishes: tuple[str, ...] = ()
    keep_mass: bool = True
    swap_choices: dict[str, str] = field(
        default_factory=lambda: {"objective": "least change", "dose": "keep"}
    )
    pasted: tuple[hlb.ListRow, ...] = ()
    version: int = 0  # widgets of the single fields start afresh with a new version

    def add(self, rows: list[Row], typed: dict[str, Any]) -> None:
        """Append a row with a number of its own; a list that is full says so."""
        if len(rows) >= LINES_MOST:
            self.told = f"A list holds at most {LINES_MOST} lines."
            return
        rows.append(Row(self.numbers.pop(), typed))

    def take(self, sheet: hlb.Sheet) -> None:
        """Take the amounts of a sheet made from this draft; all else stays as typed."""
        if self.tool_chooses and sheet.emulsifiers:
            self.tool_chooses = False
            self.emulsifiers.clear()
            for emulsifier in sheet.emulsifiers:
                self.add(self.emulsifiers, asdict(emulsifier))
        for rows, given, name in (
            (self.lines, sheet.lines, "amount"),
            (self.emulsifiers, sheet.emulsifiers, "now"),
            (self.others, sheet.others, "amount"),
        ):
            for row, x in zip(rows, given, strict=False):
                if row.typed.get(name, "") != getattr(x, name):
                    row.typed[name] = getattr(x, name)
                    row.number = self.numbers.pop()
        self.fields["objective"] = sheet.objective
        self.version = self.numbers.pop()

    def sheet(self) -> hlb.Sheet:
        """The draft as the frozen sheet that the core works out."""
        return hlb.Sheet(
            title=self.title,
            lines=tuple(hlb.SheetLine(**r.typed) for r in self.lines),
            emulsifiers=()
            if self.tool_chooses
            else tuple(hlb.SheetEmulsifier(**r.typed) for r in self.emulsifiers),
            others=tuple(hlb.SheetOther(**r.typed) for r in self.others),
            facts=tuple(sorted(self.facts.items())),
            phases=self.phases,
            note=self.note,
            **self.fields,
            **self.flags,
        )


@dataclass
class Learning:
    """Where the reader of the lessons is."""

    lesson: str = "what"
    rounds: dict[str, int] = field(default_factory=dict)  # threes of exercises seen, by lesson
    answers: dict[str, str] = field(default_factory=dict)  # by the key of the field
    sliders: dict[str, float] = field(default_factory=dict)  # by lesson
    seed: str = "class 1"
    levels: tuple[str, ...] = ()
    count: str = "10"


def learning() -> Learning:
    """The lasting key of the lessons."""
    if "learning" not in st.session_state:
        st.session_state["learning"] = Learning()
    return st.session_state["learning"]


@dataclass
class LadderDraft:
    """The bench ladder as it is being typed, and the one that is recorded."""

    sheet: hlb.LadderSheet = field(default_factory=hlb.LadderSheet)
    ladder: hlb.Ladder | None = None  # None while it is planned
    kept: hlb.Version | None = None
    saved: hlb.KeptLadder | None = None  # the sheet that needs no keeping
    theirs: hlb.Version | None = None  # what another window kept in the meantime
    trouble: str = ""
    notice: str = ""
    shown: dict[str, hlb.LadderSheet] = field(default_factory=dict)  # by table that is edited
    problems: Any = None  # rows of an uploaded file that could not be used
    kind: str = ""
    temperature: float | None = None
    oil: str = ""
    more: tuple[str, ...] = ()
    moved: Any = None  # kept formulas that the accepted value moves
    version: int = 0  # widgets start afresh with a new version
    numbers: list[int] = field(default_factory=lambda: list(range(100_000, 0, -1)))
    # a new run of the page begins before the one it replaces has ended
    lock: Any = field(default_factory=threading.RLock)

    def afresh(self) -> None:
        """Let all widgets start afresh."""
        self.version = self.numbers.pop()
        self.shown.clear()


CLASSROOM_BYTES = 20_000_000
"""Most that one session of a class may keep. [byte] Our convention."""


@dataclass
class Opened:
    """The file of kept work, or why it cannot be used, and where work goes on until it can."""

    path: str
    store: hlb.Store | None = None
    error: hlb.StoreError | None = None
    rest: hlb.Store | None = None
    left_out: tuple[hlb.LeftOut, ...] = ()
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
                except hlb.LostFile as error:
                    self.fails(error)
                except hlb.StoreError:  # the next save tells it
                    return

    def fails(self, error: hlb.StoreError) -> None:
        """Go on in memory, with all that was open."""
        self.error = error
        if self.rest is None:
            lost = self.store
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


@st.cache_resource(max_entries=4, show_spinner=False)
def opened(path: str) -> Opened:
    """The one store of this computer, shared by all windows."""
    made = Opened(path)
    made.open()
    return made


def classroom() -> bool:
    """Whether each session keeps its own work, in memory only."""
    return "--classroom" in sys.argv


def the_file() -> Opened:
    """The file of this computer."""
    return opened(str(hlb.default_path()))


def file_error() -> hlb.StoreError | None:
    """Why the file cannot be used; None where it can, and in a classroom."""
    return None if classroom() else the_file().error


def store() -> hlb.Store:
    """The store of this computer, in memory while its file fails; in a class, one of this session."""
    if not classroom():
        return the_file().in_use
    if "store" not in st.session_state:
        st.session_state["store"] = hlb.Store(in_memory=True, most_bytes=CLASSROOM_BYTES)
    return st.session_state["store"]


def library() -> hlb.Library:
    """The tables with the own values of this store laid over them."""
    try:
        return hlb.load_library(overlay=store().overlay())
    except hlb.StoreError:
        return hlb.load_library()


def draft() -> Draft:
    """The one lasting key: the draft, at first the bundled example."""
    if "draft" not in st.session_state:
        st.session_state["draft"] = unchanged(hlb.example_sheet())
    return st.session_state["draft"]


def ladder() -> LadderDraft:
    """The lasting key of the bench ladder, at first a plan for the open formula."""
    if "ladder" not in st.session_state:
        st.session_state["ladder"] = LadderDraft()
    return st.session_state["ladder"]


def unchanged(sheet: hlb.Sheet) -> Draft:
    """A draft that is kept once something of it is changed."""
    new = from_sheet(sheet)
    new.saved = new.sheet()
    return new


def from_sheet(sheet: hlb.Sheet) -> Draft:
    """A draft that holds the sheet."""
    new = Draft(
        title=sheet.title,
        fields={name: getattr(sheet, name) for name in FIELDS},
        flags={name: getattr(sheet, name) for name in FLAGS},
        tool_chooses=not sheet.emulsifiers,
        facts=dict(sheet.facts),
        phases=sheet.phases,
        note=sheet.note,
    )
    for line in sheet.lines:
        new.add(new.lines, asdict(line))
    for emulsifier in sheet.emulsifiers:
        new.add(new.emulsifiers, asdict(emulsifier))
    for other in sheet.others:
        new.add(new.others, asdict(other))
    return new


def replace_draft(new: Draft) -> None:
    """Put another draft in its place; its widgets start afresh."""
    kept = draft().numbers
    new.numbers = kept
    new.reference = draft().reference
    new.version = kept.pop()
    for row in [*new.lines, *new.emulsifiers, *new.others]:
        row.number = kept.pop()
    st.session_state["draft"] = new
