"""The record of a batch at the bench: large type, one line a weighing, each entry kept at once."""

from __future__ import annotations

import streamlit as st
from bar import attempt
from batch_after import answer, became, closing, correcting, log, looks, prints, stability_words
from batch_record import change, enter, leave, wrong
from batch_shelf import from_shelf
from how import show_how
from line_list import Column, Edits, Group, Lines, Piece, Problem, Row, Typed, line_list
from parts import PAUSE, as_typed, given_once, headed, plain, table
from rows import phase_words
from state import batch, learn, store, units
from worked import worked

import hlbcore as hlb
from hlbcore.batch.entries import ENTRY_KINDS
from hlbcore.batch.numbering import best_before
from hlbcore.batch.record import BatchRecord
from hlbcore.batch.record_made import heat_limits
from hlbcore.batch.titration import preservative_window, read_titration
from hlbcore.batch.water import water_lost
from hlbcore.kept.kinds import RECORD, formula_title, record_listed
from hlbcore.lessons.of_batch import titration_figure, water_figure

DONE = "yes"


def bench(record: BatchRecord) -> None:
    """An open record, or a closed one."""
    closed = record.closed
    head(record)
    left, right = st.columns([6, 4], gap="large")
    with right:
        answer(record)
        if closed is None:
            from_shelf(record)
            closing(record)
        else:
            correcting(record)
        prints(record)
    with left:
        lines = st.container(key="batch_lines")  # filled last: a keystroke cuts off nothing below
        if closed is None:
            water(record)
            beside(record)
        stability_words(record)
        cells = st.container(key="batch_cells")
        log(record)
    if closed is None:
        with cells:
            looks(record)
        with lines:
            line_list(weighings(record), key=f"weigh {batch().version}", on_edits=take, says=units().text)
    else:
        with lines:
            closed_table(record)
        with cells:
            looks(record)


def head(record: BatchRecord) -> None:
    """Name, number, day and maker."""
    with st.container(horizontal=True, vertical_alignment="center"):
        st.subheader(plain(formula_title(record.formula) or "Batch"), anchor=False, width="stretch")
        st.button("Plan another batch", key="batch_leave", on_click=leave)
    if record.closed is not None:
        st.markdown(plain(record_listed(record).product))
        return
    with st.container(horizontal=True, gap="small"):
        for name, label, now in (
            ("number", "Batch number", record.number),
            ("made_on", "Made on", record.made_on),
            ("who", "Made by", record.who),
        ):
            key = f"batch_head_{name}_{batch().version}"

            def put(name: str = name, key: str = key) -> None:
                typed = st.session_state[key] or ""
                change(lambda r: r.headed(**{name: typed}), ("head", name), typed)
                if name == "who" and not store().setting("who"):
                    attempt(lambda: store().set_setting("who", typed))

            st.text_input(label, now, key=key, on_change=put, max_chars=200, width=170)
            wrong("head", name)


# --- the list of weighings


def weighings(record: BatchRecord) -> Lines:
    """What is to be weighed, with room for what was, and the lot."""
    held, read = batch().wrong, units()
    several = len({r.scale for r in record.rows}) > 1
    rows = []
    for n, r in enumerate(record.rows):
        at = str(n)
        texts = {
            "plan": read.bare(r.text, "g"),
            "weighed": read.held_mass(record.value("weighed", at)),
            "lot": record.value("lot", at),
        }
        if texts["weighed"].strip():
            texts["done"] = DONE
        problems = []
        for kind in ("weighed", "lot"):
            if (kind, at) in held:
                texts[kind], sentence = held[kind, at]
                problems.append(Problem(sentence, kind))
        entries = record.all_of("weighed", at)
        before = ", ".join(e.text for e in entries[:-1] if e.text.strip())
        said = (f"scale {r.scale}" if several else "", f"before: {before}" if before else "")
        about = tuple(Piece(text) for text in said if text)
        rows.append(
            Row(at, r.name, r.place, texts, about=about, problems=tuple(problems), fields=(), fixed=True)
        )
    columns = (
        Column("plan", "weigh", read.mass_head(), "shown"),
        Column("done", "done", kind="tick"),
        Column("weighed", "weighed", read.mass_head()),
        Column("lot", "lot", kind="text"),
    )
    places = dict.fromkeys(r.place for r in record.rows)
    return Lines(
        "weighings",
        columns,
        tuple(rows),
        tuple(Group(p, phase_words(p)) for p in places),
        heading_level=3,
        large=True,
    )


def take(edits: Edits) -> None:
    """What was ticked and typed, into the record; a tick alone means: as planned."""
    for e in edits:
        record = batch().record
        if not isinstance(e, Typed) or record is None or not e.row.isdigit():
            continue
        if e.field == "done":
            planned = record.rows[int(e.row)].text if e.text else ""
            if e.text and record.value("weighed", e.row).strip():
                continue
            enter("weighed", planned, e.row)
        elif e.field in ("weighed", "lot"):
            if e.field == "weighed":
                learn(e.text)
            enter(e.field, units().typed_mass(e.text) if e.field == "weighed" else e.text, e.row)


def closed_table(record: BatchRecord) -> None:
    table(
        {"ingredient": "", "planned [g]": "", "weighed [g]": "", "lot": ""},
        [
            (
                r.name,
                units().bare(r.text, "g"),
                units().held_mass(record.value("weighed", str(n))),
                record.value("lot", str(n)),
            )
            for n, r in enumerate(record.rows)
        ],
        numbers=("planned [g]", "weighed [g]"),
        says="planned and weighed",
    )


# --- beside the weighings


def field(kind: str, label: str, where: str = "", help_text: str = "", width: int | str = 150) -> None:
    """One fact of the batch; the last entry counts."""
    now = batch()
    record = now.record
    if record is None:
        return
    key, unit = f"batch_{kind}_{where}_{now.version}", ENTRY_KINDS[kind].unit
    held, read = record.value(kind, where), units()
    if unit in ("g", "°C"):
        held = read.held_mass(held) if unit == "g" else read.held_temperature(held)
    st.text_input(
        headed(label),
        given_once(key, held),
        key=key,
        on_change=lambda: enter(kind, as_typed(key, heat=unit == "°C", mass=unit == "g"), where),
        help=help_text or None,
        max_chars=500,
        width=width,
        live=PAUSE,
    )
    wrong(kind, where)


def more(kind: str, label: str, help_text: str = "") -> None:
    """Facts that each stand for themselves: an empty field for the next one."""
    now = batch()
    record = now.record
    if record is None:
        return
    held = record.all_of(kind)
    for e in held:
        st.markdown(plain(f"{ENTRY_KINDS[kind].label}, {e.at[11:16]}: {e.text}"))
    key = f"batch_{kind}_{len(held)}_{now.version}"

    def put() -> None:
        if (st.session_state[key] or "").strip():
            enter(kind, st.session_state[key])

    st.text_input(label, key=key, on_change=put, help=help_text or None, max_chars=500)
    wrong(kind)


def water(record: BatchRecord) -> None:
    """Water lost in heating."""
    st.subheader("Water lost in heating", anchor=False)
    with st.container(horizontal=True, gap="small"):
        field("vessel before", "Vessel before [g]")
        field("vessel after", "Vessel after [g]")
        field("water added", "Water added [g]")
    before, after = record.value("vessel before"), record.value("vessel after")
    if before.strip() and after.strip():
        made = {}
        try:
            lost = water_lost(before, after)
            made = {"water lost": water_figure(lost)}
            st.markdown(f"**{plain(lost.words)}**")
        except hlb.HlbError as error:
            st.warning(plain(error))
        if record.lost_g > 0:
            st.caption(plain(f"{record.lost_g:.4g} g are not made up: every other share is larger by that."))
        show_how(made)


def beside(record: BatchRecord) -> None:
    """Temperatures, times, what was not as planned, rework, pH, filling."""
    with st.expander("Temperatures and times", key="batch_heat_box"):
        for step in record.steps[1:]:
            with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
                field("temperature", f"{plain(step)}: °C", step, width=230)
                field("time", f"{plain(step)}: time", step, width=230)
    with st.expander("Not as planned, cooling and whipping, notes", key="batch_notes_box"):
        more("deviation", "Not as planned", "What was different, and what you did about it")
        more("cycle", "Cooled and whipped", "For example: to 12 °C, whipped 5 min")
        more("note", "Note")
        added(record)
    with st.expander("An earlier batch worked in", key="batch_rework_box"):
        rework(record)
    with st.expander("pH, filling, best before", key="batch_fill_box"):
        window = preservative_window(worked(became(record)))
        said = ""
        if window is not None:
            said = f"{window[2]}: pH {window[0]:g} to {window[1]:g} by the tables"
        with st.container(horizontal=True, gap="small"):
            field("ph", "pH measured", help_text=said)
            field("jars", "Jars filled")
            field("left over", "Left over [g]")
            field("filling lot", "Filling lot", help_text="Where it differs from the batch number")
        if said:
            st.caption(plain(said))
        titration(record)
        until(record)
        field("released", "Released or rejected, by whom, why", width="stretch")


def added(record: BatchRecord) -> None:
    """Something added beside the plan, for example acid for the pH."""
    for name, mass in record.added_g.items():
        st.markdown(plain(f"added beside the plan: {mass:g} g {name}"))
    count = f"{len(record.all_of('added'))}_{batch().version}"
    with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
        name = st.text_input("Added beside the plan", key=f"batch_added_name_{count}", max_chars=200)
        mass = st.text_input("Grams of it", key=f"batch_added_mass_{count}", max_chars=50, width=120)
        st.button(
            "Add it",
            key="batch_added_put",
            disabled=not (name and name.strip() and mass and mass.strip()),
            on_click=enter,
            args=("added", mass, name),
        )
    for kind, where in list(batch().wrong):
        if kind == "added":
            wrong(kind, where)


def rework(record: BatchRecord) -> None:
    """An earlier batch worked in, by its parts."""
    now = batch()
    for r in record.worked_in:
        st.markdown(plain(f"batch {r.lot}, {r.mass_g:g} g"))
    for sentence in heat_limits(record):
        st.warning(plain(sentence))
    held = store().listed(RECORD)
    own = now.kept.work if now.kept is not None else ""
    names = {r.uid: f"{r.name}, {r.product}" for r in held.itertuples() if r.uid != own}
    if not names:
        st.caption("No other batch is kept yet.")
        return
    count = f"{len(record.reworks)}_{now.version}"
    uid = st.selectbox(
        "Which batch", list(names), None, format_func=names.get, key=f"batch_rework_which_{count}"
    )
    mass = st.text_input("How much of it [g]", key=f"batch_rework_mass_{count}", max_chars=50)
    why = st.text_input("Why, and who decided it", key=f"batch_rework_why_{count}", max_chars=500)

    def put() -> None:
        other: BatchRecord = store().open(uid, kind=RECORD).body
        change(lambda r: r.with_rework(other.number, mass, other.as_weighed, why=why), ("rework", ""), mass)

    st.button("Work it in", key="batch_rework_put", disabled=not (uid and mass and why), on_click=put)
    wrong("rework")


def titration(record: BatchRecord) -> None:
    """Acid or base for a pH, by a line that the maker measured on a sample."""
    now = batch()
    key = f"batch_titration_{now.version}"
    st.text_area(
        "Titration line",
        record.value("titration"),
        key=key,
        on_change=lambda: enter("titration", st.session_state[key] or ""),
        placeholder="100 g, citric acid 50 %\n0 6.4\n0.2 5.6\n0.4 5.1",
        height=120,
        max_chars=2000,
        help="First the sample and what is added; then a point a line: grams added in all, and the pH",
    )
    wrong("titration")
    if not record.value("titration").strip():
        return
    wanted = st.text_input("pH wanted", key=f"batch_wanted_{now.version}", max_chars=10, width=150)
    if wanted and wanted.strip():
        try:
            line = read_titration(record.value("titration"))
            st.markdown(f"**{plain(line.words(wanted, record.total_g))}**")
            show_how({"acid or base for the pH": titration_figure(line, wanted, record.total_g)})
        except hlb.HlbError as error:
            st.warning(plain(error))


def until(record: BatchRecord) -> None:
    """The best-before date, from months that the maker gives."""
    if record.value("best before"):
        st.markdown(plain(f"Best before {record.value('best before')}"))
    key = f"batch_months_{batch().version}"

    def put() -> None:
        typed = (st.session_state[key] or "").strip()
        if not typed:
            return
        change(
            lambda r: r.enter(
                "best before", best_before(r.made_on, int(typed) if typed.isdigit() else 0).isoformat()
            ),
            ("best before", ""),
            typed,
        )

    st.text_input(
        "Best before, months after making",
        key=key,
        on_change=put,
        max_chars=5,
        width=230,
        help="What your own stability log bears out; this tool knows no shelf life",
    )
    wrong("best before")
