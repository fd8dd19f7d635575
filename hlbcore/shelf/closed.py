"""Best shares of singles, pairs and triples at one total, in closed steps, all systems at once.

Arrays hold one system an entry; a system of k emulsifiers is k arrays, one a member. Shares are
fractions of the blend, each between its least and its most, and add up to 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hlbcore.blending.problem import Array

Rows = tuple[Array, ...]
"""One array a member."""

Flags = NDArray[np.bool_]

NEAR = 1e-11
"""A share that breaks a limit by less keeps it. [-]"""

ON_EDGE = 1e-9
"""A blend this far beyond the edge of the window is inside. [HLB]"""

FLAT = 1e-18
"""Sum of squared differences below which figures count as one. [HLB²]"""


@dataclass(frozen=True, slots=True)
class Best:
    """The best shares of each system.

    Parameters
    ----------
    shares : tuple of ndarray
        One array a member. [-]
    hlb : ndarray
        HLB of the blend. Shape (n,). [HLB]
    possible : ndarray of bool
        Whether any shares meet the limits and the window. Shape (n,).
    """

    shares: Rows
    hlb: Array
    possible: Flags


def added(parts: Sequence[Array]) -> Array:
    """Sum over the members, a system an entry."""
    whole = parts[0]
    for part in parts[1:]:
        whole = whole + part
    return whole


def dot(figures: Sequence[Array], shares: Sequence[Array]) -> Array:
    """Sum of figure times share, a system an entry."""
    whole = figures[0] * shares[0]
    for figure, share in zip(figures[1:], shares[1:], strict=True):
        whole = whole + figure * share
    return np.asarray(whole)


def meets(least: Rows, most: Rows) -> Flags:
    """Whether shares between these limits can add up to 1."""
    found = (added(least) <= 1 + NEAR) & (added(most) >= 1 - NEAR)
    for low, high in zip(least, most, strict=True):
        found = found & (low <= high + NEAR)
    return np.asarray(found)


def filled(rank: Sequence[Array], least: Rows, most: Rows) -> Rows:
    """Start at the lower limits and raise the members in order of rank until the sum is 1."""
    size = len(rank)
    rest = 1 - added(least)
    room = [high - low for low, high in zip(least, most, strict=True)]
    first = {(i, j): rank[i] < rank[j] for i in range(size) for j in range(i + 1, size)}
    shares = []
    for i in range(size):
        taken: Array | float = 0.0
        for j in range(size):
            if j != i:
                before = first[j, i] if j < i else ~first[i, j]
                taken = taken + before * room[j]
        shares.append(least[i] + np.minimum(np.maximum(rest - taken, 0.0), room[i]))
    return tuple(shares)


def at_figure(
    figures: Rows,
    wanted: Array,
    cost: Rows,
    least: Rows,
    most: Rows,
    *,
    cut: tuple[Rows, float, float] | None = None,
) -> tuple[Rows, Flags]:
    """The cheapest shares whose blend has exactly the wanted figure, and whether there are any.

    In a triple these lie on a segment along (g2 - g3, g3 - g1, g1 - g2), the null vector of the rows
    of ones and of figures, cut by the limits; `cut` bounds a further blend figure.
    """
    size = len(figures)
    mean = added(figures) / size
    off = [g - mean for g in figures]
    square = added([d * d for d in off])
    flat = np.asarray(square < FLAT)
    step = (wanted - mean) / np.where(flat, 1.0, square)
    start = [1 / size + step * d for d in off]
    possible: Flags = ~flat
    if size < 3:
        for y, low, high in zip(start, least, most, strict=True):
            possible = possible & (y >= low - NEAR) & (y <= high + NEAR)
        return tuple(np.clip(y, low, high) for y, low, high in zip(start, least, most, strict=True)), possible
    along = (figures[1] - figures[2], figures[2] - figures[0], figures[0] - figures[1])
    rows = list(zip(along, start, least, most, strict=True))
    if cut is not None:
        rows.append((dot(cut[0], along), dot(cut[0], start), np.asarray(cut[1]), np.asarray(cut[2])))
    low_end, high_end = np.full(flat.shape, -np.inf), np.full(flat.shape, np.inf)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        for d, y, low, high in rows:
            still = d == 0
            one, other = (low - y) / d, (high - y) / d
            low_end = np.where(still, low_end, np.maximum(low_end, np.minimum(one, other)))
            high_end = np.where(still, high_end, np.minimum(high_end, np.maximum(one, other)))
            possible = possible & (~still | ((y >= low - NEAR) & (y <= high + NEAR)))
    possible = possible & (np.where(flat, 0.0, high_end - low_end) * np.sqrt(square) >= -NEAR)
    slope = dot(cost, along)
    far = np.where(slope > 0, low_end, high_end)
    far = np.where(possible & np.isfinite(far), far, 0.0)
    shares = zip(start, along, least, most, strict=True)
    return tuple(np.clip(y + far * d, low, high) for y, d, low, high in shares), possible


def cheapest(hlb: Rows, cost: Rows, rank: Rows, least: Rows, most: Rows, edges: tuple[float, float]) -> Best:
    """Least cost inside the window; `rank` orders the members by cost.

    Fill in order of cost; where that blend lies outside, the best one lies on the nearer edge, since
    least cost is convex in the HLB.
    """
    shares = filled(rank, least, most)
    found = dot(hlb, shares)
    possible = meets(least, most)
    outside = (found < edges[0] - ON_EDGE) | (found > edges[1] + ON_EDGE)
    moved, there = at_figure(hlb, np.clip(found, *edges), cost, least, most)
    shares = tuple(np.where(outside, b, a) for a, b in zip(shares, moved, strict=True))
    return Best(shares, dot(hlb, shares), possible & (~outside | there))


def closest(
    hlb: Rows, spread: Rows, rank: Rows, least: Rows, most: Rows, target: float, window: float
) -> Best:
    """Nearest HLB, then the least sum of ranges; `rank` orders the members by HLB."""
    lowest = filled(rank, least, most)
    highest = filled(tuple(-r for r in rank), least, most)
    ends = dot(hlb, lowest), dot(hlb, highest)
    wanted = np.clip(target, ends[0], ends[1])
    between, there = at_figure(hlb, wanted, spread, least, most)
    low, high = target <= ends[0], target >= ends[1]
    shares = tuple(
        np.where(low, a, np.where(high | ~there, c, b))
        for a, b, c in zip(lowest, between, highest, strict=True)
    )
    found = dot(hlb, shares)
    return Best(shares, found, meets(least, most) & (np.abs(found - target) <= window + ON_EDGE))


@dataclass(frozen=True, slots=True)
class Tolerance:
    """What `most_tolerant` holds the blend against.

    Parameters
    ----------
    target, target_low, target_high, window : float
        HLB wanted, its range, half width. [HLB]
    """

    target: float
    target_low: float
    target_high: float
    window: float

    def margin(self, low: Array, high: Array) -> Array:
        """How much of the window is left when both doubts are at their worst. [HLB]"""
        return np.asarray(self.window - np.maximum(high - self.target_low, self.target_high - low))


def most_tolerant(
    hlb: Rows, low: Rows, high: Rows, ranks: tuple[Rows, Rows], least: Rows, most: Rows, asked: Tolerance
) -> Best:
    """Greatest margin of the doubts against the window, which binds the nominal HLB.

    The greater of two linear functions is least where one of them is least and the other no greater,
    or where both are equal. `ranks` order the members by high end, and from the highest low end down.
    """
    edges = asked.target - asked.window, asked.target + asked.window
    down = tuple(-x for x in low)
    one = cheapest(hlb, high, ranks[0], least, most, edges)
    other = cheapest(hlb, down, ranks[1], least, most, edges)
    middle = tuple((a + b) / 2 for a, b in zip(low, high, strict=True))
    both = (asked.target_low + asked.target_high) / 2
    met, there = at_figure(middle, np.full(one.hlb.shape, both), high, least, most, cut=(hlb, *edges))
    met_hlb = dot(hlb, met)
    there = there & (met_hlb >= edges[0] - ON_EDGE) & (met_hlb <= edges[1] + ON_EDGE)
    margins = [
        np.where(ok, asked.margin(dot(low, y), dot(high, y)), -np.inf)
        for y, ok in ((one.shares, one.possible), (other.shares, other.possible), (met, there))
    ]
    second, third = margins[1] > margins[0], margins[2] > np.maximum(margins[0], margins[1])
    shares = tuple(
        np.where(third, c, np.where(second, b, a))
        for a, b, c in zip(one.shares, other.shares, met, strict=True)
    )
    return Best(shares, dot(hlb, shares), one.possible | other.possible)
