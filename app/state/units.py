"""The units in which this workshop reads: chosen once, or those in which it typed last."""

from __future__ import annotations

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
    st.session_state["units"] = held.units


def units() -> Units:
    """The units in which everything is shown."""
    return st.session_state.get("units", AS_KEPT)


def as_printed(*, words: bool = False) -> None:
    """This page stays in grams and °C, as its sums and its sources are; `words`: with the point too."""
    held = AS_KEPT if words else replace(AS_KEPT, decimal=units().decimal)
    st.session_state["units"] = held


def put_units(asked: UnitsAsked) -> None:
    """Keep other units; where that fails they hold for this visit."""
    if asked == units_asked():
        return
    st.session_state[HELD] = asked
    st.session_state["units"] = asked.units
    try:
        store().set_setting(SETTING, asked.code)
    except hlb.StoreError:  # told above the page with the next save
        return


def learn(text: str, *, heat: bool = False) -> None:
    """Take note of the units of what was typed."""
    asked = units_asked()
    put_units(replace(asked, typed=learned(text, asked.typed, heat=heat)))
