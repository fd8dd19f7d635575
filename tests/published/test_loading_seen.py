"""Emulsifier per oil phase in the worked examples of this folder, computed from their formulas.

Sources as in the files named in the ids. Rules: forum thread 8278 (1:4 to 1:5 of the oils),
https://chemistscorner.com/cosmeticsciencetalk/discussion/8278/help-for-this-baby-body-milk-formulation
"""

import re

import pytest
from printed_values import printed

import hlbcore as hlb
from hlbcore.blending.dose import dose_finding

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
    figure = dose_finding(emulsifier, oil, "o/w cream").figure
    of_formula, of_oil = figure.split(" = ")
    assert of_formula == f"{emulsifier} % of the formula"
    assert float(of_oil.removesuffix(" % of the oil phase")) == printed(page)


@pytest.mark.parametrize(("emulsifier", "oil", "page"), EXAMPLES)
def test_no_dose_of_the_worked_examples_stops_a_formula(emulsifier: float, oil: float, page: str) -> None:
    finding = dose_finding(emulsifier, oil, "o/w cream")
    assert finding.level == "note"
    assert finding.title in ("Dose is usual", "Dose is high")
    assert finding.aside == (finding.title == "Dose is usual")
    assert re.fullmatch(
        r"Print shows [\d.]+ to [\d.]+ % of the formula or [\d.]+ to [\d.]+ % of the oil phase "
        r"for o/w cream\. The oil phase counts no emulsifier\.",
        finding.detail,
    )


def test_four_in_five_of_the_worked_examples_lie_in_the_band_of_print() -> None:
    # the band goes from the 10th to the 90th percentile, so it holds 80 % of what is printed
    titles = [dose_finding(*example.values[:2], "o/w cream").title for example in EXAMPLES]
    assert titles.count("Dose is usual") >= 0.8 * len(titles)


@pytest.mark.parametrize(("emulsifier", "word"), [(0.5, "low"), (25, "high")])
def test_a_dose_far_off_every_worked_example_is_a_caution(emulsifier: float, word: str) -> None:
    # in 30 % oil: 1.7 and 83 % of the oil phase, the worked examples use 8 to 40 %
    finding = dose_finding(emulsifier, 30, "o/w cream")
    assert (finding.level, finding.title, finding.aside) == ("caution", f"Dose is {word}", False)


@pytest.mark.parametrize("parts", [4, 5])
def test_one_part_to_four_or_five_of_the_oils_is_20_to_25_per_cent_and_usual(parts: int) -> None:
    # forum_baby_milk_8278, "as a very general rule"
    usual = hlb.usual_loading(30, "o/w cream")
    assert usual.low_of_oil_pct is not None
    assert usual.high_of_oil_pct is not None
    assert usual.low_of_oil_pct < 100 / parts < usual.high_of_oil_pct
    finding = dose_finding(30 / parts, 30, "o/w cream")
    assert finding.title == "Dose is usual"
    assert f"= {100 / parts:g} % of the oil phase" in finding.figure


@pytest.mark.parametrize(("of_base", "of_oil"), [(9, "9.89"), (10, "11.1")])
@pytest.mark.parametrize("sugar", [0, 40])
def test_nine_or_ten_per_cent_of_a_scrub_base_is_usual_with_sugar_or_without(
    of_base: float, of_oil: str, sugar: float
) -> None:
    # https://diycosmetica.com/emulsified-body-sugar-scrub/ : 9 or 10 % of the base
    base = (100 - sugar) / 100
    finding = dose_finding(of_base * base, (100 - of_base) * base, "wash-off scrub")
    assert (finding.level, finding.title) == ("note", "Dose is usual")
    assert f"= {of_oil} % of the oil phase" in finding.figure


def test_one_per_cent_of_a_scrub_base_is_low() -> None:
    # a ninth of https://diycosmetica.com/emulsified-body-sugar-scrub/
    assert dose_finding(1, 99, "wash-off scrub").title == "Dose is low"
