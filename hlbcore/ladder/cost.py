"""What a ladder costs before it is started: vials, grams, days, and money where prices are known."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from hlbcore.blending.worked import Worked
from hlbcore.errors import HlbError, clipped
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.observations import time_words
from hlbcore.ladder.sheet import parted
from hlbcore.ladder.times import read_hours
from hlbcore.ladder.vial import WATER
from hlbcore.library import load_library

G_PER_KG = 1000.0


@dataclass(frozen=True, slots=True)
class LadderCost:
    """What a ladder costs.

    Parameters
    ----------
    vials : int
        Vials to make. [-]
    grams : mapping of str to float
        All that is weighed, by ingredient. [g]
    hours : float
        Time of the last reading. [h]
    money : float or None
        What the priced ingredients cost; None where none has a price. [price unit]
    unpriced : tuple of str
        Ingredients without a price, water left out.
    currency : str
        Of the money; blank where it is that of the formula.
    """

    vials: int
    grams: Mapping[str, float]
    hours: float
    money: float | None = None
    unpriced: tuple[str, ...] = ()
    currency: str = ""

    @property
    def total_g(self) -> float:
        """All vials together. [g]"""
        return math.fsum(self.grams.values())

    @property
    def words(self) -> str:
        """The cost in a sentence."""
        parts = [f"{self.vials} vials", f"{self.total_g:,.4g} g in all"]
        if self.hours:
            parts.append(f"read over {time_words(self.hours)}")
        if self.money is not None:
            parts.append(f"{self.money:.2f}{self.currency and ' '}{self.currency} for what has a price")
        listed = ", ".join(clipped(n, 30) for n in self.unpriced[:4])
        more = f" and {len(self.unpriced) - 4} more" if len(self.unpriced) > 4 else ""
        missing = f" No price: {listed}{more}." if self.unpriced else ""
        return f"This ladder takes {', '.join(parts)}.{missing}"


def ladder_cost(
    ladder: Ladder,
    worked: Worked | None = None,
    *,
    times: str = "",
    prices: Mapping[str, float] | None = None,
    currency: str = "",
) -> LadderCost:
    """What a ladder costs.

    Parameters
    ----------
    ladder : Ladder
        A plan.
    worked : Worked, optional
        The open formula: its prices are used. [price unit/kg]
    times : str
        When the vials are read, parted by commas.
    prices : mapping of str to float, optional
        Of a kept list, by id or folded name; one in the formula goes first. [currency/kg]
    currency : str
        Of those prices.

    Returns
    -------
    LadderCost
        Money only where a price is known; it never counts a missing price as nothing.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> ladder_cost(ladder, times="1 h, 1 week").words.split(". ")[0]
    'This ladder takes 7 vials, 350 g in all, read over 1 week'
    """
    grams: dict[str, float] = {}
    for v in ladder.vials:
        for name, g in v.grams:
            grams[name] = grams.get(name, 0.0) + g
    library = worked.library if worked is not None else load_library()
    known = dict(prices or {})
    if worked is not None:
        own = [(x.name, x.line.price.value) for x in reversed(worked.bought)]
        known.update({library.key(n): float(p) for n, p in own if p is not None})

    def price_of(name: str) -> float | None:
        return known.get(library.key(name))

    bought = [n for n in grams if n != WATER]
    priced = [(grams[n], p) for n in bought if (p := price_of(n)) is not None]
    money = math.fsum(g * p / G_PER_KG for g, p in priced) if priced else None
    hours = 0.0
    for text in parted(times):
        try:
            hours = max(hours, read_hours(text, plain=""))
        except HlbError:  # told beside the field
            continue
    return LadderCost(
        len(ladder.vials), grams, hours, money, tuple(n for n in bought if price_of(n) is None), currency
    )
