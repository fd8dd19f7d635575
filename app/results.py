"""The right side of the page: what follows from what is typed."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st
from parts import BY_TABLES, figure, findings, findings_by_level, plain, steps, table
from state import Draft, library

import hlbcore as hlb

FIGURES = {
    "none": "None",
    "contributions": "What each oil contributes",
    "ratio": "HLB against the ratio of two",
    "triangle": "Three emulsifiers in a triangle",
    "map": "Ratio and total that are allowed",
}


@st.cache_data(max_entries=200, hash_funcs=BY_TABLES, show_spinner=False)
def worked_with(sheet: hlb.Sheet, tables: hlb.Library) -> hlb.Outcome:
    return hlb.work_out(sheet, tables)


def worked(sheet: hlb.Sheet) -> hlb.Outcome:
    """What follows from the sheet with the tables and the own values in use."""
    return worked_with(sheet, library())


@st.cache_data(max_entries=100, hash_funcs=BY_TABLES, show_spinner=False)
def drawn_with(sheet: hlb.Sheet, which: str, tables: hlb.Library) -> tuple[bytes, str]:
    made = hlb.plots.of_sheet(worked_with(sheet, tables), which)
    return hlb.plots.to_svg(made), hlb.plots.words(made)


def drawn(sheet: hlb.Sheet, which: str) -> tuple[bytes, str]:
    """A figure of the sheet, and its numbers as text."""
    return drawn_with(sheet, which, library())


def png(sheet: hlb.Sheet, which: str) -> Callable[[], bytes]:
    """What draws the figure as a picture; the tables go along, since no session is known then."""
    tables = library()
    return lambda: hlb.plots.to_png(hlb.plots.of_sheet(worked_with(sheet, tables), which))


def asked_of(now: Draft) -> hlb.SwapSheet:
    """The swap that is typed, as the core takes it."""
    lines = tuple(
        hlb.SwapLine(
            out=r.typed.get("out", ""),
            amount=r.typed.get("amount", ""),
            into=tuple(r.typed.get("into", ())),
            parts=r.typed.get("parts", ""),
            figure=r.typed.get("figure", ""),
        )
        for r in now.swaps
    )
    return hlb.SwapSheet(
        lines, now.wishes, now.swap_choices["objective"], now.swap_choices["dose"], now.keep_mass
    )


@st.cache_data(max_entries=50, hash_funcs=BY_TABLES, show_spinner=False)
def swapped(sheet: hlb.Sheet, asked: hlb.SwapSheet, tables: hlb.Library) -> hlb.SwapOutcome:
    """What the swap gives."""
    return hlb.work_out_swap(hlb.work_out(sheet, tables), asked, tables)


def summary(outcome: hlb.Outcome) -> None:
    """The two figures that the verdict compares."""
    required, blend, verdict = outcome.required, outcome.blend, outcome.verdict
    if required is None:
        return
    rows = [
        (
            "Required HLB of the oil phase",
            f"{required.value:.1f}",
            f"{required.low:.1f} to {required.high:.1f}",
        )
    ]
    if verdict and verdict.blend:
        e = verdict.blend
        rows.append(("HLB of the blend", f"{e.value:.1f}", f"{e.low:.1f} to {e.high:.1f}"))
    table({"": "", "HLB": "", "range": ""}, rows, numbers=("HLB", "range"))
    if blend is not None:
        amounts(outcome, blend)


def amounts(outcome: hlb.Outcome, blend: hlb.Blend) -> None:
    """The blend in % and in grams for the scale."""
    made = hlb.report.blend_table(outcome)
    table(
        {"emulsifier": "", "% of formula": ".2f", "% of blend": ".1f", "grams": "g", "HLB": ".1f"},
        made.itertuples(index=False),
        numbers=("% of formula", "% of blend", "grams", "HLB"),
    )
    if outcome.weighed:
        w = outcome.weighed
        st.markdown(
            plain(f"Together {w.total_g:g} g in {w.batch_g:g} g. As weighed the blend has HLB ")
            + f"**{w.hlb.value:.2f}**"
            + plain(" ({:.2f} to {:.2f} with half a division of error).".format(*w.hlb_span))
        )
    if blend.binding:
        st.markdown(plain(f"Limits in force: {'; '.join(blend.binding)}."))
    st.download_button(
        "Blend as CSV", hlb.cells.to_csv(made), "blend.csv", "text/csv", key="blend_csv", on_click="ignore"
    )


def result(now: Draft, outcome: hlb.Outcome) -> None:
    required, verdict = outcome.required, outcome.verdict
    if required is None and "phase" in outcome.errors:
        return  # the sentence stands in the place of the verdict
    if required is None:
        st.info("Enter an oil phase: at least one oil, butter or wax with an amount.")
        return
    if verdict and verdict.beside:
        st.markdown("**The matched pair beside it, at the same dose**")
        table(
            {"emulsifier": "", "% of formula": ".2f"},
            verdict.beside.blend.amounts.items(),
            numbers=("% of formula",),
        )
        st.markdown(plain(verdict.beside.price))
    if verdict:
        st.markdown("**Dose**")
        findings([verdict.dose] if verdict.dose else [])
        st.markdown("**What to mind**")
        weighed = outcome.weighed.cautions if outcome.weighed else ()
        findings_by_level((*verdict.findings, *required.cautions, *weighed))
    if required.others:
        st.markdown("**Counted differently**")
        table(
            {"ingredient": "", "choice": "", "required HLB": ""},
            [(o.name, o.choice, repr(o.estimate) if o.estimate else "nothing left") for o in required.others],
        )
    workings(outcome)
    extra(now, outcome)


def workings(outcome: hlb.Outcome) -> None:
    required, blend = outcome.required, outcome.blend
    with st.expander("How the figures come about"):
        table(
            {
                "ingredient": "",
                "% of oils": ".1f",
                "HLB": ".1f",
                "low": ".1f",
                "high": ".1f",
                "brings": ".2f",
                "grade": "",
                "basis": "",
            },
            required.contributions.drop(columns=["kind", "mass"]).itertuples(index=False),
            numbers=("% of oils", "HLB", "low", "high", "brings"),
        )
        steps(hlb.lessons.outcome_workings(outcome))
        if blend is not None:
            together, alone = blend.share_in_window, blend.share_in_window_independent
            st.markdown(
                plain(
                    f"Share of the sources' spread inside the window: {together:.2f} where all "
                    f"doubts move together, {alone:.2f} if each moved by itself."
                )
            )
    with st.expander("Where the figures come from"):
        sources = hlb.report.sources_of(outcome, library())
        table(
            {
                "ingredient": "",
                "quantity": "",
                "HLB": "g",
                "low": "g",
                "high": "g",
                "grade": "",
                "source": "",
                "where": "",
                "note": "",
            },
            sources.itertuples(index=False),
            numbers=("HLB", "low", "high"),
        )
        st.download_button(
            "Sources as CSV",
            hlb.cells.to_csv(sources),
            "sources.csv",
            "text/csv",
            key="sources_csv",
            on_click="ignore",
        )


def extra(now: Draft, outcome: hlb.Outcome) -> None:
    key = f"blend_figure_{now.version}"

    def put() -> None:
        now.figure = st.session_state[key]

    st.selectbox(
        "Another figure",
        FIGURES,
        list(FIGURES).index(now.figure),
        format_func=FIGURES.get,
        key=key,
        on_change=put,
    )
    if now.figure != "none":
        try:
            figure(*drawn(outcome.sheet, now.figure), now.figure, png(outcome.sheet, now.figure))
        except hlb.HlbError as error:
            st.info(plain(error))
