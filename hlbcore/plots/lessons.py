"""Figures of the lessons: each answers to one number, and takes its figures from the core.

Drawn with the palette of `plots`; `plots.words`, `plots.to_svg` and `plots.to_png` serve them too.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType

from matplotlib.figure import Figure

from hlbcore.lessons.guesses import OILS, Question, lesson_questions
from hlbcore.lessons.texts import lesson_text
from hlbcore.library import Library
from hlbcore.plots.lesson_doubts import SCATTER_MOST, VIALS, ladder, spread, swapped
from hlbcore.plots.lesson_sums import OIL_MOST, Guess, dose, pair, scale, two_oils


@dataclass(frozen=True, slots=True)
class Choice:
    """What is chosen beside the slider.

    Parameters
    ----------
    key : str
        Name by which `LessonFigure.draw` takes it.
    label : str
        What it is, for people.
    options : mapping of int to str
        What can be chosen, and its words.
    start : int
        What is chosen at first.
    """

    key: str
    label: str
    options: Mapping[int, str]
    start: int


@dataclass(frozen=True, slots=True)
class LessonFigure:
    """A figure that answers to a slider.

    Parameters
    ----------
    drawn : callable
        Takes the number, a guess and what is chosen, and gives the figure.
    label : str
        What the number is, with its unit.
    low, high, start, step : float
        Ends, first position and step of the slider. [unit of the label]
    hint : str
        What to look at.
    questions : tuple of Question
        What it asks before it answers.
    choices : tuple of Choice
        What can be chosen beside the slider.
    again : bool
        Whether chance takes part, so that it can be drawn again.
    """

    drawn: Callable[..., Figure]
    label: str
    low: float
    high: float
    start: float
    step: float
    hint: str
    questions: tuple[Question, ...]
    choices: tuple[Choice, ...] = ()
    again: bool = False

    def draw(
        self, at: float, *, question: Question | None = None, guess: float | None = None, **chosen: int
    ) -> Figure:
        """The figure at a position of the slider.

        Parameters
        ----------
        at : float
            Position of the slider. [unit of the label]
        question : Question, optional
            What was asked, where a guess is drawn.
        guess : float, optional
            What was guessed. [unit of the question]
        **chosen : int
            By the key of a choice; ``draw`` where the figure can be drawn again.

        Returns
        -------
        Figure
            A guess is a dotted line where it lies on the figure.
        """
        if question is None or not question.axis or guess is None:
            return self.drawn(at, **chosen)
        drawn: Guess = (guess, None) if question.axis == "x" else (None, guess)
        return self.drawn(at, guess=drawn, **chosen)


def lesson_figure(key: str, library: Library | None = None) -> LessonFigure:
    """The figure of a lesson, with the slider that it answers to.

    Parameters
    ----------
    key : str
        Short name of the lesson.

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
    'Scatter of like vials [% of the height of the hump]'
    """
    name = lesson_text(key).key
    drawn, label, low, high, start, step, hint = _SLIDERS[name]
    if name not in WITHOUT_TABLES:
        drawn = partial(drawn, library=library)
    asked = lesson_questions(name, library)
    if name != "ladder":
        return LessonFigure(drawn, label, low, high, start, step, hint, asked)
    vials = Choice("vials", "Vials", {n: str(n) for n in VIALS}, 7)
    made = Choice("made", "Each vial made", {1: "once", 2: "twice"}, 1)
    return LessonFigure(drawn, label, low, high, start, step, hint, asked, (vials, made), True)


WITHOUT_TABLES = ("amount", "ladder")

_SLIDERS: Mapping[str, tuple[Callable[..., Figure], str, float, float, float, float, str]] = MappingProxyType(
    {
        "what": (
            scale,
            "Hydrophilic part of the molecule [% by mass]",
            5.0,
            100.0,
            60.0,
            5.0,
            "One fifth of this share is the HLB",
        ),
        "required": (
            two_oils,
            f"{OILS[0].capitalize()} [% of the oil phase]",
            0.0,
            100.0,
            25.0,
            5.0,
            "The result never leaves the two ends",
        ),
        "blend": (
            pair,
            "HLB wanted [HLB]",
            3.0,
            18.0,
            10.0,
            0.5,
            "Beyond the two ends of the line nothing is in reach",
        ),
        "amount": (
            dose,
            "Oil phase [% of the formula]",
            5.0,
            OIL_MOST,
            25.0,
            5.0,
            "Twice the oil does not take twice the emulsifier: find where the line stops rising",
        ),
        "swap": (
            swapped,
            "Cocoa butter that is swapped [% of it]",
            0.0,
            100.0,
            20.0,
            5.0,
            "Find the share at which the old blend no longer serves",
        ),
        "ladder": (
            ladder,
            "Scatter of like vials [% of the height of the hump]",
            0.0,
            SCATTER_MOST,
            10.0,
            5.0,
            "Draw it again: the same ladder tells another story, the more so the more it scatters. Below, "
            "what more vials and repeats buy",
        ),
        "limits": (
            spread,
            "Window, plus or minus [HLB]",
            0.5,
            6.0,
            1.0,
            0.5,
            "No window of the bench mends a doubt of the tables",
        ),
    }
)
"""What is drawn, label of the slider, its ends, start and step, and what to look at."""
