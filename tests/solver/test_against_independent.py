"""Each objective against a formulation of its own, on random problems, feasible and not.

Compared are feasibility and the value of the objective, not the amounts, which may be tied.
"""

from __future__ import annotations

import itertools
import os
from dataclasses import replace

import numpy as np
import pulp
import pytest
from independent import Asked, least_gap, least_linear, least_square, polytopes, random_problem
from scipy.optimize import linprog

import hlbcore as hlb

BLOCK = int(os.environ.get("SOLVER_BLOCK", "30"))
"""Problems of a block; more of them on request."""

PLAIN = [pytest.param(1000 * n, id=f"block {n}") for n in range(8)]
WITH_SMALLEST = [pytest.param(100_000 + 1000 * n, id=f"smallest, block {n}") for n in range(2)]
EDGE = 1e-6  # a problem nearer than this to being infeasible is decided by rounding


def solved(asked: Asked, objective: str) -> hlb.Blend | None:
    more: dict[str, object] = {}
    if objective == "cheapest":
        more["cost"] = asked.cost
    if objective == "least change":
        more["start"] = asked.start
    try:
        return hlb.solve_blend(
            asked.emulsifiers, asked.target, objective=objective, **asked.arguments(), **more
        )
    except hlb.UnreachableTarget:
        return None


def problems(block: int, sizes: tuple[int, ...], *, smallest: bool) -> list[Asked]:
    return [random_problem(block + k, sizes=sizes, smallest=smallest) for k in range(BLOCK)]


def is_smallest(block: int) -> bool:
    return block >= 100_000


@pytest.mark.parametrize("block", PLAIN + WITH_SMALLEST)
def test_closest_meets_the_reach_of_the_corners(block: int) -> None:
    small = is_smallest(block)
    for asked in problems(block, (2, 3, 4) if small else (2, 3, 4, 5, 6), smallest=small):
        gap = least_gap(asked)
        blend = solved(asked, "closest")
        assert (blend is not None) == (gap <= asked.window), asked
        if blend is not None:
            assert abs(blend.hlb - asked.target.value) == pytest.approx(gap, abs=1e-7), asked


@pytest.mark.parametrize("block", PLAIN + WITH_SMALLEST)
def test_cheapest_meets_the_cheapest_corner(block: int) -> None:
    small = is_smallest(block)
    for asked in problems(block, (2, 3, 4) if small else (2, 3, 4, 5, 6), smallest=small):
        least = least_linear(asked, asked.prices) / 100
        blend = solved(asked, "cheapest")
        assert (blend is not None) == np.isfinite(least), asked
        if blend is not None:
            assert blend.cost_per_kg == pytest.approx(least, rel=1e-7), asked


@pytest.mark.parametrize("block", PLAIN + WITH_SMALLEST)
def test_least_total_meets_the_smallest_corner(block: int) -> None:
    small = is_smallest(block)
    for asked in problems(block, (2, 3, 4) if small else (2, 3, 4, 5, 6), smallest=small):
        least = least_linear(asked, np.ones(len(asked.emulsifiers)))
        blend = solved(asked, "least total")
        assert (blend is not None) == np.isfinite(least), asked
        if blend is not None:
            assert sum(blend.masses) == pytest.approx(least, rel=1e-7), asked


@pytest.mark.parametrize("block", PLAIN + WITH_SMALLEST)
def test_least_change_meets_the_nearest_point_of_every_face(block: int) -> None:
    small = is_smallest(block)
    for asked in problems(block, (2, 3) if small else (2, 3, 4), smallest=small):
        least = least_square(asked)
        blend = solved(asked, "least change")
        assert (blend is not None) == np.isfinite(least), asked
        if blend is not None:
            moved = float(np.sum((np.array(blend.masses) - asked.first) ** 2))
            assert moved == pytest.approx(least, rel=1e-6, abs=1e-9), asked


def margin_reached(asked: Asked, margin: float) -> bool:
    """Whether a blend of at least this margin exists: linear in the amounts, margin held fixed."""
    high = np.array([e.high for e in asked.emulsifiers.values()])
    low = np.array([e.low for e in asked.emulsifiers.values()])
    for a, b, _ in polytopes(asked, window=True):
        rows = np.vstack(
            [
                a,
                high - asked.target.low - asked.window + margin,
                asked.target.high - low - asked.window + margin,
            ]
        )
        ends = np.append(b, [0.0, 0.0])
        free = [(None, None)] * len(high)
        if linprog(np.zeros(len(high)), A_ub=rows, b_ub=ends, bounds=free).status == 0:
            return True
    return False


@pytest.mark.parametrize("block", PLAIN)
def test_most_tolerant_meets_a_bisection_over_the_margin(block: int) -> None:
    for asked in problems(block, (2, 3, 4, 5, 6), smallest=False):
        feasible = margin_reached(asked, -100.0)
        blend = solved(asked, "most tolerant")
        assert (blend is not None) == feasible, asked
        if blend is None:
            continue
        assert margin_reached(asked, blend.margin - EDGE), asked
        assert not margin_reached(asked, blend.margin + 10 * EDGE), asked


@pytest.mark.parametrize("block", WITH_SMALLEST)
def test_most_tolerant_with_a_smallest_amount_meets_the_same_bisection(block: int) -> None:
    for asked in problems(block, (2, 3, 4), smallest=True):
        blend = solved(asked, "most tolerant")
        assert (blend is not None) == margin_reached(asked, -100.0), asked
        if blend is not None:
            assert margin_reached(asked, blend.margin - EDGE), asked
            assert not margin_reached(asked, blend.margin + 10 * EDGE), asked


def fewest_of_all(asked: Asked) -> float:
    """Size of the smallest set of emulsifiers that makes a blend; every set is tried."""
    n = len(asked.emulsifiers)
    low = np.array([asked.limits.get(name, (0.0, None))[0] for name in asked.emulsifiers])
    if asked.smallest > 0:
        sizes = [
            used
            for a, b, used in polytopes(asked, window=True)
            if linprog(np.zeros(n), A_ub=a, b_ub=b, bounds=[(None, None)] * n).status == 0
        ]
        return min(sizes, default=np.inf)
    (a, b, _), *_ = [*polytopes(asked, window=True), (None, None, 0)]
    if a is None:
        return np.inf
    for size in range(1, n + 1):
        for chosen in itertools.combinations(range(n), size):
            rest = [i for i in range(n) if i not in chosen]
            if np.any(low[rest] > 0):
                continue
            bounds = [(0, None) if i in chosen else (0, 0) for i in range(n)]
            if linprog(np.zeros(n), A_ub=a, b_ub=b, bounds=bounds).status == 0:
                return size
    return np.inf


@pytest.mark.parametrize("block", PLAIN + WITH_SMALLEST)
def test_fewest_meets_brute_force_over_the_sets(block: int) -> None:
    small = is_smallest(block)
    for asked in problems(block, (2, 3, 4) if small else (2, 3, 4, 5), smallest=small):
        fewest = fewest_of_all(asked)
        blend = solved(asked, "fewest")
        assert (blend is not None) == np.isfinite(fewest), asked
        if blend is not None:
            assert sum(m > 0 for m in blend.masses) == fewest, asked


def gap_with(asked: Asked, names: tuple[str, ...]) -> float:
    """Least |HLB - target| with these emulsifiers alone; infinite where another must be used."""
    if any(low > 0 for n, (low, _) in asked.limits.items() if n not in names):
        return np.inf
    alone = replace(
        asked,
        emulsifiers={n: asked.emulsifiers[n] for n in names},
        limits={n: v for n, v in asked.limits.items() if n in names},
    )
    return least_gap(alone)


@pytest.mark.parametrize("block", PLAIN[:3])
def test_fewest_takes_the_set_nearest_to_the_target(block: int) -> None:
    for asked in problems(block, (3, 4, 5), smallest=False):
        blend = solved(asked, "fewest")
        if blend is None:
            continue
        sets = itertools.combinations(asked.emulsifiers, sum(m > 0 for m in blend.masses))
        nearest = min(gap_with(asked, names) for names in sets)
        assert abs(blend.hlb - asked.target.value) == pytest.approx(nearest, abs=1e-6), asked


def by_cbc(asked: Asked) -> float | None:
    """Least cost by the solver CBC through PuLP, written in the amounts with on-off variables."""
    names = list(asked.emulsifiers)
    model = pulp.LpProblem("blend", pulp.LpMinimize)
    x = {n: pulp.LpVariable(f"x_{n}", 0) for n in names}
    on = {n: pulp.LpVariable(f"on_{n}", cat="Binary") for n in names}
    model += pulp.lpSum(asked.cost[n] * x[n] for n in names)
    total = pulp.lpSum(x.values())
    model += total >= asked.total[0]
    model += total <= asked.total[1]
    moment = pulp.lpSum((asked.emulsifiers[n].value - asked.target.value) * x[n] for n in names)
    model += moment <= asked.window * total
    model += -asked.window * total <= moment
    for n in names:
        low, high = asked.limits.get(n, (0.0, None))
        model += x[n] <= (asked.total[1] if high is None else min(high, asked.total[1])) * on[n]
        model += x[n] >= asked.smallest * on[n]
        model += x[n] >= low
    for group in asked.groups:
        held = pulp.lpSum(x[n] for n in group.members)
        model += held >= group.low
        if group.high is not None:
            model += held <= group.high
    status = model.solve(pulp.PULP_CBC_CMD(msg=False))
    return pulp.value(model.objective) / 100 if pulp.LpStatus[status] == "Optimal" else None


# PuLP 3 announces a renaming of its own in PuLP 4
@pytest.mark.filterwarnings("ignore:.*PuLP 4:DeprecationWarning")
@pytest.mark.parametrize("block", [200_000, 300_000], ids=["plain", "smallest"])
def test_cheapest_meets_another_solver(block: int) -> None:
    small = block == 300_000
    for asked in problems(block, (3, 4, 5, 6), smallest=small)[:40]:
        least = by_cbc(asked)
        blend = solved(asked, "cheapest")
        assert (blend is None) == (least is None), asked
        if blend is not None:
            assert blend.cost_per_kg == pytest.approx(least, rel=1e-6), asked


def test_the_random_problems_are_feasible_and_not() -> None:
    asked = [p for b in range(0, 8000, 1000) for p in problems(b, (2, 3, 4, 5, 6), smallest=False)]
    feasible = sum(least_gap(a) <= a.window for a in asked)
    assert 0.3 * len(asked) < feasible < 0.9 * len(asked)
