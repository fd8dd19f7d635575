"""The matched pair to set beside a hydrophilic emulsifier used alone, with what it costs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.blending.results import Blend
from hlbcore.blending.solving import solve_blend
from hlbcore.counting.counted import Counted
from hlbcore.errors import HlbError
from hlbcore.estimate import Estimate
from hlbcore.ingredients import fold
from hlbcore.library import Library
from hlbcore.product_types import PRACTICE, ProductType


@dataclass(frozen=True, slots=True)
class Beside:
    """The matched pair at the same dose, to set beside a hydrophilic emulsifier used alone.

    Parameters
    ----------
    blend : Blend
        The pair.
    price : str
        What it costs in hardness, rinse and money, in words.
    """

    blend: Blend
    price: str


def pair_beside(
    held: Sequence[Counted],
    target: Estimate,
    kind: ProductType,
    half: float,
    cost: Mapping[str, float],
    library: Library,
) -> Beside | None:
    """The matched pair at the same dose; None where no plain pair reaches the target."""
    total = math.fsum(x.active for x in held)
    choice = choose_emulsifiers(target, "light o/w lotion", library=library)
    if not choice.names:
        return None
    known = {library.names.get(fold(n), ""): p for n, p in cost.items()}
    prices = {n: known[library.find(n).id] for n in choice.names if library.find(n).id in known}
    try:
        pair = solve_blend(
            choice.names, target, window=half, total=total, cost=prices, product=kind.name, library=library
        )
    except HlbError:
        return None
    before = math.fsum(x.active for x in held if x.ingredient and x.ingredient.is_solid)
    solid = zip(pair.labels, pair.masses, strict=True)
    after = math.fsum(m for n, m in solid if library.find(n).is_solid)
    hard = after - before
    words = [
        f"{abs(hard):.1f} % of the formula {'more' if hard > 0 else 'less'} solid emulsifier, so "
        f"{'harder' if hard > 0 else 'softer'} in the jar"
        if abs(hard) > 0.05
        else "about the same hardness in the jar",
        f"a blend of HLB {pair.hlb:.1f} rinses less readily and leaves more film than one used "
        f"for dispersal ({PRACTICE}): try both under the tap",
    ]
    now = [(x.pct, cost.get(x.name)) for x in held if x.pct > 0]
    if pair.cost_per_kg is not None:
        words.append(f"emulsifiers at {pair.cost_per_kg:.2f} per kg of product")
        if all(price is not None for _, price in now):
            current = math.fsum(m * price / 100 for m, price in now if price is not None)
            words[-1] += f", against {current:.2f} now"
    return Beside(pair, "; ".join(words))
