"""Figures, one file a stage: every function takes results and returns a matplotlib Figure.

- `style`: palette, sizes, words and files
- `blend`, `shares`: an oil phase and the HLB of its blend, the shares in which two or three are blended
- `swap`, `ladder`: figures of a swap, of a bench ladder
- `learning`: figures learned from the bench, before and after
- `lesson_sums`, `lesson_doubts`, `lessons`: figures of the lessons, and their sliders
"""

from hlbcore.plots.blend import contributions, hlb_axis, of_formula
from hlbcore.plots.ladder import response_plot
from hlbcore.plots.learning import before_and_after
from hlbcore.plots.lessons import LessonFigure, lesson_figure
from hlbcore.plots.shares import ratio, ratio_and_total, triangle
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
    "before_and_after",
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
