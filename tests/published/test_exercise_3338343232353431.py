"""[Textbook exercise on the composition of an emulsifier, reproduced by a homework page].

https://askfilo.com/user-question-answers-smart-solutions/example-calculate-the-composition-of-the-emulgent-in-the-3338343232353431
The copy read was cut off before the split.
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published

PHASE = {"mineral oil": 35, "lanolin": 1, "cetyl alcohol": 1}
VALUES = {"mineral oil": 12, "lanolin": 10, "cetyl alcohol": 15}


def test_required_hlb_of_paraffin_wool_fat_and_cetyl_alcohol() -> None:
    value = hlb.required_hlb(PHASE, values=VALUES).value
    assert value == printed("12.027")  # printed as 445/37
    assert value == within(445 / 37, 1e-12)


def test_split_of_seven_grams() -> None:
    # computed by hand from the printed inputs, not seen on the page
    high, low = hlb.split_pair(15, 4.3, target=445 / 37)
    assert 7 * high == within(5.0551, 0.0001)
    assert 7 * low == within(1.9449, 0.0001)
