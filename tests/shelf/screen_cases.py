"""Random shelves and their answers by one linear programme a system."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

from hlbcore import Estimate, Group

Array = NDArray[np.float64]

OBJECTIVES = ("closest", "most tolerant", "cheapest", "least total")
TIGHT = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}


@dataclass(frozen=True)
class Case:
    """One screen, as a caller states it."""

    emulsifiers: dict[str, Estimate]
    target: Estimate
    window: float
    total: tuple[float, float]
    min_share: float
    limits: dict[str, tuple[float, float]] = field(default_factory=dict)
    groups: tuple[Group, ...] = ()
    cost: dict[str, float] = field(default_factory=dict)

    def arguments(self) -> dict[str, object]:
        return {
            "total": self.total,
            "window": self.window,
            "min_share": self.min_share,
            "limits": self.limits,
            "groups": self.groups,
            "cost": self.cost,
            "top": 1000,
        }

    def systems(self) -> list[tuple[str, ...]]:
        """All that hold what must be used."""
        must = {n for n, (low, _) in self.limits.items() if low > 0}
        return [
            s
            for size in (1, 2, 3)
            for s in itertools.combinations(sorted(self.emulsifiers), size)
            if must <= set(s)
        ]


def random_case(seed: int) -> Case:
    """A shelf of up to six, half of them with limits, groups, a range of the total."""
    rng = np.random.default_rng(seed)
    names = list("fedcba")[: rng.integers(1, 7)]
    emulsifiers = {}
    for name in names:
        value = rng.uniform(1, 19)
        emulsifiers[name] = Estimate(value, max(0.0, value - rng.uniform(0, 2)), value + rng.uniform(0, 2))
    if len(names) > 1 and rng.random() < 0.1:  # two alike
        emulsifiers[names[0]] = emulsifiers[names[1]]
    target = rng.uniform(3, 17)
    low = rng.uniform(2, 6)
    total = (low, low) if rng.random() < 0.5 else (low, low + rng.uniform(0.5, 4))
    limits: dict[str, tuple[float, float]] = {}
    if rng.random() < 0.6:
        for name in names:
            if rng.random() < 0.5:
                least = rng.uniform(0.1, 3.0) if rng.random() < 0.2 else 0.0
                limits[name] = (least, least + rng.uniform(0.3, 4))
    groups = []
    for number in range(rng.integers(0, 3) if rng.random() < 0.4 else 0):
        members = tuple(n for n in names if rng.random() < 0.5) or (names[0],)
        least = rng.uniform(0.1, 2.0) if rng.random() < 0.3 else 0.0
        groups.append(Group(f"group {number}", least + rng.uniform(0.5, 3.5), least, members))
    return Case(
        emulsifiers,
        Estimate(target, target - rng.uniform(0, 1.5), target + rng.uniform(0, 1.5)),
        rng.uniform(0.1, 1.5),
        total,
        float(rng.choice([0.0, 0.05, 0.1, 0.2])),
        limits,
        tuple(groups),
        {n: float(rng.uniform(0, 40)) for n in names},
    )


def by_programme(case: Case, system: Sequence[str], objective: str) -> float | None:
    """The best value of one system by `linprog`; None where it is not possible.

    In shares y and t = 1/T (Charnes and Cooper 1962), the cost in amounts.
    """
    size = len(system)
    parts = [case.emulsifiers[n] for n in system]
    hlb = np.array([p.value for p in parts])
    limits = [case.limits.get(n, (0.0, math.inf)) for n in system]
    rows: list[Array] = []
    tops: list[float] = []

    def add(shares: Array, t: float, top: float, last: float = 0.0) -> None:
        rows.append(np.array([*shares, t, last]))
        tops.append(top)

    add(hlb, 0, case.target.value + case.window)
    add(-hlb, 0, case.window - case.target.value)
    for i, (low, high) in enumerate(limits):
        unit = np.eye(size)[i]
        add(-unit, low, 0)
        if math.isfinite(high):
            add(unit, -high, 0)
    for group in case.groups:
        row = np.array([float(n in group.members) for n in system])
        assert group.high is not None
        add(row, -group.high, 0)
        add(-row, group.low, 0)
    span = (1 / case.total[1], 1 / case.total[0])
    goal = np.zeros(size + 2)
    if objective == "closest":
        goal[-1] = 1
        add(hlb, 0, case.target.value, -1)
        add(-hlb, 0, -case.target.value, -1)
    elif objective == "most tolerant":
        goal[-1] = 1
        add(np.array([p.high for p in parts]), 0, case.target.low, -1)
        add(-np.array([p.low for p in parts]), 0, -case.target.high, -1)
    elif objective == "least total":
        goal[-2] = -1
    else:
        return _cost(case, system, rows, tops)
    found = linprog(
        goal,
        np.array(rows),
        tops,
        np.array([[1.0] * size + [0.0, 0.0]]),
        [1.0],
        [(case.min_share, 1)] * size + [span, (None, None)],
        options=TIGHT,
    )
    if found.status != 0:
        return None
    if objective == "least total":
        return float(1 / found.x[size])
    return float(found.fun if objective == "closest" else case.window - found.fun)


def _cost(case: Case, system: Sequence[str], rows: list[Array], tops: list[float]) -> float | None:
    """Least cost in amounts: each row of shares and t times the total."""
    size = len(system)
    in_amounts = [row[:size] - top for row, top in zip(rows, tops, strict=True)]
    ends = [-float(row[size]) for row in rows]
    in_amounts += [case.min_share * np.ones(size) - np.eye(size)[i] for i in range(size)]
    in_amounts += [np.ones(size), -np.ones(size)]
    ends += [0.0] * size + [case.total[1], -case.total[0]]
    prices = [case.cost[n] for n in system]
    found = linprog(prices, np.array(in_amounts), ends, bounds=[(0, None)] * size, options=TIGHT)
    return float(found.fun) if found.status == 0 else None


def best_by_milp(case: Case) -> tuple[str, ...] | None:
    """The cheapest system of the whole shelf at its fixed total, at most three; None where there is none.

    Which emulsifiers it uses: its cost is off by its tolerance of 1e-6.
    """
    names = sorted(case.emulsifiers)
    n, total = len(names), case.total[0]
    hlb = np.array([case.emulsifiers[m].value for m in names])
    limits = [case.limits.get(m, (0.0, math.inf)) for m in names]
    eye, none = np.eye(n), np.zeros((n, n))
    most = np.diag([min(high, total) for _, high in limits])
    least = np.diag([max(low, case.min_share * total) for low, _ in limits])
    rows = [
        LinearConstraint(np.hstack([np.ones(n), np.zeros(n)])[None, :], total, total),
        LinearConstraint(
            np.hstack([hlb, np.zeros(n)])[None, :],
            (case.target.value - case.window) * total,
            (case.target.value + case.window) * total,
        ),
        LinearConstraint(np.hstack([np.zeros(n), np.ones(n)])[None, :], 1, 3),
        LinearConstraint(np.hstack([eye, -most]), ub=np.zeros(n)),
        LinearConstraint(np.hstack([eye, -least]), lb=np.zeros(n)),
        LinearConstraint(np.hstack([none, eye]), lb=[float(low > 0) for low, _ in limits]),
    ]
    for group in case.groups:
        row = np.array([float(m in group.members) for m in names])
        rows.append(LinearConstraint(np.hstack([row, np.zeros(n)])[None, :], group.low, group.high))
    cost = np.array([case.cost[m] for m in names] + [0.0] * n)
    found = milp(
        cost,
        integrality=[0] * n + [1] * n,
        bounds=Bounds(np.zeros(2 * n), [total] * n + [1] * n),
        constraints=rows,
        options={"mip_rel_gap": 0.0},
    )
    if found.status != 0:
        return None
    return tuple(m for m, used in zip(names, found.x[n:], strict=True) if used > 0.5)
