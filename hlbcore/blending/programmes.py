"""The programmes behind the blend solver, on plain arrays.

Amounts here are fractions of the highest total allowed, so that a batch of any size solves alike.
Where an objective is a ratio over the total T, the programme is put into y = x/T, t = 1/T (Charnes
and Cooper 1962), which makes it linear again.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp, nnls

from hlbcore.blending.problem import Array, Problem, restricted, violation
from hlbcore.errors import TimeLimitReached
from hlbcore.limits import SOLVER_SECONDS

TIGHT = 1e-9  # slack on a value kept from an earlier programme
NEAR = 1e-6  # a constraint nearer than this is binding; HiGHS itself accepts 1e-7
SUBSETS_MOST = 12  # emulsifiers up to which every subset is tried for `least change`


def linear(
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
    bounds = ratio_bounds(problem, (0.0, np.inf))
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
    bounds = ratio_bounds(problem, (-np.inf, np.inf))
    return _three_steps(problem, a, bounds, np.concatenate([np.zeros(n + 1), [-1.0]]), n)


def ratio_bounds(problem: Problem, last: tuple[float, float]) -> Array:
    """Bounds of the shares, of one over the total, and of the last variable."""
    rows = [(0.0, 1.0)] * problem.size
    return np.array([*rows, (1 / problem.total[1], 1 / problem.total[0]), last])


def _three_steps(problem: Problem, a: Array, bounds: Array, c: Array, n: int) -> Array | None:
    """The best value of `c`; then the least total; then the least rank."""
    equal = (np.concatenate([np.ones(n), [0.0, 0.0]]), 1.0)
    b = np.zeros(len(a))
    best = linear(c, a, b, equal=equal, bounds=bounds)
    if best is None:
        return None
    bounds = bounds.copy()
    bounds[-1] = (-np.inf, best[-1] + TIGHT) if c[-1] > 0 else (best[-1] - TIGHT, np.inf)
    if problem.total[0] < problem.total[1]:
        most_t = linear(-np.eye(n + 2)[n], a, b, equal=equal, bounds=bounds)
        if most_t is not None:
            best = most_t
            bounds[n] = (min(best[n] * (1 - TIGHT), bounds[n][1]), bounds[n][1])
    last = linear(np.concatenate([_rank(problem), [0.0, 0.0]]), a, b, equal=equal, bounds=bounds)
    best = best if last is None else last
    return np.asarray(best[:n] / best[n])


def cheapest(problem: Problem, cost: Array) -> Array | None:
    """Least cost (or least total, with equal costs); then nearest HLB; then the order given."""
    n = problem.size
    a, b = problem.inequalities(window=True)
    bounds = np.column_stack([problem.lower, problem.upper])
    best = linear(cost, a, b, bounds=bounds)
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
    last = linear(c2, a2, b2, bounds=np.vstack([bounds, [0.0, np.inf]]))
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
    ratio = ratio_bounds(problem, (-np.inf, np.inf) if tolerant else (0.0, np.inf))
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
