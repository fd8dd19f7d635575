"""Anonymous, [popular-science article on surfactants, in Chinese].

https://kepu365.com/kepu/CK/200701/28308.html : paraffin 0, polyethylene glycol 20, sodium lauryl
sulfate 40.
"""

import pytest
from printed_values import within

import hlbcore as hlb
from hlbcore import structure

pytestmark = pytest.mark.published


def test_paraffin_without_a_hydrophilic_part_stands_at_0() -> None:
    assert structure.hlb_from_masses(0, 300) == 0.0


def test_polyethylene_glycol_without_a_lipophilic_part_stands_at_20() -> None:
    assert structure.hlb_from_oxyethylene(100) == within(20, 1e-12)


def test_the_scale_ends_at_sodium_lauryl_sulfate() -> None:
    top = structure.hlb_davies({"SO4Na": 1, "CH3": 1, "CH2": 11})
    assert hlb.Estimate.exactly(40).value == within(top, 0.001)
    with pytest.raises(hlb.InvalidInput, match="Enter 0 to 40"):
        hlb.Estimate.exactly(40.1)
