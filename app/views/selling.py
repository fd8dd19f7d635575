"""Before you sell: what each market asks for, and what the open formula says of it."""

from __future__ import annotations

from collections.abc import Mapping

import streamlit as st
from bar import bar
from how import marks
from parts import findings, safe
from state import as_printed, draft, library
from worked import checked, worked

from hlbcore.batch.label_pages import selling_page, without_keys
from hlbcore.batch.selling import BeforeYouSell, before_you_sell
from hlbcore.batch.selling_steps import MARKETS, TITLES
from hlbcore.lessons import Working
from hlbcore.lessons.of_formula import water_figure


def steps(held: BeforeYouSell, made: Mapping[str, Working | None]) -> None:
    """One step after the other."""
    shown = []
    for s in held.steps:
        here = "".join(f'<br><b class="here">{safe(text)}</b>' for text in s.here)
        who = f" Who: {safe(s.step.who)}" if s.step.who else ""
        section = safe(without_keys(s.step.section, library()))
        shown.append(
            f"<li><b>{safe(s.step.title)}.</b> {safe(s.step.text)}{here}"
            f'<br><span class="at"><small>{section}.{who}</small></span></li>'
        )
    st.html(f'<ol class="sell">{"".join(shown)}</ol>{marks(made)}')


def page() -> None:
    as_printed(words=True)
    st.title("Before you sell", anchor=False)
    bar()
    market = st.radio("Market", MARKETS, format_func=TITLES.get, horizontal=True, key="sell_market")
    formula = draft().formula
    held = before_you_sell(market, worked(formula), checked(formula))
    findings(held.stops)
    left, right = st.columns([8, 4], gap="large")
    with left:
        steps(held, {"water of the formula": water_figure(worked(formula))})
    with right:
        st.subheader("What this tool cannot know")
        st.html(f"<ul>{''.join(f'<li>{safe(text)}</li>' for text in held.cannot_know)}</ul>")
        st.caption(held.notice)
        tables = library()
        st.download_button(
            "Page to print and tick",
            lambda: selling_page(held, library=tables),
            f"before_you_sell_{market}.html",
            "text/html",
            key="sell_html",
            on_click="ignore",
        )


page()
