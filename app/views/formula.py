"""The formula: all lines in one list, and the answer beside it; every edit is worked out at once."""

from __future__ import annotations

import streamlit as st
from aims import asked, known, what_it_is
from bar import bar, more_to_tell
from card import answer
from details import details
from keeping import keep_formula, name_in_address
from line_list import line_list
from rows import shown
from starting import begin, mends
from state import draft, follow_units, library, units
from taking import take
from worked import worked


@st.fragment
def page() -> None:
    """All that follows from an edit; what stands above is drawn again only where it changes."""
    follow_units()
    keep_formula()
    name_in_address()
    if more_to_tell():
        st.rerun()
    now = draft()
    left, right = st.columns([62, 38], gap="large")
    with right:
        answer(now)
    with left:
        begin()
        bar()
        what_it_is(now)
        lines = st.container(key="lines")  # filled last: a keystroke cuts off nothing that stands below
        mends(now)
        asked(now)
        known(now)
        details(now)
    with lines:
        content = shown(worked(now.formula), now.ids, library())
        line_list(
            content,
            key=f"lines {now.key}",
            on_edits=lambda edits: take(now, edits, library()),
            says=units().text,
        )


page()
