"""Rebalancing after a swap against general programmes: SLSQP for squares, linprog for money."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog, minimize

from hlbcore import Formula, Line, load_library, swap

LIB = load_library()
HELD = ("sorbitan oleate", "polysorbate 80", "sorbitan laurate", "glyceryl oleate")
HLB = np.array([float(e.value) for n in HELD if (e := LIB.emulsifier(n).hlb)])
TOTAL = (3.0, 9.0)


def formula(amounts: list[float]) -> Formula:
    lines = [Line("soybean oil", 15, phase="oil"), Line("cocoa butter", 5, phase="oil")]
    lines += [Line(n, a, phase="oil") for n, a in zip(HELD, amounts, strict=True)]
    return Formula("x", "o/w cream", (*lines, Line("water", 0, phase="water"))).fill("water")


def emulsifiers(f: Formula) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    held = {x.name: x.pct for x in f.lines}
    return np.array([held.get(n, 0.0) for n in HELD])


AMOUNTS = st.lists(st.floats(0.2, 2.5), min_size=4, max_size=4)
INTO = st.sampled_from(["castor oil", "isopropyl myristate", "mineral oil", "oleic acid"])


@settings(max_examples=25)
@given(amounts=AMOUNTS, into=INTO, window=st.sampled_from([0.3, 1.0]))
def test_least_change_is_that_of_slsqp(amounts: list[float], into: str, window: float) -> None:
    f = formula(amounts)
    r = swap(f, out="soybean oil", into=into, total=TOTAL, window=window)
    assert r.new_target is not None
    target, start = r.new_target.value, np.array(amounts)
    option = next(o for o in r.choices if o.key == "least change")
    assert option.formula is not None
    ours = float(np.sum((emulsifiers(option.formula) - start) ** 2))
    gap = HLB - target
    answer = minimize(
        lambda x: float(np.sum((x - start) ** 2)),
        np.full(4, 1.25),
        jac=lambda x: 2 * (x - start),
        bounds=[(0.0, TOTAL[1])] * 4,
        constraints=[
            {"type": "ineq", "fun": lambda x: window * x.sum() - gap @ x},
            {"type": "ineq", "fun": lambda x: window * x.sum() + gap @ x},
            {"type": "ineq", "fun": lambda x: x.sum() - TOTAL[0]},
            {"type": "ineq", "fun": lambda x: TOTAL[1] - x.sum()},
        ],
        method="SLSQP",
        options={"ftol": 1e-12, "maxiter": 500},
    )
    x = answer.x  # its last step may end without "success"; that it keeps the limits is enough
    assert abs(gap @ x) <= window * x.sum() + 1e-6
    assert TOTAL[0] - 1e-6 <= x.sum() <= TOTAL[1] + 1e-6
    assert ours == pytest.approx(float(answer.fun), abs=1e-4)


@settings(max_examples=25)
@given(amounts=AMOUNTS, into=INTO, prices=st.lists(st.floats(1, 30), min_size=4, max_size=4))
def test_cheapest_is_that_of_linprog(amounts: list[float], into: str, prices: list[float]) -> None:
    f = formula(amounts)
    cost = dict(zip(HELD, prices, strict=True))
    r = swap(f, out="soybean oil", into=into, total=TOTAL, objective="cheapest", cost=cost)
    assert r.new_target is not None
    option = next(o for o in r.choices if o.key == "cheapest")
    assert option.formula is not None
    gap = HLB - r.new_target.value
    answer = linprog(
        prices,
        A_ub=np.array([gap - 1, -gap - 1, -np.ones(4), np.ones(4)]),
        b_ub=np.array([0, 0, -TOTAL[0], TOTAL[1]]),
        bounds=[(0, None)] * 4,
    )
    assert answer.status == 0
    assert float(emulsifiers(option.formula) @ np.array(prices)) == pytest.approx(float(answer.fun), rel=1e-6)
    stays = r.choices[0]
    if stays.inside and TOTAL[0] <= stays.total_pct <= TOTAL[1]:
        assert option.cost_per_kg is not None
        assert stays.cost_per_kg is not None
        assert option.cost_per_kg <= stays.cost_per_kg + 1e-7
