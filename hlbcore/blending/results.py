"""What the blend functions return: the HLB of a blend, and a solved blend."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd

from hlbcore.estimate import Estimate, Mixture
from hlbcore.findings import Finding
from hlbcore.shares import share_in_window, share_in_window_independent

BLEND_COLUMNS = {
    "emulsifier": "name as given",
    "pct_of_formula": "% of formula",
    "pct_of_blend": "% of the blend",
    "hlb": "HLB",
    "low": "HLB",
    "high": "HLB",
    "cost_per_kg": "price unit per kg of formula; blank where no price was given",
}
"""Columns of `Blend.table` with unit or meaning."""

RINSE_TEST = "no verdict: the rinse test decides"
NO_SAY = "no verdict: HLB has no say here"
"""Words where HLB does not govern."""

ON_EDGE = 1e-5
"""A blend on the edge of the window is inside, as near as the solver comes to it. [HLB]"""


def within(blend: float, target: float, window: float) -> str:
    """``inside`` or ``outside``, by the nominal figures. [HLB]"""
    return "inside" if abs(blend - target) <= window + ON_EDGE else "outside"


@dataclass(frozen=True, slots=True)
class BlendHlb:
    """The HLB of a blend with its range.

    Parameters
    ----------
    estimate : Estimate
        HLB where all doubts move together. [HLB]
    mixture : Mixture
        Fractions and figures of the parts.
    labels : tuple of str
        The emulsifiers.
    cautions : tuple of Finding
        Worst first.
    """

    estimate: Estimate
    mixture: Mixture
    labels: tuple[str, ...]
    cautions: tuple[Finding, ...] = ()

    @property
    def value(self) -> float:
        """Best figure. [HLB]"""
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
    def working(self) -> str:
        """The sum with the numbers put in."""
        return _working(self.mixture, self.value)


def _working(mixture: Mixture, value: float) -> str:
    terms = zip(mixture.fractions, mixture.parts, strict=True)
    return " + ".join(f"{f:.4g} × {p.value:g}" for f, p in terms) + f" = {value:.4g}"


@dataclass(frozen=True, slots=True)
class Blend:
    """A solved blend.

    Parameters
    ----------
    labels : tuple of str
        The emulsifiers, in the order given.
    masses : tuple of float
        Amount of each. [% of formula]
    mixture : Mixture
        Fractions and figures.
    target : Estimate
        HLB wanted. [HLB]
    target_mixture : Mixture or None
        The oil phase behind it, where one was given.
    window : float
        Half width. [HLB]
    objective : str
        What was asked for.
    binding : tuple of str
        The limits that hold the result where it is, in words.
    cautions : tuple of Finding
        Worst first.
    reason : str
        Why these emulsifiers, where the tool chose them.
    prices : tuple of float or None
        Price of each; NaN where none was given. [price unit/kg]
    role : str
        Role of HLB in the product type.
    """

    labels: tuple[str, ...]
    masses: tuple[float, ...]
    mixture: Mixture
    target: Estimate
    target_mixture: Mixture | None
    window: float
    objective: str
    binding: tuple[str, ...] = ()
    cautions: tuple[Finding, ...] = ()
    reason: str = ""
    prices: tuple[float, ...] = ()
    role: str = "governs"

    @property
    def amounts(self) -> pd.Series[float]:
        """Amount of each emulsifier. [% of formula]"""
        return pd.Series(self.masses, index=list(self.labels), name="pct_of_formula")

    @property
    def total(self) -> float:
        """All emulsifiers. [% of formula]"""
        return math.fsum(self.masses)

    @property
    def estimate(self) -> Estimate:
        """HLB with its range, all doubts moving together. [HLB]"""
        return self.mixture.total

    @property
    def hlb(self) -> float:
        """Nominal HLB, computed from the amounts. [HLB]"""
        return self.estimate.value

    @property
    def margin(self) -> float:
        """How much of the window is left when both doubts are at their worst. [HLB]

        Negative with ordinary ranges.
        """
        e, r = self.estimate, self.target
        return self.window - max(e.high - r.low, r.high - e.low)

    @property
    def share_in_window(self) -> float:
        """Share of the sources' spread inside the window, all doubts moving together. [-]"""
        return share_in_window(self.target, self.estimate, self.window)

    @property
    def share_in_window_independent(self) -> float:
        """The same share if the doubts had nothing in common. [-]"""
        wanted = self.target_mixture or Mixture((1.0,), (self.target,))
        return share_in_window_independent(wanted, self.mixture, self.window)

    @property
    def word(self) -> str:
        """``inside`` or ``outside`` by the nominal HLB; ``no verdict`` where HLB does not govern."""
        if self.role != "governs":
            return RINSE_TEST if self.role == "secondary" else NO_SAY
        return within(self.hlb, self.target.value, self.window)

    @property
    def cost_per_kg(self) -> float | None:
        """Cost of the emulsifiers; None where a price is missing. [price unit/kg of formula]"""
        used = [(m, p) for m, p in zip(self.masses, self.prices, strict=False) if m > 0]
        if not used or any(math.isnan(p) for _, p in used):
            return None
        return math.fsum(m * p / 100 for m, p in used)

    @property
    def working(self) -> str:
        """The blend's HLB with the numbers put in."""
        return _working(self.mixture, self.hlb)

    @property
    def split_working(self) -> str:
        """The split of a pair with the numbers put in; blank for other numbers of emulsifiers."""
        used = [n for n, m in enumerate(self.masses) if m > 0]
        if len(used) != 2:
            return ""
        (first, a), (second, b) = ((self.labels[n], self.mixture.parts[n].value) for n in used)
        if a == b:
            return ""
        return (
            f"{second}: ({self.hlb:.4g} - {a:g}) / ({b:g} - {a:g}) = "
            f"{self.mixture.fractions[used[1]]:.4f} of the blend; {first} is the rest"
        )

    @property
    def table(self) -> pd.DataFrame:
        """One row an emulsifier; columns as in `BLEND_COLUMNS`."""
        prices = self.prices or (math.nan,) * len(self.labels)
        return pd.DataFrame(
            [
                (label, m, 100 * f, p.value, p.low, p.high, m * price / 100)
                for label, m, f, p, price in zip(
                    self.labels, self.masses, self.mixture.fractions, self.mixture.parts, prices, strict=True
                )
            ],
            columns=list(BLEND_COLUMNS),
        )

    def __repr__(self) -> str:
        parts = ", ".join(f"{m:.2f} % {n}" for n, m in zip(self.labels, self.masses, strict=True))
        return f"{parts}: HLB {self.estimate!r}, {self.word} of {self.target!r} ± {self.window:g}"
