"""J. T. Davies, A quantitative kinetic theory of emulsion type, 1957.

Proceedings of the 2nd International Congress of Surface Activity, pp. 426-438, from memory. Group
numbers seen at https://profilpelajar.com/en/Hydrophilic-lipophilic_balance and
https://academia-lab.com/enciclopedia/equilibrio-hidrofilo-lipofilico/ ; sodium lauryl sulfate at
https://www-dev.contentguild.co.uk/how-do-you-calculate-hlb-value-of-cream.html
"""

import pytest
from printed_values import within

from hlbcore import structure

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("group", "page"),
    [
        ("SO4Na", 38.7),
        ("COOK", 21.1),
        ("COONa", 19.1),
        ("N (tertiary amine)", 9.4),
        ("ester (sorbitan ring)", 6.8),
        ("ester (free)", 2.4),
        ("COOH", 2.1),
        ("OH (free)", 1.9),
        ("O (ether)", 1.3),
        ("OH (sorbitan ring)", 0.5),
        ("CH", -0.475),
        ("CH2", -0.475),
        ("CH3", -0.475),
        ("=CH", -0.475),
    ],
)
def test_group_numbers_are_carried_over(group: str, page: float) -> None:
    assert structure.hlb_davies({group: 1}) == within(7 + page, 1e-12)


def test_sodium_lauryl_sulfate_stands_at_40() -> None:
    assert structure.hlb_davies({"SO4Na": 1, "CH3": 1, "CH2": 11}) == within(40.0, 0.001)


def test_lipophilic_numbers_are_negative_already_and_not_subtracted_again() -> None:
    # https://www.pharmacologicalsciences.us/aqueous-solution/info-jxj.html swaps the two words of
    # the equation; a longer chain must lower the figure
    assert structure.hlb_davies({"OH": 1, "CH2": 18}) < structure.hlb_davies({"OH": 1, "CH2": 12})
    assert structure.hlb_davies({"CH2": 10}) == within(2.25, 1e-12)
