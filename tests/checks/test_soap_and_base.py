"""Soap, base and acid: what a measured pH answers, and what takes base beside fatty acid."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore import Facts, Finding, Line
from hlbcore.checks.charge import charge
from hlbcore.findings import first_screen

SE = Line("glyceryl stearate SE", 5, phase="oil")
OIL = Line("sunflower oil", 15, phase="oil")
KEPT = Line("phenoxyethanol (and) ethylhexylglycerin", 0.9, phase="cool-down")


def formula(*lines: Line, ph: float | None = None) -> hlb.Formula:
    rest = Line("water", 100 - sum(x.pct for x in lines), phase="water")
    return hlb.Formula("x", "o/w cream", (*lines, rest), facts=Facts(ph=ph))


def titles(found: list[Finding]) -> set[str]:
    return {f.title for f in first_screen(found)}


@pytest.mark.parametrize(("ph", "level"), [(4.9, "caution"), (5.0, "note"), (6.5, "note"), (8.0, None)])
def test_soap_at_ph_5_to_6_5_is_a_note_and_below_it_a_caution(ph: float, level: str | None) -> None:
    """Two printed creams with soap that passed three months at 45 °C stand at 5 to 6.5."""
    found = [f for f in charge(hlb.work_out(formula(SE, OIL, ph=ph))) if "soap emulsifier needs" in f.title]
    assert [f.level for f in found] == ([level] if level else [])
    assert all(f.aside for f in found if f.level == "note")


def test_a_strength_in_the_name_of_lye_is_its_active_part() -> None:
    """0.6 % of a 10 % solution is 0.06 % sodium hydroxide, a pH adjuster."""
    lines = (SE, OIL, KEPT, Line("carbomer", 0.2, phase="water"))
    strong = hlb.check(formula(*lines, Line("sodium hydroxide", 0.6, phase="water")))
    weak = hlb.check(formula(*lines, Line("sodium hydroxide, 10 % solution", 0.6, phase="water")))
    assert "Lye beyond setting a pH" in titles(strong)
    assert "Lye beyond setting a pH" not in titles(weak)


def test_a_strength_that_is_typed_outranks_the_name() -> None:
    line = Line("sodium hydroxide, 10 % solution", 0.6, phase="water", active="20")
    (counted,) = [x for x in hlb.work_out(formula(SE, OIL, line)).lines if x.line is line]
    assert counted.active == pytest.approx(0.12)


def test_base_for_a_carbomer_is_no_base_without_fatty_acid() -> None:
    base = Line("sodium hydroxide", 0.1, phase="water")
    alone = hlb.check(formula(*_pair(), OIL, KEPT, base))
    beside = hlb.check(formula(*_pair(), OIL, KEPT, base, Line("carbomer", 0.25, phase="water")))
    assert "A base without fatty acid" in titles(alone)
    assert "A base without fatty acid" not in titles(beside)


def test_a_measured_ph_answers_whether_base_is_left_over() -> None:
    lines = (
        *_pair(),
        OIL,
        KEPT,
        Line("beeswax", 2, phase="oil"),
        Line("sodium hydroxide", 0.2, phase="water"),
    )
    assert "More base than fatty acid" in titles(hlb.check(formula(*lines)))
    assert "More base than fatty acid" not in titles(hlb.check(formula(*lines, ph=6.5)))


def test_a_chelator_is_no_salt_beside_a_carbomer() -> None:
    lines = (*_pair(), OIL, Line("carbomer", 0.3, phase="water"), Line("triethanolamine", 0.3, phase="water"))
    for name, pct, told in (("disodium EDTA", 0.1, False), ("sodium chloride", 0.1, True)):
        found = charge(hlb.work_out(formula(*lines, Line(name, pct, phase="water"))))
        assert ("carbomer with salt" in {f.title for f in found}) == told


def _pair() -> tuple[Line, Line]:
    return Line("sorbitan stearate", 2.5, phase="oil"), Line("polysorbate 60", 1.0, phase="oil")
