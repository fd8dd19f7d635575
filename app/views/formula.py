"""Whole formula: every line by phase, and what the checks find, the worst first."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st
from formula_inputs import files, rest
from parts import BY_TABLES, findings, findings_by_level, plain, table
from results import worked
from state import Draft, draft, library

import hlbcore as hlb


@st.cache_data(max_entries=100, hash_funcs=BY_TABLES, show_spinner=False)
def checked(formula: hlb.Formula, tables: hlb.Library) -> tuple[hlb.Finding, ...]:
    return tuple(hlb.check(formula, library=tables))


def whole(now: Draft, outcome: hlb.Outcome, formula: hlb.Formula) -> None:
    """The lines by phase, the total, and what is wrong with it."""
    st.subheader("The formula by phase")
    rows = hlb.formula_table(formula, outcome.batch_g, library())
    table(
        {
            "phase": "",
            "ingredient": "",
            "% of formula": ".2f",
            "grams": ".4g",
            "counts as": "",
            "portion": "",
            "note": "",
        },
        rows.itertuples(index=False),
        numbers=("% of formula", "grams"),
    )
    st.markdown(plain(f"Together {formula.total_pct:.2f} %."))
    problems = formula.problems(library())
    for problem in problems:
        st.warning(plain(problem.text))
    if any(p.line is None for p in problems):
        with st.container(horizontal=True):
            for label, key, how in (
                ("Fill with water", "formula_fill", lambda: formula.fill("water")),
                ("Rescale all lines", "formula_rescale", formula.rescaled),
            ):
                st.button(label, key=key, on_click=mend, args=(now, outcome, how))
    if now.notice:
        st.warning(plain(now.notice))


def mend(now: Draft, outcome: hlb.Outcome, how: Callable[[], hlb.Formula]) -> None:
    """Put a changed formula back into the draft; limits, prices and aims stay as typed."""
    now.notice = ""
    try:
        now.take(hlb.with_amounts(outcome, how()))
    except hlb.HlbError as error:
        now.notice = str(error)


def found(now: Draft, formula: hlb.Formula) -> None:
    """Findings, and what the last edit changed in them."""
    held = checked(formula, library())
    if held != now.seen_findings:
        now.changed = hlb.changes(now.seen_findings, held) if now.seen_findings else None
        now.seen_findings = held
    st.subheader("What the checks find")
    if now.changed is not None:
        with st.expander(f"The last edit: {len(now.changed.new)} new, {len(now.changed.gone)} gone"):
            st.markdown("**New**")
            findings(now.changed.new)
            st.markdown("**Gone**")
            findings(now.changed.gone)
    findings_by_level(held)


def hardness(now: Draft, formula: hlb.Formula) -> None:
    """The hard share beside a formula that the maker knows."""
    st.subheader("Hard share")
    share = hlb.hard_share(formula, library=library())
    st.markdown(
        plain(f"{share.of_fat_pct:.1f} % of the fat base, {share.of_jar_pct:.1f} % of the jar: {share.text}.")
    )
    if now.reference is not None:
        st.markdown(plain(hlb.compare_hard_share(formula, now.reference, library=library()).text))

    def put() -> None:
        now.reference = formula

    st.button(
        "Keep this formula as my reference",
        key="formula_reference",
        on_click=put,
        help="Later edits are compared with it; also opened examples and files",
    )


def diagnose(now: Draft, formula: hlb.Formula) -> None:
    """Causes by symptom."""
    st.subheader("Something went wrong")
    key = f"formula_symptom_{now.version}"
    words = hlb.symptoms()

    def put() -> None:
        now.symptom = st.session_state[key]

    st.selectbox(
        "What do you see?",
        words,
        words.index(now.symptom) if now.symptom in words else None,
        key=key,
        on_change=put,
        help="Causes that the figures of this formula point at come first",
    )
    if now.symptom:
        for cause in hlb.diagnose(formula, symptom=now.symptom, library=library()).causes:
            causes(cause)


def causes(cause) -> None:
    """One possible cause, with the one figure to look at."""
    mark = "the figure points at it" if cause.points else "the figure does not point at it"
    shown = {
        "Look at": f"{cause.figure}: {cause.value} ({mark})",
        "Bench test": cause.test,
        "What to do": cause.mend,
        "What that costs": cause.trade_off,
        "Rule": library().cite(cause.rule),
    }
    with st.expander(f"{cause.rank}. {plain(cause.cause)}", expanded=cause.rank == 1):
        table({"": "", " ": ""}, [(k, v) for k, v in shown.items() if v])


def page() -> None:
    now = draft()
    outcome = worked(now.sheet())
    made = hlb.formula_of(outcome)
    st.header("Whole formula")
    st.markdown(plain(f"{made.formula.name or 'No name yet'}, {made.formula.product_type}"))
    left, right = st.columns([5, 6], gap="large")
    with left:
        rest(now, dict(made.errors))
        files(now, made.formula)
    with right:
        whole(now, outcome, made.formula)
        found(now, made.formula)
        hardness(now, made.formula)
        diagnose(now, made.formula)


page()
