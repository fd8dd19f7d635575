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

SCATTER_WEIGHT = 2.0
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
    span : float
        The most that was read from worst to best in one ladder. [response]
    """

    course: Array
    flat: float
    heights: Array
    scatters: Array
    span: float


def centred(values: Array, weight: Array) -> Array:
    """The values less their weighted mean along the last axis."""
    return np.asarray(values - (values @ weight / weight.sum())[..., None])


@dataclass(frozen=True, slots=True, eq=False)
class _Sums:
    """Sums of squares of one ladder about its level, per course; they add where heights are one."""

    own: Array
    along: Array
    whole: float
    count: int  # readings less one for the level
    least: float  # variance below which none is believed


def _sums(courses: Courses, block: Block, span: float) -> _Sums:
    y = centred(block.response / span, block.weight)
    shape = centred(courses.shape[:, block.at], block.weight)
    return _Sums(
        np.maximum((shape * shape) @ block.weight, 1e-12),
        shape @ (block.weight * y),
        float(block.weight @ (y * y)),
        len(y) - 1,
        (block.least_sd / span) ** 2,
    )


def _evidence(sums: _Sums) -> tuple[Array, float, Array, Array]:
    """Log evidence in closed form of each course and of none, with height and scatter of the best fit.

    Level: any value alike. Height: any value from 0 to `HEIGHT_MOST` ranges alike. Variance: an
    inverse gamma that counts as `SCATTER_WEIGHT` readings of `USUAL_SCATTER`.
    """
    height = sums.along / sums.own
    believed = SCATTER_WEIGHT * (USUAL_SCATTER**2 + sums.least)
    left = np.maximum(sums.whole - sums.along * height, 0.0) + believed
    free = sums.count - 1 + SCATTER_WEIGHT
    variance = left / free
    per = np.sqrt(sums.own / variance)
    within = _chance((HEIGHT_MOST - height) * per, free) - _chance(-height * per, free)
    before = SCATTER_WEIGHT / 2 * math.log(believed) - float(gammaln(SCATTER_WEIGHT / 2))
    course = (
        before
        + float(gammaln(free / 2))
        - (sums.count - 1) / 2 * math.log(math.pi)
        - math.log(HEIGHT_MOST)
        - free / 2 * np.log(left)
        - 0.5 * np.log(sums.own)
        + np.log(np.maximum(within, 1e-300))
    )
    flat = (
        before
        + float(gammaln((free + 1) / 2))
        - sums.count / 2 * math.log(math.pi)
        - (free + 1) / 2 * math.log(sums.whole + believed)
    )
    return np.asarray(course), flat, height, np.sqrt(variance)


def _chance(t: Array, freedom: float) -> Array:
    """Distribution of t by its usual normal approximation. [-]"""
    return np.asarray(ndtr(t * (1 - 1 / (4 * freedom)) / np.sqrt(1 + t * t / (2 * freedom))))


def weighed(courses: Courses, blocks: Sequence[Block], *, tied: bool = False) -> Weighed:
    """All ladders together: each has its own level, height and scatter, all share the course.

    Where `tied`, one height and scatter for all are believed as much a priori as one for each.
    """
    # one unit for all: a ladder on the flanks alone spans less than the whole hump
    span = max(float(np.ptp(b.response)) for b in blocks) or 1.0
    sums = [_sums(courses, b, span) for b in blocks]
    found = [_evidence(s) for s in sums]
    course, flat = np.sum([f[0] for f in found], axis=0), math.fsum(f[1] for f in found)
    if tied and len(blocks) > 1:
        one = _evidence(
            _Sums(
                np.sum([s.own for s in sums], axis=0),
                np.sum([s.along for s in sums], axis=0),
                math.fsum(s.whole for s in sums),
                sum(s.count for s in sums),
                max(s.least for s in sums),
            )
        )
        course, flat = np.logaddexp(course, one[0]), float(np.logaddexp(flat, one[1]))
    heights, scatters = (span * np.array([f[k] for f in found]) for k in (2, 3))
    return Weighed(np.asarray(course), flat, heights, scatters, span)


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
    tall = np.maximum(held.heights, LEAST_HEIGHT * held.span)
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
