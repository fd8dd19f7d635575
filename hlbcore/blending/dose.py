"""How much emulsifier: what printed formulas use, by product type, and where to start.

HLB gives the kind of emulsifier, never the amount; dose and HLB are two findings.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import SupportsFloat

from hlbcore._numbers import checked
from hlbcore.blending.dose_evidence import DoseBand, dose_band
from hlbcore.counting.given import Phase
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import InvalidInput
from hlbcore.findings import Finding
from hlbcore.library import Library
from hlbcore.product_types import PRACTICE, ProductType
from hlbcore.product_types import product_type as find_type

FAR = 2.0
"""A dose under half or over twice the usual one, on both bases, is a caution. [-] Our convention."""

PAIR_START = ((16.0, 3.0), (20.0, 4.0))
"""Where a neat pair starts in an o/w emulsion: up to so much oil this dose, from so much oil that
one. [% of formula] Our reading of the neat rows of the dose evidence; few sources."""

PAIR_OF_OIL_MOST = 30.0
"""A neat pair never starts above this. [% of oil phase] Our convention; a forum's general rule is 20 to
25 (forum_baby_milk_8278)."""

WAX_START_PCT = 5.0
"""Where a wax with fatty alcohol starts that has no supplier's rate. [% of formula]
Our reading of the wax rows of the dose evidence."""

LOW_END = "at the low end"
"""A dose that print shows, but under half of where a blank dose starts."""

RULE = "10th to 90th percentile of printed formulas and rules in the table of dose evidence"


@dataclass(frozen=True, slots=True)
class Loading:
    """A usual dose, on both bases, and where to start.

    Parameters
    ----------
    product_type : str
        Name of the product type.
    of_formula, of_oil : DoseBand or None
        What print shows. [% of formula, % of oil phase]
    start_pct : float or None
        What a blank dose means. [% of formula]
    oil_pct : float
        Oil phase, emulsifier left out. [% of formula]
    """

    product_type: str
    of_formula: DoseBand | None
    of_oil: DoseBand | None
    start_pct: float | None
    oil_pct: float

    @property
    def low_pct(self) -> float | None:
        """Low end. [% of formula]"""
        return None if self.of_formula is None else self.of_formula.low

    @property
    def high_pct(self) -> float | None:
        """High end. [% of formula]"""
        return None if self.of_formula is None else self.of_formula.high

    @property
    def low_of_oil_pct(self) -> float | None:
        """Low end. [% of oil phase]"""
        return None if self.of_oil is None else self.of_oil.low

    @property
    def high_of_oil_pct(self) -> float | None:
        """High end. [% of oil phase]"""
        return None if self.of_oil is None else self.of_oil.high

    @property
    def few(self) -> bool:
        """Whether it rests on few sources."""
        return any(band is not None and band.few for band in (self.of_formula, self.of_oil))

    @property
    def source(self) -> str:
        """What it rests on."""
        rows = max((b.n for b in (self.of_formula, self.of_oil) if b is not None), default=0)
        roots = max((b.roots for b in (self.of_formula, self.of_oil) if b is not None), default=0)
        return f"{RULE}: {rows} rows, {roots} roots{'; few sources' if self.few else ''}"

    @property
    def text(self) -> str:
        """Both bands side by side, in words."""
        bands = [_span(b) for b in (self.of_formula, self.of_oil) if b is not None]
        if not bands:
            return f"{self.product_type}: no usual emulsifier dose."
        few = " (few sources)" if self.few else ""
        return f"print shows {' or '.join(bands)} for {self.product_type}{few}"

    def place(self, total_pct: float) -> str:
        """Where a dose lies: ``usual``, ``low`` or ``high``; low or high only on both bases.

        In an o/w emulsion, inside the bands but under half of where a neat pair starts: ``at the low
        end``.

        Parameters
        ----------
        total_pct : float
            All emulsifiers. [% of formula]

        Returns
        -------
        str
            The word.
        """
        pairs = [(total_pct, self.of_formula), (100 * total_pct / self.oil_pct, self.of_oil)]
        held = [(dose, band) for dose, band in pairs if band is not None]
        if held and all(dose < band.low * (1 - 1e-9) for dose, band in held):
            return "low"
        if held and all(dose > band.high * (1 + 1e-9) for dose, band in held):
            return "high"
        start = self.start_pct if find_type(self.product_type).role == "governs" else None
        return LOW_END if start and total_pct * FAR < start * (1 - 1e-9) else "usual"

    def far(self, total_pct: float) -> bool:
        """Whether a dose lies under half or over twice the usual one on both bases. [% of formula]"""
        pairs = [(total_pct, self.of_formula), (100 * total_pct / self.oil_pct, self.of_oil)]
        held = [(dose, band) for dose, band in pairs if band is not None]
        return bool(held) and (
            all(dose <= band.low / FAR for dose, band in held)
            or all(dose >= band.high * FAR for dose, band in held)
        )


def _span(band: DoseBand) -> str:
    low, high = (f"{v:.1f}" if v < 10 else f"{v:.0f}" for v in (band.low, band.high))
    return f"{low} to {high} % of the {band.basis}"


def usual_loading(
    phase: Phase | RequiredHlb | float | str,
    product_type: str | ProductType = "o/w cream",
    *,
    library: Library | None = None,
) -> Loading:
    """The usual emulsifier dose, in % of the formula and of the oil phase.

    Parameters
    ----------
    phase : phase, RequiredHlb or float
        The oil phase with amounts in per cent of the formula, or its total. [% of formula]
    product_type : str or ProductType
        Name of the product type.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Loading
        Low and high of print on both bases, and where to start.

    Raises
    ------
    InvalidInput
        If the oil phase is not above 0 and at most 100 % of the formula.

    Notes
    -----
    The bands are percentiles of printed formulas and rules (``data/dose_evidence.csv``). Where to
    start: an o/w emulsion with a neat pair at 3 % up to 16 % oil and 4 % from 20 % oil, between them
    by interpolation, never above 30 % of the oil phase; other types at the median of print.

    Examples
    --------
    >>> dose = usual_loading(28.0, "o/w cream")
    >>> dose.low_pct, dose.high_pct, dose.start_pct
    (2.1, 8.0, 4.0)
    """
    kind = find_type(product_type)
    if isinstance(phase, SupportsFloat | str):
        oil = checked(phase, "oil phase", above=0, high=100, unit="% of the formula")
    else:
        if not isinstance(phase, RequiredHlb):
            phase = required_hlb(phase, emulsion=kind.phase_emulsion, library=library)
        if phase.unit == "g":
            raise InvalidInput(
                "oil phase",
                "its amounts are in grams, so its share of the formula is not known",
                "Give the oil phase in % of the formula.",
            )
        oil = checked(phase.mass, "oil phase", above=0, high=100, unit="% of the formula")
    of_formula, of_oil = dose_band(kind, "formula"), dose_band(kind, "oil phase")
    return Loading(kind.name, of_formula, of_oil, _start(kind, oil, of_formula), oil)


def _start(kind: ProductType, oil: float, of_formula: DoseBand | None) -> float | None:
    """What a blank dose means. [% of formula]"""
    if kind.role == "governs":
        return pair_start(oil)
    return None if of_formula is None else of_formula.median


def pair_start(oil_pct: float) -> float:
    """Where a neat pair starts in an o/w emulsion.

    Parameters
    ----------
    oil_pct : float
        Oil phase, emulsifier left out. [% of formula]

    Returns
    -------
    float
        Dose. [% of formula]

    Examples
    --------
    >>> pair_start(10.0), pair_start(18.0), pair_start(30.0), pair_start(5.0)
    (3.0, 3.5, 4.0, 1.5)
    """
    (oil_low, low), (oil_high, high) = PAIR_START
    share = min(max((oil_pct - oil_low) / (oil_high - oil_low), 0.0), 1.0)
    return min(low + share * (high - low), PAIR_OF_OIL_MOST * oil_pct / 100)


def dose_finding(
    total_pct: float, oil_pct: float, product: str | ProductType, *, neat: bool = True
) -> Finding:
    """How a dose compares with what print shows; apart from any word on HLB.

    Parameters
    ----------
    total_pct : float
        All emulsifiers. [% of formula]
    oil_pct : float
        Oil phase, emulsifier left out. [% of formula]
    product : str or ProductType
        Name of the product type.
    neat : bool
        Whether these are neat emulsifiers; a ready one is never held against where a pair starts.

    Returns
    -------
    Finding
        Titled dose usual, at the low end, low or high, the last two only where it lies outside on
        both bases; never a stop.

    Examples
    --------
    >>> dose_finding(0.5, 20, "o/w cream").title, dose_finding(3, 30, "o/w cream").title
    ('Dose is low', 'Dose is usual')
    """
    total = checked(total_pct, "emulsifiers", low=0, high=100, unit="% of the formula")
    usual = usual_loading(oil_pct, product)
    figure = f"{total:.3g} % of the formula = {100 * total / usual.oil_pct:.3g} % of the oil phase"
    if usual.of_formula is None and usual.of_oil is None:
        return Finding("note", "No usual dose", usual.text, figure, usual.source, aside=True)
    word = usual.place(total)
    word = "usual" if word == LOW_END and not neat else word
    mend = {
        "usual": "",
        LOW_END: f"To start from: {usual.start_pct:.2g} % of the formula; for less, a bench trial."
        if usual.start_pct
        else "",
        "low": f"Start from {usual.start_pct:.2g} % of the formula, or show by a bench trial that less holds."
        if usual.start_pct
        else "Show by a bench trial that it holds.",
        "high": "More emulsifier than needed can feel sticky and costs money; try less on the bench.",
    }[word]
    level = "caution" if word in ("low", "high") and usual.far(total) else "note"
    said = f"{usual.text[0].upper()}{usual.text[1:]}. The oil phase counts no emulsifier."
    return Finding(level, f"Dose is {word}", said, figure, usual.source, mend, aside=word == "usual")


LADDER = (
    "Find the ratio with a clarity ladder: five vials from 1 to 7 parts of solubiliser to 1 part of scent, "
    "scent and solubiliser mixed first, then the water; clear after a week at 5 and at 40 °C counts."
)
"""How the amount of a solubiliser is found. Temperatures and time: common practice, no source."""


def solubiliser_ratio(solubiliser: float, oil: float) -> Finding:
    """Solubiliser to oil of a clear product; HLB gives no verdict there.

    Parameters
    ----------
    solubiliser, oil : float
        Masses of solubiliser and of perfume or essential oil. [any one unit]

    Returns
    -------
    Finding
        The ratio beside the usual one.

    Examples
    --------
    >>> solubiliser_ratio(3, 1).figure
    '3 parts of solubiliser to 1 part of oil'
    """
    parts = checked(solubiliser, "solubiliser", low=0) / checked(oil, "oil", above=0)
    kind = find_type("clear solubilised product")
    low, high = (parts_of / 100 for parts_of in dose_range(kind))
    return Finding(
        "note" if low <= parts or math.isclose(low, parts) else "caution",
        "Solubiliser to oil",
        f"Usual: {low:g} to {high:g} to 1, at times more; clarity decides.",
        f"{parts:.3g} parts of solubiliser to 1 part of oil",
        f"{kind.dose_source}; {PRACTICE} beyond it",
        LADDER,
    )


def dose_range(kind: ProductType) -> tuple[float, float]:
    """Low and high end of the solubiliser, by the product type's own rule.

    Parameters
    ----------
    kind : ProductType
        A product type with a rule of its own.

    Returns
    -------
    tuple of float
        In % of its `dose_basis`.
    """
    assert kind.dose_low is not None
    assert kind.dose_high is not None
    return kind.dose_low, kind.dose_high
