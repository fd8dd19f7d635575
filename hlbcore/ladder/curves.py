"""Courses of response against HLB: a hump with two flanks of its own, on a grid.

A course is ``y = a + b s(x)``. Its shape s is ``0.5 ** (|x - m| / w) ** p`` with the top at m and a
half width w of its own on each side, scaled so that it spans 1 over the ladder; b is 0 or more. With
m at or beyond an end, or with a far flank too wide to show, the course only rises or only falls.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

POWERS = {"cusp": (1.2, 0.1), "bell": (2.0, 0.6), "flat top": (4.0, 0.3)}
"""Shapes by name: power of the distance, and share a priori. [-] Our convention."""

UNLIKE = 0.8
"""Flanks are alike to about a factor of two so often: standard deviation of the log of their ratio, a
priori. [-] Our convention: lopsided humps are believed, but are rarer."""

WIDTHS = (1 / 14, 1.3)
"""Least and greatest half width of a flank, as a share of the ladder's span. [-] Our convention: a
hump narrower than half a rung of eight could not be seen."""

SEEN_DROP = 0.04
"""A hump is inside where both ends of the ladder lie so much of its height below the best vial. [-]
Our convention."""

_PLACES = 43  # tops inside the ladder
_BEYOND = np.array([0.08, 0.2, 0.4, 0.8])  # tops beyond each end, in spans
_FLANKS = 7  # half widths of each flank


@dataclass(frozen=True, slots=True, eq=False)
class Courses:
    """All courses that are tried on a set of vials; arrays are ``(courses,)``.

    Parameters
    ----------
    top, left, right, power : array
        HLB of the top, half widths of both flanks [HLB], power of the distance [-].
    prior : array
        Weight a priori: the humps inside add to 1, and so do all others. [-]
    inside : array
        Both flanks show within the ladder.
    shape : array, (courses, vials)
        s at each vial. [-]
    places : array
        The different tops, rising. [HLB]
    at : array
        Where the top of each course stands among `places`.
    first, last : float
        Ends of the ladder. [HLB]
    hlb : array, (vials,)
        HLB of the vials. [HLB]
    """

    top: Array
    left: Array
    right: Array
    power: Array
    prior: Array
    inside: Mask
    shape: Array
    places: Array
    at: NDArray[np.intp]
    first: float
    last: float
    hlb: Array

    @property
    def upper(self) -> Mask:
        """Of the courses that are not inside: those that rise."""
        return np.asarray(self.top > (self.first + self.last) / 2)

    def marginal(self, mass: Array) -> Array:
        """Mass of each place, adding to 1."""
        found = np.bincount(self.at, mass, len(self.places))
        return np.asarray(found / found.sum())

    def drawn(self, chosen: NDArray[np.intp], hlb: Array) -> Array:
        """Some courses at any HLB, on the scale of `shape`, ``(chosen, hlb)``."""
        mine = self.top[chosen], self.left[chosen], self.right[chosen], self.power[chosen]
        tall = _height(*mine, self.first, self.last)
        return np.asarray(_raw(hlb, *mine) / tall[:, None])

    def name(self, course: int) -> str:
        """The shape of one course in words."""
        shape = next(n for n, (p, _) in POWERS.items() if p == self.power[course])
        ratio = self.left[course] / self.right[course]
        return shape if 2 / 3 <= ratio <= 3 / 2 else f"{shape}, unlike flanks"


def _raw(hlb: Array, top: Array, left: Array, right: Array, power: Array) -> Array:
    away = hlb[None, :] - top[:, None]
    far = np.abs(away) / np.where(away < 0, left[:, None], right[:, None])
    raised = np.empty_like(far)
    for one, _ in POWERS.values():  # whole powers are much quicker one by one
        mine = power == one
        raised[mine] = far[mine] ** one if one != 4.0 else np.square(np.square(far[mine]))
    shape: Array = np.exp2(-raised)
    return shape


def _height(top: Array, left: Array, right: Array, power: Array, first: float, last: float) -> Array:
    """How far a course spans over the ladder: its least lies at an end, its most at the top or an end."""
    ends = _raw(np.array([first, last]), top, left, right, power)
    highest = np.where((top >= first) & (top <= last), 1.0, ends.max(axis=1))
    span: Array = np.maximum(highest - ends.min(axis=1), 1e-9)
    return span


@dataclass(frozen=True, slots=True, eq=False)
class _Grid:
    """What the courses over a span have whatever vials stand there; arrays are ``(courses,)``."""

    top: Array
    left: Array
    right: Array
    power: Array
    weight: Array
    tall: Array
    places: Array
    at: NDArray[np.intp]


@lru_cache(maxsize=8)
def _grid(first: float, last: float) -> _Grid:
    """All courses over a span of HLB."""
    span = last - first
    widths = np.geomspace(WIDTHS[0] * span, WIDTHS[1] * span, _FLANKS)
    left, right = (v.ravel() for v in np.meshgrid(widths, widths, indexing="ij"))
    alike = np.exp(-(np.log(left / right) ** 2) / (2 * UNLIKE**2))
    alike /= alike.sum()
    within = np.linspace(first, last, _PLACES)
    outside = np.concatenate([first - _BEYOND * span, last + _BEYOND * span])
    flanks = len(left)
    rows = []
    for power, share in POWERS.values():
        rows += [
            (
                np.repeat(within, flanks),
                np.tile(left, _PLACES),
                np.tile(right, _PLACES),
                np.full(_PLACES * flanks, power),
                np.tile(share * alike, _PLACES),
            ),
            # beyond an end only one flank is seen
            (
                np.repeat(outside, _FLANKS),
                np.tile(widths, len(outside)),
                np.tile(widths, len(outside)),
                np.full(len(outside) * _FLANKS, power),
                np.full(len(outside) * _FLANKS, share / _FLANKS),
            ),
        ]
    top, low, high, power_of, weight = (np.concatenate([r[k] for r in rows]) for k in range(5))
    places, at = np.unique(top, return_inverse=True)
    tall = _height(top, low, high, power_of, first, last)
    return _Grid(top, low, high, power_of, weight, tall, places, at.ravel())


@lru_cache(maxsize=64)
def courses(hlb: tuple[float, ...]) -> Courses:
    """The courses for vials at these HLB values, in the order given.

    Examples
    --------
    >>> held = courses((7.0, 8.0, 9.0, 10.0, 11.0))
    >>> held.shape.shape == (len(held.top), 5)
    True
    """
    x = np.array(hlb)
    first, last = float(x.min()), float(x.max())
    g = _grid(first, last)
    shape = _raw(x, g.top, g.left, g.right, g.power) / g.tall[:, None]
    ends = shape[:, [int(x.argmin()), int(x.argmax())]]
    drop = shape.max(axis=1) - ends.max(axis=1)
    inside = (g.top >= first) & (g.top <= last) & (drop >= SEEN_DROP)
    humps, others = g.weight * inside, g.weight * ~inside * (g.tall > 1e-6)
    prior = humps / humps.sum() + others / others.sum()
    return Courses(g.top, g.left, g.right, g.power, prior, inside, shape, g.places, g.at, first, last, x)
