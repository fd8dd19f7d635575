"""The programmes behind the blend solver, on plain arrays.

Amounts here are fractions of the highest total allowed, so that a batch of any size solves alike.
Where an objective is a ratio over the total T, the programme is put into y = x/T, t = 1/T (Charnes
and Cooper 1962), which makes it linear again.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp, nnls

from hlbcore.errors import TimeLimitReached
from hlbcore.limits import SOLVER_SECONDS

Array = NDArray[np.float64]

TIGHT = 1e-9  # slack on a value kept from an earlier programme
NEAR = 1e-6  # a constraint nearer than this is binding; HiGHS itself accepts 1e-7
SUBSETS_MOST = 12  # emulsifiers up to which every subset is tried for `least change`


def alligation(first: float, second: float, target: float) -> tuple[float, float]:
    """Fractions of two parts that mix to the target; the parts differ and enclose it."""
    share = (target - first) / (second - first)
    return 1 - share, share


@dataclass(frozen=True, slots=True)
class Problem:
    """One blend problem, scaled.

    Parameters
    ----------
    hlb, hlb_low, hlb_high : ndarray
        HLB of each emulsifier and its range. Shape (n,). [HLB]
    lower, upper : ndarray
        Limits of each amount. Shape (n,). [-]
    total : tuple of float
        Lowest and highest total; the highest is 1. [-]
    target, target_low, target_high, window : float
        Target, its range, half width of the window. [HLB]
    rows : ndarray
        Coefficients of group and coverage limits. Shape (k, n).
    row_low, row_high : ndarray
        Ends of those limits, infinite where there is none. Shape (k,). [-]
    smallest : float
        If used, at least this much. [-]
    """

    hlb: Array
    hlb_low: Array
    hlb_high: Array
    lower: Array
    upper: Array
    total: tuple[float, float]
    target: float
    target_low: float
    target_high: float
    window: float
    rows: Array
    row_low: Array
    row_high: Array
    smallest: float = 0.0

    @property
    def size(self) -> int:
        """Number of emulsifiers."""
        return len(self.hlb)

    def inequalities(self, *, window: bool) -> tuple[Array, Array]:
        """All limits but the bounds, as A x <= b in the amounts."""
        n = self.size
        blocks = [np.ones((1, n)), -np.ones((1, n))]
        ends = [self.total[1], -self.total[0]]
        for row, low, high in zip(self.rows, self.row_low, self.row_high, strict=True):
            if np.isfinite(high):
                blocks.append(row[None, :])
                ends.append(high)
            if np.isfinite(low):
                blocks.append(-row[None, :])
                ends.append(-low)
        if window:
            blocks.append((self.hlb - self.target - self.window)[None, :])
            blocks.append((self.target - self.window - self.hlb)[None, :])
            ends += [0.0, 0.0]
        return np.vstack(blocks), np.array(ends)

    def ratio_inequalities(self, *, window: bool) -> Array:
        """The same limits and the bounds as A (y, t) <= 0."""
        a, b = self.inequalities(window=window)
        n = self.size
        eye = np.eye(n)
        capped = np.isfinite(self.upper)
        floored = self.lower > 0
        return np.vstack(
            [
                np.column_stack([a[2:], -b[2:]]),  # the total stands in the bounds of t
                np.column_stack([eye[capped], -self.upper[capped]]),
                np.column_stack([-eye[floored], self.lower[floored]]),
            ]
        )


def _linear(
    c: Array, a: Array, b: Array, *, equal: tuple[Array, float] | None = None, bounds: Array
) -> Array | None:
    """One linear programme; None where it has no solution.

    `milp` without integers: the same solver as `linprog`, with less done around it.
    """
    limits = [LinearConstraint(a, -np.inf, b)]
    if equal is not None:
        limits.append(LinearConstraint(equal[0][None, :], equal[1], equal[1]))
    return _solved(c, limits, Bounds(bounds[:, 0], bounds[:, 1]))


def _solved(
    c: Array, limits: list[LinearConstraint], bounds: Bounds, whole: Array | None = None
) -> Array | None:
    """One programme, stopped after a while; None where it has no solution."""
    # HiGHS may print "...transformNewIntegerFeasibleSolution tmpSolver.run()": no option stops it
    options = {"time_limit": SOLVER_SECONDS}
    result = milp(c, integrality=whole, bounds=bounds, constraints=limits, options=options)
    if result.status == 1:
        raise _too_long()
    return np.asarray(result.x, dtype=float) if result.status == 0 else None


def _too_long() -> TimeLimitReached:
    return TimeLimitReached(
        "The blend",
        SOLVER_SECONDS,
        "Give fewer emulsifiers, leave out the smallest amount, or look for something else.",
    )


def _rank(problem: Problem) -> Array:
    """Costs that settle ties: narrow ranges first, then the order of the list."""
    spread = problem.hlb_high - problem.hlb_low
    return np.asarray(spread + 1e-6 * np.arange(problem.size))


def closest(problem: Problem) -> Array | None:
    """Least |H - R|; then the least total; then the least sum of ranges; then the order given."""
    n = problem.size
    base = problem.ratio_inequalities(window=True)
    gap = problem.hlb - problem.target
    a = np.vstack(
        [
            np.column_stack([base, np.zeros(len(base))]),
            np.concatenate([gap, [0.0, -1.0]]),
            np.concatenate([-gap, [0.0, -1.0]]),
        ]
    )
    bounds = _ratio_bounds(problem, (0.0, np.inf))
    return _three_steps(problem, a, bounds, np.concatenate([np.zeros(n + 1), [1.0]]), n)


def most_tolerant(problem: Problem) -> Array | None:
    """Greatest margin of the doubts against the window; the window binds the nominal HLB only."""
    n = problem.size
    base = problem.ratio_inequalities(window=True)
    a = np.vstack(
        [
            np.column_stack([base, np.zeros(len(base))]),
            np.concatenate([problem.hlb_high - problem.target_low - problem.window, [0.0, 1.0]]),
            np.concatenate([problem.target_high - problem.window - problem.hlb_low, [0.0, 1.0]]),
        ]
    )
    bounds = _ratio_bounds(problem, (-np.inf, np.inf))
    return _three_steps(problem, a, bounds, np.concatenate([np.zeros(n + 1), [-1.0]]), n)


def _ratio_bounds(problem: Problem, last: tuple[float, float]) -> Array:
    rows = [(0.0, 1.0)] * problem.size
    return np.array([*rows, (1 / problem.total[1], 1 / problem.total[0]), last])


def _three_steps(problem: Problem, a: Array, bounds: Array, c: Array, n: int) -> Array | None:
    """The best value of `c`; then the least total; then the least rank."""
    equal = (np.concatenate([np.ones(n), [0.0, 0.0]]), 1.0)
    b = np.zeros(len(a))
    best = _linear(c, a, b, equal=equal, bounds=bounds)
    if best is None:
        return None
    bounds = bounds.copy()
    bounds[-1] = (-np.inf, best[-1] + TIGHT) if c[-1] > 0 else (best[-1] - TIGHT, np.inf)
    if problem.total[0] < problem.total[1]:
        most_t = _linear(-np.eye(n + 2)[n], a, b, equal=equal, bounds=bounds)
        if most_t is not None:
            best = most_t
            bounds[n] = (min(best[n] * (1 - TIGHT), bounds[n][1]), bounds[n][1])
    last = _linear(np.concatenate([_rank(problem), [0.0, 0.0]]), a, b, equal=equal, bounds=bounds)
    best = best if last is None else last
    return np.asarray(best[:n] / best[n])


def cheapest(problem: Problem, cost: Array) -> Array | None:
    """Least cost (or least total, with equal costs); then nearest HLB; then the order given."""
    n = problem.size
    a, b = problem.inequalities(window=True)
    bounds = np.column_stack([problem.lower, problem.upper])
    best = _linear(cost, a, b, bounds=bounds)
    if best is None:
        return None
    gap = problem.hlb - problem.target
    held = float(cost @ best)
    a2 = np.vstack(
        [
            np.column_stack([a, np.zeros(len(a))]),
            np.concatenate([cost, [0.0]]),
            np.concatenate([gap, [-1.0]]),
            np.concatenate([-gap, [-1.0]]),
        ]
    )
    b2 = np.concatenate([b, [held + TIGHT * max(1.0, abs(held)), 0.0, 0.0]])
    c2 = np.concatenate([1e-6 * _rank(problem), [1.0]])
    last = _linear(c2, a2, b2, bounds=np.vstack([bounds, [0.0, np.inf]]))
    return best if last is None else np.asarray(last[:n])


def used_least(problem: Problem, cost: Array | None) -> NDArray[np.bool_] | None:
    """Which emulsifiers to use where each has a least amount, or where few are wanted.

    With a cost the cheapest, without it the fewest and then the nearest HLB.
    """
    n = problem.size
    a, b = problem.inequalities(window=True)
    ceiling = np.minimum(problem.upper, problem.total[1])
    eye, zero = np.eye(n), np.zeros((n, n))
    link = np.vstack(
        [
            np.hstack([eye, -np.diag(ceiling)]),  # x <= u z
            np.hstack([-eye, problem.smallest * eye]),  # x >= smallest z
        ]
    )
    rows = [np.hstack([a, zero[:1].repeat(len(a), axis=0)]), link]
    tops = [b, np.zeros(2 * n)]
    c = np.concatenate([np.zeros(n), np.ones(n)])
    if cost is not None:
        c = np.concatenate([cost, 1e-9 * np.ones(n)])
    must = (problem.lower > 0).astype(float)
    bounds = Bounds(np.concatenate([problem.lower, must]), np.concatenate([ceiling, np.ones(n)]))
    whole = np.concatenate([np.zeros(n), np.ones(n)])
    limits = LinearConstraint(np.vstack(rows), ub=np.concatenate(tops))
    best = _solved(c, [limits], bounds, whole)
    if best is None:
        return None
    used = np.asarray(best[n:] > 0.5)
    if cost is not None:
        return used
    nearest = used_ratio(problem, tolerant=False, most=int(used.sum()))
    return used if nearest is None else nearest


def used_ratio(problem: Problem, *, tolerant: bool, most: int | None = None) -> NDArray[np.bool_] | None:
    """Which emulsifiers to use for `closest` or `most tolerant` where each has a least amount.

    With `most` no more than so many, and ties between sets fall to narrow ranges.
    """
    n = problem.size
    base = problem.ratio_inequalities(window=True)
    gap = problem.hlb - problem.target
    zeros = np.zeros((len(base), n + 1))
    big = problem.smallest / problem.total[0]
    eye = np.eye(n)
    column = np.full((n, 1), problem.smallest)
    if tolerant:
        edges = (
            problem.hlb_high - problem.target_low - problem.window,
            problem.target_high - problem.window - problem.hlb_low,
        )
        sign = 1.0
    else:
        edges, sign = (gap, -gap), -1.0
    rows = np.vstack(
        [
            np.hstack([base, zeros]),
            *(np.concatenate([edge, [0.0], np.zeros(n), [sign]])[None, :] for edge in edges),
            np.hstack([eye, np.zeros((n, 1)), -eye, np.zeros((n, 1))]),  # y <= z
            np.hstack([-eye, column, big * eye, np.zeros((n, 1))]),  # y >= smallest t, if used
        ]
    )
    tops = np.concatenate([np.zeros(len(base) + 2 + n), np.full(n, big)])
    must = (problem.lower > 0).astype(float)
    ratio = _ratio_bounds(problem, (-np.inf, np.inf) if tolerant else (0.0, np.inf))
    low = np.concatenate([ratio[: n + 1, 0], must, ratio[-1:, 0]])
    high = np.concatenate([ratio[: n + 1, 1], np.ones(n), ratio[-1:, 1]])
    one = np.concatenate([np.ones(n), np.zeros(n + 2)])[None, :]
    c = np.concatenate([np.zeros(2 * n + 1), [-sign]])
    constraints = [LinearConstraint(rows, ub=tops), LinearConstraint(one, 1.0, 1.0)]
    count = np.concatenate([np.zeros(n + 1), np.ones(n), [0.0]])
    if most is not None:
        c[:n] = 1e-6 * _rank(problem)
        constraints.append(LinearConstraint(count[None, :], ub=float(most)))
    best = _solved(c, constraints, Bounds(low, high), count)
    return None if best is None else np.asarray(best[n + 1 : 2 * n + 1] > 0.5)


def restricted(problem: Problem, used: NDArray[np.bool_]) -> Problem:
    """The problem with only these emulsifiers, each at least the smallest amount."""
    return replace(
        problem,
        lower=np.where(used, np.maximum(problem.lower, problem.smallest), 0.0),
        upper=np.where(used, problem.upper, 0.0),
        smallest=0.0,
    )


def least_change(problem: Problem, start: Array) -> Array | None:
    """Nearest point of the polytope to given amounts, by least-distance programming.

    Lawson and Hanson 1974, chapter 23: one non-negative least squares.
    """
    a, b = problem.inequalities(window=True)
    capped = np.isfinite(problem.upper)
    eye = np.eye(problem.size)
    g = np.vstack([-a, eye, -eye[capped]])
    h = np.concatenate([-b, problem.lower, -problem.upper[capped]])
    gap = h - g @ start  # wanted: g z >= gap for the shortest z
    if np.all(gap <= 0):
        return start.copy()
    norms = np.linalg.norm(g, axis=1)
    keep = norms > 0
    if np.any(gap[~keep] > NEAR):
        return None
    g, gap = g[keep] / norms[keep, None], gap[keep] / norms[keep]
    e = np.vstack([g.T, gap])
    f = np.zeros(problem.size + 1)
    f[-1] = 1.0
    try:
        u, _ = nnls(e, f, maxiter=50 * len(gap))
    except RuntimeError:  # it went round in circles up to the last step
        raise _too_long() from None
    r = e @ u - f
    if abs(r[-1]) < 1e-12:
        return None
    x = start - r[:-1] / r[-1]
    return np.asarray(x) if violation(problem, x) < NEAR else None


def least_change_with_smallest(problem: Problem, start: Array) -> Array | None:
    """The nearest point over every choice of emulsifiers that respects the least amount."""
    best, found = np.inf, None
    free = np.flatnonzero(problem.lower <= 0)
    for keep in itertools.product([True, False], repeat=len(free)):
        used = np.ones(problem.size, dtype=bool)
        used[free] = keep
        if not used.any():
            continue
        x = least_change(restricted(problem, used), start)
        if x is not None and (far := float(np.sum((x - start) ** 2))) < best - 1e-15:
            best, found = far, x
    return found


def violation(problem: Problem, x: Array) -> float:
    """By how much the amounts break the worst limit."""
    a, b = problem.inequalities(window=True)
    return float(max(np.max(a @ x - b), np.max(problem.lower - x), np.max(x - problem.upper)))


def polished(problem: Problem, x: Array) -> Array:
    """The same corner without the solver's tolerance: binding limits are met exactly."""
    x = np.clip(x, problem.lower, problem.upper)
    x = np.where(x - problem.lower < NEAR, problem.lower, x)
    x = np.where(problem.upper - x < NEAR, problem.upper, x)
    free = (x > problem.lower) & (x < problem.upper)
    if not free.any():
        return x
    a, b = problem.inequalities(window=True)
    gap = problem.hlb - problem.target
    off = a @ x - b
    rows, wants = list(a[np.abs(off) < NEAR]), list(-off[np.abs(off) < NEAR])
    if abs(gap @ x) < NEAR:
        rows.append(gap)
        wants.append(-float(gap @ x))
    if not rows:
        return x
    step = np.linalg.lstsq(np.array(rows)[:, free], np.array(wants), rcond=None)[0]
    moved = x.copy()
    moved[free] += step
    moved = np.clip(moved, problem.lower, problem.upper)
    return moved if violation(problem, moved) <= max(violation(problem, x), 1e-12) else x


def reach(problem: Problem) -> tuple[float, float] | None:
    """Lowest and highest HLB under all limits but the window; None where they contradict."""
    n = problem.size
    a = problem.ratio_inequalities(window=False)
    bounds = _ratio_bounds(problem, (0.0, 0.0))[:-1]
    equal = (np.concatenate([np.ones(n), [0.0]]), 1.0)
    ends = []
    for sign in (1.0, -1.0):
        best = _linear(
            np.concatenate([sign * problem.hlb, [0.0]]), a, np.zeros(len(a)), equal=equal, bounds=bounds
        )
        if best is None:
            return None
        ends.append(float(problem.hlb @ best[:n]))
    return ends[0], ends[1]


@dataclass(frozen=True, slots=True)
class Slack:
    """By how much one limit must give way.

    Parameters
    ----------
    what : str
        ``window``, ``total``, ``lower``, ``upper`` or ``row``.
    index : int
        Which emulsifier or row; for the total -1 (lower end) or 1 (upper end).
    amount : float
        By how much. [HLB for the window, else as the amounts]
    """

    what: str
    index: int
    amount: float


def elastic(problem: Problem) -> tuple[Slack, ...]:
    """The least sum of slacks that makes the problem feasible, in y = x/T and t = 1/T.

    One slack each for window (HLB), total (in t), every limit and every row (fractions of T).
    """
    n, k = problem.size, len(problem.rows)
    # columns: y, t, window, total below, total above, lower, upper, rows below, rows above
    width = 3 * n + 4 + 2 * k
    t, w, below, above, low, up = n, n + 1, n + 2, n + 3, n + 4, 2 * n + 4
    rows_low, rows_high = 3 * n + 4, 3 * n + 4 + k
    rows: list[Array] = []
    tops: list[float] = []

    def add(parts: dict[int, Array | float], top: float = 0.0) -> None:
        row = np.zeros(width)
        for at, values in parts.items():
            row[at : at + np.size(values)] = values
        rows.append(row)
        tops.append(top)

    add({0: problem.hlb - problem.target - problem.window, w: -1.0})
    add({0: problem.target - problem.window - problem.hlb, w: -1.0})
    add({t: 1.0, below: -1.0}, 1 / problem.total[0])
    add({t: -1.0, above: -1.0}, -1 / problem.total[1])
    for i in range(n):
        if problem.lower[i] > 0:
            add({i: -1.0, t: problem.lower[i], low + i: -1.0})
        if np.isfinite(problem.upper[i]):
            add({i: 1.0, t: -problem.upper[i], up + i: -1.0})
    for j in range(k):
        if np.isfinite(problem.row_high[j]):
            add({0: problem.rows[j], t: -problem.row_high[j], rows_high + j: -1.0})
        if np.isfinite(problem.row_low[j]):
            add({0: -problem.rows[j], t: problem.row_low[j], rows_low + j: -1.0})
    bounds = np.column_stack([np.zeros(width), np.full(width, np.inf)])
    bounds[t, 0] = 1e-3 / problem.total[1]
    best = _linear(
        np.concatenate([np.zeros(n + 1), np.ones(width - n - 1)]),
        np.array(rows),
        np.array(tops),
        equal=(np.concatenate([np.ones(n), np.zeros(width - n)]), 1.0),
        bounds=bounds,
    )
    if best is None:
        return ()
    whole = 1 / best[t]
    found = [Slack("window", 0, float(best[w]))]
    found += [Slack("total", -1, problem.total[0] - whole), Slack("total", 1, whole - 1.0)]
    found += [Slack("lower", i, float(best[low + i]) * whole) for i in range(n)]
    found += [Slack("upper", i, float(best[up + i]) * whole) for i in range(n)]
    found += [Slack("row", j, float(best[rows_low + j] + best[rows_high + j]) * whole) for j in range(k)]
    return tuple(s for s in found if s.amount > NEAR)
