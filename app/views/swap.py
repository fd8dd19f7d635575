"""Swap: one or several ingredients out, others in, emulsifiers rebalanced with the least change."""

from __future__ import annotations

import streamlit as st
from across import across
from bar import attempt, bar
from how import again, show_how
from keeping import put_next, show
from parts import figure, findings, findings_by_level, plain, table, vega, verdict_box
from state import draft, library, swap_draft
from swap_inputs import rank, what
from worked import swapped, worked

import hlbcore as hlb
from hlbcore.lessons.of_bench import options_figure, shifts_figure
from hlbcore.plots.page import amounts_chart
from hlbcore.plots.swap import both_on_axis, slopes
from hlbcore.swapping.sheet import amounts_table, span_text, swappable


def accept(made: hlb.Swap) -> None:
    """One press to accept a way."""
    held = made.options
    possible = held[held["possible"]]["option"].tolist()
    if not possible:
        return
    picked = st.selectbox(
        "Take the way",
        possible,
        possible.index(made.chosen) if made.chosen in possible else 0,
        key=f"swap_way_{made.chosen}",
    )

    def take() -> None:
        def save() -> None:
            show(put_next(draft(), made.accept(picked), made.reason_for(picked)))
            swap_draft().afresh()

        attempt(save)

    st.button("Accept as a new version", key="swap_accept", on_click=take, type="primary")
    st.html('<p class="told">The version before stays in the history.</p>')


def options(made: hlb.Swap) -> None:
    """The table of ways."""
    st.subheader("Ways to go on")
    held = made.options
    rows = [
        (
            r.option,
            r.changes,
            r.hlb,
            span_text(r.low, r.high),
            r.required_hlb,
            r.total,
            r.of_oil_pct,
            r.cost_per_kg,
            "; ".join(x for x in (r.disturbs, r.remark) if x),
        )
        for r in held[held["possible"]].itertuples()
    ]
    table(
        {
            "way": "",
            "emulsifiers that change": "",
            "HLB": ".1f",
            "range": "",
            "required": ".1f",
            "dose %": ".2f",
            "% of oil": ".1f",
            "cost per kg": ".3f",
            "what it disturbs": "",
        },
        rows,
        numbers=("HLB", "required", "dose %", "% of oil", "cost per kg"),
        says="ways to go on",
    )
    show_how({"ways to go on": options_figure(made)})
    shut = held[~held["possible"]]
    if not shut.empty:
        with st.expander(f"Ways that are not possible ({len(shut)})"):
            table(
                {"way": "", "what stands in the way": ""}, shut[["option", "remark"]].itertuples(index=False)
            )
            again("ways that are not possible", of="ways to go on")


def answer(made: hlb.Swap) -> None:
    """The first answer, and one press to accept it."""
    verdict_box("first answer", made.answer)
    show_how({"the swap": hlb.lessons.working(made)})
    accept(made)
    findings_by_level(made.findings)
    vega(
        amounts_chart(made, library()),
        key="swap_bars",
        width="stretch",
        alt="Every line before and after; the table below says it",
    )
    with st.expander("Pictures to keep or print", key="swap_pictures", on_change="rerun") as box:
        if box.open:
            pictures(made)


def pictures(made: hlb.Swap) -> None:
    for how, name in ((both_on_axis, "swap-axis"), (slopes, "swap-amounts")):
        try:
            drawing = how(made)
        except hlb.HlbError as error:
            st.info(plain(error))
            continue
        figure(
            hlb.plots.to_svg(drawing),
            hlb.plots.words(drawing),
            name,
            lambda drawing=drawing: hlb.plots.to_png(drawing),
        )


def shifting(rows) -> None:
    table(
        {"": "", "before": "", "after": "", "unit": "", "not known for": ""},
        rows[["quantity", "before_text", "after_text", "unit", "unknown"]].itertuples(index=False),
    )


def shifts(made: hlb.Swap) -> None:
    """What else shifts: what the bench looks at first, then the make-up of the fats."""
    st.subheader("What else shifts")
    held = made.shifts
    inner = held["quantity"].str.startswith(("fatty acid", "triacylglycerol"))
    shifting(held[~inner])
    show_how({"what else shifts": shifts_figure(made)})
    with st.expander("Fatty acids and triacylglycerols", key="swap_fats", on_change="rerun") as box:
        if box.open:  # long tables cost an edit most
            shifting(held[inner])
            again("fatty acids and triacylglycerols", of="what else shifts")
    with st.expander("Where these figures come from", key="swap_sources", on_change="rerun") as box:
        if box.open:
            cite, cited = library().cite, held[held["source"] != ""]
            table({"": "", "source": ""}, [(r.quantity, cite(r.source)) for r in cited.itertuples()])


def checks(made: hlb.Swap) -> None:
    st.subheader("What the checks find differently")
    moved = made.changes.moved
    for words, held in (("New", made.changes.new), ("Gone", made.changes.gone)):
        st.markdown(f"**{words}**")
        shown = [f for f in held if f.title not in moved]
        findings(shown)
        if not shown:
            st.markdown("None.")
    if moved:
        st.markdown(plain(f"There before and after, with other figures: {', '.join(moved)}."))


def before_and_after(made: hlb.Swap) -> None:
    st.subheader("Before and after")
    table(
        {"ingredient": "", "before %": ".2f", "after %": ".2f"},
        amounts_table(made, library()).itertuples(index=False),
        numbers=("before %", "after %"),
    )
    again("amounts before and after", of="the swap")


def page() -> None:
    now, asked = draft(), swap_draft()
    outcome = worked(now.formula)
    st.title("Swap", anchor=False)
    bar()
    with st.expander("In all my kept formulas", key="across_box", on_change="rerun") as box:
        if box.open:
            across()
    names = swappable(outcome)
    if not names:
        st.info("The open formula has no oil or emulsifier with an amount yet.")
        return
    asked.only_of(names)  # another formula may have been opened since
    found = swapped(now.formula, asked.asked, library())
    left, right = st.columns([5, 6], gap="large")
    with left:
        what(asked, names, found.errors)
        rank(asked, outcome)
    with right:
        if found.swap is None:
            st.info("Say what goes out and what comes in, or choose a wish for the whole formula.")
        else:
            answer(found.swap)
    if found.swap is None:
        return
    options(found.swap)
    left, right = st.columns([4, 7], gap="large")
    with left:
        before_and_after(found.swap)
        checks(found.swap)
    with right:
        shifts(found.swap)


page()
