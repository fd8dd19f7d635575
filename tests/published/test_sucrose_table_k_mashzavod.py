"""Anonymous, [table of the solubility of sucrose, 0 to 100 °C].

https://k-mashzavod.narod.ru/SvoystvaSaharozi5.htm . Our polynomial is recalled; it lies up to 0.12 points
from this table between 0 and 80 °C, so half a unit of the last digit is not met and is not asked for.
"""

import pytest
from printed_values import within

from hlbcore.rules.jar.solutions import sucrose_solubility

pytestmark = pytest.mark.published

TABLE = {0: 64.44, 20: 66.74, 40: 70.22, 60: 74.32, 80: 78.74}


@pytest.mark.parametrize(("c", "pct"), TABLE.items())
def test_solubility_of_sugar(c: int, pct: float) -> None:
    assert sucrose_solubility(c) == within(pct, 0.13)
