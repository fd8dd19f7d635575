"""Numbers with a unit as people type them: sizes, temperatures, viscosities; solids by temperature."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from itertools import pairwise

from hlbcore._numbers import checked
from hlbcore.errors import InvalidInput, clipped

SIZE = {"µm": 1.0, "um": 1.0, "micron": 1.0, "microns": 1.0, "mm": 1000.0}
"""Micrometres in one unit. [µm]"""

STRESS = {"pa": 1.0, "dyn/cm2": 0.1, "dyne/cm2": 0.1}
"""Pascal in one unit. [Pa]"""

VISCOSITY = {"mpa s": 1.0, "mpas": 1.0, "mpa·s": 1.0, "cp": 1.0, "pa s": 1000.0, "pas": 1000.0}
"""Millipascal seconds in one unit. [mPa s]"""

TEMPERATURE = {"°c": 1.0, "c": 1.0, "degc": 1.0}
"""Words for degrees Celsius; Fahrenheit is turned into it, to a tenth."""

FAHRENHEIT = ("°f", "f", "degf")
"""Words for degrees Fahrenheit."""

COLD_C, HOT_C = -30.0, 250.0
"""Temperatures that a process may have. [°C]"""

_NUMBER_UNIT = re.compile(r"(?P<number>[+-]?[\d.,' ]*\d)\s*(?P<unit>[^\d\s.,'][^\d]*\d?)?")
_POINT = re.compile(r"n?\s*(?P<at>\d+(?:[.,]\d+)?)\s*(?:°?\s*c)?[\s:=]+(?P<pct>\d+(?:[.,]\d+)?)\s*%?", re.I)

SOLIDS_EXAMPLE = "shea butter: N20 45, N25 38, N30 22, N35 5"
"""How a supplier's solids are typed."""


def read_quantity(
    text: float | str, item: str, units: Mapping[str, float], *, low: float, high: float
) -> float:
    """A number that may carry its unit.

    Parameters
    ----------
    text : float or str
        As typed, for example ``0.5 mm``; a plain number is in the first unit. [first unit]
    item : str
        What it belongs to; stands in the message.
    units : mapping of str to float
        The units that are known, the first one being that of the result.
    low, high : float
        Least and greatest value. [first unit]

    Returns
    -------
    float
        In the first unit.

    Examples
    --------
    >>> read_quantity("0,5 mm", "grain size", SIZE, low=5, high=20_000)
    500.0
    """
    unit = next(iter(units))
    number: float | str = text
    factor, offset = 1.0, 0.0
    if isinstance(text, str):
        plain = unicodedata.normalize("NFKC", text.replace("º", "°").replace("−", "-")).casefold()
        found = _NUMBER_UNIT.fullmatch(" ".join(plain.replace("μ", "µ").split()).replace("° ", "°"))
        word = (found["unit"] or "").strip().rstrip(".") if found else ""
        if found and word:
            if units is TEMPERATURE and word in FAHRENHEIT:
                factor, offset = 1 / 1.8, -32.0
            elif word in units:
                factor = units[word]
            else:
                raise InvalidInput(
                    item, f"'{clipped(word)}' is not a unit known for it", f"Use {', '.join(units)}."
                )
            number = found["number"]
    value = (checked(number, item) + offset) * factor
    if offset:  # a degree Fahrenheit is coarser than that
        value = round(value, 1)
    return checked(value, item, low=low, high=high, unit=unit.replace("°c", "°C"))


Curve = tuple[str, tuple[tuple[float, float], ...]]
"""A name with its solids: temperature [°C] and share [% by mass]."""


def read_solids(text: str, item: str = "solids from the supplier") -> tuple[Curve, ...]:
    """Solids by temperature, one fat a line: ``shea butter: N20 45, N25 38, N30 22``.

    Parameters
    ----------
    text : str
        As typed; lines or semicolons part the fats.
    item : str
        Stands in the message.

    Returns
    -------
    tuple of (str, tuple of (float, float))
        Names with temperatures [°C] and solids [% by mass], from cold to warm.

    Examples
    --------
    >>> read_solids("shea butter: N20 45, N30 22.5")
    (('shea butter', ((20.0, 45.0), (30.0, 22.5))),)
    """
    found = []
    for line in re.split(r"[;\n]", text):
        if not line.strip():
            continue
        name, mark, rest = line.rpartition(":")
        if not mark or not name.strip():
            raise InvalidInput(
                item, f"'{clipped(line)}' has no name before a colon", f"Write: {SOLIDS_EXAMPLE}."
            )
        where = f"{item}, '{clipped(name.strip())}'"
        points: dict[float, float] = {}
        for piece in filter(None, (p.strip() for p in re.split(r",(?!\d)", rest))):
            m = _POINT.fullmatch(piece)
            if m is None:
                raise InvalidInput(
                    where, f"'{clipped(piece)}' is no temperature with solids", f"Write: {SOLIDS_EXAMPLE}."
                )
            points[checked(m["at"], f"{where}, temperature")] = checked(m["pct"], f"{where}, solids")
        found.append((name.strip(), rising(where, points)))
    return tuple(found)


def rising(where: str, points: Mapping[float, float]) -> tuple[tuple[float, float], ...]:
    """The points from cold to warm; solids that rise with temperature are refused."""
    made = tuple(
        sorted(
            (
                checked(t, f"{where}, temperature", low=0, high=60, unit="°C"),
                checked(s, f"{where}, solids at {t:g} °C", low=0, high=100, unit="%"),
            )
            for t, s in points.items()
        )
    )
    if len(made) < 2:
        raise InvalidInput(where, "one temperature makes no curve", f"Write: {SOLIDS_EXAMPLE}.")
    for (cold, more), (warm, less) in pairwise(made):
        if less > more:
            raise InvalidInput(
                where,
                f"{less:g} % at {warm:g} °C is more than {more:g} % at {cold:g} °C",
                "Solids fall as it gets warmer: check the figures.",
            )
    return made


def solids_text(curves: tuple[Curve, ...]) -> str:
    """Solids as `read_solids` reads them."""
    return "\n".join(f"{name}: " + ", ".join(f"N{t:g} {s:g}" for t, s in points) for name, points in curves)
