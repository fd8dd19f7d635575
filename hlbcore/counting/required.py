"""What `required_hlb` returns."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import pandas as pd

from hlbcore.estimate import Estimate, Mixture
from hlbcore.findings import Finding

CONTRIBUTION_COLUMNS = {
    "ingredient": "name as given",
    "kind": "kind in the tables",
    "mass": "in the unit given",
    "share_pct": "% of the oil phase",
    "required_hlb": "HLB",
    "low": "HLB",
    "high": "HLB",
    "contribution": "HLB; the column adds to the required HLB",
    "grade": "grade of the figure",
    "basis": "table, own value or class range",
}
"""Columns of `RequiredHlb.contributions` with unit or meaning."""


BOUNDS = "bounds"
"""Basis of what has neither a figure nor a class."""


@dataclass(frozen=True, slots=True)
class Part:
    """One line that counts in the oil phase.

    Parameters
    ----------
    name : str
        As given.
    mass : float
        What counts of it. [unit given]
    estimate : Estimate
        Its required HLB. [HLB]
    basis : str
        ``table``, ``own value``, ``class range (class)`` or ``bounds``.
    kind : str
        Kind in the tables, or blank.
    """

    name: str
    mass: float
    estimate: Estimate
    basis: str
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Excluded:
    """One line that does not count in the oil phase, and why.

    Parameters
    ----------
    name : str
        As given.
    mass : float
        What is left out of it. [unit given]
    reason : str
        Why.
    """

    name: str
    mass: float
    reason: str


@dataclass(frozen=True, slots=True)
class OtherChoice:
    """What the required HLB would be if one thing were counted differently.

    Parameters
    ----------
    name : str
        The ingredient.
    choice : str
        The other choice in words.
    estimate : Estimate or None
        Required HLB then; None where nothing would be left. [HLB]
    """

    name: str
    choice: str
    estimate: Estimate | None


@dataclass(frozen=True, slots=True)
class RequiredHlb:
    """The HLB that an oil phase requires, with its range and everything it rests on.

    Parameters
    ----------
    estimate : Estimate
        Required HLB where all doubts move together. [HLB]
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    parts : tuple of Part
        What counts.
    excluded : tuple of Excluded
        What does not, and why.
    unknown : tuple of str
        Ingredients without a figure of their own, counted with the range of their kind.
    others : tuple of OtherChoice
        Both readings of disputed figures, the other side of two-sided ingredients, the phase
        without fragrance.
    cautions : tuple of Finding
        Worst first.
    soap : float
        Fatty acid neutralised to soap. [unit given]
    unit : str
        ``"%"``, ``"g"``, or blank for plain numbers.
    doubts : tuple of Finding
        Those of the cautions that say how firm the figure is; they matter where HLB judges.
    """

    estimate: Estimate
    emulsion: str
    parts: tuple[Part, ...]
    excluded: tuple[Excluded, ...] = ()
    unknown: tuple[str, ...] = ()
    others: tuple[OtherChoice, ...] = ()
    cautions: tuple[Finding, ...] = ()
    soap: float = 0.0
    unit: str = ""
    doubts: tuple[Finding, ...] = ()

    @property
    def value(self) -> float:
        """Best estimate to start from. [HLB]"""
        return self.estimate.value

    @property
    def low(self) -> float:
        """Low end of the range. [HLB]"""
        return self.estimate.low

    @property
    def high(self) -> float:
        """High end of the range. [HLB]"""
        return self.estimate.high

    @property
    def sd(self) -> float:
        """Standard deviation where all doubts move together. [HLB]"""
        return self.estimate.sd

    @property
    def sd_independent(self) -> float:
        """Standard deviation if the doubts had nothing in common. [HLB]"""
        return self.mixture.sd_independent

    @property
    def bounded_share(self) -> float:
        """Share of the phase that has neither a figure nor a class. [-]"""
        return self._share(lambda p: p.basis == BOUNDS)

    @property
    def unsure_share(self) -> float:
        """Share of the phase that rests on class ranges, bounds or an open dispute. [-]"""
        return self._share(
            lambda p: (
                p.basis == BOUNDS
                or p.estimate.grade == "class range"
                or (p.basis == "table" and bool(p.estimate.alternatives or p.estimate.weak))
            )
        )

    @property
    def span_by_class(self) -> tuple[float, float]:
        """Required HLB while only class ranges and bounds move, all other figures as they stand. [HLB]"""
        fractions = self.mixture.fractions
        moving = [p.basis == BOUNDS or p.estimate.grade == "class range" for p in self.parts]

        def moved(end: str) -> float:
            figures = (
                getattr(p.estimate, end if moves else "value")
                for p, moves in zip(self.parts, moving, strict=True)
            )
            return math.fsum(f * v for f, v in zip(fractions, figures, strict=True))

        return moved("low"), moved("high")

    def _share(self, holds: Callable[[Part], bool]) -> float:
        mass = self.mass
        return math.fsum(p.mass for p in self.parts if holds(p)) / mass if mass > 0 else 0.0

    @property
    def mixture(self) -> Mixture:
        """Fractions and figures of the parts."""
        return Mixture.by_mass([p.mass for p in self.parts], [p.estimate for p in self.parts])

    @property
    def mass(self) -> float:
        """The oil phase, emulsifiers left out. [unit given]"""
        # scaled by a power of two, which is exact: 1e308 twice gives inf and no OverflowError
        return math.fsum(p.mass * 2.0**-60 for p in self.parts) * 2.0**60

    @property
    def contributions(self) -> pd.DataFrame:
        """Each ingredient's part in the sum; columns as in `CONTRIBUTION_COLUMNS`."""
        fractions = self.mixture.fractions
        return pd.DataFrame(
            [
                (
                    p.name,
                    p.kind,
                    p.mass,
                    100 * f,
                    p.estimate.value,
                    p.estimate.low,
                    p.estimate.high,
                    f * p.estimate.value,
                    p.estimate.grade,
                    p.basis,
                )
                for p, f in zip(self.parts, fractions, strict=True)
            ],
            columns=list(CONTRIBUTION_COLUMNS),
        )

    @property
    def working(self) -> str:
        """The sum with the numbers put in."""
        above = " + ".join(f"{p.mass:g} × {p.estimate.value:g}" for p in self.parts)
        below = " + ".join(f"{p.mass:g}" for p in self.parts)
        return f"({above}) / ({below}) = {self.value:.4g}"

    def __repr__(self) -> str:
        return f"required HLB {self.estimate!r}, {self.emulsion}, {len(self.parts)} ingredients"
