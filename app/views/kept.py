"""Kept work: the list of formulas, the history of the open one, files in and out."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st
from bar import attempt, export
from how import show_how
from keeping import open_formula, put, show
from parts import plain, table
from state import as_printed, classroom, draft, store
from worked import worked

import hlbcore as hlb
from hlbcore.errors import DamagedWork, clipped
from hlbcore.kept.changes import compare_formulas
from hlbcore.kept.export import unreadable
from hlbcore.kept.figures import compare_figures, what_moved
from hlbcore.kept.file import FILE_VARIABLE
from hlbcore.kept.kinds import FORMULA, formula_title
from hlbcore.kept.versions import Version, local_time
from hlbcore.lessons import Working
from hlbcore.lessons.of_formula import formula_figures

# figures that are compared, by the name of their working; a text of its own would stand on the page
OF_A_VERSION = ("required HLB", "HLB of the blend", "dose", "verdict")


def formulas() -> None:
    """The list, with search; one press opens."""
    st.subheader("Formulas")
    search = st.text_input("Search in names and ingredients", key="kept_search", max_chars=100)
    away = st.toggle("Show those put away", key="kept_away")
    held = store().formulas(search, removed=away)
    if held.empty:
        st.info("None yet." if not search else "None holds these words.")
    now = draft()
    for row in held.head(SHOWN).itertuples():
        with st.container(horizontal=True, vertical_alignment="center", gap="small"):
            name = plain(clipped(row.name, 40))
            mark = " · open" if now.kept is not None and now.kept.work == row.uid else ""
            st.markdown(
                f"**{plain(row.name)}**{mark}  \n"
                + plain(f"{row.product}, changed {local_time(row.changed)}, versions: {row.versions}"),
                width="stretch",
            )
            if away:
                st.button(
                    f"Bring {name} back",
                    key=f"kept_back_{row.uid}",
                    on_click=attempt,
                    args=(lambda uid=row.uid: store().bring_back(uid),),
                )
                with st.popover(f"Delete {name}", key=f"kept_gone_{row.uid}"):
                    st.markdown("All its versions go; only the backups of the days before hold them then.")
                    st.button(
                        f"Yes, delete {name} for good",
                        key=f"kept_delete_{row.uid}",
                        on_click=attempt,
                        args=(lambda uid=row.uid: delete(uid),),
                    )
            else:
                for label, word, how in (
                    (f"Open {name}", "open", lambda uid=row.uid: go(uid)),
                    (f"Duplicate {name}", "copy", lambda uid=row.uid: duplicate(uid)),
                    (f"Put {name} away", "put", lambda uid=row.uid: store().put_away(uid)),
                ):
                    st.button(label, key=f"kept_{word}_{row.uid}", on_click=attempt, args=(how,))
    if len(held) > SHOWN:
        st.caption(f"The last {SHOWN} of {len(held)}. Search for the others.")


SHOWN = 30


def go(uid: str) -> None:
    """Open a formula and go to its page."""
    open_formula(uid)
    st.session_state["kept_go"] = True


def delete(uid: str) -> None:
    """Take a formula out of the file; where it is open, it is kept again once it is changed."""
    store().delete(uid)
    now = draft()
    if now.kept is not None and now.kept.work == uid:
        now.kept, now.saved = None, now.formula


def duplicate(uid: str) -> None:
    """A copy under a name of its own, opened."""
    body = store().open(uid, kind=FORMULA).body
    show(put(replace(body, name=f"{formula_title(body)}, copy"), None))


def hows(version: Version[hlb.Formula], words: str) -> dict[str, Working]:
    """How the figures of a kept formula come about with the tables in use."""
    made = formula_figures(worked(version.body))
    return {f"{name}, {words}": made[name] for name in OF_A_VERSION if name in made}


def compared() -> None:
    """Two kept formulas beside each other."""
    held = store().formulas()
    if len(held) < 2:
        return
    st.subheader("Compare two formulas")
    names = {r.uid: f"{r.name}, {local_time(r.changed)}" for r in held.itertuples()}
    uids = list(names)
    now = draft().kept
    start = uids.index(now.work) if now is not None and now.work in uids else 0
    with st.container(horizontal=True):
        one = st.selectbox("This formula", uids, start, format_func=names.get, key="kept_one", width=260)
        other = st.selectbox("and this one", uids, None, format_func=names.get, key="kept_other", width=260)
    if other is None:
        return
    first, second = (store().open(uid, kind=FORMULA) for uid in (one, other))
    made = compare_formulas(first.body, second.body)
    if made.empty:
        st.markdown("These two are the same.")
        return
    table(
        {"what differs": "", "this formula": "", "the other": ""},
        made.itertuples(index=False),
        says="what differs",
    )
    figures = compare_figures(first.figures, second.figures)
    table(
        {"figure": "", "this formula": "", "the other": ""},
        figures.itertuples(index=False),
        says="figures of both",
    )
    show_how({**hows(first, "this formula"), **hows(second, "the other")})


def history() -> None:
    """All versions of the open formula: marked ones, steps between, two compared, one restored."""
    st.subheader("Versions of the open formula")
    now = draft()
    if now.kept is None or not store().holds(now.kept):
        st.info("Nothing is kept of this sheet yet. Change something, or open a formula.")
        return
    moved = what_moved(now.kept.figures, worked(now.kept.body))
    if moved:
        st.warning(plain("Tables or own values have changed since: " + "; ".join(moved)))
    held = store().history(now.kept.work)
    only = st.toggle("Only those marked with a reason", key="kept_marked")
    shown = held[held["kept"]] if only else held
    if shown.empty:
        st.info("None is marked yet: Mark this state stands above.")
    table(
        {"version": "", "when": "", "who": "", "what": "", "why": "", "": ""},
        [
            (r.version, local_time(r.at), r.who, r.what, r.why, "now" if r.current else "")
            for r in shown.head(SHOWN).itertuples()
        ],
        numbers=("version",),
    )
    if len(shown) > SHOWN:
        st.caption(f"The last {SHOWN} of {len(shown)}; all can be chosen below.")
    uids = {int(r.version): r.uid for r in held.itertuples()}
    told = {int(r.version): f"{r.version}: {r.why or r.what}" for r in held.itertuples()}
    numbers = list(uids)
    with st.container(horizontal=True):
        first = st.selectbox(
            "Compare version",
            numbers,
            numbers.index((numbers[1:] or numbers)[0]),
            format_func=told.get,
            key=f"kept_first_{now.kept.uid}",
        )
        second = st.selectbox(
            "with version", numbers, 0, format_func=told.get, key=f"kept_second_{now.kept.uid}"
        )
    try:
        before, after = store().version(uids[first]), store().version(uids[second])
    except DamagedWork as error:
        st.warning(plain(f"{error} Choose other versions: the rest can be compared and restored."))
        return
    made = compare_formulas(before.body, after.body)
    if made.empty:
        st.markdown("These two are the same.")
    else:
        table(
            {"what differs": "", f"version {first}": "", f"version {second}": ""},
            made.itertuples(index=False),
        )
    figures = compare_figures(before.figures, after.figures)
    table({"figure": "", f"version {first}": "", f"version {second} ": ""}, figures.itertuples(index=False))
    both = dict.fromkeys(((before, f"version {first}"), (after, f"version {second}")))
    show_how({name: made for version, words in both for name, made in hows(version, words).items()})
    on = now.kept

    def restore() -> None:
        attempt(lambda: show(store().restore(before, on=on, who=store().setting("who"))))

    st.button(
        f"Restore version {first}",
        key="kept_restore",
        on_click=restore,
        help="It becomes the newest version; nothing in between is lost",
    )


def files() -> None:
    """Everything out and in as one file."""
    st.subheader("Everything as one file")
    export("kept_export")
    if st.button(
        "Look whether all of it can be read", key="kept_check", help="An export leaves out what cannot"
    ):
        damaged = unreadable(store())
        if damaged.empty:
            st.info("All of it can be read.")
        else:
            table({n: "" for n in damaged.columns}, damaged.itertuples(index=False))
    held = st.file_uploader(
        "Import such a file",
        type=["zip"],
        key="kept_import",
        max_upload_size=50,
        help="First it is shown what would happen",
    )
    if held is None:
        return
    try:
        plan = hlb.plan_import(store(), held.getvalue())
    except hlb.HlbError as error:
        st.error(plain(error))
        return
    table({"what": "", "name": "", "what the import does": ""}, plan.table.itertuples(index=False))
    if not plan.count:
        st.info("All of it is here already.")
        return
    chosen = st.multiselect(
        "Take only these (all, if none is chosen)",
        [i.uid for i in plan.items if i.does],
        format_func={i.uid: f"{i.kind}: {i.name}" for i in plan.items}.get,
        key="kept_only",
    )

    def take() -> None:
        attempt(lambda: hlb.import_all(store(), plan, only=chosen or None))

    st.button("Import what is listed", key="kept_take", on_click=take)


def settings() -> None:
    st.subheader("Settings")
    key = "kept_who"

    def put() -> None:
        attempt(lambda: store().set_setting("who", st.session_state[key] or ""))

    st.text_input(
        "Who works here",
        store().setting("who"),
        key=key,
        on_change=put,
        max_chars=100,
        help="It stands beside each version; blank is fine",
    )
    if classroom():
        st.markdown("Kept in this browser tab only.")
    else:
        st.markdown(
            plain(
                f"The file of kept work: {store().where}. Another file: set the environment variable "
                f"{FILE_VARIABLE} before the start. Backups, one a day, stand beside it."
            )
        )
    for notice in store().notices:
        st.warning(plain(notice))


def page() -> None:
    if st.session_state.pop("kept_go", False):
        st.switch_page("views/formula.py")
    as_printed(words=True)  # texts stand as they were typed
    st.title("Kept work", anchor=False)
    left, right = st.columns([5, 6], gap="large")
    with left:
        formulas()
        files()
        settings()
    with right:
        compared()
        history()


page()
