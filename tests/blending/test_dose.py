from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore import InvalidInput, Library, product_types, required_hlb, usual_loading
from hlbcore.blending.coverage import Coverage, covering_dose, surface_excess
from hlbcore.blending.dose import PAIR_OF_OIL_MOST, dose_finding, pair_start, solubiliser_ratio
from hlbcore.blending.dose_evidence import dose_band
from hlbcore.product_types import ProductType


@pytest.mark.parametrize("kind", product_types(), ids=lambda k: k.name)
def test_usual_dose_is_what_print_shows_on_each_basis(kind: ProductType) -> None:
    dose = usual_loading(20.0, kind)
    assert dose.of_formula == dose_band(kind, "formula")
    assert dose.of_oil == dose_band(kind, "oil phase")


def test_usual_dose_of_a_cream_on_both_bases() -> None:
    # 10th and 90th percentile of 32 rows on the formula and 38 on the oil phase, data/dose_evidence.csv
    dose = usual_loading(20.0, "o/w cream")
    assert (dose.low_pct, dose.high_pct) == pytest.approx((2.1, 8.0))
    assert (dose.low_of_oil_pct, dose.high_of_oil_pct) == pytest.approx((9.25, 31.57))


@pytest.mark.parametrize("oil", [5.0, 20.0, 40.0])
def test_what_print_shows_does_not_hang_on_the_oil_phase_at_hand(oil: float) -> None:
    dose, other = usual_loading(oil, "o/w cream"), usual_loading(20.0, "o/w cream")
    assert (dose.of_formula, dose.of_oil) == (other.of_formula, other.of_oil)


@pytest.mark.parametrize(
    ("oil", "start"), [(5.0, 1.5), (10.0, 3.0), (16.0, 3.0), (18.0, 3.5), (20.0, 4.0), (60.0, 4.0)]
)
def test_a_neat_pair_starts_at_three_to_four_per_cent_and_never_above_30_of_the_oil(
    oil: float, start: float
) -> None:
    assert pair_start(oil) == pytest.approx(start)
    assert usual_loading(oil, "o/w cream").start_pct == pytest.approx(start)
    assert pair_start(oil) <= PAIR_OF_OIL_MOST * oil / 100 + 1e-12


def test_other_types_start_at_the_middle_of_print() -> None:
    band = dose_band("cleansing balm", "formula")
    assert band is not None
    assert usual_loading(80.0, "cleansing balm").start_pct == band.median


def test_few_sources_are_said() -> None:
    assert usual_loading(20.0, "w/o cream").few
    assert usual_loading(20.0, "w/o cream").source.endswith("few sources")
    assert not usual_loading(20.0, "o/w cream").few


def test_type_without_a_usual_dose_says_so() -> None:
    dose = usual_loading(90.0, "whipped butter")
    assert (dose.low_pct, dose.high_of_oil_pct) == (None, None)
    assert dose.text == "whipped butter: no usual emulsifier dose."


def test_text_shows_both_bands() -> None:
    assert usual_loading(20.0, "o/w cream").text == (
        "print shows 2.1 to 8.0 % of the formula or 9.2 to 32 % of the oil phase for o/w cream"
    )
    assert usual_loading(20.0, "w/o cream").text.endswith("for w/o cream (few sources)")


def test_emulsifier_in_the_phase_is_not_counted_in_it(tiny_library: Library) -> None:
    phase = {"alpha oil": 20, "epsilon oleate": 5}
    assert usual_loading(phase, library=tiny_library).oil_pct == 20


def test_result_of_required_hlb_is_taken_as_it_is(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 20}, library=tiny_library)
    assert usual_loading(found) == usual_loading(20.0)


@pytest.mark.parametrize("oil", [0, -1, 101, math.nan])
def test_oil_phase_must_be_a_per_cent_of_the_formula(oil: float) -> None:
    with pytest.raises(InvalidInput, match="oil phase: "):
        usual_loading(float(oil))


@pytest.mark.parametrize(
    ("total", "title", "level"),
    [
        (0.9, "Dose is low", "caution"),  # under half of print on both bases
        (1.0, "Dose is low", "note"),
        (1.8, "Dose is low", "note"),
        (1.9, "Dose is at the low end", "note"),  # 9.5 % of the oil phase is in print, a pair starts at 4 %
        (2.0, "Dose is usual", "note"),
        (8.0, "Dose is usual", "note"),
        (8.1, "Dose is high", "note"),
        (15.9, "Dose is high", "note"),
        (16.0, "Dose is high", "caution"),
    ],
)
def test_dose_is_compared_with_print_at_20_per_cent_oil(total: float, title: str, level: str) -> None:
    found = dose_finding(total, 20.0, "o/w cream")
    assert (found.title, found.level) == (title, level)


@given(st.floats(0.01, 100), st.floats(0.5, 100))
def test_dose_is_low_or_high_only_where_it_is_so_on_both_bases(total: float, oil: float) -> None:
    of_oil, word = 100 * total / oil, dose_finding(total, oil, "o/w cream").title
    dose = usual_loading(oil, "o/w cream")
    assert dose.low_pct is not None
    assert dose.high_pct is not None
    assert dose.low_of_oil_pct is not None
    assert dose.high_of_oil_pct is not None
    if word == "Dose is low":
        assert total < dose.low_pct
        assert of_oil < dose.low_of_oil_pct
    elif word == "Dose is high":
        assert total > dose.high_pct
        assert of_oil > dose.high_of_oil_pct
    else:
        assert total >= dose.low_pct * (1 - 1e-8) or of_oil >= dose.low_of_oil_pct * (1 - 1e-8)
        assert total <= dose.high_pct * (1 + 1e-8) or of_oil <= dose.high_of_oil_pct * (1 + 1e-8)


@given(st.floats(0, 100), st.floats(0.1, 100), st.sampled_from(product_types()))
def test_dose_is_never_a_stop(total: float, oil: float, kind: object) -> None:
    assert dose_finding(total, oil, kind).level != "stop"  # type: ignore[arg-type]


def test_dose_is_shown_on_both_bases_with_its_rule() -> None:
    found = dose_finding(1.25, 12.5, "light o/w lotion")
    assert found.figure == "1.25 % of the formula = 10 % of the oil phase"
    assert found.rule.startswith("10th to 90th percentile of printed formulas and rules")


def test_low_dose_is_told_where_to_start() -> None:
    assert dose_finding(1.0, 20.0, "o/w cream").mend.startswith("Start from 4 % of the formula")


@pytest.mark.parametrize("total", [-1, 101, math.nan])
def test_total_must_be_a_per_cent(total: float) -> None:
    with pytest.raises(InvalidInput, match="emulsifiers: "):
        dose_finding(total, 20.0, "o/w cream")


def test_surface_excess_is_mass_of_one_molecule_over_its_area() -> None:
    # 602.214076 g/mol is 1e-21 g a molecule; on 1 nm2 that is 1e-3 g/m2
    assert surface_excess(602.214076, 1.0) == pytest.approx(1.0)
    assert surface_excess(602.214076, 0.5) == pytest.approx(2.0)


def test_covering_dose_agrees_with_counting_droplets() -> None:
    # spheres of 2 um in 100 g of oil of 0.9 g/cm3, with 2 mg on each m2
    radius = 1e-6
    count = (100 / 0.9e6) / (4 / 3 * math.pi * radius**3)
    grams = count * 4 * math.pi * radius**2 * 2e-3
    assert covering_dose(2.0, 2.0, 0.9) == pytest.approx(grams)


@pytest.mark.parametrize("given", [(0, 2, 0.9), (2, 0, 0.9), (2, 2, 0)])
def test_covering_dose_needs_figures_above_zero(given: tuple[float, float, float]) -> None:
    with pytest.raises(InvalidInput, match=r"is too small. Enter more than 0"):
        covering_dose(*given)


def test_covering_dose_of_each_alone_covers_once() -> None:
    coverage = Coverage(20.0, 2.0, {"a": 1.5, "b": 3.0})
    doses = np.array([covering_dose(e, 2.0) * 20.0 / 100 for e in (1.5, 3.0)])
    assert coverage.row(("a", "b")) * doses == pytest.approx([1.0, 1.0])


def test_coverage_without_a_surface_excess_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"coverage of 'b': no surface excess is given\. Give its"):
        Coverage(20.0, 2.0, {"a": 1.5}).row(("a", "b"))


@pytest.mark.parametrize(("parts", "level"), [(0.5, "caution"), (1, "note"), (3, "note"), (8, "note")])
def test_too_little_solubiliser_is_a_caution(parts: float, level: str) -> None:
    found = solubiliser_ratio(parts, 1)
    assert found.level == level
    assert found.figure == f"{parts:g} parts of solubiliser to 1 part of oil"


def test_solubiliser_ratio_needs_oil() -> None:
    with pytest.raises(InvalidInput, match="oil: 0 is too small"):
        solubiliser_ratio(3, 0)


def test_a_ready_emulsifier_is_not_held_against_where_a_pair_starts() -> None:
    assert dose_finding(1.9, 20.0, "o/w cream", neat=False).title == "Dose is usual"


def test_a_dose_at_the_low_end_says_where_to_start() -> None:
    found = dose_finding(1.25, 12.5, "light o/w lotion")
    assert (found.level, found.aside) == ("note", False)
    assert "To start from: 3 % of the formula" in found.mend


def test_an_oil_phase_in_grams_has_no_share_of_the_formula() -> None:
    with pytest.raises(InvalidInput, match="its amounts are in grams"):
        usual_loading({"olive oil": "20 g"}, "o/w cream")
