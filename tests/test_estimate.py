from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad

from hlbcore import Estimate, InvalidInput, Reading
from hlbcore.errors import EmptyPhase
from hlbcore.estimate import DEFINED_FLOOR, EMULSIFIER_FLOOR, REQUIRED_HLB_FLOOR, Mixture, as_estimate
from hlbcore.readings import LONE_FLOOR
from hlbcore.shares import share_in_window, share_in_window_independent, share_text


def readings(*rows: tuple[float, str]) -> list[Reading]:
    return [Reading(v, g, f"source_{n}") for n, (v, g) in enumerate(rows)]


def made(*rows: tuple[float, str], floor: float = 1.0) -> Estimate:
    return Estimate.from_readings(readings(*rows), floor=floor)


# figures as lists print them: to 0.01
HLB = st.integers(0, 4000).map(lambda n: n / 100)
ESTIMATES = st.tuples(HLB, HLB, HLB).map(lambda t: Estimate(sorted(t)[1], min(t), max(t)))
WIDTHS = st.integers(0, 500).map(lambda n: n / 100)


def test_value_is_the_median_of_the_best_grade() -> None:
    assert made((7, "published"), (6, "published"), (8, "published"), (5.5, "craft")).value == 7


def test_a_figure_between_two_that_no_source_prints_is_never_the_value() -> None:
    # 6 and 7 are equally firm: the one nearer to the median of all roots is taken
    assert made((7, "published"), (6, "published"), (8, "memory")).value == 7
    assert made((7, "published"), (6, "published"), (5, "memory")).value == 6


@pytest.mark.parametrize(
    "pair", [("measured", "craft"), ("published", "craft"), ("craft", "memory")], ids="-".join
)
def test_firmer_grade_leads(pair: tuple[str, str]) -> None:
    better, worse = pair
    found = made((6, better), (7, worse), (8, worse))
    assert (found.value, found.grade) == (6, better)


def test_readings_more_than_three_apart_get_no_silent_median() -> None:
    found = made((5, "published"), (12, "published"), (13, "craft"))
    assert found.alternatives == (5, 13)


def test_roots_exactly_three_apart_are_no_dispute() -> None:
    found = made((5, "published"), (8, "published"))
    assert (found.value, found.alternatives) == (5, ())


def test_disputed_figure_starts_at_the_most_primary_root() -> None:
    # votes of lists do not lead: the median of all would be 11
    found = made((5, "published"), (10, "craft"), (11, "craft"), (12, "craft"), (13, "memory"))
    assert (found.value, found.grade) == (5, "published")


def test_dispute_among_hand_outs_alone_has_no_start_and_is_weak() -> None:
    found = made((5, "craft"), (13, "craft"))
    assert (found.value, found.low, found.high, found.weak) == (9, 5, 13, True)
    assert found.alternatives == (5, 13)


def test_disputed_figure_of_an_even_count_is_still_a_reading() -> None:
    assert made((5, "published"), (12, "published")).value in (5, 12)


@pytest.mark.parametrize(
    ("floor", "low", "high"),
    [(REQUIRED_HLB_FLOOR, 7.0, 9.0), (DEFINED_FLOOR, 7.5, 8.5)],
    ids=["required HLB", "defined by the maker"],
)
def test_range_is_never_narrower_than_the_floor(floor: float, low: float, high: float) -> None:
    found = made((8, "published"), (8, "craft"), floor=floor)
    assert (found.low, found.high) == (low, high)


def test_floors_are_1_and_half_of_it_where_the_maker_defined_the_figure() -> None:
    assert (REQUIRED_HLB_FLOOR, EMULSIFIER_FLOOR, DEFINED_FLOOR, LONE_FLOOR) == (1.0, 1.0, 0.5, 1.5)


def test_two_independent_ladders_narrow_the_floor_to_a_half() -> None:
    found = made((8, "measured"), (8, "measured"))
    assert (found.low, found.high) == (7.5, 8.5)


def test_one_ladder_beside_a_handbook_does_not_narrow_the_floor() -> None:
    assert made((8, "measured"), (8, "published")).low == 7


@pytest.mark.parametrize("other", [(), ((8, "craft"),), ((8, "memory"),)], ids=["alone", "craft", "memory"])
def test_one_ladder_alone_is_wide(other: tuple[tuple[float, str], ...]) -> None:
    found = made((8, "measured"), *other)
    assert (found.low, found.high) == (6.5, 9.5)


def test_one_ladder_has_one_vote_beside_the_handbooks() -> None:
    assert made((5, "measured"), (7, "published"), (7.5, "published")).value == 7


def test_two_ladders_lead_over_the_handbooks() -> None:
    assert made((5, "measured"), (5.5, "measured"), (7, "published"), (7, "published")).value in (5, 5.5)


def test_two_readings_of_one_source_are_one_ladder() -> None:
    rows = [Reading(8, "measured", "same"), Reading(8, "measured", "same")]
    assert Estimate.from_readings(rows, floor=1.0).low == 6.5


def test_two_ladders_never_widen_a_floor_that_is_narrower() -> None:
    assert made((8, "measured"), (8, "measured"), floor=0.2).low == 7.8


def test_own_figure_leads_over_all_others() -> None:
    found = made((9, "own"), (6, "measured"), (7, "published"))
    assert (found.value, found.grade, found.low, found.high) == (9, "own", 8.5, 9.5)


def test_own_figure_far_from_the_tables_is_no_dispute() -> None:
    assert made((15, "own"), (6, "published")).alternatives == ()


def test_range_spans_the_roots_of_the_two_best_grades() -> None:
    found = made((8, "published"), (6.5, "memory"), (9.4, "craft"))
    assert (found.low, found.high) == (7, 9.4)


def test_lesser_readings_outside_are_also_printed_and_do_not_widen() -> None:
    found = made((8, "published"), (6.5, "memory"), (9.4, "craft"))
    assert found.also_printed == ((6.5, "source_1"),)


def test_range_spans_what_a_source_prints() -> None:
    rows = [Reading(8, "published", "a", low=5.0, high=11.0)]
    found = Estimate.from_readings(rows, floor=1.0)
    assert (found.low, found.high) == (5, 11)


@pytest.mark.parametrize(("value", "low", "high"), [(0.4, 0.0, 1.4), (39.8, 38.8, 40.0)])
def test_range_stays_on_the_scale(value: float, low: float, high: float) -> None:
    found = made((value, "published"))
    assert (found.low, found.high) == pytest.approx((low, high))


def test_sources_are_all_named_once_the_firmest_first() -> None:
    rows = [Reading(8, "craft", "c"), Reading(8, "published", "b"), Reading(8.2, "published", "b")]
    assert Estimate.from_readings(rows, floor=1.0).sources == ("b", "c")


def test_no_reading_gives_no_figure() -> None:
    with pytest.raises(EmptyPhase, match="Give at least one reading"):
        Estimate.from_readings([], floor=1.0)


@given(
    st.lists(
        st.tuples(HLB, st.sampled_from(["measured", "published", "craft", "memory"])), min_size=1, max_size=8
    ),
    st.randoms(),
)
def test_order_of_readings_does_not_matter(rows: list[tuple[float, str]], rng: object) -> None:
    held = readings(*rows)
    mixed = list(held)
    rng.shuffle(mixed)  # type: ignore[attr-defined]
    assert Estimate.from_readings(mixed, floor=1.0) == Estimate.from_readings(held, floor=1.0)


@given(
    st.lists(
        st.tuples(HLB, st.sampled_from(["measured", "published", "craft", "memory"])), min_size=1, max_size=8
    )
)
def test_every_reading_lies_inside_the_range_or_is_also_printed(rows: list[tuple[float, str]]) -> None:
    found = made(*rows)
    outside = [v for v, _ in rows if not found.low <= v <= found.high]
    assert sorted(outside) == [v for v, _ in found.also_printed]


@given(
    st.lists(
        st.tuples(HLB, st.sampled_from(["measured", "published", "craft", "memory"])), min_size=1, max_size=8
    )
)
def test_the_value_is_printed_by_a_source_unless_it_is_called_weak(rows: list[tuple[float, str]]) -> None:
    found = made(*rows)
    assert found.weak or found.value in {v for v, _ in rows}


def test_value_outside_its_range_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"estimate 5 \(6 to 7\): the value lies outside .* rising"):
        Estimate(5, 6, 7)


@pytest.mark.parametrize("value", [-0.1, 40.1, math.nan, math.inf])
def test_figure_off_the_scale_is_refused(value: float) -> None:
    with pytest.raises(InvalidInput, match="estimate, low: "):
        Estimate.exactly(value)


def test_estimate_cannot_be_changed() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        Estimate(8, 7, 9).value = 8.5  # type: ignore[misc]


def test_choice_of_another_reading_keeps_range_and_alternatives() -> None:
    found = made((5, "published"), (12, "published"), (13, "craft"))
    chosen = found.choose(5)
    assert (chosen.value, chosen.low, chosen.high) == (5, found.low, found.high)
    assert chosen.alternatives == (5, 13)


def test_choice_outside_the_range_is_refused() -> None:
    with pytest.raises(InvalidInput, match="outside its range"):
        Estimate(8, 7, 9).choose(10)


def test_text_shows_range_roots_and_dispute() -> None:
    text = repr(made((5, "published"), (12, "published"), (13, "craft")))
    assert text == "12.0 (5.0 to 13.0; 3 independent roots (3 pages); readings disagree: 5.0 and 13.0)"


def test_weak_figure_says_that_nobody_prints_it() -> None:
    assert "weak: the middle of the range, no source prints it" in repr(made((5, "craft"), (13, "craft")))


def test_support_counts_roots_before_pages() -> None:
    rows = [Reading(8, "craft", page, root="list") for page in "abc"] + [Reading(8, "published", "d")]
    assert Estimate.from_readings(rows, floor=1.0).support == "2 independent roots (4 pages)"
    assert Estimate.from_readings(rows[:1], floor=1.0).support == "1 root (1 page)"


def test_number_typed_is_exact() -> None:
    assert as_estimate("10,5", "x") == Estimate(10.5, 10.5, 10.5)


def density(e: Estimate) -> Callable[[float], float]:
    return lambda x: 0.5 / (e.value - e.low) if x < e.value else 0.5 / (e.high - e.value)


def integral(f: Callable[[float], float], e: Estimate) -> float:
    return float(quad(f, e.low, e.value)[0] + quad(f, e.value, e.high)[0])


SHAPES = pytest.mark.parametrize(
    "e", [Estimate(8, 7, 9), Estimate(8, 7.5, 13), Estimate(20, 3, 21)], ids=["even", "skew up", "skew down"]
)


@SHAPES
def test_mean_agrees_with_numeric_integration(e: Estimate) -> None:
    assert e.mean == pytest.approx(integral(lambda x: x * density(e)(x), e))


@SHAPES
def test_variance_agrees_with_numeric_integration(e: Estimate) -> None:
    spread = integral(lambda x: (x - e.mean) ** 2 * density(e)(x), e)
    assert e.variance == pytest.approx(spread)
    assert e.sd == pytest.approx(math.sqrt(spread))


def test_exact_figure_has_no_spread() -> None:
    e = Estimate.exactly(8)
    assert (e.mean, e.variance, e.spread) == (8, 0, 0)


@given(ESTIMATES)
def test_variance_is_never_negative(e: Estimate) -> None:
    assert e.variance >= 0


def below(e: Estimate, x: float) -> float:
    """Share of the estimate's spread up to x, written without the closed form."""
    if x < e.low:
        return 0.0
    if x >= e.high:
        return 1.0
    if x < e.value:
        return 0.5 * (x - e.low) / (e.value - e.low)
    return 0.5 + 0.5 * (x - e.value) / (e.high - e.value)


def share_by_integration(target: Estimate, blend: Estimate, w: float) -> float:
    """Mean over the target of the share of the blend inside its window; the blend has a width."""
    total = 0.0
    for a, b in ((target.low, target.value), (target.value, target.high)):
        if a == b:
            total += 0.5 * (below(blend, a + w) - below(blend, a - w))
            continue
        bends = sorted({k + s * w for k in (blend.low, blend.value, blend.high) for s in (-1, 1)})
        inner = [x for x in bends if a < x < b]
        ends = [a, *inner, b]
        for left, right in pairwise(ends):
            part, _ = quad(lambda r: below(blend, r + w) - below(blend, r - w), left, right)
            total += 0.5 * part / (b - a)
    return total


@pytest.mark.parametrize(
    ("target", "blend", "w"),
    [
        (Estimate(10, 9, 11), Estimate(10, 9.5, 10.5), 1.0),
        (Estimate(8, 7, 13), Estimate(9, 8.5, 9.2), 1.0),
        (Estimate(8, 2, 8.5), Estimate(7, 3, 15), 0.3),
        (Estimate(10, 9, 11), Estimate(13, 12, 14), 1.5),
        (Estimate(10, 10, 11), Estimate(10, 9.5, 10), 0.7),
        (Estimate.exactly(10), Estimate(10, 9, 13), 1.0),
        (Estimate(10, 9, 11), Estimate(20, 19, 21), 1.0),
        (Estimate(10, 5, 15), Estimate(10, 5, 15), 40.0),
    ],
    ids=["even", "skew", "opposed skews", "edge", "one-sided", "exact target", "far", "all"],
)
def test_share_agrees_with_numeric_integration(target: Estimate, blend: Estimate, w: float) -> None:
    assert share_in_window(target, blend, w) == pytest.approx(
        share_by_integration(target, blend, w), abs=1e-7
    )


@settings(max_examples=60)
@given(ESTIMATES, ESTIMATES, WIDTHS)
def test_share_agrees_with_numeric_integration_everywhere(
    target: Estimate, blend: Estimate, w: float
) -> None:
    assume(blend.low < blend.value < blend.high)
    assert share_in_window(target, blend, w) == pytest.approx(
        share_by_integration(target, blend, w), abs=1e-6
    )


def test_exact_target_and_exact_blend_are_inside_or_outside() -> None:
    ten = Estimate.exactly(10)
    assert share_in_window(ten, Estimate.exactly(10.9), 1.0) == 1.0
    assert share_in_window(ten, Estimate.exactly(11.1), 1.0) == 0.0


def test_edge_of_the_window_counts_as_inside() -> None:
    assert share_in_window(Estimate.exactly(10), Estimate.exactly(10.3), 0.3) == 1.0


def test_window_without_width_holds_nothing_of_a_spread() -> None:
    assert share_in_window(Estimate(10, 9, 11), Estimate.exactly(10), 0.0) == 0.0


@given(ESTIMATES, ESTIMATES, WIDTHS)
def test_share_is_between_0_and_1(target: Estimate, blend: Estimate, w: float) -> None:
    assert 0 <= share_in_window(target, blend, w) <= 1


@given(ESTIMATES, ESTIMATES, WIDTHS, WIDTHS)
def test_wider_window_never_holds_less(target: Estimate, blend: Estimate, w: float, more: float) -> None:
    assert share_in_window(target, blend, w + more) >= share_in_window(target, blend, w) - 1e-7


@given(ESTIMATES, ESTIMATES, WIDTHS)
def test_target_and_blend_may_change_places(target: Estimate, blend: Estimate, w: float) -> None:
    there, back = share_in_window(target, blend, w), share_in_window(blend, target, w)
    assert there == pytest.approx(back, abs=1e-7)


@pytest.mark.parametrize("w", [-1.0, math.nan, math.inf])
def test_window_must_be_a_width(w: float) -> None:
    with pytest.raises(InvalidInput, match=r"^window: "):
        share_in_window(Estimate.exactly(10), Estimate.exactly(10), w)


def alone(e: Estimate) -> Mixture:
    return Mixture((1.0,), (e,))


@given(ESTIMATES, ESTIMATES, WIDTHS)
def test_independent_share_is_the_closed_form_for_one_oil_and_one_emulsifier(
    target: Estimate, blend: Estimate, w: float
) -> None:
    found = share_in_window_independent(alone(target), alone(blend), w)
    assert found == pytest.approx(share_in_window(target, blend, w), abs=1e-7)


def test_independent_share_of_two_doubtful_oils_against_integration() -> None:
    # half of one oil less the rest is as one oil against a blend: |U/2 + V/2 - 10| <= w
    u, v, w = Estimate(8, 6, 9), Estimate(12, 11, 15), 0.8
    found = share_in_window_independent(Mixture((0.5, 0.5), (u, v)), alone(Estimate.exactly(10)), w)
    mirrored = Estimate(20 - v.value, 20 - v.high, 20 - v.low)
    assert found == pytest.approx(share_by_integration(u, mirrored, 2 * w), abs=1e-7)


def test_independent_share_of_three_parts_against_integration() -> None:
    u, v, blend, w = Estimate(8, 6, 9), Estimate(12, 11, 15), Estimate(10, 9, 10.5), 0.8

    def inside(x: float) -> float:
        # share of V with |x/2 + V/2 - h| <= w, as a mean over the blend h
        shift = Estimate((x + v.value) / 2, (x + v.low) / 2, (x + v.high) / 2)
        return share_by_integration(shift, blend, w)

    expected = 0.0
    for a, b in ((u.low, u.value), (u.value, u.high)):
        expected += 0.5 * quad(inside, a, b, limit=200, epsabs=1e-7)[0] / (b - a)
    found = share_in_window_independent(Mixture((0.5, 0.5), (u, v)), alone(blend), w)
    assert found == pytest.approx(expected, abs=1e-5)


def test_independent_doubts_narrow_a_mixture() -> None:
    parts = tuple(Estimate(10, 8, 12) for _ in range(4))
    mixture = Mixture((0.25,) * 4, parts)
    ten = Estimate.exactly(10)
    together = share_in_window(mixture.total, ten, 1.0)
    assert share_in_window_independent(mixture, alone(ten), 1.0) > together


@pytest.mark.parametrize(("share", "pct"), [(0.0, 0), (0.52, 50), (0.53, 55), (1.0, 100)])
def test_share_is_said_to_the_nearest_5_per_cent(share: float, pct: int) -> None:
    assert share_text(share) == f"about {pct} % of the sources' spread lies inside the window"


MIXTURES = st.lists(st.tuples(st.integers(1, 1000), ESTIMATES), min_size=1, max_size=6)


@given(MIXTURES)
def test_mixture_lies_inside_the_range_of_its_parts(rows: list[tuple[int, Estimate]]) -> None:
    total = Mixture.by_mass([m for m, _ in rows], [e for _, e in rows]).total
    assert min(e.low for _, e in rows) <= total.low <= total.value
    assert total.value <= total.high <= max(e.high for _, e in rows)


@given(MIXTURES, st.floats(-6, 6))
def test_scale_of_masses_does_not_matter(rows: list[tuple[int, Estimate]], power: float) -> None:
    parts = [e for _, e in rows]
    plain = Mixture.by_mass([m for m, _ in rows], parts).total
    scaled = Mixture.by_mass([m * 10**power for m, _ in rows], parts).total
    assert (scaled.low, scaled.value, scaled.high) == pytest.approx((plain.low, plain.value, plain.high))


@given(MIXTURES)
def test_order_of_parts_does_not_matter(rows: list[tuple[int, Estimate]]) -> None:
    there = Mixture.by_mass([m for m, _ in rows], [e for _, e in rows]).total
    back = Mixture.by_mass([m for m, _ in rows[::-1]], [e for _, e in rows[::-1]]).total
    assert (back.low, back.value, back.high) == pytest.approx((there.low, there.value, there.high))


def test_ends_of_a_mixture_are_the_sums_of_the_ends() -> None:
    total = Mixture.by_mass([1, 3], [Estimate(4, 3, 6), Estimate(8, 7, 12)]).total
    assert (total.low, total.value, total.high) == (6.0, 7.0, 10.5)


def test_mixture_has_the_weakest_grade_of_its_parts() -> None:
    parts = [made((4, "measured")), made((8, "craft"))]
    assert Mixture.by_mass([1, 1], parts).total.grade == "craft"


def test_part_without_mass_does_not_touch_the_mixture() -> None:
    parts = [Estimate(4, 3, 5, ("a",)), Estimate(8, 7, 9, ("b",), "memory")]
    assert Mixture.by_mass([1, 0], parts).total == Estimate(4, 3, 5, ("a",))


def test_largest_numbers_do_not_overflow_a_mixture() -> None:
    parts = [Estimate.exactly(4), Estimate.exactly(8)]
    assert Mixture.by_mass([1e308, 1e308], parts).total.value == 6


@pytest.mark.parametrize("masses", [[], [0.0, 0.0]])
def test_mixture_of_nothing_is_refused(masses: list[float]) -> None:
    with pytest.raises(EmptyPhase, match="at least one amount above 0"):
        Mixture.by_mass(masses, [Estimate.exactly(4)] * len(masses))


def test_independent_sd_adds_variances() -> None:
    e = Estimate(10, 9, 11)
    mixture = Mixture((0.5, 0.5), (e, e))
    assert mixture.sd_independent == pytest.approx(e.sd / math.sqrt(2))


def test_an_estimate_that_went_through_a_file_is_the_same() -> None:
    found = made((5, "published"), (12, "craft"), (3, "memory"))
    back = json.loads(json.dumps(dataclasses.asdict(found)))
    assert Estimate(**back) == found
