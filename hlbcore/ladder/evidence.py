"""How well each course agrees with the readings, with level, height and scatter integrated out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, ndtr

from hlbcore.ladder.curves import Array, Courses

USUAL_SCATTER = 0.10
"""Standard deviation of a reading, as a share of what was read from worst to best, before any
reading is seen. [-] Our convention."""

SCATTER_WEIGHT = 1.0
"""That belief counts as so many readings. [-] Our convention."""

HEIGHT_MOST = 2.0
"""A priori the height is anything from 0 to so many times what was read from worst to best. [-]
Our convention."""

SCATTER_MOST = 0.3
"""Scatter beyond this share of the height asks for no stronger sign of a hump. [-] Our convention."""


LEAST_HEIGHT = 0.05
"""A height is never taken for less than this share of what was read from worst to best. [-]"""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """One ladder as it is weighed against the courses; higher is better.

    Parameters
    ----------
    at : array of int
        Columns of its vials in `Courses.shape`.
    response, weight : array, (vials,)
        Response [any one unit] and weight, mean 1 [-].
    least_sd : float
        Scatter of one response below which none is believed. [response]
    """

    at: NDArray[np.intp]
    response: Array
    weight: Array
    least_sd: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """Log evidence of every course for one or more ladders; arrays are ``(courses,)``.

    Parameters
    ----------
    course : array
        Log evidence of each course. [-]
    flat : float
        Log evidence of no course at all. [-]
    heights, scatters : array, (ladders, courses)
        Height and scatter of the best fit of each course. [response]
    spans : tuple of float
        What was read from worst to best in each ladder. [response]
    """

    course: Array
    flat: float
    heights: Array
    scatters: Array
    spans: tuple[float, ...]


def centred(values: Array, weight: Array) -> Array:
    """The values less their weighted mean along the last axis."""
    return np.asarray(values - (values @ weight / weight.sum())[..., None])


def _one(courses: Courses, block: Block) -> tuple[Array, float, Array, Array, float]:
    """Evidence of one ladder in closed form.

    Level: any value alike. Height: any value from 0 to `HEIGHT_MOST` ranges alike. Variance: an
    inverse gamma whose mean is about `USUAL_SCATTER` squared.
    """
    weight = block.weight
    span = float(np.ptp(block.response)) or 1.0
    y = centred(block.response / span, weight)
    shape = centred(courses.shape[:, block.at], weight)
    own = np.maximum((shape * shape) @ weight, 1e-12)
    along = shape @ (weight * y)
    whole = float(weight @ (y * y))
    height = along / own
    believed = SCATTER_WEIGHT * (USUAL_SCATTER**2 + (block.least_sd / span) ** 2)
    left = np.maximum(whole - along * height, 0.0) + believed
    freedom = len(y) - 2 + SCATTER_WEIGHT
    variance = left / freedom
    t = height * np.sqrt(own / variance)
    # chance that the height is above 0: the t distribution by its usual normal approximation
    above = ndtr(t * (1 - 1 / (4 * freedom)) / np.sqrt(1 + t * t / (2 * freedom)))
    evidence = (
        0.5 * math.log(math.pi)
        - math.log(HEIGHT_MOST)
        - freedom / 2 * np.log(left)
        - 0.5 * np.log(own)
        + np.log(above + 1e-300)
    )
    ratio = float(gammaln((freedom + 1) / 2) - gammaln(freedom / 2))
    flat = ratio - (freedom + 1) / 2 * math.log(whole + believed)
    return np.asarray(evidence), flat, height * span, np.sqrt(variance) * span, span


def weighed(courses: Courses, blocks: Sequence[Block]) -> Weighed:
    """All ladders together: each has its own level, height and scatter, all share the course."""
    found = [_one(courses, b) for b in blocks]
    return Weighed(
        np.sum([f[0] for f in found], axis=0),
        math.fsum(f[1] for f in found),
        np.array([f[2] for f in found]),
        np.array([f[3] for f in found]),
        tuple(f[4] for f in found),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """What is believed after the readings.

    Parameters
    ----------
    mass : array, (courses,)
        Mass of each course, adding to 1. [-]
    hump_odds, flat_odds : float
        Log of the odds of a hump inside against a course that only rises or falls, and against
        none at all. [-]
    course_odds : float
        Log of the odds of any course against none. [-]
    rising : float
        Share of the courses that rise among those that only rise or fall. [-]
    scatter, outer_scatter : float
        Scatter of one reading as a share of the height: by all courses, and by those that only
        rise or fall. [-]
    """

    mass: Array
    hump_odds: float
    flat_odds: float
    course_odds: float
    rising: float
    scatter: float
    outer_scatter: float


def believed(courses: Courses, held: Weighed) -> Belief:
    """Masses and odds from the evidence."""
    top = max(float(held.course.max()), held.flat)
    mass = np.exp(held.course - top) * courses.prior
    flat = math.exp(held.flat - top) + 1e-300
    hump = float(mass[courses.inside].sum()) + 1e-300
    other = float(mass[~courses.inside].sum()) + 1e-300
    tall = np.maximum(held.heights, LEAST_HEIGHT * np.array(held.spans)[:, None])
    spread = np.log(held.scatters / tall).mean(axis=0)
    outer = mass[~courses.inside]
    return Belief(
        mass / (hump + other),
        math.log(hump / other),
        math.log(hump / flat),
        math.log((hump + other) / 2 / flat),
        float(outer[courses.upper[~courses.inside]].sum()) / other,
        math.exp(float(spread @ mass) / (hump + other)),
        math.exp(float(spread[~courses.inside] @ outer) / other),
    )
