"""The linear Gaussian model of bench ladders: its covariances, and its closed form by one factorisation.

optimum = sum of shares times required HLB + effect of the pair + departure of the phase + error
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_solve, cholesky, solve_triangular
from scipy.spatial.distance import cdist
from scipy.special import log_ndtr

Array = NDArray[np.float64]

PAIR_SD = 0.5
"""Standard deviation of the effects of emulsifier pairs. [HLB] Our convention."""

DEPARTURE_SD = 0.5
"""Standard deviation that departures from adding up start at. [HLB] Our convention."""

DEPARTURE_FACTOR = 2.0
"""Factor within which that start lies with about two chances in three. [-] Our convention."""

DEPARTURES = np.array([0.02, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.2, 1.4, 1.7, 2.0, 2.5, 3.0])
"""Grid on which their standard deviation is estimated. [HLB]"""

REACH = 0.3
"""Distance of two phases, as the share of the oil that differs, at which their departures have a
correlation of 1/e. [-] Our convention."""

EDGE_SD = 0.5
"""How softly the end of a ladder that is open beyond it bounds the optimum. [HLB] Our convention:
half a rung."""


def mixing(shares: Array) -> Array:
    """How much a phase can depart from adding up: 0 for a single oil, 1 from two equal oils on.

    Parameters
    ----------
    shares : ndarray
        (n, oils), rows add to 1. [-]

    Returns
    -------
    ndarray
        (n,) [-]

    Notes
    -----
    ``sqrt(min(1, 2 (1 - sum of squared shares)))``: a single oil departs from nothing. Our
    convention.
    """
    return np.asarray(np.sqrt(np.clip(2 * (1 - (shares**2).sum(axis=1)), 0.0, 1.0)))


def likeness(first: Array, second: Array) -> Array:
    """Correlation of the departures of phases; falls with the share of the oil that differs.

    Parameters
    ----------
    first, second : ndarray
        (p, oils) and (q, oils) shares. [-]

    Returns
    -------
    ndarray
        (p, q), with what single oils have nothing of taken off. [-]
    """
    apart = cdist(first, second, "cityblock") / 2
    return np.asarray(mixing(first)[:, None] * mixing(second) * np.exp(-apart / REACH))


@dataclass(frozen=True, slots=True, eq=False)
class Solved:
    """The closed form: what each equation pulls, and the inverse it comes from.

    Parameters
    ----------
    pull : ndarray
        (n,) so that a quantity moves by its covariances with the equations times the pulls.
    inverse : ndarray
        (n, n) inverse of the covariance of what was read.
    read : ndarray
        (n,) what was read; for an open end the Gaussian that stands for it. [HLB]
    precision : ndarray
        (n,) of each reading. [1/HLB²]
    """

    pull: Array
    inverse: Array
    read: Array
    precision: Array


def solve(prior: Array, mean: Array, read: Array, precision: Array) -> Solved:
    """The closed form of one set of equations.

    Parameters
    ----------
    prior : ndarray
        (n, n) covariance of the true optima. [HLB²]
    mean, read : ndarray
        (n,) what they start from, and what was read. [HLB]
    precision : ndarray
        (n,) 0 or more. [1/HLB²]

    Returns
    -------
    Solved
        By a Cholesky factorisation of ``1 + W^(1/2) K W^(1/2)``, whose eigenvalues are 1 or more
        also where phases are all but the same.
    """
    root = np.sqrt(precision)
    factor = cholesky(np.eye(len(mean)) + root[:, None] * prior * root, lower=True)
    half = solve_triangular(factor, np.diag(root), lower=True)
    inverse = half.T @ half
    pull = root * cho_solve((factor, True), root * (read - mean))
    return Solved(pull, inverse, read, precision)


def log_likelihood(prior: Array, off: Array, variance: Array) -> float:
    """Log density of closed readings. [-]"""
    factor = cholesky(prior + np.diag(variance), lower=True)
    white = solve_triangular(factor, off, lower=True)
    return float(-0.5 * white @ white - np.log(np.diag(factor)).sum())


def departure_sd(additive: Array, alike: Array, off: Array, variance: Array) -> float:
    """Size of the departures from adding up: the mean over the grid, by marginal likelihood.

    Parameters
    ----------
    additive, alike : ndarray
        (n, n) covariance without departures [HLB²], and correlation of departures [-].
    off, variance : ndarray
        (n,) readings less what they start from [HLB], and the variance of each [HLB²].

    Returns
    -------
    float
        `DEPARTURE_SD` where nothing was read. [HLB]
    """
    if not len(off) or not np.diag(alike).any():
        return DEPARTURE_SD
    start = -0.5 * (np.log(DEPARTURES / DEPARTURE_SD) / math.log(DEPARTURE_FACTOR)) ** 2
    width = np.gradient(np.log(DEPARTURES))
    score = np.array([log_likelihood(additive + s * s * alike, off, variance) for s in DEPARTURES]) + start
    weight = np.exp(score - score.max()) * width
    return float(weight @ DEPARTURES / weight.sum())


def one_sided(prior: Array, mean: Array, edge: Array, above: Sequence[bool]) -> tuple[Array, Array]:
    """Gaussians that stand for open ends, by matching moments until nothing moves.

    Parameters
    ----------
    prior : ndarray
        (n, n) covariance of the optima of these ladders, after all closed ones. [HLB²]
    mean : ndarray
        (n,) their means then. [HLB]
    edge : ndarray
        (n,) the closed ends. [HLB]
    above : sequence of bool
        Whether the optimum lies above its edge.

    Returns
    -------
    tuple of ndarray
        What was read in effect [HLB], and its precision [1/HLB²].

    Notes
    -----
    The likelihood of an open end is ``Phi((optimum - edge) / EDGE_SD)``, mirrored for an end open
    below; expectation propagation with this smooth step converges, and is exact for one such ladder.
    """
    sign = np.where(np.asarray(above), 1.0, -1.0)
    precision, shift = np.zeros(len(mean)), np.zeros(len(mean))
    for _ in range(200):
        before = precision.copy(), shift.copy()
        for i in range(len(mean)):
            solved = solve(prior, np.zeros(len(mean)), shift / np.maximum(precision, 1e-12), precision)
            here = float(mean[i] + prior[i] @ (solved.pull - solved.inverse @ mean))
            # what is known exactly already moves no more
            spread = max(float(prior[i, i] - prior[i] @ solved.inverse @ prior[i]), 1e-12)
            left = 1 / spread - precision[i]
            cavity, variance = (here / spread - shift[i]) / left, 1 / left
            scale = math.sqrt(variance + EDGE_SD**2)
            z = float(sign[i]) * (cavity - float(edge[i])) / scale
            hazard = math.exp(-0.5 * z * z - 0.5 * math.log(2 * math.pi) - float(log_ndtr(z)))
            new_mean = cavity + float(sign[i]) * variance * hazard / scale
            new_variance = variance - variance**2 * hazard * (z + hazard) / (scale * scale)
            precision[i] = max(1 / new_variance - left, 0.0)
            shift[i] = new_mean / new_variance - cavity * left
        if np.allclose(before, (precision, shift), rtol=1e-12, atol=1e-12):
            break
    held = precision > 0
    return np.where(held, shift / np.where(held, precision, 1.0), edge), precision
