"""What once was noise: a doubt that decides nothing, a remark on the commonest blend, an absurd mend."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore import Facts, Finding, Line
from hlbcore.findings import first_screen

OIL = Line("sunflower oil", 15, phase="oil")
PAIR = (Line("sorbitan stearate", 2.5, phase="oil"), Line("polysorbate 60", 1.0, phase="oil"))
READY = Line("glyceryl stearate (and) PEG-100 stearate", 4, phase="oil")
KEPT = Line("phenoxyethanol (and) ethylhexylglycerin", 0.9, phase="cool-down")


def said(*lines: Line, kind: str = "o/w cream", **facts: object) -> list[Finding]:
    rest = Line("water", 100 - sum(x.pct for x in lines), phase="water")
    known = Facts(**facts)  # type: ignore[arg-type]
    return hlb.check(hlb.Formula("x", kind, (*lines, rest), facts=known))


def titles(found: list[Finding]) -> set[str]:
    return {f.title for f in first_screen(found)}


def test_a_disputed_figure_is_background_where_a_suppliers_rate_judges() -> None:
    disputed = Line("caprylic/capric triglyceride", 12, phase="oil")
    title = "Sources disagree on caprylic/capric triglyceride"
    assert title in titles(said(disputed, *PAIR, KEPT))
    by_rate = said(disputed, READY, KEPT)
    assert title not in titles(by_rate)
    assert title in {f.title for f in by_rate if f.aside}


def test_half_a_per_cent_without_a_figure_moves_nothing_and_is_background() -> None:
    found = said(OIL, Line("tocopheryl acetate", 0.5, phase="oil"), *PAIR, KEPT)
    assert not any("tocopheryl acetate" in t for t in titles(found))


def test_the_commonest_blend_brings_no_word_on_boosters() -> None:
    assert not any("Booster" in t for t in titles(said(OIL, *PAIR, KEPT)))


def test_less_ethoxylate_than_preservative_asks_no_question() -> None:
    question = "Question for a laboratory: preservative and ethoxylated emulsifier"
    pair = (Line("sorbitan stearate", 3, phase="oil"), Line("polysorbate 60", 0.3, phase="oil"))
    assert question not in {f.title for f in said(OIL, *pair, KEPT)}
    assert question in {f.title for f in said(OIL, *PAIR, KEPT)}


@pytest.mark.parametrize(("share", "asked"), [(1.0, True), (35.0, False)])
def test_no_mend_asks_for_next_to_no_fragrance(share: float, asked: bool) -> None:
    """At 35 % linalool only 0.0028 % fragrance would be below the threshold."""
    found = said(
        OIL,
        *PAIR,
        KEPT,
        Line("fragrance", 0.5, phase="cool-down"),
        fragrance_max_pct=1.0,
        fragrance_allergens=(("linalool", share),),
    )
    (one,) = [f for f in found if f.title == "Allergens to name on an EU label"]
    assert ("With the fragrance at" in one.mend) == asked


def test_a_colour_known_by_its_word_alone_is_asked_for_not_stopped() -> None:
    scrub = (Line("shea butter", 40, phase="oil"), Line("sugar", 59, phase="solids"))
    lines = (*scrub, Line("pink mica", 1, phase="solids"))
    found = hlb.check(hlb.Formula("x", "wash-off scrub", lines))
    (one,) = [f for f in found if f.title.startswith("pink mica")]
    assert (one.level, one.title) == ("caution", "pink mica: an unknown colour")


def test_a_helper_below_its_own_rate_is_no_finding_and_above_it_is() -> None:
    wax = "cetearyl alcohol (and) ceteareth-20"
    for pct, told in ((1.0, False), (5.0, True)):
        found = said(OIL, Line(READY.name, 6, phase="oil"), Line(wax, pct, phase="oil"), KEPT)
        assert any(t.startswith("Outside the supplier's range") for t in titles(found)) == told


def test_liquid_hydrophiles_may_sink_in_a_bottle_of_oil_and_the_title_names_them() -> None:
    lines = (Line("almond oil", 80, phase="oil"), Line("polysorbate 80", 20, phase="oil"))
    found = hlb.check(hlb.Formula("x", "dispersing bath or cleansing oil", lines))
    assert found[0].title == "polysorbate 80 may not stay dissolved in the oil"
    assert found[0].figure == "20 % of the formula"
