"""Where a ready emulsifier with a blank amount starts."""

from __future__ import annotations

import pytest

from hlbcore import Aims, Formula, Line, OwnSheet, Worked, load_library, work_out
from hlbcore.blending.card import whose

WATER, OIL = Line("water", 75, phase="water"), Line("olive oil", 20, phase="oil")


def cream(name: str, kind: str = "o/w cream", dose: str = "", **own: object) -> Worked:
    lines = [WATER, OIL, Line(name, phase="oil")]
    library = load_library(overlay=[OwnSheet(name, **own)]) if own else load_library()  # type: ignore[arg-type]
    return work_out(Formula("x", kind, lines, aims=Aims(dose=dose or None)), library)


@pytest.mark.parametrize(
    ("name", "pct", "why"),
    [
        ("emulsifying wax NF", 5, "inside what its supplier says, 3 to 5 % of the formula"),
        ("glyceryl stearate citrate", 2.5, "inside what its supplier says, 1.5 to 2.5 % of the formula"),
        ("polyglyceryl-3 methylglucose distearate", 3, "seen once at 3 % of the formula"),
        ("polyglyceryl-6 stearate", 4, "as print shows for o/w cream"),
        (
            "cetearyl alcohol, polysorbate 60, PEG-150 stearate, steareth-20",
            5,
            "as printed formulas use them",
        ),
    ],
)
def test_a_blank_ready_emulsifier_starts_inside_its_rate_or_as_print_shows(
    name: str, pct: float, why: str
) -> None:
    found = cream(name)
    assert list(found.amounts.values()) == [pct]
    assert why in found.choice
    assert whose(found).startswith("Amounts that the tool found")
    assert [p for p in found.problems if p.field == "own"] == []
    assert found.formula.lines[-1].amount.text == ""


def test_a_sheet_of_the_users_own_says_where_a_blank_one_starts() -> None:
    assert list(cream("emulsifying wax NF", low_pct=6, high_pct=8).amounts.values()) == [6]


def test_a_rate_for_emulsions_does_not_bind_a_scrub() -> None:
    found = cream("emulsifying wax NF", "wash-off scrub")
    assert next(iter(found.amounts.values())) > 5
    assert "as print shows for wash-off scrub" in found.choice


def test_a_w_o_emulsifier_starts_inside_its_rate() -> None:
    found = cream("PEG-30 dipolyhydroxystearate", "w/o cream")
    assert list(found.amounts.values()) == [2]
    assert found.verdict.word == "in its supplier's range"


def test_no_other_pair_is_proposed_beside_a_ready_emulsifier() -> None:
    assert cream("emulsifying wax NF").proposal is None
    lines = [WATER, OIL, Line("emulsifying wax NF", 9, phase="oil")]
    assert work_out(Formula("x", "o/w cream", lines)).proposal is None


def test_a_ready_emulsifier_takes_the_dose_that_was_asked_for() -> None:
    assert list(cream("emulsifying wax NF", dose="30 % of the oil phase").amounts.values()) == [6]
