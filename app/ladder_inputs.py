"""The bench ladder: what is typed, and how it is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import streamlit as st
from bar import attempt
from keeping import in_address, keep, on_top, put, put_in_address
from parts import as_typed, field_error, given_once, headed, picker_options
from state import LadderDraft, ladder, library, new_sheet, store, units

import hlbcore as hlb
from hlbcore.kept.kinds import LADDER, KeptLadder
from hlbcore.kept.versions import Version, checked_uid
from hlbcore.ladder.planner import LadderOutcome
from hlbcore.ladder.record import record_of
from hlbcore.ladder.sheet import LADDERS, STEPS, LadderSheet
from hlbcore.ladder.words import LADDER_WORDS

AUTOMATIC = "as the product type asks"
USUAL = "your own"


def keep_ladder() -> None:
    """Keep the recorded ladder if something of it has changed since it was last kept."""
    now = ladder()
    with now.lock:
        sheet = now.sheet
        if now.ladder is None or (now.saved is not None and sheet == now.saved.sheet):
            return
        keep(now, as_kept(now.ladder, sheet))


def as_kept(made: hlb.Ladder, sheet: LadderSheet) -> KeptLadder:
    return KeptLadder(record_of(made, sheet).trial, sheet)


def edit(**changes: object) -> None:
    """Take what was typed, and keep it."""
    now = ladder()
    with now.lock:
        now.sheet = replace(now.sheet, **changes)
        keep_ladder()


def show_ladder(version: Version) -> None:
    """Open a kept ladder in place of the one on the page."""
    now = LadderDraft(version=ladder().version)
    body: KeptLadder = version.body
    now.sheet = body.sheet or now.sheet
    now.ladder, now.kept, now.saved = body.trial.ladder, version, replace(body, sheet=now.sheet)
    now.table = version.work
    now.afresh()
    st.session_state["ladder"] = now


def new_ladder(sheet: LadderSheet | None = None, notice: str = "") -> None:
    """Start a plan; the ladder before it is kept already."""
    sheet = replace(sheet, seed=new_sheet().seed) if sheet is not None else new_sheet()
    now = LadderDraft(sheet=sheet, version=ladder().version, notice=notice)
    now.afresh()
    st.session_state["ladder"] = now


def open_ladder(uid: str) -> None:
    attempt(lambda: show_ladder(store().open(uid, kind=LADDER)))


def step(version: Version) -> None:
    """Undo or redo in the open ladder, or an older version put on top of it."""
    now = ladder()
    on = now.kept
    if on is not None:
        attempt(lambda: show_ladder(store().point_at(version, on=on)))


def restore(version: Version) -> None:
    """An older version becomes the newest."""
    now = ladder()
    on = now.kept
    if on is not None:
        attempt(lambda: show_ladder(store().restore(version, on=on, who=store().setting("who"))))


def mine_apart() -> None:
    """After a conflict: what is on this page becomes a ladder of its own."""
    now = ladder()
    if now.ladder is not None:
        made = now.ladder
        attempt(lambda: show_ladder(put(as_kept(made, now.sheet), None)))


def follow_ladder() -> None:
    """Open the ladder that the address names, and let the address name the one that is open."""
    asked = st.query_params.get("ladder", "")
    if asked and asked != in_address("ladder"):
        try:
            show_ladder(store().open(checked_uid(asked), kind=LADDER))
        except hlb.HlbError as error:  # the bar is drawn already: it is told on the page
            ladder().notice = str(error)
    else:
        keep_ladder()
    now = ladder()
    put_in_address("ladder", now.kept.work if now.kept is not None else "")


def mine_on_top() -> None:
    """After a conflict: what is on this page becomes the newest state."""
    now = ladder()
    if now.ladder is not None:
        on_top(now, as_kept(now.ladder, now.sheet))


def text(
    name: str,
    label: str,
    help_text: str,
    errors: Mapping[str, str],
    *,
    area: bool = False,
    placeholder: str = "",
) -> None:
    """A text of the sheet, with its error beside it."""
    now = ladder()
    heat = "°C" in label
    key = f"ladder_{name}_{now.version}{units().temperature if heat else ''}"
    held = getattr(now.sheet, name)

    def put() -> None:
        edit(**{name: as_typed(key, heat=True) if heat else st.session_state[key] or ""})

    if area:
        st.text_area(
            label,
            held,
            key=key,
            on_change=put,
            help=help_text,
            placeholder=placeholder,
            max_chars=5000,
            height=80,
        )
    else:
        st.text_input(
            headed(label),
            given_once(key, units().held_temperature(held) if heat else held),
            key=key,
            on_change=put,
            help=help_text,
            placeholder=placeholder,
            max_chars=200,
        )
    field_error(errors, name)


def picked(name: str, label: str, help_text: str, usual: str = USUAL) -> None:
    """An emulsifier of the sheet; any name can be typed."""
    now = ladder()
    key = f"ladder_{name}_{now.version}"
    held = getattr(now.sheet, name)
    options = picker_options("emulsifier", library())
    names = [*options, *([held] if held and held not in options else [])]

    def put() -> None:
        edit(**{name: st.session_state[key] or ""})

    st.selectbox(
        label,
        names,
        names.index(held) if held else None,
        key=key,
        on_change=put,
        format_func=lambda n: options.get(n, n),
        accept_new_options=True,
        placeholder=usual,
        help=help_text,
    )


def plan_inputs(made: LadderOutcome) -> None:
    """Everything that makes the plan."""
    now, errors = ladder(), made.errors
    kinds = ("", *LADDERS)
    key = f"ladder_kind_{now.version}"

    def choose() -> None:
        edit(kind=st.session_state[key])

    st.selectbox(
        "Kind of ladder",
        kinds,
        kinds.index(now.sheet.kind),
        key=key,
        on_change=choose,
        format_func=lambda k: LADDER_WORDS.get(k, AUTOMATIC),
        help="HLB steps first, then finer ones; families and doses once the HLB is found",
    )
    field_error(errors, "kind")
    usual = STEPS.get(made.kind, "")
    if made.kind == "clarity":
        picked("first", "Solubiliser", "Blank: polysorbate 20")
    elif made.ready:
        picked("first", "Emulsifier sold ready", "Blank: that of your formula", taken(made, 0))
    else:
        with st.container(horizontal=True):
            picked(
                "first",
                "First emulsifier",
                "Blank: the two of your formula if you have both; else a pair from your shelf, your "
                "formula's, or one that is easy to get",
                taken(made, 0),
            )
            picked("second", "Second emulsifier", "One of low and one of high HLB", taken(made, 1))
        field_error(errors, "pair")
    if made.kind in ("coarse", "fine"):
        with st.container(horizontal=True):
            text(
                "centre",
                "Middle [HLB]",
                "A number or a range; blank: what the tables say that the oil phase requires",
                errors,
                placeholder=told(made),
            )
            text(
                "half_width",
                "Half width [HLB]",
                "From the middle to the ends; blank: from the range of the tables",
                errors,
                placeholder="from the range",
            )
            text(
                "steps",
                "Steps",
                "Vials without repeats; 7 give an interval to trust",
                errors,
                placeholder=usual,
            )
    elif made.kind in ("family", "loading"):
        with st.container(horizontal=True):
            if not made.ready:
                text(
                    "centre",
                    "HLB of all vials",
                    "What the HLB ladder found; blank: the tables",
                    errors,
                    placeholder=told(made),
                )
            if made.kind == "loading":
                text("steps", "Steps", "Number of doses", errors, placeholder="3" if made.ready else usual)
            else:
                text(
                    "pairs",
                    "Pairs of emulsifiers",
                    "Low + high; the next pair. Blank: the best documented pair of each family",
                    errors,
                    placeholder="one of each family",
                )
    elif made.kind == "clarity":
        text("steps", "Steps", "Number of ratios", errors, placeholder=usual)
    with st.container(horizontal=True):
        text("vial_mass", "Mass of a vial", "In g, oz or kg; larger vials blur less", errors)
        text("scale", "Scale shows steps of", "Division of your scale, in g", errors)
        if made.kind in ("coarse", "fine", "family"):
            text(
                "dose",
                "Emulsifier [% of the vial]",
                "Both together; blank: the dose of your formula, or 12.5 % of an oil phase typed here, low "
                "enough that differences show",
                errors,
                placeholder=dose_told(made),
            )
    with st.container(horizontal=True):
        text(
            "duplicates",
            "Vials made twice",
            "They tell how far a reading can be trusted; from the middle outward",
            errors,
        )
        text("seed", "Start of the random order", "Another number gives another order", errors)
        if made.kind == "rinse":
            text("water", "Parts of water", "Warm water for one part of base, 20 to 50", errors)
    blind_key = f"ladder_blinded_{now.version}"

    def blind() -> None:
        edit(blinded=st.session_state[blind_key])

    st.toggle(
        "Blinded labels",
        now.sheet.blinded,
        key=blind_key,
        on_change=blind,
        help="Codes that hide what is in a vial from whoever scores it",
    )
    with st.expander("Oil phase, and what else is in every vial"):
        listed = ", ".join(f"{n} {pct:g}" for n, pct in made.oils.items())
        text(
            "oils",
            "Oil phase of the ladder [% of the vial]",
            "Names with numbers; blank: the "
            "oil phase of the open formula. One oil alone gives its own figure",
            errors,
            area=True,
            placeholder=listed or "mineral oil 20",
        )
        text(
            "others",
            "In every vial beside oils, emulsifiers and water [% of the vial]",
            "For example glycerin 4; leave out what emulsifies",
            errors,
            area=True,
        )
        text("stirring", "Stirrer, speed and time", "The same for every vial", errors)
    field_error(errors, "oils" if not now.sheet.oils else "none")
    field_error(errors, "plan")


def taken(made: LadderOutcome, place: int) -> str:
    """The emulsifier that a blank field stands for."""
    pair = () if made.ladder is None or made.kind == "family" else made.ladder.emulsifiers
    return pair[place][0] if len(pair) > place else USUAL


def dose_told(made: LadderOutcome) -> str:
    """The dose that follows, as the text of an empty field."""
    dose = None if made.ladder is None else made.ladder.emulsifier_pct
    return "your own" if dose is None else f"{dose:.3g}"


def told(made: LadderOutcome) -> str:
    """What the tables say, as the text of an empty field."""
    return "10" if made.required is None else f"{made.required.value:.1f}"
