"""A swap as typed: what the formula asks for holds, and only the swap changes the formula."""

from __future__ import annotations

from dataclasses import replace

import pytest

import hlbcore as hlb
from hlbcore.swapping.sheet import SwapLine, SwapSheet, work_out_swap

MANGO = SwapLine("shea butter", into=("mango butter",))
TYPED = hlb.example_formula()


def asking(formula: hlb.Formula = TYPED, **aims: object) -> hlb.Formula:
    return replace(formula, aims=replace(formula.aims, **aims))  # type: ignore[arg-type]


def made(formula: hlb.Formula, *lines: SwapLine, objective: str = "least change") -> hlb.Swap:
    found = work_out_swap(hlb.work_out(formula), SwapSheet(lines, objective=objective))
    assert found.errors == {}
    assert found.swap is not None
    return found.swap


@pytest.mark.parametrize("dose", ["4.2 to 4.6", "5"])
def test_the_total_of_the_formula_holds(dose: str) -> None:
    asked = asking(goal="closest", dose=dose)
    low, high = hlb.work_out(asked).dose_asked
    held = made(asked, MANGO, objective="cheapest").options
    solved = held[held["possible"] & (held["option"] != "dose follows the oil phase")]
    assert len(solved) > 4
    assert solved["total"].between(low - 1e-9, high + 1e-9).all()


def test_a_total_typed_beside_the_present_one_does_not_forbid_no_change() -> None:
    assert hlb.work_out(TYPED).emulsifier_pct > 3
    swapped = made(asking(dose="2 to 3"), MANGO)
    assert swapped.chosen == "no change"


def test_the_smallest_amount_of_the_formula_holds() -> None:
    held = made(asking(smallest="1.2"), MANGO)
    added = [o for o in held.choices if o.key.startswith("add ") and o.formula is not None]
    assert added
    assert all(b == 0 or b >= 1.2 - 1e-9 for o in added for _, _, b in o.changes)


@pytest.mark.parametrize("goal", ["", "closest"])
def test_an_accepted_swap_leaves_facts_note_and_all_that_was_asked_for_but_the_goal(goal: str) -> None:
    before = asking(goal=goal, smallest="0,5", batch="1 kg")
    after = made(before, MANGO).formula
    assert (after.facts, after.note, after.portions, after.blends) == (
        before.facts,
        before.note,
        before.portions,
        before.blends,
    )
    assert replace(after.aims, goal="") == replace(before.aims, goal="")


def test_emulsifiers_of_an_accepted_swap_are_in_use_and_not_solved_anew() -> None:
    asked = asking(goal="closest")
    found = made(asked, MANGO)
    again = hlb.work_out(found.formula)
    assert again.solved is None
    assert again.made == found.formula


def test_limits_and_prices_of_emulsifiers_and_readings_that_were_chosen_stay_as_typed() -> None:
    lines = tuple(
        replace(x, low="1", high="4,5") if x.name == "sorbitan stearate" else x for x in TYPED.lines
    )
    lines = tuple(replace(x, own="reading 9") if x.name == "beeswax" else x for x in lines)
    before = replace(TYPED, lines=lines)
    after = made(before, MANGO).formula
    held = {x.name: x for x in after.lines}
    for x in before.lines:
        if x.name != "shea butter":
            y = held[x.name]
            assert (y.low, y.high, y.price, y.own) == (x.low, x.high, x.price, x.own)
    assert held["beeswax"].own.text == "reading 9"


def test_a_line_of_the_swap_that_cannot_be_read_is_told_beside_it() -> None:
    asked = SwapSheet((replace(MANGO, amount="much"), replace(MANGO, out="cocoa butter", figure="x")))
    found = work_out_swap(hlb.work_out(TYPED), asked)
    assert found.swap is None
    assert set(found.errors) == {"swap 0", "swap 1"}


def test_what_is_told_on_the_page_names_no_code() -> None:
    asked = SwapSheet((SwapLine("shea butter", into=("shea butter",)),))
    found = work_out_swap(hlb.work_out(TYPED), asked)
    assert "give its own figure" in found.errors["swap"]
    assert "{" not in found.errors["swap"]
