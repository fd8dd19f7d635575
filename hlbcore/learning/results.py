"""What is read off the model: columns of its tables, and the required HLB of a phase."""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.learning.bench_result import LEARNED, Z_95

FIGURE_COLUMNS = {
    "id": "id in the tables",
    "ingredient": "common name",
    "value": "HLB, learned; for no pair in particular",
    "low": "HLB, 95 % interval",
    "high": "HLB, 95 % interval",
    "tables_value": "HLB, what it started from",
    "tables_low": "HLB, range of the tables",
    "tables_high": "HLB, range of the tables",
    "moved": "HLB, learned less tables",
    "sd": "HLB, standard deviation of the learned figure",
    "tables_sd": "HLB, standard deviation of what it started from",
    "moved_by": "names of the ladders that hold it, or moved it by 0.05 HLB or more; the strongest first",
    "ladders": "number of ladders that hold it",
}
"""Columns of `Learned.figures` with unit or meaning."""

PAIR_COLUMNS = {
    "pair": "the emulsifiers",
    "effect": "HLB by which optima lie above those of pairs in general",
    "low": "HLB, 95 % interval",
    "high": "HLB, 95 % interval",
    "ladders": "number of ladders",
}
"""Columns of `Learned.pairs` with unit or meaning."""

LADDER_COLUMNS = {
    "ladder": "its name, else its phase",
    "phase": "the oil phase",
    "pair": "the emulsifiers",
    "optimum": "HLB read",
    "low": "HLB, blank where that end is open",
    "high": "HLB, blank where that end is open",
    "tables": "HLB that the tables give",
    "others": "HLB that the tables and the other ladders give",
    "others_low": "HLB, 95 % interval",
    "others_high": "HLB, 95 % interval",
    "surprise": "standard deviations between what was read and what the others give",
    "word": "whether it fits",
    "identity": "what tells it from other ladders",
}
"""Columns of `Learned.ladders` with unit or meaning."""


@dataclass(frozen=True, slots=True)
class LearnedHlb:
    """The required HLB of a phase, from the tables and all ladders.

    Parameters
    ----------
    value : float
        Best estimate to start from. [HLB]
    low, high : float
        95 % interval. [HLB]
    sd : float
        Standard deviation. [HLB]
    tables : Estimate
        What the tables say. [HLB]
    moved_by : tuple of str
        Ladders that moved it by 0.05 HLB or more, the strongest first.
    pair : tuple of str
        The pair that it holds for; empty: any.
    """

    value: float
    low: float
    high: float
    sd: float
    tables: Estimate
    moved_by: tuple[str, ...] = ()
    pair: tuple[str, ...] = ()

    @property
    def provenance(self) -> str:
        """Where it comes from, in words."""
        return provenance(len(self.moved_by), self.tables)

    def __repr__(self) -> str:
        return f"{self.value:.1f} ({self.low:.1f} to {self.high:.1f})"


def provenance(ladders: int, tables: Estimate) -> str:
    """Where a learned figure comes from.

    Parameters
    ----------
    ladders : int
        How many moved it. [-]
    tables : Estimate
        What the tables say. [HLB]

    Returns
    -------
    str
        A phrase for a figure.

    Examples
    --------
    >>> provenance(3, Estimate(8, 7, 9))
    'learned here from 3 ladders; tables say 8.0 (7.0 to 9.0)'
    """
    said = f"tables say {tables.value:.1f} ({tables.low:.1f} to {tables.high:.1f})"
    if not ladders:
        return f"nothing learned yet; {said}"
    return f"{LEARNED} from {ladders} ladder{'s' if ladders > 1 else ''}; {said}"


def interval(value: float, sd: float) -> tuple[float, float]:
    """The 95 % interval of a required HLB, inside the scale. [HLB]"""
    return max(value - Z_95 * sd, 0.0), min(value + Z_95 * sd, HLB_MAX)
