"""Blend problems and their answers by other means than the solver's programmes.

A problem is a polytope in the amounts. Every vertex of it, and the nearest point on every face, are
found by trying all sets of limits that can hold as equalities, in plain numpy. An emulsifier with a
smallest amount is used or not, so such a problem is the union of one polytope a choice.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import NDArray

from hlbcore import Estimate, Group

Array = NDArray[np.float64]

SLACK = 1e-9  # a point that breaks no limit by more than this counts as inside


@dataclass(frozen=True)
class Asked:
    """One blend problem, as a caller of `solve_blend` states it."""

    emulsifiers: dict[str, Estimate]
    target: Estimate
    window: float
    total: tuple[float, float]
    limits: dict[str, tuple[float, float | None]] = field(default_factory=dict)
    groups: tuple[Group, ...] = ()
    smallest: float = 0.0
    cost: dict[str, float] = field(default_factory=dict)
    start: dict[str, float] = field(default_factory=dict)

    @property
    def hlb(self) -> Array:
        return np.array([e.value for e in self.emulsifiers.values()])

    @property
    def prices(self) -> Array:
        return np.array([self.cost[n] for n in self.emulsifiers])

    @property
    def first(self) -> Array:
        return np.array([self.start[n] for n in self.emulsifiers])

    def arguments(self) -> dict[str, object]:
        return {
            "window": self.window,
            "total": self.total,
            "limits": self.limits,
            "groups": self.groups,
            "smallest": self.smallest,
        }


def random_problem(seed: int, *, sizes: tuple[int, ...], smallest: bool) -> Asked:
    rng = np.random.default_rng(seed)
    names = list("abcdef")[: rng.choice(sizes)]
    emulsifiers = {}
    for name in names:
        value = rng.uniform(1, 19)
        emulsifiers[name] = Estimate(
            value, max(0.0, value - rng.uniform(0, 1.5)), value + rng.uniform(0, 1.5)
        )
    target = rng.uniform(2, 18)
    low = rng.uniform(1, 6)
    total = (low, low) if rng.random() < 0.3 else (low, low + rng.uniform(0.5, 4))
    limits: dict[str, tuple[float, float | None]] = {}
    for name in names:
        if rng.random() < 0.5:
            least = rng.uniform(0.1, 1.0) if rng.random() < 0.3 else 0.0
            limits[name] = (least, least + rng.uniform(0.3, 5) if rng.random() < 0.8 else None)
    groups = []
    for number in range(rng.integers(0, 3)):
        members = tuple(n for n in names if rng.random() < 0.6) or (names[0],)
        least = rng.uniform(0.1, 1) if rng.random() < 0.3 else 0.0
        high = least + rng.uniform(0.5, 5) if rng.random() < 0.7 else None
        groups.append(Group(f"group {number}", high=high, low=least, members=members))
    return Asked(
        emulsifiers,
        Estimate(target, max(0.0, target - rng.uniform(0, 2)), target + rng.uniform(0, 2)),
        rng.uniform(0.1, 1.5),
        total,
        limits,
        tuple(groups),
        rng.uniform(0.2, 1.2) if smallest else 0.0,
        {n: rng.uniform(2, 40) for n in names},
        {n: rng.uniform(0, 4) for n in names},
    )


def polytopes(asked: Asked, *, window: bool) -> Iterator[tuple[Array, Array, int]]:
    """All limits as rows A x <= b, with how many emulsifiers may be used, one entry a choice."""
    names = list(asked.emulsifiers)
    n = len(names)
    low = np.array([asked.limits.get(name, (0.0, None))[0] for name in names])
    high = np.array(
        [np.inf if (h := asked.limits.get(name, (0.0, None))[1]) is None else h for name in names]
    )
    a = [np.ones(n), -np.ones(n)]
    b = [asked.total[1], -asked.total[0]]
    for group in asked.groups:
        row = np.array([float(name in group.members) for name in names])
        if group.high is not None:
            a.append(row)
            b.append(group.high)
        if group.low > 0:
            a.append(-row)
            b.append(-group.low)
    if window:
        gap = asked.hlb - asked.target.value
        a += [gap - asked.window, -gap - asked.window]
        b += [0.0, 0.0]
    choices: list[tuple[bool, ...]] = [(True,) * n]
    if asked.smallest > 0:
        choices = [c for c in itertools.product([True, False], repeat=n) if any(c)]
    for chosen in choices:
        used = np.array(chosen)
        if np.any(low[~used] > 0):
            continue
        least = np.where(used, np.maximum(low, asked.smallest), 0.0)
        most = np.where(used, high, 0.0)
        if np.any(least > most):
            continue
        capped = np.isfinite(most)
        rows = np.vstack([*a, -np.eye(n), np.eye(n)[capped]])
        yield rows, np.concatenate([b, -least, most[capped]]), int(used.sum())


@cache
def _sets(rows: int, size: int) -> NDArray[np.int64]:
    return np.array(list(itertools.combinations(range(rows), size)), dtype=np.int64)


def nearest_on_faces(a: Array, b: Array, start: Array, sizes: range) -> Array:
    """Feasible points nearest to the start on every face where so many limits hold. (k, n)"""
    found = []
    for size in sizes:
        if size == 0:
            found.append(start[None, :])
            continue
        sets = _sets(len(a), size)
        rows, ends = a[sets], b[sets]
        gram = rows @ np.swapaxes(rows, 1, 2)
        lengths = np.prod(np.sum(rows**2, axis=2), axis=1)
        sound = np.linalg.det(gram) > 1e-12 * np.maximum(lengths, 1e-300)
        rows, ends, gram = rows[sound], ends[sound], gram[sound]
        off = ends - rows @ start
        found.append(start + np.einsum("kij,ki->kj", rows, np.linalg.solve(gram, off[..., None])[..., 0]))
    points = np.vstack(found)
    inside = np.all(points @ a.T <= b + SLACK * (1 + np.abs(b)), axis=1)
    return points[inside]


def vertices(asked: Asked, *, window: bool) -> list[Array]:
    """The corners of each choice that has any."""
    n = len(asked.emulsifiers)
    found = []
    for a, b, _ in polytopes(asked, window=window):
        corners = nearest_on_faces(a, b, np.zeros(n), range(n, n + 1))
        if len(corners):
            found.append(corners)
    return found


def reach(asked: Asked) -> list[tuple[float, float]]:
    """Intervals of HLB that the limits without the window allow; the ends lie at corners."""
    intervals = []
    for corners in vertices(asked, window=False):
        values = corners @ asked.hlb / corners.sum(axis=1)
        intervals.append((float(values.min()), float(values.max())))
    return intervals


def least_gap(asked: Asked) -> float:
    """Least |HLB - target| under the limits without the window; infinite where they contradict."""
    target = asked.target.value
    return min((max(0.0, low - target, target - high) for low, high in reach(asked)), default=np.inf)


def least_linear(asked: Asked, weights: Array) -> float:
    """Least value of a weighted sum of the amounts; infinite where there is no blend."""
    return min((float((corners @ weights).min()) for corners in vertices(asked, window=True)), default=np.inf)


def least_square(asked: Asked) -> float:
    """Least squared distance to the start; infinite where there is no blend."""
    start = asked.first
    best = np.inf
    for a, b, _ in polytopes(asked, window=True):
        points = nearest_on_faces(a, b, start, range(len(start) + 1))
        if len(points):
            best = min(best, float(np.min(np.sum((points - start) ** 2, axis=1))))
    return best
