"""What the physics of the jar says of the printed formulas: sound ones get no new caution.

The corpus holds two that came out too soft, one scrub that kept separating, and none that is said to be too
hard or grainy; so little can be shown here, and nothing was tuned on it.
"""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore.checks.jar import jar
from hlbcore.rules.jar.sheet import work_out_jar
from hlbcore.rules.jar.softness import CANNOT_SAY
from tests.corpus.measure import corpus

ROWS = {str(p["id"]): (str(p["outcome"]), hlb.work_out(f)) for p, f in corpus()}


def test_no_printed_formula_gets_a_caution_of_the_jar() -> None:
    loud = {n: [f.title for f in jar(w) if not f.aside] for n, (_, w) in ROWS.items()}
    assert {n: titles for n, titles in loud.items() if titles} == {}


@pytest.mark.parametrize("name", ["bal01", "bal05"])
def test_a_balm_that_came_out_soft_is_never_called_firm(name: str) -> None:
    held = work_out_jar(ROWS[name][1]).softness
    assert held is not None
    room = next(p for p in held.places if p.place == "in a room")
    assert room.word == CANNOT_SAY
    assert room.high < 32
    causes = hlb.diagnose(ROWS[name][1], symptom="too soft").causes
    assert causes[0].points


def test_the_scrub_that_kept_separating_is_not_said_to_be_held() -> None:
    grains = work_out_jar(ROWS["scr07"][1]).grains
    assert grains is not None
    assert grains.word == CANNOT_SAY
    assert "not proven to hold grains" in grains.why
    causes = hlb.diagnose(ROWS["scr07"][1], symptom="grains at the bottom").causes
    assert [c.cause for c in causes if c.points] == ["the gum lies inside, and oil outside"]
