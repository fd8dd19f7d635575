"""Units that people read: ounces, pounds, Fahrenheit and the decimal comma, beside grams and Celsius.

Everything is computed in grams and degrees Celsius and said with a decimal point. What is shown goes
through `Units.text` at the door of a page or a print, so that no rule and no sentence has to know the
units of who reads it. An ounce and a pound are avoirdupois, exact by definition (`GRAMS_PER`).

References
----------
.. [1] NIST Handbook 44, Appendix C: 1 lb = 453.592 37 g, 1 oz = 1/16 lb, both exact; and
   t(°F) = 1.8 t(°C) + 32.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from hlbcore._numbers import GRAMS_PER, checked_word

MASSES = ("g", "oz", "lb")
"""Units of mass that can be read; `lb` is pounds and ounces."""

TEMPERATURES = ("°C", "°F")
DECIMALS = (".", ",")

OUNCES = 16
"""Ounces in a pound, exact."""

THIN = "\u202f"
"""What parts thousands where the comma is the decimal sign: a thin space that breaks no line."""

_NUMBER = r"\d+(?:,\d{3})*(?:\.\d+)?(?:e[+-]?\d+)?"
_MASS = re.compile(
    rf"(?<![\w.,/])(?P<numbers>[-+]?{_NUMBER}(?:(?: to | \+ ){_NUMBER})*) (?P<unit>kg|mg|g)"
    r"(?![\w/·²³]| I2\b| of water per)"
)
_HEAT = re.compile(
    rf"(?P<before>within |by |± ?|(?<!\w)\+)?(?<![\w.,/])(?P<numbers>-?{_NUMBER}"
    rf"(?:(?: to | and | or )-?{_NUMBER})*) ?°C"
    r"(?P<behind> (?:above|below|more|less|warmer|cooler|hotter|against)\b)?"
)
_POINT = re.compile(rf"(?<![\w.,/§])(\d+(?:[,{THIN}]\d{{3}})*)\.(\d+)(?![\w/]|\.\d|-[A-Za-z])")
_THOUSANDS = re.compile(r"(?<![\w.,])\d{1,3}(?:,\d{3})+(?![\w,]|-)")
_EACH = re.compile(_NUMBER)
_SIGNED = re.compile(rf"-?{_NUMBER}")
# a lone comma before three digits can be read in two ways, and tells nothing
_TYPED = re.compile(r"(?<![\w.,])(?!(?!0,)\d+,\d{3}(?!\d))\d*(?P<sign>[.,])\d+(?![\w.,])")
_TYPED_UNIT = re.compile(
    r"\d\s*(?P<unit>kg|g|grams?|oz|ounces?|lbs?|pounds?|°\s?[CF]|deg\s?[CF]|[CF])\b", re.IGNORECASE
)
_PLAIN = re.compile(r"\s*[+-]?[\d.,' ]*\d\s*")


@dataclass(frozen=True, slots=True)
class Units:
    """How masses, temperatures and numbers are read.

    Parameters
    ----------
    mass : str
        One of `MASSES`.
    temperature : str
        One of `TEMPERATURES`.
    decimal : str
        One of `DECIMALS`.
    names : tuple of str
        Names that a text may hold and that stay as they were typed, from `naming`.

    Examples
    --------
    >>> Units("oz", "°F", ",").text("Heat 283.5 g to 75 °C, within 5 °C of each other.")
    'Heat 10 oz to 167 °F, within 9 °F of each other.'
    """

    mass: str = "g"
    temperature: str = "°C"
    decimal: str = "."
    names: tuple[str, ...] = field(default=(), repr=False)

    def __post_init__(self) -> None:
        for name, words in (("mass", MASSES), ("temperature", TEMPERATURES), ("decimal", DECIMALS)):
            object.__setattr__(self, name, checked_word(getattr(self, name), words, f"unit of {name}"))

    @property
    def as_kept(self) -> bool:
        """Whether everything is read as it is computed."""
        return (self.mass, self.temperature, self.decimal) == ("g", "°C", ".")

    @property
    def as_computed(self) -> Units:
        """The same in grams and °C, as sums are."""
        return (
            self
            if (self.mass, self.temperature) == ("g", "°C")
            else replace(self, mass="g", temperature="°C")
        )

    def naming(self, names: Iterable[str]) -> Units:
        """The same units, with names in which no figure is turned.

        Parameters
        ----------
        names : iterable of str
            As typed; one that is nothing but a figure is read as one.

        Returns
        -------
        Units
            With those names that these units would alter.

        Examples
        --------
        >>> Units(decimal=",").naming(["Cream 2.1", "Cream"]).text("Cream 2.1 has HLB 9.5")
        'Cream 2.1 has HLB 9,5'
        """
        bare = replace(self, names=())
        held = {n.strip() for n in names if bare.text(n) != n and re.search(r"[^\W\d_]", _figures_out(n))}
        return replace(self, names=tuple(sorted(held, key=lambda n: (-len(n), n))))

    def text(self, words: str) -> str:
        """A sentence of the tool with its figures in these units.

        Parameters
        ----------
        words : str
            With masses in g, kg or mg and temperatures in °C behind their numbers, and decimal points.

        Returns
        -------
        str
            Masses keep the fineness with which they were written; a difference of temperatures stays one.

        Examples
        --------
        >>> Units("oz").text("14.8 + 7.7 g, scale 0.1 g")
        '0.522 + 0.27 oz, scale 0.0035 oz'
        >>> Units("lb").text("Make at least 1,360 g.")
        'Make at least 2 lb 15.97 oz.'
        """
        return words if self.as_kept or not words else _said(words, self)

    def bare(self, words: str, unit: str) -> str:
        """Numbers whose unit stands elsewhere, for example in the head of a column.

        Parameters
        ----------
        words : str
            A number, or several with words between them.
        unit : str
            What they are in: `g`, `°C`, or anything else.

        Returns
        -------
        str
            In these units.

        Examples
        --------
        >>> Units(temperature="°F").bare("20 to 25", "°C")
        '68 to 77'
        """
        if self.as_kept:
            return words
        if unit == "g" and self.mass != "g":
            words = _EACH.sub(lambda m: _mass(m[0], 1.0, self), words)
        elif unit == "°C" and self.temperature != "°C":
            words = _SIGNED.sub(lambda m: _heat(m[0], 32.0), words)
        return _with_sign(words) if self.decimal == "," else words

    def mass_head(self, long: bool = False) -> str:
        """The unit of mass at the head of a column."""
        if self.mass == "g":
            return "grams" if long else "g"
        return "oz" if self.mass == "oz" else "lb, oz"

    def shown_c(self, celsius: float) -> float:
        """A temperature as it is read. [°C]"""
        return celsius if self.temperature == "°C" else 1.8 * celsius + 32

    def slider_c(self, celsius: float) -> float:
        """A temperature as it is read, to a whole degree. [°C]"""
        return float(round(self.shown_c(celsius)))

    def celsius(self, shown: float) -> float:
        """A temperature that was read, in degrees Celsius. [as read]"""
        return shown if self.temperature == "°C" else (shown - 32) / 1.8

    def typed_mass(self, text: str) -> str:
        """A mass as typed; a plain number gets the unit in which this user reads.

        Examples
        --------
        >>> Units("oz").typed_mass("32"), Units("oz").typed_mass("500 g")
        ('32 oz', '500 g')
        """
        return f"{text.strip()} {self.mass}" if self.mass != "g" and _PLAIN.fullmatch(text) else text

    def held_mass(self, text: str) -> str:
        """A mass as kept; a plain number is in grams and says so to one who reads ounces."""
        return f"{text.strip()} g" if self.mass != "g" and _PLAIN.fullmatch(text) else text

    def typed_temperature(self, text: str) -> str:
        """A temperature as typed; a plain number gets the unit in which this user reads."""
        return f"{text.strip()} F" if self.temperature == "°F" and _PLAIN.fullmatch(text) else text

    def held_temperature(self, text: str) -> str:
        """A temperature as kept; a plain number is in °C and says so to one who reads Fahrenheit."""
        return f"{text.strip()} °C" if self.temperature == "°F" and _PLAIN.fullmatch(text) else text


AS_KEPT = Units()
"""Grams, Celsius, a decimal point."""


@dataclass(frozen=True, slots=True)
class UnitsAsked:
    """Units that were chosen, and for the rest those in which this user typed last.

    Parameters
    ----------
    mass, temperature, decimal : str
        As in `Units`; blank where it follows what is typed.
    typed : Units
        What was typed last.

    Examples
    --------
    >>> UnitsAsked(mass="oz", typed=Units(decimal=",")).units
    Units(mass='oz', temperature='°C', decimal=',')
    """

    mass: str = ""
    temperature: str = ""
    decimal: str = ""
    typed: Units = AS_KEPT

    @property
    def units(self) -> Units:
        """The units that hold."""
        t = self.typed
        return Units(self.mass or t.mass, self.temperature or t.temperature, self.decimal or t.decimal)

    @property
    def code(self) -> str:
        """As it is kept: what was chosen, a stroke, what was typed."""
        t = self.typed
        chosen = " ".join(filter(None, (self.mass, self.temperature, self.decimal)))
        return f"{chosen} | {t.mass} {t.temperature} {t.decimal}"

    @classmethod
    def of_code(cls, code: str) -> UnitsAsked:
        """From its code; what cannot be read is left out.

        Examples
        --------
        >>> UnitsAsked.of_code(UnitsAsked("oz", typed=Units(decimal=",")).code).units
        Units(mass='oz', temperature='°C', decimal=',')
        """
        chosen, _, typed = code.partition("|")
        return cls(**_known(chosen), typed=Units(**_known(typed)))


def _known(code: str) -> dict[str, Any]:
    words = {"mass": MASSES, "temperature": TEMPERATURES, "decimal": DECIMALS}
    return {name: part for part in code.split() for name, known in words.items() if part in known}


def learned(text: str, before: Units, *, heat: bool = False) -> Units:
    """The units of what was typed: its decimal sign, its unit of mass, its unit of temperature.

    Parameters
    ----------
    text : str
        As typed: an amount, a temperature, a whole list.
    before : Units
        What stays where the text does not tell.
    heat : bool
        Whether it is a temperature; elsewhere a lone C or F is none.

    Returns
    -------
    Units
        Where a text is mixed, what stands in it most often.

    Examples
    --------
    >>> learned("12,5 %", AS_KEPT), learned("2 lb", AS_KEPT).mass
    (Units(mass='g', temperature='°C', decimal=','), 'lb')
    """
    signs = [m["sign"] for m in _TYPED.finditer(text)]
    found = [m["unit"].casefold() for m in _TYPED_UNIT.finditer(text)]
    masses = [_MASS_WORDS[u[:2]] for u in found if u[:2] in _MASS_WORDS and u not in ("f", "c")]
    made = before
    if signs:
        made = replace(made, decimal=max(DECIMALS, key=signs.count))
    if masses:
        made = replace(made, mass=max(MASSES, key=masses.count))
    heats = ["°" + u[-1].upper() for u in found if u[-1:] in ("c", "f") and u[:2] not in _MASS_WORDS]
    if heat and heats:
        made = replace(made, temperature=max(TEMPERATURES, key=heats.count))
    return made


_MASS_WORDS = {"g": "g", "gr": "g", "kg": "g", "oz": "oz", "ou": "oz", "lb": "lb", "po": "lb"}


# finding and formatting: the same sentences come with every edit
@lru_cache(4096)
def _said(words: str, units: Units) -> str:
    if units.names:
        bare = replace(units, names=())
        parts = re.split(rf"(?<!\w)({'|'.join(map(re.escape, units.names))})(?!\w)", words)
        return "".join(part if n % 2 else bare.text(part) for n, part in enumerate(parts))
    if units.mass != "g":
        words = _MASS.sub(lambda m: _masses(m, units), words)
    if units.temperature == "°F" and "°C" in words:
        words = _HEAT.sub(_heats, words)
    return _with_sign(words) if units.decimal == "," else words


def _figures_out(name: str) -> str:
    return _HEAT.sub("", _MASS.sub("", name))


def _masses(found: re.Match[str], units: Units) -> str:
    """Masses before one unit, each in ounces, or in pounds and ounces."""
    factor = GRAMS_PER[found["unit"]]
    made = re.sub(_NUMBER, lambda m: _mass(m[0], factor, units), found["numbers"])
    # pounds and ounces carry their units; of several in a row each does
    return made if units.mass == "lb" else f"{made} oz"


def _mass(number: str, factor: float, units: Units) -> str:
    """One mass, as fine as it was written."""
    digits, _, power = number.replace(",", "").partition("e")
    half = 0.5 * 10.0 ** (int(power or 0) - len(digits.partition(".")[2])) * factor / GRAMS_PER["oz"]
    ounces = float(number.replace(",", "")) * factor / GRAMS_PER["oz"]
    whole = math.floor(ounces / OUNCES + half / OUNCES) if units.mass == "lb" else 0
    rest = shortest(max(ounces - whole * OUNCES, 0.0), half)
    if units.mass != "lb":
        return rest
    return f"{whole:,} lb {rest} oz" if whole else f"{rest} oz"


def shortest(value: float, half: float) -> str:
    """A number with the fewest decimals that agree with it, never fewer than two digits.

    Parameters
    ----------
    value : float
        0 or more. [any]
    half : float
        How far from it the text may be. [as value]

    Returns
    -------
    str
        An amount that is round in this unit is round again.

    Examples
    --------
    >>> shortest(12.3741, 0.0018), shortest(15.20001, 0.00002), shortest(0.00353, 0.0018)
    ('12.374', '15.2', '0.0035')
    """
    for decimals in range(11):
        text = f"{value:,.{decimals}f}"
        off = abs(float(text.replace(",", "")) - value)
        if off <= 1.01 * half and (off <= 1e-6 * value or 10**decimals * value >= 10):
            break
    return text


def _heats(found: re.Match[str]) -> str:
    """Temperatures before one unit; behind or before a word of comparison they are differences."""
    apart = bool(found["before"] or found["behind"])
    made = _SIGNED.sub(lambda m: _heat(m[0], 0.0 if apart else 32.0), found["numbers"])
    return f"{found['before'] or ''}{made} °F{found['behind'] or ''}"


def _heat(number: str, offset: float) -> str:
    decimals = len(number.partition(".")[2])
    return f"{1.8 * float(number.replace(',', '')) + offset:.{decimals}f}"


def _with_sign(words: str) -> str:
    """Decimal commas in place of points, thin spaces in place of the commas of thousands."""
    if not any(c.isdigit() for c in words):
        return words
    parted = _THOUSANDS.sub(lambda m: m[0].replace(",", THIN), words)
    return _POINT.sub(r"\1,\2", parted)
