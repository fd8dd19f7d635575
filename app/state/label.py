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
    words: dict[str, LabelWords] = field(default_factory=dict)  # by the key of the open formula


def label_draft() -> LabelDraft:
    """The lasting key of the label page."""
    if "label" not in st.session_state:
        st.session_state["label"] = LabelDraft()
    return st.session_state["label"]


def label_words() -> LabelWords:
    """What is filled in for the open formula; it is kept beside it as soon as the formula is kept."""
    held, key, work = label_draft().words, draft().key, _work()
    if key not in held:
        held[key] = _kept(work)
    elif work and held[key] != LabelWords() and not store().setting(_name(work)):
        _keep(work, held[key])
    return held[key]


def put_words(words: LabelWords) -> None:
    """Fill in, and keep it where the formula is kept."""
    label_draft().words[draft().key] = words
    if work := _work():
        _keep(work, words)


def _work() -> str:
    kept = draft().kept
    return kept.work if kept is not None else ""


def _name(work: str) -> str:
    return f"label {work}"


def _keep(work: str, words: LabelWords) -> None:
    store().set_setting(_name(work), json.dumps(asdict(words), ensure_ascii=False))


def _kept(work: str) -> LabelWords:
    try:
        return LabelWords(**json.loads(store().setting(_name(work), "{}"))) if work else LabelWords()
    except (hlb.HlbError, ValueError, TypeError):
        return LabelWords()
