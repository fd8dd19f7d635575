"""Bench ladder: plan, print, record, read, and let the measured value lead."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import streamlit as st
from bar import beside
from how import show_how
from ladder_answer import details, verdict
from ladder_bench import printing, readings, record, weighing
from ladder_inputs import (
    follow_ladder,
    keep_ladder,
    mine_apart,
    mine_on_top,
    new_ladder,
    open_ladder,
    plan_inputs,
    restore,
    step,
)
from ladder_kept import compared, kept_ladders
from parts import findings_by_level, plain, table
from state import LadderDraft, at_hand, cost_draft, draft, ladder, library, store
from worked import worked_with

import hlbcore as hlb
from hlbcore.batch.prices import PriceList
from hlbcore.kept.versions import local_time, today
from hlbcore.ladder.changes import compare_ladders
from hlbcore.ladder.planner import LadderOutcome, work_out_ladder
from hlbcore.ladder.record import Recorded, record_of
from hlbcore.ladder.record_cells import ready_to_record, record_columns
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.ladder.words import plan_words, usual_name
from hlbcore.lessons.of_bench import ladder_cost_figure


@lru_cache(50)
def planned(
    formula: hlb.Formula, asked: LadderSheet, tables: hlb.Library, shelf: tuple[str, ...], prices: PriceList
) -> LadderOutcome:
    return work_out_ladder(
        worked_with(formula, tables, shelf), asked, prices=prices.per_kg(tables), currency=prices.currency
    )


@st.cache_data(max_entries=50, show_spinner=False)
def recorded(made: hlb.Ladder, sheet: LadderSheet) -> Recorded:
    return record_of(made, sheet)


def plan() -> None:
    """What is typed, and the ladder that follows."""
    now = ladder()
    made = planned(draft().formula, now.sheet, library(), at_hand(), cost_draft().prices)
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
    if made.cost is not None:
        st.markdown(plain(made.cost.words))
        show_how({"what the ladder takes": ladder_cost_figure(made.cost)})
    if made.left_out:
        st.warning(plain(f"{made.left_out} Type what may matter under: {OTHERS}."))

    def start() -> None:
        now.ladder = planned_ladder
        now.sheet = ready_to_record(now.sheet, planned_ladder, today())
        keep_ladder()
        if now.kept is not None:
            now.table = now.kept.work
        now.afresh()

    st.button(
        "Make this ladder and record it",
        key="ladder_start",
        type="primary",
        on_click=start,
        help="From here on the plan stands still, and what you write down is kept",
    )
    weighing(planned_ladder)
    findings_by_level(made.findings)
    if made.stocks is not None:
        with st.expander("Two premixed stocks instead"):
            for held in (made.stocks.stocks, made.stocks.table):
                table({n: "" if n == "stock" else ".4g" for n in held.columns}, held.itertuples(index=False))
    printing(planned_ladder, now.sheet, closed=False)


def bench(made: hlb.Ladder) -> None:
    """A ladder that is being recorded: the answer first, then the readings, then all the rest."""
    now = ladder()
    held = recorded(made, now.sheet)
    hidden = made.blinded and not now.sheet.closed
    shown = replace(made, blinded=False) if made.blinded and now.sheet.closed else made
    with st.container(key="ladder_verdict"):  # always there, so that the cells below keep the cursor
        result = verdict(held.trial, held.words, hidden=hidden)
    if len(record_columns(made, now.sheet)) > BESIDE_MOST:  # the table needs the width
        left, right = st.container(), st.container()
    else:
        left, right = st.columns([7, 5], gap="large")
    with left:
        cells = st.container(key="cells")
        record(made)
        with st.expander("What to weigh, how the vials are made, and what to print"):
            if not hidden or st.toggle(
                "I weigh and do not score: show the grams", key=f"ladder_grams_{now.version}"
            ):
                weighing(shown)
                findings_by_level(made.cautions)
            printing(made, now.sheet, closed=now.sheet.closed)
    with right:
        if result is not None:
            details(held.trial, result)
    with cells:
        readings(shown, held)


def how_kept() -> None:
    """Where the ladder stands: undo, redo, its versions; after a conflict the ways out."""
    now = ladder()
    if now.theirs is not None and now.kept is not None and now.ladder is not None:
        st.error(
            plain(
                "Another window has changed this ladder in the meantime. Yours is kept beside it; "
                "say which one goes on."
            )
        )
        theirs = now.theirs.body.sheet or LadderSheet()
        table(
            {"what differs": "", "theirs": "", "yours": ""},
            compare_ladders(now.ladder, theirs, now.sheet).itertuples(index=False),
        )
        with st.container(horizontal=True):
            st.button("Take theirs", key="ladder_theirs", on_click=open_ladder, args=(now.theirs.work,))
            st.button("Put mine on top", key="ladder_mine", on_click=mine_on_top)
            st.button("Keep mine as a ladder of its own", key="ladder_apart", on_click=mine_apart)
    if now.trouble:
        st.error(plain(f"{now.trouble} It is tried again with your next change."))


def versions(now: LadderDraft) -> None:
    """Undo, redo and every version of the open ladder."""
    if now.kept is None or now.theirs is not None:
        return
    before, after = beside(store().before, now.kept), beside(store().after, now.kept)
    st.button("Undo here", key="ladder_undo", disabled=before is None, on_click=step, args=(before,))
    st.button("Redo here", key="ladder_redo", disabled=after is None, on_click=step, args=(after,))
    with st.popover("Versions", key="ladder_versions"):
        st.caption(plain(f"Kept {local_time(now.kept.at)} as version {now.kept.number}."))
        held = store().history(now.kept.work)
        table(
            {"version": "", "when": "", "what": "", "": ""},
            [
                (r.version, local_time(r.at), r.what, "now" if r.current else "")
                for r in held.head(VERSIONS_SHOWN).itertuples()
            ],
            numbers=("version",),
        )
        uids = {int(r.version): r.uid for r in held.itertuples()}
        compared(uids)
        asked = st.selectbox("Go back to version", list(uids), None, key=f"ladder_back_{now.kept.uid}")
        if asked is not None:
            st.button(
                f"Put version {asked} on top",
                key="ladder_restore",
                on_click=restore,
                args=(store().version(uids[asked]),),
            )


VERSIONS_SHOWN = 30
BESIDE_MOST = 9  # columns of readings that have room beside the figure
OTHERS = "In every vial beside oils, emulsifiers and water"


def page() -> None:
    follow_ladder()
    now = ladder()
    if now.ladder is None:
        with st.container(horizontal=True, vertical_alignment="center"):
            st.title("Bench ladder", anchor=False, width="stretch")
            kept_ladders()
        if now.notice:
            st.info(plain(now.notice))
        plan()
        return
    with st.container(horizontal=True, vertical_alignment="center", gap="xsmall"):
        st.title("Bench ladder", anchor=False, width="stretch")
        versions(now)
        kept_ladders()
        st.button("Plan another ladder", key="ladder_new", on_click=new_ladder, help="This one is kept")
    st.markdown(f"**{plain(now.sheet.name or usual_name(now.ladder))}**")
    if now.notice:
        st.info(plain(now.notice))
    with st.container():  # always there: a table below keeps what is being typed
        how_kept()
    bench(now.ladder)


page()
