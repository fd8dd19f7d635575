"""A blend problem in numbers: HLB, limits, total and rows of the emulsifiers."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


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


def restricted(problem: Problem, used: NDArray[np.bool_]) -> Problem:
    """The problem with only these emulsifiers, each at least the smallest amount."""
    return replace(
        problem,
        lower=np.where(used, np.maximum(problem.lower, problem.smallest), 0.0),
        upper=np.where(used, problem.upper, 0.0),
        smallest=0.0,
    )


def violation(problem: Problem, x: Array) -> float:
    """By how much the amounts break the worst limit."""
    a, b = problem.inequalities(window=True)
    return float(max(np.max(a @ x - b), np.max(problem.lower - x), np.max(x - problem.upper)))
