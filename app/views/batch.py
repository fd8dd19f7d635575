"""Batch: from the formula to the jar: sheet, record, prints."""

from __future__ import annotations

import streamlit as st
from batch_after import batches
from batch_bench import bench
from batch_plan import plan
from batch_record import follow_batch
from parts import plain
from state import batch, draft

from hlbcore.kept.kinds import formula_title


def page() -> None:
    follow_batch()
    now = batch()
    st.title("Batch", anchor=False)
    for text in filter(None, (now.told, now.trouble)):
        st.warning(plain(text))
    now.told = ""
    if now.record is not None:
        bench(now.record)
        return
    st.markdown(f"Of **{plain(formula_title(draft().formula) or 'the open formula')}**")
    plan()
    batches()


page()
