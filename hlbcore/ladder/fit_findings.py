"""What else a fit gives to say: about the readings, the shape, the times and the ladder's ends."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from hlbcore.findings import Finding
from hlbcore.ladder.curves import Array
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.next_vials import answers_in_words
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
                "They stand at their limit.",
                f"{held.censored} readings",
                "our convention",
                "Read longer.",
            )
        )
    return found


def about_fit(fit: TrialFit, held: Sequence[Readings], strength: Array) -> list[Finding]:
    """What else the fit gives to say."""
    found = []
    if fit.provisional and fit.mass:
        found.append(
            Finding(
                "note",
                "Provisional",
                "With so few vials the interval leans on the shapes that are believed a priori.",
                f"{len(fit.hlb)} vials",
                "our convention",
                "Make 7 vials or more.",
            )
        )
    computed = fit.computed
    if fit.optimum is not None and computed is not None:
        if min(fit.optimum - computed[0], computed[2] - fit.optimum) < fit.half_rung:
            found.append(
                Finding(
                    "note",
                    "A result is never more precise than the ladder",
                    "The scatter would allow a narrower interval; it is held at half a rung.",
                    f"{fit.half_rung:.2g} HLB each side",
                    "our convention",
                    "Make finer vials round the optimum.",
                )
            )
        at_limit = sum(int(x.limits.any(axis=1).sum()) for x in held)
        if at_limit > 1:
            found.append(
                Finding(
                    "note",
                    "Several vials are as good as could be read",
                    "They count as equal; which of them is best cannot be told.",
                    figure=f"{at_limit} vials",
                    rule="our convention",
                    mend="Read longer, or lower the dose, until they differ.",
                )
            )
    if fit.scatter is not None and fit.outcome in ("flat", "too noisy", "edge") and fit.mass:
        rungs = len({round(h, 1) for h in fit.hlb})
        found.append(
            Finding(
                "note",
                "How often so many vials answer",
                answers_in_words(rungs, len(fit.hlb) - rungs, fit.scatter),
                rule="simulated ladders of six shapes",
                mend="Make every vial twice.",
            )
        )
    if fit.proposal is not None:
        found.append(
            Finding(
                "note",
                "Where the next vials tell most",
                f"{fit.proposal.words[0].upper()}{fit.proposal.words[1:]}; they are read with these.",
                rule="belief after these readings" if fit.proposal.kind == "flanks" else "our convention",
                mend="Make them with the same pair, dose and process.",
            )
        )
    if len(held) > 1:
        found.append(
            Finding(
                "note",
                f"{len(held)} ladders are read together",
                "Each has its own level, height and scatter; all share the optimum.",
                f"{len(fit.hlb)} vials",
                "one oil phase, pair and dose",
            )
        )
    elif len(strength) > 1:
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
        found += _moving(fit, held[0])
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
