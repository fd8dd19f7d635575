"""Water lost in heating: what to make up, or what the formula became."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hlbcore._numbers import grams
from hlbcore.batch.weighed import formula_of_grams
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.errors import InvalidInput
from hlbcore.formula.formula import Formula
from hlbcore.typed import in_full


@dataclass(frozen=True, slots=True)
class WaterLost:
    """What heating drove off.

    Parameters
    ----------
    before_g, after_g : float
        Vessel with its phase before and after. [g]
    """

    before_g: float
    after_g: float

    @property
    def lost_g(self) -> float:
        """What is gone. [g]"""
        return round(self.before_g - self.after_g, 9)

    @property
    def words(self) -> str:
        """What to do."""
        if self.lost_g == 0:
            return "Nothing was lost."
        return f"Add {in_full(self.lost_g)} g of hot water, as hot as the phase."


def water_lost(before: float | str, after: float | str) -> WaterLost:
    """What heating drove off, by weighing the vessel with its phase before and after.

    Parameters
    ----------
    before, after : float or str
        Mass of vessel and phase. [g, or text with its unit]

    Returns
    -------
    WaterLost
        With what to add.

    Raises
    ------
    InvalidInput
        If it grew heavier.

    Examples
    --------
    >>> water_lost(812, 798).words
    'Add 14 g of hot water, as hot as the phase.'
    """
    first, last = grams(before, "vessel before heating"), grams(after, "vessel after heating")
    if last > first:
        raise InvalidInput(
            "vessel after heating",
            f"{last:g} g are more than the {first:g} g before",
            "Weigh the same vessel with the same lid and spoon both times.",
        )
    return WaterLost(first, last)


def without_water(formula: Formula | Worked, batch: float | str, lost_g: float) -> Formula:
    """What a formula became when lost water was not made up.

    Parameters
    ----------
    formula : Formula or Worked
        As planned.
    batch : float or str
        Mass of the whole batch as planned. [g, or text with its unit]
    lost_g : float
        Water that is gone. [g]

    Returns
    -------
    Formula
        Every other line has a larger share.

    Raises
    ------
    InvalidInput
        If there was less water than that.

    Examples
    --------
    >>> from hlbcore import Formula, Line
    >>> f = Formula("x", "o/w cream", [Line("water", 99.5, phase="water"),
    ...                                Line("phenoxyethanol", 0.5, phase="cool-down")])
    >>> round(without_water(f, 100, 10).pcts[1], 2)
    0.56
    """
    worked = work_out(formula)
    made = worked.made
    mass = grams(batch, "batch")
    held = {
        n: pct * mass / 100 for n, pct in enumerate(made.pcts) if made.lines[n].portion is None and pct > 0
    }
    waters = [x for x in worked.base_lines if x.kind == "water" and x.pct > 0 and not x.is_part]
    there = math.fsum(held[x.number] for x in waters)
    if not 0 <= lost_g < there:
        raise InvalidInput(
            "water lost", f"{lost_g:g} g of {there:.4g} g water cannot be lost", "Weigh again."
        )
    for x in waters:
        held[x.number] -= lost_g * held[x.number] / there
    return formula_of_grams(made, held)
