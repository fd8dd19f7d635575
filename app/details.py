"""Below the list, each in a part that opens: figures, sources, pictures, causes, files."""

from __future__ import annotations

import streamlit as st
from how import show_how
from parts import figure, plain, safe, steps, table, vega
from state import FormulaDraft, library
from worked import drawn, png, worked

import hlbcore as hlb
from hlbcore.lessons.of_formula import formula_figures, hard_figure, lines_figure, total_figure
from hlbcore.lessons.on_paper import workings_page
from hlbcore.plots.page import contributions_chart
from hlbcore.rules.hard_share import compare_hard_share

FIGURES = {
    "none": "None",
    "axis": "HLB axis with every emulsifier",
    "contributions": "What each oil contributes",
    "ratio": "HLB against the ratio of two",
    "triangle": "Three emulsifiers in a triangle",
    "map": "Ratio and dose that are allowed",
}


def details(now: FormulaDraft) -> None:
    """All that can be asked for; only what is open is drawn."""
    outcome = worked(now.formula)
    for key, label, how in (
        ("workings", "How the figures come about", workings),
        ("sources", "Where the figures come from", sources),
        ("whole", "The whole formula in grams", whole),
        ("pictures", "Pictures to keep or print", pictures),
        ("wrong", "Something went wrong: causes by what you see", diagnose),
        ("hard", "Hard share, beside a formula you know", hardness),
        ("files", "Take the formula along: JSON, CSV", files),
    ):
        with st.expander(label, key=f"details_{key}", on_change="rerun") as box:
            if box.open:
                how(now, outcome)


def workings(now: FormulaDraft, outcome: hlb.Worked) -> None:
    required = outcome.required
    if required is None:
        st.markdown(plain(outcome.reason))
        return
    chart = contributions_chart(outcome)
    if chart is not None:
        said = ", ".join(f"{r.ingredient} {r.contribution:.2f}" for r in required.contributions.itertuples())
        vega(chart, key="details_bars", width="stretch", alt=f"What each oil brings: {said}")
    rows = [("The oils ask for", f"{required.value:.1f}", f"{required.low:.1f} to {required.high:.1f}")]
    if outcome.blend is not None:
        e = outcome.blend
        rows.append(("The blend brings", f"{e.value:.1f}", f"{e.low:.1f} to {e.high:.1f}"))
    table({"": "", "HLB": "", "range": ""}, rows, numbers=("HLB", "range"), says="asked and brought")
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
        says="what each oil brings",
    )
    st.markdown(plain(outcome.verdict.sentence))
    if required.others:
        st.markdown("**Counted differently**")
        table(
            {"ingredient": "", "choice": "", "the oils then ask for": ""},
            [(o.name, o.choice, repr(o.estimate) if o.estimate else "nothing left") for o in required.others],
            says="counted differently",
        )
    if outcome.solved is not None and outcome.solved.binding:
        st.markdown(plain(f"Limits that decided: {'; '.join(outcome.solved.binding)}."))
    steps(formula_figures(outcome).values())


def sources(now: FormulaDraft, outcome: hlb.Worked) -> None:
    held = hlb.tables.sources_of(outcome)
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
        held.itertuples(index=False),
        numbers=("HLB", "low", "high"),
        says="every reading behind the figures",
    )
    st.download_button(
        "Sources as CSV",
        hlb.cells.to_csv(held),
        "sources.csv",
        "text/csv",
        key="details_sources_csv",
        on_click="ignore",
    )


def whole(now: FormulaDraft, outcome: hlb.Worked) -> None:
    """Every line by phase with its grams."""
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
        hlb.tables.formula_table(outcome).itertuples(index=False),
        numbers=("% of formula", "grams"),
        says="the formula by phase",
    )
    st.markdown(plain(f"Together {outcome.made.total_pct:.2f} %."))
    show_how({"grams of every line": lines_figure(outcome), "sum of all lines": total_figure(outcome)})


def pictures(now: FormulaDraft, outcome: hlb.Worked) -> None:
    key = f"details_figure_{now.version}"

    def put() -> None:
        now.figure = st.session_state[key]

    st.selectbox(
        "Picture", FIGURES, list(FIGURES).index(now.figure), format_func=FIGURES.get, key=key, on_change=put
    )
    if now.figure == "none":
        return
    try:
        figure(*drawn(outcome.formula, now.figure), now.figure, png(outcome.formula, now.figure))
    except hlb.HlbError as error:
        st.info(plain(error))


def diagnose(now: FormulaDraft, outcome: hlb.Worked) -> None:
    """Causes by symptom."""
    key = f"details_symptom_{now.version}"
    words = hlb.symptoms()

    def put() -> None:
        now.symptom = st.session_state[key]

    st.selectbox(
        "What do you see?",
        words,
        words.index(now.symptom) if now.symptom in words else None,
        key=key,
        on_change=put,
    )
    if now.symptom:
        found = hlb.diagnose(outcome, symptom=now.symptom).causes
        if not found:
            st.html('<p class="told">Nothing in this formula is known to cause it.</p>')
        st.html(f'<div class="findings">{"".join(map(cause_html, found))}</div>')


def cause_html(cause) -> str:
    """One possible cause, with the one figure to look at; the first stands open."""
    mark = "the figure points at it" if cause.points else "the figure does not point at it"
    shown = {
        "Look at": f"{cause.figure}: {cause.value} ({mark})",
        "Bench test": cause.test,
        "What to do": cause.mend,
        "What that costs": cause.trade_off,
        "Rule": library().cite(cause.rule),
    }
    below = "<br>".join(f"<b>{safe(k)}:</b> {safe(v)}" for k, v in shown.items() if v)
    state = " open" if cause.rank == 1 else ""
    return (
        f'<details class="finding"{state}><summary>{safe(cause.rank)}. {safe(cause.cause)}</summary>'
        f"<div>{below}</div></details>"
    )


def hardness(now: FormulaDraft, outcome: hlb.Worked) -> None:
    """The hard share beside a formula that the maker knows."""
    share = hlb.hard_share(outcome)
    st.markdown(
        plain(f"{share.of_fat_pct:.1f} % of the fat base, {share.of_jar_pct:.1f} % of the jar: {share.text}.")
    )
    show_how({"hard share": hard_figure(outcome)})
    if now.reference is not None:
        st.markdown(plain(compare_hard_share(outcome, now.reference, library=library()).text))

    def put() -> None:
        now.reference = outcome.made

    st.button("Keep this formula as my reference", key="details_reference", on_click=put)
    st.html('<p class="told">Later edits, and formulas that you open, are compared with it.</p>')


def files(now: FormulaDraft, outcome: hlb.Worked) -> None:
    with st.container(horizontal=True):
        for label, how, name, kind in (
            ("Formula as JSON", outcome.formula.to_json, "formula.json", "application/json"),
            ("Formula as CSV", outcome.made.to_csv, "formula.csv", "text/csv"),
            (
                "Workings to print",
                lambda: workings_page(outcome.formula.name, formula_figures(outcome)),
                "workings.html",
                "text/html",
            ),
            (
                "Blend as CSV",
                lambda: hlb.cells.to_csv(hlb.tables.blend_table(outcome)),
                "blend.csv",
                "text/csv",
            ),
        ):
            st.download_button(label, how, name, kind, key=f"details_{name}", on_click="ignore")
