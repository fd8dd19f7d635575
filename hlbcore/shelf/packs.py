"""One pack or lot on the shelf, as typed."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass, field, fields, replace
from datetime import date
from typing import Any

from hlbcore._numbers import GRAMS_PER, MASS_MAX, checked, read_amount
from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.fields import read_plain, typed
from hlbcore.ingredients import NAME_MAX
from hlbcore.limits import check_length
from hlbcore.typed import Typed, in_full

_MONTH = re.compile(r"(?P<year>\d{4})[-/.](?P<month>\d{1,2})|(?P<m>\d{1,2})[-/.](?P<y>\d{4})")


def read_day(text: str, item: str) -> date:
    """Read a day, or a month as its last day: ``2027-03-31``, ``2027-03``, ``03/2027``.

    Parameters
    ----------
    text : str
        As typed.
    item : str
        What it belongs to; stands in the message.

    Returns
    -------
    date
        The day.

    Raises
    ------
    InvalidInput
        For anything else: a day and a month in figures can be read two ways.

    Examples
    --------
    >>> read_day("03/2027", "polysorbate 80, best before")
    datetime.date(2027, 3, 31)
    """
    said = text.strip()
    try:
        if found := _MONTH.fullmatch(said):
            year, month = int(found["year"] or found["y"]), int(found["month"] or found["m"])
            return date(year, month, calendar.monthrange(year, month)[1])
        return date.fromisoformat(said)
    except (ValueError, IndexError):  # calendar.IllegalMonthError is both
        raise InvalidInput(
            item, f"'{clipped(text)}' is no date", "Write year, month, day: 2027-03-31, or 2027-03."
        ) from None


def read_left(text: str, item: str) -> float:
    """What is left of a pack, 0 for an empty one: ``250``, ``1,5 kg``, ``16 oz``. [g]"""
    found = read_amount(text, item)
    if found.unit not in ("", *GRAMS_PER):
        raise InvalidInput(item, f"'{clipped(text)}' is no mass", "Weigh what is left, in g or kg.")
    number = checked(found.number, item, low=0)
    return checked(number * GRAMS_PER.get(found.unit, 1.0), item, high=MASS_MAX, unit="g")


@dataclass(frozen=True, slots=True)
class StockItem:
    """One pack or lot on the shelf, as typed.

    Parameters
    ----------
    name : str
        By any name.
    amount : str or float, optional
        What is left; blank where it was not weighed. [g]
    lot : str
        The supplier's lot.
    price : str or float, optional
        What it cost. [price unit/kg]
    opened, best_before : str, optional
        Days, or a month: 2027-03.
    note : str
        In the maker's words.

    Examples
    --------
    >>> StockItem("polysorbate 80", "250 g", best_before="2027-03").amount.value
    250.0
    """

    name: str
    amount: Typed[float] = field(default_factory=Typed)
    lot: str = ""
    price: Typed[float] = field(default_factory=Typed)
    opened: Typed[date] = field(default_factory=Typed)
    best_before: Typed[date] = field(default_factory=Typed)
    note: str = ""

    def __post_init__(self) -> None:
        check_length(self.name, "name on the shelf", NAME_MAX)
        for text, item in ((self.lot, "lot"), (self.note, "note")):
            check_length(text, f"'{clipped(self.name)}', {item}")
        item = f"'{clipped(self.name)}'"

        def money(text: str) -> float:
            return read_plain(text, f"{item}, price")

        def put(name: str, value: object) -> None:
            object.__setattr__(self, name, value)

        put("amount", typed(self.amount, lambda t: read_left(t, f"{item}, amount"), grams_text))
        put("price", typed(self.price, money))
        put("opened", typed(self.opened, lambda t: read_day(t, f"{item}, opened"), _day))
        put("best_before", typed(self.best_before, lambda t: read_day(t, f"{item}, best before"), _day))

    @property
    def problems(self) -> tuple[str, ...]:
        """What of it cannot be read, a sentence each."""
        held = (self.amount, self.price, self.opened, self.best_before)
        return tuple(x.problem for x in held if x.problem)

    @property
    def is_there(self) -> bool:
        """Whether any is left; an amount that is not known counts as some."""
        return self.amount.value is None or self.amount.value > 0

    def put(self, name: str, text: str) -> StockItem:
        """The item with another text in a field."""
        changes: dict[str, Any] = {name: Typed(text) if name in TYPED_FIELDS else text}
        return replace(self, **changes)


TYPED_FIELDS = ("amount", "price", "opened", "best_before")
"""Fields of an item that are read."""


def grams_text(given: object) -> str:
    """A mass as people write it, no digit lost."""
    return f"{in_full(checked(given, 'amount', low=0))} g"  # type: ignore[arg-type]  # it says what is wrong


def _day(given: object) -> str:
    return given.isoformat() if isinstance(given, date) else str(given)


NAMES = tuple(f.name for f in fields(StockItem))
"""Fields of an item, in order."""
