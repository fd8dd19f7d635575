"""The app: list of pages, shared look, what is kept, run."""

from __future__ import annotations

import streamlit as st
from bar import bar
from keeping import follow_address
from parts import LOOK, plain

import hlbcore as hlb

st.set_page_config(page_title="Oils and emulsifiers", page_icon="💧", layout="wide")
st.html(LOOK)
page = st.navigation(
    [
        st.Page("views/blend.py", title="Oils and emulsifiers", default=True),
        st.Page("views/formula.py", title="Whole formula", url_path="formula"),
        st.Page("views/swap.py", title="Swap", url_path="swap"),
        st.Page("views/ladder.py", title="Bench ladder", url_path="ladder"),
        st.Page("views/kept.py", title="Kept work", url_path="kept"),
        st.Page("views/own.py", title="Own values", url_path="own"),
        st.Page("views/learn.py", title="Learn", url_path="learn"),
        st.Page("views/values.py", title="Values and sources", url_path="values"),
    ],
    position="top",
)
try:
    left_out = hlb.load_library().faults
except hlb.TableError as error:
    st.error(plain(f"The tables cannot be read: {error}. Mend that row, or install again."))
    st.stop()
follow_address()
bar()
for fault in left_out:
    st.warning(plain(f"{fault}."))
page.run()
