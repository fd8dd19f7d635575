"""Figures, one file a stage: every function takes results and returns a matplotlib Figure.

- `style`: palette, sizes, words and files
- `blend`, `swap`, `ladder`: figures of an oil phase and its blend, of a swap, of a bench ladder
- `lessons`: figures of the lessons
"""

from hlbcore.plots.blend import contributions, hlb_axis, of_formula, ratio, ratio_and_total, triangle
from hlbcore.plots.ladder import response_plot
from hlbcore.plots.lessons import LessonFigure, lesson_figure
from hlbcore.plots.style import (
    BLEND,
    EMULSIFIER,
    INK,
    REGION_FILL,
    TARGET,
    WIDTH_IN,
    WINDOW_FILL,
    to_png,
    to_svg,
    words,
)
from hlbcore.plots.swap import both_on_axis, slopes

__all__ = [
    "BLEND",
    "EMULSIFIER",
    "INK",
    "REGION_FILL",
    "TARGET",
    "WIDTH_IN",
    "WINDOW_FILL",
    "LessonFigure",
    "both_on_axis",
    "contributions",
    "hlb_axis",
    "lesson_figure",
    "of_formula",
    "ratio",
    "ratio_and_total",
    "response_plot",
    "slopes",
    "to_png",
    "to_svg",
    "triangle",
    "words",
]
