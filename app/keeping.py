"""Keeping what is typed: the store, the formula in the address, undo, and what went wrong."""

from __future__ import annotations

from typing import Any, Protocol

import streamlit as st
from state import classroom, draft, library, replace_draft, store, the_file
from state.formula import as_kept
from worked import worked

import hlbcore as hlb
from hlbcore.errors import Conflict, DamagedWork, LostFile
from hlbcore.kept.figures import kept_figures
from hlbcore.kept.kinds import FORMULA
from hlbcore.kept.versions import Version, checked_uid


class Drafted(Protocol):
    """What is being typed on a page, and how it is kept: a draft of any kind."""

    kept: Version | None  # the version that it was last kept as
    saved: Any  # the body that needs no keeping
    theirs: Version | None  # what another window kept in the meantime
    trouble: str
    lock: Any


def keep(now: Drafted, body: object) -> None:
    """Keep a draft if it has changed since it was last kept; the one way for all kinds.

    After a conflict the next edit follows on this window's own state, so that its versions are a
    chain and not so many children of the old state.
    """
    with now.lock:
        if body == now.saved:
            return
        try:
            now.kept = put_next(now, body)
            now.trouble, now.theirs = "", None
        except Conflict as found:
            now.kept, now.theirs = store().version(found.mine), store().version(found.theirs)
            now.trouble = ""
        except LostFile:  # told above the page; the work goes on in memory
            the_file().look()
            keep(now, body)
            return
        except hlb.HlbError as error:  # the file fails, or a text is too long to keep
            now.trouble = str(error)
            return
        now.saved = body


def on_top(now: Drafted, body: object) -> None:
    """After a conflict: what is on this page becomes the newest state."""
    with now.lock:
        if now.kept is not None:
            now.kept, now.theirs, now.saved = store().open(now.kept.work), None, None
        keep(now, body)


def put(body: object, on: Version | None, why: str = "") -> Version:
    return store().save(body, on=on, who=store().setting("who"), why=why, **follows(body))


def follows(body: object) -> dict[str, Any]:
    """What is kept beside a body: the figures that follow from it, and the tables they rest on."""
    if not isinstance(body, hlb.Formula):
        return {}
    return {"figures": kept_figures(worked(body)), "digest": library().digest}


def put_next(now: Drafted, body: object, why: str = "") -> Version:
    """Keep a body as what follows on the draft; undo then leads back to where it began."""
    if now.kept is not None and not store().holds(now.kept):  # for example after a backup
        return put(body, None, why)
    if now.kept is None and now.saved is not None:
        now.kept = put(now.saved, None)
    return put(body, now.kept, why)


def keep_formula() -> None:
    """Keep the formula that is open."""
    keep(draft(), draft().formula)


def show(version: Version) -> None:
    """Open a version in place of the draft; what was typed is kept already."""
    now = draft()
    if now.kept is not None and now.kept.work == version.work:  # the same list: its lines stay in place
        now.put(version.body)
        now.kept, now.saved, now.theirs, now.trouble = version, version.body, None, ""
        now.pasted, now.notice = (), ""
    else:
        replace_draft(as_kept(version))


def open_formula(uid: str) -> None:
    """Open a formula by its identity."""
    try:
        found, remark = readable(checked_uid(uid))
        show(found)
        draft().told = remark
    except hlb.HlbError as error:
        draft().told = str(error)


def readable(uid: str) -> tuple[Version, str]:
    """The current state of a formula; where it is damaged the newest one that can be read, and a remark."""
    try:
        return store().open(uid, kind=FORMULA), ""
    except DamagedWork as error:
        found = store().last_readable(uid)
        return found, f"{error} Version {found.number} is shown: the newest one that can be read."


def follow_address() -> None:
    """Open the formula that the address names, and let the address name the one that is open."""
    if not classroom():
        the_file().look()
    asked = st.query_params.get("formula", "")
    if asked and asked != in_address("formula"):
        open_formula(asked)
    else:
        keep_formula()
    name_in_address()


def name_in_address() -> None:
    """Let the address name the open formula."""
    now = draft()
    put_in_address("formula", now.kept.work if now.kept is not None else "")


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
