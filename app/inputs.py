"""The left side of the page: what is typed."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st
from hlbcore.sheets.sheet import GOALS, UNITS
from parts import BY_TABLES, also, field_error, findings, name_with_hlb, picker_options, plain
from state import Draft, Row, library

import hlbcore as hlb
from hlbcore.errors import clipped

AIMS = {
    "closest": "Nearest to the required HLB",
    "least change": "Least change of my amounts",
    "cheapest": "Cheapest inside the window",
    "check my amounts": "Check my amounts",
    "most tolerant": "Most tolerant of doubtful values",
    "least total": "Least emulsifier",
    "fewest": "Fewest emulsifiers",
}


def keep(row: Row, name: str, key: str) -> None:
    row.typed[name] = st.session_state[key] or ""


def typed(row: Row, name: str, label: str, where: str, errors: dict[str, str], **options) -> None:
    """A text field of a row that keeps what was typed, with its error beside it."""
    key = f"blend_{name}_{row.number}"
    st.text_input(
        label,
        row.typed.get(name, ""),
        key=key,
        on_change=keep,
        args=(row, name, key),
        max_chars=200,
        **options,
    )
    field_error(errors, f"{where} {name}")


def keep_afresh(now: Draft, row: Row, name: str, key: str) -> None:
    """Keep a choice that another field of the row shows too: all its widgets start afresh."""
    keep(row, name, key)
    row.number = now.numbers.pop()


def setting(now: Draft, name: str, label: str, errors: dict[str, str], help_text: str) -> None:
    """A single text field of the sheet."""
    key = f"blend_{name}_{now.version}"

    def put() -> None:
        now.fields[name] = st.session_state[key] or ""

    st.text_input(label, now.fields[name], key=key, on_change=put, help=help_text, max_chars=60)
    field_error(errors, name)


def pick(now: Draft, rows: list[Row], side: str, label: str) -> None:
    """The picker that adds a row; any name can be typed, also one that nobody knows."""
    options = picker_options(side, library())
    key = f"blend_add_{side}_{len(now.numbers)}"

    def put() -> None:
        if st.session_state[key]:
            now.add(rows, {"name": clipped(st.session_state[key], 200)})

    st.selectbox(
        label,
        list(options),
        index=None,
        format_func=lambda n: options.get(n, n),
        key=key,
        on_change=put,
        accept_new_options=True,
        placeholder="Type any of its names",
        help="Common name, label name or alias; a name that is not listed can be typed too",
    )


def remove(rows: list[Row], row: Row) -> None:
    rows.remove(row)


def rename(row: Row, name: str) -> None:
    row.typed["name"] = name


def oil_row(now: Draft, row: Row, where: str, outcome: hlb.Outcome) -> None:
    name = row.typed["name"]
    shown = plain(clipped(name))
    errors = outcome.errors
    strange = not known(name)
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        unit = "%" if now.fields["unit"] == UNITS[0] else "g"
        key = f"blend_amount_{row.number}"
        st.text_input(
            f"{shown}{also(name)} [{unit}]",
            row.typed.get("amount", ""),
            key=key,
            on_change=keep,
            args=(row, "amount", key),
            max_chars=40,
            width=150,
        )
        if two_sided(name):
            side_key = f"blend_side_{row.number}"
            st.segmented_control(
                f"{shown} counts as",
                ["oil", "emulsifier"],
                default=row.typed.get("side") or two_sided(name),
                key=side_key,
                on_change=keep,
                args=(row, "side", side_key),
                label_visibility="collapsed",
                required=True,
                help="It stands on both sides in the trade; the result shows both",
            )
        emulsion = hlb.product_type(now.fields["product"]).emulsion
        if readings := hlb.readings_to_choose(name, emulsion, library()):
            read_key = f"blend_reading_{row.number}"
            own = row.typed.get("own", "")
            st.selectbox(
                f"{shown}: sources disagree, use",
                ("", *readings),
                ("", *readings).index(own) if own in readings else 0,
                key=read_key,
                format_func=lambda r: r or "as the tables start",
                on_change=keep_afresh,
                args=(now, row, "own", read_key),
                width=190,
                help="The choice is kept with the sheet",
            )
        if not strange:
            with st.popover("Own HLB", help=f"A required HLB of your own for {shown}"):
                typed(
                    row,
                    "own",
                    f"Required HLB of {shown}",
                    where,
                    errors,
                    help="A number, a range such as 7 to 9, or a kind such as butter [HLB]",
                )
        st.button(
            "Remove",
            key=f"blend_remove_{row.number}",
            on_click=remove,
            args=(now.lines, row),
            help=f"Remove {shown}",
            type="tertiary",
        )
    field_error(errors, f"{where} amount")
    field_error(errors, f"{where} name")
    if not strange:  # beside the row too: the popover may be closed
        field_error(errors, f"{where} own")
    if strange:
        with st.container(horizontal=True):
            for close in outcome.unknown.get(now.lines.index(row), ()):
                st.button(
                    f"It is {plain(close)}",
                    key=f"blend_is_{row.number}_{close}",
                    on_click=rename,
                    args=(row, close),
                )
        with st.container(horizontal=True):
            typed(
                row,
                "own",
                f"A required HLB for {shown}",
                where,
                errors,
                help="A number or a range such as 7 to 9 [HLB]",
            )
            kind_key = f"blend_kind_{row.number}"
            st.selectbox(
                "or take the range of its kind",
                kinds(library()),
                index=None,
                key=kind_key,
                on_change=keep_afresh,
                args=(now, row, "own", kind_key),
                help="The spread of required HLB among all of that kind in the tables",
            )


@st.cache_data(max_entries=2, hash_funcs=BY_TABLES, show_spinner=False)
def kinds(tables: hlb.Library) -> list[str]:
    return [k for k in dict.fromkeys(i.kind for i in tables.oils) if tables.has_class_range(k)]


def known(name: str) -> bool:
    try:
        library().find(name)
    except hlb.UnknownIngredient:
        return False
    return True


def two_sided(name: str) -> str:
    """The default side of a two-sided ingredient, blank for others."""
    try:
        side, both, _ = library().find(name).convention.partition("_or_")
    except hlb.UnknownIngredient:
        return ""
    return side if both else ""


def emulsifier_row(now: Draft, row: Row, where: str, errors: dict[str, str]) -> None:
    name = plain(clipped(row.typed["name"]))
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.markdown(name_with_hlb(row.typed["name"]), width="stretch")
        with st.popover("Amounts", help=f"Limits, price and amount in use of {name}"):
            typed(row, "low", f"{name}: at least [% of the formula]", where, errors)
            typed(row, "high", f"{name}: at most [% of the formula]", where, errors)
            typed(row, "now", f"{name}: in use now [% of the formula]", where, errors)
            typed(row, "price", f"{name}: price per kg", where, errors)
            typed(row, "hlb", f"{name}: HLB of your own", where, errors)
            typed(row, "rate", f"{name}: supplier's rate [% of the formula]", where, errors)
            typed(row, "oil_limit", f"{name}: supplier's oil limit [% of the formula]", where, errors)
        st.button(
            "Remove",
            key=f"blend_remove_{row.number}",
            on_click=remove,
            args=(now.emulsifiers, row),
            help=f"Remove {name}",
            type="tertiary",
        )
    for name_of_field in ("name", "low", "high", "now", "price", "hlb", "rate", "oil_limit"):
        field_error(errors, f"{where} {name_of_field}")


def take(now: Draft, rows: tuple[hlb.ListRow, ...]) -> None:
    """Put the lines of a list into the tables of the page."""
    now.lines.clear()
    if any(r.side == "emulsifier" for r in rows):
        now.emulsifiers.clear()
        now.tool_chooses = False
    for r in rows:
        if r.side == "emulsifier":
            now.add(now.emulsifiers, {"name": r.name, "now": r.amount})
        elif r.side != "outside":
            now.add(now.lines, {"name": r.name, "amount": r.amount})
    grams = hlb.recipe_grams(rows)
    if grams is not None:
        now.fields["batch"] = f"{grams:g} g"
    outside = [r for r in rows if r.side == "outside"]
    if outside:
        now.others.clear()
    for r in outside:
        now.add(now.others, {"name": r.name, "amount": r.amount})
    listed = ", ".join(r.name for r in outside)
    now.notice = (
        f"Not part of the oil phase: {listed}. It stands on the page Whole formula." if outside else ""
    )
    now.pasted = rows
    now.version = now.numbers.pop()


def paste(now: Draft) -> None:
    key = f"blend_paste_{now.version}"

    def read() -> None:
        unit = "g" if now.fields["unit"] == UNITS[1] else ""
        try:
            text = st.session_state[key] or ""
            take(now, hlb.read_list(text, plain_unit=unit, library=library()))
        except hlb.HlbError as error:
            now.notice = str(error)

    st.text_area(
        "Names and amounts, a line each",
        key=key,
        max_chars=20_000,
        placeholder="shea butter 10 %\nsunflower oil 12 %\npolysorbate 60 1.4 %",
        help="A whole recipe can be pasted too: oils and emulsifiers land in their tables",
    )
    st.button("Put the list in the table", on_click=read, key="blend_read")


def pasted(now: Draft) -> None:
    """What there is to say of the pasted list; in sight also when the frame above is closed."""

    def mend(how: Callable[[tuple[hlb.ListRow, ...]], tuple[hlb.ListRow, ...]]) -> None:
        try:
            take(now, how(now.pasted))
        except hlb.HlbError as error:
            now.notice = str(error)

    if now.notice:
        st.warning(plain(now.notice))
    sums = hlb.total_finding(now.pasted) if now.pasted else None
    if sums is not None:
        findings([sums])
        if sums.level != "note":
            with st.container(horizontal=True):
                st.button("Rescale all lines", on_click=mend, args=(hlb.rescaled,), key="blend_rescale")
                st.button(
                    "Take it from the water", on_click=mend, args=(hlb.from_water,), key="blend_from_water"
                )


def inputs(now: Draft, outcome: hlb.Outcome) -> None:
    errors = outcome.errors
    version = now.version

    def put(name: str, key: str) -> None:
        now.fields[name] = st.session_state[key]

    types = [t.name for t in hlb.product_types()]
    key = f"blend_product_{version}"
    st.selectbox(
        "Product type",
        types,
        types.index(now.fields["product"]),
        key=key,
        on_change=put,
        args=("product", key),
        help="It decides what HLB is for, and which emulsion type counts",
    )
    st.subheader("Oil phase")
    key = f"blend_unit_{version}"
    st.segmented_control(
        "Plain numbers are",
        UNITS,
        default=now.fields["unit"],
        key=key,
        on_change=put,
        args=("unit", key),
        required=True,
        help="A unit typed behind a number always counts",
    )
    for n, row in enumerate(list(now.lines)):
        oil_row(now, row, f"line {n}", outcome)
    field_error(errors, "phase")
    pick(now, now.lines, "oil", "Add an oil, butter, wax or other fat")
    with st.expander("Paste a list from a spreadsheet or a text file"):
        paste(now)
    pasted(now)
    st.subheader("Emulsifiers")
    key = f"blend_chooses_{version}"

    def switch() -> None:
        now.tool_chooses = st.session_state[key]

    st.toggle("Let the tool choose", now.tool_chooses, key=key, on_change=switch)
    if now.tool_chooses:
        st.markdown(plain(outcome.reason or "Enter an oil phase first."))
    else:
        for n, row in enumerate(list(now.emulsifiers)):
            emulsifier_row(now, row, f"emulsifier {n}", errors)
        pick(now, now.emulsifiers, "emulsifier", "Add an emulsifier")
    aim(now, errors, put)


def aim(now: Draft, errors: dict[str, str], put) -> None:
    version = now.version
    key = f"blend_objective_{version}"
    st.selectbox(
        "What to look for",
        GOALS,
        GOALS.index(now.fields["objective"]),
        key=key,
        on_change=put,
        format_func=AIMS.get,
        args=("objective", key),
    )
    field_error(errors, "objective")
    with st.container(horizontal=True):
        setting(
            now,
            "total",
            "All emulsifiers [%]",
            errors,
            "In % of the formula: a number such as 5, or a range such as 3 to 6",
        )
        setting(now, "batch", "Batch", errors, "Mass of the whole batch, in g, kg, oz or lb")
        setting(now, "scale", "Scale shows steps of", errors, "Division of your scale, in g or oz")
    with st.expander("More choices"):
        setting(
            now,
            "window",
            "Window, plus or minus [HLB]",
            errors,
            "How much latitude the bench gives; 1 is usual",
        )
        setting(
            now, "smallest", "If used, at least [% of the formula]", errors, "The least amount worth weighing"
        )
        for name, label in (
            ("count_fragrance", "Count fragrance and essential oils as oil"),
            ("ionics", "The tool may choose ionic emulsifiers"),
        ):
            key = f"blend_{name}_{version}"

            def flip(name: str = name, key: str = key) -> None:
                now.flags[name] = st.session_state[key]

            st.toggle(label, now.flags[name], key=key, on_change=flip)
