"""The optimum of one or more bench ladders, with an interval that says how far to trust it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hlbcore._numbers import checked_word
from hlbcore.errors import InvalidInput
from hlbcore.ladder import next_vials, verdicts
from hlbcore.ladder.bands import band
from hlbcore.ladder.fit_courses import PROVISIONAL_BELOW, made_least, read_courses
from hlbcore.ladder.fit_findings import about_readings
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.readings import Numbers, Readings, ReadingTable, read, rungs_of
from hlbcore.ladder.verdicts import Saying

BETTER = ("higher", "lower")

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
    the scatter between vials. Simplifications: scores count as numbers with even steps, their scatter is
    never believed less than rounding makes it, and they are asked for a stronger sign of a hump, since
    several at the end of the scale hide it; censored readings stand at their limit.

    Examples
    --------
    >>> fit = fit_trials([7, 8, 9, 10, 11, 12, 13], [0, 2, 3, 4, 4, 3, 1])
    >>> fit.outcome, 10 < fit.optimum < 11
    ('clear optimum', True)
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
    return read_courses(held, blank)


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
    sayings = {alike(x) for x in held}
    if None in sayings:
        return None
    return sayings.pop() if len(sayings) == 1 else verdicts.ALL_ALIKE


def alike(held: Readings) -> Saying | None:
    """The saying where all vials of one ladder read good, bad, or the same."""
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
        return verdicts.flat(made_least(held))
    return None
