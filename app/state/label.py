"""The label draft: what is chosen, and what is filled in beside the list."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field

import streamlit as st

import hlbcore as hlb
from hlbcore.batch.label import LabelWords
from state.formula import draft
from state.stores import store


@dataclass
class LabelDraft:
    """What the label page shows."""

    market: str = "us"
    portions: str = "apart"
    jar: str = ""
    poured: bool = False  # sold by volume
    record: str = ""  # uid of the record that it is drafted from; blank: the formula
    words: dict[str, LabelWords] = field(default_factory=dict)  # by the kept work they belong to


def label_draft() -> LabelDraft:
    """The lasting key of the label page."""
    if "label" not in st.session_state:
        st.session_state["label"] = LabelDraft()
    return st.session_state["label"]


def label_words() -> LabelWords:
    """What is filled in for the open formula; it is kept beside it."""
    now, work = label_draft(), _work()
    if work not in now.words:
        now.words[work] = _kept(work)
    return now.words[work]


def put_words(words: LabelWords) -> None:
    """Fill in, and keep it where the formula is kept."""
    work = _work()
    label_draft().words[work] = words
    if work:
        store().set_setting(f"label {work}", json.dumps(asdict(words), ensure_ascii=False))


def _work() -> str:
    kept = draft().kept
    return kept.work if kept is not None else ""


def _kept(work: str) -> LabelWords:
    try:
        held = json.loads(store().setting(f"label {work}", "{}")) if work else {}
        return LabelWords(**held)
    except (hlb.HlbError, ValueError, TypeError):
        return LabelWords()
