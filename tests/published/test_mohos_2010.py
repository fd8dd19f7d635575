"""Mohos, Confectionery and Chocolate Engineering, 2010, Appendix 2.

https://ja.scribd.com/document/324549505/ , Tables A2.2 (after Antokolskaya 1964) and A2.3 (after Sokolovsky
1958), seen in full. Two good tables of solubility disagree by 0.4 points, so that is the band we print.
"""

import pytest
from printed_values import within

from hlbcore.rules.jar.heat import SPECIFIC_HEAT
from hlbcore.rules.jar.solutions import SOLUBILITY_DOUBT, sucrose_solubility, syrup_density

pytestmark = pytest.mark.published

TABLE_A2_3 = (64.18, 65.58, 67.09, 68.70, 70.42, 72.25, 74.18, 76.22, 78.36, 80.84)


@pytest.mark.parametrize(("step", "pct"), list(enumerate(TABLE_A2_3)))
def test_table_a2_3_lies_inside_the_band_that_is_printed(step: int, pct: float) -> None:
    assert sucrose_solubility(10 * step) == within(pct, SOLUBILITY_DOUBT)


def test_table_a2_2_density_of_a_saturated_syrup_is_3_5_above_ours() -> None:
    # our fit ends at 65 %, the syrup holds 67.09 %; its docstring says so
    assert syrup_density(67.09) - 1332.7 == within(-3.5, 0.1)


def test_specific_heat_of_sucrose_at_25_c() -> None:
    assert SPECIFIC_HEAT["sugar"] == within((0.2712 + 0.00103 * 25) * 4.1868, 0.001)
