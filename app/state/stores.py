"""The store of kept work, and the tables with the own values that lie in it."""

from __future__ import annotations

import sys
from dataclasses import dataclass

import streamlit as st

import hlbcore as hlb

CLASSROOM_BYTES = 20_000_000
"""Most that one session of a class may keep. [byte] Our convention."""


@dataclass(frozen=True)
class Opened:
    """The file of kept work, or why it could not be opened."""

    store: hlb.Store | None = None
    error: hlb.StoreError | None = None


@st.cache_resource(max_entries=4, show_spinner=False)
def opened(path: str) -> Opened:
    """The one store of this computer, shared by all windows."""
    try:
        return Opened(hlb.Store(path))
    except hlb.StoreError as error:
        return Opened(error=error)


def classroom() -> bool:
    """Whether each session keeps its own work, in memory only."""
    return "--classroom" in sys.argv


def file_error() -> hlb.StoreError | None:
    """Why the file cannot be used; None where it can, and in a classroom."""
    return None if classroom() else opened(str(hlb.default_path())).error


def store() -> hlb.Store:
    """The store of this computer; in a class, and where the file fails, one of this session."""
    if not classroom() and (found := opened(str(hlb.default_path())).store) is not None:
        return found if "store" not in st.session_state else taken_along(found)
    if "store" not in st.session_state:
        st.session_state["store"] = hlb.Store(in_memory=True, most_bytes=CLASSROOM_BYTES)
    return st.session_state["store"]


def taken_along(found: hlb.Store) -> hlb.Store:
    """The file, once it holds what this session made while it could not be used."""
    from state.formula import draft

    held = st.session_state["store"]
    try:
        hlb.import_all(found, hlb.plan_import(found, hlb.export_all(held)))
    except hlb.HlbError as error:
        draft().told = str(error)
        return held
    del st.session_state["store"]
    return found


def library() -> hlb.Library:
    """The tables with the own values of this store laid over them."""
    try:
        return hlb.load_library(overlay=store().overlay())
    except hlb.StoreError:
        return hlb.load_library()
