"""Anonymous, [paper excerpt on the "required HLB" of oils from saponification and acid indices].

https://th4.ilovetranslation.com/vO636RyPlLA=d ; it quotes 15.36 for caprylic/capric triglyceride.
"""

import pytest
from molmass import Formula

from hlbcore import InvalidInput, load_library, structure

pytestmark = pytest.mark.published


def test_the_emulsifier_formula_gives_no_required_hlb_of_a_triglyceride() -> None:
    # published 15.36, from the oil's own small acid index in the place of the fatty acid's; the
    # formula wants an ester of a polyol with free hydroxyls
    estimate = load_library().oil("caprylic/capric triglyceride").required_hlb("o/w")
    assert estimate is not None
    assert estimate.high < 15.36


def test_a_saponification_number_above_the_acid_number_is_refused() -> None:
    # caprylic/capric triglyceride: an acid index near 0 stands where the fatty acid's belongs
    oil = 3 * 1000 * Formula("KOH").mass / Formula("C27H50O6").mass
    with pytest.raises(InvalidInput, match=r"saponification number.*polyol fatty esters only"):
        structure.hlb_from_saponification(oil, 0.1)
