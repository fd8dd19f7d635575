"""Oil and water by volume, and what type of emulsion that points at."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from hlbcore._numbers import checked
from hlbcore.errors import EmptyPhase, clipped

UNDETERMINED_WATER_PCT = 10.0
"""Under this much water the type of emulsion is not decided before water is added. [% of formula]
Our convention."""


@dataclass(frozen=True, slots=True)
class VolumeShare:
    """Oil as a share of oil and water phase.

    Parameters
    ----------
    oil_ml, water_ml : float
        Volumes of 100 g of product. [mL]
    """

    oil_ml: float
    water_ml: float

    @property
    def oil(self) -> float:
        """Oil over both. [fraction]"""
        return self.oil_ml / (self.oil_ml + self.water_ml)


def volume(parts: Mapping[str, tuple[float, float]]) -> float:
    """Volume of parts whose volumes add.

    Parameters
    ----------
    parts : mapping of str to (float, float)
        Mass [g] and density [kg/m³] by name.

    Returns
    -------
    float
        Volume. [mL]

    Notes
    -----
    Volumes are taken to add; for a syrup of 60 % that is 0.2 % off (asadi_2005).

    Examples
    --------
    >>> round(volume({"sugar": (66, 1587), "base": (34, 930)}), 1)
    78.1
    """
    total = []
    for name, (mass, density) in parts.items():
        held = checked(density, f"'{clipped(name)}', density", low=100, high=25_000, unit="kg/m³")
        total.append(checked(mass, f"'{clipped(name)}', mass", low=0, unit="g") * 1000 / held)
    return math.fsum(total)


def volume_share(
    oil: Mapping[str, tuple[float, float]], water: Mapping[str, tuple[float, float]]
) -> VolumeShare:
    """Oil as a volume share of oil and water phase.

    Parameters
    ----------
    oil, water : mapping of str to (float, float)
        Mass [g] and density [kg/m³] of what lies in each phase; sugar that dissolves is water phase.

    Returns
    -------
    VolumeShare
        Above 0.74 round droplets of one size have no room.

    Examples
    --------
    >>> round(volume_share({"oil": (75, 920)}, {"water": (25, 998)}).oil, 3)
    0.765
    """
    found = VolumeShare(volume(oil), volume(water))
    if found.oil_ml + found.water_ml <= 0:
        raise EmptyPhase("Oil and water phase together", "Enter the amounts.")
    return found


def grain_share(grains: Mapping[str, tuple[float, float]], rest: Mapping[str, tuple[float, float]]) -> float:
    """Volume share of grains in the jar, without air.

    Parameters
    ----------
    grains, rest : mapping of str to (float, float)
        Mass [g] and density [kg/m³] of the grains, and of what lies between them.

    Returns
    -------
    float
        Volume share. [fraction]

    Examples
    --------
    >>> round(grain_share({"sugar": (66, 1587)}, {"base": (34, 930)}), 3)
    0.532
    """
    solid, between = volume(grains), volume(rest)
    if solid + between <= 0:
        raise EmptyPhase("The jar", "Enter the amounts.")
    return solid / (solid + between)
