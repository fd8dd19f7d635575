"""S. Barclay-Nichols, [HLB, using different emulsifiers], 2011, blog.

http://swiftcraftymonkey.blogspot.com/2011/04/hlb-system-answers-to-working-it-out.html and
https://swiftcraftymonkey.blogspot.com/2011/04/hlb-system-using-different-emulsifiers.html ;
a reader's answer: http://swiftcraftymonkey.blogspot.com/2011/04/hlb-system-work-this-one-out.html
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published

GLYCOL_DISTEARATE, GLYCOL_STEARATE, POLYSORBATE_80, CETEARETH_20 = 1.0, 2.9, 15.0, 15.2


def test_body_butter_oil_phase() -> None:
    # one page prints 7.5/25 as 0.4; it is 0.30, and the products are right
    required = hlb.required_hlb(
        {"soybean oil": 10, "cocoa butter": 7.5, "mango butter": 7.5},
        values={"soybean oil": 7, "cocoa butter": 6, "mango butter": 8},
    )
    assert required.value == printed("7.00")
    assert required.value == within(7.0, 1e-12)
    assert list(required.contributions["share_pct"]) == [printed("40"), printed("30"), printed("30")]


@pytest.mark.parametrize(
    ("low", "share", "high", "page", "exact"),
    [
        pytest.param(GLYCOL_DISTEARATE, 58, POLYSORBATE_80, "6.880", 6.88, id="58:42"),
        pytest.param(GLYCOL_STEARATE, 66, POLYSORBATE_80, "7.014", 7.014, id="66:34"),
        pytest.param(GLYCOL_DISTEARATE, 50, CETEARETH_20, "8.1", 8.1, id="50:50"),
    ],
)
def test_mixes_that_are_printed_right(low: float, share: float, high: float, page: str, exact: float) -> None:
    value = hlb.blend_hlb([(share, low), (100 - share, high)], shares=True).value
    assert value == printed(page)
    assert value == within(exact, 1e-9)


@pytest.mark.parametrize(
    ("share", "page", "exact"),
    [pytest.param(57, "6.87", 7.02, id="57:43"), pytest.param(55, "7.10", 7.30, id="55:45")],
)
def test_mixes_of_glycol_distearate_that_are_printed_wrong(share: float, page: str, exact: float) -> None:
    # slips in the page's multiplication: the exact sums are 7.02 and 7.30
    value = hlb.blend_hlb([(share, GLYCOL_DISTEARATE), (100 - share, POLYSORBATE_80)]).value
    assert value == within(exact, 1e-9)
    assert value != printed(page)


@pytest.mark.parametrize(
    ("low", "high", "exact"),
    [
        pytest.param(GLYCOL_DISTEARATE, POLYSORBATE_80, 57.143, id="glycol distearate"),
        pytest.param(GLYCOL_STEARATE, POLYSORBATE_80, 66.116, id="glycol stearate"),
        pytest.param(GLYCOL_DISTEARATE, CETEARETH_20, 57.746, id="with ceteareth-20"),
    ],
)
def test_hlb_7_is_met_exactly(low: float, high: float, exact: float) -> None:
    # the page says that glycol distearate with polysorbate 80 cannot reach 7 exactly; it can
    share, rest = hlb.split_pair(low, high, target=7)
    assert 100 * share == within(exact, 0.0005)
    assert share * low + rest * high == within(7, 1e-12)


def test_five_per_cent_of_66_to_34_is_3_3_and_1_7() -> None:
    # printed 3.3 + 2.7, which adds to 6
    low, high = hlb.split_pair(GLYCOL_STEARATE, POLYSORBATE_80, target=7.014)
    assert 5 * low == printed("3.30")
    assert 5 * high == printed("1.70")
    assert 5 * high != printed("2.7")


def test_shares_of_98_per_cent_are_refused_and_masses_are_normalised() -> None:
    # a reader's answer: 55 % + 43 % give 7.086 only while 2 % are forgotten; normalised 7.231
    amounts = [(55.0, GLYCOL_DISTEARATE), (43.0, CETEARETH_20)]
    forgotten = sum(share / 100 * value for share, value in amounts)
    assert forgotten == printed("7.086")
    with pytest.raises(hlb.InvalidInput, match=r"98 %.*2 % is missing"):
        hlb.blend_hlb(amounts, shares=True)
    assert hlb.blend_hlb(amounts).value == within(7.2306, 0.0001)
