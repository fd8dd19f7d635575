"""Findings are few and ranked: background and what always stands come last, portions merged."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore import Finding, Formula, Line, Portion
from hlbcore.findings import LEVELS, background, first_screen, merged, worst_first

ALWAYS = {"Hot fat burns", "Who to ask", "Slippery tub and floor", "Package: no glass in the shower"}


def whole(kind: str, *lines: Line, portions: tuple[Portion, ...] = ()) -> list[Finding]:
    return hlb.check(Formula("x", kind, lines, portions=portions))


@pytest.mark.parametrize("name", hlb.example_formulas())
def test_what_decides_stands_first_and_what_always_stands_last(name: str) -> None:
    found = hlb.check(hlb.example_formula(name))
    order = [(f.always, f.aside, LEVELS.index(f.level)) for f in found]
    assert order == sorted(order)
    assert all(f.level == "note" for f in found if f.always or f.aside)
    assert found[-1].always


@pytest.mark.parametrize("name", hlb.example_formulas())
def test_no_title_stands_twice(name: str) -> None:
    titles = [f.title for f in hlb.check(hlb.example_formula(name))]
    assert len(set(titles)) == len(titles)


def test_standing_safety_lines_are_in_the_block_and_not_on_the_first_screen() -> None:
    found = whole("wash-off scrub", Line("shea butter", 40, phase="oil"), Line("sugar", 60, phase="solids"))
    assert {f.title for f in found if f.always} >= ALWAYS
    assert not ALWAYS & {f.title for f in first_screen(found)}


def test_two_per_cent_of_oil_make_no_tub_slippery() -> None:
    lines = (Line("coconut oil", 2, phase="oil"), Line("water", 98, phase="water"))
    assert "Slippery tub and floor" not in {f.title for f in whole("conditioner", *lines)}


def test_what_holds_for_every_portion_is_said_once_and_what_holds_for_some_with_their_names() -> None:
    base = (Line("shea butter", 40, phase="oil"), Line("sugar", 60, phase="solids"))
    scent = Line("fragrance", 1, phase="cool-down", portion="rose")
    portions = (Portion("rose", 40), Portion("plain", 60))
    titles = [f.title for f in whole("wash-off scrub", *base, scent, portions=portions)]
    assert titles.count("Who to ask") == 1
    assert titles.count("No preservative, and opened with wet hands") == 1
    papers = [t for t in titles if "papers of the supplier" in t]
    assert papers == [
        "x, rose: Fragrance: papers of the supplier are missing: maximum, allergens, heat limit"
    ]


def test_one_missing_ph_is_asked_for_once_whoever_asks() -> None:
    lines = (
        Line("sunflower oil", 15, phase="oil"),
        Line("sodium stearoyl lactylate", 4, phase="oil"),
        Line("sodium benzoate", 0.4, phase="cool-down"),
        Line("water", 80.6, phase="water"),
    )
    (one,) = [f for f in whole("o/w cream", *lines) if "pH is missing" in f.title]
    assert (one.level, one.title) == ("caution", "pH is missing")
    assert "sodium benzoate" in one.detail
    assert "lactylate" in one.detail


def test_background_keeps_a_stop() -> None:
    stop, caution = Finding("stop", "a"), Finding("caution", "b")
    assert background([stop, caution]) == (stop, Finding("note", "b", aside=True))


def test_merging_keeps_the_worst_level_and_all_that_is_said() -> None:
    one = Finding("note", "t", "One.", "1 %", "r", "Do.", aside=True)
    two = Finding("caution", "t", "Two.", "2 %", "r", "Do.")
    assert merged([one, two]) == (Finding("caution", "t", "One. Two.", "1 %; 2 %", "r", "Do."),)


def test_levels_rank_within_the_first_screen_only() -> None:
    aside, always = Finding("note", "a", aside=True), Finding("note", "b", always=True)
    assert worst_first([always, aside, Finding("note", "c")])[0].title == "c"
    assert worst_first([always, aside])[-1] == always


def test_a_mend_never_names_what_stands_there_already() -> None:
    """The blend that the mend of an outside verdict names is another one."""
    lines = (
        Line("sunflower oil", 20, phase="oil"),
        Line("sorbitan stearate", 1, phase="oil"),
        Line("polysorbate 60", 3, phase="oil"),
        Line("water", 76, phase="water"),
    )
    (verdict,) = [f for f in whole("o/w cream", *lines) if f.title == "Emulsifiers: outside"]
    assert "At the same total" in verdict.mend
    assert "1.00 % sorbitan stearate" not in verdict.mend
    assert "window" not in verdict.mend
