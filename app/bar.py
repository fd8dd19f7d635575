"""What stands above every page: the pages, and the name of the open formula with undo and keeping."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import streamlit as st
from keeping import on_top, open_formula, put, show
from parts import PAUSE, plain, table
from state import behind, classroom, draft, example_open, file_error, put_units, store, the_file, units_asked

import hlbcore as hlb
from hlbcore.errors import Conflict, DamagedFile, DamagedWork, InvalidInput, LostFile, NotSaved
from hlbcore.kept.accepted import Behind, settle
from hlbcore.kept.changes import compare_formulas
from hlbcore.kept.file import default_path
from hlbcore.kept.kinds import formula_title
from hlbcore.kept.recovery import beside as store_beside
from hlbcore.kept.recovery import from_backup, from_damaged
from hlbcore.kept.versions import Version, local_time


def pages(here: st.Page, first: Sequence[st.Page], more: Sequence[st.Page]) -> None:
    """The way to every page: four in sight, the rest behind one word; the one that is open is marked."""
    with st.container(horizontal=True, vertical_alignment="center", gap="xsmall", key="top"):
        for page in first:
            with st.container(key="here" if page is here else f"to_{page.title}", width="content"):
                st.page_link(page, width="content")
        held = here in more
        with (
            st.container(key="in_more" if held else "to_more", width="content"),
            # a key of each page: the list that was open on one is closed on the next
            st.popover(f"More: {here.title}" if held else "More", key=f"bar_more_{here.url_path}"),
        ):
            for page in more:
                st.page_link(page)
            choose_units()


UNIT_CHOICES = (
    ("mass", "Mass", {"g": "grams", "oz": "ounces", "lb": "pounds and ounces"}),
    ("temperature", "Temperature", {"°C": "°C", "°F": "°F"}),
    ("decimal", "Decimal sign", {".": "12.5", ",": "12,5"}),
)


def choose_units() -> None:
    """In which units everything is shown: chosen, or as they were typed last."""
    asked = units_asked()
    st.markdown("**Units shown**")
    for name, label, words in UNIT_CHOICES:
        key = f"units_{name}"
        choices = {"": f"as typed: {words[getattr(asked.typed, name)]}", **words}

        def put(name: str = name, key: str = key) -> None:
            put_units(replace(units_asked(), **{name: st.session_state[key]}))

        at = list(choices).index(getattr(asked, name))
        st.selectbox(label, choices, at, key=key, format_func=choices.get, on_change=put)


def bar() -> None:
    """Name, undo and redo, a reason, and how the formula is kept."""
    now = draft()
    with st.container(horizontal=True, vertical_alignment="center", gap="xsmall", key="bar"):
        key = f"bar_title_{now.version}"

        def rename() -> None:
            now.formula = replace(now.formula, name=st.session_state[key] or "")

        st.text_input(
            "Name of the formula",
            now.formula.name,
            key=key,
            on_change=rename,
            max_chars=200,
            live=PAUSE,
            width=250,
            placeholder=formula_title(now.formula),
            label_visibility="collapsed",
        )
        before = after = None
        if now.kept is not None and now.theirs is None:
            before, after = beside(store().before, now.kept), beside(store().after, now.kept)
        st.button("Undo", key="bar_undo", disabled=before is None, on_click=step, args=(before,))
        st.button("Redo", key="bar_redo", disabled=after is None, on_click=step, args=(after,))
        with st.popover(
            "Mark",
            help="Give this state a reason, to find it again",
            disabled=now.kept is None,
            key="bar_mark",
        ):
            reason(now.kept)
        state = kept_words()
        if state:
            st.caption(plain(state))


def kept_words() -> str:
    """Where the open formula stands, in a few words."""
    now = draft()
    if now.kept is None:
        return "An example: kept once you change it" if example_open() else "Kept once you change something"
    if now.trouble:
        return ""
    word = "Kept" if file_error() is None else "Held in memory only,"
    return f"{word} {local_time(now.kept.at)} as version {now.kept.number}"


def beside(way: Callable[[Version], Version | None], version: Version) -> Version | None:
    """The version that undo or redo leads to; None where it is damaged: the page of kept work says so."""
    try:
        return way(version)
    except (DamagedWork, InvalidInput):  # damaged, or deleted in another window
        return None


def reason(version: Version | None) -> None:
    if version is None:
        return
    key = f"bar_why_{version.uid}"

    def marked() -> None:
        try:
            draft().kept = store().mark(version, st.session_state[key] or "")
        except NotSaved:  # the next try begins from what stands there now
            draft().kept = store().version(version.uid)
            raise

    st.text_input(
        f"Why version {version.number} is worth keeping",
        version.why,
        key=key,
        on_change=attempt,
        args=(marked,),
        max_chars=500,
        help="For example: held four weeks at 40 °C",
    )


def attempt(how: Callable[[], object]) -> None:
    """Do something with the store; a sentence where it fails."""
    try:
        how()
    except Conflict as found:  # both are kept: the bar shows them beside each other
        show(store().version(found.mine))
        draft().theirs = store().version(found.theirs)
    except hlb.HlbError as error:
        draft().told = str(error)


def step(version: Version) -> None:
    """Undo or redo."""
    now = draft()
    if now.kept is not None:
        on = now.kept
        attempt(lambda: show(store().point_at(version, on=on)))


def notices() -> tuple[object, ...]:
    """What there is to tell of how the formula is kept."""
    now = draft()
    theirs = None if now.theirs is None else now.theirs.uid
    return (now.told, theirs, now.trouble, str(file_error() or ""), str(behind() or ""))


def more_to_tell() -> bool:
    """Whether something else is to be told than what stands above the page."""
    return notices() != st.session_state["notices told"]


def how_kept() -> None:
    """Where the formula is kept, and what is in the way."""
    now = draft()
    if now.told:
        st.warning(plain(now.told))
        now.told = ""
    st.session_state["notices told"] = notices()
    if now.theirs is not None and now.kept is not None:
        both(now.kept, now.theirs)
    if now.trouble:
        st.error(plain(f"{now.trouble} It is tried again with your next change."))
    error = file_error()
    if error is not None:
        no_file(error)
    elif classroom():
        st.warning(
            "Classroom: your work is kept in this browser tab only. Reloading or closing it loses "
            "all of it; export it first."
        )
    if classroom() or error is not None:
        export("bar_export")
    less = behind()
    if less is not None:
        holds_less(less)
    missing()


def export(key: str) -> None:
    """Everything as one file."""
    held = store()  # found now: when the file is made, no session can be asked
    st.download_button(
        "Export of everything",
        lambda: hlb.export_all(held),
        "kept_work.zip",
        "application/zip",
        key=key,
        on_click="ignore",
        help="All formulas with their versions, own values and settings: JSON and CSV in a zip",
    )


def both(mine: Version, theirs: Version) -> None:
    """Two states of one formula beside each other, and the ways out."""
    st.error(plain(f"{Conflict(mine.uid, theirs.uid)} Theirs: {theirs.what}"))
    made = compare_formulas(theirs.body, mine.body)
    table({"what differs": "", "theirs": "", "yours": ""}, made.itertuples(index=False))

    def mine_on_top() -> None:
        attempt(lambda: on_top(draft(), draft().formula))

    def mine_apart() -> None:
        attempt(lambda: show(put(draft().formula, None)))

    with st.container(horizontal=True):
        st.button("Take theirs", key="bar_theirs", on_click=open_formula, args=(mine.work,))
        st.button("Put mine on top", key="bar_mine", on_click=mine_on_top)
        st.button("Keep mine as a formula of its own", key="bar_apart", on_click=mine_apart)


def no_file(error: hlb.StoreError) -> None:
    """The file fails: what to do, and work goes on in this session."""
    st.error(plain(f"{error} Until then your work is kept in the memory of this program only."))
    if st.session_state.get("told_of") != str(error):  # the bar may be scrolled out of sight
        st.session_state["told_of"] = str(error)
        st.toast(plain(f"{error} The ways out stand at the top of the page."), icon=":material/error:")
    path, held = default_path(), the_file()

    def again(label: str, key: str, how: Callable[[], object], tip: str, *, along: bool = True) -> None:
        """A way back; what was made meanwhile comes along."""
        st.button(label, key=key, help=tip, on_click=attempt, args=(lambda: held.afresh(how, along=along),))

    with st.container(horizontal=True):
        if isinstance(error, LostFile):
            rest = held.in_use
            again(
                "Put back what is open here",
                "bar_put_back",
                lambda: rest.put_back(path),
                "A whole copy of it goes to its place; what stands there now is moved aside, not deleted",
                along=False,
            )
            if error.copy:
                again(
                    "Go on with the copy that stands there",
                    "bar_copy",
                    lambda: take_copy(rest, path),
                    "It is opened as it is; what is open here is written to a file beside it first",
                    along=False,
                )
        st.button(
            "Try again",
            key="bar_again",
            on_click=attempt,
            args=(held.open,),
            help="Open the file that stands there now, and add what is newer here",
        )
        if isinstance(error, DamagedFile):
            backup, moved = error.backup, error.moved_to
            if moved is not None:
                again(
                    "Start with what can be read of it",
                    "bar_salvage",
                    lambda: salvage(moved, path),
                    "The damaged file stays where it lies",
                )
            if backup is not None:
                again(
                    "Start from the last backup",
                    "bar_backup",
                    lambda: from_backup(backup, path),
                    "What is in the way is moved aside",
                )
            again(
                "Start with an empty file",
                "bar_empty",
                lambda: hlb.Store(path, fresh=True).close(),
                "Backups and damaged files stay where they lie",
            )


def take_copy(rest: hlb.Store, path: Path) -> None:
    """Open the copy that stands there; what was saved since goes to a file beside it."""
    rest.put_back(store_beside(path))
    settle(path)


def holds_less(less: Behind) -> None:
    """The file holds less than was saved in it: what to do; until then work goes on in it."""
    st.warning(plain(str(less)))
    with st.container(horizontal=True):
        st.button(
            "Bring them back",
            key="bar_catch_up",
            on_click=attempt,
            args=(the_file().in_use.catch_up,),
            help="From the record of each save and the last backup; what is newer in the file stays",
        )
        st.button(
            "Go on with the file as it is",
            key="bar_leave",
            on_click=attempt,
            args=(the_file().in_use.leave_behind,),
            help="The record of them stays in the folder of the backups",
        )


def salvage(moved: Path, path: Path) -> None:
    """Start with what can be read of a damaged file, and say what is missing."""
    the_file().left_out = from_damaged(moved, path)


def missing() -> None:
    """What could not be read of a damaged file."""
    left = () if classroom() else the_file().left_out
    if left:
        with st.expander(f"Not everything could be read of the damaged file ({len(left)})", expanded=True):
            table({"what": "", "name": "", "why": ""}, [(x.what, x.name, x.why) for x in left])
