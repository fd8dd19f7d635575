"""Label: the draft of the list of ingredients, what is open, and what else the label owes."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st
from bar import attempt, bar
from how import show_how
from parts import PAUSE, plain, safe, table
from state import as_printed, draft, label_draft, label_words, library, put_words, store
from worked import worked

import hlbcore as hlb
from hlbcore.batch.declaration import NAMES_OF_MARKETS, PORTIONS, Declaration, declare
from hlbcore.batch.label import LabelItem, label_items
from hlbcore.batch.label_contents import net_contents, tolerable_error_words
from hlbcore.batch.label_pages import label_page, without_keys
from hlbcore.cells import to_csv
from hlbcore.kept.kinds import RECORD
from hlbcore.lessons.of_batch import contents_figure, label_figure

PORTION_WORDS = {"apart": "a list each", "together": "one list for a set", "shades": "shades: may contain"}
FORMULA = "the formula"


def choices() -> None:
    """Market, portions, and what it is drafted from."""
    now = label_draft()
    with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
        now.market = st.radio(
            "Market",
            list(NAMES_OF_MARKETS),
            list(NAMES_OF_MARKETS).index(now.market),
            format_func=NAMES_OF_MARKETS.get,
            horizontal=True,
            key="label_market",
        )
        records = closed_records()
        if records:
            asked = st.selectbox(
                "Drafted from",
                ["", *records],
                format_func=lambda uid: records.get(uid, FORMULA),
                key="label_record",
                width=280,
            )
            now.record = asked or ""
        if draft().formula.portion_list:
            now.portions = st.selectbox(
                "Portions",
                PORTIONS,
                PORTIONS.index(now.portions),
                format_func=PORTION_WORDS.get,
                key="label_portions",
                width=220,
            )


def closed_records() -> dict[str, str]:
    """Closed records of the open formula by uid, with their numbers."""
    found = {}
    title = draft().formula.name.strip()
    for row in store().listed(RECORD).head(30).itertuples():
        try:
            record = store().open(row.uid, kind=RECORD).body
        except hlb.HlbError:
            continue
        if record.closed is not None and record.formula.name.strip() == title:
            found[row.uid] = f"batch {record.number}, as weighed"
    return found


def drafted() -> Declaration | None:
    """The draft, or the sentence why there is none."""
    now = label_draft()
    try:
        source = worked(draft().formula)
        if now.record:
            source = store().open(now.record, kind=RECORD).body
        return declare(source, now.market, portions=now.portions, words=label_words(), library=library())
    except hlb.HlbError as error:
        st.warning(plain(error))
        return None


def lists(made: Declaration) -> None:
    """How far the draft is, and the list to copy."""
    points = "".join(f"<li>{safe(p)}</li>" for p in made.open_points)
    st.html(
        f'<div class="verdict other" role="status"><b>{safe(made.status)}</b>'
        f"<ul>{points}</ul>A qualified person checks it before it is printed.</div>"
    )
    for held in made.lists:
        if held.name:
            st.markdown(f"**{plain(held.name)}**")
        st.code(held.text(made.market), language=None, wrap_lines=True)
    with st.expander("How the list was made", key="label_how"):
        table(
            {"name": "", "% by mass": "", "place": "", "from": ""},
            [
                (e.name, e.span, e.place, ", ".join(e.lines))
                for held in made.lists
                for e in (*held.entries, *(x for _, more in held.apart for x in more))
            ],
            numbers=("% by mass",),
        )
        show_how({"order of the list": label_figure(made)})
        for note in made.notes:
            st.caption(plain(without_keys(note, library())))


def outputs(made: Declaration) -> None:
    """The draft as text, as a page to print, as a table."""
    tables = library()  # found now: when the file is made, no session can be asked
    with st.container(horizontal=True):
        for label, how, name, mime in (
            ("Draft as text", lambda: made.text, "label.txt", "text/plain"),
            ("Page to print", lambda: label_page(made, library=tables), "label.html", "text/html"),
            ("List as CSV", lambda: to_csv(made.table), "label.csv", "text/csv"),
        ):
            st.download_button(label, how, name, mime, key=name, on_click="ignore")


def owed() -> None:
    """What else the label owes, to fill in."""
    now, words = label_draft(), label_words()
    st.subheader("What else the label owes")
    content()
    with st.container(key="owed"):
        for item in label_items(now.market, words):
            field(item)


def field(item: LabelItem) -> None:
    """One thing that the label owes."""
    key = f"label_{item.field}_{draft().version}_{draft().key}"

    def put(name: str = item.field, at: str = key) -> None:
        attempt(lambda: put_words(replace(label_words(), **{name: st.session_state[at] or ""})))

    st.text_input(
        item.title if item.must else f"{item.title} (where asked)",
        item.text,
        key=key,
        on_change=put,
        max_chars=500,
        live=PAUSE,
    )
    st.caption(plain(f"{item.hint} {item.section}"))


def content() -> None:
    """Net contents in both systems, from what one jar holds."""
    now = label_draft()
    with st.container(horizontal=True, gap="small", vertical_alignment="bottom"):
        now.jar = st.text_input(
            "One package holds [g or ml]",
            now.jar,
            key="label_jar",
            placeholder="50",
            max_chars=20,
            live=PAUSE,
            width=220,
        )
        now.poured = st.toggle(
            "Sold by volume", now.poured, key="label_poured", help="For what is poured; creams go by weight"
        )
    if not now.jar.strip():
        return
    try:
        text = net_contents(now.jar, now.market, by_volume=now.poured)
        error = tolerable_error_words(now.jar, now.market)
    except hlb.HlbError as wrong:
        st.warning(plain(wrong))
        return

    def put() -> None:
        attempt(lambda: put_words(replace(label_words(), net_contents=text)))
        draft().afresh()

    st.button(f"Write {plain(text)}", key="label_write", on_click=put)
    if error:
        st.caption(plain(error))
    show_how({"net contents": contents_figure(text, now.jar, now.market, by_volume=now.poured)})


def page() -> None:
    as_printed(words=True)
    st.title("Label", anchor=False)
    bar()
    choices()
    left, right = st.columns([7, 5], gap="large")
    with left:
        made = drafted()
        if made is not None:
            lists(made)
            outputs(made)
    with right:
        owed()


page()
