"""Anonymous, [solubility of salt at various temperatures], a trade body.

http://www.saltinstitute.org/salt-101/chemical-physical-properties/ , table seen in full; our fit to it is
held against it to 0.08 points.
"""

import pytest
from printed_values import within

from hlbcore.rules.jar.solutions import salt_solubility

pytestmark = pytest.mark.published

TABLE = {0: 26.29, 10: 26.36, 21.11: 26.45, 37.78: 26.68, 51.67: 26.92}
TABLE |= {65.56: 27.21, 79.44: 27.62, 93.33: 27.91, 100: 28.12}


@pytest.mark.parametrize(("c", "pct"), TABLE.items())
def test_solubility_of_salt(c: float, pct: float) -> None:
    assert salt_solubility(c) == within(pct, 0.08)
