"""The list of kept ladders, and a ladder that was weighed elsewhere."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st
from bar import attempt
from ladder_inputs import keep_ladder, open_ladder
from parts import plain, table
from state import LadderDraft, ladder, library, store

import hlbcore as hlb
from hlbcore.intake.ingredients import read_rows
from hlbcore.kept.kinds import LADDER
from hlbcore.kept.versions import local_time
from hlbcore.ladder.changes import compare_ladders
from hlbcore.ladder.elsewhere import ladder_from_rows
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.ladder.words import plan_words

SHOWN = 30


def kept_ladders() -> None:
    """The list of kept ladders; one press opens."""
    now = ladder()
    held = store().listed(LADDER)
    away = store().listed(LADDER, removed=True)
    with st.popover(f"Kept ladders ({len(held)})", key="ladder_kept"):
        elsewhere()
        search = st.text_input("Search in the names", key="ladder_search", max_chars=100)
        shown = store().listed(LADDER, search) if search else held
        if shown.empty:
            st.info("None yet." if not search else "None holds these words.")
        for row in shown.head(SHOWN).itertuples():
            mark = " · open" if now.kept is not None and now.kept.work == row.uid else ""
            line(row, mark, (("Open", lambda uid: open_ladder(uid)), ("Put away", lambda uid: put_away(uid))))
        if len(shown) > SHOWN:
            st.caption(f"The last {SHOWN} of {len(shown)}. Search for the others.")
        if not away.empty and st.toggle("Show those put away", key="ladder_away"):
            for row in away.head(SHOWN).itertuples():
                line(row, "", (("Bring back", lambda uid: bring_back(uid)),))


def elsewhere() -> None:
    """A ladder that was weighed and read elsewhere comes in as a file."""
    now = ladder()
    held = st.file_uploader(
        "A ladder weighed elsewhere (CSV or XLSX)",
        type=["csv", "txt", "tsv", "xlsx"],
        key=f"ladder_elsewhere_{now.version}",
        max_upload_size=5,
        help="Columns vial, grams of each ingredient such as polysorbate 60 g; for readings time, and a "
        "column for each kind such as score",
    )
    if held is None:
        return
    try:
        made = ladder_from_rows(
            read_rows(held.getvalue(), held.name), name=held.name.rpartition(".")[0], library=library()
        )
    except hlb.HlbError as error:
        st.error(plain(error))
        return
    st.markdown(plain(plan_words(made.ladder)))
    if not made.problems.empty:
        table({n: "" for n in made.problems.columns}, made.problems.itertuples(index=False))

    def take() -> None:
        fresh = LadderDraft(sheet=made.sheet, ladder=made.ladder, version=now.version)
        fresh.afresh()
        st.session_state["ladder"] = fresh
        keep_ladder()

    st.button("Open it as a ladder of mine", key="ladder_take_elsewhere", on_click=take)


def compared(uids: dict[int, str]) -> None:
    """Any two versions of the open ladder, by what differs."""
    if len(uids) < 2:
        return
    now = ladder()
    numbers = list(uids)
    with st.container(horizontal=True):
        one = st.selectbox("Compare version", numbers, 1, key=f"ladder_one_{now.table}")
        two = st.selectbox("with version", numbers, 0, key=f"ladder_two_{now.table}")
    if one == two:
        st.caption("Choose two different versions.")
        return
    before, after = (store().version(uids[n]).body for n in sorted((one, two)))
    made = compare_ladders(after.trial.ladder, before.sheet or LadderSheet(), after.sheet or LadderSheet())
    if made.empty:
        st.caption("Nothing that was typed differs between them.")
        return
    first, second = sorted((one, two))
    table(
        {"what differs": "", f"version {first}": "", f"version {second}": ""},
        made.itertuples(index=False),
        says=f"Version {first} and version {second} of this ladder",
    )


def line(row, mark: str, ways: tuple[tuple[str, Callable[[str], None]], ...]) -> None:
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.markdown(
            f"**{plain(row.name)}**{mark}  \n"
            + plain(f"changed {local_time(row.changed)}, versions: {row.versions}"),
            width="stretch",
        )
        for label, how in ways:
            st.button(
                f"{label} {plain(row.name)}", key=f"ladder_{label}_{row.uid}", on_click=how, args=(row.uid,)
            )


def put_away(uid: str) -> None:
    attempt(lambda: store().put_away(uid))


def bring_back(uid: str) -> None:
    attempt(lambda: store().bring_back(uid))
