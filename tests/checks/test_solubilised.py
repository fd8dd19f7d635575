"""A clear solubilised product: solubiliser to scent, and the preservative that it binds."""

from __future__ import annotations

import hlbcore as hlb
from hlbcore import Finding, Line
from hlbcore.checks.solubilised import solubilised

SCENT = Line("lavender essential oil", 0.5, phase="water")
TWEEN = Line("polysorbate 20", 2, phase="water")
KEPT = Line("phenoxyethanol (and) ethylhexylglycerin", 1, phase="water")


def formula(*lines: Line, kind: str = "clear solubilised product") -> hlb.Formula:
    rest = Line("water", 100 - sum(x.pct for x in lines), phase="water")
    return hlb.Formula("x", kind, (*lines, rest))


def found(*lines: Line, kind: str = "clear solubilised product") -> list[Finding]:
    return solubilised(hlb.work_out(formula(*lines, kind=kind)))


def test_scent_without_a_solubiliser_is_a_stop_with_the_clarity_ladder() -> None:
    (one,) = found(SCENT, KEPT)
    assert (one.level, one.title) == ("stop", "No solubiliser")
    assert "clear after a week at 5 and at 40 °C" in one.mend


def test_alcohol_or_an_unknown_line_takes_the_stop_away() -> None:
    assert found(SCENT, Line("alcohol", 40, phase="water")) == []
    assert [f.level for f in found(SCENT, Line("zork", 3, phase="water"))] == ["caution"]


def test_an_ethoxylated_solubiliser_beside_a_preservative_is_a_caution_with_both_amounts() -> None:
    (one,) = found(SCENT, TWEEN, KEPT)
    assert (one.level, one.title) == ("caution", "A solubiliser binds preservative")
    assert one.figure == "2 g of solubiliser to 1 g of preservative"


def test_the_verdict_tells_parts_to_one_part_of_scent() -> None:
    dose = hlb.work_out(formula(SCENT, TWEEN, KEPT)).dose
    assert dose is not None
    assert (dose.level, dose.figure) == ("note", "4 parts of solubiliser to 1 part of oil")


def test_other_product_types_are_not_asked() -> None:
    assert found(SCENT, TWEEN, KEPT, kind="o/w cream") == []
