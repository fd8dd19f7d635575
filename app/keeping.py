"""Keeping what is typed: the store, the formula in the address, undo, and what went wrong."""

from __future__ import annotations

import streamlit as st
from results import worked
from state import draft, from_sheet, library, replace_draft, store

import hlbcore as hlb


def keep() -> None:
    """Keep the draft if it has changed since it was last kept."""
    now = draft()
    with now.lock:
        sheet = now.sheet()
        if sheet == now.saved:
            return
        try:
            now.kept = put_next(sheet)
            now.trouble, now.theirs = "", None
        except hlb.Conflict as found:
            now.kept, now.theirs = store().version(found.mine), store().version(found.theirs)
        except hlb.HlbError as error:  # the file fails, or a text is too long to keep
            now.trouble = str(error)
            return
        now.saved = sheet


def put(sheet: hlb.Sheet, on: hlb.Version | None, why: str = "") -> hlb.Version:
    return store().save(
        sheet,
        on=on,
        who=store().setting("who"),
        why=why,
        figures=hlb.kept_figures(worked(sheet)),
        digest=library().digest,
    )


def put_next(sheet: hlb.Sheet, why: str = "") -> hlb.Version:
    """Keep a sheet as what follows on the draft; undo then leads back to where it began."""
    now = draft()
    if now.kept is not None and not store().holds(now.kept):  # for example after a backup
        return put(sheet, None, why)
    if now.kept is None and now.saved is not None:
        now.kept = put(now.saved, None)
    return put(sheet, now.kept, why)


def show(version: hlb.Version) -> None:
    """Open a version in place of the draft; what was typed is kept already."""
    new = from_sheet(version.sheet)
    new.kept, new.saved = version, version.sheet
    replace_draft(new)


def open_formula(uid: str) -> None:
    """Open a formula by its identity."""
    try:
        show(store().open(hlb.checked_uid(uid)))
    except hlb.HlbError as error:
        draft().told = str(error)


def follow_address() -> None:
    """Open the formula that the address names, and let the address name the one that is open."""
    asked = st.query_params.get("formula", "")
    if asked and asked != in_address("formula"):
        open_formula(asked)
    else:
        keep()
    name_in_address()


def name_in_address() -> None:
    """Let the address name the open formula."""
    now = draft()
    put_in_address("formula", now.kept.formula if now.kept is not None else "")


def in_address(name: str) -> str:
    """What this visit wrote into the address under a name; blank where nothing."""
    return str(st.session_state.get(f"address_{name}", ""))


def put_in_address(name: str, uid: str) -> None:
    """Let the address name what is open."""
    if uid and st.query_params.get(name, "") != uid:
        st.query_params[name] = uid
    elif not uid and name in st.query_params:
        del st.query_params[name]
    st.session_state[f"address_{name}"] = uid
