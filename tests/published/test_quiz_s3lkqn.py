"""Anonymous, [quiz on emulsification and HLB calculations].

https://quizgecko.com/learn/emulsification-and-hlb-calculations-quiz-s3lkqn
The oils other than mineral oil were not shown.
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_mineral_oil_gives_9_03_of_the_required_hlb() -> None:
    rest = (10.9 - 9.03) / 0.14
    required = hlb.required_hlb([(0.86, 10.5), (0.14, rest)])
    assert required.contributions["contribution"].iloc[0] == printed("9.03")
    assert required.value == printed("10.9")


def test_the_oils_not_shown_must_average_13_36() -> None:
    # computed from 10.9 marked as right
    assert hlb.required_hlb([(0.86, 10.5), (0.14, 13.36)]).value == within(10.9, 0.001)
