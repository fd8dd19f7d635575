"""How a formula begins: type it, paste a list, open a file or kept work; and what that replaces."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st
from how import behind, mark
from keeping import open_formula
from parts import findings, plain, safe
from rows import phase_words
from state import FormulaDraft, draft, example_open, learn, library, replace_draft, started, store
from worked import worked

import hlbcore as hlb
from hlbcore.blending.starters import starter_set
from hlbcore.formula.placing import read_formula_file, with_list, with_names
from hlbcore.formula.reading import ListRow, as_fractions, by_volume, total_finding
from hlbcore.formula.sums import sum_words, ways_to_whole
from hlbcore.kept.versions import local_time
from hlbcore.lessons.of_formula import total_figure
from hlbcore.plots.page import phase_bar
from hlbcore.product_types import product_type

FIRST_SENTENCE = (
    "Type what goes into the jar. At once you see which HLB (balance of water-loving and oil-loving, "
    "0 to 20) your oils ask for, what your emulsifiers bring, and how many grams to weigh."
)
RECENT = 5


def begin() -> None:
    """What the page is for, the three ways to begin, and what to buy first."""
    now = draft()
    with st.container(horizontal=True, vertical_alignment="center", gap="xsmall", key="begin"):
        st.title("Formula", anchor=False, width="content")
        st.button("Type my own", key="begin_empty", on_click=empty)
        st.button("Paste a list", key="begin_paste", on_click=turn, args=(now, "paste"))
        st.button("Open", key="begin_open", on_click=turn, args=(now, "open"))
        st.button("What to buy first", key="begin_first", on_click=turn, args=(now, "first"))
    shown = " This is an example." if example_open() else ""
    st.html(f'<p class="told">{FIRST_SENTENCE}{shown}</p>')
    if now.panel == "paste":
        paste(now)
    elif now.panel == "open":
        open_panel(now)
    elif now.panel == "first":
        first_panel(now)
    if now.notice:
        st.warning(plain(now.notice))
    if now.pasted:
        ask(now)


def turn(now: FormulaDraft, panel: str) -> None:
    """Open one of the panels, or close it."""
    now.panel = "" if now.panel == panel else panel


def empty() -> None:
    """An empty formula of the same product type, on the same scale."""
    before = draft().formula
    aims = hlb.Aims(scales=before.aims.scales)
    replace_draft(started(hlb.Formula(product_type=before.product_type, aims=aims)))


def paste(now: FormulaDraft) -> None:
    """A box for a list from anywhere."""
    key = f"begin_text_{now.version}"
    st.text_area(
        "A name and an amount a line",
        key=key,
        on_change=lambda: take_text(now, st.session_state[key] or "", library()),
        max_chars=20_000,
        height=150,
        placeholder="shea butter 10 %\nsunflower oil 12 %\npolysorbate 60 1.4 %",
    )
    st.button("Read the list", key="begin_read")


def take_text(now: FormulaDraft, text: str, tables: hlb.Library) -> None:
    """Read a list; it goes in at once where nothing stands yet, else it is asked what it replaces."""
    now.notice, now.pasted = "", ()
    learn(text)
    volume = by_volume(text)
    if volume is not None:
        now.notice = f"{volume.title} ({volume.figure}). {volume.detail} {volume.mend}"
    try:
        rows = hlb.read_list(text, plain_unit=plain_unit(now), library=tables)
    except hlb.HlbError as error:
        now.notice = str(error)
        return
    offer(now, rows, tables)


def plain_unit(now: FormulaDraft) -> str:
    return "g" if now.formula.aims.unit == "g" else ""


def offer(now: FormulaDraft, rows: tuple[ListRow, ...], tables: hlb.Library) -> None:
    """Lines that come in: at once into an empty formula, else when it is said what they replace."""
    if stands_there(now, rows, tables):  # a list is read after a pause, and once more at the press
        now.pasted, now.panel = (), ""
        return
    now.pasted = rows
    if not now.formula.lines and as_fractions(rows) is None:
        put_in(now, rows, tables, instead=True)


def stands_there(now: FormulaDraft, rows: tuple[ListRow, ...], tables: hlb.Library) -> bool:
    """Whether the list would replace the lines by the same."""
    anhydrous = product_type(now.formula.product_type).anhydrous
    try:
        made = with_list(now.formula, rows, tables, anhydrous=anhydrous)
    except hlb.HlbError:
        return False
    return bool(now.formula.lines) and made.lines == now.formula.lines


def put_in(now: FormulaDraft, rows: tuple[ListRow, ...], tables: hlb.Library, *, instead: bool) -> None:
    """The lines go into the formula."""
    anhydrous = product_type(now.formula.product_type).anhydrous
    try:
        made = with_list(now.formula, rows, tables, anhydrous=anhydrous, instead=instead)
        made.check_size()
    except hlb.HlbError as error:
        now.notice = str(error)
        return
    if instead and now.formula.lines:  # another formula: the one before is kept under its name
        made = another(made)
        new = started(made)
        new.saved = None
        new.notice = now.notice
        replace_draft(new)
        return
    now.put(made)
    now.pasted, now.panel = (), ""


def another(formula: hlb.Formula) -> hlb.Formula:
    """The same product type and aims under no name, without facts and note of the one before."""
    return hlb.Formula("", formula.product_type, formula.lines, formula.phases, aims=formula.aims)


def ask(now: FormulaDraft) -> None:
    """What the lines replace, said before they do."""
    rows = now.pasted
    listed = ", ".join(r.name for r in rows[:4])
    behind = " and others" if rows[4:] else ""
    st.html(
        '<p class="mind-title" role="status">'
        + f"A list of {len(rows)} lines came in: {safe(listed + behind)}. What does it replace?</p>"
    )
    sums = total_finding(rows)
    fractions = as_fractions(rows)
    if fractions is not None:
        st.markdown("The amounts add to 1: they look like fractions, not like per cent.")
    elif sums is not None and sums.level != "note":
        findings([sums])
    count = len(now.formula.lines)
    with st.container(horizontal=True, gap="small"):
        for label, key, lines, instead in ways(rows, fractions, count):
            st.button(
                label, key=key, on_click=put_in, args=(now, lines, library()), kwargs={"instead": instead}
            )
        st.button("Leave it", key="begin_leave", on_click=leave, args=(now,))


def ways(
    rows: tuple[ListRow, ...], fractions: tuple[ListRow, ...] | None, count: int
) -> list[tuple[str, str, tuple[ListRow, ...], bool]]:
    """The ways in which the lines can go in."""
    if fractions is None:
        return [
            (f"It replaces all {count} lines", "begin_instead", rows, True),
            ("Add it below them", "begin_behind", rows, False),
        ]
    return [
        ("They are fractions: times 100", "begin_fractions", fractions, True),
        ("They are per cent as they stand", "begin_percent", rows, True),
    ]


def leave(now: FormulaDraft) -> None:
    now.pasted, now.panel = (), ""


def open_panel(now: FormulaDraft) -> None:
    """The last formulas, the examples, and a file; the open formula is kept before."""
    held = store().formulas().head(RECENT)
    if not held.empty:
        st.markdown("**The last ones**")
        with st.container(horizontal=True, gap="small"):
            for row in held.itertuples():
                st.button(
                    f"{plain(row.name)}, {local_time(row.changed)}",
                    key=f"begin_recent_{row.uid}",
                    on_click=open_formula,
                    args=(row.uid,),
                )
    names = hlb.example_formulas()
    key = f"begin_example_{now.version}"
    st.selectbox(
        "An example",
        names,
        index=None,
        key=key,
        format_func=lambda name: hlb.example_formula(name).name,
        on_change=lambda: (
            st.session_state[key] and replace_draft(started(hlb.example_formula(st.session_state[key])))
        ),
    )
    file_key = f"begin_file_{now.version}"
    st.file_uploader(
        "A file: CSV, XLSX, TXT, or JSON of this tool",
        type=["csv", "xlsx", "txt", "tsv", "json"],
        key=file_key,
        on_change=lambda: open_file(now, st.session_state[file_key]),
        max_upload_size=5,
    )


def first_panel(now: FormulaDraft) -> None:
    """The emulsifiers to buy first for this product type, each with its reason and source."""
    found = starter_set(now.formula.product_type, library=library())
    st.markdown(f"**What to buy first: {plain(found.product_type)}**")
    st.html(f'<p class="told">{safe(found.reason)}</p>')
    for n, starter in enumerate(found.starters):
        with st.container(horizontal=True, vertical_alignment="top", gap="small", key=f"begin_starter_{n}"):
            st.markdown(
                f"**{plain(starter.title)}**  \n{plain(starter.why)}  \n"
                f":small[{plain(library().cite(starter.source))}]",
                width="stretch",
            )
            st.button(
                f"Add {plain(starter.title)}",
                key=f"begin_add_{n}",
                on_click=add_starter,
                args=(now, starter.names),
                help="Blank amounts are found by the tool, or type your own",
            )


def add_starter(now: FormulaDraft, names: tuple[str, ...]) -> None:
    """The emulsifiers as lines without an amount; one that stands there already is not added again."""
    try:
        made = with_names(now.formula, names, library())
        made.check_size()
    except hlb.HlbError as error:
        now.notice = str(error)
        return
    now.put(made)


def open_file(now: FormulaDraft, held: object) -> None:
    """A formula in its place, or the lines of a recipe that ask what they replace."""
    if held is None:
        return
    now.notice, now.pasted = "", ()
    try:
        read = read_formula_file(held.getvalue(), held.name, now.formula.product_type, library())
        if isinstance(read, hlb.Formula):
            read.check_size()
    except hlb.HlbError as error:
        now.notice = str(error)
        return
    if isinstance(read, hlb.Formula):
        new = started(read)
        new.saved = None
        replace_draft(new)
    else:
        offer(now, read, library())


def bar_html(parts: tuple[tuple[str, float, bool], ...]) -> str:
    """The phases of the whole formula as one bar."""
    if not parts:
        return ""
    told = ", ".join(f"{phase_words(phase)} {share:.3g} %" for phase, share, _ in parts)
    shown = "".join(
        f'<i style="width:{share}%" title="{safe(f"{phase_words(phase)} {share:.3g} %")}">'
        f"{safe(phase_words(phase)) if wide else ''}</i>"
        for phase, share, wide in parts
    )
    return f'<div class="phases" role="img" aria-label="{safe(told)}">{shown}</div>'


def mends(now: FormulaDraft) -> None:
    """The sum of the lines, and the sensible ways to make it 100 %."""
    outcome = worked(now.formula)
    fields = ("oil phase", "portions", "blends")
    others = [p.text for p in outcome.problems if p.line is None and p.field in fields]
    said = " ".join((sum_words(outcome.made), *others))
    made = {"sum of the lines": total_figure(outcome)}
    st.html(
        f'{bar_html(phase_bar(outcome))}<p class="sum"><span role="status">{safe(said)}</span>'
        f"{mark('sum of the lines', made)}</p>{behind(made)}"
    )
    found = ways_to_whole(outcome.made, outcome.product, outcome.library)
    with st.container(horizontal=True, gap="small", key="mends"):
        for n, way in enumerate(found):
            st.button(
                plain(way.words), key=f"formula_mend_{n}", on_click=now.put, args=(with_aims(way.formula),)
            )


def with_aims(formula: hlb.Formula) -> hlb.Formula:
    """The formula with the aims that were typed: a mend changes amounts alone."""
    return replace(formula, aims=draft().formula.aims)
