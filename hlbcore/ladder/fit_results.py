"""What a fitted ladder holds: optimum, interval, verdict, curves, next vials."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pandas as pd

from hlbcore.estimate import HLB_MAX, LADDER_FLOOR, Estimate
from hlbcore.findings import Finding
from hlbcore.ladder.curves import SHAPES, Curve

CURVE_COLUMNS = {
    "hlb": "HLB",
    "model": "name of the curve",
    "time": "name of the time read",
    "response": "as the readings",
}
"""Columns of `TrialFit.curve` with unit or meaning."""

POINT_COLUMNS = {"hlb": "HLB of the vial", "time": "name of the time read", "response": "as the readings"}
"""Columns of `TrialFit.points` with unit or meaning."""

_PLOTTED = 121  # points of a curve


@dataclass(frozen=True, slots=True)
class TrialFit:
    """What a ladder says about the required HLB.

    Parameters
    ----------
    outcome : str
        ``clear optimum``, ``edge`` (the optimum lies at or beyond an end, or that end is open),
        ``band``, ``all good``, ``all bad``, ``all alike``, ``two peaks``, ``too noisy`` or
        ``too few``.
    verdict : str
        The outcome as a sentence with what to do.
    optimum : float or None
        HLB of the best response, to one decimal; None where the ladder shows none. [HLB]
    low, high : float or None
        Ends of the 95 % interval or of the band that passed; None where it is open. [HLB]
    model : str or None
        The curve that the optimum rests on; None where none was fitted.
    provisional : bool
        Six vials or fewer: the quadratic alone, no other shape could be tried.
    half_rung : float
        Half the step of the ladder where the optimum lies; the interval is never narrower. [HLB]
    next_rungs : tuple of float
        Proposed next vials. [HLB]
    findings : tuple of Finding
        What else should be known, the worst first.
    curves : tuple of Curve
        The curves that count, with their own optimum and interval before rounding.
    hlb : tuple of float
        HLB of the vials read, rising. [HLB]
    responses : tuple of tuple of float
        Their readings, one row a vial, NaN where missing. [as given]
    times : tuple of str
        Names of the times read.
    higher_is_better : bool
        Which readings are the good ones.
    """

    outcome: str
    verdict: str
    optimum: float | None
    low: float | None
    high: float | None
    model: str | None
    provisional: bool
    half_rung: float
    next_rungs: tuple[float, ...]
    findings: tuple[Finding, ...]
    curves: tuple[Curve, ...]
    hlb: tuple[float, ...]
    responses: tuple[tuple[float, ...], ...]
    times: tuple[str, ...]
    higher_is_better: bool = True

    @property
    def profile_low(self) -> float:
        """Low end as computed, before it is widened to half a rung and rounded. [HLB]"""
        return min((c.low for c in self.curves), default=-math.inf)

    @property
    def profile_high(self) -> float:
        """High end as computed, before it is widened to half a rung and rounded. [HLB]"""
        return max((c.high for c in self.curves), default=math.inf)

    @property
    def estimate(self) -> Estimate | None:
        """Optimum, or middle of the band, with its range; None without a clear one. [HLB]

        What can be kept as a value of the user's own: both ends lie within a rung of the ladder,
        and the half width is at least half a rung and 0.5.
        """
        if self.low is None or self.high is None or self.outcome not in ("clear optimum", "band"):
            return None
        value = (self.low + self.high) / 2 if self.optimum is None else self.optimum
        low, high = min(self.low, value - LADDER_FLOOR), max(self.high, value + LADDER_FLOOR)
        return Estimate(value, max(low, 0.0), min(high, HLB_MAX))

    @property
    def points(self) -> pd.DataFrame:
        """The readings, one row a vial and time; columns as in `POINT_COLUMNS`."""
        rows = [
            (h, time, r)
            for h, row in zip(self.hlb, self.responses, strict=True)
            for time, r in zip(self.times, row, strict=True)
            if not math.isnan(r)
        ]
        return pd.DataFrame(rows, columns=list(POINT_COLUMNS))

    @property
    def curve(self) -> pd.DataFrame:
        """The fitted curves to be drawn, one for each model and time, as in `CURVE_COLUMNS`."""
        frames = [pd.DataFrame({n: [] for n in CURVE_COLUMNS})] if not self.curves else []
        hlb, values = np.array(self.hlb), np.array(self.responses)
        at = np.linspace(hlb.min(), hlb.max(), _PLOTTED)
        span = float(hlb.max() - hlb.min())
        for curve in self.curves:
            far = not math.isfinite(curve.apex)
            shape, drawn = (
                (hlb, at)
                if far
                else (SHAPES[curve.model](hlb - curve.apex, span), SHAPES[curve.model](at - curve.apex, span))
            )
            for time, column in zip(self.times, values.T, strict=True):
                seen = ~np.isnan(column)
                if not seen.any():
                    continue
                s, y = shape[seen] - shape[seen].mean(), column[seen] - column[seen].mean()
                along = float(s @ y)
                # a curve with a top never stands on its head
                if not far and (along < 0) == self.higher_is_better:
                    along = 0.0
                rise = along / max(float(s @ s), 1e-300)
                response = column[seen].mean() + rise * (drawn - shape[seen].mean())
                frames.append(
                    pd.DataFrame({"hlb": at, "model": curve.model, "time": time, "response": response})
                )
        return pd.concat(frames, ignore_index=True)

    def __repr__(self) -> str:
        return self.verdict + (" (provisional)" if self.provisional and self.curves else "")
