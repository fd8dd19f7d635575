"""Anonymous, [pharmaceutics textbook, emulsions chapter, Table 27.5 and Eq. 27.2].

As reproduced at
https://questionai.com.tr/amp/questions-txTZ4SHqbb0A/multicolumn3ctable-275-therequired-hydrophiliclipophile
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_equation_27_2_fraction_of_polysorbate_80() -> None:
    # the page prints 0.58 and then 88 %, a misprint of 58 %
    high, _ = hlb.split_pair(15, 4.3, target=10.5)
    assert high == printed("0.58")
    assert high == within(0.57944, 0.00001)


def test_grams_of_a_five_gram_pair_for_liquid_paraffin() -> None:
    target = hlb.required_hlb([(50, 10.5)])
    amounts = hlb.solve_blend({"polysorbate 80": 15, "sorbitan oleate": 4.3}, target, total=5).amounts
    assert amounts["polysorbate 80"] == printed("2.9")
    assert amounts["polysorbate 80"] == within(2.8972, 0.0001)
    assert amounts["sorbitan oleate"] == printed("2.1")
    assert amounts["sorbitan oleate"] == within(2.1028, 0.0001)


@pytest.mark.parametrize(
    ("name", "emulsion", "page"),
    [
        ("petrolatum", "w/o", 4),
        ("mineral oil", "o/w", 10.5),
        ("mineral oil", "w/o", 4),
        ("light mineral oil", "o/w", 12),
        ("light mineral oil", "w/o", 4),
        ("castor oil", "o/w", 14),
        ("lanolin", "o/w", 12),
        ("lanolin", "w/o", 8),
        ("beeswax", "o/w", 9),
        ("beeswax", "w/o", 5),
        ("cottonseed oil", "o/w", 6),
        ("pine oil", "o/w", 16),
    ],
)
def test_table_27_5_is_carried_over(name: str, emulsion: str, page: float) -> None:
    readings = hlb.load_library().oil(name).readings(emulsion)
    assert [r.value for r in readings if r.source == "pharmaceutics_table_27_5"] == [page]


def test_table_27_5_keeps_the_printed_range_of_petrolatum() -> None:
    readings = hlb.load_library().oil("petrolatum").readings("o/w")
    (row,) = [r for r in readings if r.source == "pharmaceutics_table_27_5"]
    assert (row.low, row.high) == (7, 8)


@pytest.mark.parametrize("name", ["castor oil", "cottonseed oil", "pine oil"])
def test_table_27_5_prints_no_water_in_oil_figure_and_none_is_filled_in(name: str) -> None:
    readings = hlb.load_library().oil(name).readings("w/o")
    assert not [r for r in readings if r.source == "pharmaceutics_table_27_5"]
