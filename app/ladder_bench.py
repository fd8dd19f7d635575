"""The bench ladder: what is printed, and what is recorded at the bench."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st
from bar import attempt
from ladder_inputs import edit, text
from parts import plain, table
from state import ladder

import hlbcore as hlb
from hlbcore.intake.ingredients import read_rows
from hlbcore.ladder import (
    OBSERVATION_KINDS,
    label_table,
    labels_page,
    score_table,
    weighing_page,
    weighing_table,
)
from hlbcore.ladder.observations import ObservationKind
from hlbcore.ladder.record import Recorded, check_times
from hlbcore.ladder.record_cells import (
    record_columns,
    record_table,
    weighed_table,
    with_record,
    with_upload,
    with_weighed,
)
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.ladder.words import plan_table, same_grams, usual_name


def weighing(made: hlb.Ladder) -> None:
    """The weighing table and what is the same for every vial."""
    rows = plan_table(made)
    words = ("vial", "make as")
    table(
        {n: "" for n in rows.columns},
        rows.itertuples(index=False),
        numbers=[n for n in rows.columns if n not in words],
    )
    if same := same_grams(made):
        st.markdown(plain(same))
    st.caption("HLB as weighed: from the grams, with one standard deviation of reading the scale.")
    process = made.process
    warm = "" if process.temperature_c is None else f"{process.temperature_c:g} °C: "
    said = [f"{warm}{process.reason}", process.stirring, *process.notes]
    with st.expander("The same for every vial"):
        st.markdown("\n".join(f"- {plain(t)}" for t in said if t))
    with st.expander("What to look at"):
        st.markdown("\n".join(f"- {plain(t)}" for t in made.to_observe))


def printing(made: hlb.Ladder, name: str) -> None:
    """Labels, weighing sheet and tables as files."""
    files: tuple[tuple[str, str, str, str, Callable[[], bytes | str]], ...] = (
        (
            "Labels to print",
            "labels.html",
            "text/html",
            "A page to print and cut",
            lambda: labels_page(made, name),
        ),
        (
            "Weighing sheet to print",
            "weighing_sheet.html",
            "text/html",
            "In the order of making, with room to write",
            lambda: weighing_page(made, name),
        ),
        (
            "Labels as CSV",
            "labels.csv",
            "text/csv",
            "For a label printer",
            lambda: hlb.cells.to_csv(label_table(made, name)),
        ),
        (
            "Weighing sheet as CSV",
            "weighing_sheet.csv",
            "text/csv",
            "A row a vial and ingredient",
            lambda: hlb.cells.to_csv(weighing_table(made)),
        ),
        (
            "Ladder as CSV",
            "ladder.csv",
            "text/csv",
            "A row a vial, with HLB as weighed; it tells what the labels hide",
            lambda: hlb.cells.to_csv(made.table),
        ),
    )
    with st.container(horizontal=True):
        for label, file, kind, words, how in files:
            st.download_button(
                label, how, file, kind, key=f"ladder_file_{file}", on_click="ignore", help=words
            )


def edited(key: str, take: Callable[[LadderSheet, dict], LadderSheet]) -> None:
    """Take the cells that were changed since the table was put up."""
    with ladder().lock:
        changed = st.session_state[key]["edited_rows"]
        attempt(lambda: edit_to(take(ladder().sheet, changed)))


def edit_to(sheet: LadderSheet) -> None:
    edit(cells=sheet.cells, weighed=sheet.weighed)


def base(key: str) -> LadderSheet:
    """The sheet that a table was put up with: it stays while cells are filled in."""
    now = ladder()
    if key not in st.session_state or key not in now.shown:
        now.shown[key] = now.sheet
    return now.shown[key]


def readings(made: hlb.Ladder) -> None:
    """The table of readings, one row a vial."""
    now = ladder()
    heads = [c.name for c in record_columns(made, now.sheet)]
    key = f"ladder_record_{now.version}_{'|'.join(heads)}"
    held = record_table(made, base(key))
    config = {"vial": st.column_config.TextColumn("vial", pinned=True, disabled=True)}
    for c in record_columns(made, base(key)):
        kind = OBSERVATION_KINDS.get(c.kind)
        config[c.name] = st.column_config.TextColumn(c.name, help=meaning(kind))

    def put() -> None:
        edited(key, lambda sheet, cells: with_record(sheet, made, cells, list(held.columns)))

    st.data_editor(
        held,
        key=key,
        on_change=put,
        hide_index=True,
        column_config=config,
        width="stretch",
        row_height=42,
        placeholder="",
        alt="Readings, a row a vial",
    )
    st.caption(
        "Score 0 to 5 · layer and whole height, 3/40 · yes or no · <2 or >10 where only a limit is "
        "known · - for a reading not taken · broke for a vial that is no more."
    )


def meaning(kind: ObservationKind | None) -> str:
    """What a column asks for."""
    if kind is None:
        return "Anything worth remembering of this vial"
    scale = "; ".join(f"{n}: {w}" for n, w in enumerate(kind.words)) if len(kind.words) > 2 else ""
    return ". ".join(t for t in (kind.meaning, scale or " or ".join(kind.words), kind.unit) if t)


def really_weighed(made: hlb.Ladder) -> None:
    now = ladder()
    key = f"ladder_weighed_{now.version}"
    held = weighed_table(made, base(key))

    def put() -> None:
        edited(key, lambda sheet, cells: with_weighed(sheet, made, cells))

    config = {"vial": st.column_config.TextColumn("vial", pinned=True, disabled=True)}
    st.caption("Only what differs from the plan, in grams. The HLB of each vial follows the grams.")
    st.data_editor(
        held,
        key=key,
        on_change=put,
        hide_index=True,
        column_config=config,
        width="stretch",
        row_height=42,
        placeholder="",
        alt="What was weighed, a row a vial",
    )


def looked_at(made: hlb.Ladder) -> None:
    """When, where and what."""
    now = ladder()
    errors = check_times(now.sheet)
    kinds = [n for n, k in OBSERVATION_KINDS.items() if k.form != "event"]
    key = f"ladder_kinds_{now.version}"
    asked = list(dict.fromkeys(c.kind for c in record_columns(made, now.sheet)))
    usual = [k for k in asked if k in kinds and not k.startswith("drop")]

    def put() -> None:
        edit(kinds=tuple(st.session_state[key]))

    st.multiselect(
        "What you look at",
        kinds,
        list(now.sheet.kinds) or usual,
        key=key,
        on_change=put,
        help="Each gets a column for every time",
    )
    with st.container(horizontal=True):
        text("times", "When", "Times parted by commas: 1 h, 1 day, 1 week", errors)
        text(
            "temperatures",
            "Where they stand [°C]",
            "Blank: one place. Several, parted by commas, give a column each: 5, 22, 40",
            errors,
        )
        text("made_on", "Made on", "Day of making", errors)


def from_file(made: hlb.Ladder) -> None:
    """Readings from a spreadsheet."""
    now = ladder()
    key = f"ladder_file_{now.version}"
    held = st.file_uploader(
        "Readings from a table (CSV or XLSX)",
        type=["csv", "txt", "tsv", "xlsx"],
        key=key,
        max_upload_size=5,
        help="Columns vial, time, and one for each kind such as score",
    )
    if held is not None:
        try:
            rows = read_rows(held.getvalue(), held.name)
        except hlb.HlbError as error:
            st.error(plain(error))
            return

        def take() -> None:
            sheet, now.problems = with_upload(now.sheet, made, rows)
            attempt(lambda: edit_to(sheet))
            now.afresh()

        st.button("Put the readings in the table", key="ladder_take", on_click=take)
    problems("Rows of the file that cannot be used", now.problems)


def problems(heading: str, held) -> None:
    if held is not None and not held.empty:
        st.markdown(f"**{heading}**")
        table({n: "" for n in held.columns}, held.itertuples(index=False))


def record(made: hlb.Ladder, recorded: Recorded) -> None:
    """All that is written down at the bench."""
    now = ladder()
    st.subheader("Record")
    text(
        "name",
        "Name of the ladder",
        "It stands on the labels and beside the value",
        {},
        placeholder=usual_name(made),
    )
    looked_at(made)
    readings(made)
    problems("Cells that cannot be used; they stay as typed", recorded.problems)
    words = score_table()
    mine = [c.kind for c in record_columns(made, now.sheet)]
    with st.expander("What the scores mean"):
        table(
            {"": "", "looked at": "", "score": "", "means": ""},
            words[words["kind"].isin(mine)].itertuples(index=False),
        )
    with st.expander("What was really weighed"):
        really_weighed(made)
    with st.expander("Readings from a file"):
        from_file(made)
    text("note", "Note", "Anything worth remembering of this ladder", {}, area=True)
