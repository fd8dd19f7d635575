"""Anonymous, [student calculation of HLB, Indonesian].

https://www.scribd.com/document/452600676/PERHITUNGAN-HLB-docx
3 g of polysorbate 80 (15) and sorbitan oleate (4.3) on 20 g of oil.
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published

ROWS = [
    pytest.param(11, 1.879, 1.8785, 1.121, 1.1215, id="11"),
    pytest.param(12, 2.158, 2.1589, 0.842, 0.8411, id="12"),
    pytest.param(13, 2.439, 2.4393, 0.561, 0.5607, id="13"),
]


@pytest.mark.parametrize(("target", "high_page", "high", "low_page", "low"), ROWS)
def test_three_grams_at_each_rung(
    target: float, high_page: float, high: float, low_page: float, low: float
) -> None:
    first, second = hlb.split_pair(15, 4.3, target=target)
    assert 3 * first == within(high, 0.0001)
    assert 3 * second == within(low, 0.0001)
    assert 3 * first == within(high_page, 0.001)
    assert 3 * second == within(low_page, 0.001)


def test_the_row_for_12_was_cut_and_not_rounded() -> None:
    # published 2.158 and 0.842; exact 2.1589 and 0.8411, which round to 2.159 and 0.841
    first, second = hlb.split_pair(15, 4.3, target=12)
    assert 3 * first != printed("2.158")
    assert 3 * first == printed("2.159")
    assert 3 * second != printed("0.842")
    assert 3 * second == printed("0.841")


def test_the_ladder_in_grams_that_a_scale_shows() -> None:
    ladder = hlb.plan_ladder(
        "polysorbate 80",
        "sorbitan oleate",
        centre=12,
        half_width=1,
        steps=3,
        vial_mass_g=100,
        emulsifier_pct=3,
        oil_phase={"mineral oil": 20},
        readability_g=0.001,
        values={"polysorbate 80": 15, "sorbitan oleate": 4.3},
    )
    assert ladder.table["polysorbate 80_g"].tolist() == pytest.approx([1.879, 2.159, 2.439], abs=0.0011)
    assert ladder.table["sorbitan oleate_g"].tolist() == pytest.approx([1.121, 0.841, 0.561], abs=0.0011)
