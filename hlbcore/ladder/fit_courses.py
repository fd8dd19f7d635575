"""What scores and measured readings say: courses weighed, then a clear optimum, an edge, or neither."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from hlbcore.findings import worst_first
from hlbcore.ladder import duplicates, next_vials, verdicts
from hlbcore.ladder.curves import Array, Courses, Mask, courses
from hlbcore.ladder.evidence import SCATTER_MOST, Belief, Block, Weighed, believed, weighed
from hlbcore.ladder.fit_findings import about_fit
from hlbcore.ladder.fit_results import TrialFit, ends, quantiles
from hlbcore.ladder.readings import Readings, merged, rungs_of
from hlbcore.ladder.verdicts import Saying

PROVISIONAL_BELOW = 7
"""With fewer vials a result is provisional. [-] Our convention."""

SHAPES_FROM = 5
"""Different HLB values from which a hump is looked for. [-] Our convention."""

HUMP_SIGN = 0.5
"""Least log of the odds against a course that only rises or falls, above which a hump is clear. [-] Our
convention, set by simulation: single-sided courses are then called clear in 3 of 100 or fewer."""

HUMP_SIGN_BY_SCATTER, HUMP_SIGN_OF_STEPS = 5.4, 7.1
"""The same, as so many times the scatter as a share of the height, where that is more: for measured
readings, and for scores, of which several at the end of the scale show no scatter at all. [-] Our
convention, set by simulation."""

FLAT_SIGN, FLAT_SIGN_FEW = 1.8, 2.1
"""Log of the odds against no course at all, above which a hump is clear, and the same below
`PROVISIONAL_BELOW` vials. [-] Our convention, set by simulation."""

COURSE_SIGN = 0.5
"""Log of the odds of any course below which a ladder is flat. [-] Our convention."""

EDGE_SIGN = -1.4
"""Log of the odds of a hump inside, below which the next vials go beyond an end. [-] Our convention."""

EDGE_SHARE = 0.8
"""Share of the belief that must lie on one side for an edge. [-] Our convention."""


def read_courses(held: Sequence[Readings], blank: TrialFit) -> TrialFit:
    """The fit of scores or measured readings."""
    hlb = np.array(blank.hlb)
    rungs = np.array([h for h, _ in rungs_of(np.sort(hlb))])
    first, last, rung = float(rungs[0]), float(rungs[-1]), 2 * blank.half_rung
    tried = courses(blank.hlb)
    starts = np.cumsum([0, *(len(x.hlb) for x in held)])
    joined = [merged(x, tried, np.arange(a, a + len(x.hlb))) for x, a in zip(held, starts[:-1], strict=True)]
    blocks = [j[0] for j in joined]
    found = weighed(tried, blocks, tied=True)
    if any((x.hlb_sd > 0).any() for x in held):
        blocks = [
            _by_weighing(tried, found, b, n, x.hlb_sd[j[2]])
            for n, (b, x, j) in enumerate(zip(blocks, held, joined, strict=True))
        ]
        found = weighed(tried, blocks, tied=True)
    belief = believed(tried, found)
    means = [_rung_means(x, b, j[2]) for x, b, j in zip(held, blocks, joined, strict=True)]
    best = _best_rung(tried, found, blocks, hlb)
    fit = _with_course(blank, tried, belief)
    strength = joined[0][1] if len(held) == 1 else np.ones(1)
    if len(rungs) < SHAPES_FROM:
        saying = verdicts.too_few(len(rungs), best)
        fit = replace(fit, mass=(), drawn=(), model=None, proposal=next_vials.around(best, rung))
        return _finished(fit, saying, held, strength)
    seen = [(x, b, j[2]) for x, b, j in zip(held, blocks, joined, strict=True)]
    confirmed = [duplicates.two_peaks(*x) for x in seen]
    again = next_vials.again(first, last, len(rungs))
    if any(confirmed):
        at = means[confirmed.index(True)]
        return _finished(
            replace(fit, mass=(), drawn=(), model=None, proposal=again),
            verdicts.two_peaks(*at),
            held,
            strength,
        )
    if len(held) == 1 and is_single(means[0][1], float(belief.flat_odds)):
        at_best = int(means[0][1].argmax())
        low, high = (float(means[0][0][at_best + k]) for k in (-1, 1))
        fit = replace(
            fit,
            low=round(low, 1),
            high=round(high, 1),
            proposal=next_vials.Proposal("narrow", round(low, 1), round(high, 1), next_vials.NEXT_VIALS),
        )
        return _finished(fit, verdicts.narrow(best, low, high), held, strength)
    if is_clear(belief, few=len(hlb) < PROVISIONAL_BELOW, steps=any(x.step for x in held)):
        return _finished(*_clear(fit, tried, belief, rungs, best), held, strength)
    differ = any(duplicates.differ(*x) for x in seen)
    made = min(made_least(x) for x in held)
    return _finished(*_unclear(fit, tried, belief, rungs, means, again, differ, made), held, strength)


def made_least(held: Readings) -> int:
    """How often every vial was made at least. [-]"""
    return min(len(g) for _, g in held.rungs)


def is_single(means: Array, flat_odds: float) -> bool:
    """Whether one vial alone is good, and no chance in a flat ladder."""
    return verdicts.single(means) and flat_odds > FLAT_SIGN


def is_clear(belief: Belief, *, few: bool, steps: bool) -> Mask:
    """Whether a hump is believed against one-sided courses and against none."""
    by_scatter = HUMP_SIGN_OF_STEPS if steps else HUMP_SIGN_BY_SCATTER
    wanted = np.maximum(HUMP_SIGN, by_scatter * np.minimum(belief.outer_scatter, SCATTER_MOST))
    against_flat = belief.flat_odds > (FLAT_SIGN_FEW if few else FLAT_SIGN)
    return np.asarray((belief.hump_odds > wanted) & against_flat)


def _with_course(fit: TrialFit, tried: Courses, belief: Belief) -> TrialFit:
    """The fit with the belief in humps inside, and the course that agrees best."""
    inside = belief.mass * tried.inside
    marginal = tried.marginal(inside)
    chosen = int(inside.argmax() if belief.hump_odds > 0 else belief.mass.argmax())
    at = np.linspace(tried.first, tried.last, 121)
    drawn = tried.drawn(np.array([chosen]), at)[0]
    return replace(
        fit,
        model=tried.name(chosen),
        scatter=float(belief.scatter),
        mass=tuple((m, w) for m, w in zip(tried.places.tolist(), marginal.tolist(), strict=True) if w > 0),
        drawn=tuple(zip(at.tolist(), drawn.tolist(), strict=True)),
    )


def clear_ends(
    mass: Sequence[tuple[float, float]], rungs: Array, best: float
) -> tuple[float, float, float, float]:
    """Low end, optimum, high end and half a rung there, of a clear optimum. [HLB]"""
    low, mean, high = quantiles(mass)
    optimum = round(mean, 1)
    at = min(max(int(np.searchsorted(rungs, optimum)), 1), len(rungs) - 1)
    half = float(rungs[at] - rungs[at - 1]) / 2
    low, high = ends(min(low, best), optimum, max(high, best), half)
    return low, optimum, high, half


def _clear(
    fit: TrialFit, tried: Courses, belief: Belief, rungs: Array, best: float
) -> tuple[TrialFit, Saying]:
    """A clear optimum: its interval and the vials on its flanks."""
    scatter = float(belief.scatter)
    low, optimum, high, half = clear_ends(fit.mass, rungs, best)
    proposal = next_vials.flanks(tried, belief.mass * tried.inside, optimum, 2 * fit.half_rung, scatter)
    fit = replace(fit, optimum=optimum, low=low, high=high, half_rung=half, proposal=proposal)
    return fit, verdicts.clear(optimum, low, high)


def _unclear(
    fit: TrialFit,
    tried: Courses,
    belief: Belief,
    rungs: Array,
    means: Sequence[tuple[Array, Array]],
    again: next_vials.Proposal,
    differ: bool,
    made: int,
) -> tuple[TrialFit, Saying]:
    """Edge, flat or too noisy."""
    first, last = float(rungs[0]), float(rungs[-1])
    fit = replace(fit, proposal=again)
    for at, values in means:
        if len(values) >= SHAPES_FROM and verdicts.wavy(values):
            return fit, verdicts.perhaps_two(at, values, made)
    if belief.course_odds < COURSE_SIGN:
        return fit, (verdicts.too_noisy if differ else verdicts.flat)(made)
    marginal = tried.marginal(belief.mass)
    rising = float(belief.rising)
    upper = rising > 0.5
    side = max(rising, 1 - rising)
    middle = (first + last) / 2
    lies = float(marginal[tried.places > middle].sum())
    if side >= EDGE_SHARE and (lies if upper else 1 - lies) >= EDGE_SHARE:
        sure = bool(belief.hump_odds < EDGE_SIGN)
        proposal = next_vials.beyond(first, last, 2 * fit.half_rung, upper=upper, sure=sure)
        far = proposal.high if upper else proposal.low
        low, _, high = quantiles(list(zip(tried.places.tolist(), marginal.tolist(), strict=True)))
        low, high = round(max(low, first), 1), round(min(high, last), 1)
        return (
            replace(fit, low=low if upper else None, high=None if upper else high, proposal=proposal),
            verdicts.edge(far, upper=upper),
        )
    return fit, verdicts.too_noisy(made)


def _finished(fit: TrialFit, saying: Saying, held: Sequence[Readings], strength: Array) -> TrialFit:
    """The fit with its words and findings."""
    fit = replace(fit, outcome=saying.outcome, verdict=saying.verdict)
    return replace(fit, findings=worst_first([*fit.findings, *about_fit(fit, held, strength)]))


def _by_weighing(tried: Courses, found: Weighed, block: Block, number: int, sd: Array) -> Block:
    """One ladder with the doubt of its HLB carried over to the response.

    A vial on a steep part of the course counts less, and the scatter is never believed less than
    what weighing alone makes.
    """
    course = int((found.course + np.log(tried.prior + 1e-300)).argmax())
    hlb = tried.hlb[block.at]
    tiny = 1e-3 * (tried.last - tried.first)
    ahead, behind = tried.drawn(np.array([course]), np.concatenate([hlb + tiny, hlb - tiny]))[0].reshape(
        2, -1
    )
    moved = (found.heights[number, course] * (ahead - behind) / (2 * tiny) * sd) ** 2
    own = max(float(found.scatters[number, course]), 1e-3 * float(found.span[0])) ** 2
    weight = block.weight * own / (own + moved)
    least = max(block.least_sd, math.sqrt(float(np.average(moved, weights=block.weight))))
    return replace(block, weight=weight / weight.mean(), least_sd=least)


def _rung_means(held: Readings, block: Block, keep: Mask) -> tuple[Array, Array]:
    """HLB and mean response of each rung of one ladder."""
    place = np.cumsum(keep) - 1
    rows = [(h, float(block.response[place[g[keep[g]]]].mean())) for h, g in held.rungs if keep[g].any()]
    table = np.array(rows)
    return table[:, 0], table[:, 1]


def _best_rung(tried: Courses, found: Weighed, blocks: Sequence[Block], hlb: Array) -> float:
    """HLB of the best vial, the ladders brought to one level by the course that agrees best."""
    course = int((found.course + np.log(tried.prior + 1e-300)).argmax())
    rows = []
    for block, height in zip(blocks, found.heights[:, course], strict=True):
        shape = tried.shape[course, block.at]
        level = float(np.average(block.response - height * shape, weights=block.weight))
        rows += list(zip((block.response - level) / max(height, 1e-12), hlb[block.at], strict=True))
    return float(max(rows)[1]) if len(blocks) > 1 else float(hlb[blocks[0].at][blocks[0].response.argmax()])
