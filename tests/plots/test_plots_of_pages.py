"""The figures that pages alone show hold the numbers of what they draw, and say them in words."""

from __future__ import annotations

from typing import Any

import pytest

import hlbcore as hlb
from hlbcore import Formula, Line, example_formula, plots, work_out
from hlbcore.plots.blend import BARS_MOST
from hlbcore.plots.jar import (
    pouring_chart,
    pouring_words,
    settled_chart,
    settled_words,
    softness_chart,
    softness_words,
)
from hlbcore.plots.page import axis, axis_words, contributions_chart
from hlbcore.plots.shelf import systems_chart, systems_words
from hlbcore.rules.jar.sheet import Jar, JarSheet, work_out_jar
from hlbcore.shelf.screening import screened

PAIR = {"a": 4.0, "b": 15.0, "c": 9.0}


def values(chart: dict[str, Any] | None, layer: int) -> list[dict[str, Any]]:
    assert chart is not None
    found: list[dict[str, Any]] = chart["layer"][layer]["data"]["values"]
    return found


def scrub(sugar: float, oil: float, **facts: str) -> Jar:
    lines = [Line("sugar", sugar, phase="solids"), Line("olive oil", oil)]
    return work_out_jar(work_out(Formula("x", "wash-off scrub", lines, facts=facts)))


def test_a_settled_jar_is_full_from_bottom_to_top() -> None:
    grains = scrub(40, 60).grains
    assert grains is not None
    assert grains.clear is not None
    bars = values(settled_chart(grains), 0)
    for jar in dict.fromkeys(b["jar"] for b in bars):
        clear, bed = (b for b in bars if b["jar"] == jar)
        assert (bed["from"], bed["to"], clear["to"]) == (0.0, clear["from"], 100.0)
    assert [100 - b["to"] for b in bars if b["what"] == "grains"] == pytest.approx(
        [0.0, 100 * grains.clear[0], 100 * grains.clear[1]]
    )


@pytest.mark.parametrize(
    ("jar", "said"),
    [
        (scrub(40, 60), "If all settles,"),
        (scrub(66, 34), "Packed; shaken down it may show up to"),
        (scrub(85, 15), "The grains fill the jar as a bed"),
    ],
)
def test_the_clear_layer_is_told(jar: Jar, said: str) -> None:
    assert jar.grains is not None
    assert settled_words(jar.grains).startswith(said)


def test_grains_of_unknown_volume_have_no_picture() -> None:
    coffee = [Line("ground coffee", 40, phase="solids", counts="powder"), Line("olive oil", 60)]
    grains = work_out_jar(work_out(Formula("x", "wash-off scrub", coffee))).grains
    assert grains is not None
    assert settled_chart(grains) is None
    assert settled_words(grains) == "The volume of the grains is not known."


def test_pouring_shows_each_fat_and_the_temperature_after_mixing() -> None:
    jar = work_out_jar(work_out(example_formula()), JarSheet(oil_c="75", water_c="25"))
    pouring = jar.pourings[0]
    chart = pouring_chart(pouring, jar.sets)
    assert values(chart, 0)[0]["says"] == f"{pouring.mixed.value:.0f} °C"
    beeswax = next(r for r in values(chart, 1) if r["fat"] == "beeswax")
    assert (beeswax["kind"], beeswax["range"]) == ("melts", "61 to 66 °C")
    assert "beeswax melts at 61 to 66 °C" in pouring_words(pouring, jar.sets)
    assert pouring_chart(pouring, ()) is None


def test_softness_is_drawn_and_told_for_each_place() -> None:
    made = work_out_jar(work_out(Formula("x", "whipped butter", [Line("cocoa butter", 100)]))).softness
    assert made is not None
    assert softness_chart(made)["layer"]
    said = softness_words(made)
    for place in made.places:
        assert f"{place.place} {place.low:.0f} to {place.high:.0f} % solid, {place.word}" in said


def test_words_of_the_axis_stand_where_there_is_room() -> None:
    made = {}
    for name, oil, with_it in (
        ("low", "olive oil", "sorbitan oleate"),
        ("high", "stearic acid", "polysorbate 80"),
    ):
        lines = [Line(oil, 20, counts="oil"), Line(with_it, 4), Line("water", 76)]
        held = axis(work_out(Formula("x", "o/w cream", lines)))
        assert held is not None
        made[name] = held.words[0]
        assert all(row.width >= 0 for row in held.rows)
    assert made == {"low": "left", "high": "right"}


def test_without_an_oil_phase_or_a_blend_there_is_less_to_draw() -> None:
    bare, oil = work_out(Formula()), work_out(Formula(lines=[Line("olive oil", 20), Line("water", 80)]))
    assert axis(bare) is contributions_chart(bare) is None
    assert axis_words(bare) == ""
    assert axis_words(oil).endswith("window 6.0 to 8.0.")
    held = axis(oil)
    assert held is not None
    assert [row.side for row in held.rows] == ["asked"]


@pytest.mark.parametrize(
    ("asked", "title"),
    [
        ({"cost": {"a": 5.0, "b": 9.0, "c": 7.0}}, "cost per kg of formula"),
        ({"objective": "least total", "total": (2, 6), "limits": {"a": (1.5, 6)}}, "dose [% of formula]"),
        ({"total": 4}, "window left by all doubts [HLB]"),
    ],
)
def test_systems_stand_against_what_tells_them_apart(asked: dict[str, Any], title: str) -> None:
    chart = systems_chart(screened(PAIR, 10.0, **asked))
    assert chart is not None
    assert chart["encoding"]["y"]["axis"]["title"] == title or title in str(chart)


def test_systems_are_counted_in_words() -> None:
    assert systems_words(screened({"a": 4.0}, 10.0)) == "No system."
    assert systems_words(screened({"a": 10.0}, 10.0)) == "1 system, each of one emulsifier alone."
    assert systems_chart(screened({"a": 4.0}, 10.0)) is None


def test_many_oils_share_the_last_bar() -> None:
    names = [i.common_name for i in hlb.load_library().oils if i.required_hlb() is not None]
    figure = plots.contributions(hlb.required_hlb(dict.fromkeys(names, 1.0)))
    assert "others together" in plots.style.words(figure)
    assert len(figure.axes[0].patches) == BARS_MOST
