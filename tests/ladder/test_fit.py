"""The optimum of a ladder: verdicts, interval, bad input."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hlbcore as hlb
from hlbcore.ladder.verdicts import unexplained

NAN = math.nan
SEVEN = [7, 8, 9, 10, 11, 12, 13]
PEAK = [0.1, 2.2, 3.4, 4.1, 3.8, 2.9, 1.2]


# --- verdicts


@pytest.mark.parametrize(
    ("responses", "outcome", "words"),
    [
        pytest.param(PEAK, "clear optimum", "clear optimum at HLB 10", id="clear"),
        pytest.param([0, 1, 2, 2, 3, 4, 5], "edge", "edge: optimum at the upper", id="upper edge"),
        pytest.param([5, 4, 3, 2, 2, 1, 0], "edge", "extend the ladder to 4", id="lower edge"),
        pytest.param([0, 1, 1, 2, 3, 4, 5], "edge", "extend the ladder to 16", id="clean rise"),
        pytest.param([5, 5, 4, 5, 5, 5, 4], "all good", "flat: all good", id="good"),
        pytest.param([0, 1, 0, 1, 1, 0, 0], "too noisy", "scatter or two peaks", id="pass, fail, pass"),
        pytest.param([0, 0, 1, 1, 1, 0, 0.5], "all bad", "wrong family", id="bad"),
        pytest.param([3] * 7, "all alike", "no difference", id="alike"),
        pytest.param([2, 3, 2, 3, 3, 2, 3], "flat", "flat: no difference", id="one step of a score"),
        pytest.param([0, 0, 0, 5, 0, 0, 0], "one narrow good vial", "from 9 to 11", id="narrow"),
        pytest.param([5, 4, 1, 0, 1, 4, 5], "too noisy", "near 7 and near 13, poor at 10", id="two humps"),
        pytest.param([3, 2, 4, 3, 2, 3, 4], "flat", "flat", id="scatter"),
        pytest.param([2.0, 1.4, 2.6, 2.1, 2.9, 1.9, 2.4], "flat", "flat", id="noisy"),
    ],
)
def test_verdict_says_what_the_ladder_shows(responses: list[float], outcome: str, words: str) -> None:
    scale = (0, 5) if outcome in ("all bad", "all alike") else None
    fit = hlb.fit_trials(SEVEN, responses, scale=scale)
    assert fit.outcome == outcome
    assert words in fit.verdict
    assert fit.proposal is not None


@pytest.mark.parametrize("layers", [[40, 22, 12, 7, 4, 2, 1], [30, 20, 13, 8, 5, 3, 2]])
def test_layer_that_only_shrinks_is_an_edge_and_the_next_vials_lie_beyond(layers: list[float]) -> None:
    fit = hlb.fit_trials(SEVEN, layers, "lower")
    assert fit.outcome == "edge"
    assert (fit.optimum, fit.high, fit.estimate) == (None, None, None)
    assert fit.low is not None
    assert 10 < fit.low < 13
    assert fit.next_rungs == (12, 13, 14, 15, 16)
    assert hlb.fit_trials(SEVEN, layers[::-1], "lower").next_rungs == (4, 5, 6, 7, 8)


def test_there_is_no_optimum_where_the_ladder_shows_none() -> None:
    for responses in ([5] * 7, [0] * 7, [5, 4, 1, 0, 1, 4, 5], [1, 2, 3, 3, 4, 4, 5]):
        fit = hlb.fit_trials(SEVEN, responses)
        assert fit.optimum is None, responses
        assert fit.estimate is None, responses


def test_ladder_whose_scatter_hides_the_best_is_made_again_twice() -> None:
    fit = hlb.fit_trials(SEVEN, [1.0, 3.4, 1.9, 4.0, 2.2, 3.6, 2.9])
    assert fit.outcome in ("too noisy", "flat")
    assert fit.proposal is not None
    assert (fit.proposal.steps, fit.proposal.duplicates) == (7, 7)
    assert "twice" in fit.verdict


@pytest.mark.parametrize("rungs", [[8, 10, 12], [8, 9, 10, 11]])
def test_fewer_than_five_hlb_values_have_a_best_vial_but_no_interval(rungs: list[float]) -> None:
    fit = hlb.fit_trials(rungs, [1, 3, 2, 1][: len(rungs)])
    assert fit.outcome == "too few"
    assert (fit.optimum, fit.low, fit.high) == (None, None, None)
    assert len(fit.next_rungs) == 7
    assert np.median(fit.next_rungs) == rungs[1]


def test_hump_is_told_from_five_vials_on() -> None:
    assert hlb.fit_trials([6, 8, 10, 12, 14], [0, 3, 5, 3.2, 0.1]).outcome == "clear optimum"


def test_one_narrow_good_vial_asks_for_finer_vials_between_its_neighbours() -> None:
    fit = hlb.fit_trials(SEVEN, [0, 0, 0, 0, 5, 0, 0])
    assert (fit.optimum, fit.low, fit.high) == (None, 10, 12)
    assert fit.next_rungs == (10, 10.5, 11, 11.5, 12)
    assert hlb.fit_trials(SEVEN, [0, 0, 0, 0, 0, 0, 5]).outcome == "edge"


# --- never more precise than the ladder


@given(
    optimum=st.floats(8.5, 11.5),
    vials=st.integers(5, 11),
    seed=st.integers(0, 2**20),
    noise=st.sampled_from([0.0, 0.01, 0.1, 0.3]),
)
@settings(max_examples=25)
def test_interval_is_never_narrower_than_half_a_rung_each_side(
    optimum: float, vials: int, seed: int, noise: float
) -> None:
    rungs = np.linspace(7, 13, vials)
    scatter = noise * 9 * np.random.default_rng(seed).standard_normal(vials)
    fit = hlb.fit_trials(rungs, -((rungs - optimum) ** 2) + scatter)
    if fit.optimum is None:
        return
    half = 3 / (vials - 1)
    assert fit.outcome == "clear optimum"
    assert fit.half_rung == pytest.approx(half)
    assert fit.low is None or fit.low <= fit.optimum - half + 1e-9
    assert fit.high is None or fit.high >= fit.optimum + half - 1e-9


def test_optimum_has_one_decimal() -> None:
    rungs = np.linspace(6, 14, 17)
    fit = hlb.fit_trials(rungs, np.exp(-0.5 * ((rungs - 10.185) / 1.2) ** 2))
    assert fit.optimum == 10.2
    assert fit.low is not None
    assert fit.high is not None
    assert (fit.low, fit.high) == (round(fit.low, 1), round(fit.high, 1))


def test_pass_and_fail_give_a_band_half_a_rung_wider_than_what_passed() -> None:
    fit = hlb.fit_trials(SEVEN, [False, False, True, True, True, False, False])
    assert fit.outcome == "band"
    assert (fit.optimum, fit.low, fit.high) == (None, 8.5, 11.5)
    assert fit.estimate == hlb.Estimate(10.0, 8.5, 11.5)


def test_band_up_to_the_end_of_the_ladder_is_open() -> None:
    fit = hlb.fit_trials(SEVEN, [0, 0, 0, 0, 1, 1, 1])
    assert (fit.outcome, fit.low, fit.high) == ("edge", 10.5, None)


def test_yes_no_separated_is_read_with_lower_as_better() -> None:
    fit = hlb.fit_trials(SEVEN, [True, True, False, False, True, True, True], "lower")
    assert (fit.low, fit.high) == (8.5, 10.5)


def test_pass_and_fail_at_several_times_is_judged_where_vials_differ_last() -> None:
    # vials differ at 1 h and at 1 d; at 1 w none passes
    table = [[0, 0, 0], [1, 0, 0], [1, 1, 0], [1, 1, 0], [1, 0, 0], [0, 0, 0]]
    fit = hlb.fit_trials([7, 8, 9, 10, 11, 12], table, times=["1 h", "1 d", "1 w"])
    assert (fit.low, fit.high) == (8.5, 10.5)
    assert any("Judged at 1 d" in f.detail for f in fit.findings)


def test_pass_and_fail_that_alternate_in_duplicates_are_two_peaks() -> None:
    rungs = [7, 7, 8, 8, 9, 9, 10, 10]
    assert hlb.fit_trials(rungs, [1, 1, 0, 0, 1, 1, 0, 0]).outcome == "two peaks"
    assert hlb.fit_trials(rungs[::2], [1, 0, 1, 0]).outcome == "too noisy"


def test_vials_as_good_as_could_be_read_share_the_interval() -> None:
    typed = hlb.fit_trials(SEVEN, [3, 4, ">7", ">7", ">7", 3, 2])
    given = hlb.fit_trials(SEVEN, [3, 4, 7, 7, 7, 3, 2], limits=[0, 0, 1, 1, 1, 0, 0])
    assert (typed.low, typed.high) == (given.low, given.high)
    assert typed.low is not None
    assert typed.high is not None
    assert typed.low <= 9
    assert typed.high >= 11
    titles = [f.title for f in typed.findings]
    assert "Several vials are as good as could be read" in titles
    assert any("only a limit" in t for t in titles)


def test_scatter_of_scores_is_never_believed_less_than_rounding_makes_it() -> None:
    shape = [0, 1, 2, 3, 2, 1, 0]
    scores = hlb.fit_trials(SEVEN, shape).computed
    numbers = hlb.fit_trials(SEVEN, [10.01 * s for s in shape]).computed
    assert scores is not None
    assert numbers is not None
    assert scores[2] - scores[0] > numbers[2] - numbers[0]


# --- shapes


def test_six_vials_are_provisional() -> None:
    fit = hlb.fit_trials([8, 9, 10, 11, 12, 13], [0, 2, 4, 4.2, 2, 0.2])
    assert fit.provisional
    assert any(f.title == "Provisional" for f in fit.findings)
    assert not hlb.fit_trials(SEVEN, PEAK).provisional


@pytest.mark.parametrize(("left", "right"), [(2.6, 0.9), (0.9, 2.6), (1.5, 1.5), (0.8, 0.8)])
def test_hump_with_unlike_flanks_is_covered(left: float, right: float) -> None:
    rungs = np.linspace(6, 14, 9)
    away = rungs - 10.4
    fit = hlb.fit_trials(rungs, np.exp(-0.5 * (away / np.where(away < 0, left, right)) ** 2))
    assert fit.outcome == "clear optimum"
    assert fit.low is not None
    assert fit.high is not None
    assert fit.low <= 10.4 <= fit.high
    assert fit.optimum == pytest.approx(10.4, abs=0.6)
    assert fit.model is not None
    assert ("unlike" in fit.model) == (left != right)


@given(shift=st.floats(-5, 5), scale=st.floats(0.01, 100), order=st.permutations(list(range(7))))
@settings(max_examples=10)
def test_optimum_does_not_depend_on_unit_level_order_or_sign(
    shift: float, scale: float, order: list[int]
) -> None:
    plain = hlb.fit_trials(SEVEN, PEAK)
    moved = hlb.fit_trials([SEVEN[n] for n in order], [-scale * (PEAK[n] + shift) for n in order], "lower")
    assert moved.computed == pytest.approx(plain.computed, abs=1e-3)


# --- several times


def test_common_factor_between_times_changes_nothing() -> None:
    one = hlb.fit_trials(SEVEN, PEAK)
    rows = [[p, 3 + 2 * p] for p in PEAK]
    both = hlb.fit_trials(SEVEN, rows)
    assert (both.optimum, both.low, both.high) == (one.optimum, one.low, one.high)


def test_time_at_which_nothing_differs_yet_changes_nothing() -> None:
    one = hlb.fit_trials(SEVEN, PEAK)
    both = hlb.fit_trials(SEVEN, [[5.0, p] for p in PEAK])
    assert (both.optimum, both.low, both.high) == (one.optimum, one.low, one.high)


def width(fit: hlb.TrialFit) -> float:
    assert fit.computed is not None
    return fit.computed[2] - fit.computed[0]


def test_independent_times_narrow_the_interval() -> None:
    rng = np.random.default_rng(3)
    rungs = np.linspace(7, 13, 9)
    table = 5 - 0.3 * (rungs[:, None] - 10.2) ** 2 + 0.6 * rng.standard_normal((9, 6))
    assert width(hlb.fit_trials(rungs, table)) < 0.8 * width(hlb.fit_trials(rungs, table[:, :1]))


def test_missing_readings_are_left_out() -> None:
    table = [[p, 1 + p] for p in PEAK]
    table[2][1], table[5][0] = NAN, NAN
    fit = hlb.fit_trials(SEVEN, table)
    assert fit.optimum == hlb.fit_trials(SEVEN, PEAK).optimum


def test_vial_that_broke_is_left_out_and_it_is_said() -> None:
    fit = hlb.fit_trials(SEVEN, [*PEAK[:3], None, *PEAK[4:]])
    assert len(fit.hlb) == 6
    assert any(f.title == "Vials without a reading" for f in fit.findings)


def test_best_vial_that_moves_with_time_is_said() -> None:
    table = [[0, 1], [2, 2], [5, 3], [4, 4], [3, 5], [2, 6], [0, 2]]
    fit = hlb.fit_trials(SEVEN, table, times=["1 h", "1 w"])
    (finding,) = [f for f in fit.findings if f.title == "The best vial moves with time"]
    assert finding.detail == "HLB 9 at 1 h, 12 at 1 w."


# --- duplicates, weighing, two peaks


def test_duplicates_narrow_the_interval() -> None:
    rng = np.random.default_rng(5)
    rungs = np.repeat(np.linspace(7, 13, 7), 3)
    values = 5 - 0.4 * (rungs - 10) ** 2 + 0.7 * rng.standard_normal(21)
    one, three = hlb.fit_trials(rungs[::3], values[::3]), hlb.fit_trials(rungs, values)
    assert width(three) < width(one)
    assert three.half_rung == 0.5


def test_duplicates_weighed_a_little_apart_are_one_rung() -> None:
    rungs = [7.0, 7.02, 8.0, 8.03, 9.0, 9.01, 10.0, 9.98, 11.0, 11.04]
    fit = hlb.fit_trials(rungs, [1, 1.2, 3, 3.3, 4, 4.1, 3, 3.2, 1, 0.8])
    assert fit.half_rung == pytest.approx(0.5, abs=0.02)


def test_doubt_of_weighing_widens_the_interval() -> None:
    assert width(hlb.fit_trials(SEVEN, PEAK, hlb_sd=0.5)) > 1.2 * width(hlb.fit_trials(SEVEN, PEAK))


def test_doubt_of_weighing_counts_on_the_flanks_and_not_at_the_top() -> None:
    hump = np.exp(-0.5 * ((np.array(SEVEN) - 10) / 1.5) ** 2)
    plain = width(hlb.fit_trials(SEVEN, hump))
    top, flank = (
        width(hlb.fit_trials(SEVEN, hump, hlb_sd=[0.5 * (n == k) for n in range(7)])) for k in (3, 1)
    )
    assert top == pytest.approx(plain, rel=0.05)
    assert flank > 1.1 * plain


def test_weight_zero_leaves_a_vial_out() -> None:
    spoilt = [*PEAK[:3], -40.0, *PEAK[4:]]
    out = hlb.fit_trials(SEVEN, spoilt, weights=[1, 1, 1, 0, 1, 1, 1])
    assert out.optimum == hlb.fit_trials(SEVEN, [*PEAK[:3], NAN, *PEAK[4:]]).optimum


def test_single_peaked_courses_of_any_shape_leave_nothing_unexplained() -> None:
    assert unexplained(np.array([0.0, 0.0, 5.0, 4.9, 1.0])) == pytest.approx(0, abs=1e-12)
    assert unexplained(np.array([5.0, 1, 0, 1, 5])) > 0.6


def test_dip_within_the_scatter_of_duplicates_is_no_second_peak() -> None:
    rungs = np.repeat([8.0, 9, 10, 11, 12], 2)
    noisy = [1, 5, 5, 1, 2, 2, 5, 2, 1, 4]
    assert hlb.fit_trials(rungs, noisy).outcome != "two peaks"
    sure = hlb.fit_trials(rungs, [5, 5.1, 1, 1.1, 0, 0.2, 1, 1.1, 5, 4.9])
    assert sure.outcome == "two peaks"
    assert "near 8 and near 12, poor at 10" in sure.verdict


# --- several ladders


def hump(rungs: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    return np.exp(-0.5 * ((rungs - 10.2) / 1.5) ** 2) + 0.1 * rng.standard_normal(len(rungs))


def test_ladders_are_read_together_whatever_their_level_and_height() -> None:
    rng = np.random.default_rng(2)
    first, second = np.linspace(7, 13, 7), np.linspace(8.2, 12.2, 5)
    a, b = hump(first, rng), hump(second, rng)
    one = hlb.fit_trials(first, a)
    both = hlb.fit_ladders([(first, a), (second, b)])
    moved = hlb.fit_ladders([(first, a), (second, b + 0.4)])
    assert both.low is not None
    assert both.high is not None
    assert width(both) < width(one)
    assert both.low <= 10.2 <= both.high
    assert moved.computed == pytest.approx(both.computed, abs=1e-6)
    assert any("2 ladders are read together" in f.title for f in both.findings)
    assert set(both.curve["time"]) == {"ladder 1, time 1", "ladder 2, time 1"}
    assert len(both.points) == 12


def test_ladder_beyond_an_edge_finds_the_top() -> None:
    rungs = np.linspace(7, 13, 7)
    first = [0.0, 0.4, 1.1, 1.9, 3.1, 4.0, 4.6]
    beyond = hlb.fit_trials(rungs, first).next_rungs
    then = [4.1, 4.7, 4.4, 3.2, 1.5]
    both = hlb.fit_ladders([(rungs, first), (beyond, then)])
    assert both.optimum == pytest.approx(13.2, abs=0.5)


def test_no_ladder_at_all_is_refused() -> None:
    with pytest.raises(hlb.InvalidInput, match="ladders: there is none"):
        hlb.fit_ladders([])


def test_pass_and_fail_of_several_ladders_is_refused() -> None:
    one = (SEVEN, [False, False, True, True, True, False, False])
    with pytest.raises(hlb.InvalidInput, match="Read each by itself"):
        hlb.fit_ladders([one, one])
    with pytest.raises(hlb.InvalidInput, match="Read all in one way"):
        hlb.fit_ladders([one, (SEVEN, PEAK)])


# --- the tables as a prior


def test_tables_pull_the_second_interval_and_never_the_first() -> None:
    fit = hlb.fit_trials(SEVEN, PEAK)
    before = (fit.optimum, fit.low, fit.high)
    low, same = fit.with_tables(hlb.Estimate(8, 7, 9)), fit.with_tables(hlb.Estimate(fit.optimum, 9, 11))
    assert low is not None
    assert same is not None
    assert fit.optimum is not None
    assert low.value < fit.optimum
    assert same.value == pytest.approx(fit.optimum, abs=0.1)
    assert (fit.optimum, fit.low, fit.high) == before
    assert hlb.fit_trials(SEVEN, [1, 2, 3, 3, 4, 4, 5]).with_tables(hlb.Estimate(8, 7, 9)) is None


# --- the next ladder


def test_next_vials_of_a_clear_optimum_stand_on_both_flanks() -> None:
    fit = hlb.fit_trials(SEVEN, PEAK)
    assert fit.optimum is not None
    assert fit.proposal is not None
    assert fit.proposal.kind == "flanks"
    assert len(fit.next_rungs) == 5
    assert min(fit.next_rungs) <= fit.optimum - 1
    assert max(fit.next_rungs) >= fit.optimum + 1
    assert sum(f.title == "Where the next vials tell most" for f in fit.findings) == 1


def test_next_vials_narrow_the_interval_more_than_vials_at_the_optimum() -> None:
    rng = np.random.default_rng(9)
    rungs = np.array(SEVEN, dtype=float)
    widths: dict[str, list[float]] = {"proposed": [], "at the optimum": []}
    for _ in range(12):
        first = hump(rungs, rng)
        fit = hlb.fit_trials(rungs, first)
        if fit.optimum is None:
            continue
        for name, new in (
            ("proposed", np.array(fit.next_rungs)),
            ("at the optimum", fit.optimum + np.array([-0.2, -0.1, 0, 0.1, 0.2])),
        ):
            widths[name].append(width(hlb.fit_ladders([(rungs, first), (new, hump(new, rng))])))
    assert len(widths["proposed"]) > 6
    assert np.median(widths["proposed"]) < np.median(widths["at the optimum"])


def test_next_vials_stay_on_the_scale() -> None:
    assert hlb.fit_trials([1, 2, 3, 4, 5], [5, 4, 3, 2, 1]).next_rungs == (0, 0.5, 1, 1.5, 2)


# --- tables


def test_curve_has_a_column_set_and_one_course_a_model_and_time() -> None:
    fit = hlb.fit_trials(SEVEN, [[p, 2 * p] for p in PEAK], times=["1 h", "1 d"])
    assert list(fit.curve.columns) == ["hlb", "model", "time", "response"]
    assert set(fit.curve["model"]) == {fit.model}
    assert set(fit.curve["time"]) == {"1 h", "1 d"}
    day = fit.curve[(fit.curve["time"] == "1 d") & (fit.curve["model"] == fit.model)]
    top = day.loc[day["response"].idxmax()]
    assert top["hlb"] == pytest.approx(fit.optimum, abs=0.4)
    assert top["response"] == pytest.approx(2 * max(PEAK), abs=1)


def test_curve_is_drawn_in_the_unit_read_where_lower_is_better() -> None:
    fit = hlb.fit_trials(SEVEN, [10, 6, 2, 1, 1.5, 5, 9], "lower")
    assert fit.curve.loc[fit.curve["response"].idxmin(), "hlb"] == pytest.approx(10, abs=0.3)
    assert fit.points["response"].tolist() == [10, 6, 2, 1, 1.5, 5, 9]


def test_curve_of_a_verdict_without_fit_is_empty() -> None:
    assert hlb.fit_trials(SEVEN, [5] * 7).curve.empty


# --- bad input


@pytest.mark.parametrize(
    ("hlb_values", "responses", "message"),
    [
        pytest.param([9, 10], [1, 2], r"only 2 different HLB values.*at least 5 vials", id="two"),
        pytest.param([9] * 5, [1, 2, 3, 4, 5], "only 1 different HLB value has", id="one HLB"),
        pytest.param(SEVEN, [NAN] * 7, "only 0 different HLB values", id="all missing"),
        pytest.param(SEVEN, ["", None, NAN, "nan", "", "-", None], "only 0", id="all blank"),
        pytest.param([], [], "readings: 0 vials", id="nothing"),
        pytest.param(SEVEN, [1, 2, math.inf, 3, 4, 5, 6], "vial 3, reading 1: inf", id="infinite"),
        pytest.param(SEVEN, [1, 2, 1e308, 3, 4, 5, 6], "vial 3, reading 1", id="1e308"),
        pytest.param([7, 8, NAN, 10, 11, 12, 13], PEAK, "HLB of the vials, vial 3", id="NaN HLB"),
        pytest.param([7, 8, -9, 10, 11, 12, 13], PEAK, "vial 3: -9 is negative", id="negative"),
        pytest.param(SEVEN, PEAK[:5], "7 vials, but 5 rows", id="lengths"),
        pytest.param(SEVEN, [[1, 2]] * 3, "Give a row for each vial", id="turned round"),
        pytest.param(SEVEN, [[1, 2]] * 6 + [[1]], "1 or 2 readings", id="ragged"),
        pytest.param(SEVEN, ["<b>"] * 7, "vial 1, reading 1", id="HTML"),
        pytest.param(SEVEN, 5, "readings", id="a number alone"),
    ],
)
def test_bad_input_is_named_with_its_mend(
    hlb_values: list[float], responses: list[float], message: str
) -> None:
    with pytest.raises(hlb.InvalidInput, match=message):
        hlb.fit_trials(hlb_values, responses)


def test_score_outside_the_scale_is_refused() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"6 is outside the scale 0 to 5\. Mend"):
        hlb.fit_trials(SEVEN, [0, 1, 2, 6, 3, 2, 1], scale=(0, 5))


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"better": "more"}, "better: 'more' is not one"),
        ({"times": ["1 h", "2 h"]}, "2 names for 1 columns"),
        ({"scale": (5, 5)}, "both ends are alike"),
        ({"hlb_sd": -1}, "HLB uncertainty, vial 1: -1 is negative"),
        ({"weights": [1, 2]}, "weight: 2 numbers for 7 vials"),
        ({"limits": [[0, 1]] * 7}, "limits"),
    ],
)
def test_options_that_cannot_be_used_are_named(options: dict[str, object], message: str) -> None:
    with pytest.raises(hlb.InvalidInput, match=message):
        hlb.fit_trials(SEVEN, PEAK, **options)  # type: ignore[arg-type]


def test_decimal_commas_are_read() -> None:
    fit = hlb.fit_trials(SEVEN, [str(p).replace(".", ",") for p in PEAK])
    assert fit.optimum == hlb.fit_trials(SEVEN, PEAK).optimum


@given(
    rows=st.lists(
        st.tuples(
            st.floats(0, 40, allow_nan=False),
            st.one_of(st.none(), st.booleans(), st.floats(-1e6, 1e6), st.integers(0, 5)),
        ),
        max_size=12,
    ),
    better=st.sampled_from(["higher", "lower"]),
)
@settings(max_examples=60)
def test_any_ladder_gives_a_verdict_or_a_named_error(rows: list[tuple[float, float]], better: str) -> None:
    try:
        fit = hlb.fit_trials([h for h, _ in rows], [r for _, r in rows], better)
    except hlb.InvalidInput:
        return
    assert fit.verdict
    assert all(0 <= r <= 40 for r in fit.next_rungs)
    if fit.low is not None and fit.high is not None:
        assert fit.low <= fit.high
        if fit.optimum is not None:
            assert fit.low <= fit.optimum <= fit.high
    assert np.isfinite(fit.curve["response"]).all()
