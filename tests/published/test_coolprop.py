"""CoolProp, a general library of fluids: water (IAPWS), and glycerol in water (its table of Melinder).

Independent routes to the same figures; for water the tolerances are those that our docstrings promise, for
glycerol they are the spread of the two tables, widest (6 %) at 60 % and 15 °C.
"""

import pytest
from CoolProp.CoolProp import PropsSI
from printed_values import within

from hlbcore.rules.jar.solutions import glycerol_density, glycerol_viscosity, water_density, water_viscosity

pytestmark = pytest.mark.published


def fluid(what: str, c: float, name: str) -> float:
    return PropsSI(what, "T", c + 273.15, "P", 101_325, name)


@pytest.mark.parametrize("c", [1, 10, 20, 25, 40, 60, 80, 95])
def test_water(c: float) -> None:
    assert water_density(c) == within(fluid("D", c, "Water"), 0.5)
    assert water_viscosity(c) == pytest.approx(1000 * fluid("V", c, "Water"), rel=0.01)


@pytest.mark.parametrize("pct", [10, 30, 50, 60])
@pytest.mark.parametrize("c", [15, 20, 30])
def test_glycerol_in_water(pct: float, c: float) -> None:
    name = f"INCOMP::MGL[{pct / 100}]"
    assert glycerol_density(pct, c) == within(fluid("D", c, name), 1.0)
    assert glycerol_viscosity(pct, c) == pytest.approx(1000 * fluid("V", c, name), rel=0.07)
