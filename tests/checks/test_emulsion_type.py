"""Whether there is an emulsifier of the right type, without HLB."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore import Finding, Line
from hlbcore.checks.emulsion_type import emulsion_type

OIL = Line("sunflower oil", 20, phase="oil")
CETYL = Line("cetyl alcohol", 3, phase="oil")
SPAN = Line("sorbitan oleate", 4, phase="oil")
TWEEN = Line("polysorbate 80", 4, phase="oil")


def found(*lines: Line, kind: str = "o/w cream") -> list[Finding]:
    rest = Line("water", 100 - sum(x.pct for x in lines), phase="water")
    return emulsion_type(hlb.work_out(hlb.Formula("x", kind, (*lines, rest))))


def test_oil_and_water_without_an_emulsifier_is_a_stop_whatever_wax_and_alcohol() -> None:
    (one,) = found(OIL, CETYL, Line("beeswax", 5, phase="oil"))
    assert (one.level, one.title) == ("stop", "No emulsifier")
    assert one.figure == "28 % oil phase, 72 % water"


@pytest.mark.parametrize(
    "line",
    [
        Line("gum arabic", 2, phase="water"),
        Line("hydrolyzed oat protein", 1, phase="water"),
        Line("acrylates/C10-30 alkyl acrylate crosspolymer", 0.3, phase="water"),
        Line("quillaja extract", 1, phase="water"),
    ],
    ids=lambda x: x.name,
)
def test_what_may_hold_oil_by_itself_is_never_stopped(line: Line) -> None:
    assert "stop" not in [f.level for f in found(OIL, line)]


def test_an_unknown_line_may_be_the_emulsifier() -> None:
    (one,) = found(OIL, Line("zork complex", 4, phase="oil"))
    assert (one.level, one.title) == ("caution", "Cannot tell whether there is an emulsifier")
    assert one.detail.endswith("These lines are unknown: zork complex.")


def test_a_line_said_to_be_a_preservative_is_no_unknown_emulsifier() -> None:
    (one,) = found(OIL, Line("zork guard", 1, phase="cool-down", counts="preservative"))
    assert one.title == "No emulsifier"


def test_soap_made_in_the_pot_is_the_emulsifier() -> None:
    (one,) = found(OIL, Line("stearic acid", 4, phase="oil"), Line("triethanolamine", 1, phase="water"))
    assert (one.level, one.title) == ("note", "The emulsifier is soap")


def test_a_w_o_cream_of_wax_alone_may_weep_water() -> None:
    (one,) = found(OIL, Line("beeswax", 8, phase="oil"), kind="w/o cream")
    assert (one.level, one.title) == ("caution", "No emulsifier: held by the wax, may weep water")


@pytest.mark.parametrize(
    ("line", "kind", "other"), [(SPAN, "o/w cream", "w/o"), (TWEEN, "w/o cream", "o/w")], ids=["o/w", "w/o"]
)
def test_only_emulsifiers_of_the_other_type_are_a_stop(line: Line, kind: str, other: str) -> None:
    (one,) = found(OIL, line, kind=kind)
    assert (one.level, one.title) == ("stop", f"Only emulsifiers of the other type ({other})")


def test_an_unknown_line_may_be_the_partner() -> None:
    (one,) = found(OIL, SPAN, Line("zork complex", 2, phase="oil"))
    assert (one.level, one.title) == ("caution", "Cannot tell the type of emulsion")


@pytest.mark.parametrize("partner", ["glyceryl stearate", "lecithin"])
def test_a_partner_that_serves_both_makes_it_a_caution(partner: str) -> None:
    (one,) = found(OIL, SPAN, Line(partner, 2, phase="oil"))
    assert (one.level, one.title) == ("caution", "Only half of an emulsifier system")


def test_glyceryl_stearate_alone_is_half_a_system_in_o_w() -> None:
    (one,) = found(OIL, Line("glyceryl stearate", 4, phase="oil"))
    assert one.title == "Only half of an emulsifier system"


@pytest.mark.parametrize(
    "lines",
    [
        (SPAN, TWEEN),
        (TWEEN,),
        (Line("cetearyl olivate (and) sorbitan olivate", 5, phase="oil"),),
        (Line("glyceryl stearate (and) PEG-100 stearate", 4, phase="oil"),),
        (Line("glyceryl stearate", 2, phase="oil"), Line("ceteareth-20", 2, phase="oil")),
    ],
    ids=["pair", "hydrophilic alone", "olivate", "ready", "weighed apart"],
)
def test_a_system_of_the_right_type_says_nothing(lines: tuple[Line, ...]) -> None:
    assert found(OIL, *lines) == []


@pytest.mark.parametrize("kind", ["whipped butter", "wash-off scrub", "cleansing balm"])
def test_a_product_without_water_asks_for_none(kind: str) -> None:
    assert emulsion_type(hlb.work_out(hlb.Formula("x", kind, (Line("shea butter", 100, phase="oil"),)))) == []
