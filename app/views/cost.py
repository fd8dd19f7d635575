"""Cost: what a jar and a batch cost by a price list that is kept, and what cheaper amounts would save."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st
from bar import attempt, bar
from cost_list import shown_prices, take_prices
from how import behind, mark, show_how
from keeping import keep, on_top
from line_list import line_list
from parts import PAUSE, plain, safe, table
from state import CostDraft, cost_draft, draft, library, replace_list, store, units
from state.cost import as_kept
from worked import worked

import hlbcore as hlb
from hlbcore.batch.cost import Cost, cost
from hlbcore.batch.cost_saving import cheapest_saves
from hlbcore.batch.label_pages import cost_page
from hlbcore.batch.prices import CURRENCY_MOST, Price, PriceList, with_prices
from hlbcore.batch.prices_files import prices_csv, prices_xlsx, read_prices
from hlbcore.cells import to_csv
from hlbcore.kept.kinds import PRICES
from hlbcore.lessons.of_batch import cost_figure, saving_figure
from hlbcore.lessons.on_paper import workings_page

SHOWN = 20


def jar(now: CostDraft) -> None:
    """How much is made, and what a jar holds."""
    batch = draft().formula.aims.batch.text
    fields = (
        ("batch", "Batch", batch or "500 g", "Mass of the batch, of the base where there are portions"),
        ("jar", "One jar holds", "50 g", "Mass of the product in one jar"),
        ("loss", "Lost in pot and filling [%]", "0", "What sticks to pot and tools"),
    )
    with st.container(horizontal=True, gap="small"):
        for name, label, hint, tip in fields:
            key = f"cost_{name}_{now.key}"
            st.text_input(
                label,
                getattr(now, name),
                key=key,
                on_change=lambda n=name, k=key: setattr(now, n, st.session_state[k] or ""),
                placeholder=hint,
                help=tip,
                max_chars=40,
                live=PAUSE,
                width=170,
            )


def made_of(now: CostDraft) -> Cost | None:
    """The cost, or a sentence why there is none."""
    try:
        return cost(
            worked(draft().formula),
            now.prices,
            batch=now.batch or draft().formula.aims.batch.text or "500 g",
            jar=now.jar or "50 g",
            loss_pct=now.loss or "0",
            library=library(),
        )
    except hlb.HlbError as error:
        st.warning(plain(error))
        return None


def answer(made: Cost) -> None:
    """The cost of a jar, its parts, and what a cheaper blend saves."""
    figures = {"cost of a jar": cost_figure(made)}
    st.html(
        f'<div class="verdict other"><span role="status"><b>{safe(made.headline)}</b><br>{safe(made.words)}'
        f"</span>{mark('cost of a jar', figures)}</div>{behind(figures)}"
    )
    rows = [
        (r.item, r.grams, r.cost, r.per_jar, r.share_pct, r.from_list or "no price")
        for r in made.table.itertuples()
    ]
    table(
        {"": "", "g": ".4g", "batch": ",.2f", "jar": ",.2f", "%": ".0f", "price from": ""},
        rows,
        numbers=("g", "batch", "jar", "%"),
        says="cost by line",
    )
    st.html(f'<p class="told">Grams, batch, jar and %{mark("cost by line", figures, of="cost of a jar")}</p>')
    saved = cheapest_saves(worked(draft().formula), cost_draft().prices)
    if saved is not None:
        st.caption(plain(saved.words))
        show_how({"what a cheaper blend saves": saving_figure(saved)})


def outputs(made: Cost) -> None:
    """The cost as a page to print and as a table, and its working."""
    name, held = draft().formula.name, units()
    with st.container(horizontal=True):
        st.download_button(
            "Page to print",
            lambda: cost_page(made, name, units=held),
            "cost.html",
            "text/html",
            key="cost_html",
            on_click="ignore",
        )
        st.download_button(
            "Table as CSV",
            lambda: to_csv(made.table),
            "cost.csv",
            "text/csv",
            key="cost_csv",
            on_click="ignore",
        )
        st.download_button(
            "Workings to print",
            lambda: workings_page(name, {"cost of a jar": cost_figure(made)}),
            "cost_workings.html",
            "text/html",
            key="cost_workings",
            on_click="ignore",
        )


def list_head(now: CostDraft) -> None:
    """Name and currency of the list."""
    with st.container(horizontal=True, gap="small"):
        for name, label, hint, most, width in (
            ("name", "Name of the price list", "Prices", 200, 260),
            ("currency", "Currency", "EUR", CURRENCY_MOST, 120),
        ):
            key = f"prices_{name}_{now.key}"

            def put(n: str = name, k: str = key) -> None:
                now.prices = replace(now.prices, **{n: st.session_state[k] or ""})

            st.text_input(
                label,
                getattr(now.prices, name),
                key=key,
                on_change=put,
                placeholder=hint,
                max_chars=most,
                live=PAUSE,
                width=width,
            )


def missing(now: CostDraft, made: Cost | None) -> None:
    """Lines for what has no price yet."""
    held = {p.name for p in now.prices.prices}
    names = [n for n in made.missing if n not in held] if made is not None else []
    if not names:
        return

    def add() -> None:
        more = tuple(Price(n) for n in names)
        now.put(replace(now.prices, prices=(*now.prices.prices, *more)))

    said = "a line" if len(names) == 1 else f"{len(names)} lines"
    st.button(f"Add {said} for what has no price", key="cost_missing", on_click=add)


def lists(now: CostDraft) -> None:
    """Files in and out, and the lists that are kept."""
    with st.expander("Price lists: files, and those that are kept", key="cost_files"):
        given = st.file_uploader(
            "From a table (CSV or XLSX)",
            type=["csv", "txt", "tsv", "xlsx"],
            key=f"cost_file_{now.key}",
            max_upload_size=5,
            help="Columns: ingredient, price, pack, supplier, date",
        )
        if given is not None:
            taken(given.getvalue(), given.name)
        with st.container(horizontal=True):
            held = now.prices
            for label, how, end, mime in (
                ("Price list as CSV", prices_csv, "csv", "text/csv"),
                ("Price list as XLSX", prices_xlsx, "xlsx", XLSX),
            ):
                st.download_button(
                    label,
                    lambda how=how: how(held),
                    f"prices.{end}",
                    mime,
                    key=f"prices_{end}",
                    on_click="ignore",
                    disabled=not held.prices,
                )
            st.button("Start an empty list", key="prices_new", on_click=lambda: replace_list(CostDraft()))
        for row in store().listed(PRICES).head(SHOWN).itertuples():
            if now.kept is not None and now.kept.work == row.uid:
                continue
            st.button(
                f"Open {plain(row.name) or 'a list without a name'}, {row.product}",
                key=f"prices_open_{row.uid}",
                on_click=attempt,
                args=(lambda uid=row.uid: replace_list(as_kept(store().open(uid, kind=PRICES))),),
            )


XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def into_formula(now: CostDraft) -> None:
    """The prices written into the lines of the formula, so that the cheapest blend can be asked for."""
    formula = draft().formula
    priced = with_prices(formula, now.prices, library())
    if priced == formula:
        return
    st.button(
        "Write these prices into the formula",
        key="cost_into",
        on_click=lambda: draft().put(priced),
        help="Lines without a price of their own get it; the goal 'cheapest' then uses it",
    )


def taken(data: bytes, filename: str) -> None:
    """What a file gives, row by row, before it is taken."""
    try:
        read = read_prices(data, filename)
    except hlb.HlbError as error:
        st.error(plain(error))
        return
    for remark in read.remarks:
        st.caption(plain(remark))
    wrong = [r for r in read.report if r.status == "wrong"]
    st.markdown(plain(f"{len(read.prices.prices)} prices in the file, {len(wrong)} rows with a fault."))
    if wrong:
        table(
            {"row": "", "name": "", "what is wrong": ""}, [(r.row, r.name, r.result) for r in wrong[:SHOWN]]
        )

    def take() -> None:
        replace_list(CostDraft(read.prices, saved=PriceList()))

    st.button("Open these prices", key="prices_take", on_click=take, disabled=not read.prices.prices)


def trouble(now: CostDraft) -> None:
    """What went wrong in keeping the list."""
    if now.told:
        st.warning(plain(now.told))
        now.told = ""
    if now.trouble:
        st.error(plain(f"{now.trouble} It is tried again with your next change."))
    if now.theirs is not None and now.kept is not None:
        work = now.kept.work
        st.error("This price list was changed in another window in the meantime. Both states are kept.")
        with st.container(horizontal=True):
            st.button(
                "Take theirs",
                key="prices_theirs",
                on_click=attempt,
                args=(lambda: replace_list(as_kept(store().open(work, kind=PRICES))),),
            )
            st.button("Put mine on top", key="prices_mine", on_click=lambda: on_top(now, now.prices))


def page() -> None:
    now = cost_draft()
    keep(now, now.prices)
    st.title("Cost", anchor=False)
    bar()
    left, right = st.columns([6, 6], gap="large")
    with left:
        jar(now)
        made = made_of(now)
        if made is not None:
            answer(made)
            outputs(made)
    with right:
        st.subheader("Prices")
        trouble(now)
        list_head(now)
        lines = st.container(key="prices_lines")
        missing(now, made)
        into_formula(now)
        lists(now)
    with lines:
        line_list(
            shown_prices(now, library()),
            key=f"prices {now.key}",
            on_edits=lambda edits: take_prices(now, edits),
            says=units().text,
        )


page()
