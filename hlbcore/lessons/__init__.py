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
from hlbcore.lessons.class_sheets import ClassSheets, class_sheets
from hlbcore.lessons.course_test import Marked, Sitting, compared, course_test, mark_test, unreadable
from hlbcore.lessons.evidence import ToldApart, told_apart
from hlbcore.lessons.exercises import LEVELS, ExerciseSheet, exercise_sheet, make_exercise
from hlbcore.lessons.glossary import GLOSSARY
from hlbcore.lessons.guesses import Question, Told, compare_guess, lesson_questions
from hlbcore.lessons.hand_outs import hand_out, slides
from hlbcore.lessons.own_example import LessonExample, formula_workings, lesson_example
from hlbcore.lessons.progress import Progress
from hlbcore.lessons.texts import lesson_text, lesson_texts
from hlbcore.lessons.working import working

__all__ = [
    "GLOSSARY",
    "HINTS",
    "LEVELS",
    "ClassSheets",
    "Exercise",
    "ExerciseSheet",
    "Feedback",
    "Lesson",
    "LessonExample",
    "Limit",
    "Marked",
    "Mistake",
    "Progress",
    "Question",
    "Sitting",
    "Step",
    "Told",
    "ToldApart",
    "Working",
    "back_out_working",
    "class_sheets",
    "compare_guess",
    "compared",
    "course_test",
    "davies_working",
    "exercise_sheet",
    "formula_workings",
    "hand_out",
    "lesson_example",
    "lesson_questions",
    "lesson_text",
    "lesson_texts",
    "make_exercise",
    "mark",
    "mark_test",
    "masses_working",
    "oxyethylene_working",
    "pair_working",
    "saponification_working",
    "slides",
    "told_apart",
    "unreadable",
    "working",
]
