"""Anonymous, [French craft blog, July 2009], https://mes-grimoires-bio.blogspot.com/2009/07/ ."""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_two_grams_at_3_8_and_three_at_15() -> None:
    value = hlb.blend_hlb([(2, 3.8), (3, 15)]).value
    assert value == printed("10.52")
    assert value == within(10.52, 1e-9)


def test_the_15_of_cetyl_alcohol_is_a_required_hlb_and_no_hlb_of_its_own() -> None:
    # the page takes the one for the other
    cetyl_alcohol = hlb.load_library().find("cetyl alcohol")
    required = cetyl_alcohol.required_hlb("o/w")
    assert required is not None
    assert required.low <= 15 <= required.high
    assert cetyl_alcohol.hlb is None or cetyl_alcohol.hlb.high < 15
