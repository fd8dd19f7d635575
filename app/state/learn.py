"""Where the reader of the lessons is."""

from __future__ import annotations

from dataclasses import dataclass, field

import streamlit as st


@dataclass
class Learning:
    """Where the reader of the lessons is."""

    lesson: str = "what"
    rounds: dict[str, int] = field(default_factory=dict)  # threes of exercises seen, by lesson
    answers: dict[str, str] = field(default_factory=dict)  # by the key of the field
    tries: dict[str, int] = field(default_factory=dict)  # answers given, by the key of the field
    chosen: dict[str, tuple[str, ...]] = field(default_factory=dict)  # kinds of exercise, by lesson
    sliders: dict[str, float] = field(default_factory=dict)  # by lesson
    seed: str = "class 1"
    levels: tuple[str, ...] = ()
    count: str = "10"
    students: str = "1"
    code: str = ""  # word of a class: the same exercises on all screens
    shares: bool = False  # whether slips are counted for the class


def learning() -> Learning:
    """The lasting key of the lessons."""
    if "learning" not in st.session_state:
        st.session_state["learning"] = Learning()
    return st.session_state["learning"]
