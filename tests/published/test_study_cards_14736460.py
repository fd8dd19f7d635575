"""Anonymous, [study cards for practising HLB, cards 1 and 2].

https://brainscape.com/flashcards/hlb-practise-14736460/packs/21618479
The second exercise also stands at https://www.passeidireto.com/pergunta/132119053/
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_card_1_five_hundred_grams_of_cream_at_hlb_14() -> None:
    total = 0.05 * 500
    high, low = hlb.split_pair(16.7, 4.7, target=14.0)
    assert 100 * high == printed("77.5")
    assert 100 * low == printed("22.5")
    assert total * high == within(19.375, 0.001)
    assert total * low == within(5.625, 0.001)


def test_card_2_required_hlb_leaves_the_glycerin_out() -> None:
    required = hlb.required_hlb(
        {"stearic acid": 8, "cetyl alcohol": 1, "lanolin": 1, "glycerin": 10},
        values={"stearic acid": 15, "cetyl alcohol": 15, "lanolin": 10},
    )
    assert required.value == printed("14.5")
    assert required.value == within(14.5, 1e-12)
    assert [e.name for e in required.excluded] == ["glycerin"]
    # the automatic answer of the second page, 5.5, was made from molar masses
    assert required.value != printed("5.5")


def test_card_2_grams_were_rounded_before_multiplying() -> None:
    # published 1.52 g and 38.48 g: 3.77 % was rounded to 3.8 % first; exact 1.5094 and 38.4906
    low, high = hlb.split_pair(4.3, 14.9, target=14.5)
    assert 40 * low == within(1.5094, 0.0001)
    assert 40 * high == within(38.4906, 0.0001)
    assert 40 * low == within(1.52, 0.02)
    assert 40 * high == within(38.48, 0.02)
    assert 40 * low != printed("1.52")
    assert 40 * round(low, 3) == printed("1.52")


def test_card_2_four_per_cent_are_four_per_cent() -> None:
    # the automatic answer of the second page has 40 g + 40 g, that is 8 % where 4 % was asked
    blend = hlb.solve_blend({"sorbitan oleate": 4.3, "polysorbate 60": 14.9}, 14.5, total=4)
    assert 1000 * sum(blend.masses) / 100 == within(40, 1e-9)
