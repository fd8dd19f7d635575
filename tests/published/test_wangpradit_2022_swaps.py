"""Wangpradit et al., OCL 29:29 (2022), Tables 4 and 5: one cream in five formulas.

https://www.ocl-journal.org/articles/ocl/full_html/2022/01/ocl210096/T4.html and .../T5.html .
Required HLB as printed: white beeswax 12, isopropyl myristate 11.5, glyceryl stearate 3.8 (counted
as an oil), stearic acid 15, Amesiodendron chinense oil 6.2; polysorbate 80 (15) and sorbitan
stearate (4.7), 3.00 % together. Each reformulation is redone as a swap from formula F1.
"""

from __future__ import annotations

import pytest
from printed_values import printed, within

from hlbcore import Estimate, Formula, Line, Swap, swap
from hlbcore.swapping.exchange import Exchange

pytestmark = pytest.mark.published


def own(value: float) -> Estimate:
    return Estimate.exactly(value)


OILS = (
    Line("beeswax", 1.5, phase="oil", own=own(12)),
    Line("isopropyl myristate", 7.5, phase="oil", own=own(11.5)),
    Line("glyceryl stearate", 7.5, phase="oil", role="oil", own=own(3.8)),
    Line("stearic acid", 12.5, phase="oil", own=own(15)),
    Line("Amesiodendron chinense oil", 5, phase="oil", own=own(6.2)),
)
F1 = Formula(
    "F1",
    "o/w cream",
    (
        *OILS,
        Line("polysorbate 80", 1.64, phase="oil", own=own(15)),
        Line("sorbitan stearate", 1.36, phase="oil", own=own(4.7)),
        Line("water", 63, phase="water"),
    ),
)
LESS = {"F2": 2.0, "F3": 4.0, "F4": 6.0}


def reformulated(name: str, window: float) -> Swap:
    steps = [Exchange("stearic acid", (("water", 1),), LESS.get(name, 2.0))]
    if name == "F5":
        both = (("isopropyl myristate", 1), ("glyceryl stearate", 1))
        steps.append(Exchange("water", both, 5.0))
    return swap(F1, exchange=steps, objective="keep total", window=window)


FORMULAS = [
    # name, required HLB as printed and recomputed, polysorbate 80, sorbitan stearate as printed
    ("F2", "10.04", 10.0391, "1.56", "1.44"),
    ("F3", "9.71", 9.7083, "1.46", "1.54"),
    ("F4", "9.33", 9.3304, "1.35", "1.65"),
    ("F5", "9.72", 9.7162, "1.46", "1.54"),
]


@pytest.mark.parametrize(("name", "hlb", "exact", "high", "low"), FORMULAS, ids=lambda v: str(v))
def test_tables_4_and_5_as_swaps_from_f1(name: str, hlb: str, exact: float, high: str, low: str) -> None:
    r = reformulated(name, window=0)
    assert r.new_target is not None
    assert r.new_target.value == printed(hlb)
    assert r.new_target.value == within(exact, 0.0001)
    held = {x.name: x.pct for x in r.formula.lines}
    assert held["polysorbate 80"] == printed(high)
    assert held["sorbitan stearate"] == printed(low)
    assert r.option.total_pct == within(3.0, 1e-9)
    assert r.formula.total_pct == within(100.0, 1e-9)


def test_the_blend_of_f1_is_the_one_printed() -> None:
    r = reformulated("F2", window=0)
    assert r.old_target is not None
    assert r.old_blend is not None
    assert (r.old_target.value, r.old_blend.value) == (printed("10.33"), printed("10.33"))


@pytest.mark.parametrize(("name", "fits"), [("F2", True), ("F3", True), ("F4", False), ("F5", True)])
def test_where_f1s_pair_could_have_stayed_with_the_usual_window(name: str, fits: bool) -> None:
    # from the printed figures: 10.33 lies within 1 of 10.04, 9.71 and 9.72; of 9.33 it just misses,
    # unrounded 10.3307 against 9.3304
    r = reformulated(name, window=1.0)
    assert r.old_blend_fits is fits
    assert (r.chosen == "no change") is fits
