"""Readers of the fields of a formula, and the texts that they read."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TypeVar

from hlbcore._numbers import Amount, checked, grams, read_amount, read_range
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.sheets import read_basis
from hlbcore.typed import Typed, in_full

T = TypeVar("T")

READING = "reading "
"""What stands before a reading that the user chose among disputed ones."""

CLASS_RANGE = "class range"
"""The words that take the range of an ingredient's own kind."""

PRICE_MOST = 1e9
"""Most of a price. [currency] Our convention."""


def typed(given: object, how: Callable[[str], T], as_text: Callable[[object], str] | None = None) -> Typed[T]:
    """A field from what was given: a text is kept with its fault, anything else must be right."""
    if isinstance(given, Typed):
        # read again where it is not clean: the sentence names the item it stands in now
        return Typed.read(given.text, how) if given.problem or given.value is None else given
    if given is None:
        return Typed()
    if isinstance(given, str):
        return Typed.read(given, how)
    text = (as_text or _plain)(given)
    return Typed(text, how(text))


def _plain(given: object) -> str:
    if isinstance(given, tuple | list) and len(given) == 2:
        return " to ".join(_plain(end) for end in given)
    try:
        number = math.nan if isinstance(given, bool) else float(given)  # type: ignore[arg-type]
    except (TypeError, ValueError, OverflowError):
        return str(given)
    # what is no finite number is left to the reader: it names the item
    return in_full(number) if math.isfinite(number) else str(given)


def amount_reader(item: str) -> Callable[[str], Amount]:
    """Reads an amount with its unit: a number of 0 or more."""

    def read(text: str) -> Amount:
        found = read_amount(text, item)
        return Amount(checked(found.number, item, low=0), found.unit)

    return read


def number_reader(item: str, *, high: float = 100.0, unit: str = "%") -> Callable[[str], float]:
    """Reads a number from 0 up."""
    return lambda text: checked(text, item, low=0, high=high, unit=unit)


def range_reader(item: str, unit: str = "%") -> Callable[[str], tuple[float, float]]:
    """Reads a number or a range within 0 to 100."""

    def read(text: str) -> tuple[float, float]:
        low, high = read_range(text, item, unit)
        return checked(low, item, low=0, high=100, unit=unit), checked(high, item, low=0, high=100, unit=unit)

    return read


def rate_reader(item: str) -> Callable[[str], tuple[float, float, str]]:
    """Reads a supplier's rate with its basis; without one it is % of the formula."""

    def read(text: str) -> tuple[float, float, str]:
        figures, basis = read_basis(text, item)
        low, high = range_reader(item)(figures)
        return low, high, basis or "formula"

    return read


def read_plain(value: str | float, item: str, *, high: float = PRICE_MOST) -> float:
    """A number from 0 up without a unit, such as money or a count."""
    if isinstance(value, str) and (unit := read_amount(value, item).unit):
        raise InvalidInput(item, f"'{clipped(value)}' has the unit {unit}", "Write the number alone.")
    return checked(checked(value, item, low=0), item, high=high)


def mass_reader(item: str) -> Callable[[str], float]:
    """Reads a mass in grams."""
    return lambda text: grams(text, item)


def figure_text(figure: object, item: str = "own figure") -> str:
    """An Estimate or a number as `read_figure` reads it, no digit lost."""
    if not isinstance(figure, Estimate):
        return in_full(checked(figure, item))  # type: ignore[arg-type]  # it says what is wrong
    low, value, high = (in_full(x) for x in (figure.low, figure.value, figure.high))
    return value if low == high else f"{value} ({low} to {high})"


def read_figure(text: str, item: str) -> Estimate | str:
    """A figure of the user's own.

    Parameters
    ----------
    text : str
        ``7.5``, ``7 to 9``, ``9 (8 to 14)``, a kind such as ``butter``, ``class range``, or
        ``reading 9`` for one of the tables' disputed readings. [HLB]
    item : str
        What it belongs to; stands in the message.

    Returns
    -------
    Estimate or str
        A word is folded; whether it can be used depends on the ingredient.

    Examples
    --------
    >>> read_figure("9 (8 to 14)", "my oil"), read_figure(" Butter", "my oil")
    (9.0 (8.0 to 14.0), 'butter')
    """
    word = " ".join(text.split()).casefold()
    if word.startswith(READING):
        return READING + in_full(checked(word[len(READING) :], f"{item}, reading", low=0, high=HLB_MAX))
    if not any(c.isdigit() for c in word):
        return word
    value, mark, rest = text.partition("(")
    if mark and rest.rstrip().endswith(")"):
        low, high = _ends(rest.rstrip()[:-1], item)
        middle = checked(value, item, low=0, high=HLB_MAX, unit="HLB")
        if not low <= middle <= high:
            raise InvalidInput(
                item, f"{middle:g} lies outside {low:g} to {high:g}", "Write for example: 9 (8 to 14)."
            )
        return Estimate(middle, low, high)
    low, high = _ends(text, item)
    return Estimate((low + high) / 2, low, high)


def _ends(text: str, item: str) -> tuple[float, float]:
    low, high = read_range(text, item, "HLB")
    return checked(low, item, low=0, high=HLB_MAX), checked(high, item, low=0, high=HLB_MAX)


def figure_reader(name: str) -> Callable[[str], Estimate | str]:
    """Reads the own figure of a line."""
    item = f"'{clipped(name)}', own figure"
    return lambda text: read_figure(text, item)
