from __future__ import annotations

import re
from collections.abc import Iterable

import pytest

from hlbcore import Composite, Facts, Finding, Formula, Line, Portion, Worked, work_out
from hlbcore.checks import check
from hlbcore.checks.preservative import preservative
from hlbcore.checks.preserving import preserving
from hlbcore.formula.lines import CompositePart
from hlbcore.rules.preservatives import preservatives

WATER, OIL = Line("water", 75, phase="water"), Line("sunflower oil", 20, phase="oil")
NO_FACTS = Facts()


def told(view: Worked) -> list[Finding]:
    """What both checks of preservatives say."""
    return [*preserving(view), *preservative(view)]


def lotion(*lines: Line, facts: Facts = NO_FACTS, product: str = "light o/w lotion") -> list[Finding]:
    return told(work_out(Formula("x", product, (WATER, OIL, *lines), facts=facts)))


def scrub(*lines: Line) -> list[Finding]:
    rest = (Line("sunflower oil", 60), Line("sugar", 35, phase="solids"))
    return told(work_out(Formula("x", "wash-off scrub", (*rest, *lines))))


def titled(found: Iterable[Finding], words: str) -> Finding:
    [one] = [f for f in found if words in f.title]
    return one


def none_titled(found: Iterable[Finding], words: str) -> bool:
    return not any(words in f.title for f in found)


# --- shares and use range


# common practice, no source: the same 16 g on both bases; masses chosen to fit the two figures
def test_16_g_in_a_scrub_is_1_02_percent_of_the_fat_base_and_0_70_of_the_jar() -> None:
    masses = {"sunflower oil": 1417.0, "emulsifying wax NF": 151.0, "phenoxyethanol": 16.0, "sugar": 702.0}
    whole = sum(masses.values())
    lines = tuple(
        Line(n, 100 * m / whole, phase="solids" if n == "sugar" else "oil") for n, m in masses.items()
    )
    one = titled(preservative(work_out(Formula("x", "wash-off scrub", lines))), "phenoxyethanol: share")
    assert one.figure == "0.7 % of the jar"
    assert "= 1.02 % of the fat base" in one.detail
    assert "of what is not grains" in one.detail


def test_share_of_the_water_is_said_where_there_is_water() -> None:
    assert "= 1.2 % of the water" in titled(lotion(Line("phenoxyethanol", 0.9)), ": share").detail


def test_below_the_use_range_is_a_caution_with_the_amount() -> None:
    one = titled(lotion(Line("phenoxyethanol", 0.3)), "phenoxyethanol: outside")
    assert one.level == "caution"
    assert one.mend == "Raise it to at least 0.5 % of the formula."
    assert "Usual range 0.5 to 1 %" in one.detail


def test_above_the_use_range_is_a_caution_with_the_amount() -> None:
    one = titled(lotion(Line("chlorphenesin", 0.4)), "chlorphenesin: outside")
    assert one.mend == "Lower it to at most 0.3 % of the formula."


def test_a_range_from_memory_says_so() -> None:
    one = titled(lotion(Line("chlorphenesin", 0.2)), "chlorphenesin: share")
    assert "from memory" in one.detail
    assert "from memory" in one.rule


def test_the_active_part_counts() -> None:
    one = titled(lotion(Line("phenoxyethanol", 1.0, active_pct=40)), "phenoxyethanol: outside")
    assert one.figure == "0.4 % of the jar"
    assert one.mend == "Raise it to at least 1.25 % of the formula."


def portions(added: float, held: float) -> Formula:
    lines = (
        Line("sunflower oil", 100 - held),
        Line("phenoxyethanol", held),
        Line("mica", added, portion="rose"),
    )
    return Formula("Scrub", "wash-off scrub", lines, portions=(Portion("rose", 100),))


def test_a_portion_says_before_and_after() -> None:
    detail = titled(check(portions(10, 0.66)), "phenoxyethanol: share").detail
    assert "0.66 % of the base" in detail
    assert "after it: 0.6 %" in detail


def test_mend_of_a_portion_is_told_for_the_base_and_suffices() -> None:
    mend = titled(check(portions(10, 0.52)), "phenoxyethanol: outside").mend
    assert mend == "Raise it to at least 0.55 % of the base (0.5 % of the portion)."
    assert none_titled(check(portions(10, 0.55)), "outside")


def test_what_is_added_to_a_portion_alone_has_no_before() -> None:
    lines = (Line("sunflower oil", 100), Line("phenoxyethanol", 1, portion="rose"))
    formula = Formula("x", "wash-off scrub", lines, portions=(Portion("rose", 100),))
    assert "Before" not in titled(check(formula), "phenoxyethanol: share").detail


def test_a_blend_with_own_parts_is_left_to_the_suppliers_rate() -> None:
    blend = Composite("guard", (CompositePart("phenoxyethanol", 90), CompositePart("glycerin", 10)))
    formula = Formula("x", "o/w cream", (WATER, OIL, Line("guard", 1.2)), blends=(blend,))
    found = preservative(work_out(formula))
    assert "1.08 % phenoxyethanol" in titled(found, "guard: share").detail
    assert titled(found, "EU: phenoxyethanol above").level == "caution"


# --- law


@pytest.mark.parametrize("product", ["light o/w lotion", "conditioner"])
def test_maximum_follows_the_use(product: str) -> None:
    found = lotion(Line("sodium benzoate", 0.7), product=product)
    assert none_titled(found, "above the maximum") is (product == "conditioner")


def test_maximum_counts_on_its_own_basis_and_the_mend_keeps_it() -> None:
    one = titled(lotion(Line("sodium benzoate", 0.7)), "above the maximum")
    assert one.figure == "0.593 %"
    assert "as acid" in one.detail
    assert "entry 1" in one.rule
    pct = float(re.findall(r"at most ([\d.]+) %", one.mend)[0])
    assert none_titled(lotion(Line("sodium benzoate", pct)), "above the maximum")


def test_a_blend_of_the_tables_is_checked_by_its_parts() -> None:
    blend = Line("phenoxyethanol (and) ethylhexylglycerin", 1.2)
    assert titled(lotion(blend), "phenoxyethanol above").figure == "1.08 %"


def test_prohibited_is_a_stop() -> None:
    one = titled(lotion(Line("isobutylparaben", 0.1)), "isobutylparaben is prohibited")
    assert one.level == "stop"
    assert "II 1374" in one.rule


def test_rinse_off_only_is_a_stop_in_a_leave_on() -> None:
    line = Line("methylisothiazolinone", 0.001)
    assert titled(lotion(line), "not in leave-on").level == "stop"
    assert none_titled(lotion(line, product="conditioner"), "not in")


def test_both_isothiazolinone_entries_are_a_stop() -> None:
    both = (Line("methylisothiazolinone", 0.0005), Line("isothiazolinone mixture 3:1", 0.0005))
    assert titled(lotion(*both, product="conditioner"), "both isothiazolinone").level == "stop"


def test_an_area_that_the_entry_bars_is_a_stop() -> None:
    line = Line("iodopropynyl butylcarbamate", 0.01)
    assert titled(lotion(line), "conditions for iodo").level == "stop"
    rinsed = lotion(line, product="conditioner")
    assert titled(rinsed, "conditions for iodo").level == "note"
    assert titled(lotion(line, facts=Facts(area="lips")), "not for lips").level == "stop"


def test_missing_shares_of_a_blend_are_said() -> None:
    one = titled(lotion(Line("phenoxyethanol with parabens", 1)), "shares of its parts are missing")
    assert "no maximum can be checked" in one.detail


def test_formaldehyde_releaser_asks_for_the_label() -> None:
    one = titled(lotion(Line("dmdm hydantoin", 0.3)), "Releases formaldehyde")
    assert one.level == "note"
    assert one.figure == "10 ppm"
    assert "is missing" in one.detail


# --- none, or no listed one


def test_water_without_a_preservative_is_a_stop() -> None:
    assert titled(lotion(), "Water and no preservative").level == "stop"


def test_honey_brings_water() -> None:
    assert titled(scrub(Line("honey", 5)), "Water and no preservative").level == "stop"


def test_a_product_type_with_water_counts_though_the_line_is_missing() -> None:
    found = told(work_out(Formula("x", "o/w cream", (OIL,))))
    assert titled(found, "Water and no preservative").level == "stop"


def test_an_active_part_of_0_is_no_preservative() -> None:
    assert titled(lotion(Line("phenoxyethanol", 1, active_pct=0)), "Water and no").level == "stop"


@pytest.mark.parametrize("product", ["wash-off scrub", "cleansing balm"])
def test_anhydrous_without_one_is_a_caution_for_wet_hands(product: str) -> None:
    found = told(work_out(Formula("x", product, (Line("shea butter", 100),))))
    assert titled(found, "opened with wet hands").level == "caution"


def test_anhydrous_with_one_notes_wet_hands() -> None:
    assert titled(scrub(Line("phenoxyethanol", 0.7)), "Opened with wet hands").level == "note"


def test_a_salt_in_fat_lies_there_as_grains() -> None:
    found = scrub(Line("potassium sorbate", 0.5))
    assert "as grains" in titled(found, "Opened with wet hands").detail


def test_a_bought_blend_of_boosters_is_a_caution() -> None:
    one = titled(lotion(Line("phenylpropanol (and) ethylhexylglycerin", 1)), "Boosters only")
    assert one.level == "caution"
    assert "Art. 14(1)(d)" in one.rule


@pytest.mark.parametrize("name", ["caprylyl glycol", "phenethyl alcohol", "lactobacillus ferment"])
def test_one_booster_alone_is_a_stop(name: str) -> None:
    one = titled(lotion(Line(name, 1)), "Water and no preservative")
    assert one.level == "stop"
    assert "a booster, no listed preservative" in one.detail


def test_a_booster_beside_a_preservative_is_a_note() -> None:
    one = titled(lotion(Line("phenoxyethanol", 0.8), Line("ethylhexylglycerin", 0.3)), "Boosters beside")
    assert (one.level, one.aside) == ("note", True)
    assert "ethylhexylglycerin" in one.detail


@pytest.mark.parametrize(
    "line",
    [Line("grapefruit seed extract", 0.5), Line("tocopherol", 0.5, note="preservative")],
    ids=lambda x: x.name,
)
def test_an_antioxidant_entered_as_the_preservative_is_a_caution(line: Line) -> None:
    found = lotion(line)
    assert titled(found, "An antioxidant is no preservative").level == "caution"
    assert titled(found, "Water and no preservative").level == "stop"


def test_an_antioxidant_for_the_oils_is_no_finding() -> None:
    found = lotion(Line("tocopherol", 0.5), Line("phenoxyethanol", 0.9))
    assert none_titled(found, "antioxidant")


def test_a_preservative_without_a_name_is_asked_for() -> None:
    found = lotion(Line("preservative_unspecified", 1))
    assert titled(found, "The preservative is not named").level == "caution"
    assert none_titled(found, "Water and no preservative")


# --- pH


@pytest.mark.parametrize(("name", "level"), [("sodium benzoate", "caution"), ("phenoxyethanol", "note")])
def test_missing_ph_is_said(name: str, level: str) -> None:
    assert titled(lotion(Line(name, 0.5)), "pH is missing").level == level


def test_ph_above_the_window_says_the_acid_share() -> None:
    found = lotion(Line("sodium benzoate", 0.5), facts=Facts(ph=5.5))
    one = titled(found, "sodium benzoate: pH outside")
    assert "4.8 % of the benzoic acid" in one.detail
    assert one.mend.startswith("Bring it to 5 or lower")


def test_ph_below_the_window_is_raised() -> None:
    found = lotion(Line("sodium hydroxymethylglycinate", 0.3), facts=Facts(ph=6))
    assert titled(found, "pH outside").mend.startswith("Bring it to 8 or higher")


def test_acid_share_stands_also_inside_the_window() -> None:
    found = lotion(Line("potassium sorbate", 0.5), facts=Facts(ph=5.0))
    assert "37 % of the sorbic acid" in titled(found, "undissociated").detail


def test_acid_of_a_blend_counts_though_its_share_is_missing() -> None:
    blend = Line("sodium benzoate and potassium sorbate in water", 1)
    found = lotion(blend, facts=Facts(ph=5.0))
    assert "14 % of the benzoic acid" in titled(found, "undissociated").detail


def test_no_ph_is_asked_of_a_product_without_water() -> None:
    assert none_titled(scrub(Line("phenoxyethanol", 0.7)), "pH")


# --- ethoxylated emulsifiers


def test_ethoxylates_are_a_question_with_the_ratio_and_the_study() -> None:
    found = lotion(Line("phenoxyethanol with parabens", 0.3), Line("polysorbate 80", 2.5))
    one = titled(found, "Question for a laboratory")
    assert one.level == "note"
    assert one.figure == "8.33 g/g"
    assert "polysorbate 80 at 2.5 % took all the effect" in one.detail
    assert "village_herbs_2010_11" in one.rule
    assert "challenge test" in one.mend


def test_an_emulsifier_without_oxyethylene_raises_no_question() -> None:
    found = lotion(Line("phenoxyethanol", 0.9), Line("sorbitan oleate", 2.5))
    assert none_titled(found, "Question")


# --- words


def every_text() -> str:
    found: list[Finding] = [*lotion(), *scrub()]
    for key in preservatives():
        for ph in (None, 2.0, 12.0):
            line, peg = Line(key, 0.3), Line("polysorbate 80", 2)
            found += [*lotion(line, peg, facts=Facts(ph=ph)), *scrub(line, peg)]
    return " ".join(f"{f.title} {f.detail} {f.mend}" for f in found).casefold()


def test_no_text_says_that_it_may_be_left_out_or_that_a_product_is_safe_or_stable() -> None:
    banned = r"left out|not needed|unnecessary|no need|need no|may omit|without a preservative|"
    banned += r"\bstable\b|\bis safe\b|self-preserv"
    assert re.findall(banned, every_text()) == []


def test_nothing_is_said_of_an_empty_formula() -> None:
    assert preservative(work_out(Formula("x", "o/w cream", ()))) == []
