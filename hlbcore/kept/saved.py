"""The forms that kept work has in an export, each read and written by one typed description.

Unknown fields, missing ones, words for numbers and anything too long are refused while the text is
read, before anything is built from it. The body of a version stays text: its kind reads it.
"""

from __future__ import annotations

from typing import Annotated, Any, TypeVar

import msgspec

from hlbcore.errors import InvalidInput, clipped
from hlbcore.limits import TEXT_MOST

T = TypeVar("T")

SCHEMA, VERSION = "hlbcore kept work", 1
MEND = "Choose a file that this tool wrote with Export of everything."

MOST_FIGURE = 1e9
"""Largest figure that is read; far beyond any HLB or per cent. Our convention."""

Uid = Annotated[str, msgspec.Meta(pattern="^[0-9a-f]{32}$", max_length=32)]
Time = Annotated[str, msgspec.Meta(max_length=40)]
Short = Annotated[str, msgspec.Meta(max_length=200)]
Text = Annotated[str, msgspec.Meta(max_length=TEXT_MOST)]
Number = Annotated[int, msgspec.Meta(ge=1, le=10**9)]
Figure = (
    Annotated[int, msgspec.Meta(ge=-(10**9), le=10**9)]
    | Annotated[float, msgspec.Meta(ge=-MOST_FIGURE, le=MOST_FIGURE)]
    | Short
)


class SavedFile(msgspec.Struct, frozen=True):
    """One file of the zip in its list of contents; what a later version adds is passed over."""

    name: Text
    sha256: Text
    bytes: int = 0


class Manifest(msgspec.Struct, frozen=True):
    """The list of contents of the zip; what a later version adds is passed over."""

    schema: Text
    version: Annotated[int, msgspec.Meta(ge=1)]
    files: tuple[SavedFile, ...]
    written: str = ""


class SavedVersion(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One version; `sheet` is the text of its body, `figures` that of `Figures`."""

    uid: Uid
    number: Number
    parent: Uid | None
    at: Time
    who: Text
    what: Text
    why: Text
    kept: bool
    digest: Annotated[str, msgspec.Meta(max_length=100)]
    figures: msgspec.Raw
    sheet: msgspec.Raw


class SavedWork(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A formula, a ladder or the like with all its versions; the oldest files hold formulas alone."""

    uid: Uid
    current: Uid
    created: Time
    changed: Time
    removed: Time | None
    versions: tuple[SavedVersion, ...]
    kind: Annotated[str, msgspec.Meta(max_length=20)] = "formula"


class SavedOwn(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """An ingredient or figure of the user's own."""

    uid: Uid
    who: Text
    at: Time
    withdrawn: Time | None
    item: msgspec.Raw


Settings = dict[Short, Text]
Figures = dict[Short, Figure]


def read(body: bytes, form: type[T], item: str = "file") -> T:
    """What a text holds, in the form given; InvalidInput for any other text."""
    try:
        return msgspec.json.decode(body, type=form)
    except (msgspec.MsgspecError, ValueError, RecursionError) as error:
        raise InvalidInput(item, f"it cannot be read: {clipped(said(error), 120)}", MEND) from None


_WORDS = (
    ("Object contains unknown field", "there is an unknown field"),
    ("Object missing required field", "there is no field"),
    ("matching regex '^[0-9a-f]{32}$'", "that is an identity"),
    ("JSON is malformed: ", ""),
    ("Input data was truncated", "it ends too soon, or a text of it holds half a sign"),
    ("`$", "`"),
)


def said(error: Exception) -> str:
    """What the reader of JSON says, nearer to our words."""
    text = str(error) or type(error).__name__
    for theirs, ours in _WORDS:
        text = text.replace(theirs, ours)
    return text


def written(value: Any, *, indent: int = 0) -> bytes:
    """A value of these forms as JSON, in one line unless it is to be read by people."""
    text = msgspec.json.encode(value)
    return msgspec.json.format(text, indent=indent) if indent else text


def text_of(raw: msgspec.Raw) -> str:
    """The text of a part that was left as it stands."""
    try:
        return bytes(raw).decode()
    except UnicodeDecodeError:
        raise InvalidInput("file", "it cannot be read: a text of it is not UTF-8", MEND) from None
