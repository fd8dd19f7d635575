"""The record of a batch: how it is opened, entered into, kept, and named in the address."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import streamlit as st
from bar import attempt
from keeping import in_address, keep, put_in_address
from parts import plain
from state import BatchDraft, batch, draft, store

import hlbcore as hlb
from hlbcore.batch.numbering import next_number
from hlbcore.batch.record import BatchRecord
from hlbcore.batch.record_start import start_record
from hlbcore.kept.kinds import RECORD
from hlbcore.kept.versions import Version, checked_uid


def show_record(version: Version) -> None:
    """Open a kept record."""
    old = batch()
    now = BatchDraft(old.asked, version.body, version, version.body, version=f"{version.work}")
    st.session_state["batch"] = now


def open_record(uid: str) -> None:
    attempt(lambda: show_record(store().open(uid, kind=RECORD)))


def leave() -> None:
    """Back to planning; the record is kept."""
    old = batch()
    st.session_state["batch"] = BatchDraft(old.asked)


def start(sheet: hlb.BatchSheet) -> None:
    """Start a record from a sheet: it gets the next number of the day."""

    def begin() -> None:
        today = date.today()
        taken = (word for text in store().listed(RECORD)["product"] for word in text.replace(",", "").split())
        kept = draft().kept
        made = start_record(
            sheet,
            number=next_number(taken, today),
            made_on=today,
            who=store().setting("who"),
            source=kept.uid if kept is not None else "",
        )
        old = batch()
        now = BatchDraft(old.asked, made)
        st.session_state["batch"] = now
        keep(now, made)
        if now.kept is not None:
            now.version = now.kept.work

    attempt(begin)


def newest(now: BatchDraft) -> None:
    """Take what another window entered in the meantime: entries follow each other."""
    if now.kept is None or now.record != now.saved:
        return
    try:
        held = store().open(now.kept.work, kind=RECORD)
    except hlb.HlbError:  # told by the next save
        return
    if held.uid != now.kept.uid:
        now.kept, now.record, now.saved = held, held.body, held.body


def change(
    how: Callable[[BatchRecord], BatchRecord], entry: tuple[str, str] = ("", ""), text: str = ""
) -> bool:
    """Bring something into the record and keep it at once; what cannot be read stays as typed."""
    now = batch()
    with now.lock:
        newest(now)
        if now.record is None:
            return False
        try:
            made = how(now.record)
        except hlb.HlbError as error:
            now.wrong[entry] = (text, str(error))
            return False
        now.wrong.pop(entry, None)
        now.record, now.theirs = made, None
        keep(now, made)
        return True


def enter(kind: str, text: str, where: str = "", who: str = "", why: str = "") -> bool:
    """One entry."""
    return change(lambda r: r.enter(kind, text, where=where, who=who, why=why), (kind, where), text)


def wrong(kind: str, where: str = "") -> None:
    """The sentence on an entry that could not be read."""
    held = batch().wrong.get((kind, where))
    if held is not None:
        st.markdown(f":material/error: **{plain(held[1])}**")


def follow_batch() -> None:
    """Open the record that the address names, and let the address name the one that is open."""
    asked = st.query_params.get("batch", "")
    if asked and asked != in_address("batch"):
        try:
            show_record(store().open(checked_uid(asked), kind=RECORD))
        except hlb.HlbError as error:
            batch().told = str(error)
    now = batch()
    with now.lock:
        newest(now)
        if now.record is not None:
            keep(now, now.record)
    put_in_address("batch", now.kept.work if now.kept is not None else "")
