"""Figures of the lessons: each answers to one number, and takes its figures from the core.

Drawn with the palette of `plots`; `plots.words`, `plots.to_svg` and `plots.to_png` serve them too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from matplotlib.figure import Figure

from hlbcore.lessons.texts import lesson_text
from hlbcore.library import Library
from hlbcore.plots.lesson_doubts import ladder, spread, swapped
from hlbcore.plots.lesson_sums import OIL_MOST, OILS, dose, pair, scale, two_oils


@dataclass(frozen=True, slots=True)
class LessonFigure:
    """A figure that answers to a slider.

    Parameters
    ----------
    draw : callable
        Takes the number and gives the figure.
    label : str
        What the number is, with its unit.
    low, high, start, step : float
        Ends, first position and step of the slider. [unit of the label]
    hint : str
        What to look at.
    """

    draw: Callable[[float], Figure]
    label: str
    low: float
    high: float
    start: float
    step: float
    hint: str


def lesson_figure(key: str, library: Library | None = None) -> LessonFigure:
    """The figure of a lesson, with the slider that it answers to.

    Parameters
    ----------
    key : str
        Short name of the lesson.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    LessonFigure
        Figure and slider.

    Raises
    ------
    InvalidInput
        If there is no such lesson.

    Examples
    --------
    >>> lesson_figure("ladder").label
    'Scatter of the readings [points]'
    """
    made = {
        "what": LessonFigure(
            lambda x: scale(x, library=library),
            "Hydrophilic part of the molecule [% by mass]",
            5.0,
            100.0,
            60.0,
            5.0,
            "One fifth of this share is the HLB",
        ),
        "required": LessonFigure(
            lambda x: two_oils(x, library=library),
            f"{OILS[0].capitalize()} [% of the oil phase]",
            0.0,
            100.0,
            25.0,
            5.0,
            "The result never leaves the two ends",
        ),
        "blend": LessonFigure(
            lambda x: pair(x, library=library),
            "HLB wanted [HLB]",
            3.0,
            18.0,
            10.0,
            0.5,
            "Beyond the two ends of the line nothing is in reach",
        ),
        "amount": LessonFigure(
            dose,
            "Oil phase [% of the formula]",
            5.0,
            OIL_MOST,
            25.0,
            5.0,
            "Twice the oil takes twice the emulsifier, at the same HLB",
        ),
        "swap": LessonFigure(
            lambda x: swapped(x, library=library),
            "Cocoa butter that is swapped [% of it]",
            0.0,
            100.0,
            20.0,
            5.0,
            "Find the share at which the old blend no longer serves",
        ),
        "ladder": LessonFigure(
            ladder,
            "Scatter of the readings [points]",
            0.0,
            4.0,
            0.5,
            0.5,
            "Watch the interval, not the optimum alone",
        ),
        "limits": LessonFigure(
            lambda x: spread(x, library=library),
            "Window, plus or minus [HLB]",
            0.5,
            6.0,
            1.0,
            0.5,
            "No window of the bench mends a doubt of the tables",
        ),
    }
    return made[lesson_text(key).key]
