"""The swap: what goes out, what comes in, and what could stand in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache

import streamlit as st
from how import show_how
from parts import field_error, picker_options, plain, table
from state import SwapDraft, library

import hlbcore as hlb
from hlbcore.lessons.of_bench import distance_figure
from hlbcore.swapping.substitutes import EMULSIFIER_WEIGHTS, OIL_WEIGHTS, WISHES, rank_substitutes
from hlbcore.swapping.swap import DOSES, OBJECTIVES

AIMS = {
    "least change": "Least change of the emulsifiers",
    "fewest changes": "Fewest emulsifiers changed",
    "keep total": "Keep the dose",
    "cheapest": "Cheapest emulsifiers",
}
DOSE_WORDS = {
    "keep": "Emulsifier stays as much of the formula as limits and window allow",
    "follow": "Emulsifier keeps its share of the oil phase",
}


@lru_cache(50)
def ranked(
    name: str,
    side: str,
    emulsion: str,
    wishes: tuple[str, ...],
    weights: tuple[tuple[str, float], ...],
    tables: hlb.Library,
):
    return rank_substitutes(
        name, side=side, emulsion=emulsion, wishes=wishes, weights=dict(weights), library=tables
    )


def number(n: int, now: SwapDraft) -> str:
    """Behind the label of a field, where there are several lines."""
    return "" if len(now.numbers) == 1 else f" ({n + 1})"


def swap_row(now: SwapDraft, n: int, names: list[str], errors: Mapping[str, str]) -> None:
    """One thing that goes out, and what comes in."""
    line, row = now.asked.lines[n], now.numbers[n]
    options = picker_options("all", library())
    which = number(n, now)

    def put(field: str, key: str) -> None:
        given = st.session_state[key]
        now.put(now.numbers.index(row), **{field: tuple(given) if field == "into" else given or ""})

    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        key = f"swap_out_{row}"
        st.selectbox(
            f"Goes out{which}",
            names,
            names.index(line.out) if line.out in names else None,
            key=key,
            on_change=put,
            args=("out", key),
            width=230,
            placeholder="A line of the formula",
        )
        key = f"swap_amount_{row}"
        st.text_input(
            f"of it [% of the formula]{which}",
            line.amount,
            key=key,
            on_change=put,
            args=("amount", key),
            width=190,
            max_chars=40,
            placeholder="all",
        )
    key = f"swap_into_{row}"
    choices = list(dict.fromkeys([*options, *line.into]))
    st.multiselect(
        f"Comes in{which}",
        choices,
        list(line.into),
        key=key,
        on_change=put,
        args=("into", key),
        accept_new_options=True,
        placeholder="Nothing, one or several",
        select_all=False,
    )
    words = "Parts, for several" if now.asked.keep_mass else "Amounts [% of the formula]"
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        for name, label, hint in (
            ("parts", words, "3 1; blank: equal"),
            ("figure", "Own figure of what comes in [HLB]", "9, or 7 to 9"),
        ):
            key = f"swap_{name}_{row}"
            st.text_input(
                f"{label}{which}",
                getattr(line, name),
                key=key,
                on_change=put,
                args=(name, key),
                width=230,
                max_chars=60,
                placeholder=hint,
            )
        if len(now.numbers) > 1:
            st.button(f"Take swap {n + 1} out", key=f"swap_remove_{row}", on_click=now.remove, args=(n,))
    field_error(errors, f"swap {n}")


def what(now: SwapDraft, names: list[str], errors: Mapping[str, str]) -> None:
    """Everything that is asked for."""
    for n in range(len(now.numbers)):
        swap_row(now, n, names, errors)
    st.button("Swap another one in the same step", key="swap_add", on_click=now.add)
    field_error(errors, "swap")
    with st.expander(
        "Wishes for the whole formula, and how to rebalance", key="swap_more", on_change="rerun"
    ) as box:
        if box.open or now.asked.wishes:
            more(now)


def more(now: SwapDraft) -> None:
    """Wishes, mass, what to look for, dose."""

    def put(field: str, key: str) -> None:
        given = st.session_state[key]
        now.asked = replace(now.asked, **{field: tuple(given) if field == "wishes" else given})

    st.multiselect(
        "Make the whole formula",
        list(WISHES),
        list(now.asked.wishes),
        key="swap_wishes",
        on_change=put,
        args=("wishes", "swap_wishes"),
        placeholder="For example PEG-free",
        select_all=False,
    )
    st.toggle(
        "As much comes in as goes out",
        now.asked.keep_mass,
        key="swap_mass",
        on_change=put,
        args=("keep_mass", "swap_mass"),
    )
    for name, label, choices, words in (
        ("objective", "What to look for", OBJECTIVES, AIMS),
        ("dose", "Dose", DOSES, DOSE_WORDS),
    ):
        key = f"swap_{name}_of_all"
        st.selectbox(
            label,
            choices,
            choices.index(getattr(now.asked, name)),
            key=key,
            format_func=words.get,
            on_change=put,
            args=(name, key),
        )


def rank(now: SwapDraft, outcome: hlb.Worked) -> None:
    """Substitutes for what goes out, with weights that can be moved."""
    outs = [line.out for line in now.asked.lines if line.out]
    if not outs:
        return
    with st.expander("What could stand in", key="swap_rank_box", on_change="rerun") as box:
        if box.open:
            standing_in(now, outcome, outs)


def standing_in(now: SwapDraft, outcome: hlb.Worked, outs: list[str]) -> None:
    name = st.selectbox("For", outs, key=f"swap_rank_{len(outs)}_{outs[0]}")
    held = [x for x in outcome.emulsifiers if library().key(x.name) == library().key(name)]
    side = "emulsifier" if held else "auto"
    weights = []
    with st.popover("How much each difference counts", key="swap_weights"):
        for what_counts, usual in (EMULSIFIER_WEIGHTS if held else OIL_WEIGHTS).items():
            counts = st.slider(
                what_counts,
                0.0,
                5.0,
                usual,
                0.5,
                help="0: it does not count",
                key=f"swap_weight_{side}_{what_counts}",
            )
            weights.append((what_counts, counts))
    try:
        made = ranked(name, side, outcome.product.phase_emulsion, now.asked.wishes, tuple(weights), library())
    except hlb.HlbError as error:
        st.info(plain(error))
        return
    table(
        {
            "": "",
            "substitute": "",
            "distance": ".2f",
            "HLB": ".1f",
            "why": "",
            "not known": "",
            "caution": "",
        },
        made.itertuples(index=False),
        numbers=("distance", "HLB"),
        says="what could stand in",
    )
    show_how({"distance of what could stand in": distance_figure(made, dict(weights))})
    st.caption("Distance: weighted mean of the differences, 0 alike to 1; our convention.")
