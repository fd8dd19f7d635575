"""Anonymous, [literature review on microemulsions with ceteth-20, in Indonesian], 123dok.com.

The address is left out as it holds a trade name. 77 % oxyethylene for the cetyl ether of 20 moles;
the result was lost in the copy read.
"""

import pytest
from molmass import Formula
from printed_values import within

from hlbcore import structure

pytestmark = pytest.mark.published

OXYETHYLENE, CETYL_ALCOHOL = Formula("C2H4O").mass, Formula("C16H34O").mass


def test_ceteth_20_from_its_oxyethylene_content() -> None:
    assert structure.hlb_from_oxyethylene(77) == within(15.4, 1e-12)


def test_ceteth_20_from_its_molar_masses() -> None:
    # catalogues print 15.7 (from memory); 77 % is a low round figure, so the routes differ by 0.28
    part = 20 * OXYETHYLENE
    value = structure.hlb_from_masses(part, part + CETYL_ALCOHOL)
    assert value == within(15.68, 0.005)
    assert value == within(structure.hlb_from_oxyethylene(77), 0.3)
