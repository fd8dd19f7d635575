"""Where the steps of a ladder blur into each other on the scale, and what would mend it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pandas as pd

from hlbcore.blending.results import Blend
from hlbcore.blending.weighing import weigh_blend, weighing_sd
from hlbcore.errors import HlbError, InvalidInput
from hlbcore.estimate import Estimate, Mixture
from hlbcore.findings import Finding
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.vial import Bench
from hlbcore.product_types import PRACTICE

COVERAGE = 2.0
"""Standard deviations on each side of a rung; two rungs blur where these bands meet. [-]
Our convention, after the usual coverage factor (JCGM 100:2008, 6.3.3, from memory)."""

FEW_DIVISIONS = 10
"""An amount under so many divisions of the scale is said to be little. [-] Our convention."""

LARGER = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)
"""Round figures among which a larger vial is looked for. [any decade] Our convention."""

VIAL_MOST = 100.0
"""A larger vial is looked for up to so many times the mass. [-] Our convention."""

FINER = (2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 1000.0)
"""How much finer a scale is looked for. [-] Our convention."""

SPARE = 1.1
"""Stock made per stock needed, for what sticks to the vessel. [-] Our convention."""

STOCK_LEAST_G = 10.0
"""Emulsifier in one stock at least, so that its own weighing error is small. [g]
Our convention."""

Rung = tuple[float, float]  # HLB as weighed, and its standard deviation


def blurred(rungs: Sequence[Rung]) -> list[int]:
    """Places of the rungs that blur into the next one."""
    return [k for k, ((a, u), (b, v)) in enumerate(pairwise(rungs)) if b - a <= COVERAGE * (u + v) or b <= a]


def _rungs(shared: Bench, targets: Sequence[float], pct: float) -> list[Rung]:
    hlbs = {n: e.value for n, e in shared.estimates}
    found = []
    for t in targets:
        held = [(g, hlbs[n]) for n, g in shared.weigh(shared.split(t, pct), t) if n in hlbs]
        whole = math.fsum(g for g, _ in held)
        found.append(
            (
                math.fsum(g / whole * h for g, h in held),
                weighing_sd([g for g, _ in held], [h for _, h in held], shared.readability_g),
            )
        )
    return found


def _clear(shared: Bench, targets: Sequence[float], pct: float) -> bool:
    try:
        return not blurred(_rungs(shared, targets, pct))
    except HlbError:  # too small to weigh at all
        return False


def larger_vial(shared: Bench, targets: Sequence[float], pct: float) -> float | None:
    """The least round vial mass at which no rungs blur; None where none is found. [g]"""
    start = math.floor(math.log10(shared.vial_mass_g))
    for mass in (f * 10.0**k for k in range(start, start + 4) for f in LARGER):
        if shared.vial_mass_g < mass <= VIAL_MOST * shared.vial_mass_g and _clear(
            replace(shared, vial_mass_g=mass), targets, pct
        ):
            return round(mass, 9)
    return None


def finer_scale(shared: Bench, targets: Sequence[float], pct: float) -> float | None:
    """The coarsest finer division at which no rungs blur; None where none is found. [g]"""
    for by in FINER:
        division = float(f"{shared.readability_g / by:.12g}")
        if _clear(replace(shared, readability_g=division), targets, pct):
            return division
    return None


def fewer_steps(shared: Bench, targets: Sequence[float], pct: float) -> int | None:
    """The most steps over the same span at which no rungs blur; None where three still do. [-]"""
    for n in range(len(targets) - 1, 2, -1):
        if _clear(shared, [float(t) for t in np.linspace(targets[0], targets[-1], n)], pct):
            return n
    return None


@dataclass(frozen=True, slots=True, eq=False)
class Stocks:
    """Two premixed stocks of the two emulsifiers, one for each end of the ladder.

    Parameters
    ----------
    stocks : DataFrame
        One row a stock: stock, grams of each part [g], total_g [g], hlb_as_weighed, hlb_sd [HLB].
    table : DataFrame
        One row a vial: vial, target_hlb, low_stock_g, high_stock_g [g], hlb_as_weighed, hlb_sd
        [HLB].
    """

    stocks: pd.DataFrame
    table: pd.DataFrame


def premixed_stocks(ladder: Ladder, *, with_oil: bool = False) -> Stocks:
    """Two stocks of the pair, from which every vial is weighed with less error.

    Parameters
    ----------
    ladder : Ladder
        A coarse or fine ladder.
    with_oil : bool
        The stocks hold the oil phase too, so larger amounts are weighed into each vial. Keep
        them melted and stirred, so that each portion is the same.

    Returns
    -------
    Stocks
        What to weigh for the stocks and for each vial, with the HLB reached and its uncertainty.

    Raises
    ------
    InvalidInput
        If the ladder has no HLB steps of one pair.

    Notes
    -----
    With stocks of HLB ``h1`` and ``h2`` the slope ``(h - H) / G`` of the weighing is smaller than
    with the emulsifiers themselves; the stocks' own uncertainty ``m1 u1 / G``, ``m2 u2 / G`` is
    added.

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=1.5,
    ...                      vial_mass_g=10, oil_phase={"mineral oil": 20})
    >>> plain, stocks = ladder.table["hlb_sd"].max(), premixed_stocks(ladder).table["hlb_sd"].max()
    >>> bool(stocks < plain / 3)
    True
    """
    pct = ladder.emulsifier_pct
    if ladder.rung is None or pct is None or len(ladder.emulsifiers) != 2:
        raise InvalidInput("ladder", "it has no HLB steps of one pair", "Use a coarse or fine ladder.")
    rows = [(v.number, v.target_hlb) for v in ladder.vials if v.target_hlb is not None]
    targets = [t for _, t in rows]
    ends = min(targets), max(targets)
    oil = math.fsum(p for _, p in ladder.oils) if with_oil else 0.0
    portion = (pct + oil) / 100 * ladder.vial_mass_g  # of both stocks in one vial
    d = ladder.readability_g
    made = []
    (a, e), (b, f) = ladder.emulsifiers
    for end, other in (ends, ends[::-1]):
        need = SPARE * portion * math.fsum((t - other) / (end - other) for t in targets)
        x = (f.value - end) / (f.value - e.value)
        mass = max(need * pct / (pct + oil), STOCK_LEAST_G)
        weighed = weigh_blend(
            Blend(
                (a, b),
                (x, 1 - x),
                Mixture.by_mass([x, 1 - x], [e, f]),
                Estimate.exactly(end),
                None,
                1.0,
                "closest",
            ),
            100 * mass,
            d,  # x and 1 - x are per cent of a batch a hundred times the stock
        )
        oils = {n: round(p / pct * mass / d) * d for n, p in ladder.oils} if with_oil else {}
        sd = weighing_sd(weighed.grams, [e.value, f.value], d)
        made.append((dict(zip((a, b), weighed.grams, strict=True)) | oils, weighed.hlb.value, sd))
    (_, h1, u1), (_, h2, u2) = made
    vials = []
    for number, target in rows:
        y = min(max((target - h1) / (h2 - h1), 0.0), 1.0)
        whole = max(round(portion / d), 1)
        n2 = round(y * whole)
        m1, m2 = (whole - n2) * d, n2 * d
        hlb = (m1 * h1 + m2 * h2) / (m1 + m2)
        own = math.hypot(m1 * u1, m2 * u2) / (m1 + m2)
        sd = math.hypot(own, weighing_sd([m1, m2], [h1, h2], d))
        vials.append((number, target, round(m1, 9), round(m2, 9), hlb, sd))
    names = list(made[0][0])
    return Stocks(
        pd.DataFrame(
            [
                (word, *(round(m[n], 9) for n in names), round(math.fsum(m.values()), 9), h, u)
                for word, (m, h, u) in zip(("low", "high"), made, strict=True)
            ],
            columns=["stock", *(f"{n}_g" for n in names), "total_g", "hlb_as_weighed", "hlb_sd"],
        ),
        pd.DataFrame(
            vials, columns=["vial", "target_hlb", "low_stock_g", "high_stock_g", "hlb_as_weighed", "hlb_sd"]
        ),
    )


def blur_findings(ladder: Ladder, shared: Bench) -> list[Finding]:
    """Steps that blur, with the mend computed; and amounts that are little for the scale."""
    firsts = [v for v in ladder.vials if v.repeats is None]
    targets = [v.target_hlb for v in firsts if v.target_hlb is not None]
    pct = ladder.emulsifier_pct
    assert pct is not None
    rungs = _rungs(shared, targets, pct)
    found = []
    if where := blurred(rungs):
        closest = min(where, key=lambda k: rungs[k + 1][0] - rungs[k][0])
        mends = []
        if (mass := larger_vial(shared, targets, pct)) is not None:
            mends.append(f"vials of {mass:g} g")
        if (division := finer_scale(shared, targets, pct)) is not None:
            mends.append(f"a scale of {division:g} g")
        for with_oil, words in (
            (False, "two premixed stocks of the two emulsifiers"),
            (True, "two premixed stocks of emulsifiers and oil phase, kept melted and stirred"),
        ):
            try:
                table = premixed_stocks(ladder, with_oil=with_oil).table.iloc[: len(targets)]
            except HlbError:
                continue
            if not blurred(list(zip(table["hlb_as_weighed"], table["hlb_sd"], strict=True))):
                worst = table["hlb_sd"].max()
                mends.append(f"{words} (then ± {COVERAGE * worst:.2g} HLB)")
                break
        if (fewer := fewer_steps(shared, targets, pct)) is not None:
            mends.append(f"{fewer} steps over the same span")
        (a, u), (b, v) = rungs[closest], rungs[closest + 1]
        pairs = ", ".join(f"{k + 1} and {k + 2}" for k in where[:6])
        found.append(
            Finding(
                "caution",
                "Steps blur into each other on this scale",
                f"Vials {pairs}{' and more' if len(where) > 6 else ''} lie no further apart than "
                f"the scale can tell: vials {closest + 1} and {closest + 2} come out at HLB "
                f"{a:.2f} and {b:.2f}, each ± {COVERAGE * max(u, v):.2g} from weighing.",
                figure=f"{b - a:.2g} HLB apart",
                rule=f"bands of {COVERAGE:g} standard deviations on each side meet; our convention",
                mend=f"Any one of: {'; '.join(mends)}."
                if mends
                else "Take larger vials and a finer scale together.",
            )
        )
    mine = {n for n, _ in ladder.emulsifiers}
    small = [
        (g, n, v.number)
        for v in firsts
        for n, g in v.grams
        if n in mine and 0 < round(g / ladder.readability_g) < FEW_DIVISIONS
    ]
    if small:
        g, name, number = min(small)
        count = round(g / ladder.readability_g)
        found.append(
            Finding(
                "note",
                "Small amounts for this scale",
                f"In vial {number} {name} is {g:g} g on a scale of {ladder.readability_g:g} g.",
                figure=f"{count} division{'' if count == 1 else 's'}",
                rule=f"less than {FEW_DIVISIONS} divisions; {PRACTICE}",
                mend="The HLB as weighed takes it into account; weigh these with care.",
            )
        )
    return found
