"""Anonymous, [Chinese textbook, section 9.5.2, HLB of mixtures, as reposted].

https://www.guayunfan.com/baike/872331.html
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("low", "share", "exact"),
    [
        pytest.param(8.6, 40, 12.38, id="sorbitan laurate"),
        pytest.param(2.1, 20, 12.34, id="sorbitan tristearate"),
    ],
)
def test_two_routes_to_12_3_are_cut_and_not_equal(low: float, share: float, exact: float) -> None:
    # published 12.3 for both; they are 12.38 and 12.34, cut after the first decimal
    value = hlb.blend_hlb([(share, low), (100 - share, 14.9)], shares=True).value
    assert value == within(exact, 1e-9)
    assert int(10 * value) / 10 == printed("12.3")


def test_12_38_does_not_round_to_the_printed_12_3() -> None:
    assert hlb.blend_hlb([(40, 8.6), (60, 14.9)]).value != printed("12.3")
