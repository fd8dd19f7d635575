"""What can be entered in a batch record: one dated entry a fact, read once, never overwritten."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from hlbcore._numbers import GRAMS_PER, MASS_MAX, checked, checked_text, read_amount
from hlbcore.cells import whole_signs
from hlbcore.errors import InvalidInput, clipped
from hlbcore.limits import check_length
from hlbcore.quantities import TEMPERATURE, read_quantity


@dataclass(frozen=True, slots=True)
class EntryKind:
    """One kind of entry.

    Parameters
    ----------
    label : str
        As the record shows it.
    unit : str
        ``g``, ``°C``, ``pH`` or blank for words.
    where : str
        What it belongs to: ``row``, ``step``, ``name``, or blank for the whole batch.
    many : bool
        Whether each entry stands for itself; else the last of one place counts.
    """

    label: str
    unit: str = ""
    where: str = ""
    many: bool = False


ENTRY_KINDS: dict[str, EntryKind] = {
    "weighed": EntryKind("weighed", "g", "row"),
    "lot": EntryKind("lot", "", "row"),
    "box": EntryKind("ticked", "", "step"),
    "temperature": EntryKind("temperature", "°C", "step"),
    "time": EntryKind("time", "", "step"),
    "vessel before": EntryKind("vessel and water phase before heating", "g"),
    "vessel after": EntryKind("vessel and water phase after heating", "g"),
    "water added": EntryKind("hot water added", "g"),
    "added": EntryKind("added beside the plan", "g", "name"),
    "cycle": EntryKind("cooled and whipped", "", "", many=True),
    "deviation": EntryKind("not as planned", "", "", many=True),
    "rework": EntryKind("earlier batch worked in", "g", "name"),
    "titration": EntryKind("titration: sample, what was added, grams and pH"),
    "ph": EntryKind("pH measured", "pH"),
    "jars": EntryKind("jars filled"),
    "left over": EntryKind("left in vessels and on tools", "g"),
    "filling lot": EntryKind("filling lot"),
    "best before": EntryKind("best before"),
    "released": EntryKind("released or rejected, and why"),
    "stability plan": EntryKind("stability plan"),
    "stability": EntryKind("seen in store", "", "name"),
    "note": EntryKind("note", "", "", many=True),
    "closed": EntryKind("closed"),
}
"""Kinds of entry, by their word in the file; never altered once released."""

AFTER_CLOSING = ("stability plan", "stability")
"""What is looked at after the batch is made, and entered after the record is closed."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One fact of a batch, as it was entered.

    Parameters
    ----------
    kind : str
        One of `ENTRY_KINDS`.
    where : str
        Number of the row, name of the step or of what was added; blank for the whole batch.
    text : str
        As typed.
    who, at : str
        Who entered it, and when, by the clock of the computer.
    why : str
        Reason of a correction or of an open point.
    """

    kind: str
    where: str = ""
    text: str = ""
    who: str = ""
    at: str = ""
    why: str = ""


def entry_of(kind: str, where: str, text: str, who: str, at: str, why: str) -> Entry:
    """An entry, once it is sure that it can be read."""
    if kind not in ENTRY_KINDS:
        raise InvalidInput("batch record", f"'{clipped(kind)}' is no entry", "Choose one that is listed.")
    for name, value in (("where", where), ("text", text), ("who", who), ("why", why)):
        check_length(checked_text(value, f"entry, {name}"), f"{ENTRY_KINDS[kind].label}, {name}")
    entry_number(kind, text)
    return Entry(kind, *map(whole_signs, (where, text, who, at or now_text(), why)))


def now_text() -> str:
    """The time by the clock of the computer, with its offset."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


def entry_number(kind: str, text: str) -> float | None:
    """The number that an entry holds; None where it is words or blank. [g, °C or pH]"""
    held = ENTRY_KINDS[kind]
    if not held.unit or not text.strip():
        return None
    item = held.label
    if held.unit == "g":
        typed = read_amount(text, item)
        if typed.unit == "%":
            raise InvalidInput(item, f"'{clipped(text)}' is no mass", "Use g, kg, oz or lb.")
        return checked(typed.number * GRAMS_PER.get(typed.unit, 1.0), item, low=0, high=MASS_MAX, unit="g")
    if held.unit == "°C":
        return read_quantity(text, item, TEMPERATURE, low=-80, high=250)
    return checked(text.replace("pH", ""), item, low=0, high=14)
