"""Shelf: what is there, which systems it makes for the open formula, what to buy, what runs short."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

import streamlit as st
from bar import attempt, bar
from how import again, show_how
from keeping import keep, on_top
from line_list import line_list
from parts import findings, plain, safe, table, vega
from shelf_inputs import asked, ticks
from shelf_list import shown, take
from state import ShelfDraft, draft, ladder, library, shelf, store, units
from worked import worked, worked_with

import hlbcore as hlb
from hlbcore.errors import clipped
from hlbcore.kept.versions import today
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.lessons.of_formula import required_figure
from hlbcore.lessons.of_shelf import buying_figure, short_figure, system_figure
from hlbcore.plots.shelf import PICK, reach_chart, reach_words, systems_chart, systems_words
from hlbcore.shelf.carry import carried
from hlbcore.shelf.planned import runs_short, short_words
from hlbcore.shelf.results import Screening
from hlbcore.shelf.sheet import ShelfOutcome, ShelfSheet, work_out_shelf
from hlbcore.shelf.stock import Stock
from hlbcore.shelf.words import headline, listed, system_words

Others = tuple[tuple[str, hlb.Formula], ...]

BOUGHT = 8  # emulsifiers to buy that are listed
FORMULAS = 60  # kept formulas, the last changed, that the shelf is held against


@lru_cache(50)
def followed(
    formula: hlb.Formula, stock: Stock, what: ShelfSheet, others: Others, tables: hlb.Library
) -> ShelfOutcome:
    formulas = {name: worked_with(one, tables) for name, one in others}
    return work_out_shelf(worked_with(formula, tables), stock, what, formulas)


@lru_cache(300)
def body(uid: str, changed: str) -> hlb.Formula | None:
    """A kept formula as it stood at that time; None where it cannot be read."""
    try:
        return store().open(uid).body
    except hlb.HlbError:
        return None


def kept_formulas() -> Others:
    """The kept formulas by name, the open one left out."""
    open_one = draft().kept.work if draft().kept is not None else ""
    found: dict[str, hlb.Formula] = {}
    for row in store().formulas().head(FORMULAS).itertuples():
        formula = None if row.uid == open_one else body(row.uid, row.changed)
        if formula is not None:
            found.setdefault(str(row.name), formula)
    return tuple(found.items())


def systems(now: ShelfDraft, found: Screening) -> None:
    """The ranked table, the picture, and the system that is open."""

    def turn() -> None:
        now.every = st.session_state["shelf_every"]

    rows = listed(found, every=now.every)
    costs = any(str(r["cost"]) != "nan" for r in rows)
    columns = {"no.": "", "system, % of the formula": "", "HLB": ".1f", "ratio off by %": ".1f"}
    columns |= {"or g": ".1f"} if found.batch_g else {}
    columns |= {"per kg": ".3f"} if costs else {}
    keys = ["nr", "system", "hlb", "pct", *(["grams"] if found.batch_g else []), *(["cost"] if costs else [])]
    table(
        columns,
        [[r[k] for k in keys] for r in rows],
        numbers=("HLB", "ratio off by %", "or g", "per kg"),
        says="systems of the shelf",
    )
    first = next((int(str(r["nr"])) for r in rows), 1)
    show_how({"a row of systems": system_figure(found, first)})
    st.toggle(
        "All systems in order, the first hundred",
        now.every,
        key="shelf_every",
        on_change=turn,
        help="Off: one of each combination of families, at most two that share two members",
    )
    st.html(
        '<p class="told">Ratio off by: so much of the blend may be one emulsifier instead of another before '
        "the blend leaves the window.</p>"
    )
    picture(now, found)
    opened(now, found)


def picture(now: ShelfDraft, found: Screening) -> None:
    chart = systems_chart(found, now.chosen)
    if chart is None:
        return

    def pick() -> None:
        picked = st.session_state["shelf_chart"].selection.get(PICK, [])
        if picked:
            now.chosen = int(picked[0]["nr"])

    vega(
        chart,
        key="shelf_chart",
        width="stretch",
        on_select=pick,
        selection_mode=[PICK],
        alt=systems_words(found),
    )
    st.html(f'<p class="told">{safe(systems_words(found))} Press a mark to open its system.</p>')


def opened(now: ShelfDraft, found: Screening) -> None:
    """One system, carried into the formula by one press; several families into a ladder."""
    known = {r["nr"]: r for way in (True, False) for r in listed(found, every=way)}
    numbers = sorted(known)
    here = now.chosen if now.chosen in known else numbers[0]

    def choose() -> None:
        now.chosen = st.session_state[f"shelf_open_{here}"]

    st.selectbox(
        "System",
        numbers,
        numbers.index(here),
        key=f"shelf_open_{here}",
        on_change=choose,
        format_func=lambda nr: clipped(f"{nr}. {known[nr]['system']}", 90),
    )
    one = known[here]
    st.html(f'<p class="told">{safe(one["why"])}</p>')
    show_how({"the open system": system_figure(found, here)})
    outcome = worked(draft().formula)
    gone = [x.name for x in outcome.emulsifiers if x.name not in one["amounts"]]

    def carry() -> None:
        draft().put(carried(outcome, one["amounts"]))
        now.told = f"Now in the formula: {system_words(one['amounts'])}."

    pairs = found.family_pairs()

    def families() -> None:
        held = ladder()
        held.ladder = None
        held.sheet = LadderSheet(
            kind="family",
            pairs="; ".join(" + ".join(p) for p in pairs),
            centre=f"{found.asked.target.value:.4g}",
        )
        held.afresh()
        now.told = "The family ladder stands on the page Ladder, with one pair of each two families."

    with st.container(horizontal=True):
        st.button(
            "Put this system into the formula",
            key="shelf_carry",
            on_click=carry,
            type="primary",
            help=f"In place of {', '.join(gone)}; water takes the difference" if gone else None,
        )
        st.button(
            f"Plan a family ladder of {len(pairs)} pairs",
            key="shelf_families",
            on_click=families,
            disabled=len(pairs) < 2,
            help="The same HLB by several chemical families, the best pair of each two",
        )
    if now.told:
        st.success(plain(now.told))
        now.told = ""


def buy(made: ShelfOutcome) -> None:
    """What one emulsifier more would open."""
    found = made.buying
    if found is None:
        return
    st.subheader("What one emulsifier more would open")
    st.markdown(plain(reach_words(found)))
    again("reach of the shelf", of="what one more would open")
    vega(reach_chart(found), key="shelf_reach", width="stretch", alt=reach_words(found))
    rows = found.table.head(BOUGHT)
    opens, priced = bool(rows["opens"].any()), bool(rows["price"].notna().any())
    columns = {"emulsifier": "", "HLB": ".1f", "family": ""}
    columns |= {"opens": "d", "of these": ""} if opens else {}
    columns |= {"HLB axis added": ".1f", **({"per kg": ".2f"} if priced else {})}
    keys = ["emulsifier", "hlb", "family", *(["opens", "which"] if opens else []), "axis_added"]
    table(
        columns,
        rows[[*keys, *(["price"] if priced else [])]].itertuples(index=False),
        numbers=("HLB", "opens", "HLB axis added", "per kg"),
        says="emulsifiers to buy",
    )
    show_how({"what one more would open": buying_figure(found, BOUGHT)})
    for note in found.notes:
        st.caption(plain(note))


def packs(now: ShelfDraft) -> None:
    """What runs short for a batch of the open formula, and what it takes."""
    outcome = worked(draft().formula)
    short = runs_short(outcome, now.stock)
    if short is None:
        return
    st.subheader("For a batch of the open formula")
    st.markdown(plain(short_words(short, draft().formula.aims.batch.text)))
    missing = short.table[short.table["remark"] != ""]
    if not missing.empty:
        table(
            {"ingredient": "", "needs g": ".2f", "there g": ".2f", "missing g": ".2f", "": ""},
            missing.itertuples(index=False),
            numbers=("needs g", "there g", "missing g"),
            says="what runs short",
        )
    show_how({"what a batch takes": short_figure(short, outcome)})

    def take_it() -> None:
        with now.lock:
            taken = now.stock.take(short.needs, library())
            now.put(taken.stock)
            lots = ", ".join(f"{name} lot {lot}" for name, lot, _ in taken.lots if lot)
            now.told = " ".join(
                ("Taken from the shelf.", f"Lots: {lots}." if lots else "", "; ".join(taken.missing))
            )

    st.button(
        "Take this batch from the shelf",
        key="shelf_take",
        on_click=take_it,
        disabled=not now.stock.items,
        help="The packs that are soonest due go first; write the lots into the batch record",
    )


def how_kept(now: ShelfDraft) -> None:
    if now.theirs is not None:
        st.error("Another window has changed the shelf in the meantime. Yours is kept beside it.")

        def theirs() -> None:
            now.kept, now.saved = now.theirs, now.theirs.body
            now.put(now.theirs.body)
            now.theirs = None

        def mine() -> None:
            attempt(lambda: on_top(now, now.stock))

        with st.container(horizontal=True):
            st.button("Take their shelf", key="shelf_theirs", on_click=theirs)
            st.button(
                "Put my shelf on top",
                key="shelf_mine",
                on_click=attempt,
                args=(lambda: on_top(now, now.stock),),
            )
    if now.trouble:
        st.error(plain(f"{now.trouble} It is tried again with your next change."))


def page() -> None:
    now = shelf()
    keep(now, now.stock)
    st.title("Shelf", anchor=False)
    bar()
    st.html(
        '<p class="told">Tick what you have. Every pair and triple of it is solved for the open formula at '
        "once.</p>"
    )
    how_kept(now)
    made = followed(draft().formula, now.stock, now.asked, kept_formulas(), library())
    left, right = st.columns([4, 7], gap="large")
    with left:
        ticks(now)
        asked(now, made, draft().formula.product_type)
    with right:
        said = headline(made, whole_table=now.asked.whole_table)
        if said:
            st.html(f'<div class="answer"><h2 role="status">{safe(said)}</h2></div>')
            show_how({"HLB that is asked": required_figure(worked(draft().formula))})
        if made.screening is not None:
            if made.screening.possible:
                systems(now, made.screening)
            for note in made.screening.notes:
                st.caption(plain(note))
    buy(made)
    packs(now)
    st.subheader("Packs")
    findings(now.stock.findings(date.fromisoformat(today())))
    key = f"shelf packs {now.key}"
    line_list(shown(now, library()), key=key, on_edits=lambda edits: take(now, edits), says=units().text)


page()
