"""The best amounts of every system of a shelf, by one objective, in arrays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from hlbcore.blending.problem import Array
from hlbcore.shelf.asked import Asked
from hlbcore.shelf.closed import (
    NEAR,
    Best,
    Flags,
    Rows,
    Tolerance,
    added,
    cheapest,
    closest,
    dot,
    filled,
    most_tolerant,
)

Index = NDArray[np.intp]

CHUNK = 16_384
"""Systems solved at once: their arrays stay in the processor's cache. Tried out. [-]"""

REAL = 1e-9
"""A member with a smaller share is not there: the system is a copy of a smaller one. [-]"""

STEPS = 62
"""Steps of the search for the best total; each leaves 0.618 of the span, 1e-13 in the end. [-]"""

SAME, AT_END = 1e-13, 1e-11
"""Values nearer than this count as one in that search, and at its end, where the search may stand
beside a limit by a little more. [-]"""

OBJECTIVES = ("closest", "most tolerant", "cheapest", "least total")
"""What systems may be solved and ranked by."""


@dataclass(frozen=True, slots=True)
class Solved:
    """All systems that are possible, one an entry.

    Parameters
    ----------
    asked : Asked
        What was asked.
    members : ndarray of int
        Positions in the shelf; -1 where a system has fewer. Shape (3, n). [-]
    shares : ndarray
        Of the blend; 0 where a system has fewer. Shape (3, n). [-]
    hlb : ndarray
        HLB of the blend. Shape (n,). [HLB]
    total : ndarray
        All emulsifiers. Shape (n,). [% of formula]
    tried, clashes : int
        Systems that were looked at, and those left out for their charges. [-]
    """

    asked: Asked
    members: NDArray[np.int16]
    shares: Array
    hlb: Array
    total: Array
    tried: int
    clashes: int

    def __len__(self) -> int:
        return len(self.hlb)

    def blended(self, figures: Array, at: Index) -> Array:
        """A figure of the emulsifiers, blended, for the systems at these positions."""
        held = np.append(figures, 0.0)  # what is not there counts nothing
        found = held[self.members[0][at]] * self.shares[0][at]
        for m, share in zip(self.members[1:], self.shares[1:], strict=True):
            found = found + held[m[at]] * share[at]
        return np.asarray(found)

    def cost(self, at: Index) -> Array:
        """Price times % of formula; NaN where a price is missing."""
        return self.blended(self.asked.price, at) * self.total[at]

    def spread(self, at: Index) -> Array:
        """Width of the range of the blend. [HLB]"""
        return self.blended(self.asked.high - self.asked.low, at)

    def margin(self, at: Index) -> Array:
        """How much of the window is left when both doubts are at their worst. [HLB]"""
        a = self.asked
        return tolerance_of(a).margin(self.blended(a.low, at), self.blended(a.high, at))

    def size(self, at: Index) -> Index:
        """Emulsifiers of each system. [-]"""
        return np.asarray(np.sum(self.members[:, at] >= 0, axis=0))

    def of(self, at: int) -> list[int]:
        """Positions of the members of one system in the shelf, in order of id."""
        return [int(m) for m in self.members[:, at] if m >= 0]


def tolerance_of(asked: Asked) -> Tolerance:
    """Target and window with the target's range."""
    t = asked.target
    return Tolerance(t.value, t.low, t.high, asked.window)


@lru_cache(maxsize=16)
def combinations(count: int, size: int) -> tuple[Index, ...]:
    """Positions of every system of one size, in lexicographic order, one array a member."""
    if size == 1:
        return (np.arange(count),)
    if size == 2:
        first, second = np.triu_indices(count, 1)
        return first, second
    pairs = combinations(count, 2)
    times = count - 1 - pairs[1]
    first, second = np.repeat(pairs[0], times), np.repeat(pairs[1], times)
    start = np.repeat(np.cumsum(times) - times, times)
    return first, second, second + 1 + np.arange(len(first)) - start


def systems_of(asked: Asked, size: int) -> tuple[tuple[Index, ...], int, int]:
    """The systems of one size that hold what must be used and whose charges go together."""
    members = combinations(len(asked.hlb), size)
    tried = len(members[0])
    for must in np.flatnonzero(asked.lower > 0):
        holds = np.any([m == must for m in members], axis=0)
        members = tuple(m[holds] for m in members)
    clash = np.zeros(len(members[0]), dtype=bool)
    if np.any(asked.charge < 0) and np.any(asked.charge > 0):
        charges = [asked.charge[m] for m in members]
        clash = (np.min(charges, axis=0) < 0) & (np.max(charges, axis=0) > 0)
        members = tuple(m[~clash] for m in members)
    return members, tried, int(np.sum(clash))


def bounds(
    asked: Asked, members: tuple[Index, ...], one_over_total: Array
) -> tuple[Rows, Rows, Flags | bool]:
    """Least and most share of each member at a total, and whether groups of all members allow it.

    At a given total a group of one member is a limit on it, a group of all but one a limit on the
    one that is left, and a group of all a limit on the total.
    """
    size = len(members)
    if not asked.limited:
        return (np.asarray(asked.min_share),) * size, (np.asarray(1.0),) * size, True
    least, most = [], []
    for m in members:
        least.append(np.maximum(asked.lower[m] * one_over_total, asked.min_share))
        most.append(np.minimum(asked.upper[m] * one_over_total, 1.0))
    fine = np.ones(len(members[0]), dtype=bool)
    for _, inside, low, high in asked.groups:
        held = [inside[m] for m in members]
        count = np.sum(held, axis=0)
        floor, top = low * one_over_total, high * one_over_total
        fine &= (count > 0) | (low <= 0)
        fine &= (count < size) | ((floor <= 1 + NEAR) & (top >= 1 - NEAR))
        for i in range(size):
            alone = held[i] & (count == 1)
            other = ~held[i] & (count == size - 1) & (count > 0)
            least[i] = np.where(alone, np.maximum(least[i], floor), least[i])
            most[i] = np.where(alone, np.minimum(most[i], top), most[i])
            least[i] = np.where(other, np.maximum(least[i], 1 - top), least[i])
            most[i] = np.where(other, np.minimum(most[i], 1 - floor), most[i])
    return tuple(least), tuple(most), fine


class Solver:
    """One objective over systems of a shelf.

    Parameters
    ----------
    asked : Asked
        What is asked.
    objective : str
        One of `OBJECTIVES`; for a system without all its prices ``cheapest`` is ``closest``.
    """

    def __init__(self, asked: Asked, objective: str) -> None:
        self.asked, self.objective = asked, objective
        self.known = ~np.isnan(asked.price)
        self.price = np.where(self.known, asked.price, 0.0)
        scale = float(np.max(self.price, initial=0.0)) or 1.0
        self.weight = self.price / scale
        self.ranks = {
            "price": ranked(self.weight),
            "hlb": ranked(asked.hlb),
            "high": ranked(asked.high),
            "low": ranked(-asked.low),
        }
        self.spread = asked.high - asked.low
        self.tolerance = tolerance_of(asked)

    def best(self, members: tuple[Index, ...], least: Rows, most: Rows) -> Best:
        """The best shares of these systems between these limits."""
        a = self.asked

        def of(figures: Array) -> Rows:
            return tuple(figures[m] for m in members)

        hlb = of(a.hlb)
        if self.objective == "most tolerant":
            ranks = of(self.ranks["high"]), of(self.ranks["low"])
            return most_tolerant(hlb, of(a.low), of(a.high), ranks, least, most, self.tolerance)
        near = None
        if self.objective != "cheapest" or not self.known.all():
            near = closest(hlb, of(self.spread), of(self.ranks["hlb"]), least, most, a.target.value, a.window)
        if self.objective != "cheapest":
            assert near is not None
            return near
        found = cheapest(hlb, of(self.weight), of(self.ranks["price"]), least, most, a.edges)
        if near is None:
            return found
        known = np.all(of(self.known), axis=0)
        shares = tuple(np.where(known, x, y) for x, y in zip(found.shares, near.shares, strict=True))
        return Best(shares, np.where(known, found.hlb, near.hlb), near.possible)

    def solve(self, members: tuple[Index, ...]) -> tuple[Best, Array]:
        """The best shares and one over the total of these systems."""
        most_t = np.full(len(members[0]), 1 / self.asked.total[0])
        # without lower limits all amounts can shrink together, so that the least total serves best
        t = self._best_total(members) if self.asked.has_floors and self._spans else most_t
        least, most, fine = bounds(self.asked, members, t)
        found = self.best(members, least, most)
        return Best(found.shares, found.hlb, found.possible & fine), t

    @property
    def _spans(self) -> bool:
        return self.asked.total[0] < self.asked.total[1]

    def _best_total(self, members: tuple[Index, ...]) -> Array:
        """One over the best total of each system.

        Limits broken, window missed and objective are convex in the total: a search for the least of
        the first, then of the second, then of the third, then for the least total.
        """
        count = len(members[0])
        low, high = np.full(count, 1 / self.asked.total[1]), np.full(count, 1 / self.asked.total[0])
        ends = low.copy(), high.copy()
        for _ in range(STEPS):
            span = (high - low) * 0.6180339887498949
            one, other = high - span, low + span
            upward = _not_worse(self._worth(members, other), self._worth(members, one))
            low, high = np.where(upward, one, low), np.where(upward, high, other)
        best = high
        for t in (low, *ends):
            better = _not_worse(self._worth(members, best), self._worth(members, t), AT_END)
            best = np.where(better, best, t)
        return best

    def _worth(self, members: tuple[Index, ...], t: Array) -> tuple[Array, Array, Array]:
        """How far limits are broken, how far the window is missed, and the objective; less is better."""
        a = self.asked
        least, most, _ = bounds(a, members, t)
        broken = np.maximum(added(least) - 1, 1 - added(most))
        for low, high in zip(least, most, strict=True):
            broken = np.maximum(broken, low - high)
        for _, inside, floor, top in a.groups:
            whole = np.all([inside[m] for m in members], axis=0)
            broken = np.maximum(broken, np.where(whole, np.maximum(floor * t - 1, 1 - top * t), 0.0))
        hlb = tuple(a.hlb[m] for m in members)
        rank = tuple(self.ranks["hlb"][m] for m in members)
        ends = dot(hlb, filled(rank, least, most)), dot(hlb, filled(tuple(-r for r in rank), least, most))
        missed = np.maximum(ends[0] - a.edges[1], a.edges[0] - ends[1])
        found = self.best(members, least, most)
        if self.objective == "least total":
            value = -t
        elif self.objective == "closest":
            value = np.abs(found.hlb - a.target.value)
        elif self.objective == "cheapest":
            value = dot(tuple(self.weight[m] for m in members), found.shares) / t
            if not self.known.all():
                known = np.all([self.known[m] for m in members], axis=0)
                value = np.where(known, value, np.abs(found.hlb - a.target.value))
        else:
            value = -self._margin(members, found.shares)
        return np.maximum(broken, 0.0), np.maximum(missed, 0.0), value

    def _margin(self, members: tuple[Index, ...], shares: Rows) -> Array:
        low = dot(tuple(self.asked.low[m] for m in members), shares)
        return self.tolerance.margin(low, dot(tuple(self.asked.high[m] for m in members), shares))

    def parts(self) -> Iterator[tuple[tuple[Index, ...], Best, Array, int, int]]:
        """Every size in chunks: members, best shares, one over the total, systems tried and left out."""
        for size in self.asked.sizes:
            members, tried, clashes = systems_of(self.asked, size)
            for start in range(0, max(len(members[0]), 1), CHUNK):
                part = tuple(m[start : start + CHUNK] for m in members)
                found, t = self.solve(part)
                yield part, found, t, tried if start == 0 else 0, clashes if start == 0 else 0


def ranked(figures: Array) -> Array:
    """The place of each figure, from the least up; ties fall to the order given."""
    rank = np.empty(len(figures))
    rank[np.argsort(figures, kind="stable")] = np.arange(len(figures))
    return rank


def _not_worse(
    one: tuple[Array, Array, Array], other: tuple[Array, Array, Array], same: float = SAME
) -> Flags:
    """Whether the first is at least as good, by the first figure in which they differ."""
    found = one[2] <= other[2] + same
    for a, b in zip(one[1::-1], other[1::-1], strict=True):
        found = np.where(np.abs(a - b) <= same, found, a < b)
    return np.asarray(found)


def solve_all(asked: Asked, objective: str) -> Solved:
    """The best amounts of every system, by one objective; those that are possible."""
    solver = Solver(asked, objective)
    kept: list[tuple[Array, Array, Array]] = []
    members_kept: list[NDArray[np.int16]] = [np.zeros((3, 0), dtype=np.int16)]
    tried = clashes = 0
    for members, found, t, more, against in solver.parts():
        tried, clashes = tried + more, clashes + against
        real = np.broadcast_to(found.possible, t.shape)
        for share in found.shares if asked.min_share <= REAL else ():
            real = real & (share > REAL)
        at = np.flatnonzero(real)
        here = np.full((3, len(at)), -1, dtype=np.int16)
        shares = np.zeros((3, len(at)))
        for i, m in enumerate(members):
            here[i], shares[i] = m[at], np.broadcast_to(found.shares[i], t.shape)[at]
        members_kept.append(here)
        kept.append((shares, found.hlb[at], 1 / t[at]))
    shares, hlb, total = (
        np.concatenate([part[i] for part in kept], axis=-1) if kept else np.zeros((3, 0) if not i else 0)
        for i in range(3)
    )
    return Solved(asked, np.concatenate(members_kept, axis=1), shares, hlb, total, tried, clashes)
