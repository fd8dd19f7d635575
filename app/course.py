"""The course on the page Learn: progress, a class code, paper and slides."""

from __future__ import annotations

import threading
from collections import Counter

import streamlit as st
from parts import plain, table
from state import Learning, classroom, store

import hlbcore as hlb
from hlbcore.lessons import Exercise, Feedback, Progress

PROGRESS = "lesson progress"
CODES_MOST = 200


def progress() -> Progress:
    """What was done here before, of this computer or of this tab of a class."""
    if "progress" not in st.session_state:
        try:
            held = store().setting(PROGRESS)
            st.session_state["progress"] = Progress.from_json(held) if held else Progress()
        except hlb.HlbError:  # kept by something else: begin afresh, it is overwritten by the next answer
            st.session_state["progress"] = Progress()
    return st.session_state["progress"]


def keep_progress(now: Progress) -> None:
    st.session_state["progress"] = now
    try:
        store().set_setting(PROGRESS, now.to_json())
    except hlb.HlbError as error:
        st.session_state["progress_told"] = str(error)


def answered(now: Learning, asked: Exercise, said: Feedback) -> None:
    """One more answer: into the progress, and into the count of the class where that is wanted."""
    keep_progress(progress().with_answer(asked, said))
    if now.code and now.shares and said.mistake not in ("unread", "unit"):
        results().add(now.code, asked.level, "right" if said.right else said.mistake or "another slip")


class Results:
    """Slips of classes by their code, without names; gone with the server."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.held: dict[str, Counter[tuple[str, str]]] = {}

    def add(self, code: str, level: str, what: str) -> None:
        """Count one answer."""
        with self.lock:
            if code not in self.held and len(self.held) >= CODES_MOST:
                del self.held[next(iter(self.held))]
            self.held.setdefault(code, Counter())[level, what] += 1

    def of(self, code: str) -> list[tuple[str, str, int]]:
        """Level, what was answered, and how often."""
        with self.lock:
            found = self.held.get(code, Counter())
            return [(level, what, n) for (level, what), n in found.most_common()]


@st.cache_resource(show_spinner=False)
def results() -> Results:
    """The one count of this server."""
    return Results()


def show_progress() -> None:
    """What is done, and the way to take it along."""
    if told := st.session_state.pop("progress_told", ""):
        st.warning(plain(told))
    held = progress()
    shown = held.table
    table(
        {"lesson": "", "answered": "", "right": "", "right at once": "", "usual slip": ""},
        shown.itertuples(index=False),
        numbers=("answered", "right", "right at once"),
        says="Progress by lesson",
    )
    where = "in this tab only" if classroom() else "with the work of this computer"
    st.caption(f"Kept {where}. Take it along as a file, and bring it back here.")
    with st.container(horizontal=True):
        st.download_button(
            "Save my progress",
            held.to_json(),
            "progress.json",
            "application/json",
            key="learn_progress",
            on_click="ignore",
        )
        key = "learn_progress_file"

        def bring() -> None:
            given = st.session_state[key]
            if given is None:
                return
            try:
                keep_progress(Progress.from_json(given.getvalue().decode("utf-8", "replace")))
            except hlb.HlbError as error:
                st.session_state["progress_told"] = str(error)

        st.file_uploader("Bring it back", type=["json"], key=key, on_change=bring, max_upload_size=1)


def class_code(now: Learning) -> None:
    """The word that opens the same exercises on all screens."""

    def take() -> None:
        now.code = " ".join((st.session_state["learn_code"] or "").split())[:40]

    def share() -> None:
        now.shares = st.session_state["learn_shares"]

    st.text_input(
        "Class code",
        now.code,
        key="learn_code",
        on_change=take,
        max_chars=40,
        help="Any word: all who type it get the same exercises and the same tests; blank for your own",
        width=240,
    )
    if now.code:
        st.toggle(
            "Count my answers for the class, without a name",
            now.shares,
            key="learn_shares",
            on_change=share,
            help="How often each slip was made; held until the server ends, and nowhere else",
        )


def class_answers(now: Learning) -> None:
    """What those of the class who let it be counted have answered."""
    st.subheader("Answers of a class", anchor=False)
    if not now.code:
        st.markdown(
            "Agree on a word and type it as the class code: all screens then show the same exercises and "
            "tests."
        )
    class_code(now)
    if not now.code:
        return
    rows = results().of(now.code)
    if not rows:
        st.caption("No answer was counted yet. Each student chooses whether to be counted.")
        return
    told = [(hlb.lessons.LEVELS[level], what, n) for level, what, n in rows]
    table({"exercise": "", "answer": "", "times": ""}, told, numbers=("times",), says="Answers of the class")
    st.button("Look again", key="learn_look", help="Answers since then")
