"""Exercises from a seed, by level; a sheet of them with a separate answer key.

All amounts are made up for practice; the figures of the ingredients are those of the tables. The
same seed gives the same exercise in any process, as long as the tables are the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from random import Random
from types import MappingProxyType

import pandas as pd

from hlbcore._numbers import checked, checked_word
from hlbcore.cells import to_csv
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.lessons import _levels, _levels_amounts, _levels_bench, _levels_more
from hlbcore.lessons._exercise import Exercise, tellable
from hlbcore.lessons._mistakes import Mistake
from hlbcore.lessons._pool import Pool, pool
from hlbcore.lessons._steps import figure
from hlbcore.library import Library, load_library
from hlbcore.printed import printed_page

_MAKERS: Mapping[str, tuple[str, Callable[[Random, Pool, str], Exercise | None]]] = MappingProxyType(
    {
        "compare": ("which oil asks for the higher HLB", _levels.compare),
        "phase": ("required HLB of two oils", _levels.phase),
        "wo": ("required HLB of a water-in-oil phase", _levels_more.wo),
        "formula": ("required HLB out of a whole formula", _levels.formula),
        "blend": ("HLB of a blend", _levels.blend),
        "reach": ("how far a pair reaches", _levels.reach),
        "split": ("share of each emulsifier of a pair", _levels.split),
        "amounts": ("from the share to the formula", _levels_amounts.amounts),
        "total": ("from one emulsifier to both", _levels_more.total),
        "dose": ("from the oil phase to the formula", _levels_amounts.dose),
        "grams": ("grams for a batch", _levels_amounts.grams),
        "scale": ("what the scale cannot see", _levels_amounts.scale),
        "weighed": ("HLB as weighed", _levels_more.weighed),
        "structure": ("HLB from the oxyethylene share", _levels_bench.structure),
        "masses": ("HLB from molar masses", _levels_more.masses),
        "groups": ("HLB from groups", _levels_bench.groups),
        "swap": ("swap a butter under a limit", _levels_bench.swap),
        "fault": ("is HLB to blame", _levels_more.fault),
        "course": ("what a ladder tells", _levels_more.course),
        "ladder": ("read the optimum off a ladder", _levels_bench.ladder),
        "unknown": ("work back an unknown oil", _levels_bench.unknown),
    }
)

LEVELS: Mapping[str, str] = MappingProxyType({k: title for k, (title, _) in _MAKERS.items()})
"""Name and title of every level, the easiest first."""

TRIES = 20_000  # draws until the numbers come out cleanly; some dozens are usual
MOST = 200  # exercises on one sheet

SHEET_COLUMNS = {
    "number": "from 1",
    "level": "one of `LEVELS`",
    "question": "what is asked",
    "given": "what is known",
    "choices": "what can be chosen; blank where a number is asked",
    "answer": "as in the key",
    "unit": "unit of the answer",
    "tolerance": "how far an answer may be off, in that unit",
}
"""Columns of `ExerciseSheet.table` with unit or meaning."""


def seed_text(seed: int | str, most: int = 80) -> str:
    """The text that a seed is made of, or why it is none."""
    if isinstance(seed, bool) or not isinstance(seed, int | str):
        raise InvalidInput("seed", f"'{clipped(seed)}' is no seed", "Give a whole number or a word.")
    text = " ".join(str(seed).split())
    if not text or len(text) > most:
        raise InvalidInput("seed", "it is blank or too long", f"Give 1 to {most} characters.")
    return text


def make_exercise(level: str, seed: int | str, *, library: Library | None = None) -> Exercise:
    """One exercise of a level.

    Parameters
    ----------
    level : str
        One of `LEVELS`.
    seed : int or str
        The same gives the same exercise. [-]

    Returns
    -------
    Exercise
        With answer, steps and the mistakes that can be recognised.

    Raises
    ------
    InvalidInput
        For a level or seed that cannot be used, or tables without enough firm figures.

    Examples
    --------
    >>> make_exercise("split", 7) == make_exercise("split", 7)
    True
    """
    library = library or load_library()
    level = checked_word(level, tuple(LEVELS), "level")
    text = seed_text(seed)
    # a text seeds by its digest, so no process differs
    rng = Random(f"hlb exercise {level} {text}")
    stock = pool(library)
    maker = _MAKERS[level][1]
    try:
        for _ in range(TRIES):
            made = maker(rng, stock, text)
            if made is not None and tellable(made):
                return made
    except HlbError:
        raise
    except (IndexError, ValueError):  # nothing, or too little, to draw from
        pass
    raise InvalidInput(
        f"level '{level}'",
        "these tables hold too few firm figures for it",
        "Take another level, or the built-in tables.",
    )


@dataclass(frozen=True, slots=True)
class ExerciseSheet:
    """Exercises for a class, with a separate answer key.

    Parameters
    ----------
    seed : str
        What it was made from; it stands on sheet and key.
    exercises : tuple of Exercise
        In order of level.
    """

    seed: str
    exercises: tuple[Exercise, ...]

    @property
    def text(self) -> str:
        """The questions as text, without answers."""
        blocks = [f"{n}. {e.text}" for n, e in enumerate(self.exercises, 1)]
        return "\n\n".join([f"HLB exercises, sheet {self.seed}", _MADE_UP, *blocks]) + "\n"

    @property
    def key_text(self) -> str:
        """Answers and steps as text."""
        blocks = [
            "\n".join([f"{n}. {e.answer_text}", *(f"   {s.line}" for s in e.steps)])
            for n, e in enumerate(self.exercises, 1)
        ]
        return "\n\n".join([f"Answers to HLB exercises, sheet {self.seed}", *blocks]) + "\n"

    @property
    def html(self) -> str:
        """The questions as a page for printing, without answers."""
        return questions_page((self,))

    @property
    def key_html(self) -> str:
        """Answers and steps as a page for printing."""
        return answers_page((self,), self.seed, steps=True)

    @property
    def marking(self) -> pd.DataFrame:
        """A row an exercise for the marker: answer, from where to where it is right, usual slips."""
        rows = []
        for n, e in enumerate(self.exercises, 1):
            ends = [] if isinstance(e.answer, str) else [e.answer - e.tolerance, e.answer + e.tolerance]
            shown = [figure(x) for x in ends] or ["", ""]
            rows.append((n, e.answer_text, *shown, "; ".join(_slip(m) for m in e.mistakes)))
        return pd.DataFrame(rows, columns=["number", "answer", "low", "high", "slips"])

    @property
    def table(self) -> pd.DataFrame:
        """One row an exercise, with its answer; columns as in `SHEET_COLUMNS`."""
        return pd.DataFrame(
            [
                (
                    n,
                    e.level,
                    e.question,
                    "; ".join(f"{a}: {b}" for a, b in e.given),
                    "; ".join(e.choices),
                    e.answer_text,
                    e.unit,
                    e.tolerance,
                )
                for n, e in enumerate(self.exercises, 1)
            ],
            columns=list(SHEET_COLUMNS),
        )

    @property
    def csv(self) -> bytes:
        """Questions and answers as a CSV file that spreadsheets open."""
        return to_csv(self.table)


_MADE_UP = (
    "The formulas are made up for practice and are no recipes; the figures of the ingredients are "
    "from the tables."
)


def _slip(mistake: Mistake) -> str:
    value = mistake.value if isinstance(mistake.value, str) else f"{mistake.value:.4g}"
    return f"{value}: {mistake.name}"


def questions_page(sheets: Sequence[ExerciseSheet], *, paper: str = "A4") -> str:
    """Sheets to print, each on pages of its own, with lines for name, date and points.

    Parameters
    ----------
    sheets : sequence of ExerciseSheet
        One a student.
    paper : str
        ``A4`` or ``Letter``.

    Returns
    -------
    str
        HTML without an answer.
    """
    title = f"HLB exercises, sheet {sheets[0].seed}" if len(sheets) == 1 else "HLB exercises"
    return printed_page("exercises.html", paper=paper, title=title, sheets=sheets, made_up=_MADE_UP)


def answers_page(sheets: Sequence[ExerciseSheet], seed: str, *, steps: bool, paper: str = "A4") -> str:
    """One key for all sheets: answers, tolerances, usual slips.

    Parameters
    ----------
    sheets : sequence of ExerciseSheet
        All of the class.
    seed : str
        Name of the set.
    steps : bool
        Whether the way to each answer stands below.
    paper : str
        ``A4`` or ``Letter``.

    Returns
    -------
    str
        HTML.
    """
    shown = [
        {"seed": s.seed, "exercises": s.exercises, "marking": s.marking.to_dict("records")} for s in sheets
    ]
    title = f"Answers to HLB exercises, sheet{'s' if sheets[1:] else ''} {seed}"
    return printed_page("answers.html", paper=paper, title=title, seed=seed, sheets=shown, steps=steps)


def exercise_sheet(
    seed: int | str,
    levels: Sequence[str] | None = None,
    count: int | str = 10,
    *,
    library: Library | None = None,
) -> ExerciseSheet:
    """A sheet of exercises with its answer key.

    Parameters
    ----------
    seed : int or str
        The same gives the same sheet. [-]
    levels : sequence of str, optional
        Names out of `LEVELS`; all if left out.
    count : int or str
        Exercises on the sheet, dealt to the levels in turn. [1 to 200]

    Returns
    -------
    ExerciseSheet
        As text, as a page for printing, and as CSV; the key stands apart.

    Raises
    ------
    InvalidInput
        For a level, seed or count that cannot be used.

    Examples
    --------
    >>> sheet = exercise_sheet(3, ["phase", "split"], count=3)
    >>> [e.level for e in sheet.exercises]
    ['phase', 'phase', 'split']
    """
    text = seed_text(seed, 60)
    number = checked(count, "number of exercises", low=1, high=MOST)
    if number != int(number):
        raise InvalidInput("number of exercises", f"{number:g} is not whole", "Give 10, say.")
    if isinstance(levels, str):
        levels = (levels,)
    wanted = {checked_word(w, tuple(LEVELS), "level") for w in (LEVELS if levels is None else levels)}
    if not wanted:
        raise InvalidInput("levels", "none is chosen", f"Choose from {', '.join(LEVELS)}.")
    order = [level for level in LEVELS if level in wanted]
    dealt = sorted(order.index(order[n % len(order)]) for n in range(int(number)))
    made: list[Exercise] = []
    asked: set[tuple[str, tuple[tuple[str, str], ...]]] = set()
    for n, place in enumerate(dealt):
        for again in range(20):  # no exercise twice on one sheet, if it can be helped
            found = make_exercise(order[place], f"{text}/{n}/{again}", library=library)
            if (found.question, found.given) not in asked:
                break
        asked.add((found.question, found.given))
        made.append(found)
    return ExerciseSheet(text, tuple(made))
