"""Grains in a jar: what lies outside, what holds them, how fast they sink, and what the settled jar shows."""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore.blending.worked import Worked
from hlbcore.rules.jar.contents import PACKING, USUAL, Contents
from hlbcore.rules.jar.phases import TRY_IT
from hlbcore.rules.jar.settling import (
    TOUCHING,
    YieldHold,
    clear_layer,
    fall_speed,
    hindered_factor,
    packing_of,
    yield_hold,
)
from hlbcore.rules.jar.softness import CANNOT_SAY, WORD_FROM, Softness

GUM_LEAST_PCT = 0.25
"""Under this share of gum in the water it is not proven to hold grains. [% of the water] pastor_1994"""

OIL_MPAS = (30.0, 100.0)
"""Viscosity of liquid plant oils in a room. [mPa s] school_viscosity_table, diamante_lan_2014; castor oil is
ten times thicker."""

WATERY_LEAST_PCT = 2.0
"""With less of water and humectants than this, oil lies outside. [% of formula] Our convention."""

FALL_MM = 50.0
"""Height that a grain falls through, for a time. [mm] Our convention."""

PACKED, HELD, DOUBTFUL, SINKS = "packed", "held", "doubtful", "sinks"
"""What becomes of the grains; the fifth word is ``cannot say``."""

JAR_TEST = (
    "Fill a clear jar, keep it at 40 °C for a week beside one in the room, and measure the clear layer."
)
"""The bench test."""


@dataclass(frozen=True, slots=True)
class Grains:
    """What becomes of the grains in a jar at one temperature.

    Parameters
    ----------
    word : str
        packed, held, doubtful, sinks or cannot say.
    why : str
        In sentences.
    outer : str
        ``water``, ``oil``, or blank where it must be tried.
    share : tuple of float or None
        Volume share of the grains, least and most; None where densities are missing. [fraction]
    packing : tuple of float
        Volume share of a settled bed, loosest and densest. [fraction]
    clear : tuple of float or None
        Clear layer if all settles, least and most. [fraction of the height]
    hold : YieldHold or None
        What the measured yield stress holds.
    minutes : tuple of float or None
        Time in which a grain falls 50 mm in the liquid outside, if nothing holds it. [min]
    temperature_c : float
        Temperature. [°C]
    """

    word: str
    why: str
    outer: str
    share: tuple[float, float] | None
    packing: tuple[float, float]
    clear: tuple[float, float] | None
    hold: YieldHold | None
    minutes: tuple[float, float] | None
    temperature_c: float


def outer_phase(worked: Worked, contents: Contents) -> str:
    """What lies outside: as tried, or oil where there is no water; blank where it must be tried."""
    if worked.facts.outer_phase:
        return worked.facts.outer_phase
    if contents.oil and contents.watery_pct < WATERY_LEAST_PCT:
        return "oil"
    return "water" if contents.water and not contents.oil else ""


def _packing(worked: Worked, contents: Contents) -> tuple[float, float]:
    bulk = worked.facts.grain_bulk_g
    largest = max(contents.grains, key=lambda c: c.pct)
    if bulk is not None and largest.density is not None:
        found = packing_of(bulk, largest.density)
        return found, found
    return PACKING.get(largest.key, (TOUCHING, 0.64))


def grains_of(
    worked: Worked, contents: Contents, softness: Softness | None, *, temperature_c: float
) -> Grains | None:
    """What becomes of the grains of a formula.

    Parameters
    ----------
    worked : Worked
        The formula; its facts may hold grain size, bulk weight, yield stress, viscosity, outer phase.
    contents : Contents
        Its phases.
    softness : Softness or None
        Of its fat phase; None where there is none.
    temperature_c : float
        Temperature of the jar. [°C]

    Returns
    -------
    Grains or None
        None without grains.
    """
    if not contents.grains:
        return None
    outer = outer_phase(worked, contents)
    share = contents.grain_share()
    if share is None:
        names = ", ".join(contents.without_density)
        why = f"No density is known for {names}: a jar test tells. {JAR_TEST}"
        return Grains(CANNOT_SAY, why, outer, None, (TOUCHING, 0.64), None, None, None, temperature_c)
    packing = _packing(worked, contents)
    clear = (clear_layer(share[1], packing)[0], clear_layer(share[0], packing)[1])
    hold, minutes, drop = _single(worked, contents, outer, share[0])
    word, why = _word(worked, contents, softness, outer, share, hold, temperature_c)
    if minutes is not None and word in (SINKS, DOUBTFUL, CANNOT_SAY):
        why += f" {drop}"
    return Grains(word, why, outer, share, packing, clear, hold, minutes, temperature_c)


def _between(contents: Contents, outer: str) -> float:
    """Density of what lies between the grains; the lighter phase where that is not known. [kg/m³]"""
    sides = {"oil": (contents.oil,), "water": (contents.water,)}.get(outer, (contents.oil, contents.water))
    held = [s for s in sides if s] or [s for s in (contents.oil, contents.water) if s]
    return min(sum(c.pct for c in s) / sum(c.pct / (c.density or USUAL["water"]) for c in s) for s in held)


def _single(
    worked: Worked, contents: Contents, outer: str, share: float
) -> tuple[YieldHold | None, tuple[float, float] | None, str]:
    """One grain: what the yield stress holds, minutes for 50 mm, and the words on them."""
    size, tau = worked.facts.grain_um, worked.facts.yield_pa
    if size is None or not (contents.oil or contents.water):
        return None, None, ""
    heavy = max(contents.grains, key=lambda c: c.density or 0.0).density or 0.0
    between = _between(contents, outer)
    hold = None if tau is None else yield_hold(tau, size, heavy - between)
    typed = worked.facts.viscosity_mpas
    if outer != "oil" and typed is None:
        return hold, None, ""
    ends = (typed, typed) if typed is not None else OIL_MPAS
    slower = hindered_factor(min(share, 0.6))
    speeds = [abs(fall_speed(size, heavy, between, eta)) * slower * 60 for eta in ends]
    if not all(speeds):
        return hold, None, ""
    fast, slow = FALL_MM / speeds[0], FALL_MM / speeds[1]
    span = _time(fast) if fast == slow else f"{_time(fast)} to {_time(slow)}"
    said = f"With nothing to hold it, a grain of {size:g} µm falls {FALL_MM:g} mm in {span}."
    return hold, (fast, slow), said


def _time(minutes: float) -> str:
    if minutes < 90:
        return f"{minutes:.2g} min"
    return f"{minutes / 60:.2g} h" if minutes < 48 * 60 else f"{minutes / 1440:.2g} days"


def _word(
    worked: Worked,
    contents: Contents,
    softness: Softness | None,
    outer: str,
    share: tuple[float, float],
    hold: YieldHold | None,
    at_c: float,
) -> tuple[str, str]:
    said = f"Grains are {100 * share[0]:.0f} % of the volume."
    if share[0] >= TOUCHING:
        touch = f"From about {100 * TOUCHING:.0f} % on they touch"
        return PACKED, f"{said} {touch}: packing holds them, and only oil can rise."
    if hold is not None:
        return hold.word, (
            f"{said} Your yield stress of {worked.facts.yield_pa:g} Pa against {hold.least_pa:.2g} Pa "
            f"(theory) and {hold.sure_pa:.2g} Pa (top of the experiments). Knocks are not in it."
        )
    if worked.facts.yield_pa is not None and worked.facts.grain_um is None:
        said += " Your yield stress says nothing without the size of a grain: type it."
    if not outer:
        water = _in_water(worked, contents)[1]
        oil = _in_oil(worked, softness, at_c)[1]
        return CANNOT_SAY, (
            f"{said} What lies outside is not known. {TRY_IT} If it is water: {water} If it is oil: {oil}"
        )
    word, why = _in_water(worked, contents) if outer == "water" else _in_oil(worked, softness, at_c)
    return word, f"{said} {why}" + (f" {JAR_TEST}" if word == CANNOT_SAY else "")


def _in_water(worked: Worked, contents: Contents) -> tuple[str, str]:
    gums = [x for x in worked.base_lines if x.kind == "gum" and x.pct > 0]
    if not gums:
        return CANNOT_SAY, "There is no gum in the water; whether anything else holds them is not known."
    names = ", ".join(dict.fromkeys(x.name for x in gums))
    if contents.water_pct <= 0:
        return CANNOT_SAY, f"{names} needs water to swell, and none is entered."
    pct = 100 * sum(x.active for x in gums) / contents.water_pct
    least = f"{pct:.2g} % of the water, under {GUM_LEAST_PCT:g} %: not proven to hold grains"
    enough = f"{pct:.2g} % of the water: your own jar test decides, no published figure does"
    return CANNOT_SAY, f"{names} is {least if pct < GUM_LEAST_PCT else enough}."


def _in_oil(worked: Worked, softness: Softness | None, at_c: float) -> tuple[str, str]:
    gums = [x.name for x in worked.base_lines if x.kind == "gum" and x.pct > 0]
    names = ", ".join(dict.fromkeys(gums))
    no_gum = f" {names[:1].upper()}{names[1:]} does nothing here: oil is outside." if gums else ""
    if softness is None:
        return CANNOT_SAY, f"There is no fat phase.{no_gum}"
    here = softness.at("here", at_c)
    if here.high < WORD_FROM[0]:
        return SINKS, (
            f"At {at_c:g} °C the fat is liquid, and no liquid oil holds grains: they settle.{no_gum}"
        )
    setting = "" if here.why == "" else f" ({here.why})"
    return CANNOT_SAY, (
        f"At {at_c:g} °C the network of solid fat may hold them{setting}; there is none once it is melted. "
        f"A measured yield stress decides.{no_gum}"
    )
