"""Bench figures: what all ladders together say, beside the tables; in use only where accepted."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import streamlit as st
from bar import attempt
from how import again, show_how
from ladder_inputs import new_ladder
from parts import BY_TABLES, figure, findings_by_level, plain, table, verdict_box
from state import draft, store

import hlbcore as hlb
from hlbcore.kept.benches import bench_of, moved_by, phases_of, taken_in, waiting
from hlbcore.kept.versions import Version
from hlbcore.learning.bench import Bench, Reading, read_bench, usable
from hlbcore.learning.bench_result import phase_words
from hlbcore.learning.learned import Learned
from hlbcore.learning.next_bench import BenchPhase, candidates, phase_of_worked
from hlbcore.learning.published import published_ladders
from hlbcore.learning.sharing import results_from_json, results_to_json
from hlbcore.lessons.of_bench import (
    bench_figure,
    moved_figure,
    next_figure,
    pairs_figure,
    phase_figure,
    plan_figure,
    surprise_figure,
)
from hlbcore.plots.learning import before_and_after
from hlbcore.swapping.sheet import span_text

NAMED = 2  # ladders that are named beside a figure

LEAD = "What all your ladders say together about oils, pairs and phases, beside the tables."


@st.cache_data(max_entries=12, hash_funcs=BY_TABLES, show_spinner=False)
def drawn(bench: Bench, tables: hlb.Library) -> tuple[bytes, str, bytes]:
    made = before_and_after(read_bench(bench, tables).made)
    return hlb.plots.to_svg(made), hlb.plots.words(made), hlb.plots.to_png(made)


def few(names: Sequence[str]) -> str:
    """The first names, and how many more."""
    more = names[NAMED:]
    return ", ".join(names[:NAMED]) + (f" and {len(more)} more" if more else "")


def put(change: Callable[[Bench], Bench]) -> None:
    """Keep the bench as it is after a change."""

    def save() -> None:
        on = bench_of(store())
        store().save(change(on.body if on else Bench()), on=on, who=store().setting("who"))

    attempt(save)


def answer(now: Bench, made: Learned, tables: hlb.Library) -> None:
    """What can be said, the picture, and the open formula."""
    verdict_box(made.word, made.words)
    if made.ready:
        figure(*drawn(now, tables)[:2], "bench_figures", lambda: drawn(now, tables)[2])
    elif made.equations.used:
        table(
            {"phase of a ladder": "", "pair": "", "tables": "", "with its ladder": ""},
            [
                (
                    phase_words(x.phase),
                    x.pair_words,
                    f"{r.tables.value:.1f} ({span_text(r.tables.low, r.tables.high)})",
                    f"{r.value:.1f} ({span_text(r.low, r.high)})",
                )
                for x, r in made.own_phases
            ],
        )
    if made.equations.used:
        show_how({"learned figures": bench_figure(made)})
    try:
        phase = phase_of_worked(hlb.work_out(draft().formula, tables))
        if phase is None or not made.ready:
            return
        found = made.required(dict(phase.phase), pair=phase.pair)
    except hlb.HlbError:  # its page says what is wrong with it
        return
    st.markdown(
        f"**The open formula** requires {found.value:.1f} ({span_text(found.low, found.high)})"
        + plain(f"{' with its pair' if found.pair else ''}: {found.provenance}.")
    )
    show_how({"what the open formula requires": phase_figure(found)})


def accepting(version: Version[Bench] | None, now: Bench, made: Learned) -> None:
    """The figures, which of them lead in formulas, and what that would move."""
    if not made.ready:  # formulas keep the figures they have
        return
    st.subheader("Figures of the oils")
    held = made.figures[made.figures["ladders"] > 0]
    may = usable(made, store().overlay())
    table(
        {"oil": "", "tables": "", "learned": "", "in formulas": "", "moved by": ""},
        [
            (
                r.ingredient,
                f"{r.tables_value:.1f} ({span_text(r.tables_low, r.tables_high)})",
                f"{r.value:.1f} ({span_text(r.low, r.high)})",
                "learned" if r.id in now.used and r.id in may else "as before",
                few(r.moved_by),
            )
            for r in held.itertuples()
        ],
    )
    again("figures of the oils", of="learned figures")
    if not may:
        st.markdown("Figures of your own lead for all of them.")
        return
    number = version.number if version else 0
    key = f"bench_used_{number}"
    chosen = st.multiselect(
        "Learned figures that lead in formulas",
        list(may),
        [i for i in now.used if i in may],
        key=key,
        format_func=lambda i: plain(may[i].name),
        placeholder="None: the tables lead",
        help="Never unasked: choose oils, look at what moves, then use them",
    )
    after = now.using(chosen)
    if after.used != now.using(i for i in now.used if i in may).used:
        would_move(after)
        st.button(
            "Use these figures",
            key="bench_accept",
            type="primary",
            on_click=put,
            args=(lambda bench: bench.using(chosen),),
        )

    def choose_all() -> None:
        st.session_state[key] = list(may)

    if len(chosen) < len(may):
        st.button("Choose all", key="bench_all", on_click=choose_all, help="Then look at what would move")


def would_move(after: Bench) -> None:
    """Formulas before and after."""
    moved = moved_by(store(), after)
    st.markdown("**Kept formulas that would move**")
    if moved.empty:
        st.markdown("None.")
        return
    table(
        {"formula": "", "required now": ".1f", "then": ".1f", "verdict now": "", "verdict then": ""},
        moved.drop(columns=["moves", "uid"]).itertuples(index=False),
        numbers=("required now", "then"),
    )
    show_how({"what these figures move": moved_figure(moved)})


def ladders(version: Version[Bench] | None, now: Bench, reading: Reading) -> None:
    """The ladders with their surprise; each can be taken out and back."""
    made = reading.made
    shown = made.ladders
    if now.ladders:
        st.subheader("Ladders")
    if not shown.empty:
        table(
            {"ladder": "", "optimum": ".1f", "others say": ".1f", "surprise": "z.1f", "does it fit": ""},
            [(r.ladder, r.optimum, r.others, r.surprise, r.word) for r in shown.itertuples()],
            numbers=("optimum", "others say", "surprise"),
        )
        show_how({"surprise": surprise_figure(made)})
        st.caption(
            "Surprise: how far the ladder lies from what all others say, in standard deviations. "
            "One in 20 lies beyond 2."
        )
    problems = dict(reading.problems)
    for x in now.taking_part:
        if x.identity in problems:
            st.warning(plain(f"Left out: {problems[x.identity]}"))
    if now.ladders:
        one = st.selectbox(
            "One ladder",
            [x.identity for x in now.ladders],
            format_func=lambda i: plain(
                next(x.label for x in now.ladders if x.identity == i) + (" (out)" if i in now.out else "")
            ),
            key=f"bench_one_{version.number if version else 0}",
            help="Taken out, it counts as if it had never been there",
        )
        if one in now.out:
            st.button("Take it back in", key="bench_in", on_click=put, args=(lambda b: b.back(one),))
        else:
            would = now.without(one)
            moved = moved_by(store(), would)
            if not moved.empty:
                st.caption(plain(f"Taking it out moves: {', '.join(moved['name'])}."))
            st.button("Take it out", key="bench_out", on_click=put, args=(lambda b: b.without(one),))
    if not made.pairs.empty:
        st.markdown("**Emulsifier pairs**")
        table(
            {"pair": "", "optima lie higher by": "+.1f", "range": "", "ladders": ""},
            [
                (r.pair, r.effect, f"{r.low:+.1f} to {r.high:+.1f}", r.ladders)
                for r in made.pairs.itertuples()
            ],
            numbers=("optima lie higher by", "ladders"),
        )
        show_how({"effect of a pair": pairs_figure(made)})
    if version is not None and (before := store().before(version)) is not None:
        st.button(
            "Undo the last change",
            key="bench_undo",
            on_click=attempt,
            args=(lambda: store().point_at(before, on=version),),
            help=plain(version.what),
        )


def bring_in(now: Bench) -> None:
    """Kept ladders, shared files, the published set."""
    st.subheader("Take ladders in")
    here = waiting(store(), now)

    def take(works: list[str]) -> None:
        made, problems = taken_in(store(), now, works, store().setting("who"))
        put(lambda _: made)
        draft().told = " ".join(problems)

    if here:
        picked = st.multiselect(
            "Kept ladders",
            list(here),
            list(here),
            key=f"bench_kept_{len(now.ladders)}",
            format_func=lambda uid: plain(here[uid]),
        )
        st.button("Take these in", key="bench_take", on_click=take, args=(picked,), disabled=not picked)
    elif not now.ladders:
        st.markdown("Record a ladder on the page Ladder; when it has an optimum, take it in here.")
    read_again = [x.uid for x in now.ladders if x.uid]
    if read_again:
        st.button(
            "Read the kept ladders again",
            key="bench_again",
            on_click=take,
            args=(read_again,),
            help="After more readings were written down",
        )
    held = st.file_uploader("File of ladders from others", type=["json"], key="bench_file", max_upload_size=5)
    if held is not None:
        try:
            shared = results_from_json(held.getvalue().decode("utf-8", "replace"))
        except hlb.HlbError as error:
            st.error(plain(error))
        else:
            st.markdown(f"{len(shared.ladders)} ladders can be read.")
            for problem in shared.problems:
                st.warning(plain(problem))
            st.button(
                "Take the file's ladders in",
                key="bench_shared",
                on_click=put,
                args=(lambda bench: bench.with_ladders(shared.ladders),),
                disabled=not shared.ladders,
            )
    st.button(
        "Take the published ladders in",
        key="bench_published",
        on_click=put,
        args=(lambda bench: bench.with_ladders(published_ladders()),),
        help="Ladders of papers, each with its source; the tables then count them once",
    )
    if now.ladders:
        whole = st.toggle(
            "With notes and what else was in the vials",
            key="bench_whole",
            help="Else oil phase and figures only",
        )
        st.download_button(
            "File of ladders for others",
            results_to_json(now.taking_part, whole=whole),
            "bench_ladders.json",
            "application/json",
            key="bench_share",
            on_click="ignore",
        )


def next_one(made: Learned, tables: hlb.Library) -> None:
    """The ladder that would tell most, in vials and grams."""
    st.subheader("Next ladder")
    matter: tuple[BenchPhase, ...] = phases_of(store(), tables)
    if not matter and (open_one := phase_of_worked(hlb.work_out(draft().formula, tables))) is not None:
        matter = (open_one,)
    if not matter:
        st.markdown("Keep a formula with an oil phase, and the ladder that would tell most stands here.")
        return
    found = made.next_ladder(candidates(matter), matter=matter)
    st.markdown(plain(found.words))
    show_how({"the next ladder": next_figure(found)})

    def hand_over() -> None:
        new_ladder(found.sheet(), f"Proposed by your bench figures: {found.choice.label}.")
        st.session_state["bench_go"] = True

    st.button(
        "Plan this ladder",
        key="bench_plan",
        on_click=hand_over,
        help="On the page Ladder; one that is recorded there is kept",
    )
    with st.expander("What to weigh, and the other ways"):
        try:
            plan = found.plan(library=tables)
            grams = plan.table
            shown = ["target_hlb", *(n for n in grams.columns if n.endswith("_g"))]
            table(
                {"HLB": ".4g", **{f"{n.removesuffix('_g')} [g]": ".4g" for n in shown[1:]}},
                grams[shown].itertuples(index=False),
            )
            show_how(
                {"HLB of its vials": hlb.lessons.working(plan), "its rungs and grams": plan_figure(plan)}
            )
            findings_by_level(plan.cautions)
        except hlb.HlbError as error:
            st.info(plain(error))
        table(
            {"ladder": "", "pair": "", "known then, ± HLB": ".2f"},
            [(r.phase, r.pair, r.after) for r in found.table.head(8).itertuples()],
            numbers=("known then, ± HLB",),
        )
        again("known then", of="the next ladder")


if st.session_state.pop("bench_go", False):
    st.switch_page("views/ladder.py")
st.title("Bench figures", anchor=False)
st.caption(LEAD)
version = bench_of(store())
bench = version.body if version else Bench()
bare = hlb.load_library(overlay=store().overlay())  # what ladders are learned against
reading = read_bench(bench, bare)
left, right = st.columns([6, 5], gap="large")
with left:
    answer(bench, reading.made, bare)
    accepting(version, bench, reading.made)
    next_one(reading.made, bare)
with right:
    ladders(version, bench, reading)
    bring_in(bench)
