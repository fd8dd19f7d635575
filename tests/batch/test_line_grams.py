"""Each line of a formula in grams: the same as on the batch sheet, and what is too little is told."""

from __future__ import annotations

from dataclasses import replace

import pytest

import hlbcore as hlb
from hlbcore.batch.line_grams import grams_of_lines


def of(formula: hlb.Formula, **aims: str) -> hlb.Worked:
    return hlb.work_out(replace(formula, aims=replace(formula.aims, **aims)))


@pytest.mark.parametrize("batch", ["500 g", "2 lb", "97.3 g"])
def test_the_grams_of_a_line_are_those_of_the_batch_sheet(batch: str) -> None:
    made = of(hlb.example_formula(), batch=batch)
    shown = {n: x.grams for n, x in grams_of_lines(made).items()}
    assert shown == {r.line: r.grams for r in hlb.batch_sheet(made).rows if r.premix is None}


def test_a_line_below_what_the_scale_is_trusted_for_is_told() -> None:
    held = grams_of_lines(of(hlb.example_formula(), scales="1 g"))
    small = {n for n, x in held.items() if x.small}
    assert small == {r.line for r in hlb.batch_sheet(of(hlb.example_formula(), scales="1 g")).small}
    assert "10 g" in held[min(small)].small


@pytest.mark.parametrize("aims", [{"batch": ""}, {"scales": ""}, {"batch": "much"}])
def test_without_a_batch_or_a_scale_nothing_is_weighed(aims: dict[str, str]) -> None:
    assert grams_of_lines(of(hlb.example_formula(), **aims)) == {}


def test_a_half_written_formula_is_not_filled_up() -> None:
    half = hlb.Formula(lines=[hlb.Line("olive oil", 20, phase="oil"), hlb.Line("new name", "", phase="oil")])
    assert {n: x.text for n, x in grams_of_lines(of(half)).items()} == {0: "100.0 g"}
