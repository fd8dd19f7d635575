"""Pass and fail: a band, half a rung wider on each side than what passed."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from hlbcore.findings import Finding, worst_first
from hlbcore.ladder import next_vials, verdicts
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.readings import Readings
from hlbcore.ladder.verdicts import said


def band(held: Readings, blank: TrialFit) -> TrialFit:
    """The band that passed at the latest time at which vials still differ."""
    good = held.values == held.values[~np.isnan(held.values)].max()
    passing = [t for t in range(good.shape[1]) if good[:, t].any()]
    telling = [t for t in passing if not good[~np.isnan(held.values[:, t]), t].all()] or passing
    time = telling[-1]
    read_then = [(h, g[~np.isnan(held.values[g, time])]) for h, g in held.rungs]
    read_then = [(h, g) for h, g in read_then if len(g)]
    rungs = np.array([h for h, _ in read_then])
    passed = np.array([good[g, time].any() for _, g in read_then])
    places = np.flatnonzero(passed)
    first, last = int(places[0]), int(places[-1])
    if not passed[first : last + 1].all():
        twice = all(len(g) > 1 for _, g in read_then)
        saying = (verdicts.two_peaks if twice else verdicts.perhaps_two)(rungs, passed.astype(float))
        proposal = next_vials.again(float(rungs[0]), float(rungs[-1]), len(rungs))
        return replace(blank, outcome=saying.outcome, verdict=saying.verdict, proposal=proposal)
    low = math.floor(5 * float(rungs[max(first - 1, 0)] + rungs[first]) + 1e-6) / 10
    high = math.ceil(5 * float(rungs[last] + rungs[min(last + 1, len(rungs) - 1)]) - 1e-6) / 10
    best = f"{said(float(rungs[first]))} to {said(float(rungs[last]))}"
    rung = 2 * blank.half_rung
    if first > 0 and last < len(rungs) - 1:
        words = f"band: HLB {best} passed, so the optimum lies between {said(low)} and {said(high)}"
        fit = replace(blank, outcome="band", verdict=words, low=low, high=high)
        proposal = next_vials.Proposal("round", low, high, next_vials.NEXT_VIALS)
    else:
        upper = last == len(rungs) - 1
        proposal = next_vials.beyond(float(rungs[0]), float(rungs[-1]), rung, upper=upper)
        far = proposal.high if upper else proposal.low
        words = f"edge: HLB {best} passed, up to the end of the ladder; extend the ladder to {said(far)}"
        bounds = (low if first > 0 else None, None) if upper else (None, high)
        fit = replace(blank, outcome="edge", verdict=words, low=bounds[0], high=bounds[1])
    note = Finding(
        "note",
        "Pass and fail give a band, no optimum",
        f"Judged at {blank.times[time]}, the latest time at which vials differ."
        if len(blank.times) > 1
        else "",
        rule="our convention",
        mend="Score or measure the vials to find the best within the band.",
    )
    return replace(fit, proposal=proposal, findings=worst_first([*blank.findings, note]))
