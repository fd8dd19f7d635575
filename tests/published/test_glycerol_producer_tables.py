"""Anonymous, [a producer's tables of glycerol solutions, as data of a course].

https://www3.nd.edu/~dtl/cheg459/pivexperiment/viscosity.m and density.m . Our equations (cheng_2008,
volk_kaehler_2018) have recalled constants; they hold the 55 points within 3.5 % and 0.56 kg/m³, of which
these were written down.
"""

import pytest
from printed_values import within

from hlbcore.rules.jar.solutions import glycerol_density, glycerol_viscosity

pytestmark = pytest.mark.published


@pytest.mark.parametrize(("pct", "mpas"), [(50, 6.00), (80, 60.1)])
def test_viscosity_at_20_c(pct: float, mpas: float) -> None:
    assert glycerol_viscosity(pct, 20) == pytest.approx(mpas, rel=0.035)


def test_density_of_half_glycerol_at_20_c() -> None:
    assert glycerol_density(50, 20) == within(1126.3, 0.56)
