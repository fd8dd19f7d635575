from __future__ import annotations

from hlbcore import Finding, Formula, Line, work_out
from hlbcore.checks.basis import basis


def notes(*lines: Line, kind: str = "o/w cream") -> list[Finding]:
    return basis(work_out(Formula("x", kind, lines)))


def test_emulsifiers_are_said_on_the_jar_and_on_the_fat_base() -> None:
    (one,) = notes(
        Line("sunflower oil", 20, phase="oil"),
        Line("polysorbate 80", 5, phase="oil"),
        Line("water", 75, phase="water"),
    )
    assert one.level == "note"
    assert one.detail == "5 % of the jar = 20 % of the fat base."


def test_grains_are_taken_out_of_the_basis() -> None:
    (one,) = notes(
        Line("sunflower oil", 36, phase="oil"),
        Line("polysorbate 80", 4, phase="oil"),
        Line("sugar", 60, phase="solids"),
        kind="wash-off scrub",
    )
    assert one.detail == "4 % of the jar = 10 % of the fat base = 10 % of what is not grains."


def test_bases_that_differ_by_less_than_a_tenth_are_not_said() -> None:
    def said(oil: float) -> list[Finding]:
        return notes(Line("sunflower oil", oil), Line("polysorbate 80", 5), Line("water", 95 - oil))

    assert said(85) == []
    assert len(said(84.9)) == 1


def test_without_emulsifier_there_is_nothing_to_say() -> None:
    assert notes(Line("sunflower oil", 20), Line("water", 80)) == []
