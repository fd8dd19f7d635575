"""The units in which this workshop reads: chosen once, or those in which it typed last."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace

import streamlit as st

import hlbcore as hlb
from hlbcore.units import AS_KEPT, Units, UnitsAsked, learned
from state.stores import store

SETTING = "units"
HELD = "units asked"


def units_asked() -> UnitsAsked:
    """What was chosen, and what was typed last."""
    if HELD not in st.session_state:
        follow_units()
    return st.session_state[HELD]


def follow_units() -> None:
    """Read them as they are kept: another window may have chosen."""
    try:
        held = UnitsAsked.of_code(store().setting(SETTING))
    except hlb.StoreError:
        held = st.session_state.get(HELD, UnitsAsked())
    st.session_state[HELD] = held
    hold(held.units)


def hold(read: Units) -> None:
    """Show everything in these units, but what was typed as a name."""
    if not read.as_kept:
        now = st.session_state.get("draft")
        with suppress(hlb.StoreError):  # told above the page
            read = read.naming([*store().names(), *(typed_names(now.formula) if now else ())])
    st.session_state["units"] = read


def typed_names(formula: hlb.Formula) -> Iterator[str]:
    """What is called by a name of the user's in a formula."""
    yield formula.name
    yield from formula.phases
    for named in (formula.lines, formula.portions.value or (), formula.blends.value or ()):
        yield from (held.name for held in named)


def units() -> Units:
    """The units in which everything is shown."""
    return st.session_state.get("units", AS_KEPT)


def as_printed(*, words: bool = False) -> None:
    """This page stays in grams and °C, as its sums and its sources are; `words`: with the point too."""
    st.session_state["units"] = AS_KEPT if words else units().as_computed


def put_units(asked: UnitsAsked) -> None:
    """Keep other units; where that fails they hold for this visit."""
    if asked == units_asked():
        return
    st.session_state[HELD] = asked
    hold(asked.units)
    try:
        store().set_setting(SETTING, asked.code)
    except hlb.StoreError:  # told above the page with the next save
        return


def learn(text: str, *, heat: bool = False) -> None:
    """Take note of the units of what was typed."""
    asked = units_asked()
    put_units(replace(asked, typed=learned(text, asked.typed, heat=heat)))
