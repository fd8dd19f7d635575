"""Bench ladder: plan, print, record, read, and let the measured value lead."""

from __future__ import annotations

from functools import lru_cache

import streamlit as st
from ladder_answer import answer
from ladder_bench import printing, record, weighing
from ladder_inputs import (
    follow_ladder,
    keep_ladder,
    kept_ladders,
    mine_on_top,
    new_ladder,
    open_ladder,
    plan_inputs,
)
from parts import findings_by_level, plain, table
from state import draft, ladder, library
from worked import worked_with

import hlbcore as hlb
from hlbcore.kept.versions import local_time, today
from hlbcore.ladder.planner import LadderOutcome, work_out_ladder
from hlbcore.ladder.record import Recorded, record_of
from hlbcore.ladder.record_cells import ready_to_record
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.ladder.words import plan_words, usual_name


@lru_cache(50)
def planned(formula: hlb.Formula, asked: LadderSheet, tables: hlb.Library) -> LadderOutcome:
    return work_out_ladder(worked_with(formula, tables), asked)


@st.cache_data(max_entries=50, show_spinner=False)
def recorded(made: hlb.Ladder, sheet: LadderSheet) -> Recorded:
    return record_of(made, sheet)


def plan() -> None:
    """What is typed, and the ladder that follows."""
    now = ladder()
    made = planned(draft().formula, now.sheet, library())
    left, right = st.columns([4, 7], gap="large")
    with left:
        st.subheader("Plan")
        plan_inputs(made)
    with right:
        if made.ladder is None:
            st.info("Mend the fields that are marked, and the ladder stands here.")
            return
        follows(made, made.ladder)


def follows(made: LadderOutcome, planned_ladder: hlb.Ladder) -> None:
    now = ladder()
    st.subheader("What to weigh")
    st.markdown(plain(plan_words(planned_ladder)))
    weighing(planned_ladder)
    findings_by_level(made.findings)
    if made.stocks is not None:
        with st.expander("Two premixed stocks instead"):
            for held in (made.stocks.stocks, made.stocks.table):
                table({n: "" if n == "stock" else ".4g" for n in held.columns}, held.itertuples(index=False))

    def start() -> None:
        now.ladder = planned_ladder
        now.sheet = ready_to_record(now.sheet, planned_ladder, today())
        keep_ladder()
        now.afresh()

    st.button(
        "Make this ladder and record it",
        key="ladder_start",
        type="primary",
        on_click=start,
        help="From here on the plan stands still, and what you write down is kept",
    )
    printing(planned_ladder, now.sheet.name or usual_name(planned_ladder))


def bench(made: hlb.Ladder) -> None:
    """A ladder that is being recorded."""
    now = ladder()
    held = recorded(made, now.sheet)
    with st.expander("What to weigh, how the vials are made, and what to print"):
        weighing(made)
        findings_by_level(made.cautions)
        printing(made, held.trial.name)
    record(made, held)
    answer(held.trial)


def how_kept() -> None:
    now = ladder()
    if now.theirs is not None:
        st.error(
            plain(
                "Another window has changed this ladder in the meantime. Yours is kept beside it; "
                "say which one goes on."
            )
        )
        with st.container(horizontal=True):
            st.button("Take theirs", key="ladder_theirs", on_click=open_ladder, args=(now.theirs.work,))
            st.button("Put mine on top", key="ladder_mine", on_click=mine_on_top)
    if now.trouble:
        st.error(plain(f"{now.trouble} It is tried again with your next change."))
    elif now.kept is not None and now.theirs is None:
        st.caption(plain(f"Ladder kept {local_time(now.kept.at)} as version {now.kept.number}."))


def page() -> None:
    follow_ladder()
    now = ladder()
    st.title("Bench ladder", anchor=False)
    kept_ladders()
    if now.notice:
        st.info(plain(now.notice))
    if now.ladder is None:
        plan()
        return
    with st.container(horizontal=True, vertical_alignment="center"):
        st.markdown(
            f"**{plain(now.sheet.name or usual_name(now.ladder))}**  \n" + plain(plan_words(now.ladder)),
            width="stretch",
        )
        st.button("Plan another ladder", key="ladder_new", on_click=new_ladder, help="This one is kept")
    with st.container():  # always there: a table below keeps what is being typed
        how_kept()
    bench(now.ladder)


page()
