"""Swap: one or several ingredients out, others in, emulsifiers rebalanced with the least change."""

from __future__ import annotations

from collections.abc import Mapping

import streamlit as st
from bar import attempt
from inputs import keep, remove
from keeping import put_next, show
from parts import (
    BY_TABLES,
    field_error,
    figure,
    findings,
    findings_by_level,
    picker_options,
    plain,
    steps,
    table,
    verdict_box,
)
from results import asked_of, swapped, worked
from state import Draft, Row, draft, library

import hlbcore as hlb
from hlbcore.plots.swap import both_on_axis, slopes
from hlbcore.swapping.substitutes import EMULSIFIER_WEIGHTS, OIL_WEIGHTS, WISHES
from hlbcore.swapping.swap import DOSES, OBJECTIVES

AIMS = {
    "least change": "Least change of the emulsifiers",
    "fewest changes": "Fewest emulsifiers changed",
    "keep total": "Keep the total of the emulsifiers",
    "cheapest": "Cheapest emulsifiers",
}
DOSE_WORDS = {
    "keep": "Emulsifier stays as much of the formula as limits and window allow",
    "follow": "Emulsifier keeps its share of the oil phase",
}


@st.cache_data(max_entries=50, hash_funcs=BY_TABLES, show_spinner=False)
def ranked(
    name: str,
    side: str,
    emulsion: str,
    wishes: tuple[str, ...],
    weights: tuple[tuple[str, float], ...],
    tables: hlb.Library,
):
    return hlb.rank_substitutes(
        name, side=side, emulsion=emulsion, wishes=wishes, weights=dict(weights), library=tables
    )


def swap_row(now: Draft, row: Row, names: list[str], where: str, errors: Mapping[str, str]) -> None:
    """One thing that goes out, and what comes in."""
    options = picker_options("all", library())
    out = row.typed.get("out")
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        key = f"swap_out_{row.number}"
        st.selectbox(
            "Goes out",
            names,
            names.index(out) if out in names else None,
            key=key,
            on_change=keep,
            args=(row, "out", key),
            width=230,
            placeholder="A line of the formula",
            help="Oil, butter, wax or emulsifier of the open formula",
        )
        key = f"swap_amount_{row.number}"
        st.text_input(
            "of it [% of the formula]",
            row.typed.get("amount", ""),
            key=key,
            on_change=keep,
            args=(row, "amount", key),
            width=170,
            max_chars=40,
            placeholder="all",
            help="Blank: all of it",
        )
    key = f"swap_into_{row.number}"
    held = list(row.typed.get("into", ()))
    choices = list(dict.fromkeys([*options, *held]))
    st.multiselect(
        "Comes in",
        choices,
        held,
        key=key,
        on_change=keep,
        args=(row, "into", key),
        accept_new_options=True,
        placeholder="Nothing, one or several",
        help="Any of its names; the same name again is a new grade: give its figure",
    )
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        words = "Parts" if now.keep_mass else "Amounts [% of the formula]"
        for name, label, help_text in (
            ("parts", words, "For several: one number each, for example 3 1; blank: equal parts"),
            ("figure", "Own figure of what comes in [HLB]", "A number, or a range such as 7 to 9"),
        ):
            key = f"swap_{name}_{row.number}"
            st.text_input(
                label,
                row.typed.get(name, ""),
                key=key,
                on_change=keep,
                args=(row, name, key),
                width=230,
                max_chars=60,
                help=help_text,
            )
        st.button(
            "Remove",
            key=f"swap_remove_{row.number}",
            on_click=remove,
            args=(now.swaps, row),
            type="tertiary",
            help="Take this swap out",
        )
    field_error(errors, where)


def what(now: Draft, names: list[str], errors: Mapping[str, str]) -> None:
    """Everything that is asked for."""
    st.subheader("What changes")
    if not now.swaps:
        now.add(now.swaps, {})
    for n, row in enumerate(list(now.swaps)):
        swap_row(now, row, names, f"swap {n}", errors)
    st.button(
        "Swap another one in the same step",
        key=f"swap_add_{now.version}",
        on_click=now.add,
        args=(now.swaps, {}),
    )
    key = f"swap_wishes_{now.version}"

    def wish() -> None:
        now.wishes = tuple(st.session_state[key])

    st.multiselect(
        "Or make the whole formula",
        list(WISHES),
        list(now.wishes),
        key=key,
        on_change=wish,
        placeholder="For example PEG-free",
        help="Each line that a wish shuts out is swapped for the nearest substitute; "
        "name another one above where you know better",
    )
    mass_key = f"swap_mass_{now.version}"

    def mass() -> None:
        now.keep_mass = st.session_state[mass_key]

    st.toggle(
        "As much comes in as goes out",
        now.keep_mass,
        key=mass_key,
        on_change=mass,
        help="If not, amounts are typed, and water takes the rest",
    )
    for name, label, choices, words in (
        ("objective", "What to look for", OBJECTIVES, AIMS),
        ("dose", "Dose", DOSES, DOSE_WORDS),
    ):
        choice_key = f"swap_{name}_{now.version}"

        def choose(name: str = name, key: str = choice_key) -> None:
            now.swap_choices[name] = st.session_state[key]

        st.selectbox(
            label,
            choices,
            choices.index(now.swap_choices[name]),
            key=choice_key,
            format_func=words.get,
            on_change=choose,
        )
    field_error(errors, "swap")


def rank(now: Draft, outcome: hlb.Outcome) -> None:
    """Substitutes for what goes out, with weights that can be moved."""
    outs = [r.typed["out"] for r in now.swaps if r.typed.get("out")]
    if not outs:
        return
    chosen = any(r.typed.get("into") for r in now.swaps)
    with st.expander("What could stand in", expanded=not chosen):
        standing_in(now, outcome, outs)


def standing_in(now: Draft, outcome: hlb.Outcome, outs: list[str]) -> None:
    name = st.selectbox("For", outs, key=f"swap_rank_{now.version}_{len(outs)}_{outs[0]}")
    held = [e for e in outcome.amounts if library().key(e) == library().key(name)]
    side = "emulsifier" if held else "auto"
    emulsion = hlb.product_type(outcome.sheet.product).phase_emulsion
    weights = []
    with st.popover("How much each difference counts"):
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
        made = ranked(name, side, emulsion or "o/w", now.wishes, tuple(weights), library())
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
    )
    st.caption("Distance: weighted mean of the differences, 0 alike to 1; our convention.")


def options(now: Draft, outcome: hlb.Outcome, made: hlb.Swap) -> None:
    """The table of options, and one press to accept one."""
    st.subheader("Ways to go on")
    held = made.options
    rows = [
        (
            r.option,
            r.changes,
            r.hlb,
            hlb.span_text(r.low, r.high),
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
            "total %": ".2f",
            "% of oil": ".1f",
            "cost per kg": ".3f",
            "what it disturbs": "",
        },
        rows,
        numbers=("HLB", "required", "total %", "% of oil", "cost per kg"),
    )
    possible = held[held["possible"]]["option"].tolist()
    shut = held[~held["possible"]]
    if not shut.empty:
        with st.expander(f"Ways that are not possible ({len(shut)})"):
            table(
                {"way": "", "what stands in the way": ""}, shut[["option", "remark"]].itertuples(index=False)
            )
    if not possible:
        return
    key = f"swap_way_{now.version}_{made.chosen}"
    picked = st.selectbox(
        "Take the way", possible, possible.index(made.chosen) if made.chosen in possible else 0, key=key
    )

    def accept() -> None:
        def save() -> None:
            after = hlb.sheet_after(outcome, made.accept(picked), library())
            show(put_next(draft(), after, made.reason_for(picked)))

        attempt(save)

    st.button(
        "Accept as a new version",
        key="swap_accept",
        on_click=accept,
        type="primary",
        help="The version before stays in the history",
    )


def answer(made: hlb.Swap) -> None:
    """The first answer, and both pictures."""
    verdict_box("first answer", made.answer)
    findings_by_level(made.findings)
    with st.expander("The arithmetic"):
        steps([hlb.lessons.working(made)])
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
    with st.expander("Fatty acids and triacylglycerols"):
        shifting(held[inner])
    with st.expander("Where these figures come from"):
        cited = held[held["source"] != ""]
        table({"": "", "source": ""}, [(r.quantity, library().cite(r.source)) for r in cited.itertuples()])


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
        hlb.amounts_table(made, library()).itertuples(index=False),
        numbers=("before %", "after %"),
    )


def page() -> None:
    now = draft()
    outcome = worked(now.sheet())
    made = hlb.formula_of(outcome).formula
    st.header("Swap")
    names = hlb.swappable(made, library())
    if not names:
        st.info("The open formula has no oil or emulsifier with an amount yet.")
        return
    found = swapped(now.sheet(), asked_of(now), library())
    left, right = st.columns([5, 6], gap="large")
    with left:
        what(now, names, found.errors)
        rank(now, outcome)
    with right:
        if found.swap is None:
            st.info("Say what goes out and what comes in, or choose a wish for the whole formula.")
        else:
            answer(found.swap)
    if found.swap is None:
        return
    options(now, outcome, found.swap)
    left, right = st.columns([4, 7], gap="large")
    with left:
        before_and_after(found.swap)
        checks(found.swap)
    with right:
        shifts(found.swap)


page()
