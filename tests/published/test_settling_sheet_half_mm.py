"""Anonymous, [settling worksheet], excerpt: a grain of 0.5 mm, 1020 in 1000 kg/m³, 1 mPa s.

Sphere 2.4198277 mm/s, natural grain 1.7930174 mm/s. Stokes alone would give 2.725 (Reynolds number 1.36).
"""

import pytest
from printed_values import printed, within

from hlbcore.rules.jar.settling import fall_speed, stokes_speed

pytestmark = pytest.mark.published


def test_a_sphere_beyond_slow_flow() -> None:
    assert fall_speed(500, 1020, 1000, 1.0) == printed("2.4198277")


def test_stokes_is_an_eighth_too_fast_there() -> None:
    assert stokes_speed(500, 20, 1.0) / 86_400 == within(2.725, 0.001)


def test_a_natural_grain_is_slower_than_the_sphere() -> None:
    assert fall_speed(500, 1020, 1000, 1.0) > 1.7930174
