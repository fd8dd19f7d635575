"""What else a fit gives to say: about the readings, the shape, the times and the ladder's ends."""

from __future__ import annotations

import math

import numpy as np

from hlbcore.findings import Finding
from hlbcore.ladder.curves import PEAKED_FROM, Array, Points
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.readings import Readings
from hlbcore.ladder.verdicts import said


def about_readings(held: Readings) -> list[Finding]:
    """What the readings themselves give to say."""
    found = []
    if held.left_out:
        found.append(
            Finding(
                "note",
                "Vials without a reading",
                figure=str(held.left_out),
                detail="They are left out of the fit.",
            )
        )
    if held.step:
        found.append(
            Finding(
                "note",
                "Readings in steps are taken as numbers",
                "The steps count as even; the scatter is never taken for less than "
                "rounding to a step makes it.",
                f"step {held.step:g}",
                "our convention",
            )
        )
    if held.censored:
        found.append(
            Finding(
                "note",
                "Readings of which only a limit is known",
                "They stand at their limit; where that is the best reading, the interval takes in "
                "all such vials.",
                f"{held.censored} readings",
                "our convention",
                "Read longer.",
            )
        )
    return found


def about_fit(fit: TrialFit, points: Points, strength: Array, held: Readings) -> list[Finding]:
    """What else the fit gives to say."""
    found = [f for f in fit.findings if f.title.startswith("Where the next")]
    low, high = fit.low, fit.high
    if fit.provisional:
        found.append(
            Finding(
                "note",
                "Provisional",
                f"With fewer than {PEAKED_FROM} vials only the quadratic "
                "can be fitted; the interval leans on its shape.",
                f"{len(points.hlb)} vials",
                "our convention",
                f"Make {PEAKED_FROM} vials or more.",
            )
        )
    if (low is not None and low < points.first) or (high is not None and high > points.last):
        found.append(
            Finding(
                "caution",
                "The interval reaches beyond the ladder",
                "What lies beyond the last vial is a guess from the shape of the curve.",
                f"ladder {said(points.first)} to {said(points.last)}",
                "our convention",
                "Extend the ladder.",
            )
        )
    if len(fit.curves) > 1:
        tops = " and ".join(
            f"{c.model} {c.apex:.1f}" if math.isfinite(c.apex) else f"{c.model} none" for c in fit.curves
        )
        found.append(
            Finding(
                "note",
                "Two shapes fit about as well",
                f"Optimum by shape: {tops}. The interval takes in both.",
                rule="AICc within 2",
            )
        )
    if len(strength) > 1:
        told = fit.times[int(strength.argmax())]
        found.append(
            Finding(
                "note",
                "All times are used together",
                f"The vials differ most at {told}. The interval rests on the scatter between "
                "vials, since readings of one vial are not independent.",
                rule="our convention",
            )
        )
        found += _moving(fit, held)
    return found


def _moving(fit: TrialFit, held: Readings) -> list[Finding]:
    """A caution where the best vial moves from time to time by more than the interval."""
    if fit.low is None and fit.optimum is None:
        return []
    best = []
    for time, column in zip(fit.times, held.values.T, strict=True):
        seen = ~np.isnan(column)
        top = column[seen].max() if seen.any() else math.nan
        if seen.sum() >= 3 and (column[seen] == top).sum() == 1:
            best.append((float(held.hlb[seen][column[seen].argmax()]), time))
    if not best or max(best)[0] - min(best)[0] <= 4 * fit.half_rung + 1e-9:
        return []
    (first, then), (last, later) = min(best), max(best)
    return [
        Finding(
            "caution",
            "The best vial moves with time",
            f"HLB {said(first)} at {then}, {said(last)} at {later}.",
            rule="our convention: more than two rungs",
            mend="Believe the time that matters for the product.",
        )
    ]
