"""Parts of a fat phase by what is known of their solids: a curve, liquid, sets by itself, unknown."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from hlbcore.counting.counted import Counted
from hlbcore.ingredients import Ingredient
from hlbcore.rules.fat_figures import LIQUID_FROM_C, melted_from_c, solids_points
from hlbcore.rules.hard_share import FATS, MELTING
from hlbcore.rules.jar.families import family_of

Array = npt.NDArray[np.float64]

GROUPS = ("curve", "liquid", "sets", "unknown")
"""Fats with a solids curve; liquids; waxes, fatty alcohols and solid emulsifiers; what has no figure."""


@dataclass(frozen=True, slots=True)
class SoftPart:
    """One part of the fat phase.

    Parameters
    ----------
    name, key : str
        As written, and its id.
    share : float
        Of the fat phase. [fraction]
    group : str
        One of `GROUPS`.
    points : tuple of (float, float, float, float)
        Solids curve: temperature [°C], low, value (NaN where only a band is known) and high [% by mass].
    melted_c : float, optional
        Where nothing of it is solid any more. [°C]
    melts_c : float, optional
        Where it begins to melt. [°C]
    supplier : bool
        Whether the curve is the supplier's.
    gels_from : tuple of float
        Lowest and highest printed gelling level of a wax; empty where none is printed. [% by mass]
    """

    name: str
    key: str
    share: float
    group: str
    points: tuple[tuple[float, float, float, float], ...] = ()
    melted_c: float | None = None
    melts_c: float | None = None
    supplier: bool = False
    gels_from: tuple[float, ...] = ()

    @property
    def share_pct(self) -> float:
        """Of the fat phase. [%]"""
        return 100 * self.share

    @property
    def family(self) -> str:
        """The fats that it sets with."""
        return family_of(self.key)

    def edges(self, at: Array) -> tuple[Array, Array, Array]:
        """Lower, middle and upper solids of it alone; the middle is NaN where nobody knows. [% by mass]"""
        t, low, value, high = (np.array(x) for x in zip(*self.points, strict=True))
        if self.melted_c is not None and self.melted_c > t[-1]:
            end = (value[-1] if high[-1] > 0 else 0.0, high[-1])
            middle = np.interp(at, [*t, self.melted_c], [*value, 0.0])
        else:
            end = (0.0, 0.0)
            middle = np.interp(at, t, value)
        lower = np.where(at > t[-1], 0.0, np.interp(at, t, low))
        upper = np.interp(at, t, high)
        if self.melted_c is not None:
            upper = np.where((at > t[-1]) & (at >= self.melted_c), 0.0, upper)
        known = (at >= t[0]) & ((at <= t[-1]) | (self.melted_c is not None) | (end[1] == high[-1] == 0))
        return lower, np.where(known, middle, np.nan), np.where(at < t[0], 100.0, upper)


def soft_part(x: Counted, share: float, typed: tuple[tuple[float, float], ...] | None) -> SoftPart:
    """One line of a formula as a part, with the supplier's curve where it was typed."""
    found = x.ingredient
    if typed is not None:
        points = tuple((t, s, s, s) for t, s in typed)
        end = melted_from_c(found) if found is not None else None
        end = end if end is not None and end > points[-1][0] else None
        return SoftPart(x.name, x.key, share, "curve", points, end, supplier=True)
    if found is None:
        return SoftPart(x.name, x.key, share, "unknown")
    low, high = melting_range(found)
    points = tuple(
        (p.temperature_c, p.low if p.value is None else p.value, math.nan, p.high)
        if p.value is None
        else (p.temperature_c, p.value, p.value, p.value)
        for p in solids_points(found)
    )
    if len(points) > 1:
        return SoftPart(x.name, x.key, share, "curve", points, melted_from_c(found))
    if found.form == "liquid" and (high is None or high < LIQUID_FROM_C):
        return SoftPart(x.name, x.key, share, "liquid")
    if found.kind in FATS:
        return SoftPart(x.name, x.key, share, "unknown", (), high, low)
    if found.form == "liquid":
        return SoftPart(x.name, x.key, share, "unknown" if high is not None else "liquid", (), high, low)
    if found.form == "solid" and high is not None:
        return SoftPart(x.name, x.key, share, "sets", (), high, low, gels_from=gelling_levels(found))
    if found.form == "solid":
        return SoftPart(x.name, x.key, share, "sets", gels_from=gelling_levels(found))
    return SoftPart(x.name, x.key, share, "unknown", (), high, low)


def melting_range(
    ingredient: Ingredient, names: tuple[str, ...] = MELTING
) -> tuple[float | None, float | None]:
    """Lowest and highest printed melting or congealing figure; None where nothing is printed. [°C]"""
    rows = [p for p in ingredient.properties if p.name in names]
    values = [v for p in rows for v in (p.low, p.value, p.high) if v is not None]
    return (min(values), max(values)) if values else (None, None)


def gelling_levels(ingredient: Ingredient) -> tuple[float, ...]:
    """Lowest and highest printed gelling level of a wax; empty where none is printed. [% by mass]"""
    rows = ingredient.property_values("minimum_gelling_concentration")
    values = [v for p in rows for v in (p.low, p.value, p.high) if v is not None]
    return (min(values), max(values)) if values else ()
