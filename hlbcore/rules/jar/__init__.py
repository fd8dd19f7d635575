"""Physics of the jar: what settles, creams, sets, pours and keeps.

Each equation stands with its source, its units, the range it holds for, and a check against a published
figure in ``tests/published``.
"""

from hlbcore.rules.jar.activity import WaterActivity, norrish, water_activity
from hlbcore.rules.jar.heat import HeatPart, Mixed, least_temperature, mixing_temperature
from hlbcore.rules.jar.settling import (
    LargestDroplet,
    YieldHold,
    clear_layer,
    cone_ratio,
    fall_speed,
    hindered_factor,
    largest_droplet,
    packing_of,
    stokes_speed,
    yield_hold,
)
from hlbcore.rules.jar.sheet import Jar, JarSheet, work_out_jar
from hlbcore.rules.jar.soft_parts import SoftPart
from hlbcore.rules.jar.softness import SoftAt, SoftBand, Softness, softness_of
from hlbcore.rules.jar.solutions import (
    glycerol_density,
    glycerol_viscosity,
    salt_solubility,
    sucrose_solubility,
    syrup_density,
    syrup_viscosity,
    water_density,
    water_viscosity,
)
from hlbcore.rules.jar.volumes import VolumeShare, grain_share, volume, volume_share

__all__ = [
    "HeatPart",
    "Jar",
    "JarSheet",
    "LargestDroplet",
    "Mixed",
    "SoftAt",
    "SoftBand",
    "SoftPart",
    "Softness",
    "VolumeShare",
    "WaterActivity",
    "YieldHold",
    "clear_layer",
    "cone_ratio",
    "fall_speed",
    "glycerol_density",
    "glycerol_viscosity",
    "grain_share",
    "hindered_factor",
    "largest_droplet",
    "least_temperature",
    "mixing_temperature",
    "norrish",
    "packing_of",
    "salt_solubility",
    "softness_of",
    "stokes_speed",
    "sucrose_solubility",
    "syrup_density",
    "syrup_viscosity",
    "volume",
    "volume_share",
    "water_activity",
    "water_density",
    "water_viscosity",
    "work_out_jar",
    "yield_hold",
]
