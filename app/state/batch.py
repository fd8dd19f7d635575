"""The batch: what is asked for, and the record that is open."""

from __future__ import annotations

import secrets
import threading
from dataclasses import dataclass, field
from typing import Any

import streamlit as st

from hlbcore.batch.asked import BatchAsked
from hlbcore.batch.record import BatchRecord
from hlbcore.kept.versions import Version
from state.stores import store

SCALES = "scales"
"""Setting that holds the scales of the workshop."""


@dataclass
class BatchDraft:
    """A batch as it is being planned, or its record as it is being filled in."""

    asked: BatchAsked = field(default_factory=BatchAsked)
    record: BatchRecord | None = None  # None while it is planned
    kept: Version | None = None
    saved: BatchRecord | None = None
    theirs: Version | None = None
    trouble: str = ""
    told: str = ""  # said once
    wrong: dict[tuple[str, str], tuple[str, str]] = field(default_factory=dict)  # entry: text and sentence
    key: str = field(default_factory=lambda: secrets.token_hex(6))  # of the list on the page
    version: str = "plan"  # fields start afresh with another one
    # a new run of the page begins before the one it replaces has ended
    lock: Any = field(default_factory=threading.RLock)


def batch() -> BatchDraft:
    """The lasting key of the batch, at first a plan for the open formula on the workshop's scales."""
    if "batch" not in st.session_state:
        st.session_state["batch"] = BatchDraft(BatchAsked(scales=store().setting(SCALES)))
    return st.session_state["batch"]
