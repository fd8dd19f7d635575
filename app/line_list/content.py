"""What the list shows, as plain values: texts only, nothing is computed here."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal

Tone = Literal["plain", "asked", "brought", "mind", "stop"]
ColumnKind = Literal["amount", "text", "tick", "shown"]
FieldKind = Literal["amount", "text", "long", "choice", "press"]


@dataclass(frozen=True, slots=True)
class Piece:
    """A few words beside a line; `asked` is blue and round, `brought` orange and a diamond.

    With `opens` the words are pressed to open the line's fields at that one; who points at them reads `says`.
    """

    text: str
    tone: Tone = "plain"
    opens: str = ""
    says: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """A tag behind a name, for example `own`; `says` is the whole of it for a screen reader."""

    text: str
    says: str = ""


@dataclass(frozen=True, slots=True)
class Problem:
    """A sentence below a line, tied to one of its fields."""

    text: str
    field: str = ""
    tone: Tone = "stop"


@dataclass(frozen=True, slots=True)
class Choice:
    """One of the answers of a field."""

    value: str
    label: str


@dataclass(frozen=True, slots=True)
class Column:
    """A column of inputs; `shown` is only read. `over` groups columns of cells, for example `1 h`."""

    key: str
    label: str
    unit: str = ""
    kind: ColumnKind = "amount"
    over: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """What the menu of a line opens. A `press` has no text: it is a button."""

    key: str
    label: str
    kind: FieldKind = "text"
    unit: str = ""
    hint: str = ""
    choices: tuple[Choice, ...] = ()


@dataclass(frozen=True, slots=True)
class Group:
    """A heading; `texts` by key of column stand above its inputs, for example a sum."""

    key: str
    label: str
    texts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Row:
    """One line. `id` stays the same for the life of the line; `texts` are by key of column or field.

    `fields` names the fields of its menu, None is all of them; `beside` stands next to the amount.
    """

    id: str
    name: str
    group: str = ""
    texts: Mapping[str, str] = field(default_factory=dict)
    about: tuple[Piece, ...] = ()
    marks: tuple[Mark, ...] = ()
    problems: tuple[Problem, ...] = ()
    fields: tuple[str, ...] | None = None
    fixed: bool = False
    beside: str = ""


@dataclass(frozen=True, slots=True)
class Name:
    """A name that can be added, the group that it usually joins, and its other names."""

    name: str
    group: str = ""
    others: tuple[str, ...] = ()


@dataclass(frozen=True)
class Names:
    """All names that can be added; sent once to each open page."""

    entries: tuple[Name, ...] = ()

    @cached_property
    def data(self) -> list[list[Any]]:
        """A list of name, group, other names."""
        return [[n.name, n.group, list(n.others)] for n in self.entries]

    @cached_property
    def digest(self) -> str:
        """Changes when any name does."""
        return hashlib.sha256(json.dumps(self.data).encode()).hexdigest()[:12]


@dataclass(frozen=True, slots=True)
class Adding:
    """The input at the foot; lines of names without a group of their own join `group`."""

    names: Names = Names()
    label: str = "Add by any name"
    group: str = ""


@dataclass(frozen=True, slots=True)
class Lines:
    """A list of lines in groups; `large` is read from an arm's length and has no menu."""

    label: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    groups: tuple[Group, ...] = ()
    fields: tuple[Field, ...] = ()
    adding: Adding | None = None
    movable: bool = False
    heading_level: int = 2
    empty: str = ""
    large: bool = False


@dataclass(frozen=True, slots=True)
class Cells:
    """A table of cells: lines are things on the bench, columns what is read of each."""

    label: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    corner: str = ""


def said_in(content: Lines | Cells, how: Callable[[str], str]) -> Lines | Cells:
    """The same with the words of the tool said anew; names and what was typed stay as they are."""
    shown = [c.key for c in content.columns if c.kind == "shown"]

    def row(r: Row) -> Row:
        return replace(
            r,
            texts={k: how(t) if k in shown else t for k, t in r.texts.items()},
            about=tuple(replace(p, text=how(p.text), says=how(p.says)) for p in r.about),
            marks=tuple(replace(m, text=how(m.text), says=how(m.says)) for m in r.marks),
            problems=tuple(replace(p, text=how(p.text)) for p in r.problems),
            beside=how(r.beside),
        )

    made = replace(content, rows=tuple(map(row, content.rows)))
    if isinstance(made, Cells):
        return made
    groups = (replace(g, texts={k: how(t) for k, t in g.texts.items()}) for g in made.groups)
    return replace(made, groups=tuple(groups))


def plain(value: Any) -> Any:
    """Dataclasses as dictionaries without what is blank; the names are left out."""
    if isinstance(value, tuple | list):
        return [plain(v) for v in value]
    if isinstance(value, Mapping):
        return {str(k): plain(v) for k, v in value.items() if v not in ("", None)}
    fields = getattr(value, "__dataclass_fields__", None)
    if fields is None:
        return value
    pairs = ((name, getattr(value, name)) for name in fields)
    return {name: plain(v) for name, v in pairs if not _left_out(name, v)}


def _left_out(name: str, value: Any) -> bool:
    if name in ("rows", "columns") or (name == "fields" and value == ()):
        return False  # a line with no field at all is not one with all fields
    return isinstance(value, Names) or value is None or value is False or value in ("", (), {})


def data_of(content: Lines | Cells, *, key: str, to: str, taken: int, holds: str) -> dict[str, Any]:
    """What is sent to the page; names only where the page does not hold them yet."""
    data: dict[str, Any] = {
        "form": "cells" if isinstance(content, Cells) else "lines",
        "key": key,
        "to": to,
        "taken": taken,
        **plain(content),
    }
    adding = content.adding if isinstance(content, Lines) else None
    if adding is not None:
        data["adding"]["digest"] = adding.names.digest
        if holds != adding.names.digest:
            data["adding"]["names"] = adding.names.data
    return data
