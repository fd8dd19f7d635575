"""The bench ladder: what it says, what could be made next, and the value that is kept."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st
from bar import attempt
from how import show_how
from ladder_inputs import edit, new_ladder
from parts import BY_TABLES, figure, findings, findings_by_level, headed, plain, table, verdict_box
from state import LadderDraft, ladder, store, units

import hlbcore as hlb
from hlbcore.kept.affected import affected, library_without, own_label
from hlbcore.kept.kinds import LADDER
from hlbcore.kept.versions import local_time
from hlbcore.ladder.fit_kinds import goes_with
from hlbcore.ladder.result import LadderResult, read_ladder
from hlbcore.ladder.value import Measured, measured_value, oils_of, phase_estimate
from hlbcore.lessons.of_bench import doubts_figure, moved_figure, together_figure, value_figure
from hlbcore.lessons.on_paper import workings_page
from hlbcore.own import own_in_words
from hlbcore.plots.ladder import response_plot
from hlbcore.swapping.sheet import span_text

OPTIMUM = "optimum and interval"


@st.cache_data(max_entries=50, show_spinner=False)
def answered(
    trial: hlb.Trial, kind: str, temperature: float | None, more: tuple[hlb.Trial, ...] = ()
) -> LadderResult:
    return read_ladder(trial, kind, temperature_c=temperature, more=more)


@st.cache_data(max_entries=20, hash_funcs=BY_TABLES, show_spinner=False)
def drawn(
    trial: hlb.Trial, kind: str, temperature: float | None, more: tuple[hlb.Trial, ...], tables: hlb.Library
) -> tuple[bytes, str, bytes]:
    made = response_plot(
        trial, answered(trial, kind, temperature, more), phase_estimate(trial.ladder, tables)
    )
    return hlb.plots.to_svg(made), hlb.plots.words(made), hlb.plots.to_png(made)


def choices(now: LadderDraft, result: LadderResult) -> None:
    """Which readings the verdict rests on, where there are several."""
    with st.container(horizontal=True):
        if len(result.kinds) > 1:
            key = f"ladder_by_{now.version}"

            def by() -> None:
                now.kind = st.session_state[key]

            st.selectbox(
                "Judged by",
                result.kinds,
                result.kinds.index(result.kind),
                key=key,
                on_change=by,
                help="Each kind of reading has its own verdict",
            )
        if len(result.temperatures) > 1:
            warm_key = f"ladder_warm_{now.version}"

            def warm() -> None:
                now.temperature = st.session_state[warm_key]

            st.selectbox(
                headed("Vials that stood at [°C]"),
                result.temperatures,
                result.temperatures.index(result.temperature_c),
                key=warm_key,
                on_change=warm,
                format_func=lambda at: units().bare(f"{at:g}", "°C"),
                help="Each temperature has its own verdict",
            )


def verdict(trial: hlb.Trial, words: str, *, hidden: bool) -> LadderResult | None:
    """The verdict with how much is read, and a button for each next step; None while labels hide it."""
    if hidden:
        verdict_box(words, "The verdict tells what is in the vials: it comes when the readings are closed.")
        st.button(
            "Close the readings and uncover the labels",
            key="ladder_close",
            on_click=edit,
            kwargs={"closed": True},
            disabled=not trial.observations,
            help="When the last reading is written down",
        )
        return None
    now = ladder()
    result = answered(trial, now.kind, now.temperature, same_system(trial))
    verdict_box(f"{result.word} · {words}", result.sentence)
    if result.fit is not None:
        show_how({OPTIMUM: hlb.lessons.working(result.fit)})
    following(trial, result)
    return result


def details(trial: hlb.Trial, result: LadderResult) -> None:
    """The figure, what each kind of reading says, and the value that can be kept."""
    now = ladder()
    more = same_system(trial)
    choices(now, result)
    if result.read is not None:
        svg, words, png = drawn(trial, result.kind, result.temperature_c, more, tables_without(trial))
        figure(svg, words, "ladder", lambda: png)
    by_kind(result)
    findings_by_level(result.findings)
    if result.fit is not None:
        st.download_button(
            "Workings to print",
            lambda: workings_page(trial.name, {OPTIMUM: hlb.lessons.working(result.fit), **of_kinds(result)}),
            "ladder_workings.html",
            "text/html",
            key="ladder_workings",
            on_click="ignore",
        )
    if result.fit is not None and result.fit.estimate is not None:
        accept(trial, result, result.fit)


def by_kind(result: LadderResult) -> None:
    """What each kind of reading says by itself, where there are several."""
    if len(result.by_kind) < 2:
        return
    table(
        {"by": "", "says": "", "HLB": "", "range": ""},
        [
            (
                name,
                fit.outcome,
                "" if fit.optimum is None else f"{fit.optimum:.1f}",
                "" if fit.low is None or fit.high is None else span_text(fit.low, fit.high),
            )
            for name, fit in result.by_kind
        ],
    )
    show_how(of_kinds(result))


def of_kinds(result: LadderResult) -> dict[str, hlb.lessons.Working]:
    """The working of each kind of reading, where there are several."""
    held = result.by_kind if len(result.by_kind) > 1 else ()
    return {f"optimum by {name}": hlb.lessons.working(fit) for name, fit in held}


def label_of(trial: hlb.Trial) -> str:
    """The name that a value of this ladder carries: two ladders of one name stay apart."""
    now = ladder()
    return own_label(store(), trial.name, now.kept.work if now.kept is not None else "")


def tables_without(trial: hlb.Trial) -> hlb.Library:
    """The tables without what this ladder gave."""
    return library_without(store(), trial=label_of(trial))


def same_system(trial: hlb.Trial) -> tuple[hlb.Trial, ...]:
    """Other kept ladders of the same oil phase, pair and dose, which are read together with it."""
    kept = [store().open(uid, kind=LADDER).body.trial for uid in others(trial)]
    return tuple(t for t in kept if goes_with(trial, t))


def following(trial: hlb.Trial, result: LadderResult) -> None:
    """The ladders that could come next, a press each."""
    if not result.proposed:
        return
    with st.container(horizontal=True):
        for n, proposed in enumerate(result.proposed):
            st.button(
                f"{'Extend by' if proposed.extends else 'Plan'} {proposed.words}",
                key=f"ladder_next_{n}",
                on_click=new_ladder,
                args=(proposed.sheet, f"Planned after {trial.name}."),
                help="The ladder on this page is kept",
            )


def others(trial: hlb.Trial) -> dict[str, str]:
    """Kept ladders that could be used together with this one, by their identity."""
    now = ladder()
    mine = now.kept.work if now.kept is not None else ""
    held = store().listed(LADDER)
    return {r.uid: f"{r.name}, changed {local_time(r.changed)}" for r in held.itertuples() if r.uid != mine}


def together(
    uids: tuple[str, ...], kind: str, temperature: float | None
) -> list[tuple[hlb.Trial, hlb.TrialFit]]:
    """Those ladders with what they say by the same kind of reading."""
    made = []
    for uid in uids:
        trial = store().open(uid, kind=LADDER).body.trial
        result = answered(trial, kind, temperature, ())
        if result.fit is None or result.fit.estimate is None or result.kind != kind:
            st.warning(plain(f"{trial.name}: it shows no optimum by {kind}, so it is left out."))
        else:
            made.append((trial, result.fit))
    return made


def accept(trial: hlb.Trial, result: LadderResult, fit: hlb.TrialFit) -> None:
    """The value that follows, and one press to keep it."""
    now = ladder()
    st.subheader("Keep the value")
    tables = tables_without(trial)
    oils = list(oils_of(trial, tables))
    key, more_key = f"ladder_oil_{now.version}", f"ladder_more_{now.version}"

    def choose() -> None:
        now.oil, now.moved = st.session_state[key], None

    name = now.oil if now.oil in oils else oils[0]
    if len(oils) > 1:
        st.selectbox(
            "The value is for",
            oils,
            oils.index(name),
            key=key,
            on_change=choose,
            help="The ladder was made on a mixture: the others count with their own "
            "figures and ranges. The one without a figure comes first",
        )
    listed = others(trial) if len(oils) > 1 else {}
    if listed:

        def gather() -> None:
            now.more, now.moved = tuple(st.session_state[more_key]), None

        st.multiselect(
            "Together with other kept ladders",
            list(listed),
            [u for u in now.more if u in listed],
            key=more_key,
            on_change=gather,
            format_func=listed.get,
            help="Mixtures with other shares of it narrow its range",
        )
    try:
        used = together(tuple(u for u in now.more if u in listed), result.kind, result.temperature_c)
        named = replace(trial, name=label_of(trial))
        found = measured_value(named, fit, name, kind=result.kind, more=used, library=tables)
    except hlb.HlbError as error:
        st.info(plain(error))
        return
    shown(name, found, trial, fit, tables)
    held = found.item in store().overlay()

    def keep() -> None:
        def save() -> None:
            store().add_own(found.item, who=store().setting("who"))
            now.moved = affected(store(), found.item)

        attempt(save)

    st.button(
        "Kept as your own value" if held else "Keep as my own value",
        key="ladder_accept",
        on_click=keep,
        type="primary",
        disabled=held,
        help="It leads over the tables from then on; both stay in sight. No formula is changed",
    )
    if held:
        moved(found, now)


def shown(name: str, found: Measured, trial: hlb.Trial, fit: hlb.TrialFit, tables: hlb.Library) -> None:
    """The value beside that of the tables, and where its doubt comes from."""
    try:
        before = tables.find(name).required_hlb(found.item.emulsion)
    except hlb.UnknownIngredient:
        before = None
    both = fit.with_tables(before) if before is not None and found.back is None else None
    table(
        {"required HLB": "", found.item.emulsion: "", "range": ""},
        [
            (
                f"{name}, tables",
                *(
                    ("no figure", "")
                    if before is None
                    else (f"{before.value:.1f}", span_text(before.low, before.high))
                ),
            ),
            (
                f"{name}, this ladder",
                f"{found.estimate.value:.1f}",
                span_text(found.estimate.low, found.estimate.high),
            ),
            *(
                [(f"{name}, ladder with the tables", f"{both.value:.1f}", span_text(both.low, both.high))]
                if both is not None
                else []
            ),
        ],
    )
    figures = {"value of this ladder": value_figure(trial, fit, found, tables)}
    if both is not None and before is not None:
        figures["ladder with the tables"] = together_figure(fit, before, both)
    st.caption(plain(f"It belongs to: {own_in_words(found.item)}"))
    show_how(figures)
    findings(found.findings)
    if found.back is not None:
        with st.expander("Where the doubt comes from"):
            table(
                {"": "", "% of the variance": ".0f", "moves the result by [HLB]": ".1f"},
                found.back.doubts(name).itertuples(index=False),
                numbers=("% of the variance", "moves the result by [HLB]"),
            )
            show_how({"doubts of the value": doubts_figure(found, name)})


def moved(found: Measured, now: LadderDraft) -> None:
    """Kept formulas that use the oil, with what they would move by."""
    if now.moved is None:
        now.moved = affected(store(), found.item)
    st.markdown("**Kept formulas that use it**")
    if now.moved.empty:
        st.markdown("None.")
        return
    table(
        {
            "formula": "",
            "required before": ".1f",
            "required now": ".1f",
            "verdict before": "",
            "verdict now": "",
        },
        now.moved[
            ["name", "required_before", "required_after", "verdict_before", "verdict_after"]
        ].itertuples(index=False),
        numbers=("required before", "required now"),
    )
    show_how({"what the value moves": moved_figure(now.moved)})
    st.caption("Nothing in them is changed. Open a formula under Kept work to rebalance it.")
