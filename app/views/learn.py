"""Learn: short lessons with a figure, numbers of the reader and exercises; sheets for a class."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st
from before_after import before_and_after
from course import class_answers, show_progress
from exercising import dealt, exercises, question
from keeping import put_in_address
from lesson_picture import picture, plainly
from own_target import own_target
from parts import BY_TABLES, field_error, plain, safe, steps, table
from state import Learning, as_printed, draft, learning, library, swap_draft
from worked import swapped, worked_with

import hlbcore as hlb
from hlbcore.lessons import (
    GLOSSARY,
    LEVELS,
    ClassSheets,
    ExerciseSheet,
    Lesson,
    LessonExample,
    class_sheets,
    hand_out,
    slides,
)
from hlbcore.swapping.sheet import SwapSheet

LESSONS = {lesson.key: lesson for lesson in hlb.lessons.lesson_texts()}
TITLES = {key: f"{n}. {lesson.title}" for n, (key, lesson) in enumerate(LESSONS.items(), 1)}
PARTS = {"lessons": "Lessons", "tests": "Before and after", "class": "For a class"}


@lru_cache(100)
def example(key: str, formula: hlb.Formula, asked: SwapSheet, tables: hlb.Library) -> LessonExample:
    wanted = swapped(formula, asked, tables).swap
    return hlb.lessons.lesson_example(key, worked_with(formula, tables), wanted=wanted, library=tables)


@st.cache_data(max_entries=10, hash_funcs=BY_TABLES, show_spinner=False)
def many(
    seed: str, students: str, levels: tuple[str, ...], count: str, tables: hlb.Library
) -> ExerciseSheet | ClassSheets:
    """One sheet with its steps, or one for each student with one key."""
    made = class_sheets(seed, students, levels or None, count, library=tables)
    return made if made.sheets[1:] else dealt(seed, levels, count, tables)


@st.cache_data(max_entries=4, hash_funcs=BY_TABLES, show_spinner=False)
def on_paper(key: str, tables: hlb.Library) -> tuple[str, str]:
    """Hand-out and slides of a lesson, with its figure as it stands at the start."""
    figures = {key: plainly(key, tables)}
    return hand_out(key, figures, library=tables), slides([key], figures, library=tables)


def text(lesson: Lesson) -> None:
    """The lesson, its rules and its limits with their sources."""
    st.markdown(f"**{plain(lesson.aim)}**")
    for paragraph in lesson.paragraphs:
        st.markdown(plain(paragraph))
    for rule, meaning, source in lesson.rules:
        sourced(f"<b>{safe(rule)}</b><br>{safe(meaning)}", source)
    st.markdown("**Where it ends**")
    for limit in lesson.limits:
        sourced(safe(limit.text), limit.source)
    with st.expander("Words that are met here first"):
        table({"word": "", "meaning": ""}, GLOSSARY.get(lesson.key, ()), says="Words of the lesson")


def sourced(shown: str, source: str) -> None:
    """A statement with its source below."""
    cited = safe(library().cite(source))
    st.html(f'<div class="finding">{shown}<br><small>Source: {cited}</small></div>')


def own_numbers(lesson: Lesson) -> None:
    """One worked example, with the numbers of the open formula where it has them."""
    st.subheader("Worked example", anchor=False)
    now = draft()
    made = example(lesson.key, now.formula, swap_draft().asked, library())
    st.markdown(plain(made.told))
    steps(made.workings)


def sheet(now: Learning) -> None:
    """Questions, answers and CSV for a class."""
    st.subheader("Sheets for a class", anchor=False)
    with st.container(horizontal=True):
        for name, label, help_text in (
            ("seed", "Name or number of the sheet", "The same tables give the same sheet for it"),
            ("count", "Exercises on it", "1 to 200; they are dealt to the levels in turn"),
            ("students", "Different sheets", "1 to 60: one for each student, with one key"),
        ):
            key = f"learn_{name}"

            def put(name: str = name, key: str = key) -> None:
                setattr(now, name, st.session_state[key] or "")

            st.text_input(
                label, getattr(now, name), key=key, on_change=put, max_chars=50, help=help_text, width=190
            )
    levels_key = "learn_levels"

    def choose() -> None:
        now.levels = tuple(st.session_state[levels_key])

    st.multiselect(
        "Levels",
        list(LEVELS),
        list(now.levels),
        format_func=LEVELS.get,
        key=levels_key,
        on_change=choose,
        placeholder="All of them",
        help="From the easiest to the hardest",
    )
    try:
        made = dealt(now.seed, now.levels, now.count, library())
        every = many(now.seed, now.students, now.levels, now.count, library())
    except hlb.HlbError as error:
        field_error({"sheet": str(error)}, "sheet")
        return
    with st.container(horizontal=True):
        for label, data, name, kind, help_text in (
            ("Questions", every.html, "exercises.html", "text/html", "A page to print, without answers"),
            ("Answer key", every.key_html, "answers.html", "text/html", "Answers, tolerances, usual slips"),
            (
                "Questions and answers as CSV",
                every.csv,
                "exercises.csv",
                "text/csv",
                "For a spreadsheet or a quiz",
            ),
        ):
            st.download_button(
                label, data, name, kind, key=f"learn_{name}", on_click="ignore", help=help_text
            )
    with st.expander("Look at the questions"):
        for n, asked in enumerate(made.exercises, 1):
            question(n, asked)


def turn_to(now: Learning, key: str) -> None:
    """Another lesson, which the address names."""
    now.lesson = key
    put_in_address("lesson", key)


def begin(now: Learning) -> None:
    """Choose the lesson; the address may name it."""
    asked = st.query_params.get("lesson", "")
    if asked in LESSONS and "learn_lesson" not in st.session_state:
        now.lesson = asked
    keys = list(TITLES)
    at = keys.index(now.lesson)

    def open_lesson() -> None:
        turn_to(now, st.session_state["learn_lesson"])

    st.session_state["learn_lesson"] = now.lesson
    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.selectbox(
            "Lesson",
            keys,
            key="learn_lesson",
            format_func=TITLES.get,
            on_change=open_lesson,
            help="They build on each other",
            width=420,
        )
        for label, step in (("Previous lesson", -1), ("Next lesson", 1)):
            inside = 0 <= at + step < len(keys)
            st.button(
                label,
                key=f"learn_step_{step}",
                disabled=not inside,
                on_click=turn_to,
                args=(now, keys[at + step] if inside else now.lesson),
            )


def paper(lesson: Lesson) -> None:
    """The lesson to print, and as slides."""
    printed, shown = on_paper(lesson.key, library())
    with st.container(horizontal=True):
        for label, data, name, told in (
            ("Hand-out", printed, f"lesson-{lesson.key}.html", "The lesson with figure and rules, to print"),
            ("Slides", shown, f"slides-{lesson.key}.html", "One screen a thought, for a projector"),
        ):
            st.download_button(
                label, data, name, "text/html", key=f"learn_{name}", on_click="ignore", help=told
            )


def choose_part(now: Learning) -> None:
    """Lessons, the two tests, or what a teacher needs; the address may name it."""
    key = "learn_part"
    asked = st.query_params.get("part", "")
    if asked in PARTS and key not in st.session_state:
        now.part = asked

    def turn() -> None:
        now.part = st.session_state[key]
        put_in_address("part", now.part)

    st.session_state[key] = now.part
    st.segmented_control(
        "Part of the page",
        list(PARTS),
        format_func=PARTS.get,
        key=key,
        on_change=turn,
        label_visibility="collapsed",
        required=True,
    )


def page() -> None:
    now = learning()
    as_printed()
    st.title("Learn", anchor=False)
    choose_part(now)
    {"lessons": lessons, "tests": tests, "class": for_a_class}[now.part](now)


def lessons(now: Learning) -> None:
    begin(now)
    lesson = LESSONS[now.lesson]
    left, right = st.columns([5, 6], gap="large")
    with left:
        st.subheader(plain(lesson.title), anchor=False)
        text(lesson)
        paper(lesson)
    with right:
        picture(now, lesson)
        own_numbers(lesson)
        if lesson.key == "blend":
            own_target(now)
    exercises(now, lesson)


def tests(now: Learning) -> None:
    left, right = st.columns([6, 5], gap="large")
    with left:
        before_and_after(now)
    with right:
        st.subheader("How far I am", anchor=False)
        show_progress()


def for_a_class(now: Learning) -> None:
    left, right = st.columns([6, 5], gap="large")
    with left:
        sheet(now)
    with right:
        class_answers(now)


page()
