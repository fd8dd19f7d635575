"""The bench ladder: what is printed, and what is recorded at the bench."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st
from bar import attempt
from how import show_how
from ladder_inputs import edit, text
from ladder_rows import readings as readings_cells
from ladder_rows import take_readings, take_weighed
from ladder_rows import weighed as weighed_cells
from line_list import Edits, line_list
from parts import plain, table
from state import draft, ladder, units

import hlbcore as hlb
from hlbcore.intake.ingredients import read_rows
from hlbcore.kept.kinds import formula_title
from hlbcore.ladder import (
    OBSERVATION_KINDS,
    label_table,
    labels_page,
    score_table,
    weighing_page,
    weighing_table,
)
from hlbcore.ladder.kinds import ObservationKind
from hlbcore.ladder.record import Recorded, check_times
from hlbcore.ladder.record_cells import record_columns
from hlbcore.ladder.record_upload import with_upload
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.ladder.when import made_at, reading_calendar
from hlbcore.ladder.words import plan_table, same_grams, usual_name
from hlbcore.lessons.of_bench import plan_figure
from hlbcore.printed import PAPERS


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
    figures = {"rungs and grams": plan_figure(made)}
    if not made.blinded:
        figures["HLB as weighed, ±"] = hlb.lessons.working(made)
    show_how(figures)
    process = made.process
    warm = "" if process.temperature_c is None else f"{process.temperature_c:g} °C: "
    said = [f"{warm}{process.reason}", process.stirring, *process.notes]
    with st.expander("The same for every vial"):
        st.markdown("\n".join(f"- {plain(t)}" for t in said if t))
    with st.expander("What to look at"):
        st.markdown("\n".join(f"- {plain(t)}" for t in made.to_observe))


def printing(made: hlb.Ladder, sheet: LadderSheet, *, closed: bool) -> None:
    """Labels and sheets as files; what tells the codes of a blinded ladder comes with the readings closed."""
    name = sheet.name.strip() or usual_name(made)
    formula = formula_title(draft().formula)
    held = units()  # found now: when a print is made, no session can be asked
    paper = st.radio("Paper", PAPERS, horizontal=True, key="ladder_paper")
    files: list[tuple[str, str, str, str, Callable[[], bytes | str]]] = [
        (
            "Weighing and reading sheet",
            "ladder_sheet.html",
            "text/html",
            "To print: what to weigh, and a cell for every reading",
            lambda: weighing_page(made, name, sheet=sheet, formula=formula, paper=paper, units=held),
        ),
        (
            "Labels",
            "ladder_labels.html",
            "text/html",
            "To print and cut",
            lambda: labels_page(made, name, made_on=sheet.made_on, paper=paper, units=held),
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
            "A row a vial and ingredient, in the order of making",
            lambda: hlb.cells.to_csv(weighing_table(made)),
        ),
    ]
    if closed or not made.blinded:
        files.append(
            (
                "Ladder as CSV",
                "ladder.csv",
                "text/csv",
                "A row a vial, with HLB as weighed",
                lambda: hlb.cells.to_csv(made.table),
            )
        )
    with st.container(horizontal=True):
        for label, file, kind, words, how in files:
            st.download_button(
                label, how, file, kind, key=f"ladder_file_{file}", on_click="ignore", help=words
            )


def reminders(made: hlb.Ladder, sheet: LadderSheet) -> None:
    """The reading times for a calendar."""
    try:
        made_at(sheet.made_on)
    except hlb.HlbError as error:
        st.caption(plain(f"Reading times as a calendar file: {error}"))
        return
    st.download_button(
        "Reading times for a calendar",
        lambda: reading_calendar(made, sheet),
        "reading_times.ics",
        "text/calendar",
        key="ladder_calendar",
        on_click="ignore",
        help="One entry for each time, with what to look at",
    )


def edit_to(sheet: LadderSheet) -> None:
    edit(cells=sheet.cells, weighed=sheet.weighed)


def readings(made: hlb.Ladder, recorded: Recorded) -> None:
    """The table of readings. Put up last: the next keystroke then cuts off nothing."""
    now = ladder()

    def take(edits: Edits) -> None:
        with now.lock:
            attempt(lambda: edit_to(take_readings(now.sheet, made, edits)))

    line_list(
        readings_cells(made, now.sheet, recorded),
        key=f"readings {now.table}",
        on_edits=take,
        says=units().text,
    )


def what_cells_take(made: hlb.Ladder) -> None:
    """How a reading is written, and what the scores mean."""
    st.caption(
        "Score 0 to 5 · layer and whole height, 3/40 · yes or no · <2 or >10 where only a limit is "
        "known · - for a reading not taken · broke for a vial that is no more. Enter goes down; a block "
        "from a spreadsheet can be pasted."
    )
    words = score_table()
    mine = [c.kind for c in record_columns(made, ladder().sheet)]
    with st.expander("What the readings mean"):
        for name in dict.fromkeys(mine):
            kind = OBSERVATION_KINDS.get(name)
            if kind is not None and kind.form != "score":
                st.markdown(plain(f"{name}: {meaning(kind)}"))
        table(
            {"": "", "looked at": "", "score": "", "means": ""},
            words[words["kind"].isin(mine)].itertuples(index=False),
        )


def meaning(kind: ObservationKind) -> str:
    """What a column asks for."""
    return ". ".join(t for t in (kind.meaning, " or ".join(kind.words), kind.unit) if t)


def really_weighed(made: hlb.Ladder) -> None:
    """What was weighed, in cells as the readings are."""
    now = ladder()

    def take(edits: Edits) -> None:
        with now.lock:
            attempt(lambda: edit_to(take_weighed(now.sheet, made, edits)))

    st.caption("Only what differs from the plan, in grams. The HLB of each vial follows the grams.")
    line_list(weighed_cells(made, now.sheet), key=f"weighed {now.table}", on_edits=take, says=units().text)


def looked_at(made: hlb.Ladder) -> None:
    """When, where and what."""
    now = ladder()
    errors = check_times(now.sheet)
    kinds = [n for n, k in OBSERVATION_KINDS.items() if k.form != "event" and k.is_typed]
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
        select_all=False,
    )
    with st.container(horizontal=True):
        text("times", "When", "Times parted by commas: 1 h, 1 day, 1 week", errors)
        text(
            "temperatures",
            "Where they stand [°C]",
            "Blank: one place. Several, parted by commas, give a column each: 5, 22, 40, or 41, 72, 104 F",
            errors,
        )
        text(
            "made_on",
            "Made on",
            "Day of making, 2026-03-01; with the time the reading times are exact, 2026-03-01 14:30",
            errors,
        )


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
    if now.problems is not None and not now.problems.empty:
        st.markdown("**Rows of the file that cannot be used**")
        table({n: "" for n in now.problems.columns}, now.problems.itertuples(index=False))


def record(made: hlb.Ladder) -> None:
    """All that is written down at the bench beside the readings."""
    now = ladder()
    what_cells_take(made)
    with st.expander("What is read, when, and when it was made", expanded=bool(check_times(now.sheet))):
        text(
            "name",
            "Name of the ladder",
            "It stands on the labels and beside the value",
            {},
            placeholder=usual_name(made),
        )
        looked_at(made)
        reminders(made, now.sheet)
    with st.expander("What was really weighed"):
        really_weighed(made)
    with st.expander("Readings from a file"):
        from_file(made)
    text("note", "Note", "Anything worth remembering of this ladder", {}, area=True)
