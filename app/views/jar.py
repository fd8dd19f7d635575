"""In the jar: whether it stays soft, holds its grains, pours and keeps; each figure with its inputs."""

from __future__ import annotations

import streamlit as st
from aims import pick_fact, text
from bar import bar
from editing import with_fact
from how import again, show_how
from parts import field_error, headed, plain, safe, table, vega
from state import JarDraft, draft, jar_draft, units
from worked import jar_of, worked

from hlbcore.blending.worked import Worked
from hlbcore.lessons import jar as workings
from hlbcore.plots.jar import (
    pouring_chart,
    pouring_words,
    settled_chart,
    settled_words,
    softness_chart,
    softness_words,
)
from hlbcore.quantities import SOLIDS_EXAMPLE
from hlbcore.rules.jar.pouring import Pouring
from hlbcore.rules.jar.sheet import Jar
from hlbcore.rules.jar.words import answers

OUTER = ("not tried", "water", "oil")
MEETINGS = (
    ("Oil phase", "phases", (("oil_c", "Oil phase at [°C]"), ("water_c", "Water phase at [°C]"))),
    ("Base", "grains", (("base_c", "Base at [°C]"), ("grains_c", "Grains at [°C]"))),
    ("Melted", "fats", (("wax_c", "Melted fats at [°C]"), ("batch_c", "Batch at [°C]"))),
)


def fact(outcome: Worked, name: str, label: str, hint: str) -> None:
    """A field of what was measured; it is kept with the formula."""
    now = draft()
    text(
        now,
        f"fact {name}",
        label,
        dict(now.formula.facts).get(name, ""),
        outcome.problem_of(f"fact {name}"),
        lambda formula, given: with_fact(formula, name, given),
        hint,
    )


def slide(asked: JarDraft, name: str, label: str, low: float, high: float) -> None:
    """A temperature to try."""
    key = f"jar_{name}"

    read = units()
    key = key if read.temperature == "°C" else f"{key} {read.temperature}"  # another unit is another slider

    def put() -> None:
        asked.put(name, f"{read.celsius(st.session_state[key]):.6g}")

    at, ends = read.slider_c(float(getattr(asked.sheet, name))), (read.slider_c(low), read.slider_c(high))
    st.slider(headed(label), *ends, at, 1.0, format="%g", key=key, on_change=put)


def typed(asked: JarDraft, held: Jar, name: str, label: str) -> None:
    """A field of what is asked."""
    key = f"jar_{name}"

    def put() -> None:
        asked.put(name, st.session_state[key] or "")

    st.text_input(label, getattr(asked.sheet, name), key=key, on_change=put, max_chars=40, width=220)
    field_error(held.problems, name)


def soft(outcome: Worked, held: Jar) -> None:
    st.subheader("Does it stay soft?")
    if held.softness is None:
        st.html('<p class="told">There is no fat in it.</p>')
        return
    left, right = st.columns([5, 6], gap="large")
    with left:
        table(
            {"where": "", "°C": "", "solid %": "", "word": ""},
            [
                (
                    p.place,
                    f"{p.cold_c:g}" if p.cold_c == p.warm_c else f"{p.cold_c:g} to {p.warm_c:g}",
                    p.solids_text,
                    p.word,
                )
                for p in held.softness.places
            ],
            says="how soft it is in each place",
        )
        for why in dict.fromkeys(p.why for p in held.softness.places if p.why):
            st.html(f'<p class="told">{plain(f"Cannot say: {why}")}.</p>')
        unknown = held.softness.of_group("unknown")
        if unknown:
            named = ", ".join(f"{p.share_pct:.0f} % {p.name}" for p in unknown)
            st.html(f'<p class="told">{plain(f"Of the fats without a figure: {named}")}.</p>')
        solids(outcome)
        if held.sets:
            table(
                {"fat": "", "melts at °C": "", "sets at °C": ""},
                [(s.name, s.melts_text, s.sets_text) for s in held.sets],
                says="melting and setting side by side",
            )
        waxes = [p for p in held.softness.of_group("sets") if p.gels_from]
        if waxes:
            table(
                {"wax": "", "% of the fats": ".1f", "gels oils from %": ""},
                [(p.name, p.share_pct, f"{p.gels_from[0]:g} to {p.gels_from[1]:g}") for p in waxes],
                numbers=("% of the fats",),
                says="waxes by gelling level",
            )
        again("fats and waxes", of="softness")
    with right:
        vega(
            softness_chart(held.softness), key="jar_soft", width="stretch", alt=softness_words(held.softness)
        )
        said = "A hot parcel melts every butter and says nothing about 25 °C."
        if held.contents.water_pct > 0:
            said = f"The fat alone: in a cream the water phase decides the feel. {said}"
        st.html(
            f'<p class="told">{safe(said)} Best test: the same cone into this jar and into your good one.</p>'
        )
        for pair, keys in held.pairs:
            named = ", ".join(keys).replace("_", " ")
            st.html(f'<p class="told">{plain(f"Softer together than either: {named}: {pair.said}")}.</p>')
        again("softness by place", of="softness")


def solids(outcome: Worked) -> None:
    """The supplier's figures, one fat a line."""
    now = draft()
    key = f"jar_solids_{now.version}"

    def put() -> None:
        now.formula = with_fact(now.formula, "solid_fat", st.session_state[key] or "")

    st.text_area(
        "Solids from the supplier's sheet, one fat a line",
        dict(now.formula.facts).get("solid_fat", ""),
        key=key,
        on_change=put,
        max_chars=2_000,
        height=90,
        placeholder=SOLIDS_EXAMPLE,
    )
    if problem := outcome.problem_of("fact solid_fat"):
        field_error({"solids": problem}, "solids")


def grains(outcome: Worked, asked: JarDraft, held: Jar) -> None:
    if held.grains is None:
        return
    st.subheader("Do the grains stay up?")
    left, right = st.columns([5, 6], gap="large")
    with left:
        with st.container(horizontal=True, gap="small"):
            for name, label, hint in (
                ("grain_um", "Size of a grain", "0.5 mm"),
                ("grain_bulk_g", "Grains that fill 100 mL [g]", "87"),
                ("yield_pa", "Yield stress, measured [Pa]", "never from a spindle"),
                ("viscosity_mpas", "Viscosity outside, low shear [mPa s]", "60"),
            ):
                with st.container(width=220):
                    fact(outcome, name, label, hint)
            pick_fact(draft(), "outer_phase", "What lies outside", OUTER)
        slide(asked, "jar_c", "The jar stands at [°C]", 0.0, 60.0)
    with right:
        st.html(f'<div class="answer"><h2>{plain(held.grains.word.capitalize())}</h2></div>')
        st.markdown(plain(held.grains.why))
        chart = settled_chart(held.grains)
        if chart is not None:
            said = settled_words(held.grains)
            vega(chart, key="jar_settled", width="stretch", alt=said)
            st.html(f'<p class="told">{plain(said)}</p>')
        again("grains that settle", of="grains")


def pouring(asked: JarDraft, held: Jar) -> None:
    if not held.pourings:
        return
    st.subheader("When hot meets cold")
    for start, key, sliders in MEETINGS:
        for made in held.pourings:
            if made.step.startswith(start) and not made.apart:
                meeting(asked, held, made, key, sliders)
            elif made.step.startswith(start):
                label = "Fats melted apart, into a batch that has cooled"
                with st.expander(label, key=f"jar_apart_{key}", on_change="rerun") as box:
                    if box.open:
                        meeting(asked, held, made, key, sliders)
    if held.again:
        st.html(
            f'<p class="told">{plain("Never reheat the finished batch: " + ", ".join(held.again))} would be '
            "heated too.</p>"
        )
    for f in held.flash:
        known = "not in the tables" if f.low_c is None else f"from {f.low_c:g} °C"
        recalled = " (recalled)" if f.low_c is not None and f.recalled else ""
        st.html(
            f'<p class="told">{plain(f"{f.name}: flash point {known}{recalled}")}. Read section 9 of the '
            "supplier's safety data sheet; add it in the cool-down, away from flames.</p>"
        )


def meeting(asked: JarDraft, held: Jar, made: Pouring, key: str, sliders) -> None:
    left, right = st.columns([5, 6], gap="large")
    with left:
        for name, label in sliders:
            slide(asked, name, label, 5.0, 95.0)
        st.markdown(plain(made.words))
        show_how({f"after mixing, {made.step}": workings.pouring_working(made)})
    with right:
        chart = pouring_chart(made, held.sets)
        if chart is not None:
            vega(chart, key=f"jar_pour_{key}", width="stretch", alt=pouring_words(made, held.sets))
            st.html(
                '<p class="told">Blue: where each fat melts (pale: where it sets). Orange: after mixing.</p>'
            )


def droplets(outcome: Worked, asked: JarDraft, held: Jar) -> None:
    if held.ratio is None or held.contents.water_pct <= 0:
        return
    st.subheader("Oil, water and droplets")
    left, right = st.columns([5, 6], gap="large")
    with left, st.container(horizontal=True, gap="small"):
        typed(asked, held, "days", "Shall keep for [days]")
        typed(asked, held, "layer_mm", "Clear layer you would take [mm]")
        if held.grains is None:
            with st.container(width=260):
                fact(outcome, "viscosity_mpas", "Viscosity outside, low shear [mPa s]", "500")
    with right:
        st.markdown(plain(held.ratio.words))
        if held.creaming is not None:
            st.markdown(plain(held.creaming.words))
        again("droplets in the time asked", of="phases and droplets")


def syrup(held: Jar) -> None:
    if held.contents.water_pct <= 0 or held.syrup.activity is None:
        return
    st.subheader("Sugar and humectants")
    st.markdown(plain(held.syrup.words))
    again("sugar and humectants", of="water activity")


def page() -> None:
    now, asked = draft(), jar_draft()
    outcome = worked(now.formula)
    st.title("In the jar", anchor=False)
    bar()
    held = jar_of(now.formula, asked.sheet)
    table({"": "", " ": ""}, answers(held), says="first answers")
    show_how(workings.jar_figures(held))
    soft(outcome, held)
    grains(outcome, asked, held)
    pouring(asked, held)
    droplets(outcome, asked, held)
    syrup(held)


page()
