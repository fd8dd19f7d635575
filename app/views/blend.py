"""Oils and emulsifiers: the main job on one page; every edit is worked out at once."""

from __future__ import annotations

import streamlit as st
from inputs import inputs
from parts import figure, plain, verdict_box
from results import drawn, png, result, summary, worked
from state import draft, replace_draft, unchanged

import hlbcore as hlb


def page() -> None:
    now = draft()
    outcome = worked(now.sheet())
    sheet = outcome.sheet
    st.header("Oils and emulsifiers")
    said, seen = st.columns([5, 6], gap="large")
    with said:
        if outcome.unreachable is not None:
            verdict_box("not reachable", str(outcome.unreachable))
        elif outcome.verdict is not None:
            verdict_box(outcome.verdict.word, outcome.verdict.sentence)
        elif "phase" in outcome.errors:
            verdict_box("no verdict", outcome.errors["phase"])
        elif outcome.errors:
            verdict_box("no verdict", "Mend the fields that are marked below.")
        if outcome.pending:
            st.warning(plain(f"Not counted yet: {', '.join(outcome.pending)}. Mend the lines below."))
        summary(outcome)
    with seen:
        if outcome.required is not None:
            figure(*drawn(sheet, "axis"), "hlb-axis", png(sheet, "axis"))
    left, right = st.columns([5, 6], gap="large")
    with left:
        inputs(now, outcome)
        with st.container(horizontal=True):
            st.button("Start with an empty sheet", key="blend_empty", on_click=empty)
            st.button("Show the example again", key="blend_example", on_click=example)
    with right:
        result(now, outcome)


def empty() -> None:
    replace_draft(unchanged(hlb.Sheet()))


def example() -> None:
    replace_draft(unchanged(hlb.example_sheet()))


page()
