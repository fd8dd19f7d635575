"""The figure of a lesson: it asks before it answers, then it answers to a slider."""

from __future__ import annotations

import streamlit as st
from parts import BY_TABLES, figure, plain
from state import Learning, library
from state.learn import Seen

import hlbcore as hlb
from hlbcore.lessons import Lesson, Question, compare_guess
from hlbcore.plots.lessons import LessonFigure

NOT_ASKED = -1


@st.cache_data(max_entries=200, hash_funcs=BY_TABLES, show_spinner=False)
def drawn(
    key: str,
    at: float,
    chosen: tuple[tuple[str, int], ...],
    asked: int,
    guess: float | None,
    tables: hlb.Library,
) -> tuple[bytes, str]:
    """The figure and its words."""
    held = hlb.plots.lesson_figure(key, tables)
    question = None if asked == NOT_ASKED else held.questions[asked]
    made = held.draw(at, question=question, guess=guess, **dict(chosen))
    return hlb.plots.to_svg(made), hlb.plots.words(made)


@st.cache_data(max_entries=20, hash_funcs=BY_TABLES, show_spinner=False)
def plainly(key: str, tables: hlb.Library) -> tuple[bytes, str]:
    """The figure as it stands at the start, for paper."""
    held = hlb.plots.lesson_figure(key, tables)
    made = held.draw(held.start)
    return hlb.plots.to_svg(made), hlb.plots.words(made)


def picture(now: Learning, lesson: Lesson) -> None:
    """A question first; then the figure, with the guess in it, and its slider."""
    held = hlb.plots.lesson_figure(lesson.key, library())
    seen = now.figures.setdefault(lesson.key, Seen())
    question = held.questions[seen.question]
    st.subheader("Guess, then see", anchor=False)
    st.markdown(plain(question.text))
    if not seen.shown:
        ask(lesson, held, seen, question)
        return
    told = compare_guess(question, seen.guess) if seen.guess else None
    if told is not None:
        st.info(plain(told.text))
    moved = controls(lesson, held, seen)
    asked, guess = (NOT_ASKED, None) if moved or told is None else (seen.question, told.guess)
    at, more = where(held, seen), chosen(held, seen)
    shown = drawn(lesson.key, at, more, asked, guess, library())
    figure(*shown, f"lesson-{lesson.key}", lambda: hlb.plots.to_png(held.draw(at, **dict(more))))
    st.caption(plain(f"What to look at: {held.hint[0].lower()}{held.hint[1:]}."))


def where(held: LessonFigure, seen: Seen) -> float:
    return held.start if seen.at is None else seen.at


def chosen(held: LessonFigure, seen: Seen) -> tuple[tuple[str, int], ...]:
    """What is chosen beside the slider, by name."""
    listed = [(c.key, seen.chosen.get(c.key, c.start)) for c in held.choices]
    return (*listed, *([("draw", seen.draw)] if held.again else []))


def ask(lesson: Lesson, held: LessonFigure, seen: Seen, question: Question) -> None:
    """The field for a guess; the figure appears with it, or without one."""
    key = f"learn_guess_{lesson.key}_{seen.question}"

    def show() -> None:
        seen.shown = True
        seen.at = question.at
        seen.chosen = dict(question.more)

    def take() -> None:
        seen.guess = st.session_state[key] or ""
        if compare_guess(question, seen.guess).guess is not None:
            show()

    with st.container(horizontal=True, vertical_alignment="bottom"):
        st.text_input(
            f"Your guess ({plain(question.unit)})",
            seen.guess,
            key=key,
            on_change=take,
            max_chars=100,
            help="Type it and press Enter; a rough one will do",
            width=240,
        )
        st.button("Show it without a guess", key=f"learn_show_{lesson.key}", on_click=show)
    if seen.guess:
        st.warning(plain(compare_guess(question, seen.guess).text))


def controls(lesson: Lesson, held: LessonFigure, seen: Seen) -> bool:
    """Slider and choices; whether they were moved away from what was asked."""
    key = f"learn_slider_{lesson.key}"

    def move() -> None:
        seen.at = st.session_state[key]

    def on() -> None:
        seen.question = next_of(held, seen)
        seen.shown, seen.guess = False, ""

    def again() -> None:
        seen.draw += 1

    if seen.at is not None:
        st.session_state[key] = seen.at
    st.session_state.setdefault(key, held.start)
    st.slider(
        held.label, held.low, held.high, step=held.step, format="%g", key=key, on_change=move, help=held.hint
    )
    with st.container(horizontal=True, vertical_alignment="bottom"):
        for choice in held.choices:
            pick(lesson, seen, choice)
        if held.again:
            st.button(
                "Make it again",
                key=f"learn_again_{lesson.key}",
                on_click=again,
                help="The same ladder with another scatter",
            )
        if held.questions[1:]:
            st.button("Next question", key=f"learn_ask_{lesson.key}", on_click=on)
    question = held.questions[seen.question]
    return where(held, seen) != question.at or any(seen.chosen.get(k) != v for k, v in question.more.items())


def next_of(held: LessonFigure, seen: Seen) -> int:
    """The question that follows; after the last comes the first."""
    after = seen.question + 1
    return after if held.questions[after:] else 0


def pick(lesson: Lesson, seen: Seen, choice: hlb.plots.lessons.Choice) -> None:
    """One choice beside the slider."""
    key = f"learn_pick_{lesson.key}_{choice.key}"

    def take() -> None:
        seen.chosen[choice.key] = st.session_state[key]

    st.session_state[key] = seen.chosen.get(choice.key, choice.start)
    st.segmented_control(
        choice.label,
        list(choice.options),
        format_func=choice.options.get,
        key=key,
        on_change=take,
        required=True,
    )
