"""Required HLB of an ingredient without one, from mixtures with it."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hlbcore as hlb
from hlbcore import Estimate
from hlbcore.ladder.back_out import TrialMixture, back_out_mixtures

EXACT = Estimate.exactly


def test_known_20_at_7_and_unknown_10_with_optimum_8_give_10() -> None:
    # common practice, no source; a plain number as optimum is no better than 0.5 each way
    found = hlb.back_out_required_hlb(8, [(20, 7)], 10)
    assert (found.value, found.low, found.high) == pytest.approx((10, 8.5, 11.5))
    assert found.grade == "own"


def test_range_grows_with_one_over_the_share() -> None:
    for share in (0.1, 0.25, 0.5, 1.0):
        found = hlb.back_out_required_hlb(8, [(1 - share, 8)] if share < 1 else {}, share)
        assert found.spread == pytest.approx(1.0 / share)


def test_range_of_the_known_comes_through() -> None:
    found = hlb.back_out_required_hlb(EXACT(8), [(20, Estimate(7, 6, 7.5))], 10)
    assert (found.low, found.value, found.high) == pytest.approx((9, 10, 12))


def test_known_ingredients_are_looked_up() -> None:
    known = hlb.required_hlb({"soybean oil": 20})
    found = hlb.back_out_required_hlb(EXACT(8), {"soybean oil": 20}, 10)
    assert found.value == pytest.approx((8 * 30 - known.value * 20) / 10)


def test_own_values_of_known_ingredients_are_taken() -> None:
    found = hlb.back_out_required_hlb(EXACT(8), {"soybean oil": 20}, 10, values={"soybean oil": 7})
    assert (found.low, found.value, found.high) == pytest.approx((10, 10, 10))


def test_grams_and_ounces_go_together() -> None:
    found = hlb.back_out_required_hlb(EXACT(8), {"soybean oil": "2 oz"}, "1 oz", values={"soybean oil": 7})
    assert found.value == pytest.approx(10)


def test_fit_of_a_ladder_is_taken_with_its_interval() -> None:
    fit = hlb.fit_trials([6, 7, 8, 9, 10], [0, 3, 4, 3, 0])
    found = hlb.back_out_required_hlb(fit, [(20, 7)], 10)
    assert fit.optimum == 8
    assert fit.low is not None
    assert fit.high is not None
    assert fit.low <= 7.5
    assert fit.high >= 8.5
    by_hand = (3 * fit.low - 2 * 7, 10, 3 * fit.high - 2 * 7)
    assert (found.low, found.value, found.high) == pytest.approx(by_hand)


def test_ladder_without_an_optimum_is_refused() -> None:
    fit = hlb.fit_trials([6, 7, 8, 9, 10], [1, 2, 3, 4, 5])
    with pytest.raises(hlb.InvalidInput, match=r"the ladder has none .*extend.*Finish the ladder"):
        hlb.back_out_required_hlb(fit, [(20, 7)], 10)


@given(unknown=st.floats(2, 18), share=st.floats(0.05, 1), known=st.floats(2, 18), mass=st.floats(0.1, 1000))
@settings(max_examples=60)
def test_mixing_and_backing_out_are_inverse(unknown: float, share: float, known: float, mass: float) -> None:
    phase = [(mass * (1 - share), known)] if share < 1 else []
    measured = hlb.required_hlb([*phase, (mass * share, unknown)]).value
    found = hlb.back_out_required_hlb(EXACT(measured), phase, mass * share)
    assert found.value == pytest.approx(unknown, abs=1e-6)


# --- several mixtures


def test_mixtures_that_agree_narrow_the_range_of_the_ladder() -> None:
    mixes = [TrialMixture(Estimate(8, 7.5, 8.5), [(2, EXACT(7))], {"x": 1}) for _ in range(4)]
    found = back_out_mixtures(mixes).estimates["x"]
    assert found.value == pytest.approx(10)
    assert found.spread == pytest.approx(3 / math.sqrt(4))


def test_known_ingredients_in_all_mixtures_keep_their_doubt() -> None:
    mixes = [TrialMixture(EXACT(8), {"soybean oil": 2}, {"x": 1}, name=f"m{n}") for n in range(4)]
    found = back_out_mixtures(mixes, values={"soybean oil": Estimate(7, 6, 8)})
    assert found.estimates["x"].spread == pytest.approx(4)


def test_two_unknown_ingredients_are_told_apart_by_two_mixtures() -> None:
    mixes = [TrialMixture(EXACT(9), [], {"x": 1, "y": 1}), TrialMixture(EXACT(8), [], {"x": 3, "y": 1})]
    found = back_out_mixtures(mixes).estimates
    assert (found["x"].value, found["y"].value) == pytest.approx((7, 11))


def test_least_squares_weighs_each_ladder_by_its_range() -> None:
    sharp = TrialMixture(Estimate(10, 9.5, 10.5), [], {"x": 1})
    blunt = TrialMixture(Estimate(13, 11.5, 14.5), [], {"x": 1})
    # weights 9 to 1
    found = back_out_mixtures([sharp, blunt]).estimates["x"]
    assert found.value == pytest.approx(10.3)


def test_what_dominates_the_doubt_is_named_with_its_share() -> None:
    mix = TrialMixture(Estimate(8, 7.5, 8.5), {"soybean oil": 10, "shea butter": 10}, {"x": 10})
    wide = {"soybean oil": EXACT(7), "shea butter": Estimate(8, 5, 11)}
    found = back_out_mixtures([mix], values=wide)
    first = found.doubts().iloc[0]
    # variance goes with the square of the range: 3 against 3 x 0.5
    assert first["of"] == "shea butter"
    assert first["share_pct"] == pytest.approx(100 * 9 / (9 + 2.25))
    assert found.doubts()["share_pct"].sum() == pytest.approx(100)
    assert any("most of the doubt comes from shea butter" in f.title for f in found.findings)


def test_share_below_30_per_cent_advises_a_ladder_on_the_oil_itself() -> None:
    def advised(share: float) -> bool:
        mix = TrialMixture(8, [(1 - share, 8)], {"murumuru butter": share})
        found = back_out_mixtures([mix]).findings
        return any("at a high share" in f.mend for f in found)

    assert advised(0.25)
    assert not advised(0.35)


def test_mixture_that_does_not_agree_is_named() -> None:
    mixes = [
        TrialMixture(10, [], {"x": 1}, name="first"),
        TrialMixture(10.2, [], {"x": 1}, name="second"),
        TrialMixture(14, [], {"x": 1}, name="third"),
    ]
    found = back_out_mixtures(mixes).findings
    assert any(f.title == "third does not agree with the others" for f in found)


# --- bad input


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        pytest.param((2, [(20, 12)], 1), "outside 0 to 40", id="negative result"),
        pytest.param((8, [(20, 7)], 0), "mass of the unknown ingredient: 0 is too small", id="0"),
        pytest.param((8, [(20, 7)], math.nan), "nan is not a finite", id="NaN mass"),
        pytest.param((41, [(20, 7)], 1), "measured optimum", id="HLB 41"),
        pytest.param((math.inf, [(20, 7)], 1), "measured optimum", id="inf"),
        pytest.param((8, [(20, 7)], "<b>"), "not a number", id="HTML"),
    ],
)
def test_bad_input_is_named(arguments: tuple[float, list[tuple[float, float]], float], message: str) -> None:
    with pytest.raises(hlb.InvalidInput, match=message):
        hlb.back_out_required_hlb(*arguments)


@pytest.mark.parametrize(
    ("mixtures", "message"),
    [
        ([], "mixtures: there is none"),
        ([TrialMixture(8, [(20, 7)], {})], "no unknown ingredient is named"),
        ([TrialMixture(8, [], {"x": 1, "y": 1})], "cannot tell 2 unknown ingredients apart"),
        ([TrialMixture(8, [], {"x": 1, "y": 1})] * 2, "cannot tell 2 unknown ingredients apart"),
        ([TrialMixture(8, {"soybean oil": 1}, {"Soybean Oil": 1})], "among the known and the"),
    ],
)
def test_mixtures_that_cannot_be_used_are_named(mixtures: list[TrialMixture], message: str) -> None:
    with pytest.raises(hlb.InvalidInput, match=message):
        back_out_mixtures(mixtures)
