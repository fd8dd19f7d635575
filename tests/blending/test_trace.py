"""A ready emulsifier that is a trace is bounded: what is printed for it follows another convention."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore.blending.candidates import TRACE_BOUNDS


def with_ready(name: str, pct: float) -> hlb.Worked:
    lines = [
        hlb.Line("water", 75, phase="water"),
        hlb.Line("sunflower oil", 20, phase="oil"),
        hlb.Line("sorbitan stearate", 2.6, phase="oil"),
        hlb.Line("polysorbate 60", 1, phase="oil"),
        hlb.Line(name, pct, phase="oil"),
    ]
    return hlb.work_out(hlb.Formula(product_type="o/w cream", lines=lines))


@pytest.mark.parametrize("pct", [0.3, 0.9])
def test_up_to_a_fifth_it_counts_by_the_bounds_and_not_by_its_printed_figure(pct: float) -> None:
    made = with_ready("cetearyl glucoside", pct)
    known = 2.6 * hlb.load_library().emulsifier("sorbitan stearate").hlb.value
    known += hlb.load_library().emulsifier("polysorbate 60").hlb.value
    expected = (known + TRACE_BOUNDS.value * pct) / (3.6 + pct)
    assert made.blend.value == pytest.approx(expected)
    assert made.weighed.hlb.value == pytest.approx(expected, abs=0.05)
    assert made.verdict.rule == "HLB"
    assert made.verdict.doubt.startswith(("fair", "weak"))
    assert "cetearyl glucoside counts as a trace" in [f.title for f in made.blend.cautions]


def test_above_a_fifth_neither_rule_judges() -> None:
    assert with_ready("cetearyl glucoside", 2).verdict.rule == "none"
