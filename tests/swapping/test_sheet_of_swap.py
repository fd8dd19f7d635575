"""A swap as typed: what the sheet asks for holds, and only the swap changes the sheet."""

from __future__ import annotations

from dataclasses import replace

import pytest

import hlbcore as hlb

MANGO = hlb.SwapLine("shea butter", into=("mango butter",))
SHEET = hlb.example_sheet()


def made(sheet: hlb.Sheet, *lines: hlb.SwapLine, objective: str = "least change") -> hlb.Swap:
    found = hlb.work_out_swap(hlb.work_out(sheet), hlb.SwapSheet(lines, objective=objective))
    assert found.errors == {}
    assert found.swap is not None
    return found.swap


@pytest.mark.parametrize("total", ["4.2 to 4.6", "5"])
def test_the_total_of_the_sheet_holds(total: str) -> None:
    low, high = hlb.work_out(replace(SHEET, total=total)).total
    held = made(replace(SHEET, total=total), MANGO, objective="cheapest").options
    solved = held[held["possible"] & (held["option"] != "dose follows the oil phase")]
    assert len(solved) > 4
    assert solved["total"].between(low - 1e-9, high + 1e-9).all()


def test_a_total_typed_beside_the_present_one_does_not_forbid_no_change() -> None:
    outcome = hlb.work_out(SHEET)
    fixed = hlb.sheet_of(hlb.formula_of(outcome).formula)  # amounts rounded to print
    swapped = made(replace(fixed, total="2 to 3"), MANGO)
    assert swapped.chosen == "no change"


def test_the_smallest_amount_of_the_sheet_holds() -> None:
    held = made(replace(SHEET, smallest="1.2"), MANGO)
    added = [o for o in held.choices if o.key.startswith("add ") and o.formula is not None]
    assert added
    assert all(b == 0 or b >= 1.2 - 1e-9 for o in added for _, _, b in o.changes)


def test_an_accepted_swap_leaves_the_facts_as_typed() -> None:
    outcome = hlb.work_out(SHEET)
    after = hlb.sheet_after(outcome, made(SHEET, MANGO).formula)
    assert after.facts == SHEET.facts


def test_what_is_told_on_the_page_names_no_code() -> None:
    asked = hlb.SwapSheet((hlb.SwapLine("shea butter", into=("shea butter",)),))
    found = hlb.work_out_swap(hlb.work_out(SHEET), asked)
    assert "give its own figure" in found.errors["swap"]
    assert "{" not in found.errors["swap"]
