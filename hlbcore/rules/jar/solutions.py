"""Water with sugar, salt or glycerin: how much dissolves, how dense and how thick it is.

Each equation stands with the range it was fitted on; outside of it `InvalidInput` says so. Viscosities
are never averaged by mass: a syrup of 60 % would then come out some twenty times too thick.
"""

from __future__ import annotations

import math
from typing import SupportsFloat

from hlbcore._numbers import checked

SOLUBILITY_DOUBT = 0.5
"""By how much two good tables of sucrose disagree. [% by mass]
mohos_2010, Table A2.3, against the polynomial: up to 0.41 points."""

SUCROSE_CRYSTAL = 1587.0
"""Density of sucrose crystals. [kg/m³] sugar_properties_page"""

SALT_CRYSTAL = 2160.0
"""Density of sodium chloride crystals. [kg/m³] salt_density_page"""


def _at(temperature_c: SupportsFloat | str, low: float, high: float, what: str) -> float:
    return checked(temperature_c, f"{what}, temperature", low=low, high=high, unit="°C")


def sucrose_solubility(temperature_c: float) -> float:
    """Sucrose in a saturated solution in pure water.

    Parameters
    ----------
    temperature_c : float
        Temperature, 0 to 90. [°C]

    Returns
    -------
    float
        Good to ±0.5 points, by which printed tables disagree. [% by mass of the solution]

    Notes
    -----
    ``S = 64.447 + 8.222e-2 t + 1.6169e-3 t² - 1.558e-6 t³ - 4.63e-8 t⁴`` [1]_, recalled; within 0.12
    points of the table [2]_ from 0 to 80 °C and within 0.41 of another [3]_.

    References
    ----------
    .. [1] icumsa_sps2_recalled
    .. [2] sucrose_table_k_mashzavod
    .. [3] mohos_2010, Table A2.3

    Examples
    --------
    >>> round(sucrose_solubility(25), 1)
    67.5
    """
    t = _at(temperature_c, 0, 90, "solubility of sugar")
    return 64.447 + t * (8.222e-2 + t * (1.6169e-3 + t * (-1.558e-6 - 4.63e-8 * t)))


def salt_solubility(temperature_c: float) -> float:
    """Sodium chloride in a saturated solution in pure water.

    Parameters
    ----------
    temperature_c : float
        Temperature, 0 to 100. [°C]

    Returns
    -------
    float
        Within 0.08 points of the table. [% by mass of the solution]

    Notes
    -----
    ``S = 26.2908 + 5.641e-3 t + 1.2831e-4 t²``, our fit to the table [1]_.

    References
    ----------
    .. [1] salt_trade_body

    Examples
    --------
    >>> round(salt_solubility(25), 1)
    26.5
    """
    t = _at(temperature_c, 0, 100, "solubility of salt")
    return 26.2908 + t * (5.641e-3 + t * 1.2831e-4)


def syrup_density(sucrose_pct: float) -> float:
    """Density of a sucrose solution at 20 °C.

    Parameters
    ----------
    sucrose_pct : float
        Sucrose in the solution, 0 to 68: fitted to 65, above it only for a saturated syrup. [% by mass]

    Returns
    -------
    float
        Within 0.1 of handbook values to 65 %; 3.5 low at saturation. [kg/m³]

    Notes
    -----
    ``rho = 998.2158 + 3.845775 w + 1.396053e-2 w² + 3.340747e-5 w³``, our fit to handbook values,
    recalled; held against two printed tables [1]_ [2]_.

    References
    ----------
    .. [1] asadi_2005, Table A.1, which prints relative densities times 1000
    .. [2] mohos_2010, Table A2.2

    Examples
    --------
    >>> round(syrup_density(20))
    1081
    """
    w = checked(sucrose_pct, "syrup, sucrose", low=0, high=68, unit="% by mass")
    return 998.2158 + w * (3.845775 + w * (1.396053e-2 + w * 3.340747e-5))


def syrup_viscosity(sucrose_pct: float, temperature_c: float) -> float:
    """Viscosity of a sucrose solution.

    Parameters
    ----------
    sucrose_pct : float
        Sucrose in the solution, 0 to 70. [% by mass]
    temperature_c : float
        Temperature, 0 to 80. [°C]

    Returns
    -------
    float
        Within 2.6 % of the six printed values that it was held against. [mPa s]

    Notes
    -----
    ``log10 eta = 22.46 x - 0.114 + (30 - t)/(91 + t) (1.1 + 43.1 x^1.25)``, ``x = w/(1900 - 18 w)`` [1]_.

    References
    ----------
    .. [1] mathlouthi_genotelle_recalled; printed values: syrup_viscosity_report

    Examples
    --------
    >>> round(syrup_viscosity(60, 25))
    44
    """
    w = checked(sucrose_pct, "syrup, sucrose", low=0, high=70, unit="% by mass")
    t = _at(temperature_c, 0, 80, "syrup")
    x = w / (1900 - 18 * w)
    return float(10 ** (22.46 * x - 0.114 + (30 - t) / (91 + t) * (1.1 + 43.1 * x**1.25)))


def water_density(temperature_c: float) -> float:
    """Density of water.

    Parameters
    ----------
    temperature_c : float
        Temperature, 0 to 100. [°C]

    Returns
    -------
    float
        Within 0.5. [kg/m³]

    Notes
    -----
    ``rho = 1000 (1 - |(t - 4)/622|^1.7)`` [1]_, recalled.

    References
    ----------
    .. [1] volk_kaehler_2018

    Examples
    --------
    >>> round(water_density(20))
    998
    """
    t = _at(temperature_c, 0, 100, "water")
    return float(1000 * (1 - abs((t - 4) / 622) ** 1.7))


def water_viscosity(temperature_c: float) -> float:
    """Viscosity of water.

    Parameters
    ----------
    temperature_c : float
        Temperature, 0 to 100. [°C]

    Returns
    -------
    float
        Within 1 %. [mPa s]

    Notes
    -----
    ``mu = 1.790 exp[(-1230 - t) t / (36100 + 360 t)]`` [1]_, recalled.

    References
    ----------
    .. [1] cheng_2008

    Examples
    --------
    >>> round(water_viscosity(20), 2)
    1.0
    """
    t = _at(temperature_c, 0, 100, "water")
    return 1.790 * math.exp((-1230 - t) * t / (36100 + 360 * t))


def glycerol_density(glycerol_pct: float, temperature_c: float) -> float:
    """Density of glycerol and water.

    Parameters
    ----------
    glycerol_pct : float
        Glycerol in the solution, 0 to 100. [% by mass]
    temperature_c : float
        Temperature, 15 to 30. [°C]

    Returns
    -------
    float
        Within 0.6 of a producer's table. [kg/m³]

    Notes
    -----
    ``rho = k [rho_w + (rho_g - rho_w)/(1 + (rho_g/rho_w)(1/C - 1))]``, ``k = 1 + A sin(pi C^1.31)^0.81``,
    ``A = 1.78e-6 t² - 1.82e-4 t + 1.41e-2``, ``rho_g = 1273.3 - 0.6121 t`` [1]_, recalled; the table is [2]_.

    References
    ----------
    .. [1] volk_kaehler_2018
    .. [2] glycerol_producer_tables

    Examples
    --------
    >>> round(glycerol_density(50, 20))
    1126
    """
    c = checked(glycerol_pct, "glycerol", low=0, high=100, unit="% by mass") / 100
    t = _at(temperature_c, 15, 30, "glycerol")
    water, glycerol = water_density(t), 1273.3 - 0.6121 * t
    if c == 0:
        return water
    # sin(pi) is a little off 0, and a negative number has no such power
    bend = max(math.sin(math.pi * c**1.31), 0.0) ** 0.81
    k = 1 + (1.78e-6 * t * t - 1.82e-4 * t + 1.41e-2) * bend
    return float(k * (water + (glycerol - water) / (1 + glycerol / water * (1 / c - 1))))


def glycerol_viscosity(glycerol_pct: float, temperature_c: float) -> float:
    """Viscosity of glycerol and water.

    Parameters
    ----------
    glycerol_pct : float
        Glycerol in the solution, 0 to 100. [% by mass]
    temperature_c : float
        Temperature, 0 to 100. [°C]

    Returns
    -------
    float
        Within 3.5 % of a producer's table from 0 to 40 °C. [mPa s]

    Notes
    -----
    ``mu = mu_w^A mu_g^(1-A)``, ``A = 1 - C + a b C (1-C)/(a C + b (1-C))``, ``a = 0.705 - 0.0017 t``,
    ``b = (4.9 + 0.036 t) a^2.5``, ``mu_g = 12100 exp[(-1233 + t) t/(9900 + 70 t)]`` [1]_, constants
    recalled; the table is [2]_.

    References
    ----------
    .. [1] cheng_2008
    .. [2] glycerol_producer_tables

    Examples
    --------
    >>> round(glycerol_viscosity(80, 20))
    61
    """
    c = checked(glycerol_pct, "glycerol", low=0, high=100, unit="% by mass") / 100
    t = _at(temperature_c, 0, 100, "glycerol")
    a = 0.705 - 0.0017 * t
    b = (4.9 + 0.036 * t) * a**2.5
    share = 1 - c + a * b * c * (1 - c) / (a * c + b * (1 - c))
    glycerol = 12100 * math.exp((-1233 + t) * t / (9900 + 70 * t))
    return float(water_viscosity(t) ** share * glycerol ** (1 - share))
