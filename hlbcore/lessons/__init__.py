"""Lessons: results written out as steps, exercises with feedback, and short texts in order."""

from hlbcore.lessons._bench_working import back_out_working
from hlbcore.lessons._exercise import Exercise, Feedback, mark
from hlbcore.lessons._formulas import (
    davies_working,
    masses_working,
    oxyethylene_working,
    pair_working,
    saponification_working,
)
from hlbcore.lessons._lesson import Lesson, Limit
from hlbcore.lessons._mistakes import HINTS, Mistake
from hlbcore.lessons._steps import Step, Working
from hlbcore.lessons.evidence import ToldApart, told_apart
from hlbcore.lessons.exercises import LEVELS, ExerciseSheet, exercise_sheet, make_exercise
from hlbcore.lessons.own_example import LessonExample, formula_workings, lesson_example
from hlbcore.lessons.texts import lesson_text, lesson_texts
from hlbcore.lessons.working import working

__all__ = [
    "HINTS",
    "LEVELS",
    "Exercise",
    "ExerciseSheet",
    "Feedback",
    "Lesson",
    "LessonExample",
    "Limit",
    "Mistake",
    "Step",
    "ToldApart",
    "Working",
    "back_out_working",
    "davies_working",
    "exercise_sheet",
    "formula_workings",
    "lesson_example",
    "lesson_text",
    "lesson_texts",
    "make_exercise",
    "mark",
    "masses_working",
    "oxyethylene_working",
    "pair_working",
    "saponification_working",
    "told_apart",
    "working",
]
