"""What follows from the open formula, worked out once for each state of it and of the tables."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import streamlit as st
from parts import BY_TABLES
from state import at_hand, library

import hlbcore as hlb
from hlbcore.blending.proposal import with_proposal
from hlbcore.checks.ranked import Ranked, ranked
from hlbcore.rules.jar.sheet import Jar, JarSheet, work_out_jar
from hlbcore.swapping.sheet import SwapOutcome, SwapSheet, work_out_swap


# formulas and tables are frozen: they are their own keys, and nothing is copied
@lru_cache(300)
def worked_with(formula: hlb.Formula, tables: hlb.Library, shelf: tuple[str, ...] = ()) -> hlb.Worked:
    return hlb.work_out(formula, tables, shelf=shelf)


def worked(formula: hlb.Formula) -> hlb.Worked:
    """What follows from a formula with the tables, the own values and the shelf in use."""
    return worked_with(formula, library(), at_hand())


@lru_cache(300)
def checked_with(
    formula: hlb.Formula, tables: hlb.Library, shelf: tuple[str, ...] = ()
) -> tuple[hlb.Finding, ...]:
    return tuple(hlb.check(worked_with(formula, tables, shelf)))


def checked(formula: hlb.Formula) -> tuple[hlb.Finding, ...]:
    """What the checks find in a formula."""
    return checked_with(formula, library(), at_hand())


@lru_cache(300)
def ranked_with(formula: hlb.Formula, tables: hlb.Library, shelf: tuple[str, ...] = ()) -> Ranked:
    return ranked(worked_with(formula, tables, shelf), checked_with(formula, tables, shelf))


def ranked_findings(formula: hlb.Formula) -> Ranked:
    """The findings as a maker reads them."""
    return ranked_with(formula, library(), at_hand())


@lru_cache(300)
def proposed_with(
    formula: hlb.Formula, tables: hlb.Library, shelf: tuple[str, ...] = ()
) -> hlb.Worked | None:
    made = with_proposal(worked_with(formula, tables, shelf))
    return None if made is None else worked_with(made, tables, shelf)


def proposed(formula: hlb.Formula) -> hlb.Worked | None:
    """What follows from the formula with the proposed amounts; None where nothing is proposed."""
    return proposed_with(formula, library(), at_hand())


@st.cache_data(max_entries=100, hash_funcs={**BY_TABLES, hlb.Formula: hash}, show_spinner=False)
def drawn_with(formula: hlb.Formula, which: str, tables: hlb.Library) -> tuple[bytes, str]:
    made = hlb.plots.of_formula(worked_with(formula, tables), which)
    return hlb.plots.to_svg(made), hlb.plots.words(made)


def drawn(formula: hlb.Formula, which: str) -> tuple[bytes, str]:
    """A figure of the formula, and its numbers as text."""
    return drawn_with(formula, which, library())


def png(formula: hlb.Formula, which: str) -> Callable[[], bytes]:
    """What draws the figure as a picture; the tables go along, since no session is known then."""
    tables = library()
    return lambda: hlb.plots.to_png(hlb.plots.of_formula(worked_with(formula, tables), which))


@lru_cache(50)
def swapped(formula: hlb.Formula, asked: SwapSheet, tables: hlb.Library) -> SwapOutcome:
    """What the swap gives."""
    return work_out_swap(worked_with(formula, tables), asked)


@lru_cache(50)
def jar_with(formula: hlb.Formula, asked: JarSheet, tables: hlb.Library) -> Jar:
    return work_out_jar(worked_with(formula, tables), asked)


def jar_of(formula: hlb.Formula, asked: JarSheet) -> Jar:
    """What the jar of a formula does."""
    return jar_with(formula, asked, library())
