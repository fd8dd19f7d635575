"""The only number checks and the only reading of numbers that people type."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from typing import SupportsFloat

from hlbcore.errors import InvalidInput, clipped

GRAMS_PER = {
    "g": 1.0,
    "kg": 1000.0,
    "mg": 0.001,
    # avoirdupois; exact by definition of the international pound, NIST Handbook 44, Appendix C
    "oz": 28.349523125,
    "lb": 453.59237,
}
"""Grams in one unit of mass. [g]"""

MASS_MAX = 1e9
"""Greatest mass that is taken, a thousand tonnes; our convention. [g]"""

_UNIT_WORDS = {
    "": "",
    "%": "%",
    "percent": "%",
    "per cent": "%",
    "pct": "%",
    "g": "g",
    "gr": "g",
    "gram": "g",
    "grams": "g",
    "kg": "kg",
    "mg": "mg",
    "oz": "oz",
    "ounce": "oz",
    "ounces": "oz",
    "lb": "lb",
    "lbs": "lb",
    "pound": "lb",
    "pounds": "lb",
}
_TYPED = re.compile(
    r"(?P<number>[+-]?(?:\d[\d.,' ]*\d|\d|[.,]\d+)(?:e[+-]?\d{1,4})?)\s*(?P<unit>[a-z% ]*)\.?"
)
_POUNDS_OUNCES = re.compile(
    r"(?P<lb>[\d.,]+)\s*(?:lbs?|pounds?)\.?\s*(?:,|and)?\s*(?P<oz>[\d.,]+)\s*(?:oz|ounces?)\.?"
)
_GROUPED = re.compile(r"[+-]?\d{1,3}(?:[ ']\d{3})+(?:[.,]\d+)?(?:e[+-]?\d+)?")
_READS = "Write a plain number such as 12.5 or 12,5"


@dataclass(frozen=True, slots=True)
class Amount:
    """A number as typed, with its unit (``""``, ``"%"`` or a unit of mass)."""

    number: float
    unit: str


def _decimal(text: str, item: str) -> float:
    """Read digits with a point or a comma; a lone comma before three digits is refused."""
    if re.search("[ ']", text) and not _GROUPED.fullmatch(text):
        raise InvalidInput(item, f"'{clipped(text)}' is not a number", f"{_READS}.")
    bare = text.replace(" ", "").replace("'", "")
    head, mark, tail = bare.partition("e")
    comma, point = head.count(","), head.count(".")
    if comma and point:
        decimal, thousands = (",", ".") if head.rfind(",") > head.rfind(".") else (".", ",")
        whole, _, part = head.rpartition(decimal)
        groups = whole.lstrip("+-").split(thousands)
        if decimal in whole or any(len(g) != 3 for g in groups[1:]) or thousands in part:
            raise InvalidInput(item, f"'{clipped(text)}' is not a number", f"{_READS}.")
        head = whole.replace(thousands, "") + "." + part
    elif comma == 1:
        before, after = head.lstrip("+-").split(",")
        if len(after) == 3 and before not in ("", "0"):
            raise InvalidInput(
                item,
                f"'{clipped(text)}' can be read in two ways",
                f"Write {before}{after} for the large number or {before}.{after} for the small.",
            )
        head = head.replace(",", ".")
    elif comma > 1 or point > 1:
        mark_used = "," if comma else "."
        groups = head.lstrip("+-").split(mark_used)
        if any(len(g) != 3 for g in groups[1:]) or not 1 <= len(groups[0]) <= 3:
            raise InvalidInput(item, f"'{clipped(text)}' is not a number", f"{_READS}.")
        head = head.replace(mark_used, "")
    return float(head + mark + tail)


def read_amount(text: str, item: str) -> Amount:
    """Read what a person types: ``12,5 %``, ``1 oz``, ``0.5g``.

    Parameters
    ----------
    text : str
        The words typed.
    item : str
        What they belong to; stands in the message.

    Returns
    -------
    Amount
        The number and its unit.

    Raises
    ------
    InvalidInput
        If the text is blank, no number, or a number that can be read in two ways.

    Examples
    --------
    >>> read_amount("12,5 %", "shea butter")
    Amount(number=12.5, unit='%')
    >>> read_amount("1 lb 3.5 oz", "batch")
    Amount(number=19.5, unit='oz')
    """
    # runs of spaces would make the pattern slow
    folded = " ".join(unicodedata.normalize("NFKC", text).replace("−", "-").casefold().split())
    if not folded:
        raise InvalidInput(item, "the amount is blank", "Enter a number, or delete the line.")
    if folded in ("nan", "inf", "-inf", "+inf", "infinity", "-infinity"):
        raise InvalidInput(item, f"{folded} is not an amount", f"{_READS}.")
    if (both := _POUNDS_OUNCES.fullmatch(folded)) is not None:
        ounces = 16 * _decimal(both["lb"], item) + _decimal(both["oz"], item)
        return Amount(ounces, "oz")
    found = _TYPED.fullmatch(folded)
    if found is None:
        raise InvalidInput(item, f"'{clipped(text)}' is not a number", f"{_READS}.")
    unit = " ".join(found["unit"].split())
    if unit not in _UNIT_WORDS:
        raise InvalidInput(
            item,
            f"'{clipped(unit)}' is not a unit of mass known here",
            "Use %, g, kg, mg, oz or lb; spoons and millilitres must be weighed.",
        )
    return Amount(_decimal(found["number"], item), _UNIT_WORDS[unit])


def checked(
    value: SupportsFloat | str | None,
    item: str,
    *,
    low: float = -math.inf,
    high: float = math.inf,
    above: float | None = None,
    unit: str = "",
) -> float:
    """Return the value as a float, or say what is wrong with it.

    Parameters
    ----------
    value : float or str
        The number, or what was typed. [any]
    item : str
        What it belongs to; stands in the message.
    low, high : float
        Least and greatest value allowed. [as value]
    above : float, optional
        The value must be greater than this. [as value]
    unit : str
        Unit for the message.

    Returns
    -------
    float
        The number.

    Raises
    ------
    InvalidInput
        If it is blank, no number, not finite, or out of range.

    Examples
    --------
    >>> checked("12,5", "shea butter", low=0)
    12.5
    """
    if value is None:
        raise InvalidInput(item, "the number is blank", "Enter a number.")
    if isinstance(value, bool):
        raise InvalidInput(item, f"{value} is not a number", f"{_READS}.")
    if isinstance(value, str):
        typed = read_amount(value, item)
        if typed.unit and unit and typed.unit not in unit:
            raise InvalidInput(item, f"'{clipped(value)}' is not in {unit}", f"{_READS}.")
        number = typed.number
    else:
        try:
            number = float(value)
        except (TypeError, ValueError, OverflowError):
            raise InvalidInput(item, f"'{clipped(value)}' is not a number", f"{_READS}.") from None
    if not math.isfinite(number):
        raise InvalidInput(item, f"{number} is not a finite number", "Enter a finite number.")
    if low <= number <= high and (above is None or number > above):
        return number
    tail = f" {unit}" if unit else ""
    if above is not None and number <= above:
        raise InvalidInput(item, f"{number:g}{tail} is too small", f"Enter more than {above:g}{tail}.")
    problem = f"{number:g}{tail} is negative" if number < 0 <= low else f"{number:g}{tail} is out of range"
    if math.isinf(high):
        mend = f"Enter {low:g}{tail} or more."
    elif math.isinf(low):
        mend = f"Enter {high:g}{tail} or less."
    else:
        mend = f"Enter {low:g} to {high:g}{tail}."
    raise InvalidInput(item, problem, mend)


def checked_dose(value: SupportsFloat | str | None, item: str, whole: str = "formula") -> float:
    """Emulsifiers as a part of the whole, so never more than all of it. [% of the whole]"""
    dose = checked(value, item, above=0, unit=f"% of the {whole}")
    if dose > 100 + 1e-9:  # sums of all lines may end a little above
        raise InvalidInput(item, f"{dose:g} % is more than the whole {whole}", "Enter at most 100 %.")
    return dose


def checked_word(value: str, allowed: tuple[str, ...], item: str) -> str:
    """Return the word if it is allowed, folded to the spelling of the list."""
    for word in allowed:
        if str(value).strip().casefold() == word.casefold():
            return word
    raise InvalidInput(item, f"'{clipped(value)}' is not one of the choices", f"Use {', '.join(allowed)}.")


def checked_text(value: str, item: str) -> str:
    """Return the text, or say that it is none."""
    if not isinstance(value, str):
        raise InvalidInput(item, f"'{clipped(value)}' is not text", "Write a word.")
    return value


def same_unit(amounts: Sequence[tuple[str, SupportsFloat | str | None]]) -> tuple[list[float], str]:
    """Amounts in one unit: grams if any unit of mass was typed, else as they stand.

    Parameters
    ----------
    amounts : sequence of (str, float or str)
        What each belongs to, for the message, and the amount. [any one unit]

    Returns
    -------
    tuple
        The numbers, and their unit: ``"g"``, ``"%"`` or blank.

    Raises
    ------
    InvalidInput
        For an amount that cannot be used, or units that do not go together.

    Examples
    --------
    >>> same_unit([("shea butter", "1 oz"), ("olive oil", "10 g")])[1]
    'g'
    """
    read = []
    for where, amount in amounts:
        if amount is None:
            raise InvalidInput(where, "the amount is blank", "Enter 0 or more, or delete the line.")
        typed = read_amount(amount, where) if isinstance(amount, str) else None
        number = checked(typed.number if typed else amount, where, low=0)
        read.append((where, number, typed.unit if typed else ""))
    units = {unit for _, _, unit in read if unit}
    if "%" in units and len(units) > 1:
        where = next(w for w, _, unit in read if unit not in ("%", ""))
        raise InvalidInput(where, "per cent and units of mass are mixed", "Use one of the two.")
    if not units or units == {"%"}:
        return [n for _, n, _ in read], "%" if units else ""
    if any(unit == "" for _, _, unit in read):
        where = next(w for w, _, unit in read if unit == "")
        raise InvalidInput(where, "the unit is missing, other lines have one", "Add g, oz or lb.")
    return [checked(n * GRAMS_PER[unit], where) for where, n, unit in read], "g"


def grams(value: SupportsFloat | str, item: str) -> float:
    """A mass above 0 in grams; text may carry its unit.

    Parameters
    ----------
    value : float or str
        Mass in grams, or text such as ``"1 oz"``. [g]
    item : str
        What it belongs to; stands in the message.

    Returns
    -------
    float
        The mass. [g]

    Examples
    --------
    >>> round(grams("1 oz", "batch"), 2)
    28.35
    """
    if isinstance(value, str):
        typed = read_amount(value, item)
        if typed.unit == "%":
            raise InvalidInput(item, f"'{clipped(value)}' is no mass", "Use g, kg, oz or lb.")
        value = typed.number * GRAMS_PER.get(typed.unit, 1.0)
    return checked(value, item, above=0, high=MASS_MAX, unit="g")


def adding_up(values: Sequence[float], decimals: int) -> list[float]:
    """The values rounded for print so that they add to the rounded total.

    Parameters
    ----------
    values : sequence of float
        0 or more. [any one unit]
    decimals : int
        Decimals printed. [-]

    Returns
    -------
    list of float
        Each rounded down or up to the last decimal; the largest remainders go up. [as values]

    Examples
    --------
    >>> adding_up([4 / 3, 4 / 3, 4 / 3], 2)
    [1.34, 1.33, 1.33]
    """
    unit = 10.0**decimals
    exact = [v * unit for v in values]
    floors = [math.floor(e + 1e-9) for e in exact]
    missing = round(math.fsum(exact)) - sum(floors)
    order = sorted(range(len(exact)), key=lambda n: (floors[n] - exact[n], n))
    for n in order[: max(missing, 0)]:
        floors[n] += 1
    return [f / unit for f in floors]


_RANGE = re.compile(r"(?P<low>.+?)\s*(?:–|—|\bto\b|(?<=[\d%])\s*-\s*(?=[\d.,]))\s*(?P<high>.+)")


def read_range(text: str, item: str, unit: str = "") -> tuple[float, float]:
    """Read a number or a range that a person types: ``5``, ``3 to 6``, ``3-6 %``.

    Parameters
    ----------
    text : str
        The words typed.
    item : str
        What they belong to; stands in the message.
    unit : str
        The only unit that may stand behind a number; blank: any.

    Returns
    -------
    tuple of float
        Low and high end, equal for one number. [as typed]

    Raises
    ------
    InvalidInput
        If an end is no number, or the low end lies above the high end.

    Examples
    --------
    >>> read_range("3 to 6 %", "total")
    (3.0, 6.0)
    """
    found = _RANGE.fullmatch(" ".join(text.casefold().split()))
    ends = (found["low"], found["high"]) if found else (text, text)
    low, high = (checked(end, item, unit=unit) for end in ends)
    if low > high:
        raise InvalidInput(item, f"the low end {low:g} lies above the high end {high:g}", "Swap the two.")
    return low, high
