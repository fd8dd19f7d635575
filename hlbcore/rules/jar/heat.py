"""Temperature after parts meet: heat balance with melting and setting."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hlbcore._numbers import checked
from hlbcore.errors import EmptyPhase, InvalidInput, clipped

SPECIFIC_HEAT = {"water": 4.18, "oil": 2.0, "humectant": 2.42, "sugar": 1.244, "salt": 0.88}
"""Specific heat where the tables have none. [J/(g K)] Water, glycerol: specific_heat_table_fasina; oils are
printed from 1.67 to 2.24; sucrose at 25 °C: mohos_2010; salt: mechanical_engineers_data_handbook."""

QUICK_SHARE = 0.5
"""Share of the melting heat that a fat gives back when it sets quickly. [fraction]
solis_fuentes_2004: mango butter 56 J/g for the form of quick cooling against 116."""

COLDEST_C, HOTTEST_C = -40.0, 150.0
"""Temperatures that are taken for a part. [°C] What lies above is likely typed in Fahrenheit."""

FAHRENHEIT_FROM_C = 120.0
"""From here up a temperature at the bench is likely typed in Fahrenheit. [°C] Our convention."""


@dataclass(frozen=True, slots=True)
class HeatPart:
    """One part that goes into the pot.

    Parameters
    ----------
    name : str
        For messages.
    mass : float
        Mass. [g, or any one unit]
    temperature_c : float
        Temperature before. [°C]
    specific_heat : float
        Specific heat. [J/(g K)]
    melts_c : float, optional
        Where it melts; None where it does not on the way. [°C]
    latent_heat : float
        Heat of melting. [J/g]
    """

    name: str
    mass: float
    temperature_c: float
    specific_heat: float
    melts_c: float | None = None
    latent_heat: float = 0.0

    def __post_init__(self) -> None:
        item = f"'{clipped(self.name)}'"
        mass = checked(self.mass, f"{item}, mass", low=0)
        object.__setattr__(self, "mass", mass)
        heat = checked(self.specific_heat, f"{item}, specific heat", above=0, high=10, unit="J/(g K)")
        object.__setattr__(self, "specific_heat", heat)
        object.__setattr__(self, "temperature_c", bench_temperature(self.temperature_c, item))
        latent = checked(self.latent_heat, f"{item}, heat of melting", low=0, high=1000, unit="J/g")
        object.__setattr__(self, "latent_heat", latent)
        if self.melts_c is not None:
            melts = checked(self.melts_c, f"{item}, melting point", low=-100, high=300, unit="°C")
            object.__setattr__(self, "melts_c", melts)

    def heat(self, at_c: float, share: float) -> tuple[float, float]:
        """Least and most heat content at a temperature; they differ only where it melts. [J]"""
        warm = self.mass * self.specific_heat * at_c
        if self.melts_c is None or at_c < self.melts_c:
            return warm, warm
        melted = warm + share * self.mass * self.latent_heat
        return (warm if at_c == self.melts_c else melted), melted


def bench_temperature(value: float | str, item: str) -> float:
    """A temperature at the bench; one that must be Fahrenheit is refused with what it would be.

    Parameters
    ----------
    value : float or str
        As typed. [°C]
    item : str
        What it belongs to; stands in the message.

    Returns
    -------
    float
        The temperature. [°C]
    """
    number = checked(value, f"{item}, temperature", low=-273.15, high=2000, unit="°C")
    if number > FAHRENHEIT_FROM_C:
        raise InvalidInput(
            f"{item}, temperature",
            f"{number:g} °C is hotter than any bath here",
            f"If it is Fahrenheit, enter {(number - 32) / 1.8:.0f}.",
        )
    return checked(number, f"{item}, temperature", low=COLDEST_C, high=HOTTEST_C, unit="°C")


@dataclass(frozen=True, slots=True)
class Mixed:
    """Temperature after parts met.

    Parameters
    ----------
    value : float
        With the whole heat of melting. [°C]
    low, high : float
        With half of it up to the whole: quick setting gives back about half. [°C]
    """

    value: float
    low: float
    high: float


def mixing_temperature(parts: Sequence[HeatPart]) -> Mixed:
    """Temperature after parts meet, without losses to vessel and air.

    Parameters
    ----------
    parts : sequence of HeatPart
        All that meets.

    Returns
    -------
    Mixed
        The pot and the air take heat too, so hot parts end lower.

    Notes
    -----
    ``sum m (c T + L) before = after``; a part is melted above its melting point, and gives or takes its
    heat of melting when it passes it.

    Examples
    --------
    >>> oil = HeatPart("oil phase", 25, 75, 2.0)
    >>> water = HeatPart("water", 70, 25, 4.18)
    >>> round(mixing_temperature([oil, water]).value, 2)
    32.3
    """
    held = [p for p in parts if p.mass > 0]
    if not held:
        raise EmptyPhase("What is mixed", "Enter the parts with their masses.")
    found = [_solve(held, share) for share in (1.0, QUICK_SHARE)]
    return Mixed(found[0], min(found), max(found))


def _solve(parts: Sequence[HeatPart], share: float) -> float:
    """Temperature whose heat content is that of all parts before they meet."""
    before = math.fsum(p.heat(p.temperature_c, share)[1] for p in parts)
    capacity = math.fsum(p.mass * p.specific_heat for p in parts)
    melted = 0.0  # heat of melting that is taken up below the temperature tried
    steps = sorted((p.melts_c, share * p.mass * p.latent_heat) for p in parts if p.melts_c is not None)
    for melts, latent in steps:
        if (before - melted) / capacity < melts:
            break
        melted += latent
        if (before - melted) / capacity < melts:
            return melts  # it lies in the middle of melting
    return (before - melted) / capacity


def least_temperature(wanted_c: float, part: HeatPart, others: Sequence[HeatPart]) -> float:
    """The least temperature of one part so that the whole comes out at a temperature.

    Parameters
    ----------
    wanted_c : float
        Temperature after mixing. [°C]
    part : HeatPart
        The part whose temperature is asked; what it has is not used.
    others : sequence of HeatPart
        What it meets, as it is.

    Returns
    -------
    float
        Its temperature; above 100 no water phase can bring it. [°C]

    Examples
    --------
    >>> water = HeatPart("water", 70, 25, 4.18)
    >>> oil = HeatPart("oil phase", 25, 75, 2.0)
    >>> round(least_temperature(60, water, [oil]), 1)
    57.4
    """
    wanted = bench_temperature(wanted_c, "wanted")
    if part.mass <= 0:
        raise EmptyPhase(f"'{clipped(part.name)}'", "Enter its mass.")
    need = math.fsum(p.heat(wanted, 1.0)[1] for p in (part, *others))
    have = math.fsum(p.heat(p.temperature_c, 1.0)[1] for p in others)
    left = need - have
    latent = part.mass * part.latent_heat if part.melts_c is not None else 0.0
    capacity = part.mass * part.specific_heat
    cold = left / capacity
    if part.melts_c is None or cold < part.melts_c:
        return cold
    return max((left - latent) / capacity, part.melts_c)
