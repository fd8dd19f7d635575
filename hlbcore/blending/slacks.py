"""What stands in the way where no amounts meet a problem: its reach, and the least that must give."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hlbcore.blending.problem import Array, Problem
from hlbcore.blending.programmes import NEAR, linear, ratio_bounds


def reach(problem: Problem) -> tuple[float, float] | None:
    """Lowest and highest HLB under all limits but the window; None where they contradict."""
    n = problem.size
    a = problem.ratio_inequalities(window=False)
    bounds = ratio_bounds(problem, (0.0, 0.0))[:-1]
    equal = (np.concatenate([np.ones(n), [0.0]]), 1.0)
    ends = []
    for sign in (1.0, -1.0):
        best = linear(
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
    best = linear(
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
