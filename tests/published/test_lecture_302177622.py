"""Anonymous, "HLB Calculations", Pharmaceutics Lecture 11.1.07.

https://pl.scribd.com/document/302177622/11-1-07HLB
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_hlb_of_ten_grams_at_4_7_and_twenty_at_14_9() -> None:
    value = hlb.blend_hlb([(10, 4.7), (20, 14.9)]).value
    assert value == printed("11.5")
    assert value == within(11.5, 1e-12)


def test_the_same_by_names_from_the_tables() -> None:
    value = hlb.blend_hlb({"sorbitan stearate": 10, "polysorbate 60": 20}).value
    assert value == printed("11.5")
