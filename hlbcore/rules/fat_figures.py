"""Figures of one fat by itself, from the readings of the tables: solids, density, composition."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from hlbcore._numbers import checked
from hlbcore.ingredients import Ingredient, Property
from hlbcore.readings import GRADES

LIQUID_FROM_C = 18.0
"""What is sold as a liquid counts as free of solids from here up. [°C] Our convention."""

LIQUID = "sold as a liquid; our convention"
MELTED = "above its melting figures; our convention"

ENDS = ("solid_fat_content_end", "clear_melting_point", "melting_point", "drop_point")
"""Properties whose high end says that all is melted; a slip point leaves solids behind."""

NEAR_ROOM_C = (15.0, 25.0)
"""Temperatures at which a density counts as that of the room. [°C] Our convention."""

WATER_20 = 0.99823
"""Density of water at 20 °C, for relative densities. [g/cm³] As in the tables."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a fat phase, or of one ingredient of it.

    Parameters
    ----------
    value : float or None
        Of the part that has figures; None where nothing has one. [unit]
    low, high : float or None
        What the whole can be, with the unknown part anywhere it can be; None where that has no
        ends. [unit]
    unit : str
        Unit of the figures.
    coverage : float
        Share of the mass that has a figure. [fraction]
    unknown : tuple of str
        Ingredients without a figure.
    sources : tuple of str
        Keys in ``data/sources.csv``, or the convention in words.
    """

    value: float | None
    low: float | None
    high: float | None
    unit: str
    coverage: float = 1.0
    unknown: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The figure in words; how much it covers where that is not all."""
        if self.value is None:
            said = "unknown"
        else:
            said = f"{self.value:.3g}"
            if self.coverage < 1 - 1e-9:
                said += f" of the {100 * self.coverage:.0f} % with a figure"
        if self.coverage < 1 - 1e-9 and self.low is not None and self.high is not None:
            said += f"; of all {self.low:.3g} to {self.high:.3g}"
        return said


def _firmest(rows: Iterable[Property]) -> Property | None:
    held = [p for p in rows if p.middle is not None]
    return min(held, key=lambda p: GRADES.index(p.grade)) if held else None


@dataclass(frozen=True, slots=True)
class SolidsPoint:
    """Solids of one fat at one temperature, by its firmest reading.

    Parameters
    ----------
    temperature_c : float
        Temperature. [°C]
    value : float or None
        The figure; None where only a band is known. [% by mass]
    low, high : float
        What is printed round it, or the band. [% by mass]
    source : str
        Key in ``data/sources.csv``.
    """

    temperature_c: float
    value: float | None
    low: float
    high: float
    source: str


def solids_points(ingredient: Ingredient) -> tuple[SolidsPoint, ...]:
    """The solids readings of one fat, the firmest one a temperature.

    Parameters
    ----------
    ingredient : Ingredient
        Of the oil side.

    Returns
    -------
    tuple of SolidsPoint
        From cold to warm; empty where nothing is known. A band without a midpoint stays one.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> [p.temperature_c for p in solids_points(load_library().find("cocoa butter"))]
    [20.0, 25.0, 30.0, 35.0]
    """
    best: dict[float, Property] = {}
    for p in ingredient.property_values("solid_fat_content"):
        if p.temperature_c is None:
            continue
        old = best.get(p.temperature_c)
        if old is None or GRADES.index(p.grade) < GRADES.index(old.grade):
            best[p.temperature_c] = p
    points = []
    for t in sorted(best):
        p = best[t]
        low = p.low if p.low is not None else p.value if p.value is not None else 0.0
        high = p.high if p.high is not None else p.value if p.value is not None else 100.0
        points.append(SolidsPoint(t, p.value, low, high, p.source))
    return tuple(points)


def melted_from_c(ingredient: Ingredient) -> float | None:
    """Temperature from which no solids are left, by the melting figures.

    Parameters
    ----------
    ingredient : Ingredient
        Of the oil side.

    Returns
    -------
    float or None
        The highest printed end of melting; None where none is printed. [°C]

    Examples
    --------
    >>> from hlbcore import load_library
    >>> melted_from_c(load_library().find("cocoa butter"))
    36.0
    """
    ends = [
        max(v for v in (p.value, p.low, p.high) if v is not None)
        for name in ENDS
        for p in ingredient.property_values(name)
        if (p.value, p.low, p.high) != (None, None, None)
    ]
    return max(ends, default=None)


def solids_of(ingredient: Ingredient, temperature_c: float) -> Figure:
    """Solids of one fat by itself.

    Parameters
    ----------
    ingredient : Ingredient
        Of the oil side.
    temperature_c : float
        Temperature. [°C]

    Returns
    -------
    Figure
        Linear between tabulated temperatures and never beyond them; below the lowest one only
        "at least", above the highest one only "at most" is said. [% by mass]

    Examples
    --------
    >>> from hlbcore import load_library
    >>> solids_of(load_library().find("palm oil"), 22.5).value
    21.2
    """
    at = checked(temperature_c, "temperature", low=-50, high=200, unit="°C")
    unit = "% by mass"
    held = solids_points(ingredient)
    points = [(p.temperature_c, p.value, p.source) for p in held if p.value is not None]
    for (t1, s1, k1), (t2, s2, k2) in pairwise(points):
        if t1 <= at <= t2:
            between = s1 + (s2 - s1) * (at - t1) / (t2 - t1)
            return Figure(between, between, between, unit, sources=tuple(dict.fromkeys((k1, k2))))
    if len(points) == 1 and points[0][0] == at:
        return Figure(points[0][1], points[0][1], points[0][1], unit, sources=(points[0][2],))
    if points and at > points[-1][0] and points[-1][1] == 0:
        return Figure(0.0, 0.0, 0.0, unit, sources=(points[-1][2],))
    end = melted_from_c(ingredient)
    if end is not None and at >= end and (not points or at > points[-1][0]):
        return Figure(0.0, 0.0, 0.0, unit, sources=(MELTED,))
    if ingredient.form == "liquid" and at >= LIQUID_FROM_C and not held:
        return Figure(0.0, 0.0, 0.0, unit, sources=(LIQUID,))
    low = max((p.low for p in held if p.temperature_c >= at), default=0.0)
    high = min((p.high for p in held if p.temperature_c <= at), default=100.0)
    return Figure(None, low, high, unit, 0.0, (ingredient.common_name,))


def property_of(ingredient: Ingredient, name: str, unit: str) -> Figure:
    """The firmest reading of one property as a figure.

    Parameters
    ----------
    ingredient : Ingredient
        Any.
    name : str
        For example ``"iodine_value"``.
    unit : str
        Unit to print. [text]

    Returns
    -------
    Figure
        Unknown where only a limit or nothing is printed; a limit is its high end. [unit]

    Examples
    --------
    >>> from hlbcore import load_library
    >>> property_of(load_library().find("olive oil"), "iodine_value", "g I2/100 g").value
    84.5
    """
    rows = ingredient.property_values(name)
    best = _firmest(rows)
    if best is None:
        limit = max((p.high for p in rows if p.high is not None), default=None)
        return Figure(None, None if limit is None else 0.0, limit, unit, 0.0, (ingredient.common_name,))
    value = best.middle
    low = value if best.low is None else best.low
    high = value if best.high is None else best.high
    return Figure(value, low, high, unit, sources=(best.source,))


def density_of(ingredient: Ingredient) -> Figure:
    """Density of one ingredient near room temperature.

    Parameters
    ----------
    ingredient : Ingredient
        Any.

    Returns
    -------
    Figure
        A density printed for 15 to 25 °C, else a relative density times that of water at 20 °C,
        else a density printed without a temperature. [g/cm³]

    Examples
    --------
    >>> from hlbcore import load_library
    >>> round(density_of(load_library().find("soybean oil")).value, 4)
    0.9203
    """

    def near(p: Property) -> bool:
        low, high = NEAR_ROOM_C
        return p.temperature_c is not None and low <= p.temperature_c <= high

    plain = ingredient.property_values("density")
    relative = ingredient.property_values("relative_density")
    tries = (
        ([p for p in plain if near(p)], 1.0),
        ([p for p in relative if near(p)], WATER_20),
        ([p for p in plain if p.temperature_c is None], 1.0),
        ([p for p in relative if p.temperature_c is None], WATER_20),
    )
    for rows, factor in tries:
        best = _firmest(rows)
        if best is not None and best.middle is not None:
            low, high = best.low or best.middle, best.high or best.middle
            return Figure(best.middle * factor, low * factor, high * factor, "g/cm³", sources=(best.source,))
    return Figure(None, None, None, "g/cm³", 0.0, (ingredient.common_name,))


def composition_of(ingredient: Ingredient, what: str) -> dict[str, tuple[float, str]]:
    """Fatty acids or triacylglycerols of one fat.

    Parameters
    ----------
    ingredient : Ingredient
        Of the oil side.
    what : str
        ``"fatty_acid"`` or ``"triacylglycerol"``.

    Returns
    -------
    dict of str to (float, str)
        Share [%] and source of each that has a figure, the largest first; what is not listed is
        unknown, not 0. All from the firmest reading of each.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> composition_of(load_library().find("cocoa butter"), "fatty_acid")["stearic"]
    (37.0, 'belitz_food_chemistry')
    """
    found = {}
    for name in dict.fromkeys(p.name for p in ingredient.properties):
        if name.startswith(f"{what}_") and name.endswith("_pct"):
            best = _firmest(ingredient.property_values(name))
            if best is not None and best.middle is not None:
                found[name[len(what) + 1 : -4]] = (best.middle, best.source)
    return dict(sorted(found.items(), key=lambda pair: -pair[1][0]))
