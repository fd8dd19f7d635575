"""The ladders as equations: what the others say of each, and whether there is enough to learn from."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from hlbcore.learning.bench_result import BenchResult, phase_words
from hlbcore.learning.prior import Start
from hlbcore.learning.results import LADDER_COLUMNS, interval
from hlbcore.learning.solving import EDGE_SD, Array, Solved

APART, UNFIT = 2.0, 3.0
"""Standard deviations from which a ladder lies apart, and does not fit. [-] Our convention; about one
in 20 and one in 400 where the model holds."""


@dataclass(frozen=True, slots=True, eq=False)
class Equations:
    """The ladders that say something, as equations.

    Parameters
    ----------
    used : tuple of BenchResult
        One an equation.
    parts : tuple of list of (Start, float)
        What counts in each phase, with its share. [-]
    shares : ndarray
        (ladders, oils) [-]
    effects : ndarray
        (ladders, pairs) 1 where a ladder was made with a pair.
    pairs : tuple of tuple of str
        The pairs, as first named.
    mean : ndarray
        (ladders,) what the tables give. [HLB]
    prior : ndarray
        (ladders, ladders) covariance of the true optima. [HLB²]
    solved : Solved
        The closed form.
    """

    used: tuple[BenchResult, ...]
    parts: tuple[list[tuple[Start, float]], ...]
    shares: Array
    effects: Array
    pairs: tuple[tuple[str, ...], ...]
    mean: Array
    prior: Array
    solved: Solved

    @property
    def told(self) -> frozenset[str]:
        """Keys of sources whose ladders are given as ladders."""
        return frozenset(x.source for x in self.used if x.source)

    @property
    def others_say(self) -> tuple[tuple[float, float, float], ...]:
        """What the tables and all other ladders give for each, its sd, and the surprise. [HLB, HLB, -]

        The sd is that of what would be read; of an open end, only what lies beyond it surprises.
        """
        weight = np.diag(self.solved.inverse)
        found = []
        for n, x in enumerate(self.used):
            value = float(self.solved.read[n] - self.solved.pull[n] / weight[n])
            sd = 1 / math.sqrt(weight[n])
            if x.kind == "closed":
                found.append((value, sd, (x.value - value) / sd))
                continue
            sd = math.sqrt(max(sd * sd - 1 / self.solved.precision[n], 0.0) + EDGE_SD**2)
            off = (x.edge - value) / sd
            found.append((value, sd, max(off, 0.0) if x.kind == "above" else min(off, 0.0)))
        return tuple(found)

    def table(self, given: Sequence[BenchResult]) -> pd.DataFrame:
        """All ladders with their surprise, the most surprising first, then those that are not used.

        Parameters
        ----------
        given : sequence of BenchResult
            Also those that say nothing.

        Returns
        -------
        DataFrame
            Columns as in `LADDER_COLUMNS`.
        """
        rows = []
        used = {x.identity: n for n, x in enumerate(self.used)}
        said = self.others_say
        for x in given:
            row: tuple[object, ...] = (x.label, phase_words(x.phase), x.pair_words, x.optimum, x.low, x.high)
            n = used.get(x.identity)
            if n is None:
                why = "flat: not used" if x.kind == "flat" else f"{x.emulsion}: not used"
                nothing = float("nan")
                row = (*row, nothing, nothing, nothing, nothing, nothing, why, x.identity)
            else:
                value, sd, surprise = said[n]
                tables = float(self.mean[n])
                row = (*row, tables, value, *interval(value, sd), surprise)
                row = (*row, _word(surprise, x), x.identity)
            rows.append(row)
        table = pd.DataFrame(rows, columns=list(LADDER_COLUMNS))
        numbers = ["optimum", "low", "high"]
        table[numbers] = table[numbers].astype(float)
        order = table["surprise"].abs().fillna(-1.0)
        return table.iloc[(-order).argsort(kind="stable")].reset_index(drop=True)

    @property
    def mixtures(self) -> int:
        """How many unlike mixtures have a closed interval. [-]"""
        return len({k for k, x in zip(self._phases, self.used, strict=True) if k and x.kind == "closed"})

    @property
    def _phases(self) -> list[frozenset[tuple[str, float]]]:
        """The phases of the ladders to 1 %; empty for a single oil."""
        return [
            frozenset((s.id, round(w, 2)) for s, w in parts) if len(parts) > 1 else frozenset()
            for parts in self.parts
        ]

    @property
    def left_out_errors(self) -> tuple[float, float] | None:
        """Error of the other phases' ladders and of the tables, root mean square. [HLB]

        Each phase is foretold with all its ladders left out. None without a closed ladder.
        """
        groups: dict[object, list[int]] = {}
        for n, parts in enumerate(self.parts):
            if self.used[n].kind == "closed":
                groups.setdefault(frozenset((s.id, round(w, 2)) for s, w in parts), []).append(n)
        if not groups:
            return None
        by_others, by_tables = [], []
        for rows in groups.values():
            block = self.solved.inverse[np.ix_(rows, rows)]
            by_others += list(np.linalg.solve(block, self.solved.pull[rows]))
            by_tables += list((self.solved.read - self.mean)[rows])
        others, tables = (math.sqrt(float(np.mean(np.square(e)))) for e in (by_others, by_tables))
        return others, tables


def _word(surprise: float, ladder: BenchResult) -> str:
    if abs(surprise) < APART:
        return "fits" if ladder.kind == "closed" else "fits; its end is open"
    return "lies apart" if abs(surprise) < UNFIT else "does not fit: check its record"
