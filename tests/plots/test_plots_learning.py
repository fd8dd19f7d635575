"""The figure of bench figures: bars as the numbers say, and the numbers in words."""

from __future__ import annotations

import pytest

from hlbcore import BenchResult, learn
from hlbcore.plots.learning import OILS_MOST, before_and_after
from hlbcore.plots.style import to_svg, words

PAIR = ("sorbitan oleate", "polysorbate 80")
MADE = learn(
    [
        BenchResult({"mineral oil": 1}, PAIR, 11.0, 10.4, 11.6),
        BenchResult({"mineral oil": 1, "shea butter": 1}, PAIR, 9.9, 9.4, 10.4),
    ]
)


def test_bars_span_the_tables_and_lines_the_interval() -> None:
    (axes,) = before_and_after(MADE).axes
    rows = MADE.figures.iloc[:2]
    bars = [(b.get_x(), b.get_x() + b.get_width()) for b in axes.patches]
    assert bars == [pytest.approx(r) for r in zip(rows["tables_low"], rows["tables_high"], strict=True)]
    lines = [tuple(x.get_xdata()) for x in axes.lines if len(x.get_xdata()) == 2]
    assert lines == [pytest.approx(r) for r in zip(rows["low"], rows["high"], strict=True)]


def test_only_oils_of_ladders_are_drawn_and_each_is_told() -> None:
    figure = before_and_after(MADE)
    assert [t.get_text() for t in figure.axes[0].get_yticklabels()] == ["mineral oil", "shea butter"]
    assert words(figure).count("learned") == 2
    assert len(MADE.figures) > OILS_MOST


def test_without_ladders_it_says_so_and_the_same_figure_gives_the_same_file() -> None:
    assert words(before_and_after(learn([]))) == "No ladder yet."
    assert to_svg(before_and_after(MADE)) == to_svg(before_and_after(MADE))
