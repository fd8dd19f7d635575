from __future__ import annotations

from hlbcore import Finding, Formula, Line, work_out
from hlbcore.checks.hard_share import hard_share


def notes(*lines: Line) -> list[Finding]:
    return hard_share(work_out(Formula("x", "whipped butter", lines)))


def test_hard_share_is_a_note_without_a_threshold() -> None:
    (one,) = notes(Line("olive oil", 75), Line("beeswax", 25))
    assert one.level == "note"
    assert one.figure == "25 % of the fat base = 25 % of the jar"
    assert "No threshold of 'too hard' is published" in one.detail


def test_what_has_no_figure_is_listed_with_the_range_it_leaves() -> None:
    (one,) = notes(Line("olive oil", 60), Line("beeswax", 20), Line("lecithin", 20))
    assert "not known: lecithin" in one.detail
    assert "20 % of the fat base, up to 40 % with what is not known" in one.detail
    assert "Ask the supplier for form and melting point of lecithin" in one.mend


def test_liquid_base_has_no_finding() -> None:
    assert notes(Line("olive oil", 100)) == []
