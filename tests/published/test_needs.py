"""Figures that makers meet, each with its page; where none is named, `common practice, no source`.

Answers to be given, with the figures to type, so that they do not lean on the tables.
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


def test_hlb_14_5_is_refused_for_3_8_and_9_7_although_they_add_up_to_13_5() -> None:
    # http://swiftcraftymonkey.blogspot.com/2011/05/why-didnt-i-use-hlb-system-to-create.html holds
    # that the two must add up to more than the target; a pair reaches no further than its members
    with pytest.raises(hlb.UnreachableTarget, match=r"reach 3\.8 to 9\.7") as caught:
        hlb.solve_blend({"glyceryl stearate": 3.8, "laureth-4": 9.7}, 14.5)
    assert caught.value.reachable == (3.8, 9.7)
    assert caught.value.openers
    for opener in caught.value.openers:
        assert float(opener.rpartition("(")[2].rstrip(")")) > 14.5


GLYCERYL_STEARATE_PHASE = {
    "beeswax": 1.5,
    "isopropyl myristate": 7.5,
    "stearic acid": 12.5,
    "plant oil": 5,
    "glyceryl stearate": 7.5,
}
GLYCERYL_STEARATE_VALUES = {
    "beeswax": 12,
    "isopropyl myristate": 11.5,
    "stearic acid": 15,
    "plant oil": 6.2,
    "glyceryl stearate": 3.8,
}


@pytest.mark.parametrize(
    ("side", "first", "other"), [("oil", "10.33", "12.18"), ("emulsifier", "12.18", "10.33")]
)
def test_glyceryl_stearate_on_either_side_shows_both_results(side: str, first: str, other: str) -> None:
    # https://www.ocl-journal.org/articles/ocl/full_html/2022/01/ocl210096/T4.html , formula F1
    required = hlb.required_hlb(
        GLYCERYL_STEARATE_PHASE, values=GLYCERYL_STEARATE_VALUES, sides={"glyceryl stearate": side}
    )
    assert required.value == printed(first)
    (choice,) = [o for o in required.others if o.name == "glyceryl stearate"]
    assert choice.estimate is not None
    assert choice.estimate.value == printed(other)
    (finding,) = [f for f in required.cautions if f.title.startswith("glyceryl stearate stands")]
    assert finding.level == "caution"
    assert "more than the window apart" in finding.detail


def test_murumuru_butter_without_a_value_is_listed_and_not_dropped() -> None:
    # common practice, no source
    required = hlb.required_hlb({"sweet almond oil": 10, "murumuru butter": 10})
    assert required.unknown == ("murumuru butter",)
    assert required.mass == within(20, 1e-12)
    butters, count = hlb.load_library().class_range("butter")
    part = required.parts[1]
    assert (part.estimate.low, part.estimate.high) == (butters.low, butters.high)
    assert part.basis == f"class range (butter, {count} ingredients)"


def test_murumuru_butter_is_asked_for_where_that_is_wanted() -> None:
    # common practice, no source
    phase = {"sweet almond oil": 10, "murumuru butter": 10}
    with pytest.raises(hlb.MissingValue, match=r"'murumuru butter'.*value or a range of your own"):
        hlb.required_hlb(phase, unknown="ask")


def test_dimethicone_shows_5_and_9_to_10() -> None:
    # http://swiftcraftymonkey.blogspot.com/2009/09/silicones-and-hlb-system.html
    required = hlb.required_hlb({"dimethicone": 5})
    estimate = required.parts[0].estimate
    low, high = estimate.alternatives
    assert low == within(5, 1e-9)
    assert 9 <= high <= 10
    assert estimate.low <= 5
    assert estimate.high >= 10
    assert any("Sources disagree on dimethicone" in f.title for f in required.cautions)


def test_a_choice_among_the_readings_of_dimethicone_stays_visible() -> None:
    # http://swiftcraftymonkey.blogspot.com/2009/09/silicones-and-hlb-system.html
    listed = hlb.load_library().oil("dimethicone").required_hlb("o/w")
    assert listed is not None
    other = max(listed.alternatives)
    required = hlb.required_hlb({"dimethicone": 5}, values={"dimethicone": listed.choose(other)})
    assert required.value == within(other, 1e-9)
    assert required.parts[0].estimate.alternatives == listed.alternatives


def test_one_and_a_quarter_per_cent_for_twelve_and_a_half_of_oil_is_low_apart_from_hlb() -> None:
    # https://www.craftserver.com/topic/27092-lotion-didnt-thicken/
    high, low = hlb.split_pair(15, 4.3, target=10.5)
    amounts = {"polysorbate 80": 1.25 * high, "sorbitan oleate": 1.25 * low}
    verdict = hlb.judge(amounts, 10.5, "light o/w lotion", oil_pct=12.5)
    assert verdict.word == "inside"
    assert verdict.dose is not None
    assert verdict.dose.title == "Dose is low"
    assert verdict.dose.level == "caution"
    assert "10 % of the oil phase" in verdict.dose.figure
    assert verdict.dose not in verdict.findings


def test_a_quarter_of_a_28_per_cent_oil_phase_is_7_per_cent_of_the_formula() -> None:
    # https://swiftcraftymonkey.blogspot.com/2013/08/wednesday-wonderings-what-is-usage-rate.html
    usual = hlb.usual_loading(28, "o/w cream")
    assert usual.high_of_oil_pct == within(25, 1e-9)
    assert usual.high_pct == within(7, 1e-9)
    assert "7.0 % of the formula" in usual.text
    assert "25 % of the oil phase" in usual.text
    assert "emulsifier not counted in it" in usual.text


def test_an_unknown_wax_gets_its_suppliers_rate_and_oil_limit_and_no_hlb_verdict() -> None:
    # http://swiftcraftymonkey.blogspot.com/2013/08/you-dont-need-to-use-hlb-system-for-all.html
    verdict = hlb.judge(
        {"my wax": 5},
        9.0,
        "o/w cream",
        oil_pct=30,
        supplier={"my wax": hlb.SupplierRate(4, 6, oil_limit_pct=25)},
    )
    assert verdict.word == "no verdict"
    assert verdict.blend is None
    (finding,) = [f for f in verdict.findings if f.title == "More oil than my wax carries"]
    assert finding.level == "caution"
    assert finding.figure == "5 points over"


def test_the_parts_of_a_ready_blend_are_backed_out_of_the_whole() -> None:
    # https://swiftcraftymonkey.blogspot.com/2013/08/you-dont-need-to-use-hlb-system-for-all.html
    _, peg_100_stearate = hlb.split_pair(3.8, 18.8, target=11.2)
    assert 100 * peg_100_stearate == printed("49.3")


@pytest.mark.parametrize(("count", "page"), [(True, "7.45"), (False, "7.00")])
def test_two_per_cent_of_lemon_oil_in_the_cool_down_count_or_not_by_choice(count: bool, page: str) -> None:
    # https://chemistscorner.com/cosmeticsciencetalk/discussion/6114/hlb-of-essential-oils ; lemon
    # about 12: https://ja.scribd.com/document/356027231/Determinacion-de-HLB-de-Aceite-d-Elimon
    required = hlb.required_hlb(
        {"carrier oil": "20 %", "lemon essential oil": "2 %"},
        values={"carrier oil": 7, "lemon essential oil": 12},
        count_fragrance=count,
    )
    assert required.value == printed(page)
    (choice,) = [o for o in required.others if o.name == "fragrance"]
    assert choice.choice == ("left out" if count else "counted")
    assert choice.estimate is not None
    assert choice.estimate.value == printed("7.00" if count else "7.45")


def test_water_in_oil_without_a_figure_says_missing_and_never_takes_the_other_type() -> None:
    # common practice, no source
    with pytest.raises(hlb.MissingValue, match=r"w/o required HLB.*'sweet almond oil'") as caught:
        hlb.required_hlb({"sweet almond oil": 10}, emulsion="w/o")
    assert caught.value.names == ("sweet almond oil",)
    assert "never used for w/o" in str(caught.value)


@pytest.mark.parametrize("product", ["cleansing balm", "dispersing bath or cleansing oil"])
def test_polysorbate_80_in_almond_oil_gets_the_solubility_caution_even_where_hlb_matches(
    product: str,
) -> None:
    # https://chemistscorner.com/cosmeticsciencetalk/discussion/comment/41595
    verdict = hlb.judge({"polysorbate 80": 20}, 15.0, product, oil_pct=80)
    (finding,) = [f for f in verdict.findings if "keep an emulsifier dissolved" in f.title]
    assert finding.level == "caution"
    assert "20 % polysorbate 80" in finding.detail
    assert finding.mend.startswith("Jar test")


def test_cocoa_butter_for_mango_butter_moves_7_00_to_7_60_inside_the_window() -> None:
    # https://swiftcraftymonkey.blogspot.com/2011/04/hlb-system-using-different-emulsifiers.html
    values = {"soybean oil": 7, "cocoa butter": 6, "mango butter": 8}
    before = hlb.required_hlb({"soybean oil": 10, "cocoa butter": 7.5, "mango butter": 7.5}, values=values)
    after = hlb.required_hlb({"soybean oil": 10, "mango butter": 15}, values=values)
    assert before.value == printed("7.00")
    assert after.value == printed("7.60")
    pair = hlb.solve_blend({"sorbitan oleate": 4.3, "polysorbate 80": 15}, before, total=5)
    assert abs(pair.hlb - after.value) < pair.window


def test_lecithin_at_4_goes_64_to_36_with_polysorbate_80_for_hlb_8() -> None:
    # http://swiftcraftymonkey.blogspot.com/2013/02/question-how-to-use-lecithin-as.html
    lecithin, polysorbate = hlb.split_pair(4, 15, target=8)
    assert 100 * lecithin == printed("64")
    assert 100 * polysorbate == printed("36")


def test_lecithin_at_9_7_cannot_reach_8_with_polysorbate_80() -> None:
    # http://swiftcraftymonkey.blogspot.com/2013/02/question-how-to-use-lecithin-as.html
    with pytest.raises(hlb.UnreachableTarget, match=r"reach 9\.7 to 15\.0"):
        hlb.split_pair(9.7, 15, target=8)
