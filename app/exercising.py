"""Exercises on the page Learn: what is asked, what is said of an answer, and the way to it."""

from __future__ import annotations

from urllib.parse import quote

import streamlit as st
from course import answered, class_code, progress
from parts import BY_TABLES, plain, steps, table
from state import Learning, library

import hlbcore as hlb
from hlbcore.lessons import LEVELS, Exercise, ExerciseSheet, Lesson

AT_A_TIME = 3


@st.cache_data(max_entries=50, hash_funcs=BY_TABLES, show_spinner=False)
def dealt(seed: str, levels: tuple[str, ...], count: str, tables: hlb.Library) -> ExerciseSheet:
    return hlb.lessons.exercise_sheet(seed, levels or None, count, library=tables)


@st.cache_data(max_entries=50, hash_funcs=BY_TABLES, show_spinner=False)
def linked(level: str, seed: str, tables: hlb.Library) -> Exercise:
    return hlb.lessons.make_exercise(level, seed, library=tables)


def question(n: int | str, asked: Exercise) -> None:
    """What is asked, what is given, and what can be chosen."""
    st.markdown(f"**Exercise {n}.** {plain(asked.question)}")
    table({"given": "", "": ""}, asked.given)
    if asked.choices:
        st.markdown("  \n".join(plain(line) for line in asked.choice_lines))


def answer_label(n: int | str, asked: Exercise) -> str:
    return f"Answer {n} ({plain(asked.unit) if asked.unit else 'a letter, or the name'})"


def exercise(now: Learning, n: int | str, asked: Exercise, lesson: Lesson) -> None:
    """One exercise, what is said of the answer, and the way to it."""
    question(n, asked)
    key = f"learn_answer_{asked.level}_{asked.seed}"

    def answer() -> None:
        text = now.answers[key] = st.session_state[key] or ""
        if text:
            now.tries[key] = now.tries.get(key, 0) + 1
            answered(now, asked, hlb.lessons.mark(asked, text))

    typed = st.text_input(
        answer_label(n, asked),
        now.answers.get(key, ""),
        key=key,
        on_change=answer,
        max_chars=200,
        help="Type it and press Enter; a comma for the decimal point is fine",
    )
    if typed:
        said = hlb.lessons.mark(asked, typed, attempt=now.tries.get(key, 1))
        (st.success if said.right else st.warning)(plain(said.hint))
    place = lesson.levels.index(asked.level) + 1
    right = progress().solved(asked.level)
    address = f"?lesson={lesson.key}&exercise={quote(f'{asked.level}/{asked.seed}', safe='')}"
    st.caption(
        f"Level {place} of {len(lesson.levels)}: {plain(LEVELS[asked.level])}; {right} right so far. "
        f"[Address of this exercise]({address})"
    )
    with st.expander(f"Show the steps of exercise {n}"):
        steps([asked.working])


def from_address() -> Exercise | None:
    """The exercise that the address names, if it is one."""
    level, _, seed = st.query_params.get("exercise", "").partition("/")
    if not seed:
        return None
    try:
        return linked(level, seed, library())
    except hlb.HlbError:
        st.warning("The address names an exercise that is none; here are others.")
        return None


def exercises(now: Learning, lesson: Lesson) -> None:
    """Three at a time, of the levels that are chosen."""
    st.subheader("Exercises", anchor=False)
    class_code(now)
    named = from_address()
    if named is not None and named.lesson == lesson.key:
        exercise(now, "of the address", named, lesson)
        st.divider()
    turn = now.rounds.get(lesson.key, 1)
    levels_key = f"learn_kinds_{lesson.key}"

    def choose() -> None:
        now.chosen[lesson.key] = tuple(st.session_state[levels_key])

    levels = now.chosen.get(lesson.key) or lesson.levels[:AT_A_TIME]
    if lesson.levels[1:]:
        st.pills(
            "Levels, the easiest first",
            lesson.levels,
            selection_mode="multi",
            default=levels,
            format_func=LEVELS.get,
            key=levels_key,
            on_change=choose,
            wrap=True,
        )
    made = dealt(" ".join(filter(None, (now.code, lesson.key, str(turn)))), levels, str(AT_A_TIME), library())
    for n, (place, asked) in enumerate(
        zip(st.columns(AT_A_TIME, gap="medium"), made.exercises, strict=True), 1
    ):
        with place:
            exercise(now, n, asked, lesson)

    def another() -> None:
        now.rounds[lesson.key] = turn + 1

    st.button(
        f"Another {AT_A_TIME}", key="learn_another", on_click=another, help="New numbers on the same subject"
    )
