"""One row of a list of ingredients after the other: what it gives, or what is wrong with it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from hlbcore._numbers import checked, read_range
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.ingredients import KINDS, Ingredient, fold
from hlbcore.library import EMULSIFIER_SIDE, OIL_SIDE, Library
from hlbcore.own_items import OwnIngredient, OwnReading
from hlbcore.quantities import COLD_C, HOT_C, TEMPERATURE, read_quantity

BLANKS = {"-", "–", "—", "?", "n/a", "na", "unknown"}
"""Words that stand for no figure, as a blank does."""

NUMBER_MOST = 60
"""Longest text that is read as a figure. [characters] Our convention."""

_KIND_OF = {fold(kind) + plural: kind for kind in KINDS for plural in ("", "s", "es")}
_EMULSIONS = {"ow": "o/w", "oilinwater": "o/w", "wo": "w/o", "waterinoil": "w/o"}
_FIGURES = (  # field, quantity, emulsion; blank: as the row says
    ("required HLB", "required HLB", ""),
    ("required HLB w/o", "required HLB", "w/o"),
    ("HLB", "HLB", ""),
)
_CIRCUMSTANCES = ("low", "high", "emulsion", "date", "pair", "method", "dose", "temperature")


@dataclass(frozen=True, slots=True)
class RowReport:
    """What became of one row.

    Parameters
    ----------
    row : int
        Its number in the file. [-]
    name, result, status : str
        The name as written; what was taken or what is wrong; taken, skipped or wrong.
    """

    row: int
    name: str
    result: str
    status: str


def _figure(text: str, item: str) -> str:
    """The text of a figure, blank where a word stands for none."""
    if len(text) > NUMBER_MOST:
        raise InvalidInput(item, f"'{clipped(text)}' is too long for a figure", "Write a number.")
    return "" if text.casefold() in BLANKS else text


def _range(text: str, item: str) -> tuple[float, float] | None:
    text = _figure(text, item)
    return read_range(text, item, "HLB") if text else None


def _single(text: str, item: str, unit: str) -> float | None:
    """A number in a unit that may stand behind it; None for a blank."""
    text = _figure(text, item)
    if text and unit == "°C":
        return read_quantity(text, item, TEMPERATURE, low=COLD_C, high=HOT_C)
    return checked(text, item, unit=unit) if text else None


def _kind(text: str) -> str:
    """The kind that a person means, also in the plural."""
    try:
        return _KIND_OF[fold(text)]
    except KeyError:
        raise InvalidInput(
            "kind", f"'{clipped(text)}' is not one of the kinds", f"Use {', '.join(KINDS)}."
        ) from None


def check_width(beyond: int, item: str = "cells") -> None:
    """Refuse a row with more cells than there are headings: a decimal comma may have parted a number."""
    if beyond > 0:
        raise InvalidInput(
            item,
            f"the row has {beyond} more than there are headings",
            "With decimal commas, part the columns by semicolons or save as XLSX.",
        )


class Reader:
    """Takes row by row; each gives items and a report."""

    def __init__(self, library: Library) -> None:
        self.library = library
        self.items: list[OwnReading | OwnIngredient] = []
        self.lines: list[RowReport] = []
        self.named: dict[str, tuple[int, OwnIngredient]] = {}  # new ingredients, by key
        self.figures: dict[tuple[str, str, str], list[tuple[int, OwnReading]]] = {}

    def take(self, number: int, given: Mapping[str, str], beyond: int = 0) -> None:
        """Take one row.

        Parameters
        ----------
        number : int
            Its number in the file. [-]
        given : mapping of str to str
            Field to text.
        beyond : int
            Cells that it has more than there are headings. [-]
        """
        name = given.get("name", "")
        try:
            check_width(beyond)
            items, said = self._row(number, given)
        except HlbError as error:
            self.lines.append(RowReport(number, name, str(error), "wrong"))
            return
        self.items += items
        status = "taken" if items else "skipped"
        self.lines.append(RowReport(number, name, "; ".join(said), status))

    def _row(
        self, number: int, given: Mapping[str, str]
    ) -> tuple[list[OwnReading | OwnIngredient], list[str]]:
        name = given.get("name", "")
        if not fold(name):
            raise InvalidInput("name", "it is blank", "Name the ingredient.")
        key = self.library.key(name)
        known = self.library.ingredients.get(key)
        readings = self._readings(given, key, known)
        said: list[str] = []
        items: list[OwnReading | OwnIngredient] = []
        added = self._ingredient(number, given, key, known, readings, said)
        fresh = [r for r in readings if self._is_fresh(number, key, known, r, said)]
        if added is not None:  # kept only now: a row with a wrong figure gives nothing at all
            self.named.setdefault(key, (number, added))
            items.append(added)
        items += fresh
        if not readings and any(given.get(f) for f in _CIRCUMSTANCES):
            said.append("range, date and the like belong to a figure: not taken")
        if not items and not said:
            said.append("known already, and the row gives no figure")
        return items, said

    def _readings(self, given: Mapping[str, str], key: str, known: Ingredient | None) -> list[OwnReading]:
        name = given["name"]
        told = [(q, e, r) for f, q, e in _FIGURES if (r := _range(given.get(f, ""), f))]
        low, high = (_range(given.get(end, ""), end) for end in ("low", "high"))
        if (low or high) and len(told) > 1:
            raise InvalidInput(
                "low, high",
                "the row has two figures, so it is open whose range it is",
                "Write each range in its own cell: 8 to 10.",
            )
        if not told and low and high:
            raise InvalidInput(
                "low, high",
                "there is a range and no figure",
                "Write the range into the column of the figure: 8 to 10.",
            )
        if not told:
            return []
        kind = self._kind_of(given, key, known, {q for q, _, _ in told})
        convention = known.convention if known else KINDS[kind]
        readings = []
        for quantity, emulsion, (least, most) in told:
            self._check_side(name, quantity, convention, kind)
            spread = (least, most) if least < most else (None, None)
            readings.append(
                OwnReading(
                    name,
                    (least + most) / 2,
                    low[0] if low else spread[0],
                    high[1] if high else spread[1],
                    quantity=quantity,
                    emulsion=emulsion or self._emulsion(given),
                    kind=kind,
                    pair=given.get("pair", ""),
                    method=given.get("method", ""),
                    on=given.get("date", ""),
                    dose_pct=_single(given.get("dose", ""), "dose", "%"),
                    temperature_c=_single(given.get("temperature", ""), "temperature", "°C"),
                )
            )
        return readings

    def _kind_of(self, given: Mapping[str, str], key: str, known: Ingredient | None, told: set[str]) -> str:
        """Kind of the tables, of the row, of an earlier row, or the plainest of the figure."""
        if known is not None:
            return known.kind
        if given.get("kind"):
            return _kind(given["kind"])
        if key in self.named:
            return self.named[key][1].kind
        if len(told) > 1:
            raise InvalidInput(
                "kind",
                "it is blank, and the row gives both a required HLB and an HLB",
                "Say the kind: only fatty alcohols and the like have both.",
            )
        return "oil" if told == {"required HLB"} else "emulsifier" if told else "other"

    @staticmethod
    def _check_side(name: str, quantity: str, convention: str, kind: str) -> None:
        if convention in (OIL_SIDE if quantity == "required HLB" else EMULSIFIER_SIDE):
            return
        item = f"'{clipped(name)}'"
        if quantity == "HLB" and convention == "oil":
            raise InvalidInput(
                item,
                f"it is of kind {kind} and no emulsifier, so it has no HLB of its own",
                "If the figure is the HLB that it requires, put it under required HLB.",
            )
        if quantity == "HLB":
            raise InvalidInput(
                item, f"it is of kind {kind} and no emulsifier", "Mend the kind, or leave it out."
            )
        raise InvalidInput(
            item,
            f"it is of kind {kind} and not counted in the oil phase, so it requires no HLB",
            "Put the HLB of an emulsifier under HLB; else mend the kind, or leave it out.",
        )

    @staticmethod
    def _emulsion(given: Mapping[str, str]) -> str:
        text = given.get("emulsion", "")
        if not text:
            return "o/w"
        if fold(text) not in _EMULSIONS:
            raise InvalidInput("emulsion", f"'{clipped(text)}' is not known", "Write o/w or w/o.")
        return _EMULSIONS[fold(text)]

    def _ingredient(
        self,
        number: int,
        given: Mapping[str, str],
        key: str,
        known: Ingredient | None,
        readings: list[OwnReading],
        said: list[str],
    ) -> OwnIngredient | None:
        """What the row adds beside figures; None where that is nothing."""
        inci, note = given.get("INCI", ""), given.get("note", "")
        names = tuple(n.strip() for n in re.split(r"[;|]", given.get("other names", "")))
        kind = self._kind_of(given, key, known, {r.quantity for r in readings})
        own = OwnIngredient(given["name"], kind, inci, note, names)
        if key in self.named:
            row, first = self.named[key]
            if (inci, note, own.aliases) != ("", "", ()) or kind != first.kind:
                said.append(f"names, kind and note are those of row {row}")
            return None
        if known is None:
            said.append(f"new ingredient of kind {kind}")
            if not readings and not given.get("kind"):
                said.append("its kind and figure are not given")
            return own
        if given.get("kind") and _kind(given["kind"]) != kind:
            said.append(f"the kind stays {kind}")
        held = {"label name": (inci, known.inci), "note": (note, known.note)}
        for what, (mine, theirs) in held.items():
            if mine and theirs and fold(mine) != fold(theirs):
                said.append(f"the {what} that is known stays")
        own = OwnIngredient(
            given["name"],
            kind,
            "" if known.inci else inci,
            "" if known.note else note,
            tuple(a for a in own.aliases if fold(a) not in self.library.names),
        )
        new = {"label name": own.inci, "note": own.note, "other names": own.aliases}
        if not any(new.values()):
            return None
        said.append(f"{', '.join(w for w, what in new.items() if what)} added")
        return own

    def _is_fresh(
        self, number: int, key: str, known: Ingredient | None, mine: OwnReading, said: list[str]
    ) -> bool:
        """Whether the figure is a new one; says what it is, or where it stands already."""
        what = mine.quantity if mine.quantity == "HLB" else f"{mine.quantity} {mine.emulsion}"
        if known is not None:
            rows = known.hlb_readings if mine.quantity == "HLB" else known.readings(mine.emulsion)
            if mine.reading in rows:
                said.append(f"{what} {mine.value:g} is kept already")
                return False
        others = self.figures.setdefault((key, mine.quantity, mine.emulsion), [])
        same = [row for row, other in others if other.reading == mine.reading]
        if same:
            said.append(f"{what} {mine.value:g} stands in row {same[0]} already")
            return False
        ends = [f"{word} {end:g}" for word, end in (("from", mine.low), ("to", mine.high)) if end is not None]
        said.append(" ".join([f"{what} {mine.value:g}", *ends]))
        if others:
            said.append(f"row {others[0][0]} gives another figure; both are taken")
        others.append((number, mine))
        return True
