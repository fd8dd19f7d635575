from __future__ import annotations

import pytest

from hlbcore import Facts, Finding, Formula, Line, work_out
from hlbcore.checks.fragrance import fragrance

LINALOOL = (("linalool", 1.0),)
PAPERS = {"fragrance_max_pct": 1.0, "fragrance_max_c": 45.0, "cool_down_c": 40.0}


def told(*lines: Line, product: str = "o/w cream", **facts: object) -> list[Finding]:
    """Findings on a product with these lines and facts."""
    formula = Formula(
        "x",
        product,
        (Line("water", 80, phase="water"), *lines),
        facts=Facts(**facts),  # type: ignore[arg-type]
    )
    return fragrance(work_out(formula))


def of(findings: list[Finding], words: str) -> Finding:
    """The one finding with these words in its title."""
    (found,) = [f for f in findings if words in f.title]
    return found


SCENT = Line("fragrance", 0.5, phase="cool-down")


def test_formula_without_fragrance_has_no_finding() -> None:
    assert told(Line("olive oil", 20)) == []


def test_amount_of_0_has_no_finding() -> None:
    assert told(Line("fragrance", 0)) == []


def test_linalool_at_0_005_is_named_when_left_on() -> None:
    found = of(told(SCENT, fragrance_allergens=LINALOOL), "Allergens to name")
    assert found.level == "caution"
    assert "0.005 % linalool (not if rinsed off)" in found.detail


def test_linalool_at_0_005_is_not_named_when_rinsed_off() -> None:
    found = told(SCENT, product="wash-off scrub", fragrance_allergens=LINALOOL)
    assert not [f for f in found if "to name" in f.title]
    assert "0.005 % linalool (to be named if left on)" in of(found, "not above").detail


def test_dates_of_the_law_stand_in_the_rule() -> None:
    rule = of(told(SCENT, fragrance_allergens=LINALOOL), "Allergens to name").rule
    assert "(EU) 2023/1545" in rule
    assert "31 July 2026" in rule
    assert "31 July 2028" in rule


def test_mend_gives_the_fragrance_that_stays_below() -> None:
    found = of(told(SCENT, fragrance_allergens=LINALOOL), "Allergens to name")
    assert "at 0.1 % of the formula" in found.mend


def test_mend_is_rounded_down() -> None:
    found = of(told(SCENT, fragrance_allergens=(("linalool", 0.7),)), "Allergens to name")
    assert "at 0.14 % of the formula" in found.mend  # 0.1428...


def test_a_mend_that_leaves_hardly_any_fragrance_is_not_named() -> None:
    found = of(told(SCENT, fragrance_allergens=(("linalool", 15.0),)), "Allergens to name")
    assert "With the fragrance at" not in found.mend


def test_unknown_composition_stays_unknown() -> None:
    found = told(SCENT)
    assert "allergens" in of(found, "papers of the supplier are missing").title
    assert not [f for f in found if "threshold" in f.title or "to name" in f.title]


def test_preservative_that_is_an_allergen_is_counted() -> None:
    found = told(Line("benzyl alcohol", 0.8), product="wash-off scrub")
    assert "0.8 % benzyl alcohol" in of(found, "Allergens to name").detail


def test_benzyl_alcohol_of_sheet_and_preservative_add_up() -> None:
    found = told(SCENT, Line("benzyl alcohol", 0.8), fragrance_allergens=(("Benzyl Alcohol", 10),))
    assert "0.85 % Benzyl Alcohol" in of(found, "Allergens to name").detail


def test_preservative_blend_counts_by_its_known_share() -> None:
    found = told(Line("benzyl_alcohol_and_dehydroacetic_acid", 1))
    assert "0.87 % benzyl alcohol" in of(found, "Allergens to name").detail


def test_preservative_blend_of_unknown_shares_is_said() -> None:
    found = told(Line("benzyl_alcohol_salicylic_glycerin_sorbic", 1))
    assert of(found, "preservative blend holds").level == "caution"


def test_missing_maximum_is_said_with_the_category() -> None:
    found = of(told(SCENT, product="wash-off scrub"), "papers of the supplier are missing")
    assert "maximum" in found.title
    assert "9 (rinse-off, body and hand)" in found.detail


@pytest.mark.parametrize(("most", "level"), [(0.4, "caution"), (0.5, "note"), (1.0, "note")])
def test_fragrance_against_the_suppliers_maximum(most: float, level: str) -> None:
    assert of(told(SCENT, fragrance_max_pct=most), "supplier's maximum").level == level


def test_mend_says_how_much_less() -> None:
    found = of(told(SCENT, fragrance_max_pct=0.4), "over the supplier's maximum")
    assert "0.1 % less" in found.mend


@pytest.mark.parametrize(("limit", "level"), [(35.0, "caution"), (40.0, "note")])
def test_cool_down_against_the_heat_limit(limit: float, level: str) -> None:
    found = told(SCENT, cool_down_c=40.0, fragrance_max_c=limit)
    assert of(found, "heat limit").level == level


def test_fragrance_in_another_phase_meets_the_hottest_temperature() -> None:
    found = told(Line("fragrance", 0.5, phase="oil"), hottest_c=75.0, cool_down_c=40.0, fragrance_max_c=45.0)
    assert of(found, "heat limit").figure == "+30 °C against the limit"


@pytest.mark.parametrize(
    ("facts", "missing"),
    [
        ({}, "heat limit and the cool-down temperature"),
        ({"fragrance_max_c": 45.0}, "cool-down"),
        ({"cool_down_c": 40.0}, "the supplier's heat limit"),
    ],
)
def test_missing_heat_figures_are_named(facts: dict[str, float], missing: str) -> None:
    assert missing in of(told(SCENT, **facts), "heat cannot be compared").detail


def test_complete_papers_leave_notes_only() -> None:
    found = told(SCENT, **PAPERS, fragrance_allergens=(("citral", 0.1),))
    assert {f.level for f in found} == {"note"}


def test_oil_beside_the_fragrance_has_no_sheet() -> None:
    found = told(SCENT, Line("lavender oil", 0.2), fragrance_allergens=LINALOOL)
    assert "lavender oil" in of(found, "Essential oils without a sheet").detail
    assert "0.005 % linalool" in of(found, "Allergens to name").detail


def test_sheet_of_a_single_oil_is_used() -> None:
    found = told(Line("lavender oil", 0.2), fragrance_allergens=(("linalool", 30.0),))
    assert "0.06 % linalool" in of(found, "Allergens to name").detail
    assert not [f for f in found if "sheet" in f.title]


def test_one_sheet_for_several_oils_is_said() -> None:
    found = told(Line("lavender oil", 0.2), Line("geranium oil", 0.2), fragrance_allergens=LINALOOL)
    assert of(found, "One allergen sheet").level == "caution"


@pytest.mark.parametrize(
    ("name", "product", "told_of"),
    [
        ("bergamot oil", "o/w cream", True),
        ("lemon essential oil", "whipped butter", True),
        ("bergamot oil", "wash-off scrub", False),
        ("sweet orange oil", "o/w cream", False),
        ("lemongrass oil", "o/w cream", False),
    ],
)
def test_phototoxic_oils_left_on(name: str, product: str, told_of: bool) -> None:
    found = [f for f in told(Line(name, 0.5), product=product) if "Phototoxic" in f.title]
    assert bool(found) == told_of


def test_furocoumarin_free_grade_is_left_alone() -> None:
    found = told(Line("bergamot oil", 0.5, note="furocoumarin-free"))
    assert not [f for f in found if "Phototoxic" in f.title]


def test_text_never_promises() -> None:
    found = told(SCENT, Line("bergamot oil", 0.5), **PAPERS, fragrance_allergens=LINALOOL)
    said = " ".join(f"{f.title} {f.detail} {f.mend}" for f in found).casefold()
    assert not [w for w in ("stable", "is safe", "may be left out") if w in said]
