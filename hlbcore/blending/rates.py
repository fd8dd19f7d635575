"""What suppliers say of the emulsifiers in a formula, held against their amounts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from hlbcore.counting.counted import Counted
from hlbcore.errors import clipped
from hlbcore.library import Library
from hlbcore.ready import ReadyEmulsifier
from hlbcore.sheets import span

SLACK = 1e-9

TYPED = "supplier's figure, as entered"

SHEET = "supplier's sheet of your own"

SUPPLIER, AUTHOR = "supplier", "craft author"
"""Who says a rate."""


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
        Oil phase of the formula, counted as the sheet counts it. [% of formula]
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
    who : str
        Who says it.
    mine : bool
        Whether the user typed it: in the line, or as a sheet.
    rinses : bool
        Whether it is meant for products that are rinsed off, and not for emulsions.
    assumed : bool
        Whether no basis was typed.
    also : tuple of Rate
        Other sheets of the same composition.
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
    who: str = SUPPLIER
    mine: bool = False
    rinses: bool = False
    assumed: bool = False
    also: tuple[Rate, ...] = ()

    @property
    def stated(self) -> bool:
        """Whether a range is stated that a dose can be held against."""
        return (self.low is not None or self.high is not None) and not self.once and not math.isnan(self.dose)

    @property
    def text(self) -> str:
        """The rate in words."""
        return f"{span(self.low, self.high, ' %')} of the {self.basis}"

    @property
    def sheet(self) -> str:
        """All that the sheet says, in words."""
        said = [self.text]
        if self.oil_low is not None or self.oil_high is not None:
            said.append(f"{span(self.oil_low, self.oil_high, ' %')} oil phase")
        if self.ph_low is not None or self.ph_high is not None:
            said.append(f"pH {span(self.ph_low, self.ph_high)}")
        return ", ".join(said)

    @property
    def above(self) -> tuple[str, ...]:
        """What lies outside and matters in a helper too: more of it than its rate, or the pH."""
        over = self.high is not None and not _within(self.dose, None, self.high)
        return tuple(t for t in self.outside if over or t.startswith("pH"))

    @property
    def side(self) -> str:
        """``low`` or ``high`` where the dose lies outside the rate; blank inside."""
        if not self.stated or _within(self.dose, self.low, self.high):
            return ""
        return "high" if self.high is not None and self.dose > self.high else "low"

    @property
    def disputed(self) -> bool:
        """Whether no sheet holds the dose, and one calls it too low and another too high."""
        return {self.side, *(r.side for r in self.also)} == {"low", "high"}

    @property
    def much_oil(self) -> str:
        """Both figures, where the oil phase lies above the limit, or asks for more by a rule on the oil."""
        if self.stated and self.oil_pct is not None and not _within(self.oil_pct, None, self.oil_high):
            return f"{self.oil_pct:.3g} % oil phase, the {self.who} says {span(None, self.oil_high, ' %')}"
        if self.side == "low" and self.basis == "oil phase":
            return f"{self.dose:.3g} % of the oil phase, a {self.who} says {span(self.low, self.high, ' %')}"
        return ""

    @property
    def outside(self) -> tuple[str, ...]:
        """What lies outside, each with both figures."""
        if not self.stated:
            return ()
        found = []
        says = f"the {self.who} says"
        if self.side:
            found.append(f"{self.dose:.3g} % of the {self.basis}, {says} {span(self.low, self.high, ' %')}")
        if self.oil_pct is not None and not _within(self.oil_pct, self.oil_low, self.oil_high):
            oil = span(self.oil_low, self.oil_high, " %")
            found.append(f"{self.oil_pct:.3g} % oil phase, {says} {oil}")
        if self.ph is not None and not _within(self.ph, self.ph_low, self.ph_high):
            found.append(f"pH {self.ph:g}, {says} {span(self.ph_low, self.ph_high)}")
        return tuple(found)


def _within(value: float, low: float | None, high: float | None) -> bool:
    return (low is None or value >= low * (1 - SLACK)) and (high is None or value <= high * (1 + SLACK))


@dataclass(frozen=True, slots=True)
class Around:
    """What rates are held against.

    Parameters
    ----------
    oil_pct : float or None
        Oil phase, emulsifiers left out. [% of formula]
    water_pct : float
        Water. [% of formula]
    ph : float or None
        Measured pH. [-]
    emulsifier_pct : float
        All emulsifiers, for sheets that count them in the oil phase. [% of formula]
    """

    oil_pct: float | None = None
    water_pct: float = 0.0
    ph: float | None = None
    emulsifier_pct: float = 0.0

    def dose(self, pct: float, basis: str) -> float:
        """An amount on another basis; not a number where there is none. [% of `basis`]"""
        whole = {"formula": 100.0, "oil phase": self.oil_pct, "water phase": self.water_pct}[basis]
        return math.nan if not whole else 100 * pct / whole


def rate_of(x: Counted, library: Library, around: Around) -> Rate:
    """What is known of one emulsifier's rate: as typed in its line, else by its sheet, else by the table.

    Parameters
    ----------
    x : Counted
        An emulsifier with its amount. [% of formula]
    library : Library
        The tables, with the sheets of the user's own.
    around : Around
        Oil phase, water and pH of the formula.

    Returns
    -------
    Rate
        Without `low` and `high` where no rate is known. Of several sheets for one composition the
        first that holds the formula, else the first; the others stand in `also`.
    """
    estimate = x.estimate or (x.ingredient.hlb if x.ingredient else None)
    hlb = "" if estimate is None else f"HLB {estimate.value:.1f} by its maker, for orientation only"
    name = clipped(x.name)
    oil, ph = around.oil_pct, around.ph
    typed = x.line.supplier
    if typed is not None and not x.is_part:
        return Rate(
            name,
            around.dose(x.pct, typed.basis),
            typed.low_pct,
            typed.high_pct,
            typed.basis,
            oil,
            None,
            typed.oil_limit_pct,
            ph,
            None,
            None,
            hlb=hlb,
            mine=True,
            assumed=" of " not in f" {x.line.supplier_rate.text.casefold()} ",
        )
    sheet = library.sheet(x.name)
    if sheet is not None:
        return Rate(
            name,
            around.dose(x.pct, sheet.basis),
            sheet.low_pct,
            sheet.high_pct,
            sheet.basis,
            oil,
            sheet.oil_low_pct,
            sheet.oil_high_pct,
            ph,
            sheet.ph_low,
            sheet.ph_high,
            hlb=hlb,
            source=" ".join(t for t in (SHEET, sheet.on) if t),
            mine=True,
        )
    rows = library.ready_rows(x.name)
    if not rows:
        return Rate(name, x.pct, None, None, "formula", oil, None, None, ph, None, None, hlb=hlb, source="")
    known = [_by_row(x, row, hlb, around) for row in rows]
    return _first_that_holds([r for r in known if r.stated] or known[:1])


def _by_row(x: Counted, row: ReadyEmulsifier, hlb: str, around: Around) -> Rate:
    basis = row.basis or "formula"
    oil = around.oil_pct
    if oil is not None and row.counts_emulsifier:
        oil += around.emulsifier_pct
    # a formula's own pH is no window
    window = (None, None) if row.one_formula or row.ph_low == row.ph_high else (row.ph_low, row.ph_high)
    seen_once = row.high_pct is not None and not row.has_rate
    return Rate(
        clipped(x.name),
        around.dose(x.pct, basis),
        row.low_pct,
        row.high_pct,
        basis,
        oil,
        row.oil_low_pct,
        row.oil_high_pct,
        around.ph,
        *window,
        once=row.rate.removeprefix("seen once: ") if seen_once else "",
        hlb=hlb,
        levers="; ".join(t for t in (row.partner and f"partner: {row.partner}", row.electrolyte) if t),
        source=f"{row.source}, {row.where}" if row.where else row.source,
        who=AUTHOR if row.by_hand else SUPPLIER,
        rinses=row.emulsion == "o/w on rinsing",
    )


def _first_that_holds(rates: Sequence[Rate]) -> Rate:
    """One rate of several sheets: the first that holds the formula, else the first."""
    main = next((r for r in rates if not r.outside), rates[0])
    return replace(main, also=tuple(r for r in rates if r is not main))


def main_of(rated: Sequence[Counted]) -> Counted:
    """The one that carries a system: the most of it."""
    return max(rated, key=lambda x: x.active)
