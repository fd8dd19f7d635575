"""How large a batch is: a mass, or so many jars with their fill."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import SupportsFloat

from hlbcore._numbers import GRAMS_PER, checked, grams
from hlbcore.errors import InvalidInput, clipped

JARS_MOST = 10_000
"""Jars of one batch. [-] Our convention."""

LOSS_MOST_PCT = 50.0
"""Most that may stay in vessels and on tools. [% of the batch] Our convention."""

DENSITY_LEAST, DENSITY_MOST = 0.05, 5.0
"""Densities of what is filled, a foam to a paste of minerals. [g/mL] Our convention."""

ML_PER = {
    "ml": 1.0,
    "cl": 10.0,
    "l": 1000.0,
    # 1/128 of a gallon of 231 cubic inches, exact; NIST Handbook 44, Appendix C
    "fl oz": 29.5735295625,
    "floz": 29.5735295625,
}
"""Millilitres in one unit of volume. [mL]"""


@dataclass(frozen=True, slots=True)
class Jars:
    """So many containers, each with its fill.

    Parameters
    ----------
    count : int
        How many. [-]
    fill : float or str
        What goes into each: a mass, ``50`` or ``"1.7 oz"``; a volume, ``"50 ml"``, needs a density.
        [g, or text with its unit]
    density_g_ml : float, optional
        Density of the product, as measured by the user; never a figure of tables. [g/mL]

    Raises
    ------
    InvalidInput
        For a figure that cannot be used, or a volume without a density.

    Examples
    --------
    >>> Jars(12, "50 g").total_g, round(Jars(10, "2 fl oz", density_g_ml=0.95).total_g, 2)
    (600.0, 561.9)
    """

    count: int
    fill: float | str
    density_g_ml: float | None = None

    def __post_init__(self) -> None:
        count = checked(self.count, "jars", low=0, high=JARS_MOST + 1e9)
        if count != int(count) or not 1 <= count <= JARS_MOST:
            raise InvalidInput("jars", f"{count:g} cannot be filled", f"Enter 1 to {JARS_MOST:,} jars.")
        object.__setattr__(self, "count", int(count))
        if self.density_g_ml is not None:
            density = checked(self.density_g_ml, "density", unit="g/mL")
            if not DENSITY_LEAST <= density <= DENSITY_MOST:
                raise InvalidInput(
                    "density",
                    f"{density:g} g/mL is no density of a cream or an oil",
                    "Weigh a jar of known volume full and empty; most creams lie from 0.8 to 1.1 g/mL.",
                )
            object.__setattr__(self, "density_g_ml", density)
        _ = self.fill_g

    @property
    def fill_g(self) -> float:
        """Mass in one jar. [g]"""
        volume = _volume_ml(self.fill)
        if volume is None:
            return grams(self.fill, "fill of a jar")
        if self.density_g_ml is None:
            raise InvalidInput(
                "fill of a jar",
                f"'{clipped(self.fill)}' is a volume, and its mass is not known",
                "Enter grams, or the density that you measured in g/mL.",
            )
        return checked(volume * self.density_g_ml, "fill of a jar", above=0)

    @property
    def total_g(self) -> float:
        """Mass in all jars. [g]"""
        return self.count * self.fill_g


def _volume_ml(text: object) -> float | None:
    """A volume that was typed; None where it is none."""
    if not isinstance(text, str):
        return None
    folded = " ".join(re.sub(r"\.(?!\d)", " ", text.casefold()).split())
    for unit in sorted(ML_PER, key=len, reverse=True):
        if folded.endswith(unit):
            number = folded[: -len(unit)].strip()
            if number and (number[-1].isdigit()):
                return checked(number, "fill of a jar", above=0) * ML_PER[unit]
    return None


def with_loss(needed_g: float, loss_pct: SupportsFloat | str) -> float:
    """What to make so that enough is left after what stays behind.

    Parameters
    ----------
    needed_g : float
        What shall be filled. [g]
    loss_pct : float or str
        What stays in vessels and on tools. [% of what is made]

    Returns
    -------
    float
        ``needed / (1 - loss / 100)``. [g]

    Examples
    --------
    >>> round(with_loss(600, 4), 3)
    625.0
    """
    return needed_g / (1 - checked_loss(loss_pct) / 100)


def checked_loss(loss_pct: SupportsFloat | str) -> float:
    """What stays behind, in range. [% of what is made]"""
    return checked(loss_pct, "loss in the process", low=0, high=LOSS_MOST_PCT, unit="%")


def in_unit(mass_g: float, unit: str) -> float:
    """A mass in another unit.

    Parameters
    ----------
    mass_g : float
        A mass. [g]
    unit : str
        ``g``, ``kg``, ``oz`` or ``lb``.

    Returns
    -------
    float
        The same mass; no digit is rounded. [unit]

    Examples
    --------
    >>> round(in_unit(1000, "oz"), 5)
    35.27396
    """
    if unit not in GRAMS_PER:
        raise InvalidInput("unit", f"'{clipped(unit)}' is no unit of mass", f"Use {', '.join(GRAMS_PER)}.")
    return mass_g / GRAMS_PER[unit]


def size_of(size: float | str | Jars, loss_pct: SupportsFloat | str = 0.0) -> float:
    """Mass to make: as given, or what fills the jars and leaves what stays behind. [g]"""
    checked_loss(loss_pct)
    if isinstance(size, Jars):
        return grams(with_loss(size.total_g, loss_pct), "batch")
    return grams(size, "batch")
