"""The least emulsifier that covers all droplets once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from hlbcore._numbers import checked
from hlbcore.errors import InvalidInput, clipped

AVOGADRO = 6.02214076e23
"""Molecules in a mole. [1/mol] Exact by definition of the mole, SI Brochure, 9th edition."""


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
