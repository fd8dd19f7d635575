"""The app: list of pages, shared look, run."""

from __future__ import annotations

import streamlit as st
from parts import LOOK

st.set_page_config(page_title="Oils and emulsifiers", page_icon="💧", layout="wide")
st.html(LOOK)
st.navigation(
    [
        st.Page("views/blend.py", title="Oils and emulsifiers", url_path="blend", default=True),
        st.Page("views/formula.py", title="Whole formula", url_path="formula"),
        st.Page("views/values.py", title="Values and sources", url_path="values"),
    ],
    position="top",
).run()
