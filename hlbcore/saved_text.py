"""What every saved thing has round its fields: schema, version, and errors in words."""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import fields
from typing import Any, TypeVar

import msgspec

from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.limits import FILE_MOST, check_length

T = TypeVar("T")

MEND = "Choose a file that this tool wrote."

_KINDS = {
    "float": "no number",
    "int": "no number",
    "str": "no text",
    "bool": "neither yes nor no",
    "array": "no list",
    "object": "no set of fields",
    "null": "nothing",
}


def saved(schema: str, version: int, body: Mapping[str, Any], *, indent: int | None = None) -> str:
    """The fields of something as JSON, its schema and version in front."""
    return json.dumps({"schema": schema, "version": version, **body}, ensure_ascii=False, indent=indent)


@contextmanager
def opened(
    text: str, schemas: Collection[str], version: int, item: str
) -> Iterator[tuple[str, int, dict[str, Any]]]:
    """Schema, version and fields of a saved text; what goes wrong with them inside is told too.

    Parameters
    ----------
    text : str
        JSON.
    schemas : collection of str
        What it may be.
    version : int
        The newest version that can be read. [-]
    item : str
        What it is; stands in the message.

    Raises
    ------
    InvalidInput
        For anything else, one of a newer version, half a sign, or fields that cannot be used.

    Examples
    --------
    >>> with opened(saved("a note", 1, {"text": "soft"}), ["a note"], 1, "note") as (_, _, held):
    ...     held
    {'text': 'soft'}
    """
    check_length(text, item, FILE_MOST)
    try:
        raw = json.loads(text)
        json.dumps(raw, ensure_ascii=False).encode()  # half a sign could never be written again
        if (schema := raw.pop("schema")) not in schemas:
            raise ValueError("it is another kind of file")
        if type(found := raw.pop("version")) is not int:
            raise ValueError("its version is no number")
        if found < 1:
            raise ValueError(f"there was never a version {found}")
        if found > version:
            raise ValueError(f"it was written by a newer version ({found} after {version})")
        yield schema, found, raw
    except UnicodeEncodeError:
        raise InvalidInput(item, "it holds half a sign that no file can keep", MEND) from None
    except HlbError as error:
        raise InvalidInput(item, str(error).rstrip("."), MEND) from None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, OverflowError) as error:
        raise InvalidInput(item, f"it cannot be read: {in_words(error)}", MEND) from None


def made(kind: type[T], raw: Mapping[str, Any]) -> T:
    """An object from the fields of a file; ValueError for one unknown, missing, or of another type."""
    known = {f.name for f in fields(kind)}  # type: ignore[arg-type]
    if odd := sorted(set(raw) - known):
        raise ValueError(f"'{clipped(odd[0])}' is not a field of it")
    try:
        return msgspec.convert(raw, kind)
    except msgspec.ValidationError as error:
        raise ValueError(in_words(error)) from None


def in_words(error: Exception) -> str:
    """What the typed reader says of a field, in our words; what a class itself refuses stays as it is.

    Examples
    --------
    >>> in_words(ValueError("Expected `float`, got `str` - at `$.value`"))
    "'value' is no number"
    """
    said = str(error)
    if gone := re.search(r"missing required field `(\w+)`", said):
        return f"'{gone[1]}' is missing"
    if odd := re.search(r"unknown field `([^`]+)`", said):
        return f"'{clipped(odd[1])}' is not a field of it"
    said, _, place = said.partition(" - at `$")
    at = f"'{place.strip('`.')}'" if place else "it"
    if wanted := re.match(r"Expected `([^`]+)`", said):
        kinds = dict.fromkeys(_KINDS.get(k.strip(), k.strip()) for k in wanted[1].split("|"))
        kinds.pop("nothing", None)
        return f"{at} is {' or '.join(kinds)}"
    if said.startswith(("Input data was truncated", "JSON is malformed")):
        return "it is cut off or was altered by hand"
    return f"{at} is no number that can be used" if said == "Number out of range" else clipped(said, 120)
