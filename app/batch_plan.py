"""The batch: what is asked for, the sheet that follows, and its prints."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

import streamlit as st
from bar import attempt
from batch_record import start
from how import marks, show_how
from keeping import keep_formula
from parts import PAUSE, as_typed, field_error, findings_by_level, given_once, plain, safe
from rows import phase_words
from state import batch, draft, store, units
from state.batch import SCALES
from weighs_better import weighs_better
from worked import worked

import hlbcore as hlb
from hlbcore.batch.asked import BatchAsked, BatchOutcome, work_out_batch
from hlbcore.batch.printing import batch_csv, batch_page, formula_page, sums_words, total_text
from hlbcore.batch.scales import FLOORS
from hlbcore.batch.workbook import batch_xlsx
from hlbcore.blending.offers import BATCH, WeighingOffer
from hlbcore.lessons.of_batch import ERRORS, batch_figures
from hlbcore.lessons.on_paper import workings_page
from hlbcore.typed import in_full

BY_WORDS = {"mass": "By mass", "jars": "By jars"}


@lru_cache(50)
def planned(of: hlb.Worked, asked: BatchAsked) -> BatchOutcome:
    return work_out_batch(of, asked)


def plan() -> None:
    """What is asked for, and the sheet beside it."""
    now = batch()
    made = planned(worked(draft().formula), now.asked)
    left, right = st.columns([4, 7], gap="large")
    with left:
        inputs(made.errors)
    with right:
        if made.sheet is None:
            for sentence in made.errors.values():
                st.warning(plain(sentence))
            st.info("Mend it, and the sheet stands here.")
            return
        sheet_shown(made.sheet)


def edit(**changes: object) -> None:
    """Take what was typed; the scales of the workshop are kept for the next batch."""
    now = batch()
    with now.lock:
        now.asked = replace(now.asked, **changes)
        if "scales" in changes:
            attempt(lambda: store().set_setting(SCALES, now.asked.scales))


def text(name: str, label: str, errors: dict[str, str], help_text: str = "", placeholder: str = "") -> None:
    now = batch()
    key = f"batch_{name}_{now.version}"
    st.text_input(
        label,
        given_once(key, getattr(now.asked, name)),
        key=key,
        on_change=lambda: edit(**{name: as_typed(key, mass=name == "mass")}),
        help=help_text or None,
        placeholder=placeholder,
        max_chars=200,
        live=PAUSE,
    )
    field_error(errors, name)


def inputs(errors: dict[str, str]) -> None:
    """Size, loss, scales and premixes."""
    now = batch()
    st.segmented_control(
        "Size of the batch",
        list(BY_WORDS),
        default=now.asked.by,
        format_func=BY_WORDS.get,
        key=f"batch_by_{now.version}",
        required=True,
        on_change=lambda: edit(by=st.session_state[f"batch_by_{now.version}"] or "mass"),
    )
    own = draft().formula.aims.batch.text
    if now.asked.by == "mass":
        text("mass", "Mass to make", errors, "g, kg, oz or lb; what portions get comes on top", own)
    else:
        text("jars", "Jars", errors)
        text("fill", "Fill of each jar", errors, "A mass; a volume needs a density", "50 g")
        text("density", "Density as you measured it [g/mL]", errors, "Only for a fill by volume")
    with st.expander("Scales, loss, small amounts", key="batch_scale_box"):
        scales(errors)


def scales(errors: dict[str, str]) -> None:
    """What stays behind, the scales of the workshop, and what is done about small amounts."""
    now = batch()
    text("loss", "Stays in vessels and on tools [%]", errors, "Jars get as much more", "0")
    key = f"batch_scales_{now.version}"
    st.text_area(
        "Your scales, one a line",
        now.asked.scales,
        key=key,
        on_change=lambda: edit(scales=st.session_state[key] or ""),
        placeholder="0.1 g up to 2 kg",
        height=90,
        max_chars=2000,
        help="For example: pocket: 0.01 g up to 200 g, vessel 30 g. What you measured can stand behind it: "
        "spread 0.02 g (standard deviation of repeats), error 0.05 g (largest, with a check weight).",
    )
    field_error(errors, "scales")
    floor = f"batch_floor_{now.version}"
    st.selectbox(
        "Smallest weight worth trusting",
        list(FLOORS),
        list(FLOORS).index(now.asked.floor),
        key=floor,
        on_change=lambda: edit(floor=st.session_state[floor]),
        help="Smaller amounts are told, with a premix or the batch that is large enough",
    )
    st.caption(plain(FLOORS[now.asked.floor][1]))
    premix = f"batch_premixes_{now.version}"
    st.toggle(
        "Weigh small lines in premixes",
        now.asked.premixes,
        key=premix,
        on_change=lambda: edit(premixes=st.session_state[premix]),
        help="What your scale cannot show at all always goes in as a premix",
    )


def sheet_shown(sheet: hlb.BatchSheet) -> None:
    """The grams first, then what they do, what is too small, and the prints."""
    made = batch_figures(sheet)
    errors = {name: made.pop(name) for name in ERRORS}
    st.html(sheet_html(sheet) + marks(made))
    held = units()  # found now: when a print is made, no session can be asked
    with st.container(horizontal=True, vertical_alignment="center"):
        st.button("Start this batch", key="batch_start", type="primary", on_click=start, args=(sheet,))
        st.download_button(
            "Print on A4",
            lambda: batch_page(sheet, units=held),
            "batch_sheet_A4.html",
            "text/html",
            key="batch_print_a4",
            on_click="ignore",
            help="A page to open and print, with room to write",
        )
        st.download_button(
            "Print on Letter",
            lambda: batch_page(sheet, paper="Letter", units=held),
            "batch_sheet_Letter.html",
            "text/html",
            key="batch_print_letter",
            on_click="ignore",
            help="A page to open and print, with room to write",
        )
    findings_by_level(sheet.findings)
    weighs_better(sheet.offers, "batch", take)
    with st.expander("Order of work", key="batch_order_box"):
        for number, step in enumerate(sheet.steps, 1):
            st.markdown(f"**{number}. {plain(step.title)}**")
            st.markdown("\n".join(f"- {plain(t)}" for t in (*step.boxes, *step.lines)))
    with st.expander("How far it may be off", key="batch_error_box"):
        st.markdown("\n".join(f"- {plain(t)}" for t in sheet.assumed))
        st.dataframe(
            sheet.errors.style.format(precision=3), hide_index=True, width="stretch", key="batch_errors"
        )
        show_how(errors)
    with st.expander("As files", key="batch_file_box"):
        files(sheet)


def sheet_html(sheet: hlb.BatchSheet) -> str:
    """Every weighing with its grams in large type."""
    rows, last = [], ""
    for r in sheet.weighings:
        if r.place != last:
            rows.append(f'<tr><th colspan="3" scope="rowgroup">{safe(phase_words(r.place))}</th></tr>')
            last = r.place
        beside = f"<small>{safe(f'and {r.in_premix_g:.3g} g in the premix')}</small>" if r.in_premix_g else ""
        rows.append(
            f"<tr><td>{safe(r.name)} {beside}</td>"
            f'<td class="number"><b>{safe(f"{r.scale.text(r.grams)} g")}</b></td>'
            f'<td class="number soft">± {safe(f"{r.error_pct:.2g}")} %</td></tr>'
        )
    return (
        f'<div class="pot"><h2>{safe(f"{total_text(sheet)} g")} into the pot</h2>'
        f'<table>{"".join(rows)}</table><p class="told">{safe(sums_words(sheet))} '
        "± is half a step of the scale; the worst counts two readings, tared and full.</p></div>"
    )


def take(offer: WeighingOffer) -> None:
    """A dose goes into the formula, where Undo stands; another size is asked for here."""
    if offer.kind == BATCH:
        edit(by="mass", mass=offer.size)
        batch().version += "+"  # its fields start afresh
        return
    draft().put(offer.formula)
    keep_formula()


def files(sheet: hlb.BatchSheet) -> None:
    """The sheet as tables, the formula as a page."""
    held = units()
    made: tuple[tuple[str, str, str, Callable[[], bytes | str]], ...] = (
        (
            "Workbook (XLSX)",
            "batch_sheet.xlsx",
            "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            lambda: batch_xlsx(sheet),
        ),
        ("Table (CSV)", "batch_sheet.csv", "text/csv", lambda: batch_csv(sheet)),
        ("Formula as a page", "formula.html", "text/html", lambda: formula_page(sheet.worked, units=held)),
        (
            "Workings of the batch",
            "batch_workings.html",
            "text/html",
            lambda: workings_page(sheet.formula.name, batch_figures(sheet)),
        ),
    )
    with st.container(horizontal=True):
        for label, name, kind, how in made:
            st.download_button(label, how, name, kind, key=f"batch_file_{name}", on_click="ignore")
    size = in_full(sheet.size_g)
    st.caption(f"The workbook holds live formulas: type another size over {size} and its grams follow.")
