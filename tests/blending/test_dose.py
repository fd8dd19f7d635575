from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore import Coverage, InvalidInput, Library, dose_finding, product_types, required_hlb, usual_loading
from hlbcore.blending.dose import covering_dose, solubiliser_ratio, surface_excess


def test_oil_phase_rule_is_shown_on_both_bases() -> None:
    dose = usual_loading(20.0, "o/w cream")
    assert (dose.low_pct, dose.high_pct) == (4.0, 5.0)
    assert (dose.low_of_oil_pct, dose.high_of_oil_pct) == (20.0, 25.0)


def test_formula_rule_is_shown_on_both_bases() -> None:
    dose = usual_loading(20.0, "w/o cream")
    assert (dose.low_pct, dose.high_pct) == (3.0, 6.0)
    assert (dose.low_of_oil_pct, dose.high_of_oil_pct) == (15.0, 30.0)


def test_fat_base_rule_counts_oil_and_emulsifier_together() -> None:
    # 9 % of the fat base: 9 parts to 91 parts of oil
    dose = usual_loading(45.5, "wash-off scrub")
    assert dose.low_pct == pytest.approx(4.5)
    assert dose.low_of_oil_pct == pytest.approx(100 * 9 / 91)


@given(st.floats(0.5, 80), st.sampled_from([k for k in product_types() if k.dose_low]))
def test_both_bases_name_one_dose(oil: float, kind: object) -> None:
    dose = usual_loading(oil, kind)  # type: ignore[arg-type]
    assert dose.low_pct == pytest.approx(dose.low_of_oil_pct * oil / 100)  # type: ignore[operator]


def test_type_without_a_usual_dose_says_so() -> None:
    dose = usual_loading(90.0, "whipped butter")
    assert (dose.low_pct, dose.high_of_oil_pct) == (None, None)
    assert dose.text == "whipped butter: no usual emulsifier dose."


def test_text_shows_both_percentages_and_the_oil_phase() -> None:
    assert usual_loading(20.0, "o/w cream").text == (
        "usual for o/w cream: 4.0 to 5.0 % of the formula = 20 to 25 % of the oil phase "
        "(20 % of the formula, emulsifier not counted in it)"
    )


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
        (2.0, "Dose is low", "caution"),
        (2.1, "Dose is low", "note"),
        (3.9, "Dose is low", "note"),
        (4.0, "Dose is usual", "note"),
        (5.0, "Dose is usual", "note"),
        (5.1, "Dose is high", "note"),
        (9.9, "Dose is high", "note"),
        (10.0, "Dose is high", "caution"),
    ],
)
def test_dose_is_compared_with_the_usual_one(total: float, title: str, level: str) -> None:
    found = dose_finding(total, 20.0, "o/w cream")
    assert (found.title, found.level) == (title, level)


@given(st.floats(0, 100), st.floats(0.1, 100), st.sampled_from(product_types()))
def test_dose_is_never_a_stop(total: float, oil: float, kind: object) -> None:
    assert dose_finding(total, oil, kind).level != "stop"  # type: ignore[arg-type]


def test_dose_is_shown_on_both_bases_with_its_rule() -> None:
    found = dose_finding(1.25, 12.5, "light o/w lotion")
    assert found.figure == "1.25 % of the formula = 10 % of the oil phase"
    assert found.rule.startswith("oil phase rule, ")


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
