"""Emulsifier per oil phase in the worked examples of this folder, computed from their formulas.

Sources as in the files named in the ids. Rules: forum thread 8278 (1:4 to 1:5 of the oils),
https://chemistscorner.com/cosmeticsciencetalk/discussion/8278/help-for-this-baby-body-milk-formulation
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published

EXAMPLES = [
    pytest.param(3, 37, "8.1", id="wangpradit_2022 F5"),
    pytest.param(3, 34, "8.8", id="wangpradit_2022 F1"),
    pytest.param(3, 32, "9.4", id="wangpradit_2022 F2"),
    pytest.param(3, 30, "10.0", id="wangpradit_2022 F3"),
    pytest.param(3, 28, "10.7", id="wangpradit_2022 F4"),
    pytest.param(5, 50, "10.0", id="pharmaceutics_table_27_5 and worksheet_96860895"),
    pytest.param(5, 43, "11.6", id="class_exercise_156737183, beeswax"),
    pytest.param(3, 20, "15.0", id="worksheet_452600676"),
    pytest.param(7, 37, "18.9", id="exercise_3338343232353431"),
    pytest.param(5, 20, "25.0", id="student practical 282477024"),
    pytest.param(7, 25, "28.0", id="barclay_nichols_2011_04_28"),
    pytest.param(10, 30, "33.3", id="class_exercise_156737183, coconut oil"),
    pytest.param(4, 10, "40.0", id="study_cards_14736460"),
]


@pytest.mark.parametrize(("emulsifier", "oil", "page"), EXAMPLES)
def test_dose_is_told_in_per_cent_of_the_oil_phase(emulsifier: float, oil: float, page: str) -> None:
    figure = hlb.dose_finding(emulsifier, oil, "o/w cream").figure
    of_formula, of_oil = figure.split(" = ")
    assert of_formula == f"{emulsifier} % of the formula"
    assert float(of_oil.removesuffix(" % of the oil phase")) == printed(page)


@pytest.mark.parametrize(("emulsifier", "oil", "page"), EXAMPLES)
def test_no_dose_of_the_worked_examples_stops_a_formula(emulsifier: float, oil: float, page: str) -> None:
    finding = hlb.dose_finding(emulsifier, oil, "o/w cream")
    assert finding.level in ("note", "caution")
    assert "from 8 to 40 % of the oil phase" in finding.detail


def test_one_part_to_four_or_five_of_the_oils_is_20_to_25_per_cent() -> None:
    usual = hlb.usual_loading(30, "o/w cream")
    assert usual.low_of_oil_pct == within(100 / 5, 1e-9)
    assert usual.high_of_oil_pct == within(100 / 4, 1e-9)
    assert usual.source == "forum_baby_milk_8278"


def test_nine_or_ten_per_cent_of_a_scrub_base_is_counted_on_the_fat_base() -> None:
    # https://diycosmetica.com/emulsified-body-sugar-scrub/ : 9 or 10 % of the base
    usual = hlb.usual_loading(90, "wash-off scrub")
    assert usual.low_of_oil_pct == within(100 * 9 / 91, 1e-9)
    assert usual.high_pct == within(10, 1e-9)
    assert usual.high_of_oil_pct == within(100 / 9, 1e-9)
