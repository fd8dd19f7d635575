"""Anonymous, [quiz question: 5 g of a surfactant pair at HLB 13].

quizgecko.com, question d5wiv; the address is left out as it holds a trade name.
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_five_grams_at_hlb_13() -> None:
    low, high = hlb.split_pair(4.3, 15, target=13)
    assert 5 * low == printed("0.93")
    assert 5 * low == within(0.9346, 0.0001)
    assert 5 * high == within(4.0654, 0.0001)
