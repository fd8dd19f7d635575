"""A target HLB by itself: a blend for it, with no oil phase behind it."""

from __future__ import annotations

import streamlit as st
from parts import field_error, named, picker_options, plain, steps
from state import Learning, library

import hlbcore as hlb

FIELDS = {"target": ("HLB to reach", "12, or 11,5"), "dose": ("All of them together [% of the formula]", "5")}


def own_target(now: Learning) -> None:
    """Emulsifiers and a target that the reader names, and the steps to the blend."""
    st.subheader("A target of your own", anchor=False)
    st.markdown("Where a target is given and no oils are: name two or more emulsifiers.")
    key = "learn_target_names"

    def choose() -> None:
        now.to_blend = tuple(st.session_state[key])

    st.multiselect(
        "Emulsifiers to blend",
        list(picker_options("emulsifier", library())),
        list(now.to_blend),
        key=key,
        on_change=choose,
        max_selections=8,
        format_func=named,
        placeholder="Type a name",
        select_all=False,
    )
    with st.container(horizontal=True):
        for name, (label, hint) in FIELDS.items():
            field(now, name, label, hint)
    if not now.to_blend or not now.target.strip():
        return
    try:
        blend = hlb.solve_blend(now.to_blend, now.target, total=now.dose, library=library())
    except hlb.HlbError as error:
        field_error({"target": str(error)}, "target")
        return
    steps((hlb.lessons.working(blend),))


def field(now: Learning, name: str, label: str, hint: str) -> None:
    key = f"learn_target_{name}"

    def put() -> None:
        setattr(now, name, st.session_state[key] or "")

    st.text_input(
        plain(label), getattr(now, name), key=key, on_change=put, max_chars=50, placeholder=hint, width=260
    )
