"""What the cheapest amounts of the emulsifiers save against those that stand."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hlbcore.batch.prices import PriceList, with_prices
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.ingredients import fold


@dataclass(frozen=True, slots=True)
class Saving:
    """What the cheapest amounts of the emulsifiers save.

    Parameters
    ----------
    now, cheapest : float
        Cost of the emulsifiers as they stand, and of the cheapest ones that meet what is asked.
        [currency/kg of formula]
    amounts : tuple of (str, float)
        The cheapest amounts. [% of formula]
    currency : str
        As the maker writes it.
    """

    now: float
    cheapest: float
    amounts: tuple[tuple[str, float], ...]
    currency: str = ""

    @property
    def words(self) -> str:
        """What it saves, in a sentence."""
        money = f" {self.currency}" if self.currency else ""
        saved = self.now - self.cheapest
        if saved < 0.005:
            return "No cheaper amounts of these emulsifiers meet what is asked."
        said = ", ".join(f"{p:.3g} % {n}" for n, p in self.amounts)
        return (
            f"{said} would save {saved:.2f}{money} a kg of formula: {self.cheapest:.2f} instead of "
            f"{self.now:.2f}{money} for the emulsifiers."
        )


def cheapest_saves(worked: Worked, prices: PriceList | None = None) -> Saving | None:
    """What the cheapest amounts of the emulsifiers would save.

    Parameters
    ----------
    worked : Worked
        The formula with the amounts that are compared.
    prices : PriceList, optional
        Prices where the lines have none.

    Returns
    -------
    Saving or None
        None where a price of an emulsifier is missing, or no blend meets what is asked.
    """
    priced = with_prices(worked.made, prices, worked.library) if prices is not None else worked.made
    asked = replace(priced, aims=replace(worked.formula.aims, goal="cheapest"))
    known = {fold(x.name): x.price.value for x in priced.lines if x.portion is None}
    found = work_out(asked, worked.library)
    if found.solved is None or not worked.amounts:
        return None

    def costs(amounts: dict[str, float]) -> float | None:
        held = [(p, known.get(fold(n))) for n, p in amounts.items() if p > 0]
        if any(price is None for _, price in held):
            return None
        return math.fsum(p * (price or 0.0) / 100 for p, price in held)

    now, then = costs(dict(worked.amounts)), costs(dict(found.amounts))
    if now is None or then is None:
        return None
    kept = tuple((n, p) for n, p in found.amounts.items() if p > 0)
    return Saving(now, then, kept, prices.currency if prices else "")
