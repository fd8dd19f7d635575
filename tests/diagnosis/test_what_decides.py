"""Causes that only the figures of the formula can put first."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore import Line


def first(kind: str, symptom: str, *lines: Line) -> tuple[str, bool]:
    cause = hlb.diagnose(hlb.Formula("x", kind, lines), symptom=symptom).causes[0]
    return cause.cause, cause.points


def test_a_jar_that_is_too_soft_holds_too_little_that_is_solid() -> None:
    lines = (
        Line("sunflower oil", 85, phase="oil"),
        Line("beeswax", 5, phase="oil"),
        Line("polysorbate 80", 10),
    )
    assert first("cleansing balm", "too soft", *lines) == ("too little that is solid", True)


@pytest.mark.parametrize(("parts", "points"), [(1.0, True), (2.0, False)])
def test_a_cloudy_spray_is_short_of_solubiliser_below_the_median_of_print(parts: float, points: bool) -> None:
    lines = (
        Line("lavender essential oil", 1, phase="water"),
        Line("polysorbate 20", parts, phase="water"),
        Line("water", 99 - parts, phase="water"),
    )
    assert first("clear solubilised product", "cloudy", *lines) == (
        "too little solubiliser for this scent",
        points,
    )


def test_much_oil_in_the_cool_down_thins_a_cream() -> None:
    lines = (
        Line("glyceryl stearate (and) PEG-100 stearate", 5, phase="oil"),
        Line("cetyl alcohol", 2, phase="oil"),
        Line("sunflower oil", 12, phase="cool-down"),
        Line("water", 81, phase="water"),
    )
    assert first("o/w cream", "thin", *lines) == ("oil stirred in at the cool-down", True)


@pytest.mark.parametrize("name", ["polysorbate 80", "sorbitan stearate"])
def test_one_emulsifier_alone_is_half_a_system_on_either_side(name: str) -> None:
    lines = (
        Line("sunflower oil", 20, phase="oil"),
        Line(name, 4, phase="oil"),
        Line("water", 76, phase="water"),
    )
    assert first("o/w cream", "split at once", *lines) == ("only half of an emulsifier system", True)


def test_the_hlb_is_a_cause_only_where_the_verdict_says_outside() -> None:
    """A ready blend far from the required HLB is no cause: its supplier's rate judges it."""
    oil, water = Line("sunflower oil", 20, phase="oil"), Line("water", 76, phase="water")
    ready = (oil, Line("glyceryl stearate (and) PEG-100 stearate", 4, phase="oil"), water)
    off = (oil, Line("sorbitan stearate", 0.5, phase="oil"), Line("polysorbate 60", 3.5, phase="oil"), water)
    held = {}
    for name, lines in (("ready", ready), ("off", off)):
        causes = hlb.diagnose(hlb.Formula("x", "o/w cream", lines), symptom="split next day").causes
        held[name] = [c.points for c in causes if c.cause == "the blend misses the required HLB"]
    assert held == {"ready": [False], "off": [True]}
