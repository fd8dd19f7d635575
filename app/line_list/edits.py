"""What comes back from the list: what was typed and done, in order and as texts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Typed:
    """A text that now stands in a column or field of a line."""

    row: str
    field: str
    text: str


@dataclass(frozen=True, slots=True)
class Added:
    """A new line: it takes the id given here, under which its amount may already follow.

    `name` is the name picked or typed, `typed` what was typed to find it; `known` is false for a
    name that is in no list.
    """

    row: str
    name: str
    group: str
    typed: str
    known: bool


@dataclass(frozen=True, slots=True)
class Removed:
    """A line that was taken out."""

    row: str


@dataclass(frozen=True, slots=True)
class Moved:
    """A line that goes one place up or down."""

    row: str
    up: bool


@dataclass(frozen=True, slots=True)
class Pasted:
    """A block of lines from elsewhere, whole; row and field are blank if it came in where one adds."""

    text: str
    row: str
    field: str


@dataclass(frozen=True, slots=True)
class Pressed:
    """A button of a line."""

    row: str
    field: str


Edit = Typed | Added | Removed | Moved | Pasted | Pressed


@dataclass(frozen=True, slots=True)
class Edits:
    """Edits in the order in which they were made; `order` is the number of the last."""

    order: int = 0
    all: tuple[Edit, ...] = ()
    holds: str = ""

    def __bool__(self) -> bool:
        return bool(self.all)

    def __iter__(self) -> Iterator[Edit]:
        return iter(self.all)

    @property
    def texts(self) -> tuple[tuple[str, str, str], ...]:
        """Row, field and text of all that was typed."""
        return tuple((e.row, e.field, e.text) for e in self.all if isinstance(e, Typed))


def _edit(op: Mapping[str, Any]) -> Edit | None:
    """One edit; None where a part is missing or of another kind."""

    def text(name: str) -> str:
        value = op.get(name, "")
        return value if isinstance(value, str) else ""

    row, named = text("row"), text("field")
    match op.get("do"):
        case "text" if row and named:
            return Typed(row, named, text("text"))
        case "add" if row and text("name").strip():
            return Added(row, text("name"), text("group"), text("typed"), op.get("known") is True)
        case "remove" if row:
            return Removed(row)
        case "move" if row:
            return Moved(row, op.get("up") is True)
        case "paste" if text("text").strip():
            return Pasted(text("text"), row, named)
        case "press" if row and named:
            return Pressed(row, named)
    return None


def edits_of(message: object, *, to: str, after: int) -> Edits:
    """Edits of a message that are meant for this session and were not taken before."""
    if not isinstance(message, Mapping) or message.get("to") != to:
        return Edits(after)
    ops = message.get("ops")
    order, found = after, []
    for op in ops if isinstance(ops, list) else []:
        number = op.get("n") if isinstance(op, Mapping) else None
        if not isinstance(number, int) or isinstance(number, bool) or number <= order:
            continue
        order = number
        edit = _edit(op)
        if edit is not None:
            found.append(edit)
    holds = message.get("holds")
    return Edits(order, tuple(found), holds if isinstance(holds, str) else "")
