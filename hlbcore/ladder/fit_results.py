"""What a fitted ladder holds: optimum, interval, verdict, courses, next vials."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.findings import Finding
from hlbcore.ladder.curves import Array
from hlbcore.ladder.next_vials import Proposal
from hlbcore.readings import LADDER_FLOOR

CURVE_COLUMNS = {
    "hlb": "HLB",
    "model": "name of the course",
    "time": "name of the time read",
    "response": "as the readings",
}
"""Columns of `TrialFit.curve` with unit or meaning."""

POINT_COLUMNS = {"hlb": "HLB of the vial", "time": "name of the time read", "response": "as the readings"}
"""Columns of `TrialFit.points` with unit or meaning."""

TABLES_SD = 1.1
"""Least doubt of the tables where they serve as a prior. [HLB] Pooled standard deviation of the o/w
readings of the materials with more than one."""

TAILS = 0.02
"""Mass beyond each end of an interval. [-] Our convention, less than the 0.025 of 95 %: the humps of a bench
are not drawn from those that are weighed here. Set by simulation, so that lopsided humps are covered too."""


@dataclass(frozen=True, slots=True)
class TrialFit:
    """What one or more ladders say about the required HLB.

    Parameters
    ----------
    outcome : str
        ``clear optimum``, ``edge`` (the optimum lies at or beyond an end, or that end is open),
        ``band``, ``all good``, ``all bad``, ``all alike``, ``two peaks``, ``too noisy`` or
        ``too few``.
    verdict : str
        The outcome as a sentence with what to do.
    optimum : float or None
        HLB of the best response, to one decimal; None where there is none. [HLB]
    low, high : float or None
        Ends of the 95 % interval or of the band that passed; None where it is open. [HLB]
    model : str or None
        The shape that agrees best; None where none was fitted.
    provisional : bool
        Six vials or fewer.
    half_rung : float
        Half the step of the ladder where the optimum lies; the interval is never narrower. [HLB]
    proposal : Proposal or None
        The next vials.
    findings : tuple of Finding
        What else should be known, the worst first.
    mass : tuple of (float, float)
        HLB of a top and the share of belief that it holds, adding to 1; empty where no course was
        tried. [HLB, -]
    scatter : float or None
        Standard deviation of one reading as a share of the height. [-]
    hlb : tuple of float
        HLB of the vials read, rising within each ladder. [HLB]
    responses : tuple of tuple of float
        Their readings, one row a vial, NaN where missing. [as given]
    times : tuple of str
        Names of the times read.
    higher_is_better : bool
        Which readings are the good ones.
    drawn : tuple of tuple of float
        HLB and height of the course that agrees best. [HLB, -]
    """

    outcome: str
    verdict: str
    optimum: float | None
    low: float | None
    high: float | None
    model: str | None
    provisional: bool
    half_rung: float
    proposal: Proposal | None
    findings: tuple[Finding, ...]
    mass: tuple[tuple[float, float], ...]
    scatter: float | None
    hlb: tuple[float, ...]
    responses: tuple[tuple[float, ...], ...]
    times: tuple[str, ...]
    higher_is_better: bool = True
    drawn: tuple[tuple[float, float], ...] = ()

    @property
    def next_rungs(self) -> tuple[float, ...]:
        """HLB of the vials proposed, duplicates once. [HLB]"""
        return self.proposal.rungs if self.proposal is not None else ()

    @property
    def computed(self) -> tuple[float, float, float] | None:
        """Low end, mean and high end of the belief, before they are widened and rounded. [HLB]"""
        return quantiles(self.mass) if self.mass else None

    @property
    def estimate(self) -> Estimate | None:
        """Optimum, or middle of the band, with its range; None without a clear one. [HLB]

        What can be kept as a value of the user's own: the half width is at least half a rung and
        0.5.
        """
        if self.low is None or self.high is None or self.outcome not in ("clear optimum", "band"):
            return None
        value = (self.low + self.high) / 2 if self.optimum is None else self.optimum
        low, high = min(self.low, value - LADDER_FLOOR), max(self.high, value + LADDER_FLOOR)
        return Estimate(value, max(low, 0.0), min(high, HLB_MAX))

    def with_tables(self, tables: Estimate) -> Estimate | None:
        """Ladder and tables together: a second interval, never in place of the ladder's own. [HLB]

        Parameters
        ----------
        tables : Estimate
            What the tables say. [HLB]

        Returns
        -------
        Estimate or None
            None where the ladder shows no clear optimum.

        Notes
        -----
        The belief after the ladder times a normal one round the tables' value, with the standard
        deviation of their range but at least `TABLES_SD`.

        Examples
        --------
        >>> from hlbcore.ladder.fit import fit_trials
        >>> fit = fit_trials([7, 8, 9, 10, 11, 12, 13], [0, 2, 3, 4, 4, 3, 1])
        >>> fit.with_tables(Estimate(9.0, 8.0, 10.0)).value < fit.optimum
        True
        """
        if self.optimum is None or not self.mass or self.estimate is None:
            return None
        sd = max(tables.sd, TABLES_SD)
        pulled = [(m, w * math.exp(-(((m - tables.value) / sd) ** 2) / 2)) for m, w in self.mass]
        if math.fsum(w for _, w in pulled) <= 0:
            return None
        low, value, high = quantiles(pulled)
        half = max(self.half_rung, LADDER_FLOOR)
        value = round(value, 1)
        return Estimate(value, *ends(low, value, high, half))

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
        """The course that agrees best, drawn for each time, as in `CURVE_COLUMNS`."""
        frames = [pd.DataFrame({n: [] for n in CURVE_COLUMNS})] if not self.drawn else []
        if self.drawn:
            at, shape = np.array(self.drawn).T
            hlb, values = np.array(self.hlb), np.array(self.responses)
            for time, column in zip(self.times, values.T, strict=True):
                seen = ~np.isnan(column)
                if not seen.any():
                    continue
                s = np.interp(hlb[seen], at, shape)
                d, y = s - s.mean(), column[seen] - column[seen].mean()
                along = float(d @ y)
                # a hump never stands on its head
                if (along < 0) == self.higher_is_better:
                    along = 0.0
                rise = along / max(float(d @ d), 1e-300)
                response = column[seen].mean() + rise * (shape - s.mean())
                frames.append(
                    pd.DataFrame({"hlb": at, "model": self.model, "time": time, "response": response})
                )
        return pd.concat(frames, ignore_index=True)

    def __repr__(self) -> str:
        return self.verdict + (" (provisional)" if self.provisional and self.mass else "")


def quantiles(mass: Sequence[tuple[float, float]]) -> tuple[float, float, float]:
    """Low end, mean and high end of masses at rising places. [HLB]"""
    places: Array = np.array([m for m, _ in mass])
    weight: Array = np.array([w for _, w in mass])
    weight = weight / weight.sum()
    below = np.cumsum(weight) - weight / 2
    low, high = (float(np.interp(q, below, places)) for q in (TAILS, 1 - TAILS))
    return low, float(weight @ places), high


def ends(low: float, value: float, high: float, half: float) -> tuple[float, float]:
    """Ends to one decimal, never nearer to the value than the half width. [HLB]"""
    return (
        max(min(round(low, 1), math.floor((value - half) * 10 + 1e-6) / 10), 0.0),
        min(max(round(high, 1), math.ceil((value + half) * 10 - 1e-6) / 10), HLB_MAX),
    )
