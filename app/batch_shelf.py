"""What an open batch takes from the shelf: asked, once."""

from __future__ import annotations

import streamlit as st
from batch_record import enter
from keeping import keep
from parts import plain, table
from state import batch, library, shelf

from hlbcore.batch.from_shelf import needs_of, take_from_shelf, was_taken
from hlbcore.batch.record import BatchRecord


def from_shelf(record: BatchRecord) -> None:
    """What runs short, and the press that takes the batch from the shelf."""
    now, tables = shelf(), library()
    if not now.stock.items or was_taken(record):
        return
    st.subheader("From the shelf", anchor=False)
    short = now.stock.short_for(needs_of(record, tables), tables)
    told = short[short["remark"] != ""]
    if not told.empty:
        table(
            {"runs short": "", "needs g": ".2f", "there g": ".2f", "missing g": ".2f", "": ""},
            told.itertuples(index=False),
            numbers=("needs g", "there g", "missing g"),
            says="what runs short",
        )

    def take() -> None:
        with now.lock:
            taken, note = take_from_shelf(record, now.stock, tables)
            if not enter("note", note):
                return
            now.put(taken.stock)
            keep(now, now.stock)
            batch().told = "; ".join(taken.missing)

    st.button(
        "Take it from the shelf",
        key="batch_take",
        on_click=take,
        help="As weighed, else as planned; a lot that the record names goes first, else what is soonest due. "
        "The record notes it.",
    )
    if now.trouble:
        st.error(plain(now.trouble))
