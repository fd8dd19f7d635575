"""The optimum of one or more bench ladders, with an interval that says how far to trust it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hlbcore._numbers import checked_word
from hlbcore.errors import InvalidInput
from hlbcore.findings import worst_first
from hlbcore.ladder import duplicates, next_vials, verdicts
from hlbcore.ladder.bands import band
from hlbcore.ladder.curves import Array, Courses, Mask, courses
from hlbcore.ladder.evidence import SCATTER_MOST, Belief, Block, Weighed, believed, weighed
from hlbcore.ladder.fit_findings import about_fit, about_readings
from hlbcore.ladder.fit_results import TrialFit, ends, quantiles
from hlbcore.ladder.readings import Numbers, Readings, ReadingTable, merged, read, rungs_of
from hlbcore.ladder.verdicts import Saying

BETTER = ("higher", "lower")

PROVISIONAL_BELOW = 7
"""With fewer vials a result is provisional. [-] Our convention."""

SHAPES_FROM = 5
"""Different HLB values from which a hump is looked for. [-] Our convention."""

HUMP_SIGN, HUMP_SIGN_BY_SCATTER = 0.8, 6.8
"""Log of the odds against a course that only rises or falls, above which a hump is clear: the greater
of the first, and the second times the scatter as a share of the height. [-] Our convention, set by
simulation: single-sided courses are then called clear in 3 of 100 or fewer."""

FLAT_SIGN, FLAT_SIGN_FEW = 2.0, 2.5
"""Log of the odds against no course at all, above which a hump is clear, and the same below
`PROVISIONAL_BELOW` vials. [-] Our convention, set by simulation."""

COURSE_SIGN = 0.5
"""Log of the odds of any course below which a ladder is flat. [-] Our convention."""

EDGE_SHARE = 0.8
"""Share of the belief that must lie on one side for an edge. [-] Our convention."""

Limits = Sequence[int] | Sequence[Sequence[int]] | NDArray[np.int8]


@dataclass(frozen=True, slots=True, eq=False)
class LadderReadings:
    """One ladder of several that are read together.

    Parameters
    ----------
    hlb_values, responses, times, hlb_sd, weights, limits
        As in `fit_trials`.
    """

    hlb_values: Numbers
    responses: ReadingTable
    times: Sequence[str | float] | None = None
    hlb_sd: float | Numbers | None = None
    weights: Numbers | None = None
    limits: Limits | None = None


def fit_trials(
    hlb_values: Numbers,
    responses: ReadingTable,
    better: str = "higher",
    *,
    times: Sequence[str | float] | None = None,
    scale: tuple[float, float] | None = None,
    hlb_sd: float | Numbers | None = None,
    weights: Numbers | None = None,
    limits: Limits | None = None,
) -> TrialFit:
    """The optimum of a ladder, its 95 % interval, a verdict in words and the next vials.

    Parameters
    ----------
    hlb_values : sequence of float
        HLB of each vial as weighed; a repeated HLB is a duplicate. [HLB, 0 to 40]
    responses : sequence
        Readings, one a vial or one row a vial with one reading for each time, ``(vials,)`` or
        ``(vials, times)``. Numbers; True and False for pass and fail; NaN, None or blank where
        missing; ``">7"`` where only a limit is known. [any one unit]
    better : str
        ``"higher"`` or ``"lower"``: which readings are the good ones.
    times : sequence, optional
        Names of the times, in the order of the columns.
    scale : tuple of float, optional
        Both ends of the scale of scores. Whole scores from 0 to 5 need none. [as the readings]
    hlb_sd : float or sequence, optional
        Standard deviation of each HLB from weighing. [HLB]
    weights : sequence of float, optional
        Weight of each vial, for example the number of counts behind its reading. [-]
    limits : sequence, optional
        Shaped like the readings: 1 where the truth is more than the reading, -1 where it is less,
        else 0. [-]

    Returns
    -------
    TrialFit
        Optimum, low, high, verdict, model, next vials, findings.

    Raises
    ------
    InvalidInput
        For fewer than three different HLB values with a reading, or input that cannot be used.

    Notes
    -----
    Humps with two flanks of their own are weighed on a grid (`curves`), level, height and scatter
    integrated out in closed form (`evidence`). The optimum is the mean of the belief in humps
    inside the ladder, the interval leaves out `TAILS` at each end and is never narrower than half
    a rung each side. It is clear only where a hump is believed against courses that only rise or
    fall, and against none. Several times are merged to one response a vial; the interval rests on
    the scatter between vials. Simplifications: scores count as numbers with even steps, and their
    scatter is never believed less than rounding makes it; censored readings stand at their limit.

    Examples
    --------
    >>> fit = fit_trials([7, 8, 9, 10, 11, 12, 13], [0, 2, 3, 4, 4, 3, 1])
    >>> fit.outcome, round(fit.optimum)
    ('clear optimum', 11)
    >>> fit_trials([8, 9, 10, 11, 12], [1, 2, 3, 4, 5]).verdict
    'edge: optimum at the upper edge or beyond; extend the ladder to 15'
    """
    one = LadderReadings(hlb_values, responses, times, hlb_sd, weights, limits)
    return fit_ladders([one], better, scale=scale)


def fit_ladders(
    ladders: Sequence[LadderReadings | tuple[Numbers, ReadingTable]],
    better: str = "higher",
    *,
    scale: tuple[float, float] | None = None,
) -> TrialFit:
    """Several ladders of one oil phase, pair and dose, read together.

    Parameters
    ----------
    ladders : sequence
        ``(hlb_values, responses)`` of each, or `LadderReadings`.
    better : str
        ``"higher"`` or ``"lower"``: which readings are the good ones.
    scale : tuple of float, optional
        Both ends of the scale of scores. [as the readings]

    Returns
    -------
    TrialFit
        One for all. Each ladder has its own level, height and scatter; all share the optimum.

    Raises
    ------
    InvalidInput
        Where none is given, or one of them cannot be used.

    Examples
    --------
    >>> first = ([7, 8, 9, 10, 11, 12, 13], [0.2, 2.1, 2.9, 4.2, 3.8, 3.1, 1.2])
    >>> second = ([8.5, 9.3, 10.1, 10.9, 11.7], [4.0, 4.9, 5.3, 5.2, 4.2])
    >>> both = fit_ladders([first, second])
    >>> one = fit_trials(*first)
    >>> both.high - both.low <= one.high - one.low
    True
    """
    better = checked_word(better, BETTER, "better")
    given = [x if isinstance(x, LadderReadings) else LadderReadings(*x) for x in ladders]
    if not given:
        raise InvalidInput("ladders", "there is none", "Give at least one ladder that was read.")
    held = [read(x.hlb_values, x.responses, better, scale, x.hlb_sd, x.weights, x.limits) for x in given]
    blank = _blank(
        held, [_names(x, h, n, len(held)) for n, (x, h) in enumerate(zip(given, held, strict=True), 1)]
    )
    if len({h.pass_fail for h in held}) > 1:
        raise InvalidInput(
            "ladders", "some were read as pass or fail, some in numbers", "Read all in one way."
        )
    flat = _all_alike(held)
    if flat is not None:
        proposal = next_vials.again(min(blank.hlb), max(blank.hlb), len(rungs_of(np.sort(blank.hlb))))
        return replace(blank, outcome=flat.outcome, verdict=flat.verdict, proposal=proposal)
    if held[0].pass_fail:
        if len(held) > 1:
            raise InvalidInput(
                "ladders", "pass and fail of several cannot be read together", "Read each by itself."
            )
        return band(held[0], blank)
    return _optimum(held, blank)


def _names(given: LadderReadings, held: Readings, number: int, ladders: int) -> tuple[str, ...]:
    """Names of the times of one ladder."""
    count = held.values.shape[1]
    if given.times is not None and len(given.times) != count:
        raise InvalidInput(
            "times", f"{len(given.times)} names for {count} columns of readings", "Name each column."
        )
    names = (
        tuple(f"time {n}" for n in range(1, count + 1))
        if given.times is None
        else tuple(str(t) for t in given.times)
    )
    return names if ladders == 1 else tuple(f"ladder {number}, {n}" for n in names)


def _blank(held: Sequence[Readings], names: Sequence[tuple[str, ...]]) -> TrialFit:
    """Everything that does not depend on a fit."""
    hlb = tuple(float(h) for x in held for h in x.hlb)
    rungs = np.array([h for h, _ in rungs_of(np.sort(np.array(hlb)))])
    columns = sum(len(n) for n in names)
    rows, start = [], 0
    for x, n in zip(held, names, strict=True):
        for values in (x.sign * x.values).tolist():
            rows.append((*[math.nan] * start, *values, *[math.nan] * (columns - start - len(n))))
        start += len(n)
    return TrialFit(
        "all alike",
        "",
        None,
        None,
        None,
        None,
        len(hlb) < PROVISIONAL_BELOW,
        float(np.median(np.diff(rungs))) / 2,
        None,
        tuple(f for x in held for f in about_readings(x)),
        (),
        None,
        hlb,
        tuple(rows),
        tuple(n for x in names for n in x),
        held[0].sign > 0,
    )


def _all_alike(held: Sequence[Readings]) -> Saying | None:
    """The saying where all vials of all ladders read good, bad, or the same."""
    sayings = {_alike(x) for x in held}
    if None in sayings:
        return None
    return sayings.pop() if len(sayings) == 1 else verdicts.ALL_ALIKE


def _alike(held: Readings) -> Saying | None:
    seen = held.values[~np.isnan(held.values)]
    if held.scale is not None:
        low, high = held.scale
        if seen.min() >= low + verdicts.GOOD_SHARE * (high - low):
            return verdicts.ALL_GOOD
        if seen.max() <= low + verdicts.BAD_SHARE * (high - low):
            return verdicts.ALL_BAD
    if held.limits[~np.isnan(held.values)].all():
        return verdicts.ALL_GOOD
    columns = [c[~np.isnan(c)] for c in held.values.T]
    tiny = 1e-9 * max(float(np.abs(seen).max()), 1e-300)
    if all(len(c) == 0 or np.ptp(c) <= tiny for c in columns):
        return verdicts.ALL_ALIKE
    # a single step between whole scores is no difference
    if held.step and held.step >= np.ptp(seen) and held.values.shape[1] == 1:
        return verdicts.flat(_made(held))
    return None


def _optimum(held: Sequence[Readings], blank: TrialFit) -> TrialFit:
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
    if len(held) == 1 and verdicts.single(means[0][1]) and belief.flat_odds > FLAT_SIGN:
        at_best = int(means[0][1].argmax())
        low, high = (float(means[0][0][at_best + k]) for k in (-1, 1))
        fit = replace(
            fit,
            low=round(low, 1),
            high=round(high, 1),
            proposal=next_vials.Proposal("narrow", round(low, 1), round(high, 1), next_vials.NEXT_VIALS),
        )
        return _finished(fit, verdicts.narrow(best, low, high), held, strength)
    if _is_clear(belief, few=len(hlb) < PROVISIONAL_BELOW):
        return _finished(*_clear(fit, tried, belief, rungs, best), held, strength)
    differ = any(duplicates.differ(*x) for x in seen)
    made = min(_made(x) for x in held)
    return _finished(*_unclear(fit, tried, belief, rungs, means, again, differ, made), held, strength)


def _made(held: Readings) -> int:
    """How often every vial was made at least. [-]"""
    return min(len(g) for _, g in held.rungs)


def _is_clear(belief: Belief, *, few: bool) -> bool:
    """Whether a hump is believed against one-sided courses and against none."""
    wanted = max(HUMP_SIGN, HUMP_SIGN_BY_SCATTER * min(belief.outer_scatter, SCATTER_MOST))
    return belief.hump_odds > wanted and belief.flat_odds > (FLAT_SIGN_FEW if few else FLAT_SIGN)


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
        scatter=belief.scatter,
        mass=tuple((m, w) for m, w in zip(tried.places.tolist(), marginal.tolist(), strict=True) if w > 0),
        drawn=tuple(zip(at.tolist(), drawn.tolist(), strict=True)),
    )


def _clear(
    fit: TrialFit, tried: Courses, belief: Belief, rungs: Array, best: float
) -> tuple[TrialFit, Saying]:
    """A clear optimum: its interval and the vials on its flanks."""
    low, optimum, high = quantiles(fit.mass)
    optimum = round(optimum, 1)
    at = min(max(int(np.searchsorted(rungs, optimum)), 1), len(rungs) - 1)
    half = float(rungs[at] - rungs[at - 1]) / 2
    low, high = ends(min(low, best), optimum, max(high, best), half)
    proposal = next_vials.flanks(
        tried, belief.mass * tried.inside, optimum, 2 * fit.half_rung, belief.scatter
    )
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
    upper = belief.rising > 0.5
    side = max(belief.rising, 1 - belief.rising)
    middle = (first + last) / 2
    lies = float(marginal[tried.places > middle].sum())
    if side >= EDGE_SHARE and (lies if upper else 1 - lies) >= EDGE_SHARE:
        proposal = next_vials.beyond(first, last, 2 * fit.half_rung, upper=upper)
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
    own = max(float(found.scatters[number, course]), 1e-3 * found.span) ** 2
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
