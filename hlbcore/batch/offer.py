"""A dose inside the range asked for whose split lands on the scale: offered, never taken unasked."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hlbcore.blending.judging import HLB
from hlbcore.formula.formula import Formula

if TYPE_CHECKING:
    from hlbcore.batch.sheet import BatchSheet

TRIED_MOST = 2_000
"""Totals that are tried. [-]"""

WORTH = 0.05
"""A dose is offered only where the blend comes nearer to its target by this much. [HLB] Our
convention."""


@dataclass(frozen=True, slots=True)
class DoseOffer:
    """Another total of the emulsifiers, in amounts that the scale shows.

    Parameters
    ----------
    grams : tuple of (str, float)
        The emulsifiers. [g]
    dose_pct : float
        All of them together. [% of formula]
    hlb, target : float
        HLB of these grams, and what is required. [HLB]
    formula : Formula
        With these amounts; the largest other line gives or takes the difference.
    """

    grams: tuple[tuple[str, float], ...]
    dose_pct: float
    hlb: float
    target: float
    formula: Formula

    @property
    def words(self) -> str:
        """The offer in a sentence."""
        listed = ", ".join(f"{g:g} g {name}" for name, g in self.grams)
        return (
            f"At {self.dose_pct:.3g} % the split lands on the scale: {listed}, HLB {self.hlb:.2f} for "
            f"{self.target:.2f} required."
        )


def dose_offer(sheet: BatchSheet) -> DoseOffer | None:
    """The nearest dose in the typed range at which a pair, rounded to its scale, meets its target better.

    Parameters
    ----------
    sheet : BatchSheet
        Any.

    Returns
    -------
    DoseOffer or None
        None where HLB does not judge, the dose has no range, or nothing is gained.
    """
    worked = sheet.worked
    typed = worked.dose_asked if worked.formula.aims.dose.value is not None else None
    pair = worked.emulsifiers
    if typed is None or worked.target is None or sheet.hlb is None or worked.verdict.rule != HLB:
        return None
    held = {r.line: r for r in sheet.rows if not r.portion and r.premix is None}
    if len(pair) != 2 or any(x.is_part or x.estimate is None or x.number not in held for x in pair):
        return None
    scales = {held[x.number].scale for x in pair}
    if len(scales) > 1 or any(x.active_pct <= 0 for x in pair):
        return None
    step = scales.pop().readability_g
    first, second = pair
    h1, h2 = (x.estimate.value if x.estimate else 0.0 for x in pair)
    a1, a2 = (x.active_pct / 100 for x in pair)
    target = worked.target.value
    if not min(h1, h2) < target < max(h1, h2):
        return None
    # g1 a1 (h1 - R) = g2 a2 (R - h2): the ratio of what is bought
    ratio = a2 * (target - h2) / (a1 * (h1 - target))
    now = held[first.number].grams + held[second.number].grams
    best: tuple[float, float, int, int] | None = None
    low, high = (d / 100 * sheet.size_g / step for d in typed)
    start = now / step
    counts = sorted(
        range(math.ceil(low - 1e-9), math.floor(min(high, low + 1e7)) + 1), key=lambda n: abs(n - start)
    )
    for total in counts[:TRIED_MOST]:
        n1 = round(total * ratio / (1 + ratio))
        n2 = total - n1
        if n1 < 1 or n2 < 1 or not low - 1e-9 <= n1 * a1 + n2 * a2 <= high + 1e-9:
            continue
        off = abs((n1 * a1 * h1 + n2 * a2 * h2) / (n1 * a1 + n2 * a2) - target)
        if best is None or off < best[0] - WORTH / 2:
            best = (off, total, n1, n2)
    if best is None or abs(sheet.hlb.value - target) - best[0] < WORTH:
        return None
    grams = [round(n * step, 9) for n in best[2:]]
    pcts = {x.number: 100 * g / sheet.size_g for x, g in zip(pair, grams, strict=True)}
    made = worked.made
    other = max(
        (n for n, x in enumerate(made.lines) if x.portion is None and n not in pcts),
        key=lambda n: made.pcts[n],
    )
    pcts[other] = made.pcts[other] + 100 * (now - math.fsum(grams)) / sheet.size_g
    hlb = (grams[0] * a1 * h1 + grams[1] * a2 * h2) / (grams[0] * a1 + grams[1] * a2)
    named = tuple((x.name, g) for x, g in zip(pair, grams, strict=True))
    dose = 100 * math.fsum(grams) / sheet.size_g
    return DoseOffer(named, dose, hlb, target, made.with_pct(pcts))
