"""Figures of a ladder: what is drawn, and the numbers in words."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore.ladder.families import family_ladder, loading_ladder
from hlbcore.ladder.ladder import Vial
from hlbcore.ladder.result import read_ladder
from hlbcore.ladder.rinse import clarity_ladder, rinse_ladder
from hlbcore.plots.ladder import MARKERS, response_plot
from hlbcore.plots.style import WIDTH_IN, to_svg, words

OIL = {"mineral oil": 20}
LADDER = hlb.plan_ladder(
    "sorbitan oleate", "polysorbate 80", centre=10, half_width=3, oil_phase=OIL, duplicates=2
)
SCORES = [0, 2, 3, 4, 4, 3, 1, 4, 3]


def recorded(*more: hlb.Observation, ladder: hlb.Ladder = LADDER, times: int = 1) -> hlb.Trial:
    seen = [
        hlb.Observation(v.number, 24.0 * k, "score", SCORES[n])
        for k in range(1, times + 1)
        for n, v in enumerate(ladder.vials)
    ]
    return hlb.Trial(ladder, observations=(*seen, *more))


def labels(trial: hlb.Trial) -> list[str]:
    figure = response_plot(trial, read_ladder(trial))
    (legend,) = figure.legends
    return [t.get_text() for t in legend.get_texts()]


def test_every_reading_is_a_point() -> None:
    trial = recorded(times=2)
    (axes,) = response_plot(trial, read_ladder(trial)).axes
    drawn = sum(len(x.get_xdata()) for x in axes.lines if x.get_marker() in MARKERS[:2])
    assert drawn >= 2 * len(LADDER.vials)


def test_times_have_their_own_marker() -> None:
    assert labels(recorded(times=3)) == ["1 day", "2 days", "3 days"]


def test_points_that_coincide_stand_side_by_side() -> None:
    trial = recorded()
    (axes,) = response_plot(trial, read_ladder(trial)).axes
    points = [
        (x, y)
        for line in axes.lines
        if line.get_marker() == "o"
        for x, y in zip(line.get_xdata(), line.get_ydata(), strict=True)
    ]
    assert len(set(points)) == len(points)


def test_duplicates_are_said_in_the_title() -> None:
    trial = recorded()
    (axes,) = response_plot(trial, read_ladder(trial)).axes
    assert "hollow: made again" in axes.get_title(loc="left")


def test_a_vial_of_the_other_type_is_marked() -> None:
    trial = recorded(hlb.Observation(1, 0, "drop in water", 0))
    assert "not o/w" in labels(trial)
    named = trial.ladder.vial(1).label
    assert f"Not o/w, left out of the fit: vial {named}." in words(response_plot(trial, read_ladder(trial)))


def test_words_hold_verdict_tables_and_readings() -> None:
    trial = recorded()
    result = read_ladder(trial)
    said = words(response_plot(trial, result, hlb.Estimate(11, 10, 12)))
    assert result.sentence in said
    assert "The tables say 11.0 (10.0 to 12.0)." in said
    assert "HLB 9.0: 3" in said


def test_both_ranges_are_named_in_the_figure() -> None:
    trial = recorded()
    result = read_ladder(trial)
    assert result.fit is not None
    (axes,) = response_plot(trial, result, hlb.Estimate(11, 10, 12)).axes
    said = [t.get_text() for t in axes.texts]
    assert said == ["tables 11.0", f"measured {result.fit.optimum:.1f}"]


def test_the_figure_has_the_width_of_the_others() -> None:
    trial = recorded()
    assert response_plot(trial, read_ladder(trial)).get_size_inches()[0] == WIDTH_IN


@pytest.mark.parametrize(
    ("kind", "first"),
    [
        ("family", "Ties: "),
        ("loading", "Threshold: 15.2 % of the oils"),
        ("rinse", "Ties: HLB 7.0, 17.6 % of the oils, "),
        ("clarity", "Threshold: 3 parts of solubiliser per part of scent"),
    ],
)
def test_ladders_of_other_kinds_show_their_vials_side_by_side(kind: str, first: str) -> None:
    ladder = {
        "family": lambda: family_ladder(10.5, oil_phase=OIL),
        "loading": lambda: loading_ladder("sorbitan oleate", "polysorbate 80", hlb=10.5, oil_phase=OIL),
        "rinse": lambda: rinse_ladder("wash-off scrub", oil_phase={"sunflower oil": 80}),
        "clarity": lambda: clarity_ladder({"lavender oil": 0.5}),
    }[kind]()
    trial = recorded(ladder=ladder)
    figure = response_plot(trial, read_ladder(trial))
    (axes,) = figure.axes
    assert [t.get_text() for t in axes.get_xticklabels()] == [v.label for v in ladder.vials]
    assert words(figure).startswith(first)
    assert ". Best by score after 1 day, 4: vial " in words(figure)


@pytest.mark.parametrize(
    ("kind", "values"),
    [
        ("oil layer", [9, 6, 3, 1, 2, 5, 8]),
        ("droplet size", [9, 6, 3, 1, 2, 5, 8]),
        ("separated", [1, 1, 0, 0, 0, 1, 1]),
    ],
)
def test_every_kind_of_reading_can_be_drawn(kind: str, values: list[float]) -> None:
    seen = [
        hlb.Observation(n, 24, kind, x, of=40 if kind == "oil layer" else None)
        for n, x in enumerate(values, 1)
    ]
    trial = hlb.Trial(LADDER, observations=tuple(seen))
    (axes,) = response_plot(trial, read_ladder(trial)).axes
    assert axes.get_ylabel().startswith(kind)


def test_nothing_read_has_no_figure() -> None:
    trial = hlb.Trial(LADDER)
    with pytest.raises(hlb.InvalidInput, match="nothing was read"):
        response_plot(trial, read_ladder(trial))


def test_a_name_with_markup_is_drawn_as_text() -> None:
    vials = tuple(Vial(v.number, f"<b>{v.number}$x$", v.order, v.grams, v.target_hlb) for v in LADDER.vials)
    ladder = hlb.Ladder("loading", vials, LADDER.emulsifiers, LADDER.oils)
    trial = recorded(ladder=ladder)
    svg = to_svg(response_plot(trial, read_ladder(trial)))
    assert b"<b>" not in svg
