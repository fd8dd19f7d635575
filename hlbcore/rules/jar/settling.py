"""What sinks and what rises: speed of grains and droplets, yield stress, packing, the settled jar.

Single grains and droplets in a Newtonian liquid; a network or a gel is another matter, and is judged by
its yield stress. Densities in kg/m³.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from hlbcore._numbers import checked

GRAVITY = 9.81
"""Acceleration of gravity. [m/s²]"""

HINDERED_GRAINS, HINDERED_DROPLETS = 4.48, 5.6
"""Exponents of hindered settling, for grains and for what Brownian motion moves. [-]
brzinski_durian_2017; with 4.5 the printed figure of sand_in_oil_exercise comes out."""

YIELD_SINKS, YIELD_HELD = 0.048, 0.2
"""Critical yield number: theory without elasticity, and the top of older experiments. [-]
tabuteau_2007_page names and confirms the theory; both numbers are recalled."""

TOUCHING = 0.50
"""Volume share of solids from which grains begin to hold each other up. [fraction]
probstein_value_page gives 0.52 for spheres; poured table salt 0.50 to 0.65."""

CLOSE_PACKED = 0.74
"""Volume share of droplets above which they cannot stay round. [fraction] Geometry of equal spheres."""

SUGAR_PACKING = (0.50, 0.61)
"""Volume share of sugar in a settled bed. [fraction] Bulk 800 to 961 kg/m³, recalled; crystal 1587, seen."""

SALT_PACKING = (0.50, 0.65)
"""Volume share of salt in a settled bed. [fraction] salt_density_page: 1089 to 1400 of 2160 kg/m³"""


def _density(value: float, what: str) -> float:
    return checked(value, f"{what}, density", low=100, high=25_000, unit="kg/m³")


def stokes_speed(diameter_um: float, density_difference: float, viscosity_mpas: float) -> float:
    """Speed of one small sphere in a Newtonian liquid.

    Parameters
    ----------
    diameter_um : float
        Diameter. [µm]
    density_difference : float
        Sphere less liquid; negative rises. [kg/m³]
    viscosity_mpas : float
        Viscosity of the liquid, not of the product. [mPa s]

    Returns
    -------
    float
        Down is positive. [mm/day]

    Notes
    -----
    ``v = g d² drho / (18 eta)`` [1]_; for one sphere and slow flow. At a Reynolds number of 0.1 it is 1 %
    too fast, at 1.4 it is 13 %: `fall_speed` goes further.

    References
    ----------
    .. [1] food_emulsions_text, with a worked figure

    Examples
    --------
    >>> round(-stokes_speed(2.0, 910 - 1000, 1.0), 1)
    17.0
    """
    d = checked(diameter_um, "diameter", above=0, high=1e5, unit="µm") * 1e-6
    drho = checked(density_difference, "density difference", low=-25_000, high=25_000, unit="kg/m³")
    eta = checked(viscosity_mpas, "viscosity", above=0, high=1e12, unit="mPa s") * 1e-3
    return GRAVITY * d * d * drho / (18 * eta) * 86_400e3


def fall_speed(
    diameter_um: float, grain_density: float, liquid_density: float, viscosity_mpas: float
) -> float:
    """Speed of one sphere in a Newtonian liquid, also beyond slow flow.

    Parameters
    ----------
    diameter_um : float
        Diameter. [µm]
    grain_density, liquid_density : float
        Densities. [kg/m³]
    viscosity_mpas : float
        Viscosity of the liquid. [mPa s]

    Returns
    -------
    float
        Down is positive. [mm/s]

    Notes
    -----
    ``C_D = 432/s³ (1 + 0.022 s³)^0.54 + 0.47 (1 - exp(-0.15 s^0.45))``, ``s = (R g/nu²)^(1/3) d``,
    ``w = sqrt(4 R g d/(3 C_D))`` (Cheng 2009, recalled); it gives the printed 2.4198277 mm/s of [1]_. A
    sugar grain is no sphere: it falls more slowly, in one printed case by a quarter.

    References
    ----------
    .. [1] settling_sheet_half_mm

    Examples
    --------
    >>> round(fall_speed(500, 1020, 1000, 1.0), 3)
    2.42
    """
    d = checked(diameter_um, "grain size", above=0, high=1e5, unit="µm") * 1e-6
    grain, liquid = _density(grain_density, "grains"), _density(liquid_density, "liquid")
    nu = checked(viscosity_mpas, "viscosity", above=0, high=1e12, unit="mPa s") * 1e-3 / liquid
    ratio = (grain - liquid) / liquid
    if ratio == 0:
        return 0.0
    s3 = abs(ratio) * GRAVITY / nu**2 * d**3
    drag = 432 / s3 * (1 + 0.022 * s3) ** 0.54 + 0.47 * (1 - math.exp(-0.15 * s3**0.15))
    return math.copysign(math.sqrt(4 * abs(ratio) * GRAVITY * d / (3 * drag)), ratio) * 1000


def hindered_factor(volume_fraction: float, *, exponent: float = HINDERED_GRAINS) -> float:
    """How much slower a crowd settles than one grain alone.

    Parameters
    ----------
    volume_fraction : float
        Volume share of grains or droplets. [fraction, 0 to 0.6]
    exponent : float
        4.48 for grains, 5.6 for what Brownian motion moves. [-]

    Returns
    -------
    float
        Speed over that of one alone. [-]

    Notes
    -----
    ``v/v0 = (1 - phi)^n`` [1]_.

    References
    ----------
    .. [1] brzinski_durian_2017

    Examples
    --------
    >>> round(hindered_factor(0.2), 3)
    0.368
    """
    phi = checked(volume_fraction, "volume share", low=0, high=1)
    n = checked(exponent, "exponent", low=1, high=10)
    return float((1 - phi) ** n)


@dataclass(frozen=True, slots=True)
class LargestDroplet:
    """The largest droplet that stays where it is for a while.

    Parameters
    ----------
    low_um, high_um : float
        Diameter by the two exponents of hindered motion. [µm]
    """

    low_um: float
    high_um: float


def largest_droplet(
    days: float,
    viscosity_mpas: float,
    *,
    density_difference: float,
    volume_fraction: float = 0.0,
    layer_mm: float = 1.0,
) -> LargestDroplet:
    """The largest droplet whose cream layer stays thinner than can be seen.

    Parameters
    ----------
    days : float
        How long it shall keep. [days]
    viscosity_mpas : float
        Low-shear viscosity of the outer phase. [mPa s]
    density_difference : float
        Between the phases, either sign. [kg/m³]
    volume_fraction : float
        Droplets in the whole. [fraction]
    layer_mm : float
        Clear layer that is still taken; our convention where left out. [mm]

    Returns
    -------
    LargestDroplet
        Diameter; infinite where the phases are equally dense.

    Notes
    -----
    ``d = sqrt(18 eta h / (g drho t (1 - phi)^n))``: Stokes, hindered. All droplets of one size; no
    coalescence, no network.

    Examples
    --------
    >>> made = largest_droplet(365, 1000, density_difference=70, volume_fraction=0.2)
    >>> round(made.low_um, 1), round(made.high_um, 1)
    (1.5, 1.7)
    """
    time = checked(days, "days", above=0, high=36_500, unit="days")
    eta = checked(viscosity_mpas, "viscosity", above=0, high=1e12, unit="mPa s")
    drho = abs(checked(density_difference, "density difference", low=-25_000, high=25_000, unit="kg/m³"))
    phi = checked(volume_fraction, "volume share", low=0, high=0.99)
    height = checked(layer_mm, "clear layer", above=0, high=1000, unit="mm")
    if drho == 0:
        return LargestDroplet(math.inf, math.inf)
    alone = stokes_speed(1.0, drho, eta)  # of 1 µm; the speed grows with the square

    def size(n: float) -> float:
        return math.sqrt(height / time / (alone * hindered_factor(phi, exponent=n)))

    return LargestDroplet(size(HINDERED_GRAINS), size(HINDERED_DROPLETS))


@dataclass(frozen=True, slots=True)
class YieldHold:
    """Whether a yield stress holds a grain.

    Parameters
    ----------
    number : float
        Yield stress over g d drho. [-]
    word : str
        ``sinks``, ``doubtful`` or ``held``.
    least_pa, sure_pa : float
        Yield stress at the two ends of the published range. [Pa]
    """

    number: float
    word: str
    least_pa: float
    sure_pa: float


def yield_hold(yield_pa: float, diameter_um: float, density_difference: float) -> YieldHold:
    """Whether a measured yield stress holds a grain of that size.

    Parameters
    ----------
    yield_pa : float
        Yield stress of the gel or the fat network, measured as a stress; never a yield value read from
        two speeds of a spindle, which lies 40 to 180 times higher. [Pa]
    diameter_um : float
        Size of the grain. [µm]
    density_difference : float
        Grain less what holds it, either sign. [kg/m³]

    Returns
    -------
    YieldHold
        Sinks under 0.048, held over 0.2, doubtful between: the published range of the critical number.

    Notes
    -----
    ``Y = tau / (g d drho)``. The theory for a sphere in a gel without elasticity gives 0.048 [1]_; older
    experiments reach about 0.2 (recalled). Knocks and transport are not in it.

    References
    ----------
    .. [1] tabuteau_2007_page

    Examples
    --------
    >>> made = yield_hold(0.5, 500, 662)
    >>> made.word, round(made.least_pa, 2), round(made.sure_pa, 2)
    ('doubtful', 0.16, 0.65)
    """
    tau = checked(yield_pa, "yield stress", low=0, high=1e6, unit="Pa")
    d = checked(diameter_um, "grain size", above=0, high=1e5, unit="µm") * 1e-6
    drho = abs(checked(density_difference, "density difference", low=-25_000, high=25_000, unit="kg/m³"))
    pull = GRAVITY * d * drho
    number = tau / pull if pull > 0 else math.inf
    word = "sinks" if number < YIELD_SINKS else "held" if number > YIELD_HELD else "doubtful"
    return YieldHold(number, word, YIELD_SINKS * pull, YIELD_HELD * pull)


def clear_layer(volume_fraction: float, packing: tuple[float, float] = SUGAR_PACKING) -> tuple[float, float]:
    """Clear layer over a fully settled bed, as a share of the height.

    Parameters
    ----------
    volume_fraction : float
        Volume share of the grains in the jar. [fraction]
    packing : tuple of float
        Volume share of grains in the settled bed, loosest and densest. [fraction]

    Returns
    -------
    tuple of float
        Least and most; 0 where the grains fill the jar as a bed. [fraction of the height]

    Notes
    -----
    ``h = 1 - phi / phi_m``. Your own bulk weight is better than any range: `packing_of`.

    Examples
    --------
    >>> least, most = clear_layer(0.3)
    >>> round(least, 2), round(most, 2)
    (0.4, 0.51)
    """
    phi = checked(volume_fraction, "volume share", low=0, high=1)
    loose = checked(packing[0], "packing, loosest", above=0, high=1)
    dense = checked(packing[1], "packing, densest", low=loose, high=1)
    return max(1 - phi / loose, 0.0), max(1 - phi / dense, 0.0)


def packing_of(bulk_g_per_100_ml: float, crystal_density: float) -> float:
    """Volume share of grains in a beaker, from its weight.

    Parameters
    ----------
    bulk_g_per_100_ml : float
        Grams of the grains that fill 100 mL. [g]
    crystal_density : float
        Of the solid itself. [kg/m³]

    Returns
    -------
    float
        Volume share. [fraction]

    Examples
    --------
    >>> round(packing_of(87, 1587), 2)
    0.55
    """
    mass = checked(bulk_g_per_100_ml, "grains in 100 mL", above=0, high=2500, unit="g")
    solid = _density(crystal_density, "grains")
    return checked(mass * 10 / solid, "grains in 100 mL, share of the volume", above=0, high=1)


def cone_ratio(first_depth_mm: float, second_depth_mm: float) -> float:
    """How much firmer the second sample is, from the depths of one cone.

    Parameters
    ----------
    first_depth_mm, second_depth_mm : float
        Depth after 5 s of the same cone, at the same temperature. [mm]

    Returns
    -------
    float
        Yield value of the second over that of the first. [-]

    Notes
    -----
    ``C = K W / p^1.6`` [1]_, so that weight and cone cancel. For fats, butter and margarine; cones of 15
    to 90 degrees.

    References
    ----------
    .. [1] haighton_1959

    Examples
    --------
    >>> round(cone_ratio(8.0, 4.0), 2)
    3.03
    """
    first = checked(first_depth_mm, "depth of the first", above=0, high=1000, unit="mm")
    second = checked(second_depth_mm, "depth of the second", above=0, high=1000, unit="mm")
    return float((first / second) ** 1.6)
