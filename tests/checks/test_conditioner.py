"""Cationic emulsifiers by their active part."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore import Finding, Line
from hlbcore.checks.conditioner import active_of, conditioner

WAX_25 = "behentrimonium methosulfate (and) cetearyl alcohol"
WAX_50 = "behentrimonium methosulfate (and) cetyl alcohol (and) butylene glycol"
CETYL = Line("cetyl alcohol", 4, phase="oil")


def worked(*lines: Line, kind: str = "conditioner") -> hlb.Worked:
    rest = Line("water", 100 - sum(x.pct for x in lines), phase="water")
    return hlb.work_out(hlb.Formula("x", kind, (*lines, rest)))


def found(*lines: Line, kind: str = "conditioner") -> list[Finding]:
    return conditioner(worked(*lines, kind=kind))


def test_a_wax_counts_by_the_share_that_its_supplier_declares() -> None:
    """25 % and 48 to 51 %: data/supplier_rates.csv, the two conditioning waxes."""
    (quarter,) = active_of(worked(Line(WAX_25, 8, phase="oil"), CETYL))
    (half,) = active_of(worked(Line(WAX_50, 7, phase="oil"), CETYL))
    assert (quarter.low, quarter.high) == (2.0, 2.0)
    assert (half.low, half.high) == pytest.approx((3.36, 3.57))


def test_a_usual_amount_is_a_note_with_the_active_part() -> None:
    (one,) = found(Line(WAX_25, 8, phase="oil"), CETYL)
    assert (one.level, one.title, one.figure) == ("note", "Active cationic", "2 % of the formula, active")


def test_less_than_half_of_the_lowest_rate_is_a_caution() -> None:
    (one,) = found(Line("cetrimonium chloride", 0.25, phase="water"), CETYL)
    assert (one.level, one.title) == ("caution", "Little active cationic: it may not carry the oil")
    assert one.mend == "Raise it to 1 % or more."


@pytest.mark.parametrize(
    ("pct", "active", "level"),
    [(2.5, None, None), (3.5, None, "note"), (3.5, 100, "caution"), (9, None, "caution"), (8, 30, None)],
    ids=["under", "may be a solution", "said to be pure", "over as a solution too", "solution under"],
)
def test_chlorides_are_held_against_the_limit_of_what_is_rinsed_off(
    pct: float, active: float | None, level: str | None
) -> None:
    line = Line("cetrimonium chloride", pct, phase="water", active="" if active is None else str(active))
    held = [f for f in found(line, CETYL) if f.title.startswith("Cationic emulsifier")]
    assert [f.level for f in held] == ([level] if level else [])


def test_a_formula_without_a_cationic_says_nothing() -> None:
    assert found(Line("polysorbate 60", 3, phase="oil"), CETYL) == []


def test_a_wax_whose_supplier_does_not_say_its_share_is_asked_for() -> None:
    (one,) = found(Line("cetrimonium chloride (and) cetearyl alcohol", 5, phase="oil"))
    assert one.title == "Active cationic: the supplier's share is missing"
    assert (one.level, one.figure) == ("note", "5 % as bought")
