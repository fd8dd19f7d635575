"""How much emulsifier: the usual dose by product type, and the least that covers the droplets.

HLB gives the kind of emulsifier, never the amount; dose and HLB are two findings.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import SupportsFloat

import numpy as np

from hlbcore._numbers import checked
from hlbcore.counting.given import Phase
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import InvalidInput, clipped
from hlbcore.findings import Finding
from hlbcore.library import Library
from hlbcore.product_types import PRACTICE, ProductType
from hlbcore.product_types import product_type as find_type

AVOGADRO = 6.02214076e23
"""Molecules in a mole. [1/mol] Exact by definition of the mole, SI Brochure, 9th edition."""

SEEN_LOW, SEEN_HIGH = 8.0, 40.0
"""Lowest and highest dose among the worked examples seen. [% of oil phase]
Papers, lecture notes and exercises; computed from their printed formulas."""

FAR = 2.0
"""A dose under half or over twice the usual one is a caution, nearer ones are a note. [-]
Our convention."""


@dataclass(frozen=True, slots=True)
class Loading:
    """A usual dose, on both bases.

    Parameters
    ----------
    product_type : str
        Name of the product type.
    low_pct, high_pct : float or None
        Usual dose; None where there is none. [% of formula]
    low_of_oil_pct, high_of_oil_pct : float or None
        The same dose; the emulsifier is not counted in the oil phase. [% of oil phase]
    basis : str
        What the rule is a percentage of.
    oil_pct : float
        Oil phase, emulsifier left out. [% of formula]
    source : str
        Key in ``data/sources.csv`` or ``common practice, no source``.
    """

    product_type: str
    low_pct: float | None
    high_pct: float | None
    low_of_oil_pct: float | None
    high_of_oil_pct: float | None
    basis: str
    oil_pct: float
    source: str

    @property
    def text(self) -> str:
        """Both percentages side by side, in words."""
        if self.low_pct is None or self.high_pct is None:
            return f"{self.product_type}: no usual emulsifier dose."
        return (
            f"usual for {self.product_type}: {self.low_pct:.1f} to {self.high_pct:.1f} % of the "
            f"formula = {self.low_of_oil_pct:.0f} to {self.high_of_oil_pct:.0f} % of the oil phase "
            f"({self.oil_pct:g} % of the formula, emulsifier not counted in it)"
        )


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
        Low and high on both bases, with the source of the rule.

    Raises
    ------
    InvalidInput
        If the oil phase is not above 0 and at most 100 % of the formula.

    Notes
    -----
    Rules given as per cent p of the fat base (oil and emulsifier together) turn into
    ``p / (100 - p)`` of the oil phase.

    Examples
    --------
    >>> dose = usual_loading(28.0, "o/w cream")
    >>> dose.low_pct, dose.high_pct, dose.low_of_oil_pct, dose.high_of_oil_pct
    (5.6, 7.0, 20.0, 25.0)
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
    ends: list[tuple[float | None, float | None]] = []
    for dose in (kind.dose_low, kind.dose_high):
        if dose is None:
            ends.append((None, None))
        elif kind.dose_basis == "formula":
            ends.append((dose, 100 * dose / oil))
        elif kind.dose_basis == "fat base":
            of_oil = 100 * dose / (100 - dose)
            ends.append((of_oil * oil / 100, of_oil))
        else:
            ends.append((dose * oil / 100, dose))
    (low, low_of_oil), (high, high_of_oil) = ends
    return Loading(kind.name, low, high, low_of_oil, high_of_oil, kind.dose_basis, oil, kind.dose_source)


def dose_finding(total_pct: float, oil_pct: float, product: str | ProductType) -> Finding:
    """How a dose compares with the usual one; apart from any word on HLB.

    Parameters
    ----------
    total_pct : float
        All emulsifiers. [% of formula]
    oil_pct : float
        Oil phase, emulsifier left out. [% of formula]
    product : str or ProductType
        Name of the product type.

    Returns
    -------
    Finding
        Titled dose usual, low or high; never a stop.

    Examples
    --------
    >>> dose_finding(1.25, 12.5, "light o/w lotion").title
    'Dose is low'
    """
    total = checked(total_pct, "emulsifiers", low=0, high=100, unit="% of the formula")
    usual = usual_loading(oil_pct, product)
    of_oil = 100 * total / usual.oil_pct
    figure = f"{total:.3g} % of the formula = {of_oil:.3g} % of the oil phase"
    if usual.low_pct is None or usual.high_pct is None:
        return Finding("note", "No usual dose", usual.text, figure, usual.source)
    seen = (
        f" Worked examples in print run from {SEEN_LOW:g} to {SEEN_HIGH:g} % of the oil phase."
        if usual.basis == "oil phase"
        else ""
    )
    rule = f"{usual.basis} rule, {usual.source}"
    slack = 1e-9 * usual.high_pct
    if total < usual.low_pct - slack:
        level = "caution" if total <= usual.low_pct / FAR + slack else "note"
        word, mend = (
            "low",
            (f"Start from {usual.low_pct:.2g} % of the formula, or show by a bench trial that less holds."),
        )
    elif total > usual.high_pct + slack:
        level = "caution" if total >= usual.high_pct * FAR - slack else "note"
        word, mend = (
            "high",
            ("More emulsifier than needed can feel sticky and costs money; try less on the bench."),
        )
    else:
        level, word, mend = "note", "usual", ""
    return Finding(
        level, f"Dose is {word}", f"{usual.text[0].upper()}{usual.text[1:]}.{seen}", figure, rule, mend
    )


def surface_excess(molar_mass: float, area_nm2: float) -> float:
    """Mass of emulsifier on a square metre of droplet surface.

    Parameters
    ----------
    molar_mass : float
        Molar mass of the emulsifier. [g/mol]
    area_nm2 : float
        Area that one molecule covers. [nm²]

    Returns
    -------
    float
        Surface excess. [mg/m²]

    Notes
    -----
    ``Gamma = M / (N_A a)``; from memory.

    Examples
    --------
    >>> surface_excess(1310, 1.0)
    2.17531
    """
    mass = checked(molar_mass, "molar mass", above=0, unit="g/mol")
    area = checked(area_nm2, "area per molecule", above=0, unit="nm²")
    return mass / AVOGADRO / (area * 1e-18) * 1000


def covering_dose(surface_excess_mg_m2: float, droplet_um: float, density: float = 0.915) -> float:
    """Least emulsifier that covers all droplets once.

    Parameters
    ----------
    surface_excess_mg_m2 : float
        Mass of emulsifier on a square metre. [mg/m²]
    droplet_um : float
        Surface-mean droplet diameter. [µm]
    density : float
        Density of the oil. [g/cm³]

    Returns
    -------
    float
        Dose. [% of oil phase]

    Notes
    -----
    ``m = 6 Gamma / (rho d)``; from memory. A floor far below practice: most of the emulsifier of a
    cream sits elsewhere.

    Examples
    --------
    >>> covering_dose(2.0, 2.0)
    0.65574
    """
    excess = checked(surface_excess_mg_m2, "surface excess", above=0, unit="mg/m²")
    size = checked(droplet_um, "droplet size", above=0, unit="µm")
    rho = checked(density, "density of the oil", above=0, unit="g/cm³")
    return 100 * 6 * (excess * 1e-3) / (rho * 1e6 * size * 1e-6)


@dataclass(frozen=True, slots=True)
class Coverage:
    """The wish that all droplets be covered once; off unless the user types these figures.

    Parameters
    ----------
    oil_pct : float
        Oil phase. [% of formula]
    droplet_um : float
        Surface-mean droplet diameter. [µm]
    excess_mg_m2 : mapping of str to float
        Surface excess of each emulsifier, as from `surface_excess`. [mg/m²]
    density : float
        Density of the oil. [g/cm³]
    """

    oil_pct: float
    droplet_um: float
    excess_mg_m2: Mapping[str, float]
    density: float = 0.915

    def row(self, labels: tuple[str, ...]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        """Share of the whole surface that 1 % of each emulsifier covers; they must add to 1.

        Parameters
        ----------
        labels : tuple of str
            Emulsifiers in order.

        Returns
        -------
        ndarray
            Shape ``(n_emulsifiers,)``. [1/% of formula]
        """
        oil = checked(self.oil_pct, "coverage, oil phase", above=0, high=100, unit="%")
        shares = []
        for label in labels:
            if label not in self.excess_mg_m2:
                raise InvalidInput(
                    f"coverage of '{clipped(label)}'",
                    "no surface excess is given",
                    "Give its area per molecule and molar mass, or leave the coverage floor off.",
                )
            dose = covering_dose(self.excess_mg_m2[label], self.droplet_um, self.density)
            shares.append(100 / (dose * oil))
        return np.array(shares)


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
    assert kind.dose_low is not None
    assert kind.dose_high is not None
    low, high = kind.dose_low / 100, kind.dose_high / 100
    return Finding(
        "note" if low <= parts or math.isclose(low, parts) else "caution",
        "Solubiliser to oil",
        f"Usual: {low:g} to {high:g} to 1, at times more; clarity decides.",
        f"{parts:.3g} parts of solubiliser to 1 part of oil",
        f"{kind.dose_source}; {PRACTICE} beyond it",
        "Find the ratio with a clarity ladder: mix solubiliser and oil first, then add water.",
    )
