from __future__ import annotations

from dataclasses import replace

import pytest

from hlbcore import Estimate, Finding, Formula, Line, work_out
from hlbcore.checks.emulsifier import emulsifier

OIL = Line("sunflower oil", 20, phase="oil")


def found(*lines: Line, kind: str = "o/w cream") -> list[Finding]:
    rest = 100 - sum(x.pct for x in lines)
    return emulsifier(work_out(Formula("x", kind, (*lines, Line("water", rest, phase="water")))))


def pair(low: float, high: float) -> tuple[Line, Line]:
    return Line("sorbitan oleate", low, phase="oil"), Line("polysorbate 80", high, phase="oil")


def test_a_blend_in_the_window_is_a_note_and_the_dose_follows() -> None:
    verdict, dose = found(OIL, *pair(3.7, 1.3))[:2]
    assert (verdict.level, verdict.title) == ("note", "Emulsifiers: inside")
    assert verdict.mend == ""
    assert dose.title == "Dose is usual"


def test_a_blend_off_the_window_is_a_caution_that_names_the_nearest_at_the_same_total() -> None:
    verdict = found(OIL, *pair(1, 4))[0]
    assert (verdict.level, verdict.title) == ("caution", "Emulsifiers: outside")
    # required 7.0 from 4.3 and 15.0: 74.8 % and 25.2 % of 5 %
    assert verdict.mend == ("At the same total: 3.74 % sorbitan oleate, 1.26 % polysorbate 80, HLB 7.0.")


def test_emulsifiers_that_cannot_reach_it_are_answered_with_others() -> None:
    verdict = found(OIL, Line("polysorbate 80", 3, phase="oil"), Line("polysorbate 60", 2, phase="oil"))[0]
    assert verdict.mend.startswith("These alone do not reach it. To start from: ")


def test_an_own_figure_of_an_emulsifier_leads() -> None:
    low, high = pair(1, 4)
    mine = replace(high, own=Estimate(7.7, 7.7, 7.7))  # 0.2 * 4.3 + 0.8 * 7.7 = 7.0
    assert found(OIL, low, high)[0].title == "Emulsifiers: outside"
    assert found(OIL, low, mine)[0].title == "Emulsifiers: inside"


def test_where_hlb_has_no_say_nothing_is_asked() -> None:
    assert found(kind="whipped butter") == []


@pytest.mark.parametrize("kind", ["o/w cream", "whipped butter"])
def test_an_oil_phase_that_nobody_knows_gets_no_verdict(kind: str) -> None:
    said = found(Line("zzz nonsense", 20, phase="oil"), kind=kind)
    assert [f.title for f in said if not f.always] == ["Emulsifiers: no verdict: no emulsifier"]
    assert said[0].aside
