"""What a caller may ask of the solver, and what is said where it cannot be used."""

from __future__ import annotations

import math

import pytest

import hlbcore as hlb
from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.blending.coverage import Coverage
from hlbcore.blending.results import BLEND_COLUMNS
from hlbcore.errors import EmptyPhase
from hlbcore.estimate import Estimate

PAIR = {"low": 5.0, "high": 15.0}
THREE = {"low": 4.0, "middle": 9.0, "high": 15.0}


def test_one_emulsifier_is_enough_where_it_meets_the_target() -> None:
    blend = hlb.solve_blend({"only": 10.0}, 10.4, total=4)
    assert blend.masses == (4.0,)


def test_one_emulsifier_off_the_target_is_refused_with_its_reach_and_a_mend() -> None:
    with pytest.raises(
        hlb.UnreachableTarget,
        match=r"HLB 9 cannot be reached: these emulsifiers reach 5\.0 to 5\.0.*"
        r"Emulsifiers that would open the way: .*widen the window from ±1 to ±4\.",
    ):
        hlb.solve_blend({"only": 5.0}, 9)


def test_two_of_the_same_hlb_on_the_target_say_that_the_ratio_does_not_matter() -> None:
    blend = hlb.solve_blend({"a": 5.0, "b": 5.0}, 5)
    assert any("ratio does not matter" in f.title for f in blend.cautions)


def test_two_of_the_same_hlb_off_the_target_are_refused() -> None:
    with pytest.raises(hlb.UnreachableTarget, match=r"reach 5\.0 to 5\.0"):
        hlb.solve_blend({"a": 5.0, "b": 5.0}, 9)


def test_splitting_a_pair_of_the_same_hlb_is_refused() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"both have HLB 5.*take a second emulsifier"):
        hlb.split_pair(5, 5, target=5)


def test_no_emulsifier_is_refused() -> None:
    with pytest.raises(EmptyPhase, match=r"list of emulsifiers.*Name at least one"):
        hlb.solve_blend({}, 9)


def test_an_emulsifier_named_twice_is_refused() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"it is 'polysorbate 80' again.*Keep one"):
        hlb.solve_blend(["polysorbate 80", "Polysorbate-80"], 9)


def test_a_low_limit_above_the_high_limit_is_refused() -> None:
    with pytest.raises(
        hlb.InvalidInput, match=r"limit of 'low': the low end 3 lies above the high end 2\. Swap the two"
    ):
        hlb.solve_blend(PAIR, 10, limits={"low": (3, 2)})


def test_low_limits_above_the_total_are_refused_with_the_total_that_would_do() -> None:
    with pytest.raises(
        hlb.UnreachableTarget,
        match=r"limits contradict each other.*raise the total from 6 to 8 % of the formula",
    ) as caught:
        hlb.solve_blend(PAIR, 10, limits={"low": (4, None), "high": (4, None)})
    assert caught.value.reachable is None


def test_a_total_of_zero_is_refused() -> None:
    with pytest.raises(
        hlb.InvalidInput, match=r"total of the emulsifiers.*0 % of the formula is too small.*Enter"
    ):
        hlb.solve_blend(PAIR, 10, total=0)


def test_a_total_with_its_ends_swapped_is_refused() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"low end 6 lies above the high end 3\. Swap"):
        hlb.solve_blend(PAIR, 10, total=(6, 3))


def test_a_target_of_57_is_refused() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"target: 57 is out of range\. Enter 0 to 40"):
        hlb.solve_blend(PAIR, 57)


def test_shares_of_98_per_cent_are_refused() -> None:
    with pytest.raises(
        hlb.InvalidInput, match=r"shares add to 98 %, not 100 %\. 2 % is missing: mend a line"
    ):
        hlb.blend_hlb({"sorbitan oleate": 43, "polysorbate 80": 55}, shares=True)


@pytest.mark.parametrize("second", [39.5, 40.5])
def test_shares_half_a_per_cent_off_100_are_refused(second: float) -> None:
    with pytest.raises(hlb.InvalidInput, match=r"0\.5 % is"):
        hlb.blend_hlb({"sorbitan oleate": 60, "polysorbate 80": second}, shares=True)


def test_shares_that_rounding_leaves_a_little_off_100_are_taken() -> None:
    shares = {"sorbitan oleate": 33.33, "polysorbate 80": 33.33, "sorbitan stearate": 33.335}
    assert hlb.blend_hlb(shares, shares=True).value == pytest.approx((4.3 + 15 + 4.7) / 3, abs=1e-3)


def test_one_without_hlb_is_a_trace_up_to_a_fifth_of_the_emulsifiers() -> None:
    def blend(mass: float) -> hlb.Estimate:
        return hlb.blend_hlb({"emulsifying wax NF": mass, "polysorbate 80": 4})

    with pytest.raises(hlb.MissingValue, match="emulsifying wax NF"):
        blend(1.01)
    assert blend(1).low < 15


def test_cheapest_without_a_price_is_refused() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"price of 'high': it is missing.*Give its price per kg"):
        hlb.solve_blend(PAIR, 10, objective="cheapest", cost={"low": 3})


def test_a_price_of_zero_is_a_price() -> None:
    blend = hlb.solve_blend(PAIR, 10, objective="cheapest", cost={"low": 0, "high": 0})
    assert blend.cost_per_kg == 0


def test_least_change_without_a_start_is_refused() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"start: least change needs.*Give start="):
        hlb.solve_blend(PAIR, 10, objective="least change")


@pytest.mark.parametrize("amount", [1e3, 1e308])
def test_a_start_far_above_the_total_is_refused(amount: float) -> None:
    with pytest.raises(
        hlb.InvalidInput, match=r"start: .* more than 100 times above the total\. Give start in %"
    ):
        hlb.solve_blend(PAIR, 10, objective="least change", start={"low": amount})


def test_a_start_of_ninety_times_the_total_still_finds_the_nearest_blend() -> None:
    blend = hlb.solve_blend(THREE, 10, objective="least change", start={"low": 540, "high": 1})
    # total 6 and HLB 9, the nearest edge: 4 x + 15 (6 - x) = 54
    assert blend.masses == pytest.approx((36 / 11, 0, 30 / 11), abs=1e-6)


@pytest.mark.parametrize("where", ["limits", "cost", "start"])
def test_an_entry_for_an_emulsifier_that_is_not_in_the_blend_is_refused(where: str) -> None:
    given = {"limits": {"third": (0, 1)}, "cost": {"third": 1}, "start": {"third": 1}}[where]
    with pytest.raises(
        hlb.InvalidInput, match=r"'third': it is not among the emulsifiers.*Add it.*or delete it"
    ):
        hlb.solve_blend(PAIR, 10, objective="least change", **{"start": {}, where: given})


def test_an_unknown_objective_is_refused_with_the_choices() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"objective: 'best' is not one of the choices\. Use closest,"):
        hlb.solve_blend(PAIR, 10, objective="best")


def test_an_unknown_emulsifier_is_refused_with_close_names() -> None:
    with pytest.raises(hlb.UnknownIngredient, match=r"'polysorbat 80'.*'polysorbate 80'"):
        hlb.solve_blend(["sorbitan oleate", "polysorbat 80"], 10)


def test_an_oil_is_no_emulsifier() -> None:
    with pytest.raises(hlb.UnknownIngredient, match=r"'beeswax' is no emulsifier: it is an oil"):
        hlb.solve_blend(["beeswax", "polysorbate 80"], 10)


@pytest.mark.parametrize(("end", "place"), [("low end", 0), ("high end", 1)])
@pytest.mark.parametrize(
    ("value", "problem"),
    [
        (math.nan, "nan is not a finite number"),
        (math.inf, "inf is not a finite number"),
        (-1, "-1 % is negative"),
    ],
    ids=["nan", "infinite", "negative"],
)
def test_a_limit_that_is_no_amount_is_refused(end: str, place: int, value: float, problem: str) -> None:
    limit = (value, None) if place == 0 else (0, value)
    with pytest.raises(hlb.InvalidInput, match=rf"limit of 'low', {end}: {problem}\. Enter"):
        hlb.solve_blend(PAIR, 10, limits={"low": limit})


def test_a_high_limit_of_1e308_is_no_limit() -> None:
    free = hlb.solve_blend(PAIR, 10, total=3)
    assert hlb.solve_blend(PAIR, 10, total=3, limits={"low": (0, 1e308)}).masses == free.masses


@pytest.mark.parametrize("objective", ["closest", "least total", "fewest"])
def test_a_high_limit_of_1e308_is_no_limit_for_three(objective: str) -> None:
    free = hlb.solve_blend(THREE, 10, total=3, objective=objective)
    limits = {"low": (0, 1e308), "high": (0, 1e308)}
    held = hlb.solve_blend(THREE, 10, total=3, objective=objective, limits=limits)
    assert held.masses == pytest.approx(free.masses, abs=1e-9)


def test_a_low_limit_of_1e308_is_contradicted_by_the_total() -> None:
    with pytest.raises(hlb.UnreachableTarget, match="limits contradict each other"):
        hlb.solve_blend(PAIR, 10, limits={"low": (1e308, None)})


@pytest.mark.parametrize("value", [math.nan, -1], ids=["nan", "negative"])
@pytest.mark.parametrize(
    ("option", "item"),
    [("window", "window"), ("smallest", "smallest amount"), ("total", "total of the emulsifiers")],
)
def test_an_option_that_is_no_amount_is_refused(option: str, item: str, value: float) -> None:
    with pytest.raises(hlb.InvalidInput, match=rf"{item}.*Enter"):
        hlb.solve_blend(PAIR, 10, **{option: value})


@pytest.mark.parametrize("value", [math.nan, -1], ids=["nan", "negative"])
def test_a_price_that_is_no_amount_is_refused(value: float) -> None:
    with pytest.raises(hlb.InvalidInput, match=r"price of 'low'.*Enter"):
        hlb.solve_blend(PAIR, 10, objective="cheapest", cost={"low": value, "high": 1})


# what binds


def test_an_upper_limit_that_holds_is_named() -> None:
    blend = hlb.solve_blend(PAIR, 10, window=2, total=4, limits={"high": (0, 1.5)})
    assert "high at its upper limit 1.5 %" in blend.binding
    assert blend.amounts["high"] == pytest.approx(1.5, abs=1e-9)


def test_a_lower_limit_that_holds_is_named() -> None:
    blend = hlb.solve_blend(
        THREE, 9, total=4, limits={"low": (1, None)}, objective="least change", start={"middle": 4}
    )
    assert "low at its lower limit 1 %" in blend.binding


def test_the_edge_of_the_window_is_named() -> None:
    blend = hlb.solve_blend(PAIR, 10, total=4, objective="cheapest", cost={"low": 1, "high": 9})
    assert blend.binding == ("blend at the edge of the window",)
    assert blend.hlb == pytest.approx(9, abs=1e-9)


def test_the_low_end_of_the_total_is_named() -> None:
    blend = hlb.solve_blend(PAIR, 10, objective="cheapest", cost={"low": 1, "high": 1})
    assert "total at its low end 3 %" in blend.binding


def test_the_high_end_of_the_total_is_named() -> None:
    blend = hlb.solve_blend(PAIR, 10, total=(2, 5), limits={"low": (2.5, None)})
    assert sum(blend.masses) == pytest.approx(5, abs=1e-9)
    assert "total at its high end 5 %" in blend.binding


def test_the_smallest_amount_that_holds_is_named() -> None:
    blend = hlb.solve_blend(
        THREE,
        9,
        window=0.2,
        total=3,
        smallest=0.5,
        objective="cheapest",
        cost={"low": 9, "middle": 5, "high": 1},
    )
    assert blend.amounts["low"] == pytest.approx(0.5, abs=1e-9)
    assert "low at the smallest amount 0.5 %" in blend.binding


def test_a_group_limit_that_holds_is_named() -> None:
    group = hlb.Group("mine", high=1.0, members=("middle", "high"))
    blend = hlb.solve_blend(THREE, 7, window=1.5, total=4, groups=[group])
    assert "limit on mine" in blend.binding
    assert blend.amounts["middle"] + blend.amounts["high"] == pytest.approx(1, abs=1e-9)


# groups

NAMED = ["sorbitan stearate", "sorbitan oleate", "polysorbate 60", "polysorbate 80", "glyceryl stearate"]


@pytest.mark.parametrize(
    ("group", "members"),
    [
        ("solids", {"sorbitan stearate", "glyceryl stearate"}),
        ("PEG-based", {"polysorbate 60", "polysorbate 80"}),
        ("sorbitan ester", {"sorbitan stearate", "sorbitan oleate"}),
    ],
)
def test_a_group_of_the_tables_limits_its_members(group: str, members: set[str]) -> None:
    library = hlb.load_library()
    if group == "solids":
        members = {n for n in NAMED if library.emulsifier(n).form == "solid"}
        assert "sorbitan stearate" in members
    if group == "PEG-based":
        assert members == {n for n in NAMED if library.emulsifier(n).peg_based}
    free = hlb.solve_blend(
        NAMED, 6.5, total=5, window=2.5, objective="least change", start=dict.fromkeys(NAMED, 1.0)
    )
    assert sum(free.amounts[n] for n in members) > 1.5
    held = hlb.solve_blend(
        NAMED,
        6.5,
        total=5,
        window=2.5,
        objective="least change",
        start=dict.fromkeys(NAMED, 1.0),
        groups=[hlb.Group(group, high=1.5)],
    )
    assert sum(held.amounts[n] for n in members) == pytest.approx(1.5, abs=1e-9)
    assert f"limit on {group}" in held.binding


def test_a_group_of_own_members_is_limited_from_below() -> None:
    group = hlb.Group("mine", low=2.0, members=("middle",))
    blend = hlb.solve_blend(THREE, 9.5, total=3, groups=[group])
    assert blend.amounts["middle"] >= 2 - 1e-9


def test_a_group_without_members_in_the_blend_is_refused() -> None:
    with pytest.raises(
        hlb.InvalidInput, match=r"group 'glucoside': none of the emulsifiers.*name its members"
    ):
        hlb.solve_blend(NAMED, 9, groups=[hlb.Group("glucoside", high=1)])


def test_excluding_peg_based_leaves_none_of_them() -> None:
    blend = hlb.solve_blend(NAMED, 4.5, total=5, groups=[hlb.Group("PEG-based", high=0)])
    assert blend.amounts["polysorbate 60"] == blend.amounts["polysorbate 80"] == 0


def test_a_group_limit_in_the_way_is_named_as_the_relaxation() -> None:
    with pytest.raises(hlb.UnreachableTarget, match=r"relax the limit on PEG-based by|widen"):
        hlb.solve_blend(NAMED, 9, total=5, window=0.5, groups=[hlb.Group("PEG-based", high=0)])


# coverage


def test_the_coverage_floor_sets_the_least_total() -> None:
    wish = Coverage(oil_pct=20, droplet_um=2, excess_mg_m2={"low": 2.0, "high": 2.0})
    blend = hlb.solve_blend(PAIR, 10, total=(0.01, 6), objective="least total", coverage=wish, window=0.5)
    # 0.65574 % of the oil phase, see tests/published/test_food_emulsions_text.py
    assert sum(blend.masses) == pytest.approx(20 * 0.655738 / 100, abs=1e-6)
    assert "limit on coverage of the droplets" in blend.binding


def test_the_coverage_floor_is_off_unless_asked_for() -> None:
    blend = hlb.solve_blend(PAIR, 10, total=(0.01, 6), objective="least total", window=0.5)
    assert sum(blend.masses) == pytest.approx(0.01, abs=1e-9)


def test_coverage_without_a_figure_for_an_emulsifier_is_refused() -> None:
    wish = Coverage(oil_pct=20, droplet_um=2, excess_mg_m2={"low": 2.0})
    with pytest.raises(hlb.InvalidInput, match=r"coverage of 'high'.*Give its area per molecule"):
        hlb.solve_blend(PAIR, 10, coverage=wish)


# the tool's own choice


def test_the_tool_chooses_a_pair_on_both_sides_of_the_target_and_says_why() -> None:
    blend = hlb.solve_blend(None, 10.0)
    low, high = (hlb.load_library().emulsifier(n).hlb for n in blend.labels)
    assert low is not None
    assert high is not None
    assert low.value <= 10 < high.value
    assert "one below and one above HLB 10.0" in blend.reason
    assert blend.hlb == pytest.approx(10, abs=1e-9)


def test_a_choice_of_ones_own_has_no_reason_of_the_tool() -> None:
    assert hlb.solve_blend(PAIR, 10).reason == ""


def test_for_a_wash_off_scrub_one_hydrophilic_emulsifier_is_chosen_and_the_reason_says_so() -> None:
    choice = choose_emulsifiers(7.0, "wash-off scrub")
    (name,) = choice.names
    estimate = hlb.load_library().emulsifier(name).hlb
    assert estimate is not None
    assert estimate.value > 7 + 1
    assert "above the window on purpose" in choice.reason


def test_one_hydrophilic_emulsifier_in_a_scrub_is_never_outside() -> None:
    verdict = hlb.judge({"polysorbate 80": 8}, 7.0, "wash-off scrub", oil_pct=80)
    assert verdict.word == "no verdict: the rinse test decides"
    assert verdict.rule == "none"
    assert "above the window on purpose" in verdict.sentence
    assert not [f for f in verdict.findings if f.level == "stop"]
    assert verdict.beside is not None
    assert verdict.beside.blend.hlb == pytest.approx(7, abs=1e-9)


def test_no_emulsifier_is_chosen_where_none_is_called_for() -> None:
    with pytest.raises(EmptyPhase, match=r"list of emulsifiers.*None was chosen: There is no"):
        hlb.solve_blend(None, 7.0, product="whipped butter")


# what goes in and comes out


def test_labels_with_estimates_carry_their_ranges_into_the_result() -> None:
    blend = hlb.solve_blend({"a": Estimate(5, 4, 6), "b": Estimate(15, 14, 17)}, 10, total=4)
    assert (blend.estimate.low, blend.estimate.high) == pytest.approx((9.0, 11.5))


def test_a_required_hlb_as_target_brings_both_shares() -> None:
    required = hlb.required_hlb([(10, Estimate(7, 6, 8)), (7.5, Estimate(6, 5, 7)), (7.5, Estimate(8, 7, 9))])
    blend = hlb.solve_blend({"a": Estimate(4.3, 3.8, 4.8), "b": Estimate(15, 14.5, 15.5)}, required)
    assert blend.target == required.estimate
    assert 0 < blend.share_in_window < blend.share_in_window_independent <= 1


def test_the_table_has_the_columns_promised() -> None:
    table = hlb.solve_blend(PAIR, 10, total=4, cost={"low": 10}).table
    assert list(table.columns) == list(BLEND_COLUMNS)
    assert list(table["emulsifier"]) == ["low", "high"]
    assert table["pct_of_formula"].sum() == pytest.approx(4)
    assert table["pct_of_blend"].sum() == pytest.approx(100)
    assert table["cost_per_kg"].iloc[0] == pytest.approx(0.2)
    assert math.isnan(table["cost_per_kg"].iloc[1])


def test_the_tools_own_choice_for_a_scrub_stands_above_the_window_on_purpose() -> None:
    blend = hlb.solve_blend(None, 8.0, total=6, product="wash-off scrub")
    assert blend.labels == ("polysorbate 80",)
    assert blend.total == pytest.approx(6)
    assert blend.window == 1.0
