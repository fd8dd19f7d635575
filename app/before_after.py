"""The test before and after the course on the page Learn."""

from __future__ import annotations

import streamlit as st
from course import keep_progress, progress
from exercising import answer_label, question
from parts import BY_TABLES, plain, steps, table
from state import Learning, library

import hlbcore as hlb
from hlbcore.lessons import ExerciseSheet, Sitting, compared, course_test, lesson_text, mark_test, unreadable

NAMES = {"before": "Before the course", "after": "After the course"}


@st.cache_data(max_entries=20, hash_funcs=BY_TABLES, show_spinner=False)
def asked(when: str, turn: int, code: str, tables: hlb.Library) -> ExerciseSheet:
    return course_test(when, turn, code, library=tables)


def before_and_after(now: Learning) -> None:
    """One of the two tests, and both side by side once they are there."""
    held = progress()
    if held.before.marks and held.after.marks:
        said, rows = compared(held.before, held.after)
        st.subheader(plain(said), anchor=False)
        table(
            {"question": "", "before": "", "after": ""}, rows.itertuples(index=False), says="Before and after"
        )
    key = "learn_when"

    def turn_to() -> None:
        now.when = st.session_state[key]

    st.session_state[key] = now.when
    st.segmented_control(
        "Test", list(NAMES), format_func=NAMES.get, key=key, on_change=turn_to, required=True
    )
    sitting = held.before if now.when == "before" else held.after
    if sitting.marks:
        result(now, sitting)
    else:
        test(now, sitting)


def test(now: Learning, sitting: Sitting) -> None:
    """The questions; nothing is told until they are marked."""
    when, turn = now.when, sitting.turn
    made = asked(when, turn, now.code, library())
    st.markdown(
        f"{len(made.exercises)} questions, one or two from each lesson, the same kinds before and after. "
        "Leave open what you do not know; nothing is told until you press Mark."
    )
    keys = [f"learn_test_{when}_{now.code}_{turn}_{n}" for n, _ in enumerate(made.exercises, 1)]
    for n, (key, one) in enumerate(zip(keys, made.exercises, strict=True), 1):
        question(n, one)

        def put(key: str = key) -> None:
            now.answers[key] = st.session_state[key] or ""

        typed = st.text_input(
            answer_label(n, one), now.answers.get(key, ""), key=key, on_change=put, max_chars=200
        )
        if typed and (why := unreadable(one, typed)):
            st.warning(plain(why))

    def mark() -> None:
        answers = [now.answers.get(key, "") for key in keys]
        try:
            done = mark_test(made, answers, turn=turn, code=now.code)
        except hlb.HlbError as error:
            st.session_state["learn_test_told"] = str(error)
        else:
            keep_progress(progress().with_test(when, done))

    st.button("Mark", key="learn_mark", on_click=mark, type="primary")
    if told := st.session_state.pop("learn_test_told", ""):
        st.warning(plain(told))


def result(now: Learning, sitting: Sitting) -> None:
    """How each question went, with the way to its answer."""
    made = asked(now.when, sitting.turn, sitting.code, library())
    st.markdown(f"**{sitting.right} of {len(sitting.marks)} right.**")
    rows = [
        (n, hlb.lessons.LEVELS[m.level], m.typed, one.answer_text, m.words)
        for n, (m, one) in enumerate(zip(sitting.marks, made.exercises, strict=False), 1)
    ]
    table(
        {"": "", "question": "", "your answer": "", "the answer": "", "so it was": ""},
        rows,
        says="Answers of the test",
    )
    for n, (m, one) in enumerate(zip(sitting.marks, made.exercises, strict=False), 1):
        if not m.right:
            with st.expander(f"Question {n}: the way to it"):
                question(n, one)
                steps([one.working])
                st.caption(f"Lesson: {plain(lesson_text(one.lesson).title)}")

    def anew() -> None:
        keep_progress(progress().with_test(now.when, Sitting(turn=sitting.turn + 1)))

    st.button("Take it anew, with other numbers", key="learn_anew", on_click=anew)
