"""Curves of response against HLB, and the interval of their optimum by profile likelihood.

A curve is ``y = a + b s(x - m)``: the shape s is highest at the optimum m, and b is 0 or more. For
every m on a grid a and b follow in closed form, so the whole profile is one numpy expression.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import f as f_distribution

Array = NDArray[np.float64]

CONFIDENCE = 0.95
"""Nominal coverage of an interval. [-] Our convention."""

BELL_WIDTH = 0.25
"""Standard deviation of the bell as a share of the ladder's span. [-] Our convention."""

PEAKED_FROM = 7
"""Vials from which a peaked curve competes with the quadratic. [-] Our convention."""

AICC_TIE = 2.0
"""Curves within so much of the least AICc both count. [-]
Our convention, after Burnham and Anderson (from memory)."""

_STEPS = 600  # of the grid of optima, over three spans of the ladder
_ZOOM = 41  # points between two neighbours of the grid, in each of three rounds


def _quadratic(d: Array, span: float) -> Array:
    return -((d / span) ** 2)


def _bell(d: Array, span: float) -> Array:
    return np.asarray(np.exp(-0.5 * (d / (BELL_WIDTH * span)) ** 2))


SHAPES: dict[str, Callable[[Array, float], Array]] = {"quadratic": _quadratic, "bell": _bell}
"""Shapes by name, each highest at 0."""


@dataclass(frozen=True, slots=True)
class Points:
    """What is fitted: one response a vial, higher is better; all arrays ``(vials,)``.

    Parameters
    ----------
    hlb, response, weight : array
        HLB [HLB], response [any one unit], weight; 0 leaves a vial out [-].
    least_variance : float
        Variance of one response below which the scatter is not believed. [response²]
    """

    hlb: Array
    response: Array
    weight: Array
    least_variance: float = 0.0

    @property
    def first(self) -> float:
        """Lowest rung. [HLB]"""
        return float(self.hlb.min())

    @property
    def last(self) -> float:
        """Highest rung. [HLB]"""
        return float(self.hlb.max())

    @property
    def span(self) -> float:
        """Width of the ladder. [HLB]"""
        return self.last - self.first


@dataclass(frozen=True, slots=True)
class Curve:
    """One shape fitted to a ladder.

    Parameters
    ----------
    model : str
        One of `SHAPES`.
    apex : float
        HLB of the top; may lie outside the ladder. [HLB]
    low, high : float
        Ends of the interval; infinite where it is open. [HLB]
    rise : float
        Height factor b; 0 where no top is seen. [response]
    sum_of_squares : float
        Weighted residual sum of squares. [response²]
    variance : float
        Variance of one response. [response²]
    aicc : float
        Small-sample criterion of Akaike. [-]
    bend : float
        How far the curve beats the better straight line, as t with the freedom of the fit. [-]
    """

    model: str
    apex: float
    low: float
    high: float
    rise: float
    sum_of_squares: float
    variance: float
    aicc: float
    bend: float


def levelled(values: Array, weight: Array) -> Array:
    """The values less their weighted mean along the last axis."""
    return np.asarray(values - (values @ weight / weight.sum())[..., None])


def profile(points: Points, model: str, apexes: Array) -> tuple[Array, Array]:
    """Residual sum of squares and rise at each optimum tried, both ``(apexes,)``."""
    shape = levelled(SHAPES[model](points.hlb[None, :] - apexes[:, None], points.span), points.weight)
    y = levelled(points.response, points.weight)
    along = shape @ (points.weight * y)
    own = np.maximum((shape * shape) @ points.weight, 1e-300)
    rise = np.maximum(along, 0.0) / own
    whole = float(points.weight @ (y * y))
    return np.maximum(whole - rise * np.maximum(along, 0.0), 0.0), rise


def straight(points: Points) -> tuple[float, float]:
    """Sums of squares of a line that may only fall, and of one that may only rise. [response²]

    A quadratic with its top far below the ladder is a falling line, far above it a rising one.
    """
    x, y = levelled(points.hlb, points.weight), levelled(points.response, points.weight)
    slope = float(x @ (points.weight * y)) / float(x @ (points.weight * x))
    level = float(points.weight @ (y * y))
    line = max(level - slope**2 * float(x @ (points.weight * x)), 0.0)
    return (line if slope < 0 else level), (line if slope > 0 else level)


def aicc(sum_of_squares: float, count: int, least_variance: float) -> float:
    """Small-sample criterion of Akaike for a curve of three parameters and a scatter. [-]"""
    variance = max(sum_of_squares / count, least_variance, 1e-24)
    spare = count - 5
    return count * math.log(variance) + 8 + (40 / spare if spare > 0 else math.inf)


def fit_curve(points: Points, model: str) -> Curve:
    """One shape fitted, with the interval of its top.

    Notes
    -----
    Optima m are kept while ``S(m) <= S_min + s² F(1, n - 3)``. Inside the ladder F is the 95 %
    point. Beyond the last rung only one question is left, whether the curve still bends back, so
    there the one-sided 95 % point stands (the 90 % point of F).
    """
    count = len(points.hlb)
    span = points.span
    grid = np.linspace(points.first - span, points.last + span, _STEPS + 1)
    sums, _ = profile(points, model, grid)
    falling, rising = straight(points)
    apex = _least(points, model, grid, sums)
    at_apex, rise = (float(v[0]) for v in profile(points, model, np.array([apex])))
    least = at_apex
    if model == "quadratic" and min(falling, rising) <= least:
        least = min(falling, rising)
        apex = -math.inf if falling < rising else math.inf if rising < falling else math.nan
        rise = 0.0
    freedom = count - 3
    variance = max(least / max(freedom, 1), points.least_variance)
    bend = math.sqrt(max(min(falling, rising) - least, 0) / variance) if variance else math.inf
    low, high = -math.inf, math.inf
    if freedom > 0:
        limits = (
            least + variance * float(f_distribution.ppf(CONFIDENCE, 1, freedom)),
            least + variance * float(f_distribution.ppf(2 * CONFIDENCE - 1, 1, freedom)),
        )
        tried = np.sort(np.append(grid, apex)) if math.isfinite(apex) else grid
        if model != "quadratic" or falling > limits[1]:
            low = _end(points, model, tried, limits, apex)
        if model != "quadratic" or rising > limits[1]:
            high = _end(points, model, tried[::-1], limits, apex)
    return Curve(
        model, apex, low, high, rise, least, variance, aicc(least, count, points.least_variance), bend
    )


def _least(points: Points, model: str, grid: Array, sums: Array) -> float:
    """The optimum with the least sum of squares, zoomed in on."""
    step = float(grid[1] - grid[0])
    best = float(grid[sums.argmin()])
    for _ in range(3):
        fine = np.linspace(best - step, best + step, _ZOOM)
        best = float(fine[profile(points, model, fine)[0].argmin()])
        step *= 2 / (_ZOOM - 1)
    return best


def _end(points: Points, model: str, tried: Array, limits: tuple[float, float], apex: float) -> float:
    """The outermost optimum kept, coming from the far end of `tried`; infinite if that is kept."""

    def kept(apexes: Array) -> NDArray[np.bool_]:
        outside = (apexes < points.first) | (apexes > points.last)
        sums = profile(points, model, apexes)[0]
        return np.asarray((sums <= np.where(outside, limits[1], limits[0])) | (apexes == apex))

    at = int(kept(tried).argmax())
    if at == 0:
        return math.copysign(math.inf, tried[0] - tried[-1])
    outer, inner = float(tried[at - 1]), float(tried[at])
    for _ in range(3):
        fine = np.linspace(outer, inner, _ZOOM)
        keep = kept(fine)
        keep[-1] = True
        place = int(keep.argmax())
        outer, inner = float(fine[max(place - 1, 0)]), float(fine[place])
    return inner


def fit_curves(points: Points) -> tuple[Curve, ...]:
    """The shapes that count, the least AICc first.

    The quadratic alone up to six vials; from seven on the shapes within 2 of the least AICc.
    """
    rungs = len(np.unique(points.hlb))
    names = list(SHAPES) if len(points.hlb) >= PEAKED_FROM and rungs >= 5 else ["quadratic"]
    curves = sorted((fit_curve(points, name) for name in names), key=lambda c: c.aicc)
    return tuple(c for c in curves if c.aicc - curves[0].aicc <= AICC_TIE or c is curves[0])


def slope(points: Points, curve: Curve, hlb: Array) -> Array:
    """Change of the fitted response with HLB at each HLB given. [response/HLB]"""
    if not math.isfinite(curve.apex):
        x = levelled(points.hlb, points.weight)
        along = float(x @ (points.weight * points.response))
        return np.full(len(hlb), along / float(x @ (points.weight * x)))
    shape, tiny = SHAPES[curve.model], 1e-4 * points.span
    d = hlb - curve.apex
    ahead, behind = shape(d + tiny, points.span), shape(d - tiny, points.span)
    return np.asarray(curve.rise * (ahead - behind) / (2 * tiny))
