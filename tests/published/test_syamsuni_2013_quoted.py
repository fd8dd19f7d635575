"""Syamsuni, Ilmu Resep, 2013, as quoted by a blog.

https://materifarmasi123.blogspot.com/2020/05/perhitungan-hlb-elmusi.html
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_seventy_of_15_and_thirty_of_4_5() -> None:
    # the page's second route ends in 18.5, a misprint of 11.85: no blend leaves its members
    value = hlb.blend_hlb([(70, 15), (30, 4.5)], shares=True).value
    assert value == printed("11.85")
    assert value == within(11.85, 1e-12)
    assert value != printed("18.5")


def test_the_users_own_4_5_leads_over_the_listed_4_3() -> None:
    amounts = {"polysorbate 80": 70, "sorbitan oleate": 30}
    own = hlb.blend_hlb(amounts, values={"sorbitan oleate": 4.5})
    assert own.value == within(11.85, 1e-12)
    assert hlb.blend_hlb(amounts).value == within(11.79, 1e-12)
