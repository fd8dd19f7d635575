"""The optimum of a bench ladder, with an interval that says how far to trust it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.stats import f as f_distribution

from hlbcore._numbers import checked_word
from hlbcore.errors import InvalidInput
from hlbcore.estimate import HLB_MAX
from hlbcore.findings import Finding, worst_first
from hlbcore.ladder import verdicts
from hlbcore.ladder.curves import PEAKED_FROM, Array, Curve, Points, fit_curves, slope
from hlbcore.ladder.fit_findings import about_fit, about_readings
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.readings import Numbers, Readings, ReadingTable, merged, pure_error, read
from hlbcore.ladder.verdicts import Saying, said

BETTER = ("higher", "lower")


def fit_trials(
    hlb_values: Numbers,
    responses: ReadingTable,
    better: str = "higher",
    *,
    times: Sequence[str | float] | None = None,
    scale: tuple[float, float] | None = None,
    hlb_sd: float | Numbers | None = None,
    weights: Numbers | None = None,
    limits: Sequence[int] | Sequence[Sequence[int]] | NDArray[np.int8] | None = None,
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
    Curves: ``y = a - b (x - m)²``, and from seven vials up a bell
    ``y = a + b exp(-(x - m)²/2w²)`` with w a quarter of the ladder's span, chosen by AICc; curves
    within 2 of the least both count and their intervals are united. The interval holds every m
    with ``S(m) <= S_min + s² F``, by profile likelihood. Several times share m, each with its own
    a and b; the interval rests on the scatter between vials. Simplifications: scores count as
    numbers with even steps, and their scatter is never taken for less than rounding makes it;
    censored readings stand at their limit, and the interval is widened to all vials of which
    only the limit is known to be best.

    Examples
    --------
    >>> fit = fit_trials([7, 8, 9, 10, 11, 12, 13], [0, 2, 3, 4, 4, 3, 1])
    >>> fit
    clear optimum at HLB 10.3 (9.8 to 10.8)
    >>> fit_trials([8, 9, 10, 11, 12], [1, 2, 3, 4, 5]).verdict
    'optimum at the upper edge or beyond: extend the ladder to 14'
    """
    better = checked_word(better, BETTER, "better")
    held = read(hlb_values, responses, better, scale, hlb_sd, weights, limits)
    count = held.values.shape[1]
    if times is not None and len(times) != count:
        raise InvalidInput(
            "times", f"{len(times)} names for {count} columns of readings", "Name each column."
        )
    names = (
        tuple(f"time {n}" for n in range(1, count + 1)) if times is None else (tuple(str(t) for t in times))
    )
    rungs = np.array([h for h, _ in held.rungs])
    blank = TrialFit(
        "all alike",
        "",
        None,
        None,
        None,
        None,
        len(held.hlb) < PEAKED_FROM,
        float(np.median(np.diff(rungs))) / 2,
        tuple(rungs.round(1).tolist()),
        tuple(about_readings(held)),
        (),
        tuple(held.hlb.tolist()),
        tuple(tuple(r) for r in (held.sign * held.values).tolist()),
        names,
        better == "higher",
    )
    flat = _all_alike(held)
    if flat is not None:
        return replace(blank, outcome=flat.outcome, verdict=flat.verdict)
    if held.pass_fail:
        return _band(held, blank)
    return _optimum(held, blank)


def _all_alike(held: Readings) -> Saying | None:
    """The saying where all vials read good, bad, or the same."""
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
    return None


def _band(held: Readings, blank: TrialFit) -> TrialFit:
    """Pass and fail yield a band: the rungs that passed, half a rung wider on each side."""
    good = held.values == held.values[~np.isnan(held.values)].max()
    passing = [t for t in range(good.shape[1]) if good[:, t].any()]
    telling = [t for t in passing if not good[~np.isnan(held.values[:, t]), t].all()] or passing
    time = telling[-1]  # the latest time at which vials still differ
    read_then = [(h, g[~np.isnan(held.values[g, time])]) for h, g in held.rungs]
    read_then = [(h, g) for h, g in read_then if len(g)]
    rungs = np.array([h for h, _ in read_then])
    passed = np.array([good[g, time].any() for _, g in read_then])
    places = np.flatnonzero(passed)
    if not passed[places[0] : places[-1] + 1].all():
        saying = verdicts.two_peaks(rungs, passed.astype(float))
        return replace(blank, outcome=saying.outcome, verdict=saying.verdict)
    first, last = int(places[0]), int(places[-1])
    bounded = first > 0, last < len(rungs) - 1
    low, high = _rounded(
        float(rungs[first - 1] + rungs[first]) / 2 if bounded[0] else -math.inf,
        float(rungs[last] + rungs[last + 1]) / 2 if bounded[1] else math.inf,
    )
    best = f"{said(float(rungs[first]))} to {said(float(rungs[last]))}"
    outcome, rung = "band", 2 * blank.half_rung
    if low is not None and high is not None:
        words = f"a band passed, HLB {best}: the optimum lies between {said(low)} and {said(high)}"
        proposed = verdicts.steps_between(low, high, 5)
    else:
        outcome = "edge"
        end = float(rungs[-1] if high is None else rungs[0])
        far = verdicts.beyond(end, rung, upper=high is None)
        words = f"HLB {best} passed, up to the end of the ladder: extend the ladder to {said(far)}"
        proposed = verdicts.steps_between(min(end, far), max(end, far), 3)
    note = Finding(
        "note",
        "Pass and fail give a band, no optimum",
        f"Judged at {blank.times[time]}, the latest time at which vials differ."
        if len(blank.times) > 1
        else "",
        rule="our convention",
        mend="Score or measure the vials to find the best within the band.",
    )
    return replace(
        blank,
        outcome=outcome,
        verdict=words,
        low=low,
        high=high,
        next_rungs=proposed,
        findings=worst_first([*blank.findings, note]),
    )


def _optimum(held: Readings, blank: TrialFit) -> TrialFit:
    """The fit of scores or measured readings."""
    points, strength, keep = merged(held)
    curves = fit_curves(points)
    sd = held.hlb_sd[keep]
    if (sd > 0).any():
        points = _with_weighing(points, curves[0], sd)
        curves = fit_curves(points)
    fit = replace(blank, curves=curves, model=curves[0].model)
    rungs, means = _rung_means(held, points)
    if _has_two_peaks(held, points, means):
        saying = verdicts.two_peaks(rungs, means)
        finer = verdicts.steps_between(points.first, points.last, 2 * len(rungs) - 1)
        return replace(fit, outcome=saying.outcome, verdict=saying.verdict, model=None, next_rungs=finer)
    apex = curves[0].apex
    optimum = round(apex, 1) if points.first <= apex <= points.last else None
    if optimum is not None:
        fit = replace(fit, half_rung=_gap(rungs, apex) / 2)
    low, high, found = _ends(fit, held, optimum)
    fit = replace(fit, optimum=optimum, low=low, high=high)
    fit = _judged(fit, points, rungs, means)
    found += about_fit(fit, points, strength, held)
    return replace(fit, findings=worst_first([*blank.findings, *found]))


def _ends(
    fit: TrialFit, held: Readings, optimum: float | None
) -> tuple[float | None, float | None, list[Finding]]:
    """Interval no narrower than half a rung and than the vials at the limit, rounded outwards."""
    low, high, found = fit.profile_low, fit.profile_high, []
    if optimum is not None:
        half = fit.half_rung
        if min(optimum - low, high - optimum) < half:
            found.append(
                Finding(
                    "note",
                    "A result is never more precise than the ladder",
                    "The scatter would allow a narrower interval; it is held at half a rung.",
                    f"{half:.2g} HLB each side",
                    "our convention",
                    "Make a fine ladder round the optimum.",
                )
            )
        low, high = min(low, optimum - half), max(high, optimum + half)
        limited = held.hlb[_at_limit(held)]
        if len(limited) and (limited.min() < low or limited.max() > high):
            low, high = min(low, float(limited.min())), max(high, float(limited.max()))
            found.append(
                Finding(
                    "note",
                    "Several vials are as good as could be read",
                    "The interval takes them all in.",
                    f"{len(limited)} vials",
                    "our convention",
                    "Read longer, or lower the dose, until they differ.",
                )
            )
    return (*_rounded(low, high), found)


def _judged(fit: TrialFit, points: Points, rungs: Array, means: Array) -> TrialFit:
    """The fit with its outcome, its sentence and the next vials."""
    rung = 2 * fit.half_rung
    best = float(rungs[means.argmax()])
    over = fit.high is None or fit.high > points.last + rung
    under = fit.low is None or fit.low < points.first - rung
    scattered = verdicts.too_noisy(points, fit.curves, len(points.hlb) / len(rungs))
    if fit.low is None and fit.high is None:
        saying, proposed = scattered, fit.next_rungs
        if len(points.hlb) < 5:
            saying = verdicts.too_few(len(points.hlb), best)
            proposed = verdicts.steps_between(best - 2 * rung, best + 2 * rung, 5)
        fit = replace(fit, optimum=None)
    elif over and under:
        saying, proposed = scattered, fit.next_rungs
    elif over or under or fit.optimum is None:
        upper = over or (not under and fit.curves[0].apex > points.last)
        saying = verdicts.edge(points, rung, fit.optimum, upper=upper)
        end = points.last if upper else points.first
        far = verdicts.beyond(end, rung, upper=upper)
        proposed = verdicts.steps_between(min(end, far), max(end, far), 3)
    else:
        assert fit.low is not None
        assert fit.high is not None
        proposed, share = verdicts.sharpening(points, fit.curves[0], fit.low, fit.high, rung)
        saying = Saying(
            "clear optimum", f"clear optimum at HLB {fit.optimum:.1f} ({fit.low:.1f} to {fit.high:.1f})"
        )
        gain = Finding(
            "note",
            "Where the next vials tell most",
            f"Vials at HLB {', '.join(said(r) for r in proposed)} would bring the interval to "
            f"about {5 * round(20 * share):d} % of its width.",
            rule="inverse information matrix of the fitted curve",
            mend="Make them with the same pair, dose and process.",
        )
        fit = replace(fit, findings=(*fit.findings, gain))
    return replace(fit, outcome=saying.outcome, verdict=saying.verdict, next_rungs=proposed)


def _with_weighing(points: Points, curve: Curve, sd: Array) -> Points:
    """The points with the doubt of their HLB carried over to the response.

    A vial on a steep part of the curve counts less, and the scatter is never taken for less than
    what weighing alone makes.
    """
    moved = (slope(points, curve, points.hlb) * sd) ** 2
    own = max(curve.variance, (1e-3 * float(np.ptp(points.response))) ** 2)
    weight = points.weight * own / (own + moved)
    least = max(points.least_variance, float(np.average(moved, weights=points.weight)))
    return replace(points, weight=weight / weight.mean(), least_variance=least)


def _rung_means(held: Readings, points: Points) -> tuple[Array, Array]:
    """HLB and mean response of each rung that is fitted."""
    rows = []
    for hlb, group in held.rungs:
        inside = np.isin(points.hlb, held.hlb[group])
        if inside.any():
            rows.append((hlb, float(points.response[inside].mean())))
    table = np.array(rows)
    return table[:, 0], table[:, 1]


def _has_two_peaks(held: Readings, points: Points, means: Array) -> bool:
    """Whether no single peak can explain the ladder.

    With duplicates their own scatter is the yardstick, else a share of all differences.
    """
    if len(means) < 4:
        return False
    share = verdicts.unexplained(means)
    scatter, freedom = pure_error(held, points)
    spare = len(means) - 3
    if freedom < 3 or scatter <= 0:
        return share >= verdicts.TWO_PEAKS_SHARE
    left = share * float(((means - means.mean()) ** 2).sum()) * len(points.hlb) / len(means)
    return left / spare > scatter * float(f_distribution.ppf(0.99, spare, freedom))


def _gap(rungs: Array, apex: float) -> float:
    """Step of the ladder where the optimum lies. [HLB]"""
    at = min(max(int(np.searchsorted(rungs, apex)), 1), len(rungs) - 1)
    return float(rungs[at] - rungs[at - 1])


def _at_limit(held: Readings) -> NDArray[np.bool_]:
    """Vials whose last reading is the best that could be read."""
    seen = ~np.isnan(held.values)
    last = seen.shape[1] - 1 - seen[:, ::-1].argmax(axis=1)
    return np.asarray(held.limits[np.arange(len(last)), last])


def _rounded(low: float, high: float) -> tuple[float | None, float | None]:
    """Ends rounded outwards to one decimal; None where open."""
    return (
        None if math.isinf(low) else max(math.floor(low * 10 + 1e-6) / 10, 0.0),
        None if math.isinf(high) else min(math.ceil(high * 10 - 1e-6) / 10, HLB_MAX),
    )
