"""Figures of the lessons: numbers by plain arithmetic, labels with units, words that move."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest
from matplotlib.figure import Figure

from hlbcore import InvalidInput, load_library, plots
from hlbcore.blending.dose import pair_start
from hlbcore.lessons import Question, lesson_text, lesson_texts
from hlbcore.lessons.texts import USES
from hlbcore.plots.lesson_doubts import DOUBTED
from hlbcore.plots.lessons import LessonFigure, lesson_figure

KEYS = tuple(lesson.key for lesson in lesson_texts())
each_lesson = pytest.mark.parametrize("key", KEYS)


def at(key: str, value: float) -> str:
    return plots.words(lesson_figure(key).draw(value))


@each_lesson
def test_every_lesson_has_a_figure_of_readable_width(key: str) -> None:
    held = lesson_figure(key)
    figure = held.draw(held.start)
    assert isinstance(held, LessonFigure)
    assert isinstance(figure, Figure)
    assert figure.get_figwidth() == plots.WIDTH_IN


@each_lesson
def test_the_slider_starts_between_its_ends_on_a_step(key: str) -> None:
    held = lesson_figure(key)
    assert held.low <= held.start <= held.high
    assert (held.start - held.low) % held.step == 0
    assert (held.high - held.low) % held.step == 0


@each_lesson
def test_the_whole_way_of_the_slider_can_be_drawn_and_moves_the_words(key: str) -> None:
    held = lesson_figure(key)
    steps = round((held.high - held.low) / held.step)
    said = [at(key, held.low + n * held.step) for n in range(steps + 1)]
    assert len(set(said)) > steps / 2


@each_lesson
def test_axes_say_what_they_show_and_its_unit(key: str) -> None:
    axes = lesson_figure(key).draw(lesson_figure(key).start).axes[0]
    assert axes.get_xlabel().endswith("]")
    assert axes.get_ylabel().endswith("]") or list(axes.get_yticks()) == []


@each_lesson
def test_svg_is_valid_and_the_same_each_time(key: str) -> None:
    held = lesson_figure(key)
    svg = plots.to_svg(held.draw(held.start))
    assert ElementTree.fromstring(svg).tag == "{http://www.w3.org/2000/svg}svg"
    assert svg == plots.to_svg(held.draw(held.start))


@pytest.mark.parametrize("bad", [float("nan"), -1.0, 1e308, "<b>"], ids=str)
@each_lesson
def test_a_number_out_of_range_is_refused(key: str, bad: float) -> None:
    with pytest.raises(InvalidInput):
        lesson_figure(key).draw(bad)


def test_a_lesson_that_is_none_is_refused() -> None:
    with pytest.raises(InvalidInput, match="there is none of that name"):
        lesson_figure("nothing")


# --- the numbers, by plain arithmetic


@pytest.mark.parametrize("pct", [20, 45, 75])
def test_hlb_of_a_share_is_a_fifth_of_it(pct: float) -> None:
    assert f"has HLB {pct / 5:.1f}: " in at("what", pct)


@pytest.mark.parametrize(
    ("pct", "uses"),
    [
        (20, "makes water-in-oil (w/o)"),
        (35, "wets"),
        (32, "between the usual uses"),
        (50, "makes oil-in-water (o/w)"),
        (80, "makes oil-in-water (o/w), dissolves a little oil"),
        (95, "between the usual uses"),
    ],
)
def test_uses_are_those_whose_span_holds_the_hlb(pct: float, uses: str) -> None:
    assert f": {uses}. Nearest" in at("what", pct)


def test_spans_of_the_uses_are_those_of_the_text() -> None:
    told = lesson_text("what").text
    assert [f"{low:g} to {high:g}" in told for _, low, high in USES] == [True] * len(USES)


def test_nearest_emulsifiers_carry_no_charge_and_are_the_nearest() -> None:
    named = at("what", 75).partition("tables: ")[2].rstrip(".").split(", ")
    listed = sorted(
        abs(i.hlb.value - 15.0)
        for i in load_library().emulsifiers
        if i.hlb is not None and i.charge == "nonionic"
    )
    assert [abs(float(n.rpartition(" ")[2].strip("()")) - 15.0) for n in named] == pytest.approx(listed[:3])


@pytest.mark.parametrize("share", [0, 25, 60, 100])
def test_two_oils_are_weighted_by_their_shares(share: float) -> None:
    mean = (share * 14 + (100 - share) * 6) / 100
    assert f"requires HLB {mean:.1f} ({mean - 1:.1f} to {mean + 1:.1f})" in at("required", share)


@pytest.mark.parametrize("target", [5, 8.5, 10, 14.5])
def test_a_pair_is_split_by_the_way_to_the_target(target: float) -> None:
    share = 100 * (target - 4.7) / (14.9 - 4.7)
    assert f"takes {share:.1f} % polysorbate 60" in at("blend", target)


@pytest.mark.parametrize("target", [3, 4.5, 15, 18])
def test_a_target_beyond_the_pair_is_out_of_reach(target: float) -> None:
    assert at("blend", target).endswith("reach 4.7 to 14.9.")
    drawn = lesson_figure("blend").draw(target).axes[0]
    assert [line.get_marker() for line in drawn.lines].count("D") == 0


@pytest.mark.parametrize("oil", [5, 20, 60])
def test_the_dose_starts_where_a_neat_pair_does_and_print_stands_beside(oil: float) -> None:
    said = at("amount", oil)
    assert f"An oil phase of {oil} % of the formula starts at {pair_start(oil):.1f} % of emulsifier" in said
    assert "print shows 2.1 to 8.0 % of the formula or 9.2 to 32 % of the oil phase" in said


@pytest.mark.parametrize("share", [0, 20, 30, 35, 100])
def test_a_swap_moves_the_mean_by_share_times_difference(share: float) -> None:
    moved = 0.4 * share / 100 * (14 - 6)
    said = at("swap", share)
    assert f"required HLB is {6.6 + moved:.1f} instead of 6.6" in said
    assert ("the old blend may stay" in said) == (moved <= 1)


def test_scatter_widens_the_interval_until_nothing_is_left() -> None:
    said = [at("ladder", scatter).partition("true optimum 10.0: ")[2] for scatter in (0, 10, 20, 30)]
    found = [re.match(r"clear optimum at HLB (\S+) \((\S+) to (\S+)\)", text) for text in said]
    assert found[0] is not None
    assert found[1] is not None
    (best, low, high), (_, lower, higher) = ([float(x) for x in f.groups()] for f in found[:2] if f)
    assert best == 10.0
    assert lower < low < best < high < higher
    assert found[3] is None


@pytest.mark.parametrize(
    ("vials", "made", "scatter", "told"),
    [
        (7, 1, 10, "7 single vials answered in about 75 of 100 at a scatter of 10 %"),
        (5, 2, 20, "5 vials twice each answered in about 65 of 100 at a scatter of 20 %"),
        (9, 1, 0, "9 single vials answered in about 85 of 100 at a scatter of 5 % or less"),
        (9, 2, 30, "9 vials twice each answered in about 60 of 100 at a scatter of 30 % or more"),
    ],
)
def test_a_ladder_tells_how_often_its_like_answer(vials: int, made: int, scatter: float, told: str) -> None:
    figure = lesson_figure("ladder").draw(scatter, vials=vials, made=made)
    assert told in plots.words(figure)
    readings = next(line for line in figure.axes[0].lines if line.get_marker() == "o")
    assert len(readings.get_xdata()) == vials * made
    (chosen,) = (line for line in figure.axes[1].lines if line.get_marker() == "D")
    assert f"about {chosen.get_ydata()[0]:.0f} of 100" in plots.words(figure)


def test_a_ladder_made_again_scatters_otherwise_and_comes_back() -> None:
    said = [plots.words(lesson_figure("ladder").draw(10, draw=n)) for n in (1, 2, 1)]
    assert said[0] == said[2] != said[1]


@pytest.mark.parametrize("chosen", [{"vials": 6}, {"made": 3}, {"vials": "<b>"}])
def test_a_ladder_that_was_not_simulated_is_refused(chosen: dict[str, int]) -> None:
    with pytest.raises(InvalidInput, match="was not simulated"):
        lesson_figure("ladder").draw(10, **chosen)


@each_lesson
def test_a_guess_is_a_dotted_line_where_it_lies_on_the_figure(key: str) -> None:
    held = lesson_figure(key)

    def dotted(question: Question, guess: float | None) -> int:
        axes = held.draw(question.at, question=question, guess=guess, **question.more).axes[0]
        return sum(text.get_text() == "your guess" for text in axes.texts)

    for question in held.questions:
        assert dotted(question, question.answer) == bool(question.axis)
        assert dotted(question, None) == dotted(question, -1e300) == 0
        assert held.low <= question.at <= held.high


@pytest.mark.parametrize("window", [0.5, 1, 3, 5])
def test_an_oil_is_covered_when_both_ends_lie_in_the_window(window: float) -> None:
    covered, _, rest = at("limits", window).partition("; not for ")
    for name in DOUBTED:
        held = load_library().oil(name).required_hlb("o/w")
        assert held is not None
        inside = max(held.high - held.value, held.value - held.low) <= window
        assert (name in covered, name in rest) == (inside, not inside)
