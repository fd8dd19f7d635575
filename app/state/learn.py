"""Where the reader of the lessons is."""

from __future__ import annotations

from dataclasses import dataclass, field

import streamlit as st


@dataclass
class Seen:
    """The figure of a lesson: what it asked, what was guessed, how it stands."""

    question: int = 0  # which of its questions
    shown: bool = False
    guess: str = ""  # as typed
    at: float | None = None  # of the slider
    chosen: dict[str, int] = field(default_factory=dict)
    draw: int = 1


@dataclass
class Learning:
    """Where the reader of the lessons is."""

    part: str = "lessons"
    lesson: str = "what"
    rounds: dict[str, int] = field(default_factory=dict)  # threes of exercises seen, by lesson
    answers: dict[str, str] = field(default_factory=dict)  # by the key of the field
    tries: dict[str, int] = field(default_factory=dict)  # answers given, by the key of the field
    chosen: dict[str, tuple[str, ...]] = field(default_factory=dict)  # kinds of exercise, by lesson
    figures: dict[str, Seen] = field(default_factory=dict)  # by lesson
    when: str = "before"  # which test
    seed: str = "class 1"
    levels: tuple[str, ...] = ()
    count: str = "10"
    students: str = "1"
    code: str = ""  # word of a class: the same exercises on all screens
    shares: bool = False  # whether slips are counted for the class
    to_blend: tuple[str, ...] = ()  # emulsifiers of a target of their own
    target: str = ""  # that HLB, as typed
    dose: str = "5"


def learning() -> Learning:
    """The lasting key of the lessons."""
    if "learning" not in st.session_state:
        st.session_state["learning"] = Learning()
    return st.session_state["learning"]
