"""Anonymous, [exercise on hindered settling: 30 volume % sand in oil], seen on two sites.

Hindered 4.44 µm/s with n = 4.5, so one grain alone falls at 22.1 µm/s. One site prints the wrong option
letter beside the right working.
"""

import pytest
from printed_values import printed

from hlbcore.rules.jar.settling import hindered_factor

pytestmark = pytest.mark.published


def test_one_grain_alone() -> None:
    assert 4.44 / hindered_factor(0.3, exponent=4.5) == printed("22.1")
