"""The record of a batch: what it became, closing and correcting, prints, the stability log, the list."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import streamlit as st
from batch_record import change, enter, open_record, wrong
from how import show_how
from line_list import Cells, Column, Edits, Mark, Row, Typed, line_list
from parts import findings, plain, table, verdict_box
from state import batch, library, store, units
from worked import checked, worked

import hlbcore as hlb
from hlbcore.batch.entries import ENTRY_KINDS
from hlbcore.batch.record import STANDARD, BatchRecord
from hlbcore.batch.record_made import LOG_COLUMNS, log_lines
from hlbcore.batch.record_page import record_csv, record_figures, record_page
from hlbcore.batch.scale_up import scale_up_words
from hlbcore.batch.stability import LOOK_AT, PLACES, plan_of, plan_text, stability_calendar
from hlbcore.batch.stability import STANDARD as STABILITY_SAYS
from hlbcore.findings import first_screen
from hlbcore.kept.kinds import RECORD
from hlbcore.lessons.of_formula import blend_figure, required_figure, total_figure, verdict_figure

FIXED = ("ph", "jars", "left over", "best before", "released", "note")
"""What can be corrected beside the weighings and lots."""

SHOWN = 20


@lru_cache(100)
def became(record: BatchRecord) -> hlb.Formula:
    """The formula as weighed."""
    return record.as_weighed


# --- the answer


def answer(record: BatchRecord) -> None:
    """What the batch became."""
    try:
        formula = became(record)
    except hlb.HlbError as error:
        st.error(plain(error))
        return
    made = worked(formula)
    verdict_box(made.verdict.word, made.verdict.sentence)
    figures = record_figures(worked(record.formula), made)
    table({n: "" for n in figures.columns}, figures.itertuples(index=False), says="planned and as weighed")
    st.caption("As weighed; what is not weighed yet counts as planned.")
    show_how(
        {
            "required HLB as weighed": required_figure(made),
            "HLB of the blend as weighed": blend_figure(made),
            "verdict as weighed": verdict_figure(made),
            "shares as weighed": total_figure(made),
        }
    )
    found = [f for f in first_screen(checked(formula)) if f.level != "note"]
    findings(found)


def closing(record: BatchRecord) -> None:
    """Close it: from then on it takes corrections only."""
    st.subheader("Finish", anchor=False)
    points = record.open_points
    for sentence in points:
        st.markdown(f"- {plain(sentence)}")
    now = batch()
    why = ""
    if points:
        why = st.text_input(
            "Why it is closed with open points", key=f"batch_close_why_{now.version}", max_chars=500
        )
    st.button(
        "Close the record",
        key="batch_close",
        on_click=change,
        args=(lambda r: r.close(who=r.who, why=why or ""), ("closed", ""), ""),
        help="A closed record is never altered; corrections are added with date, who and why",
    )
    wrong("closed")
    st.caption(STANDARD)


def correcting(record: BatchRecord) -> None:
    """A correction of a closed record: the first entry stays readable."""
    st.subheader("Add a correction", anchor=False)
    choices = {
        **{("weighed", str(n)): f"{r.name}, weighed" for n, r in enumerate(record.rows)},
        **{("lot", str(n)): f"{r.name}, lot" for n, r in enumerate(record.rows)},
        **{
            (k, ""): ENTRY_KINDS[k].label
            for k in ("ph", "jars", "left over", "best before", "released", "note")
        },
    }
    now = batch()
    count = f"{len(record.corrections)}_{now.version}"
    what = st.selectbox("What", list(choices), None, format_func=choices.get, key=f"batch_fix_what_{count}")
    if what is not None:
        st.caption(plain(f"It says: {record.value(*what) or 'nothing'}"))
    text = st.text_input("Right is", key=f"batch_fix_text_{count}", max_chars=500)
    who = st.text_input("Who corrects", key=f"batch_fix_who_{count}", max_chars=200)
    why = st.text_input("Why", key=f"batch_fix_why_{count}", max_chars=500)
    st.button(
        "Add the correction",
        key="batch_fix_put",
        disabled=what is None or not text,
        on_click=lambda: change(
            lambda r: r.enter(what[0], text, where=what[1], who=who or "", why=why or ""), ("fix", ""), text
        ),
    )
    wrong("fix")


def prints(record: BatchRecord) -> None:
    """The record as a page and as a table, the next batch, and back to planning."""
    tables, held = library(), units()  # found now: when a print is made, no session can be asked
    made: tuple[tuple[str, str, str, Callable[[], bytes | str]], ...] = (
        (
            "Record to print",
            "batch_record.html",
            "text/html",
            lambda: record_page(record, library=tables, units=held),
        ),
        (
            "Record on Letter",
            "batch_record_Letter.html",
            "text/html",
            lambda: record_page(record, paper="Letter", library=tables, units=held),
        ),
        ("Record as CSV", "batch_record.csv", "text/csv", lambda: record_csv(record)),
    )
    with st.container(horizontal=True):
        for label, name, kind, how in made:
            st.download_button(label, how, name, kind, key=f"batch_file_{name}", on_click="ignore")
    key = f"batch_larger_{batch().version}"
    with st.expander("Making more of it", key="batch_larger_box"):
        larger = st.text_input("Next batch", key=key, placeholder="5 kg", max_chars=50, width=150)
        if larger and larger.strip():
            try:
                words = scale_up_words(record.total_g, larger)
                st.markdown("\n".join(f"- {plain(w)}" for w in words) or "It hardly grows.")
            except hlb.HlbError as error:
                st.warning(plain(error))


# --- in store


def stability_words(record: BatchRecord) -> None:
    """The stability log: start it, or its calendar."""
    st.subheader("Stability log", anchor=False)
    now = batch()
    plan = plan_of(record)
    if plan:
        st.caption(f"Look at {LOOK_AT}.")
        st.download_button(
            "Dates as a calendar file",
            lambda: stability_calendar(record, plan),
            "stability.ics",
            "text/calendar",
            key="batch_calendar",
            on_click="ignore",
        )
        return
    with st.expander("Start one", key="batch_stability_box"):
        st.caption(STABILITY_SAYS)
        places = st.multiselect(
            "Where jars stand",
            list(PLACES),
            ["room", "cold", "warm"],
            key=f"batch_places_{now.version}",
            accept_new_options=True,
            max_selections=8,
            help="; ".join(f"{name}: {how}" for name, (how, _) in PLACES.items()),
        )
        days = st.text_input(
            "Days after making",
            key=f"batch_days_{now.version}",
            placeholder="0, 3, 7, 14, 30, 60, 90",
            max_chars=200,
        )
        st.button(
            "Start the log",
            key="batch_stability_put",
            disabled=not places,
            on_click=lambda: enter("stability plan", plan_text(places, days or "")),
        )
        wrong("stability plan")


def looks(record: BatchRecord) -> None:
    """A cell for each look at each jar."""
    plan = plan_of(record)
    if not plan:
        return
    places = list(dict.fromkeys(x.place for x in plan))
    days = list(dict.fromkeys((x.day, x.due) for x in plan))
    due = {(x.place, x.day): x for x in plan}
    rows = [
        Row(
            str(day),
            f"day {day}",
            texts={p: record.value("stability", due[p, day].where) for p in places if (p, day) in due},
            marks=(Mark(at.isoformat()),),
        )
        for day, at in days
    ]
    columns = tuple(Column(p, p, kind="text") for p in places)

    def put(edits: Edits) -> None:
        for e in edits:
            look = due.get((e.field, int(e.row))) if isinstance(e, Typed) and e.row.isdigit() else None
            if look is not None:
                enter("stability", e.text, look.where)

    line_list(
        Cells("stability log", columns, tuple(rows)),
        key=f"looks {batch().version}",
        on_edits=put,
        says=units().text,
    )


def log(record: BatchRecord) -> None:
    """Every entry in its order; nothing is overwritten."""
    if not record.entries:
        return
    with st.expander(f"Every entry ({len(record.entries)})", key="batch_log_box"):
        rows = [
            (e.at[:16].replace("T", " "), e.who, e.what, e.where, e.before, e.entry, e.why)
            for e in log_lines(record)
        ]
        table({n: "" for n in LOG_COLUMNS[:7]}, rows, says="every entry")


# --- the list of batches


def batches() -> None:
    """All batches that are kept."""
    held = store().listed(RECORD)
    if held.empty:
        return
    st.subheader("Batches", anchor=False)
    search = st.text_input("Search by product, number or lot", key="batch_search", max_chars=100)
    shown = store().listed(RECORD, search) if search else held
    for row in shown.head(SHOWN).itertuples():
        with st.container(horizontal=True, vertical_alignment="center", gap="small"):
            st.markdown(f"**{plain(row.name)}**  \n{plain(row.product)}", width="stretch")
            st.button("Open", key=f"batch_open_{row.uid}", on_click=open_record, args=(row.uid,))
    if len(shown) > SHOWN:
        st.caption(f"The last {SHOWN} of {len(shown)}. Search for the others.")
