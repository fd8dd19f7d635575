"""One swap over all kept formulas: which hold it, what it does to each, accepted singly or all at once."""

from __future__ import annotations

import streamlit as st
from bar import attempt
from how import show_how
from keeping import open_formula
from parts import picker_options, plain, table
from state import draft, library, shelf, store

from hlbcore.kept.across import AcrossStore, accept, current, swap_across
from hlbcore.kept.kinds import formula_title
from hlbcore.lessons.of_bench import moved_figure
from hlbcore.swapping.many import SMALL, STILL, holding

COLUMNS = {
    "formula": "",
    "result": "",
    "required before": ".1f",
    "after": ".1f",
    "emulsifiers that change, %": "",
    "first answer": "",
}


def across() -> None:
    """The whole of it, in a part of the page that is drawn only when it is open."""
    now = shelf()
    options = picker_options("all", library())

    def put(name: str, key: str) -> None:
        given = st.session_state[key]
        setattr(now, name, tuple(given) if name == "into" else given or "")

    with st.container(horizontal=True):
        st.selectbox(
            "Which of mine hold",
            list(options),
            list(options).index(now.out) if now.out in options else None,
            key="across_out",
            on_change=put,
            args=("out", "across_out"),
            format_func=options.get,
            placeholder="Any name",
            width=320,
        )
        st.multiselect(
            "Swap it in all of them for",
            list(options),
            list(now.into),
            key="across_into",
            select_all=False,
            on_change=put,
            args=("into", "across_into"),
            format_func=options.get,
            placeholder="Nothing yet: only look",
            width=320,
        )
    if not now.out:
        return
    if not now.into:
        held = current(store())
        found = holding({uid: v.body for uid, v in held.items()}, now.out, library())
        said = f"{len(found)} of {len(held)} kept formulas hold {now.out}."
        st.markdown(plain(said))
        if found:
            table(
                {"formula": "", f"{now.out} %": ".2f"},
                [(formula_title(held[uid].body) or "no name yet", pct) for uid, pct in found.items()],
                numbers=(f"{now.out} %",),
                says="formulas that hold it",
            )
        return
    results(swap_across(store(), now.out, now.into, library()))


def results(found: AcrossStore) -> None:
    """What the swap does to each, and the presses that accept it."""
    made = found.made.table
    if made.empty:
        st.markdown("No kept formula holds it.")
        return
    table(
        COLUMNS,
        made[["name", "result", "required_before", "required_after", "changes", "told"]].itertuples(
            index=False
        ),
        numbers=("required before", "after"),
        says="what the swap does to each formula",
    )
    show_how({"required HLB of each formula": moved_figure(made)})
    possible = [one for one in found.made.each if one.swap is not None]
    names = {one.key: f"{one.name} ({one.result})" for one in possible}
    easy = [one.key for one in possible if one.result in (STILL, SMALL)]
    picked = st.multiselect(
        "Accept in",
        list(names),
        easy,
        key=f"across_accept_{made['uid'].str.cat()}",
        format_func=lambda uid: plain(names[uid]),
        help="Still inside and small changes are picked to begin with",
    )

    def take() -> None:
        told = accept(store(), found, picked, who=store().setting("who"))
        now = draft()
        now.told = " ".join(told)
        if now.kept is not None and now.kept.work in picked:
            attempt(lambda: open_formula(now.kept.work))

    st.button(
        f"Accept in {len(picked)} formula{'' if len(picked) == 1 else 's'}, each as a new version",
        key="across_take",
        on_click=take,
        disabled=not picked,
        type="primary",
    )
    st.html(
        '<p class="told">Each keeps its version before, and its history says why. What needs work is best '
        "opened and swapped alone.</p>"
    )
