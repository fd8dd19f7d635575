"""Where a ready emulsifier with a blank amount starts: inside its supplier's rate, else as print shows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hlbcore.blending.dose import WAX_START_PCT, usual_loading
from hlbcore.blending.judging import GRIFFIN
from hlbcore.blending.rates import Around, Rate, rate_of
from hlbcore.counting.counted import OWN, Counted
from hlbcore.library import Library
from hlbcore.product_types import ProductType


@dataclass(frozen=True, slots=True)
class ReadyDose:
    """Where it starts.

    Parameters
    ----------
    line : int
        Number of its line. [-]
    pct : float
        The dose. [% of formula]
    reason : str
        Why, in words.
    """

    line: int
    pct: float
    reason: str


def ready_dose(
    system: Sequence[Counted],
    kind: ProductType,
    library: Library,
    around: Around,
    asked: tuple[float, float] | None,
) -> ReadyDose | None:
    """The dose of a ready emulsifier that has none yet.

    Parameters
    ----------
    system : sequence of Counted
        All emulsifiers of the formula.
    kind : ProductType
        The product type.
    library : Library
        The tables.
    around : Around
        Oil phase and water.
    asked : tuple of float, optional
        The dose where one is typed. [% of formula]

    Returns
    -------
    ReadyDose or None
        None where more than one emulsifier stands there, it has an amount, or HLB places it.
    """
    if len(system) != 1:
        return None
    (x,) = system
    griffin = x.basis == OWN or x.ingredient is None or x.ingredient.system == GRIFFIN
    if x.line.amount or x.is_part or griffin or x.kind in ("fatty alcohol", "fatty acid"):
        return None
    rate = rate_of(x, library, around)
    holds = not kind.anhydrous or rate.mine or rate.rinses  # one for emulsions says nothing without water
    start, why = _start(x, kind, around.oil_pct)
    low, high = 0.0, math.inf
    if asked is not None:
        (low, high), why = asked, "inside the dose that was asked for"
    elif holds and rate.once and rate.high is not None:
        low, high, why = rate.high, rate.high, f"seen once at {rate.once}"
    elif holds and (rate.low is not None or rate.high is not None):
        (low, high), why = _of_formula(rate, around), f"inside what its {rate.who} says, {rate.text}"
    pct = min(max(start, low), high)
    return ReadyDose(x.number, pct, f"{x.name}: a start, {why}")


def _of_formula(rate: Rate, around: Around) -> tuple[float, float]:
    """The rate on the whole formula, an end that is not stated open. [% of formula]"""
    bases = {"formula": 100.0, "oil phase": around.oil_pct or 0.0, "water phase": around.water_pct}
    whole = bases[rate.basis]
    low = 0.0 if rate.low is None else rate.low * whole / 100
    return low, math.inf if rate.high is None else rate.high * whole / 100


def _start(x: Counted, kind: ProductType, oil: float | None) -> tuple[float, str]:
    if kind.role == "governs" and x.kind == "emulsifying wax":
        return WAX_START_PCT, "as printed formulas use them (few sources)"
    if oil and oil <= 100:
        usual = usual_loading(oil, kind).start_pct
        if usual is not None:
            return usual, f"as print shows for {kind.name}"
    return WAX_START_PCT, "no usual dose is printed"
