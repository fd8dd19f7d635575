"""Readings of a ladder as numbers, and several times merged into one response a vial."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain
from typing import Any, SupportsFloat

import numpy as np
from numpy.typing import NDArray

from hlbcore._numbers import checked
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX
from hlbcore.ladder.curves import Array, Courses, Mask
from hlbcore.ladder.evidence import Block, weighed

SCORES = (0.0, 5.0)
"""Scale of whole scores where none is given. [score] Our convention."""

RESPONSE_MAX = 1e9
"""Greatest size of a reading that is taken. [any] Our convention."""

RUNGS_LEAST = 3
"""Different HLB values without which there is no ladder. [-] Our convention."""

VIALS_MOST, TIMES_MOST = 500, 200
"""Most vials and times taken. [-] Our convention."""

SAME_RUNG = 0.1
"""Vials closer than this share of the mean step are duplicates of one rung. [-] Our convention."""

OneReading = float | str | bool | None
"""One reading as given."""

ReadingTable = Sequence[OneReading] | Sequence[Sequence[OneReading]] | NDArray[np.float64] | NDArray[np.bool_]
"""One reading a vial, or a row a vial with one reading for each time."""

Numbers = Sequence[float] | NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Readings:
    """What was read, turned so that higher is better.

    Parameters
    ----------
    hlb : array
        HLB of each vial that has a reading, rising, ``(vials,)``. [HLB]
    values : array
        Readings, NaN where missing, ``(vials, times)``. [any one unit]
    limits : array
        True where a reading is the best that could be read, ``(vials, times)``.
    sign : float
        -1 where lower readings were better; times `values` gives what was typed. [-]
    scale : tuple of float or None
        Worst and best end, turned alike. [as values]
    step : float
        Step of whole or half scores; 0 for measured readings. [as values]
    pass_fail : bool
        Only two values, good and bad.
    censored : int
        Readings typed as ``>7`` or ``<2``, taken at their limit. [-]
    hlb_sd : array
        Standard deviation of each HLB from weighing, ``(vials,)``. [HLB]
    weight : array
        Weight of each vial, mean 1, ``(vials,)``. [-]
    left_out : int
        Vials without any reading. [-]
    """

    hlb: Array
    values: Array
    limits: NDArray[np.bool_]
    sign: float
    scale: tuple[float, float] | None
    step: float
    pass_fail: bool
    censored: int
    hlb_sd: Array
    weight: Array
    left_out: int

    @property
    def rungs(self) -> list[tuple[float, NDArray[np.intp]]]:
        """Mean HLB and vials of each rung; duplicates weighed a little apart are one rung."""
        return rungs_of(self.hlb)


def rungs_of(hlb: Array) -> list[tuple[float, NDArray[np.intp]]]:
    """Mean HLB and vials of each rung of rising HLB values."""
    return list(_rungs(tuple(hlb.tolist())))


@lru_cache(maxsize=64)
def _rungs(rising: tuple[float, ...]) -> tuple[tuple[float, NDArray[np.intp]], ...]:
    hlb = np.array(rising)
    same = SAME_RUNG * float(hlb.max() - hlb.min()) / max(len(np.unique(hlb.round(1))) - 1, 1)
    groups = np.split(np.arange(len(hlb)), np.flatnonzero(np.diff(hlb) > same) + 1)
    return tuple((float(hlb[g].mean()), g) for g in groups)


def _reading(value: Any, item: str) -> tuple[float, str]:
    """A reading as number, and ``<`` or ``>`` where it is a limit; NaN where there is none."""
    if value is None or (isinstance(value, str) and not value.strip()):
        return math.nan, ""
    if isinstance(value, bool | np.bool_):
        return float(value), ""
    mark = ""
    if isinstance(value, str):
        text = value.strip()
        if text.casefold() in ("nan", "na", "n/a", "-"):
            return math.nan, ""
        mark = text[0] if text[0] in "<>" else ""
        value = text[1:] if mark else text
    elif isinstance(value, SupportsFloat) and math.isnan(float(value)):
        return math.nan, ""
    return checked(value, item, low=-RESPONSE_MAX, high=RESPONSE_MAX), mark


def _table(responses: Any, count: int) -> list[list[Any]]:
    """Rows of vials; one reading a vial becomes a row of one."""
    try:
        rows = [
            [r] if isinstance(r, str) or not hasattr(r, "__len__") else list(r)
            for r in np.asarray(responses, dtype=object)
        ]
    except (TypeError, ValueError):
        raise InvalidInput(
            "readings", f"'{clipped(responses)}' is no list", "Give one reading or row a vial."
        ) from None
    widths = {len(r) for r in rows}
    if len(rows) != count or len(widths) != 1 or 0 in widths:
        raise InvalidInput(
            "readings",
            f"{count} vials, but {len(rows)} rows of "
            f"{' or '.join(str(w) for w in sorted(widths)) or '0'} readings",
            "Give a row for each vial and in it one reading for each time; leave a missing "
            "reading blank (NaN).",
        )
    if count > VIALS_MOST or max(widths) > TIMES_MOST:
        raise InvalidInput(
            "readings",
            f"{count} vials at {max(widths)} times are too many",
            f"Give at most {VIALS_MOST} vials and {TIMES_MOST} times.",
        )
    return rows


def _each(given: Any, count: int, item: str, *, high: float) -> Array:
    """One number a vial, from a number for all or a list."""
    if not hasattr(given, "__len__") or isinstance(given, str):
        given = [given] * count
    if len(given) != count:
        raise InvalidInput(item, f"{len(given)} numbers for {count} vials", "Give one a vial.")
    return np.array([checked(v, f"{item}, vial {n}", low=0, high=high) for n, v in enumerate(given, 1)])


def read(
    hlb_values: Numbers,
    responses: ReadingTable,
    better: str,
    scale: tuple[float, float] | None,
    hlb_sd: float | Numbers | None = None,
    weights: Numbers | None = None,
    limits: Sequence[int] | Sequence[Sequence[int]] | NDArray[np.int8] | None = None,
) -> Readings:
    """Everything typed, checked and put in rising order of HLB."""
    hlb = _each(list(hlb_values), len(hlb_values), "HLB of the vials", high=HLB_MAX)
    count = len(hlb)
    rows = _table(responses, count)
    pairs = [
        [_reading(v, f"vial {n}, reading {t}") for t, v in enumerate(r, 1)] for n, r in enumerate(rows, 1)
    ]
    values = np.array([[v for v, _ in r] for r in pairs])
    marks = np.array([[m for _, m in r] for r in pairs])
    if limits is not None:
        given = np.array([[_reading(v, "limits")[0] for v in r] for r in _table(limits, count)])
        if given.shape != values.shape:
            raise InvalidInput("limits", "they are no table like the readings", "Give one each.")
        marks = np.where(given > 0, ">", np.where(given < 0, "<", marks))
    flags = {
        isinstance(v, bool | np.bool_)
        for v, (number, _) in zip(chain(*rows), chain(*pairs), strict=True)
        if not math.isnan(number)
    }
    sd = _each(0.0 if hlb_sd is None else hlb_sd, count, "HLB uncertainty", high=HLB_MAX)
    weight = _each(1.0 if weights is None else weights, count, "weight", high=1e6)
    keep = (~np.isnan(values)).any(axis=1) & (weight > 0)
    order = np.flatnonzero(keep)[np.argsort(hlb[keep], kind="stable")]
    sign = -1.0 if better == "lower" else 1.0
    yes_no = flags == {True}
    ends = _scale(scale, values[order], sign, yes_no)
    seen = values[order][~np.isnan(values[order])]
    only_ends = set(seen.tolist()) == {0.0, 1.0} and ends in (None, (0.0, 1.0), (-1.0, 0.0))
    pass_fail = yes_no or only_ends
    step = 0.0 if pass_fail else _score_step(seen)
    turned = sign * values[order]
    best = ends[1] if ends else 0.0 if sign < 0 and not (seen < 0).any() else math.inf
    at_best = turned >= best if math.isfinite(best) else np.zeros(turned.shape, dtype=bool)
    at_best = np.asarray((marks[order] == (">" if sign > 0 else "<")) | at_best)
    held = Readings(
        hlb[order],
        turned,
        at_best,
        sign,
        ends,
        step,
        pass_fail,
        int((marks[order] != "").sum()),
        sd[order],
        weight[order] / (weight[order].mean() if len(order) else 1.0),
        count - len(order),
    )
    rungs = len(held.rungs) if len(order) else 0
    if rungs < RUNGS_LEAST:
        raise InvalidInput(
            "ladder",
            f"only {rungs} different HLB value{'s have' if rungs != 1 else ' has'} a reading",
            "Make at least 5 vials at different HLB and read them.",
        )
    return held


def _scale(
    given: tuple[float, float] | None, values: Array, sign: float, yes_no: bool
) -> tuple[float, float] | None:
    """Worst and best end, turned so that higher is better."""
    seen = values[~np.isnan(values)]
    if given is not None:
        low, high = sorted(checked(e, "scale", low=-RESPONSE_MAX, high=RESPONSE_MAX) for e in given)
        if low == high:
            raise InvalidInput("scale", "both ends are alike", "Give the worst and the best score.")
        if len(seen) and not (low <= seen.min() and seen.max() <= high):
            outside = float(seen[(seen < low) | (seen > high)][0])
            raise InvalidInput(
                "readings",
                f"{outside:g} is outside the scale {low:g} to {high:g}",
                "Mend the reading or the scale.",
            )
    elif yes_no:
        low, high = 0.0, 1.0
    elif (
        sign > 0
        and len(seen)
        and _score_step(seen) == 1
        and set(seen) != {0.0, 1.0}
        and (SCORES[0] <= seen.min() and seen.max() <= SCORES[1])
    ):
        low, high = SCORES
    else:
        return None
    return (low, high) if sign > 0 else (-high, -low)


def _score_step(seen: Array) -> float:
    """1 or 0.5 where all readings are whole or half scores of a short scale, else 0."""
    if not len(seen) or float(np.abs(seen).max()) > 10:
        return 0.0
    return next((s for s in (1.0, 0.5) if np.array_equal(seen / s, np.round(seen / s))), 0.0)


def merged(readings: Readings, held: Courses, at: NDArray[np.intp]) -> tuple[Block, Array, Mask]:
    """One response a vial from all times, the strength of each time, and the vials kept.

    `at` are the columns of the vials in the courses.

    Notes
    -----
    Every time t has its own level and height: ``y = a_t + b_t s(x)`` with one course for all, the
    one of most evidence over all times. A vial's response is the mean of ``y - a_t`` weighted by
    ``b_t``, so that a time at which nothing differs yet hardly counts. The scatter is that between
    vials alone: readings of one vial are not independent.
    """
    seen = ~np.isnan(readings.values)
    least = readings.step / math.sqrt(12)  # rounding to the step, rectangular
    if readings.values.shape[1] == 1:
        keep = seen[:, 0]
        weight = readings.weight[keep]
        block = Block(at[keep], readings.values[keep, 0], weight / weight.mean(), least)
        return block, np.ones(1), np.asarray(keep)
    usable = [t for t, m in enumerate(seen.T) if len(np.unique(readings.hlb[m])) >= RUNGS_LEAST]
    blocks = {
        t: Block(at[seen[:, t]], readings.values[seen[:, t], t], readings.weight[seen[:, t]]) for t in usable
    }
    rise = np.zeros(seen.shape[1])
    shape = np.zeros(len(at))
    if usable:
        found = weighed(held, list(blocks.values()))
        course = int((found.course + np.log(held.prior + 1e-300)).argmax())
        rise[usable] = np.maximum(found.heights[:, course], 0.0)
        shape = held.shape[course, at]
    if not (rise > 0).any():
        rise, shape = np.ones(len(rise)), np.zeros(len(at))
    level = np.array(
        [
            float(np.average(v[m] - b * shape[m], weights=readings.weight[m])) if m.any() else 0.0
            for v, m, b in zip(readings.values.T, seen.T, rise, strict=True)
        ]
    )
    power = seen @ rise**2
    total = np.where(seen, readings.values - level, 0.0) @ rise
    keep = power > 0
    response = total[keep] / power[keep] * math.sqrt(float(rise @ rise))
    weight = (readings.weight * power)[keep]
    return Block(at[keep], response, weight / weight.mean(), least), rise / rise.max(), np.asarray(keep)
