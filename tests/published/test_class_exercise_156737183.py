"""Anonymous, [Indonesian physical pharmacy class exercise, two copies].

http://www.scribd.com/doc/188500089/tugas-farfis-2 and
https://id.scribd.com/doc/156737183/tugas-farfis
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("target", "high_page", "high", "low_page", "low"),
    [
        pytest.param(10, "4.6", 4.5968, "5.4", 5.4032, id="30 % oil, o/w"),
        pytest.param(12, "6.2", 6.2097, "3.8", 3.7903, id="60 % oil"),
        pytest.param(5, "0.56", 0.5645, "9.44", 9.4355, id="60 % oil, taken as w/o"),
    ],
)
def test_ten_grams_for_coconut_oil(
    target: float, high_page: str, high: float, low_page: str, low: float
) -> None:
    first, second = hlb.split_pair(16.7, 4.3, target=target)
    assert 10 * first == printed(high_page)
    assert 10 * first == within(high, 0.0001)
    assert 10 * second == printed(low_page)
    assert 10 * second == within(low, 0.0001)


def test_the_oil_share_does_not_decide_the_emulsion_type() -> None:
    # two students took the same 60 % of oil as o/w and as w/o; so the type is asked for
    small = hlb.required_hlb({"coconut oil": 10}).emulsion
    large = hlb.required_hlb({"coconut oil": 60}).emulsion
    assert small == large == "o/w"
    with pytest.raises(hlb.MissingValue, match="w/o required HLB"):
        hlb.required_hlb({"coconut oil": 60}, emulsion="w/o")


def test_required_hlb_of_beeswax_mineral_oil_and_cetyl_alcohol() -> None:
    value = hlb.required_hlb(
        {"beeswax": "24 %", "mineral oil": "14 %", "cetyl alcohol": "5 %"},
        values={"beeswax": 9, "mineral oil": 11, "cetyl alcohol": 14},
    ).value
    assert value == printed("10.23")
    assert value == within(440 / 43, 1e-12)


def test_five_per_cent_of_250_grams() -> None:
    low, high = hlb.split_pair(4.3, 14.9, target=440 / 43)
    assert 12.5 * high == printed("7.0")
    assert 12.5 * high == within(6.9959, 0.0001)
    assert 12.5 * low == printed("5.5")
    assert 12.5 * low == within(5.5041, 0.0001)
