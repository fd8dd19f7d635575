"""Values and sources: every reading of an ingredient, and all that the tables hold."""

from __future__ import annotations

from typing import Any

import streamlit as st
from how import show_how
from parts import BY_TABLES, findings, picker_options, plain, table, vega
from state import as_printed, library

import hlbcore as hlb
from hlbcore.blending.held import QUANTITIES, figures_held, held_words, readings_held
from hlbcore.blending.marks import emulsifier_findings
from hlbcore.lessons.of_shelf import ingredient_figures
from hlbcore.plots.held import coverage_chart, coverage_words, disagreements_chart, disagreements_words
from hlbcore.readings import TABLE_GRADES

as_printed(words=True)

st.title("Values and sources", anchor=False)
tables = library()
names = picker_options("all", tables)
name = st.selectbox(
    "Ingredient",
    list(names),
    index=None,
    format_func=lambda n: names.get(n, n),
    placeholder="Type any of its names",
    key="values_name",
    help="Common name, label name or alias",
)
if name:
    found = tables.find(name)
    st.subheader(plain(found.common_name))
    facts = {
        "Label name (INCI)": found.inci or "not known here",
        "Kind": found.kind,
        "Charge": found.charge,
        "Other names": ", ".join(found.aliases),
        "HLB as an emulsifier": repr(found.hlb) if found.hlb else "",
        "Required HLB, o/w": repr(e) if (e := found.required_hlb("o/w")) else "",
        "Required HLB, w/o": repr(e) if (e := found.required_hlb("w/o")) else "",
        "Note": found.note,
    }
    table({"": "", " ": ""}, [(k, v) for k, v in facts.items() if v])
    show_how(ingredient_figures(found))
    readings = hlb.tables.readings_table(found, tables)
    if readings.empty:
        st.info("No reading is known. Give a value or a range of your own where you use it.")
    else:
        st.markdown("**Every reading**")
        shown = readings.drop(columns="ingredient").astype(object).itertuples(index=False)
        table(
            {
                "quantity": "",
                "HLB": "g",
                "low": "g",
                "high": "g",
                "grade": "",
                "source": "",
                "where": "",
                "note": "",
            },
            shown,
            numbers=("HLB", "low", "high"),
        )
    findings(emulsifier_findings([found]) if found.charge else ())


@st.cache_data(max_entries=4, hash_funcs=BY_TABLES, show_spinner=False)
def figures(tables: hlb.Library) -> Any:
    """Every figure in use, the widest disagreement first."""
    return figures_held(tables)


def overview() -> None:
    """All that is held: pictures of the whole, and every reading as a table."""
    held = figures(tables)
    st.markdown(
        plain(held_words(tables))
        + " Grades: measured (an experiment that fits the use), published (handbook, paper, data sheet), "
        "craft (hand-out, blog, exercise), memory (recalled, source not opened); primary: where the figure "
        "was first printed."
    )
    left, right = st.columns(2, gap="large")
    with left:
        st.subheader("Where sources disagree most")
        vega(disagreements_chart(held), key="values_apart", width="stretch", alt=disagreements_words(held))
        st.html('<p class="told">Line: lowest to highest reading. Diamond: the figure in use.</p>')
    with right:
        st.subheader("How well figures are founded")
        vega(coverage_chart(held), key="values_coverage", width="stretch", alt=coverage_words(held))
        st.html('<p class="told">Lists that copy each other are one root.</p>')
    st.subheader("Every reading")
    with st.container(horizontal=True, gap="small"):
        words = st.text_input("Words in name or source", key="values_words", max_chars=100, width=260)
        what = st.multiselect("Quantity", QUANTITIES, key="values_quantity", width=300)
        grades = st.multiselect("Grade", ("own", *TABLE_GRADES), key="values_grade", width=300)
    found = readings_held(tables, quantities=what, grades=grades, words=words or "")
    st.html(f'<p class="told" role="status">Readings shown: {len(found)}. A press on a heading sorts.</p>')
    st.dataframe(found, key="values_all", hide_index=True, width="stretch", height=420)


if not name:
    overview()
