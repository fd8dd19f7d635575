"""A different sheet for each student of a class, and one key."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from hlbcore._numbers import checked
from hlbcore.cells import to_csv
from hlbcore.errors import InvalidInput
from hlbcore.lessons.exercises import (
    MOST,
    SHEET_COLUMNS,
    ExerciseSheet,
    answers_page,
    exercise_sheet,
    questions_page,
    seed_text,
)
from hlbcore.library import Library

ALL_MOST = 600  # exercises on all sheets of a class


@dataclass(frozen=True, slots=True)
class ClassSheets:
    """A different sheet for each student, and one key.

    Parameters
    ----------
    seed : str
        Name of the set.
    sheets : tuple of ExerciseSheet
        One a student.
    """

    seed: str
    sheets: tuple[ExerciseSheet, ...]

    @property
    def html(self) -> str:
        """All sheets to print."""
        return questions_page(self.sheets)

    @property
    def key_html(self) -> str:
        """The key to all of them."""
        return answers_page(self.sheets, self.seed, steps=False)

    @property
    def csv(self) -> bytes:
        """Questions and answers of all sheets, with the sheet's name in the first column."""
        tables = [s.table.assign(sheet=s.seed) for s in self.sheets]
        held = pd.concat(tables, ignore_index=True)
        return to_csv(held[["sheet", *SHEET_COLUMNS]])


STUDENTS_MOST = 60


def class_sheets(
    seed: int | str,
    students: int | str,
    levels: Sequence[str] | None = None,
    count: int | str = 10,
    *,
    library: Library | None = None,
) -> ClassSheets:
    """Different sheets of the same levels for a class.

    Parameters
    ----------
    seed : int or str
        Name of the set; the same gives the same sheets. [-]
    students : int or str
        How many sheets. [1 to 60]
    levels : sequence of str, optional
        As `exercise_sheet` takes them.
    count : int or str
        Exercises on each. [1 to 200]

    Returns
    -------
    ClassSheets
        Pages to print, one key, CSV.

    Raises
    ------
    InvalidInput
        As `exercise_sheet`; for a number of students out of range; for more than 600 exercises in all.

    Examples
    --------
    >>> made = class_sheets("Monday", 3, ["phase"], 2)
    >>> [s.seed for s in made.sheets]
    ['Monday-1', 'Monday-2', 'Monday-3']
    """
    text = seed_text(seed, 50)
    number = checked(students, "number of students", low=1, high=STUDENTS_MOST)
    if number != int(number):
        raise InvalidInput("number of students", f"{number:g} is not whole", "Give 12, say.")
    each = checked(count, "number of exercises", low=1, high=MOST)
    if number * each > ALL_MOST:
        raise InvalidInput(
            "number of exercises",
            f"{number:g} sheets of {each:g} are more than {ALL_MOST}",
            "Ask for fewer on each.",
        )
    sheets = (exercise_sheet(f"{text}-{n + 1}", levels, count, library=library) for n in range(int(number)))
    return ClassSheets(text, tuple(sheets))
