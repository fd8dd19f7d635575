"""What of a formula lies in the oil, in the water and between them as grains, with densities."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.rules.fat_figures import density_of
from hlbcore.rules.jar.settling import SALT_PACKING, SUGAR_PACKING
from hlbcore.rules.jar.solutions import SALT_CRYSTAL, SUCROSE_CRYSTAL, salt_solubility, sucrose_solubility
from hlbcore.rules.jar.volumes import VolumeShare, volume_share

ROOM_C = 20.0
"""Temperature at which sugar and salt are taken to dissolve. [°C] Our convention."""

USUAL = {"oil": 920.0, "water": 998.0, "humectant": 1200.0}
"""Density where the tables have none. [kg/m³] Our convention: the middle of what the tables hold for oils;
esters go down to 850, silicones up to 970."""

CRYSTALS = {"sucrose": SUCROSE_CRYSTAL, "sodium_chloride": SALT_CRYSTAL, "sea_salt": SALT_CRYSTAL}
"""Densities of grains, by id. [kg/m³] Sea salt as sodium chloride."""

PACKING = {"sucrose": SUGAR_PACKING, "sodium_chloride": SALT_PACKING, "sea_salt": SALT_PACKING}
"""Volume share of a settled bed, by id. [fraction]"""

GRAIN_ENDS = (1000.0, 1600.0)
"""Where a grain without a density lies: between water and sugar. [kg/m³] Our convention."""

UNKNOWN_MOST = 0.25
"""Up to this share of the grains may have no density. [fraction] Our convention."""

SALTS = ("sodium_chloride", "sea_salt")
"""Salts whose solubility is known here, by id."""


@dataclass(frozen=True, slots=True)
class Content:
    """One line, or what is left of it, in one phase.

    Parameters
    ----------
    name, key, kind : str
        As written, its id, and its kind in the tables.
    pct : float
        Mass. [% of formula]
    density : float or None
        Density; None where a grain has none. [kg/m³]
    """

    name: str
    key: str
    kind: str
    pct: float
    density: float | None


@dataclass(frozen=True, slots=True)
class Contents:
    """The phases of a formula.

    Parameters
    ----------
    oil, water, grains : tuple of Content
        Oil side and emulsifiers; water and what is in it, dissolved sugar and salt included; grains
        that stay.
    sugar_dissolved, salt_dissolved : float
        Upper bounds of what dissolves. [% of formula]
    water_pct : float
        Water, also what diluted materials bring. [% of formula]
    """

    oil: tuple[Content, ...]
    water: tuple[Content, ...]
    grains: tuple[Content, ...]
    sugar_dissolved: float
    salt_dissolved: float
    water_pct: float

    @property
    def grain_pct(self) -> float:
        """Grains that stay. [% of formula]"""
        return math.fsum(c.pct for c in self.grains)

    @property
    def without_density(self) -> tuple[str, ...]:
        """Grains whose density nobody knows."""
        return tuple(c.name for c in self.grains if c.density is None)

    def ratio(self, *, with_sugar: bool = True) -> VolumeShare | None:
        """Oil over oil and water phase by volume; None where there is neither.

        Parameters
        ----------
        with_sugar : bool
            Whether what dissolves of sugar and salt swells the water phase.

        Returns
        -------
        VolumeShare or None
            Of 100 g of product.
        """
        water = self.water if with_sugar else tuple(c for c in self.water if c.kind not in ("sugar", "salt"))
        if not self.oil and not water:
            return None
        return volume_share(_sums(self.oil), _sums(water))

    @property
    def watery_pct(self) -> float:
        """Water, humectants and what is dissolved. [% of formula]"""
        return math.fsum(c.pct for c in self.water if c.kind in ("water", "humectant", "sugar", "salt"))

    def grain_share(self) -> tuple[float, float] | None:
        """Volume share of the grains, least and most; None where too much has no density. [fraction]"""
        unknown = math.fsum(c.pct for c in self.grains if c.density is None)
        if not self.grains or unknown > UNKNOWN_MOST * self.grain_pct:
            return None
        rest = math.fsum(c.pct * 1000 / (c.density or USUAL["water"]) for c in (*self.oil, *self.water))
        ends = []
        for dense in reversed(GRAIN_ENDS):
            solid = math.fsum(c.pct * 1000 / (c.density or dense) for c in self.grains)
            ends.append(solid / (solid + rest))
        return ends[0], ends[1]


def _sums(contents: Iterable[Content]) -> dict[str, tuple[float, float]]:
    """Mass and density by place, since a name may stand twice."""
    return {f"{n} {c.name}": (c.pct, c.density or USUAL["water"]) for n, c in enumerate(contents)}


def density(line: Counted, side: str) -> float:
    """Density of one line; the usual one of its side where the tables have none. [kg/m³]"""
    held = density_of(line.ingredient).value if line.ingredient is not None else None
    if held is not None:
        return 1000 * held
    return USUAL["humectant"] if side == "water" and line.kind in ("humectant", "sugar") else USUAL[side]


def contents_of(worked: Worked, *, temperature_c: float = ROOM_C) -> Contents:
    """The phases of a formula.

    Parameters
    ----------
    worked : Worked
        Of a formula with portions, the base.
    temperature_c : float
        Temperature at which sugar and salt dissolve. [°C]

    Returns
    -------
    Contents
        Sugar and salt dissolve up to saturation in pure water: an upper bound, since humectants and
        gums hold water too.

    Examples
    --------
    >>> from hlbcore import Formula, Line, work_out
    >>> f = Formula("x", "wash-off scrub", [Line("water", 10), Line("sugar", 60, phase="solids"),
    ...                                     Line("olive oil", 30)])
    >>> held = contents_of(work_out(f))
    >>> round(held.sugar_dissolved, 1), round(held.grain_pct, 1)
    (20.0, 40.0)
    """
    lines = [x for x in worked.base_lines if x.pct > 0]
    oil = [Content(x.name, x.key, x.kind, x.pct, density(x, "oil")) for x in lines if x.is_fat]
    outside = [x for x in lines if not x.is_fat]
    free = math.fsum(x.pct if x.kind == "water" else _carried(x) for x in outside)
    sugar = math.fsum(x.active for x in outside if x.key == "sucrose")
    salt = math.fsum(x.active for x in outside if x.key in SALTS)
    s, t = sucrose_solubility(temperature_c), salt_solubility(temperature_c)
    dissolved = {"sugar": min(sugar, free * s / (100 - s)), "salt": min(salt, free * t / (100 - t))}
    left = {"sugar": sugar - dissolved["sugar"], "salt": salt - dissolved["salt"]}
    water, grains = [], []
    for x in outside:
        part = "sugar" if x.key == "sucrose" else "salt" if x.key in SALTS else ""
        whole = sugar if part == "sugar" else salt
        stays = x.pct if not part and x.line.phase == "solids" else 0.0
        if part and whole > 0:
            stays = left[part] * x.active / whole
        if stays > 1e-9:
            grains.append(Content(x.name, x.key, x.kind, stays, _grain_density(x)))
        if x.pct - stays > 1e-9:
            dense = CRYSTALS.get(x.key) or density(x, "water")
            water.append(Content(x.name, x.key, x.kind, x.pct - stays, dense))
    return Contents(tuple(oil), tuple(water), tuple(grains), dissolved["sugar"], dissolved["salt"], free)


def _carried(line: Counted) -> float:
    """Water that a diluted material brings in. [% of formula]"""
    return line.pct - line.active if line.kind in ("humectant", "sugar", "salt", "base") else 0.0


def _grain_density(line: Counted) -> float | None:
    if line.key in CRYSTALS:
        return CRYSTALS[line.key]
    held = density_of(line.ingredient).value if line.ingredient is not None else None
    return None if held is None else 1000 * held
