"""What lasts between pages and reruns: every key with its type and default."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field

import streamlit as st

import hlbcore as hlb
from hlbcore.formula_parts import PHASES

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
    typed: dict[str, str]


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
    pasted: tuple[hlb.ListRow, ...] = ()
    version: int = 0  # widgets of the single fields start afresh with a new version

    def add(self, rows: list[Row], typed: dict[str, str]) -> None:
        """Append a row with a number of its own."""
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


def draft() -> Draft:
    """The one lasting key: the draft, at first the bundled example."""
    if "draft" not in st.session_state:
        st.session_state["draft"] = from_sheet(hlb.example_sheet())
    return st.session_state["draft"]


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
