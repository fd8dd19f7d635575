"""How well each course agrees with the readings, with level, height and scatter integrated out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaln, ndtr

from hlbcore.ladder.curves import Array, Courses

USUAL_SCATTER = 0.15
"""Standard deviation of a reading, as a share of what was read from worst to best, before any
reading is seen. [-] Our convention."""

SCATTER_WEIGHT = 1.0
"""That belief counts as so many readings. [-] Our convention, both set by simulation: with 0.10 that
counts as two, intervals that cover alike at a scatter of 20 % are wider, and the error is greater."""

HEIGHT_MOST = 2.0
"""A priori the height is anything from 0 to so many times what was read from worst to best. [-]
Our convention."""

SCATTER_MOST = 0.25
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
    response : array, (..., vials)
        Response; several ladders of the same vials may be weighed at once, one a row. [any one unit]
    weight : array, (vials,)
        Weight, mean 1. [-]
    least_sd : float
        Scatter of one response below which none is believed. [response]
    """

    at: NDArray[np.intp]
    response: Array
    weight: Array
    least_sd: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """Log evidence of every course for one or more ladders.

    Parameters
    ----------
    course : array, (..., courses)
        Log evidence of each course. [-]
    flat : array, (...)
        Log evidence of no course at all. [-]
    heights, scatters : array, (ladders, ..., courses)
        Height and scatter of the best fit of each course. [response]
    span : array, (..., 1)
        The most that was read from worst to best in one ladder. [response]
    """

    course: Array
    flat: Array
    heights: Array
    scatters: Array
    span: Array


def centred(values: Array, weight: Array) -> Array:
    """The values less their weighted mean along the last axis."""
    return np.asarray(values - (values @ weight / weight.sum())[..., None])


@dataclass(frozen=True, slots=True, eq=False)
class _Sums:
    """Sums of squares of one ladder about its level, per course; they add where heights are one."""

    own: Array  # (courses,)
    along: Array  # (..., courses)
    whole: Array  # (..., 1)
    count: int  # readings less one for the level
    least: Array  # variance below which none is believed, (..., 1)


def _sums(courses: Courses, block: Block, span: Array) -> _Sums:
    y = centred(block.response / span, block.weight)
    shape = centred(courses.shape[:, block.at], block.weight)
    return _Sums(
        np.maximum((shape * shape) @ block.weight, 1e-12),
        (block.weight * y) @ shape.T,
        (y * y) @ block.weight[:, None],
        len(block.weight) - 1,
        (block.least_sd / span) ** 2,
    )


def _evidence(sums: _Sums) -> tuple[Array, Array, Array, Array]:
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
    before = SCATTER_WEIGHT / 2 * np.log(believed) - float(gammaln(SCATTER_WEIGHT / 2))
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
        - (free + 1) / 2 * np.log(sums.whole + believed)
    )
    return np.asarray(course), np.asarray(flat[..., 0]), height, np.sqrt(variance)


def _chance(t: Array, freedom: float) -> Array:
    """Distribution of t by its usual normal approximation. [-]"""
    return np.asarray(ndtr(t * (1 - 1 / (4 * freedom)) / np.sqrt(1 + t * t / (2 * freedom))))


def weighed(courses: Courses, blocks: Sequence[Block], *, tied: bool = False) -> Weighed:
    """All ladders together: each has its own level, height and scatter, all share the course.

    Where `tied`, one height and scatter for all are believed as much a priori as one for each.
    """
    # one unit for all: a ladder on the flanks alone spans less than the whole hump
    span = np.maximum.reduce([np.ptp(b.response, axis=-1, keepdims=True) for b in blocks])
    span = np.where(span > 0, span, 1.0)
    sums = [_sums(courses, b, span) for b in blocks]
    found = [_evidence(s) for s in sums]
    course, flat = (np.sum([f[k] for f in found], axis=0) for k in (0, 1))
    if tied and len(blocks) > 1:
        one = _evidence(
            _Sums(
                np.sum([s.own for s in sums], axis=0),
                np.sum([s.along for s in sums], axis=0),
                np.sum([s.whole for s in sums], axis=0),
                sum(s.count for s in sums),
                np.maximum.reduce([s.least for s in sums]),
            )
        )
        course, flat = np.logaddexp(course, one[0]), np.logaddexp(flat, one[1])
    heights, scatters = (span * np.array([f[k] for f in found]) for k in (2, 3))
    return Weighed(np.asarray(course), np.asarray(flat), heights, scatters, span)


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """What is believed after the readings; where several ladders were weighed at once, one each.

    Parameters
    ----------
    mass : array, (..., courses)
        Mass of each course, adding to 1. [-]
    hump_odds, flat_odds : array
        Log of the odds of a hump inside against a course that only rises or falls, and against
        none at all. [-]
    course_odds : array
        Log of the odds of any course against none. [-]
    rising : array
        Share of the courses that rise among those that only rise or fall. [-]
    scatter, outer_scatter : array
        Scatter of one reading as a share of the height: by all courses, and by those that only
        rise or fall. [-]
    """

    mass: Array
    hump_odds: Array
    flat_odds: Array
    course_odds: Array
    rising: Array
    scatter: Array
    outer_scatter: Array


def believed(courses: Courses, held: Weighed) -> Belief:
    """Masses and odds from the evidence."""
    top = np.maximum(held.course.max(axis=-1), held.flat)
    mass = np.exp(held.course - top[..., None]) * courses.prior
    flat = np.exp(held.flat - top) + 1e-300
    outer = mass * ~courses.inside
    hump = (mass @ courses.inside) + 1e-300
    other = outer.sum(axis=-1) + 1e-300
    tall = np.maximum(held.heights, LEAST_HEIGHT * held.span)
    spread = np.log(held.scatters / tall).mean(axis=0)
    return Belief(
        mass / (hump + other)[..., None],
        np.log(hump / other),
        np.log(hump / flat),
        np.log((hump + other) / 2 / flat),
        outer @ courses.upper / other,
        np.exp((spread * mass).sum(axis=-1) / (hump + other)),
        np.exp((spread * outer).sum(axis=-1) / other),
    )
