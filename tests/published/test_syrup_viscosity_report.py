"""Anonymous, [laboratory report on the viscosity of sucrose solutions], with literature values.

https://www.ipl.org/essay/Viscosity-Lab-Report-PCHCVDCQAWU . The first value of 30 % is taken as that of
20 °C. Our equation is recalled and holds them within 2.6 %.
"""

import pytest

from hlbcore.rules.jar.solutions import syrup_viscosity

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("pct", "c", "mpas"),
    [(30, 20, 3.187), (30, 40, 1.833), (30, 60, 1.2), (65, 20, 147.2), (65, 40, 44.36), (65, 60, 17.9)],
)
def test_viscosity_of_syrups(pct: float, c: float, mpas: float) -> None:
    assert syrup_viscosity(pct, c) == pytest.approx(mpas, rel=0.026)


def test_a_copied_page_averages_by_mass_and_is_wrong() -> None:
    # 60 % is printed there as 1152 mPa s
    assert syrup_viscosity(60, 25) < 1152 / 20
