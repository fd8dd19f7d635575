"""Asadi, Beet-Sugar Handbook, Table A.1.

https://it.scribd.com/document/156917763/ . The table prints 1000.00 at 0 %: relative densities times 1000,
so they are multiplied by 0.9982. Its row of 5 % (1017.85) does not fit its neighbours and is left out.
"""

import pytest
from printed_values import within

from hlbcore.rules.jar.solutions import syrup_density

pytestmark = pytest.mark.published


@pytest.mark.parametrize(("pct", "relative"), [(10, 1039.98), (15, 1061.04), (20, 1082.87)])
def test_density_of_sugar_solutions(pct: float, relative: float) -> None:
    assert syrup_density(pct) == within(relative * 0.9982, 0.15)
