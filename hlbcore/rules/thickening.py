"""Gums: what a spoon of gum powder may weigh."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hlbcore._numbers import checked

TEASPOON_ML = 4.92892159375
"""US teaspoon. [mL] Exact: 231 cubic inches to the gallon, 768 teaspoons in it."""

DENSITY_LOW, DENSITY_HIGH = 0.16, 0.77
"""Bulk density of gum powders, agglomerated and loose to fine and tapped. [g/mL]
pmc8233982, Table 3: guar, locust bean and cellulose gum; none was found for xanthan."""

REAL_SPOONS_ML = (2.5, 6.0)
"""What household teaspoons hold. [mL] alanskitchen_teaspoon."""


@dataclass(frozen=True, slots=True)
class Spoonful:
    """What a spoon may weigh.

    Parameters
    ----------
    low_g, high_g : float
        Least and greatest mass. [g]
    """

    low_g: float
    high_g: float

    @property
    def error_pct(self) -> float:
        """Half the range, as a share of its middle. [%]"""
        return 100 * (self.high_g - self.low_g) / (self.high_g + self.low_g)

    def share_pct(self, product_g: float) -> tuple[float, float]:
        """Least and greatest share of a product.

        Parameters
        ----------
        product_g : float
            Mass of the whole product, gum included. [g]

        Returns
        -------
        tuple of float
            Least and greatest share. [% of formula]
        """
        whole = checked(product_g, "product", above=0, unit="g")
        return 100 * self.low_g / whole, 100 * self.high_g / whole


def spoon_grams(
    spoons: float,
    *,
    spoon_ml: float = TEASPOON_ML,
    density_low: float = DENSITY_LOW,
    density_high: float = DENSITY_HIGH,
) -> Spoonful:
    """Range of mass of level spoons of a gum powder.

    Parameters
    ----------
    spoons : float
        How many, for example 1/16. [spoons]
    spoon_ml : float
        Volume of one spoon; a US teaspoon if left out. [mL]
    density_low, density_high : float
        Least and greatest bulk density of the powder; those of other gum powders if left out.
        [g/mL]

    Returns
    -------
    Spoonful
        Least and greatest mass, and the error.

    Notes
    -----
    ``mass = volume x bulk density``; a household spoon that is not a measure adds its own error
    (`REAL_SPOONS_ML`).

    References
    ----------
    .. [1] pmc8233982, Table 3.

    Examples
    --------
    >>> spoon = spoon_grams(1 / 16)
    >>> round(spoon.low_g, 3), round(spoon.high_g, 3)
    (0.049, 0.237)
    """
    volume = checked(spoons, "spoons", above=0) * checked(spoon_ml, "spoon", above=0, unit="mL")
    low = checked(density_low, "bulk density", above=0, unit="g/mL")
    high = checked(density_high, "bulk density", low=low, high=25, unit="g/mL")
    return Spoonful(volume * low, volume * high)


def spoons_for(grams: float, *, spoon_ml: float = TEASPOON_ML) -> tuple[float, float]:
    """Range of level spoons that a mass of gum powder may fill.

    Parameters
    ----------
    grams : float
        Mass wanted. [g]
    spoon_ml : float
        Volume of one spoon; a US teaspoon if left out. [mL]

    Returns
    -------
    tuple of float
        Fewest and most spoons. [spoons]

    Examples
    --------
    >>> fewest, most = spoons_for(1.0)
    >>> round(fewest, 2), round(most, 2)
    (0.26, 1.27)
    """
    mass = checked(grams, "gum", low=0, unit="g")
    volume = checked(spoon_ml, "spoon", above=0, unit="mL")
    found = mass / DENSITY_HIGH / volume, mass / DENSITY_LOW / volume
    assert all(map(math.isfinite, found))
    return found
