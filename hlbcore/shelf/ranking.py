"""The order of the systems of a shelf, and the words for why each stands where it does."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from hlbcore.blending.candidates import NONIONIC_MOST
from hlbcore.blending.choice import ALONE_LEAST, ALONE_MOST, GAP_LEAST, GAP_MOST, pair_order
from hlbcore.blending.problem import Array
from hlbcore.product_types import ProductType
from hlbcore.shelf.asked import Asked
from hlbcore.shelf.solving import Index, Solved

CODE = 1 << 16
"""Greater than any position in a shelf: systems become numbers in order of their members. [-]"""

DIGITS = 10
"""Decimals to which values are compared: what differs by less is a tie. [-]"""

AS_ASKED = 0.005
"""A blend no further off has the HLB asked, as it is printed. [HLB]"""

AT_LIMIT = 1e-7
"""An amount nearer to its limit stands at it. [% of formula]"""


Key = Callable[[Index], Array]
"""From positions to the values that systems are ordered by; the least stands first."""


def first(keys: Sequence[Key], count: int, top: int) -> Index:
    """Positions of the first entries by several keys, the first key leading; quick where few are asked."""
    pool = np.arange(count)
    sure: list[Index] = []
    wanted = min(top, count)
    for key in keys:
        if wanted <= 0 or len(pool) <= wanted:
            break
        values = key(pool)
        edge = np.partition(values, wanted - 1)[wanted - 1]
        ahead = pool[values < edge]
        sure.append(ahead)
        wanted -= len(ahead)
        pool = pool[values == edge]
    held = np.concatenate([*sure, pool])
    return held[np.lexsort([key(held) for key in reversed(keys)])][:top]


def _rounded(values: Array) -> Array:
    return np.asarray(np.round(values, DIGITS), dtype=np.float64)


def keys_of(solved: Solved, objective: str, product: ProductType) -> list[Key]:
    """What systems are ordered by, the leading key first; ties fall to the order of the ids."""
    target = solved.asked.target.value

    def off(at: Index) -> Array:
        return _rounded(np.abs(solved.hlb[at] - target))

    def total(at: Index) -> Array:
        return _rounded(solved.total[at])

    def spread(at: Index) -> Array:
        return _rounded(solved.spread(at))

    def code(at: Index) -> Array:
        a, b, c = solved.members[:, at].astype(np.float64) + 1
        return np.asarray((a * CODE + b) * CODE + c)

    def margin(at: Index) -> Array:
        return _rounded(-solved.margin(at))

    def cost(at: Index) -> Array:
        return np.nan_to_num(_rounded(solved.cost(at)), nan=np.inf)

    leading: dict[str, list[Key]] = {
        "closest": [off, total],
        "least total": [total, off],
        "most tolerant": [margin, total],
        "cheapest": [cost, off],
    }
    found = leading.get(objective) or [lambda at: preference(solved, at, product), off]
    return [*found, spread, code]


PAIR, OTHER_PAIR, TRIPLE, SINGLE = range(4)
"""Classes of the default order, where HLB governs."""


def preference(solved: Solved, at: Index, product: ProductType) -> Array:
    """The default order as one number: class by class, pairs as the tool would choose them.

    Within a class those that meet the HLB stand before those that only come near.
    """
    asked, members = solved.asked, solved.members[:, at]
    size = solved.size(at)
    place = np.choose(size - 1, [SINGLE, OTHER_PAIR, TRIPLE]).astype(float)
    if product.alone:
        lone = np.flatnonzero(size == 1)
        fits = (asked.hlb >= ALONE_LEAST) & (asked.hlb <= ALONE_MOST)
        place[lone] = np.where(fits[members[0, lone]], -1.0, SINGLE)
    pairs = np.flatnonzero(size == 2)
    orders = [_order(asked, pair, product) for pair in members[:2, pairs].T.tolist()]
    ranked = sorted({o for o in orders if o is not None})
    step = {o: 0.4 * n / (len(ranked) + 1) for n, o in enumerate(ranked)}
    place[pairs] = [OTHER_PAIR if o is None else PAIR + step[o] for o in orders]
    return np.asarray(place + 0.5 * (np.abs(solved.hlb[at] - asked.target.value) > AS_ASKED))


def _order(
    asked: Asked, pair: Sequence[int], product: ProductType
) -> tuple[bool, bool, bool, int, int] | None:
    """The place of a pair among those that the tool would choose; None where it would not."""
    low, high = (asked.shelf.held[n] for n in sorted(pair, key=lambda n: asked.hlb[n]))
    if low.ingredient is None or high.ingredient is None or high.estimate.value > NONIONIC_MOST:
        return None
    return pair_order(
        low.ingredient, low.estimate, high.ingredient, high.estimate, asked.target.value, product
    )


def why(solved: Solved, at: int, objective: str, product: ProductType) -> str:
    """Why a system stands where it does, in words."""
    asked, members, here = solved.asked, solved.of(at), np.array([at])
    said: list[str] = []
    if objective == "cheapest":
        missing = [asked.shelf.held[m].label for m in members if math.isnan(asked.price[m])]
        if missing:
            said.append(f"listed last: no price for {' and '.join(missing)}")
        else:
            said.append(f"costs {solved.cost(here)[0] / 100:.3g} per kg of formula")
    elif objective == "most tolerant":
        margin = float(solved.margin(here)[0])
        left = f"{margin:.2g} of the window is left" if margin >= 0 else f"{-margin:.2g} beyond the window"
        said.append(f"at the worst of all doubts {left}")
    elif objective == "least total":
        said.append(f"{solved.total[at]:.3g} % of the formula")
    elif not objective:
        said.append(_preferred(asked, members, product))
    off = float(solved.hlb[at]) - asked.target.value
    if abs(off) < AS_ASKED:
        said.append(f"HLB {solved.hlb[at]:.1f} as asked")
    else:
        edge = ", at the edge of the window" if abs(abs(off) - asked.window) < AT_LIMIT else ""
        word = "below" if off < 0 else "above"
        said.append(
            f"HLB {solved.hlb[at]:.2f}, {abs(off):.2g} {word} the {asked.target.value:.1f} asked{edge}"
        )
    said += _at_limits(solved, at, members)
    if len(members) == 1:
        said.append("alone: HLB gives no verdict on one emulsifier")
    return "; ".join(s for s in said if s)


def _preferred(asked: Asked, members: Sequence[int], product: ProductType) -> str:
    """The place in the default order, in words."""
    if len(members) == 1:
        suits = product.alone and ALONE_LEAST <= asked.hlb[members[0]] <= ALONE_MOST
        return product.alone_reason if suits else ""
    if len(members) == 3:
        return "three to weigh: after the pairs"
    order = _order(asked, members, product)
    if order is None:
        gap = float(abs(asked.hlb[members[0]] - asked.hlb[members[1]]))
        if GAP_LEAST <= gap <= GAP_MOST:
            return ""
        return f"{gap:.1f} HLB {'from each other: close' if gap < GAP_LEAST else 'from each other: far'}"
    low = asked.shelf.held[min(members, key=lambda n: asked.hlb[n])].ingredient
    chain = f"of the same fatty chain ({low.chain})" if low and not order[0] else "of different fatty chains"
    usual = ", sorbitan ester with polysorbate" if not order[1] else ""
    return f"one below and one above the HLB asked, {chain}{usual}"


def _at_limits(solved: Solved, at: int, members: Sequence[int]) -> list[str]:
    """Amounts that stand at a limit, in words."""
    asked, said = solved.asked, []
    amounts = (solved.shares[:, at] * solved.total[at]).tolist()
    least = asked.min_share * float(solved.total[at])
    for m, amount in zip(members, amounts, strict=False):
        label = asked.shelf.held[m].label
        if amount >= asked.upper[m] - AT_LIMIT:
            said.append(f"{label} at its upper limit {asked.upper[m]:g} %")
        elif asked.lower[m] > 0 and amount <= asked.lower[m] + AT_LIMIT:
            said.append(f"{label} at its lower limit {asked.lower[m]:g} %")
        elif len(members) > 1 and amount <= least + AT_LIMIT:
            said.append(f"{label} at its least share")
    for name, inside, low, high in asked.groups:
        whole = math.fsum(a for a, m in zip(amounts, members, strict=False) if inside[m])
        if whole >= high - AT_LIMIT or (low > 0 and whole <= low + AT_LIMIT):
            said.append(f"limit on {name}")
    return said
