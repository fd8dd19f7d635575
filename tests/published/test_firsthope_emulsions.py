"""Anonymous, [emulsion formulation by the HLB method], teaching blog.

https://www.firsthope.co.in/emulsion-formulation-by-hlb-method
The answer there is wrong.
"""

import pytest
from printed_values import within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_ten_from_12_and_4_takes_75_per_cent() -> None:
    # published x = 1, "use 100 %", from 12x - 4x taken as 6x; exact 8x = 6, so x = 0.75
    first, second = hlb.split_pair(12, 4, target=10)
    assert first == within(0.75, 1e-12)
    assert second == within(0.25, 1e-12)


def test_the_published_hundred_per_cent_gives_12_and_not_10() -> None:
    assert hlb.blend_hlb([(100, 12), (0, 4)]).value == within(12, 1e-12)
