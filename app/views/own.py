"""Own values: ingredients and figures of the user's own, typed or from a table, laid over ours."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st
from bar import attempt
from parts import headed, named, picker_options, plain, table
from state import draft, learn, library, store, units

import hlbcore as hlb
from hlbcore.ingredients import EMULSIONS, KINDS
from hlbcore.intake.ingredients import FIELDS, match_columns, read_rows, take_rows
from hlbcore.kept.versions import local_time
from hlbcore.own import own_in_words, own_items, sheet_that_fits
from hlbcore.sheets import RATE_BASES, Own, own_sheet, with_basis

QUANTITIES = ("required HLB", "HLB")
NOT_USED = "not used"
CHOICES = (NOT_USED, *FIELDS)


def typed() -> None:
    """One figure, typed."""
    st.subheader("Add a figure of your own")
    options = picker_options("all", library())
    count = len(store().own()) + len(store().own(withdrawn=True))
    with st.form(f"own_form_{count}"):
        name = st.selectbox(
            "Ingredient",
            list(options),
            index=None,
            accept_new_options=True,
            format_func=lambda n: options.get(n, n),
            key=f"own_name_{count}",
            placeholder="Type any of its names",
            help="A name that nobody knows makes a new ingredient",
        )
        quantity = st.selectbox(
            "What it is",
            QUANTITIES,
            key=f"own_quantity_{count}",
            help="Required by an oil, or an emulsifier's own",
        )
        value = st.text_input(
            "Figure [HLB]",
            key=f"own_value_{count}",
            max_chars=60,
            help="A number such as 9, or a range such as 8 to 10; blank for an ingredient without a figure",
        )
        with st.expander("Where it comes from"):
            emulsion = st.selectbox(
                "Emulsion type", EMULSIONS, key=f"own_emulsion_{count}", help="For a required HLB"
            )
            kind = st.selectbox(
                "Kind, for a new ingredient",
                list(KINDS),
                key=f"own_kind_{count}",
                help="It decides how the ingredient counts",
            )
            inci = st.text_input(
                "Label name (INCI), for a new ingredient", max_chars=200, key=f"own_inci_{count}"
            )
            pair = st.text_input("Emulsifier pair", key=f"own_pair_{count}", max_chars=200)
            method = st.text_input("Method", key=f"own_method_{count}", max_chars=300)
            on = st.text_input("Date", key=f"own_on_{count}", max_chars=40)
            dose = st.text_input("Dose [% of the formula]", key=f"own_dose_{count}", max_chars=40)
            warm = st.text_input(headed("Temperature [°C]"), key=f"own_warm_{count}", max_chars=40)
        if st.form_submit_button("Keep this figure"):
            learn(warm, heat=True)
            keep(
                lambda: own_items(
                    name or "",
                    quantity=quantity,
                    value=value,
                    emulsion=emulsion,
                    kind=kind,
                    inci=inci,
                    pair=pair,
                    method=method,
                    on=on,
                    dose_pct=dose,
                    temperature_c=units().typed_temperature(warm),
                )
            )


def sheet() -> None:
    """What a supplier's sheet says of an emulsifier: typed once, used in every formula."""
    st.subheader("Add a supplier's sheet", help="It judges the emulsifier in every formula that uses it")
    options = picker_options("emulsifier", library())
    count = len(store().own()) + len(store().own(withdrawn=True))
    with st.form(f"own_sheet_{count}"):
        name = st.selectbox(
            "Emulsifier",
            list(options),
            index=None,
            accept_new_options=True,
            format_func=lambda n: options.get(n, n),
            key=f"own_sheet_name_{count}",
            placeholder="Type any of its names",
            help="A name that nobody knows makes a new emulsifier",
        )
        with st.container(horizontal=True):
            rate = st.text_input(
                "Rate [%]",
                key=f"own_sheet_rate_{count}",
                max_chars=60,
                placeholder="4 to 6",
                help="The use level of the sheet: 4 to 6, up to 5, 3 or more",
            )
            basis = st.selectbox("of the", RATE_BASES, key=f"own_sheet_basis_{count}")
        with st.container(horizontal=True):
            oil = st.text_input(
                "Oil phase it carries [%]",
                key=f"own_sheet_oil_{count}",
                max_chars=60,
                placeholder="5 to 25",
                help="One number is the most",
            )
            ph = st.text_input("pH", key=f"own_sheet_ph_{count}", max_chars=60, placeholder="5 to 8")
            hlb_text = st.text_input("HLB", key=f"own_sheet_hlb_{count}", max_chars=60)
        on = st.text_input("Date of the sheet", key=f"own_sheet_on_{count}", max_chars=40)
        if st.form_submit_button("Keep this sheet"):
            keep(
                lambda: (
                    sheet_that_fits(
                        own_sheet(
                            name or "",
                            rate=with_basis(rate, basis),
                            oil_limit=oil,
                            ph=ph,
                            hlb=hlb_text,
                            on=on,
                        ),
                        library(),
                    ),
                )
            )


def keep(make: Callable[[], tuple[Own, ...]]) -> None:
    try:
        store().add_own(*make(), who=store().setting("who"))
    except hlb.HlbError as error:
        st.error(plain(error))
    else:
        st.rerun()


def from_table() -> None:
    """Ingredients and figures from a spreadsheet."""
    st.subheader("From a table (CSV or XLSX)")
    held = st.file_uploader(
        "File",
        type=["csv", "txt", "tsv", "xlsx"],
        key="own_file",
        max_upload_size=5,
        help="First row: what the columns are",
    )
    if held is None:
        return
    try:
        rows = read_rows(held.getvalue(), held.name)
    except hlb.HlbError as error:
        st.error(plain(error))
        return
    proposed = {at: field for field, at in match_columns(rows.header).items()}
    for remark in rows.remarks:
        st.caption(plain(remark))
    matching: dict[str, int] = {}
    with st.container(horizontal=True):
        for at, heading in enumerate(rows.header):
            picked = st.selectbox(
                f"Column {plain(heading) or 'without a heading'} is",
                CHOICES,
                CHOICES.index(proposed.get(at, NOT_USED)),
                key=f"own_column_{at}",
                width=190,
            )
            if picked in matching:
                st.warning(plain(f"Two columns cannot both be '{picked}': the first one is read."))
            elif picked != NOT_USED:
                matching[picked] = at
    try:
        intake = take_rows(rows, matching, library())
    except hlb.HlbError as error:
        st.error(plain(error))
        return
    st.markdown("**Row by row**")
    table({name: "" for name in intake.report.columns}, intake.report.itertuples(index=False))

    def take() -> None:
        attempt(lambda: store().add_own(*intake.items, who=store().setting("who")))
        draft().told = "The rows that could be read are kept as own values."

    st.button("Keep the rows that can be read", key="own_take", on_click=take, disabled=not intake.items)


def listed() -> None:
    """What is in use, and what was taken out of use."""
    st.subheader("In use")
    held = store().own()
    for uid, why, at in store().own_damaged():
        with st.container(horizontal=True, vertical_alignment="center", gap="small"):
            st.warning(plain(f"An own value entered {local_time(at)} cannot be read and is left out: {why}"))
            st.button(
                "Take out of use",
                key=f"own_{uid}",
                on_click=attempt,
                args=(lambda uid=uid: store().withdraw_own(uid),),
                help="It stays in the file",
            )
    if not held:
        st.info("None yet. A figure of your own leads over the tables; both are shown.")
    for uid, item, who, at in reversed(held):
        line(uid, item, who, at, "Take out of use", store().withdraw_own)
    gone = store().own(withdrawn=True)
    if gone:
        with st.expander(f"Out of use ({len(gone)})"):
            for uid, item, who, at in reversed(gone):
                line(uid, item, who, at, "Use again", store().use_own_again)


def line(uid: str, item: Own, who: str, at: str, label: str, how: Callable[[str], None]) -> None:
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.markdown(
            f"**{named(item.name)}**: {plain(own_in_words(item))}  \n"
            + plain(f"entered {local_time(at)}{f' by {who}' if who else ''}"),
            width="stretch",
        )
        st.button(
            f"{label}: {named(item.name)}", key=f"own_{uid}", on_click=attempt, args=(lambda: how(uid),)
        )


st.title("Own values", anchor=False)
left, right = st.columns([5, 6], gap="large")
with left:
    typed()
    sheet()
    from_table()
with right:
    listed()
