"""What suppliers say of the emulsifiers in a formula, held against their amounts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hlbcore.counting.counted import Counted
from hlbcore.errors import clipped
from hlbcore.library import Library

SLACK = 1e-9

TYPED = "supplier's figure, as entered"


@dataclass(frozen=True, slots=True)
class Rate:
    """A supplier's rate for one emulsifier of a formula, and where the formula stands.

    Parameters
    ----------
    name : str
        The emulsifier.
    dose : float
        What is in the formula. [% of `basis`]
    low, high : float or None
        The rate; None at an end that is not stated. [% of `basis`]
    basis : str
        ``formula``, ``oil phase`` or ``water phase``.
    oil_pct : float or None
        Oil phase of the formula. [% of formula]
    oil_low, oil_high : float or None
        Oil phase that the sheet allows. [% of formula]
    ph : float or None
        Measured pH. [-]
    ph_low, ph_high : float or None
        Window of the sheet. [-]
    once : str
        What one printed formula shows, where no range is stated.
    hlb : str
        Its HLB for orientation, in words; blank where none is known.
    levers : str
        What its sheet names: partner, process, electrolyte.
    source : str
        Where the rate stands.
    """

    name: str
    dose: float
    low: float | None
    high: float | None
    basis: str
    oil_pct: float | None
    oil_low: float | None
    oil_high: float | None
    ph: float | None
    ph_low: float | None
    ph_high: float | None
    once: str = ""
    hlb: str = ""
    levers: str = ""
    source: str = TYPED

    @property
    def stated(self) -> bool:
        """Whether a range is stated that a dose can be held against."""
        return self.high is not None and not self.once and not math.isnan(self.dose)

    @property
    def above(self) -> tuple[str, ...]:
        """What lies outside and matters in a helper too: more of it than its rate, or the pH."""
        over = self.high is not None and not _within(self.dose, None, self.high)
        return tuple(t for t in self.outside if over or t.startswith("pH"))

    @property
    def outside(self) -> tuple[str, ...]:
        """What lies outside, each with both figures."""
        if not self.stated:
            return ()
        found = []
        rate = span(self.low, self.high)
        if not _within(self.dose, self.low, self.high):
            found.append(f"{self.dose:.3g} % of the {self.basis}, the supplier says {rate} %")
        if self.oil_pct is not None and not _within(self.oil_pct, self.oil_low, self.oil_high):
            oil = span(self.oil_low, self.oil_high)
            found.append(f"{self.oil_pct:.3g} % oil phase, the supplier says {oil} %")
        if self.ph is not None and not _within(self.ph, self.ph_low, self.ph_high):
            found.append(f"pH {self.ph:g}, the supplier says {span(self.ph_low, self.ph_high)}")
        return tuple(found)


def span(low: float | None, high: float | None) -> str:
    """A range in words, one end perhaps open."""
    if low is None:
        return f"up to {high:g}"
    if high is None:
        return f"{low:g} or more"
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def _within(value: float, low: float | None, high: float | None) -> bool:
    return (low is None or value >= low * (1 - SLACK)) and (high is None or value <= high * (1 + SLACK))


def rate_of(
    x: Counted, library: Library, *, oil_pct: float | None, water_pct: float, ph: float | None
) -> Rate:
    """What is known of one emulsifier's rate: as typed in its line, else by the table.

    Parameters
    ----------
    x : Counted
        An emulsifier with its amount. [% of formula]
    library : Library
        The tables.
    oil_pct : float or None
        Oil phase. [% of formula]
    water_pct : float
        Water. [% of formula]
    ph : float or None
        Measured pH. [-]

    Returns
    -------
    Rate
        Without `low` and `high` where no rate is known.
    """
    estimate = x.estimate or (x.ingredient.hlb if x.ingredient else None)
    hlb = "" if estimate is None else f"HLB {estimate.value:.1f} by its maker, for orientation only"
    name = clipped(x.name)
    typed = x.line.supplier
    if typed is not None and not x.is_part:
        bases = {"formula": 100.0, "oil phase": oil_pct, "water phase": water_pct}
        dose = _share(x.pct, bases[typed.basis])
        return Rate(
            name,
            dose,
            typed.low_pct,
            typed.high_pct,
            typed.basis,
            oil_pct,
            None,
            typed.oil_limit_pct,
            ph,
            None,
            None,
            "",
            hlb,
        )
    row = library.ready(x.name)
    if row is None:
        return Rate(name, x.pct, None, None, "formula", oil_pct, None, None, ph, None, None, "", hlb, "", "")
    basis = row.basis or "formula"
    bases = {"formula": 100.0, "oil phase": oil_pct, "water phase": water_pct}
    # a formula's own pH is no window
    window = (None, None) if row.one_formula or row.ph_low == row.ph_high else (row.ph_low, row.ph_high)
    levers = "; ".join(t for t in (row.partner and f"partner: {row.partner}", row.electrolyte) if t)
    return Rate(
        name,
        _share(x.pct, bases[basis]),
        row.low_pct,
        row.high_pct,
        basis,
        oil_pct,
        row.oil_low_pct,
        row.oil_high_pct,
        ph,
        *window,
        row.rate.removeprefix("seen once: ") if row.high_pct is not None and not row.has_rate else "",
        hlb,
        levers,
        f"{row.source}, {row.where}" if row.where else row.source,
    )


def _share(pct: float, whole: float | None) -> float:
    return math.nan if not whole else 100 * pct / whole


def main_of(rated: Sequence[Counted]) -> Counted:
    """The one that carries a system: the most of it."""
    return max(rated, key=lambda x: x.active)
