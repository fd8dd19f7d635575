"""Values and sources: every reading of an ingredient, and the required HLB of a quick list."""

from __future__ import annotations

import streamlit as st
from parts import findings, picker_options, plain, table
from state import library

import hlbcore as hlb
from hlbcore.blending.candidates import emulsifier_findings

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
else:
    st.markdown(
        "Required HLB of oils, butters and waxes, and HLB of emulsifiers, one line a reading and "
        "source. Grades: measured (an experiment that fits the use), published (handbook, paper, "
        "data sheet), craft (hand-out, blog, exercise), memory (recalled, source not opened)."
    )
