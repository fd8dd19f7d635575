"""What a ladder says, in words: the outcome, its sentence, and what to do next."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.optimize import isotonic_regression

from hlbcore.estimate import HLB_MAX
from hlbcore.ladder.curves import SHAPES, Array, Curve, Points, slope

GOOD_SHARE, BAD_SHARE = 0.8, 0.2
"""All readings in the top fifth of the scale are all good, in the bottom fifth all bad. [-]
Our convention."""

TWO_PEAKS_SHARE = 0.40
"""Two peaks are named where the best single-peaked course leaves so much of the differences
unexplained. [-] Our convention: in simulations a single peak read with a noise of a third of its
height does so in one to three of a hundred ladders."""

EXTEND_RUNGS = 2.0
"""A ladder is extended by so many rungs. [-] Our convention."""

DUPLICATES_MOST = 6
"""Beyond so many vials a rung, more of them is no sensible advice. [-] Our convention."""

NEXT_VIALS = 4
"""Vials of a proposed ladder. [-] Our convention."""


@dataclass(frozen=True, slots=True)
class Saying:
    """An outcome with its sentence.

    Parameters
    ----------
    outcome : str
        As in `TrialFit`.
    verdict : str
        The sentence.
    """

    outcome: str
    verdict: str


def said(hlb: float) -> str:
    """An HLB with one decimal, or none where it is whole."""
    return f"{hlb:.1f}".removesuffix(".0")


ALL_GOOD = Saying(
    "all good", "all good: too much emulsifier or read too early; halve the dose, read longer or warmer"
)
ALL_BAD = Saying(
    "all bad",
    "all bad: too little emulsifier, the wrong family or too little shear; raise the dose, try "
    "another chemical family, or mix harder",
)
ALL_ALIKE = Saying(
    "all alike",
    "all alike: no difference between the vials; if all are good, halve the dose, read longer or "
    "warmer; if all are bad, raise the dose, change the family or mix harder",
)


def too_few(count: int, best: float) -> Saying:
    """Three vials: a curve through them has no doubt that could be known."""
    return Saying(
        "too few",
        f"too few vials: {count} give no interval; the best vial is at {said(best)}, make at least "
        "5 vials round it",
    )


def unexplained(values: Array) -> float:
    """Share of the variation that no single-peaked course of any shape explains. [-]

    Notes
    -----
    Least squares of rising-then-falling values: two isotonic regressions for every place of the
    top.
    """
    whole = float(((values - values.mean()) ** 2).sum())
    if whole <= 0:
        return 0.0

    def rising(part: Array) -> float:
        return float(((isotonic_regression(part).x - part) ** 2).sum()) if len(part) else 0.0

    places = range(len(values) + 1)
    return min(rising(values[:n]) + rising(values[n:][::-1]) for n in places) / whole


def two_peaks(hlb: Array, values: Array) -> Saying:
    """The sentence for two peaks: where they are, and the valley between."""
    inner = [(min(values[:n].max(), values[n + 1 :].max()) - values[n], n) for n in range(1, len(values) - 1)]
    valley = max(inner)[1]
    left = float(hlb[values[:valley].argmax()])
    right = float(hlb[valley + 1 + values[valley + 1 :].argmax()])
    return Saying(
        "two peaks",
        f"two peaks: good near {said(left)} and near {said(right)}, poor at "
        f"{said(float(hlb[valley]))}; the emulsion type probably changed between them, so test "
        "each vial by a drop in water and a drop in oil; if all are of one type, repeat with "
        "duplicates",
    )


def beyond(end: float, rung: float, *, upper: bool) -> float:
    """To where a ladder is extended. [HLB]"""
    far = end + EXTEND_RUNGS * rung * (1 if upper else -1)
    return round(min(max(far, 0.0), HLB_MAX), 1)


def edge(points: Points, rung: float, optimum: float | None, *, upper: bool) -> Saying:
    """The sentence for an optimum at an end of the ladder, or not bounded on that side."""
    far = said(beyond(points.last if upper else points.first, rung, upper=upper))
    if optimum is None:
        side = "upper" if upper else "lower"
        return Saying("edge", f"optimum at the {side} edge or beyond: extend the ladder to {far}")
    side = "above" if upper else "below"
    return Saying(
        "edge",
        f"optimum near {said(optimum)}, not bounded {side} within the ladder: extend the ladder "
        f"to {far}, or repeat with duplicates",
    )


def too_noisy(points: Points, curves: tuple[Curve, ...], vials_a_rung: float) -> Saying:
    """The sentence for scatter that hides the optimum, with the number of vials that would do.

    Notes
    -----
    The bend of the curve grows with the root of the number of vials; a t of 2 is wanted.
    """
    bend = max(c.bend for c in curves)
    wanted = math.ceil(vials_a_rung * (2.0 / bend) ** 2) if bend > 0 else math.inf
    wanted = max(wanted, math.floor(vials_a_rung) + 1)
    if wanted <= DUPLICATES_MOST:
        return Saying(
            "too noisy", f"too noisy: the scatter hides the optimum; repeat with {wanted} vials a rung"
        )
    return Saying(
        "too noisy",
        f"too noisy: no optimum shows, and even {DUPLICATES_MOST} vials a rung would hardly show "
        "it; widen the ladder, lower the dose or read longer, then repeat with duplicates",
    )


def steps_between(low: float, high: float, count: int) -> tuple[float, ...]:
    """Evenly stepped HLB values, to one decimal, without repeats."""
    low, high = max(low, 0.0), min(high, HLB_MAX)
    return tuple(dict.fromkeys(round(float(h), 1) for h in np.linspace(low, high, count)))


def sharpening(
    points: Points, curve: Curve, low: float, high: float, rung: float
) -> tuple[tuple[float, ...], float]:
    """Where new vials narrow the interval most, and its new width as a share of the old.

    Notes
    -----
    The variance of the optimum m is the last diagonal element of the inverse information matrix
    of (a, b, m). Vials are taken one by one, each where that element falls most, in steps of half
    a rung from a rung below the interval to a rung above it.
    """
    ends = max(low - rung, 0.0), min(high + rung, HLB_MAX)
    count = max(round((ends[1] - ends[0]) / (rung / 2)), NEXT_VIALS)
    places = np.array(steps_between(*ends, count + 1))

    def gradient(hlb: Array) -> Array:
        fitted = SHAPES[curve.model](hlb - curve.apex, points.span)
        return np.column_stack([np.ones(len(hlb)), fitted, -slope(points, curve, hlb)])

    old = gradient(points.hlb)
    inverse = np.linalg.pinv(old.T @ (points.weight[:, None] * old))
    before = inverse[2, 2]
    new = gradient(places)
    taken: list[float] = []
    for _ in range(min(NEXT_VIALS, len(places))):
        moved = new @ inverse
        gain = moved[:, 2] ** 2 / (1 + np.einsum("ij,ij->i", moved, new))
        gain[np.isin(places, taken)] = -1
        best = int(gain.argmax())
        taken.append(float(places[best]))
        inverse = inverse - np.outer(moved[best], moved[best]) / (1 + moved[best] @ new[best])
    share = math.sqrt(max(inverse[2, 2], 0) / before) if before > 0 else 1.0
    return tuple(sorted(taken)), share
