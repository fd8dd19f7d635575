"""Anonymous, [study cards, card 39], https://gizmo.ai/community/deck/4291052 ."""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_card_39_five_per_cent_of_250_grams_at_hlb_14() -> None:
    total = 0.05 * 250
    low, high = hlb.split_pair(4.3, 14.9, target=14)
    assert total * low == printed("1.06")
    assert total * low == within(1.0613, 0.0001)
    assert total * high == printed("11.44")
    assert total * high == within(11.4387, 0.0001)
