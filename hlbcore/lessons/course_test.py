"""A test before and after the course: the same kinds of question, other numbers, compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

import msgspec
import pandas as pd

from hlbcore._numbers import checked_word
from hlbcore.errors import InvalidInput
from hlbcore.lessons._exercise import Exercise, mark
from hlbcore.lessons.exercises import LEVELS, ExerciseSheet, exercise_sheet
from hlbcore.library import Library

WHEN = ("before", "after")

ASKED = ("compare", "phase", "formula", "reach", "split", "amounts", "swap", "fault", "course", "unknown")
"""Kinds of question of the test, one of each: every lesson has one or two. Our choice."""

OPEN = "left open"

_Word = Annotated[str, msgspec.Meta(max_length=80)]
_Count = Annotated[int, msgspec.Meta(ge=1, le=10_000)]


@dataclass(frozen=True, slots=True)
class Marked:
    """One answer of a test.

    Parameters
    ----------
    level : str
        Kind of question, one of `LEVELS`.
    right : bool
        Whether it was right.
    slip : str
        The mistake that was recognised; ``"left open"``; blank for another answer.
    typed : str
        The answer as typed.
    """

    level: _Word
    right: bool = False
    slip: _Word = ""
    typed: Annotated[str, msgspec.Meta(max_length=200)] = ""

    @property
    def words(self) -> str:
        """Right, or what it was instead."""
        return "right" if self.right else self.slip or "not right"


@dataclass(frozen=True, slots=True)
class Sitting:
    """A test as it was taken.

    Parameters
    ----------
    turn : int
        Which it is; another has other numbers. [-]
    code : str
        Word of the class whose numbers it has; blank for none.
    marks : tuple of Marked
        One an answer; empty while it is not marked.
    """

    turn: _Count = 1
    code: Annotated[str, msgspec.Meta(max_length=40)] = ""
    marks: Annotated[tuple[Marked, ...], msgspec.Meta(max_length=50)] = ()

    @property
    def right(self) -> int:
        """How many were right. [-]"""
        return sum(m.right for m in self.marks)


def course_test(when: str, turn: int = 1, code: str = "", *, library: Library | None = None) -> ExerciseSheet:
    """The test before or after the course.

    Parameters
    ----------
    when : str
        ``"before"`` or ``"after"``: the same kinds, other numbers.
    turn : int
        Another has other numbers. [-]
    code : str
        Word of a class, whose members get the same.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    ExerciseSheet
        One question of each kind in `ASKED`.

    Raises
    ------
    InvalidInput
        For another word, or a code that is too long.

    Examples
    --------
    >>> before, after = course_test("before"), course_test("after")
    >>> [e.level for e in before.exercises] == [e.level for e in after.exercises]
    True
    """
    checked_word(when, WHEN, "when")
    return exercise_sheet(" ".join(filter(None, (code, when, str(turn)))), ASKED, len(ASKED), library=library)


def unreadable(exercise: Exercise, typed: str) -> str:
    """Why an answer cannot be marked, without a word on whether it is right; blank where it can.

    Parameters
    ----------
    exercise : Exercise
        That was asked.
    typed : str
        As a person types it; blank is no answer.

    Returns
    -------
    str
        A sentence, or blank.
    """
    said = mark(exercise, typed) if typed.strip() else None
    if said is None or said.mistake not in ("unread", "unit"):
        return ""
    return said.hint if said.mistake == "unread" else f"The answer is asked in {exercise.unit}."


def mark_test(test: ExerciseSheet, answers: Sequence[str], *, turn: int = 1, code: str = "") -> Sitting:
    """All answers of a test at once.

    Parameters
    ----------
    test : ExerciseSheet
        From `course_test`.
    answers : sequence of str
        One a question, as typed; blank where it was left open.
    turn, code
        As `course_test` got them.

    Returns
    -------
    Sitting
        To be kept in the progress.

    Raises
    ------
    InvalidInput
        Where an answer cannot be read: it is mended, never called wrong.

    Examples
    --------
    >>> test = course_test("before")
    >>> mark_test(test, [str(e.answer) for e in test.exercises]).right
    10
    """
    if len(answers) != len(test.exercises):
        raise InvalidInput(
            "answers", f"{len(answers)} for {len(test.exercises)} questions", "Give one each, blank for none."
        )
    marks = []
    for n, (asked, typed) in enumerate(zip(test.exercises, answers, strict=True), 1):
        if why := unreadable(asked, typed):
            raise InvalidInput(f"answer {n}", why, "Mend it, or leave it blank.")
        said = mark(asked, typed) if typed.strip() else None
        slip = OPEN if said is None else "" if said.right else said.mistake
        marks.append(Marked(asked.level, said is not None and said.right, slip, typed.strip()[:200]))
    return Sitting(turn, code, tuple(marks))


def compared(before: Sitting, after: Sitting) -> tuple[str, pd.DataFrame]:
    """Both tests side by side.

    Parameters
    ----------
    before, after : Sitting
        Both marked.

    Returns
    -------
    tuple of str and DataFrame
        How many were right, in a sentence; a row a kind: what it was before and after.

    Examples
    --------
    >>> compared(Sitting(marks=(Marked("phase"),)), Sitting(marks=(Marked("phase", True),)))[0]
    'Before 0 of 1 right, after 1 of 1.'
    """
    levels = dict.fromkeys(m.level for s in (before, after) for m in s.marks)
    held = [{m.level: m.words for m in s.marks} for s in (before, after)]
    rows = [(LEVELS[level], *(words.get(level, "") for words in held)) for level in levels]
    said = f"Before {before.right} of {len(before.marks)} right, after {after.right} of {len(after.marks)}."
    return said, pd.DataFrame(rows, columns=["question", "before", "after"])
