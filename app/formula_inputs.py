"""The rest of a formula as typed: lines beside oils and emulsifiers, portions, facts, files."""

from __future__ import annotations

import streamlit as st
from inputs import keep, remove, setting
from parts import PAUSE, field_error, picker_options, plain
from state import Draft, Row, from_sheet, library, replace_draft

import hlbcore as hlb
from hlbcore.errors import clipped
from hlbcore.formula.lines import AREAS

FACTS = {
    "ph": ("pH measured", "Of the finished product, not of the water [-]"),
    "hottest_c": ("Hottest step [°C]", "Highest temperature of the process"),
    "cool_down_c": ("Cool-down goes in at [°C]", "Temperature at which the cool-down phase goes in"),
    "fragrance_max_pct": ("Fragrance: supplier's maximum [%]", "For this category of product"),
    "fragrance_max_c": ("Fragrance: heat limit [°C]", "From the supplier's sheet"),
    "fragrance_allergens": (
        "Fragrance: allergens, % of the fragrance",
        "From the supplier's sheet, for example: linalool 1.2, limonene 0.4",
    ),
    "dioxane_ppm": ("1,4-dioxane of the ethoxylates [ppm]", "From the supplier"),
}


def other_row(now: Draft, row: Row, where: str, errors: dict[str, str]) -> None:
    name = plain(row.typed["name"])
    with st.container(horizontal=True, vertical_alignment="bottom", gap="small"):
        key = f"formula_amount_{row.number}"
        st.text_input(
            f"{name} [%]",
            row.typed.get("amount", ""),
            key=key,
            on_change=keep,
            args=(row, "amount", key),
            max_chars=40,
            width=190,
        )
        phases = list(dict.fromkeys([*now.phases, row.typed.get("phase") or "water"]))
        key = f"formula_phase_{row.number}"
        st.selectbox(
            "phase",
            phases,
            phases.index(row.typed.get("phase") or "water"),
            key=key,
            on_change=keep,
            args=(row, "phase", key),
            accept_new_options=True,
            width=140,
            help=f"Phase that {name} goes into",
        )
        with st.popover("More", help=f"Active part, portion and note of {name}"):
            for field, label in (
                ("active", f"{name}: active part [%]"),
                ("portion", f"{name}: only in the portion"),
                ("note", f"{name}: note"),
            ):
                key = f"formula_{field}_{row.number}"
                st.text_input(
                    label,
                    row.typed.get(field, ""),
                    key=key,
                    on_change=keep,
                    args=(row, field, key),
                    max_chars=200,
                )
        st.button(
            "Remove",
            key=f"formula_remove_{row.number}",
            on_click=remove,
            args=(now.others, row),
            help=f"Remove {name}",
            type="tertiary",
        )
    field_error(errors, f"{where} amount")


def rest(now: Draft, errors: dict[str, str]) -> None:
    """All lines beside oils and emulsifiers, portions and facts."""
    st.subheader("Beside oils and emulsifiers")
    for n, row in enumerate(list(now.others)):
        other_row(now, row, f"other {n}", errors)
    options = picker_options("all", library())
    key = f"formula_add_{len(now.numbers)}"

    def put() -> None:
        if st.session_state[key]:
            now.add(now.others, {"name": clipped(st.session_state[key], 200)})

    st.selectbox(
        "Add water, preservative, gum, colour or other",
        list(options),
        index=None,
        format_func=lambda n: options.get(n, n),
        key=key,
        on_change=put,
        accept_new_options=True,
        placeholder="Type any of its names",
        help="A name that is not listed can be typed too",
    )
    setting(
        now,
        "portions",
        "Portions of the base [%]",
        errors,
        "Each gets its own colour and fragrance, for example: rose 50, plain 50; a name with a "
        "comma stands in quotes",
    )
    blends(now, errors)
    with st.expander("What is known beside the lines"):
        facts(now, errors)


def blends(now: Draft, errors: dict[str, str]) -> None:
    with st.expander("Bought blends and their parts"):
        key = f"formula_blends_{now.version}"

        def keep_blends() -> None:
            now.fields["blends"] = st.session_state[key] or ""

        st.text_area(
            "One a line",
            now.fields["blends"],
            key=key,
            on_change=keep_blends,
            max_chars=5_000,
            placeholder="house wax: cetearyl alcohol 80 (70 to 90), polysorbate 60 20",
            help="Name, a colon, then each part with its % of the blend; a range in brackets",
        )
        st.markdown("Its line above, by the same name, counts by its parts.")
    field_error(errors, "blends")


def facts(now: Draft, errors: dict[str, str]) -> None:
    for name, (label, help_text) in FACTS.items():
        key = f"formula_{name}_{now.version}"

        def put(name: str = name, key: str = key) -> None:
            now.facts[name] = st.session_state[key] or ""

        st.text_input(
            label, now.facts.get(name, ""), key=key, on_change=put, help=help_text, max_chars=500, live=PAUSE
        )
        field_error(errors, f"fact {name}")
    for name, label, choices in (
        ("area", "Used on", AREAS),
        ("cleansing", "Claims to cleanse", ("not known", "yes", "no")),
    ):
        key = f"formula_{name}_{now.version}"

        def choose(name: str = name, key: str = key) -> None:
            picked = st.session_state[key]
            now.facts[name] = "" if picked == "not known" else picked

        held = now.facts.get(name) or choices[0]
        if held not in choices:  # from a file of another hand: shown as it stands
            choices = (*choices, held)
        st.selectbox(
            label, choices, choices.index(held), key=key, on_change=choose, help="Some rules differ by this"
        )
        field_error(errors, f"fact {name}")


def files(now: Draft, formula: hlb.Formula) -> None:
    """Examples, and the formula as a file."""
    st.subheader("Examples and files")
    names = hlb.example_formulas()
    key = f"formula_example_{now.version}"

    def open_example() -> None:
        if st.session_state[key]:
            picked = hlb.example_formula(st.session_state[key])
            replace_draft(from_sheet(hlb.sheet_of(picked, library())))

    st.selectbox(
        "Open an example",
        names,
        index=None,
        key=key,
        on_change=open_example,
        help="It takes the place of what is typed",
    )
    file_key = f"formula_file_{now.version}"

    def open_file() -> None:
        held = st.session_state[file_key]
        if held is None:
            return
        try:
            read = hlb.Formula.from_json(held.getvalue().decode("utf-8", "replace"))
            made = hlb.sheet_of(read, library())
            made.check_size()
            replace_draft(from_sheet(made))
        except hlb.HlbError as error:
            now.notice = str(error)

    st.file_uploader(
        "Open a formula from a file",
        type=["json"],
        key=file_key,
        on_change=open_file,
        help="A file that this tool wrote",
    )
    with st.container(horizontal=True):
        st.download_button(
            "Formula as JSON",
            formula.to_json(),
            "formula.json",
            "application/json",
            key="formula_json",
            on_click="ignore",
        )
        st.download_button(
            "Formula as CSV",
            formula.to_csv(),
            "formula.csv",
            "text/csv",
            key="formula_csv",
            on_click="ignore",
        )
