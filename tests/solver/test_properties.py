"""What holds for every blend problem, whatever the numbers."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from independent import Asked, reach

import hlbcore as hlb

OBJECTIVES = ("closest", "most tolerant", "cheapest", "least total", "fewest", "least change")
some = settings(max_examples=12)


def tenths(low: int, high: int) -> st.SearchStrategy[float]:
    return st.integers(low, high).map(lambda n: n / 10)


@st.composite
def problems(draw: st.DrawFn, *, smallest: bool = False) -> Asked:
    names = list("abcde")[: draw(st.integers(2, 5))]
    figures = draw(st.lists(tenths(10, 190), min_size=len(names), max_size=len(names), unique=True))
    emulsifiers = {}
    for name, value in zip(names, figures, strict=True):
        emulsifiers[name] = hlb.Estimate(value, value - draw(tenths(0, 10)), value + draw(tenths(0, 10)))
    total = draw(tenths(10, 60))
    limits: dict[str, tuple[float, float | None]] = {}
    for name in names:
        if draw(st.booleans()):
            low = draw(tenths(0, 8))
            limits[name] = (low, draw(st.none() | tenths(1, 50).map(lambda v, low=low: low + v)))
    groups = ()
    if draw(st.booleans()):
        members = tuple(draw(st.lists(st.sampled_from(names), min_size=1, unique=True)))
        groups = (hlb.Group("own", high=draw(tenths(5, 50)), members=members),)
    # between the emulsifiers: most targets outside have no blend, and are tested elsewhere
    target = draw(tenths(round(10 * min(figures)), round(10 * max(figures))))
    return Asked(
        emulsifiers,
        hlb.Estimate(target, target - draw(tenths(0, 10)), target + draw(tenths(0, 10))),
        draw(tenths(1, 15)),
        (total, total + draw(st.just(0.0) | tenths(5, 30))),
        limits,
        groups,
        draw(tenths(1, 10)) if smallest else 0.0,
        {n: draw(tenths(20, 400)) for n in names},
        {n: draw(tenths(0, 40)) for n in names},
    )


def solved(asked: Asked, objective: str) -> hlb.Blend:
    return hlb.solve_blend(
        asked.emulsifiers,
        asked.target,
        objective=objective,
        cost=asked.cost,
        start=asked.start,
        **asked.arguments(),
    )


def solved_or_dropped(asked: Asked, objective: str) -> hlb.Blend:
    """The blend; a problem without one is no example of the rule and is drawn again."""
    try:
        return solved(asked, objective)
    except hlb.UnreachableTarget:
        assume(False)
        raise


def worth(blend: hlb.Blend, asked: Asked, objective: str) -> float:
    """The value of the objective, smaller is better."""
    if objective == "closest":
        return abs(blend.hlb - blend.target.value)
    if objective == "most tolerant":
        return -blend.margin
    if objective == "cheapest":
        assert blend.cost_per_kg is not None
        return blend.cost_per_kg
    if objective == "least total":
        return sum(blend.masses)
    if objective == "fewest":
        return sum(m > 0 for m in blend.masses)
    return sum((m - asked.start[n]) ** 2 for n, m in zip(blend.labels, blend.masses, strict=True))


@pytest.mark.parametrize("objective", OBJECTIVES)
@given(asked=problems())
@some
def test_limits_are_never_broken_and_nothing_is_negative(objective: str, asked: Asked) -> None:
    blend = solved_or_dropped(asked, objective)
    for name, mass in zip(blend.labels, blend.masses, strict=True):
        low, high = asked.limits.get(name, (0.0, None))
        assert mass >= 0
        assert mass >= low - 1e-9
        assert high is None or mass <= high + 1e-9
    for group in asked.groups:
        assert group.high is not None
        held = sum(m for n, m in zip(blend.labels, blend.masses, strict=True) if n in group.members)
        assert held <= group.high + 1e-9
    assert abs(blend.hlb - asked.target.value) <= asked.window + 1e-9


@pytest.mark.parametrize("objective", OBJECTIVES)
@given(asked=problems())
@some
def test_the_total_stays_inside_its_range(objective: str, asked: Asked) -> None:
    total = sum(solved_or_dropped(asked, objective).masses)
    assert asked.total[0] - 1e-9 <= total <= asked.total[1] + 1e-9


@pytest.mark.parametrize("objective", OBJECTIVES)
@given(asked=problems())
@some
def test_a_single_total_is_kept_as_the_sum(objective: str, asked: Asked) -> None:
    fixed = replace(asked, total=(asked.total[0], asked.total[0]))
    assert abs(sum(solved_or_dropped(fixed, objective).masses) - fixed.total[0]) <= 1e-9


@pytest.mark.parametrize("objective", OBJECTIVES)
@given(asked=problems(smallest=True))
@some
def test_what_is_used_is_at_least_the_smallest_amount(objective: str, asked: Asked) -> None:
    for mass in solved_or_dropped(asked, objective).masses:
        assert mass == 0 or mass >= asked.smallest - 1e-9


def scaled(asked: Asked, factor: float) -> Asked:
    return replace(
        asked,
        total=(asked.total[0] * factor, asked.total[1] * factor),
        limits={
            n: (low * factor, None if high is None else high * factor)
            for n, (low, high) in asked.limits.items()
        },
        groups=tuple(
            replace(g, low=g.low * factor, high=None if g.high is None else g.high * factor)
            for g in asked.groups
        ),
        smallest=asked.smallest * factor,
        start={n: v * factor for n, v in asked.start.items()},
    )


POWERS = {"closest": 0, "most tolerant": 0, "cheapest": 1, "least total": 1, "fewest": 0, "least change": 2}


@pytest.mark.parametrize("objective", OBJECTIVES)
@given(asked=problems(), exponent=st.integers(-6, 1))
@some
def test_the_scale_of_the_masses_does_not_matter(objective: str, asked: Asked, exponent: int) -> None:
    factor = 10.0**exponent
    other = scaled(asked, factor)
    small = solved_or_dropped(asked, objective)
    large = solved(other, objective)
    expected = worth(small, asked, objective) * factor ** POWERS[objective]
    absolute = 1e-7 * factor ** POWERS[objective]
    assert worth(large, other, objective) == pytest.approx(expected, rel=1e-6, abs=absolute)


@pytest.mark.parametrize("objective", OBJECTIVES)
@given(data=st.data(), asked=problems())
@some
def test_the_order_of_the_emulsifiers_does_not_matter(
    objective: str, data: st.DataObject, asked: Asked
) -> None:
    order = data.draw(st.permutations(list(asked.emulsifiers)))
    other = replace(asked, emulsifiers={n: asked.emulsifiers[n] for n in order})
    first = solved_or_dropped(asked, objective)
    again = solved(other, objective)
    assert worth(again, other, objective) == pytest.approx(worth(first, asked, objective), rel=1e-6, abs=1e-7)


@pytest.mark.parametrize("objective", [o for o in OBJECTIVES if o != "closest"])
@given(asked=problems())
@some
def test_closest_is_never_further_from_the_target_than_another_objective(
    objective: str, asked: Asked
) -> None:
    other = solved_or_dropped(asked, objective)
    nearest = solved(asked, "closest")
    assert worth(nearest, asked, "closest") <= worth(other, asked, "closest") + 1e-9


@given(
    figures=st.lists(tenths(0, 400), min_size=2, max_size=2, unique=True),
    shares=st.lists(st.floats(0, 1), min_size=2, max_size=2),
)
@some
def test_the_share_of_the_hydrophilic_one_rises_with_the_target(
    figures: list[float], shares: list[float]
) -> None:
    low, high = sorted(figures)
    targets = [min(max(low + s * (high - low), low), high) for s in sorted(shares)]
    first, second = (hlb.split_pair(high, low, target=t)[0] for t in targets)
    assert first <= second


@given(
    figures=st.lists(tenths(0, 400), min_size=2, max_size=2, unique=True),
    share=st.floats(0, 1),
    total=tenths(1, 300),
)
@some
def test_a_pair_is_split_by_alligation(figures: list[float], share: float, total: float) -> None:
    low, high = sorted(figures)
    target = min(max(low + share * (high - low), low), high)
    fraction = (target - low) / (high - low)
    masses = hlb.solve_blend({"low": low, "high": high}, target, total=total).masses
    assert masses[1] / total == pytest.approx(fraction, rel=0, abs=1e-12)
    assert masses[0] / total == pytest.approx(1 - fraction, rel=0, abs=1e-12)
    assert hlb.split_pair(low, high, target=target) == pytest.approx(
        (1 - fraction, fraction), rel=0, abs=1e-12
    )


@given(asked=problems())
@some
def test_a_target_is_unreachable_exactly_where_the_corners_do_not_reach_its_window(asked: Asked) -> None:
    intervals = reach(asked)
    gap = min(
        (max(0.0, low - asked.target.value, asked.target.value - high) for low, high in intervals),
        default=float("inf"),
    )
    assume(abs(gap - asked.window) > 1e-6)
    if gap < asked.window:
        assert abs(solved(asked, "closest").hlb - asked.target.value) == pytest.approx(gap, abs=1e-7)
        return
    with pytest.raises(hlb.UnreachableTarget) as caught:
        solved(asked, "closest")
    if intervals:
        assert caught.value.reachable == pytest.approx(intervals[0], abs=1e-6)
    else:
        assert caught.value.reachable is None


NUMBER = r"(\d+(?:\.\d+)?)"


def relaxed(asked: Asked, sentences: tuple[str, ...]) -> Asked:
    """The problem after doing what the sentences say."""
    for sentence in sentences:
        if found := re.fullmatch(rf"widen the window from ±.* to ±{NUMBER}", sentence):
            asked = replace(asked, window=float(found[1]))
        elif found := re.fullmatch(
            rf"(lower|raise) the total from .* to {NUMBER} % of the formula", sentence
        ):
            low, high = asked.total
            to = float(found[2])
            asked = replace(asked, total=(to, high) if found[1] == "lower" else (low, to))
        elif found := re.fullmatch(rf"relax the limit on own by {NUMBER} %", sentence):
            (group,) = asked.groups
            assert group.high is not None
            asked = replace(asked, groups=(replace(group, high=group.high + float(found[1])),))
        elif found := re.fullmatch(rf"reduce the lower limit of (\w) from .* to {NUMBER} %", sentence):
            _, high = asked.limits[found[1]]
            asked = replace(asked, limits={**asked.limits, found[1]: (float(found[2]), high)})
        elif found := re.fullmatch(rf"raise the upper limit of (\w) from .* to {NUMBER} %", sentence):
            low, _ = asked.limits[found[1]]
            asked = replace(asked, limits={**asked.limits, found[1]: (low, float(found[2]))})
        else:
            raise AssertionError(f"cannot be followed: {sentence}")
    return asked


@given(asked=problems())
@settings(max_examples=50)
def test_the_relaxation_named_makes_it_possible(asked: Asked) -> None:
    sentences: tuple[str, ...] = ()
    try:
        solved(asked, "closest")
        assume(False)
    except hlb.UnreachableTarget as error:
        sentences = error.relaxation
    assert sentences
    assert sum(solved(relaxed(asked, sentences), "closest").masses) > 0
