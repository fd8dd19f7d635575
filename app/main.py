"""The app: list of pages, shared look, what is kept, run."""

from __future__ import annotations

import streamlit as st
from bar import how_kept, pages
from keeping import follow_address
from memory import settled
from parts import LOOK, plain
from state import follow_shelf, follow_units

import hlbcore as hlb
from hlbcore.errors import TableError

FIRST = [
    st.Page("views/formula.py", title="Formula", default=True),
    st.Page("views/ladder.py", title="Ladder", url_path="ladder"),
    st.Page("views/batch.py", title="Batch", url_path="batch"),
    st.Page("views/kept.py", title="Kept work", url_path="kept"),
]
MORE = [
    st.Page("views/shelf.py", title="Shelf", url_path="shelf"),
    st.Page("views/swap.py", title="Swap", url_path="swap"),
    st.Page("views/jar.py", title="In the jar", url_path="jar"),
    st.Page("views/cost.py", title="Cost", url_path="cost"),
    st.Page("views/label.py", title="Label", url_path="label"),
    st.Page("views/selling.py", title="Before you sell", url_path="selling"),
    st.Page("views/bench.py", title="Bench figures", url_path="bench"),
    st.Page("views/own.py", title="Own values", url_path="own"),
    st.Page("views/values.py", title="Values and sources", url_path="values"),
    st.Page("views/learn.py", title="Learn", url_path="learn"),
]
st.set_page_config(page_icon="💧", layout="wide")
st.html(LOOK)
page = st.navigation([*FIRST, *MORE], position="hidden")
try:
    left_out = hlb.load_library().faults
except TableError as error:
    st.error(plain(f"The tables cannot be read: {error}. Mend that row, or install again."))
    st.stop()
follow_units()
follow_shelf()
follow_address()
pages(page, FIRST, MORE)
with st.container(key="notices"):  # always there, so that what stands below keeps its place
    how_kept()
    for fault in left_out:
        st.warning(plain(f"{fault}."))
page.run()
settled()
