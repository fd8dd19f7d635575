"""Anonymous, [pharmacy exercise on a question page].

https://askanewquestion.com/questions/2701984
The answer there is wrong. Inputs: liquid paraffin 50 g (required HLB 10.5), 5 g of
polysorbate 80 (15) and sorbitan oleate (4.3).
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_the_published_negative_mass_comes_from_a_target_below_both_members() -> None:
    # published: required HLB 3.51, since the emulsifiers were averaged into the oil phase, and
    # then -0.369 g; exact: 2.103 g and 2.897 g for the required HLB of 10.5
    unbounded = 5 * (3.51 - 4.3) / (15 - 4.3)
    assert unbounded == printed("-0.369")
    with pytest.raises(hlb.UnreachableTarget, match=r"reach 4\.3 to 15\.0"):
        hlb.split_pair(15, 4.3, target=3.51)


def test_the_right_answer_has_no_negative_mass() -> None:
    required = hlb.required_hlb(
        {"mineral oil": 50, "polysorbate 80": 2.5, "sorbitan oleate": 2.5}, values={"mineral oil": 10.5}
    )
    assert required.value == within(10.5, 1e-12)
    high, low = hlb.split_pair(15, 4.3, target=required.value)
    assert 5 * high == within(2.8972, 0.0001)
    assert 5 * low == within(2.1028, 0.0001)
