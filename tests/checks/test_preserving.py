"""Whether a product is preserved: presence, pH, amount, and what is left open."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore import Facts, Finding, Line
from hlbcore.checks.preserving import preserving

BASE = (Line("sunflower oil", 20, phase="oil"), Line("sorbitan stearate", 3, phase="oil"))
BENZOATE = Line("sodium benzoate", 0.5, phase="cool-down")
NO_PRESERVATIVE = "Water and no preservative"


def found(*lines: Line, kind: str = "o/w cream", ph: float | None = None) -> list[Finding]:
    held = (*BASE, *lines)
    rest = Line("water", 100 - sum(x.pct for x in held), phase="water")
    return preserving(hlb.work_out(hlb.Formula("x", kind, (*held, rest), facts=Facts(ph=ph))))


def only(*lines: Line, ph: float | None = None) -> tuple[str, str]:
    (one,) = found(*lines, ph=ph)
    return one.level, one.title


def test_water_without_a_preservative_is_a_stop() -> None:
    assert only() == ("stop", NO_PRESERVATIVE)


def test_a_slip_of_a_name_is_no_preservative() -> None:
    assert only(Line("beewax", 1, phase="oil")) == ("stop", NO_PRESERVATIVE)
    assert hlb.load_library().near("beewax")[0] == "beeswax"


def test_an_unknown_line_may_be_the_preservative() -> None:
    assert only(Line("zork guard", 1, phase="cool-down")) == (
        "caution",
        "Cannot tell whether it is preserved",
    )


def test_an_oil_that_is_said_to_be_one_is_no_preservative() -> None:
    assert only(Line("zork oil", 1, phase="oil", counts="oil")) == ("stop", NO_PRESERVATIVE)


@pytest.mark.parametrize(
    "name",
    [
        "propylene glycol (and) diazolidinyl urea (and) iodopropynyl butylcarbamate",
        "phenoxyethanol, caprylyl glycol, sorbic acid",
        "benzyl alcohol (and) dehydroacetic acid",
    ],
)
def test_a_blend_of_known_parts_preserves(name: str) -> None:
    assert found(Line(name, 0.8, phase="cool-down"), ph=5) == []


def test_a_blend_of_boosters_is_a_caution_and_one_booster_alone_a_stop() -> None:
    blend = Line("pentylene glycol (and) caprylyl glycol (and) ethylhexylglycerin", 1.5, phase="cool-down")
    assert only(blend) == ("caution", "Boosters only: no listed preservative")
    assert only(Line("ethylhexylglycerin", 0.3, phase="cool-down")) == ("stop", NO_PRESERVATIVE)


def test_alcohol_from_twenty_per_cent_on_takes_the_stop_away() -> None:
    assert only(Line("alcohol", 19.9, phase="water"))[0] == "stop"
    assert only(Line("alcohol", 20, phase="water")) == ("note", "No preservative but alcohol")


@pytest.mark.parametrize(("ph", "stopped"), [(5.0, False), (5.45, False), (5.5, True), (7.0, True)])
def test_benzoate_cannot_work_where_under_five_per_cent_of_its_acid_is_left(ph: float, stopped: bool) -> None:
    assert [f.level for f in found(BENZOATE, ph=ph)] == (["stop"] if stopped else [])


def test_a_dead_preservative_says_share_and_mend() -> None:
    (one,) = found(BENZOATE, ph=7)
    assert one.title == "sodium benzoate: cannot work at pH 7"
    assert "0.16 % of the acid is undissociated" in one.detail
    assert one.mend.startswith("Bring the pH to 5 or lower")


def test_a_partner_that_works_at_the_ph_saves_it() -> None:
    assert "stop" not in [f.level for f in found(BENZOATE, Line("DMDM hydantoin", 0.3), ph=7)]


@pytest.mark.parametrize(
    "line", [Line("alcohol", 25, phase="water"), Line("zork", 1, phase="water")], ids=["alcohol", "unknown"]
)
def test_beside_alcohol_or_an_unknown_line_it_is_a_caution(line: Line) -> None:
    assert [f.level for f in found(BENZOATE, line, ph=7)] == ["caution"]


@pytest.mark.parametrize(("pct", "level"), [(0.24, "stop"), (0.26, "caution")])
def test_below_half_of_the_lowest_use_it_is_none(pct: float, level: str) -> None:
    """Phenoxyethanol is in use from 0.5 % on; above the half the gap on yeast and mould is told."""
    (one,) = found(Line("phenoxyethanol", pct, phase="cool-down"))
    assert one.level == level
    assert ("too little to preserve" in one.title) == (level == "stop")


def test_two_small_amounts_add_up() -> None:
    lines = (Line("phenoxyethanol", 0.2, phase="cool-down"), Line("DMDM hydantoin", 0.09, phase="cool-down"))
    assert found(*lines) == []


def test_phenoxyethanol_alone_leaves_yeast_and_mould_open_and_a_partner_closes_it() -> None:
    line = Line("phenoxyethanol", 0.9, phase="cool-down")
    assert only(line) == ("caution", "phenoxyethanol alone leaves yeast and mould open")
    assert found(line, Line("ethylhexylglycerin", 0.1, phase="cool-down")) == []


@pytest.mark.parametrize(
    ("kind", "levels"),
    [
        ("wash-off scrub", ["caution"]),
        ("cleansing balm", ["caution"]),
        ("dispersing bath or cleansing oil", []),
        ("whipped butter", []),
    ],
)
def test_wet_hands_reach_an_open_jar_that_is_rinsed_off_and_nothing_else(
    kind: str, levels: list[str]
) -> None:
    view = hlb.work_out(hlb.Formula("x", kind, (Line("shea butter", 100, phase="oil"),)))
    assert [f.level for f in preserving(view)] == levels
