"""Oil against water by volume: what type of emulsion it can be, and which droplets keep."""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.rules.hard_share import is_hard
from hlbcore.rules.jar.contents import ROOM_C, USUAL, Contents
from hlbcore.rules.jar.settling import CLOSE_PACKED, LargestDroplet, largest_droplet
from hlbcore.rules.jar.solutions import water_viscosity
from hlbcore.rules.jar.volumes import UNDETERMINED_WATER_PCT

TRY_IT = (
    "Stir a little into water, and a little into oil: it spreads in the one that lies outside. Or strew a "
    "dye that dissolves in water only: it spreads where water is outside."
)
"""How the outer phase is found."""

UNDETERMINED = "type undetermined until water is added"


@dataclass(frozen=True, slots=True)
class PhaseRatio:
    """Oil as a share of oil and water phase.

    Parameters
    ----------
    oil, oil_without_sugar : float
        With what dissolves of sugar and salt in the water phase, and without it. [fraction by volume]
    water_pct : float
        Water in the whole. [% of formula]
    wanted : str
        ``o/w``, ``w/o`` or blank: what the product type is.
    """

    oil: float
    oil_without_sugar: float
    water_pct: float
    wanted: str

    @property
    def inner(self) -> float:
        """Share of the phase that shall be inside. [fraction by volume]"""
        return 1 - self.oil if self.wanted == "w/o" else self.oil

    @property
    def word(self) -> str:
        """In a few words."""
        if self.water_pct < UNDETERMINED_WATER_PCT:
            return UNDETERMINED
        return "concentrated emulsion" if self.inner > CLOSE_PACKED else "room for round droplets"

    @property
    def words(self) -> str:
        """In sentences."""
        if self.water_pct <= 0:
            return f"No water is entered: {UNDETERMINED}."
        said = f"Oil is {100 * self.oil:.0f} % of oil and water phase by volume"
        if abs(self.oil - self.oil_without_sugar) > 0.005:
            said += f", {100 * self.oil_without_sugar:.0f} % before sugar and salt dissolve"
        if self.word == UNDETERMINED:
            return (
                f"{said}. With {self.water_pct:.3g} % water (under {UNDETERMINED_WATER_PCT:g} %) the type is "
                f"undetermined until water is added."
            )
        if self.inner > CLOSE_PACKED:
            return (
                f"{said}. What shall lie inside is {100 * self.inner:.0f} %: above {100 * CLOSE_PACKED:.0f} "
                "% round droplets have no room. A concentrated emulsion: thick, and it may turn over. Add "
                "the inner phase slowly."
            )
        return f"{said}: round droplets have room (up to {100 * CLOSE_PACKED:.0f} % inside)."


def ratio_of(worked: Worked, contents: Contents) -> PhaseRatio | None:
    """The phase ratio of a formula; None where it has neither oil nor water.

    Parameters
    ----------
    worked : Worked
        The formula.
    contents : Contents
        Its phases.

    Returns
    -------
    PhaseRatio or None
        By volume, with and without what dissolves.
    """
    both, plain = contents.ratio(), contents.ratio(with_sugar=False)
    if both is None or plain is None:
        return None
    return PhaseRatio(both.oil, plain.oil, contents.water_pct, worked.product.emulsion)


@dataclass(frozen=True, slots=True)
class Creaming:
    """Which droplets keep for a while.

    Parameters
    ----------
    droplet : LargestDroplet or None
        None where it does not apply.
    days : float
        How long. [days]
    viscosity_mpas : float
        Viscosity of the outer phase that was taken. [mPa s]
    measured : bool
        Whether that was typed.
    why : str
        Why it does not apply, or what was taken.
    """

    droplet: LargestDroplet | None
    days: float
    viscosity_mpas: float
    measured: bool
    why: str

    @property
    def words(self) -> str:
        """In sentences."""
        if self.droplet is None:
            return self.why
        low, high = self.droplet.low_um, self.droplet.high_um
        size = f"{low:.2g} µm" if f"{low:.2g}" == f"{high:.2g}" else f"{low:.2g} to {high:.2g} µm"
        return (
            f"Droplets up to about {size} stay where they are for {self.days:g} days. {self.why} Measure "
            "yours under a microscope; a jar left standing tells it too."
        )


NETWORKS = {
    "o/w": ("fatty alcohol", "fatty acid", "emulsifying wax"),
    "w/o": ("wax", "fatty alcohol", "fatty acid"),
}
"""Kinds that make a gel network in the outer phase: the viscosity of water or oil says nothing then."""

THIN_GUM_PCT = 0.1
"""Up to this share of the water a gum only thickens. [% of the water] xanthan_newtonian_2000"""


def networks(worked: Worked) -> tuple[Counted, ...]:
    """Lines that make a network in the outer phase: gums in water, solid fatty alcohols and acids, waxes."""
    kind = worked.product.phase_emulsion
    water = worked.water_pct
    found = []
    for x in worked.base_lines:
        if x.pct <= 0 or x.ingredient is None:
            continue
        gum = x.kind == "gum" and kind == "o/w" and 100 * x.active > THIN_GUM_PCT * water
        waxy = x.kind in NETWORKS[kind] or (kind == "o/w" and x.key.startswith("glyceryl_stearate"))
        if gum or (waxy and is_hard(x.ingredient) is True):
            found.append(x)
    return tuple(found)


def creaming_of(worked: Worked, contents: Contents, *, days: float, layer_mm: float) -> Creaming:
    """The largest droplet that keeps in a formula.

    Parameters
    ----------
    worked : Worked
        The formula; its facts may hold the viscosity of the outer phase.
    contents : Contents
        Its phases.
    days : float
        How long it shall keep. [days]
    layer_mm : float
        Clear layer that is still taken. [mm]

    Returns
    -------
    Creaming
        Not applicable without an emulsion, and for a gel network whose viscosity was not measured.
    """
    typed = worked.facts.viscosity_mpas
    ratio = ratio_of(worked, contents)

    def none(why: str) -> Creaming:
        return Creaming(None, days, typed or 0.0, typed is not None, why)

    if ratio is None or not contents.oil or not contents.water or contents.water_pct <= 0:
        return none("Not applicable: there is no emulsion of oil and water.")
    if ratio.word == UNDETERMINED:
        return none(f"Not applicable: with under {UNDETERMINED_WATER_PCT:g} % water the {UNDETERMINED}.")
    if typed is None and (held := networks(worked)):
        names = ", ".join(dict.fromkeys(x.name for x in held))
        return none(
            f"Not applicable: {names} makes a network that holds droplets. Type a low-shear viscosity of the "
            "outer phase if you have measured one."
        )
    if not ratio.wanted:
        return none(f"Not applicable: {worked.product.one} is no emulsion of droplets.")
    if typed is None and ratio.wanted != "o/w":
        return none("Cannot say: type the low-shear viscosity of the outer phase.")
    viscosity = typed if typed is not None else water_viscosity(ROOM_C)
    densities = [
        sum(c.pct for c in side) / sum(c.pct / (c.density or USUAL["water"]) for c in side)
        for side in (contents.oil, contents.water)
    ]
    inner = min(max(ratio.inner, 0.0), 0.95)
    found = largest_droplet(
        days,
        viscosity,
        density_difference=densities[0] - densities[1],
        volume_fraction=inner,
        layer_mm=layer_mm,
    )
    why = (
        f"With your {viscosity:g} mPa s outside."
        if typed is not None
        else "Outside is taken as thin as water: a thickened lotion holds larger ones."
    )
    return Creaming(found, days, viscosity, typed is not None, why)
