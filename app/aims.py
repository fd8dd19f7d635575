"""What is asked of the formula and known beside its lines: product type, aims, facts, portions."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st
from editing import with_aim, with_fact
from parts import PAUSE, as_typed, field_error, given_once, headed
from state import FormulaDraft, units
from worked import worked

import hlbcore as hlb
from hlbcore.formula.aims import GOALS, UNITS
from hlbcore.formula.facts import AREAS

GOAL_WORDS = {
    "": "my amounts where all are typed, else the nearest blend",
    "as typed": "my amounts, as typed",
    "closest": "nearest to what the oils ask for",
    "least change": "least change of my amounts",
    "cheapest": "cheapest inside the window",
    "most tolerant": "most tolerant of doubtful figures",
    "least total": "least emulsifier",
    "fewest": "fewest emulsifiers",
}
UNIT_WORDS = {"%": "% of the formula", "g": "grams"}
AIM_FIELDS = (
    ("dose", "Dose, all emulsifiers [% of the formula]", "4 to 6, or 20 % of the oil phase; blank: usual"),
    ("window", "Window, plus or minus [HLB]", "blank: 1, that of the product type"),
    ("smallest", "If used, at least [% of the formula]", "the least worth weighing"),
)
FACTS = {
    "ph": ("pH measured", "of the finished product"),
    "hottest_c": ("Hottest step [°C]", "75, or 167 F"),
    "cool_down_c": ("Cool-down goes in at [°C]", "40, or 104 F"),
    "fragrance_max_pct": ("Fragrance: supplier's maximum [%]", "for this kind of product"),
    "fragrance_max_c": ("Fragrance: heat limit [°C]", "from the supplier's sheet"),
    "fragrance_allergens": ("Fragrance: allergens [% of the fragrance]", "linalool 1.2, limonene 0.4"),
    "dioxane_ppm": ("1,4-dioxane of the ethoxylates [ppm]", "from the supplier"),
}
MASSES = ("batch", "scales")
"""Fields that hold a mass; its unit stands in the field."""

CLEANSING = ("not known", "yes", "no")


def text(now: FormulaDraft, name: str, label: str, held: str, problem: str, how, hint: str = "") -> None:
    """A text field with its sentence; `how` takes the formula and the text."""
    heat = "°C" in label
    key = f"aim_{name}_{now.version}{units().temperature if heat else ''}"

    def put() -> None:
        now.formula = how(now.formula, as_typed(key, heat=heat, mass=name in MASSES))

    if heat:
        held = units().held_temperature(held)
    st.text_input(
        headed(label),
        given_once(key, held),
        key=key,
        on_change=put,
        max_chars=500,
        placeholder=hint,
        live=PAUSE,
    )
    field_error({name: problem} if problem else {}, name)


def aim_text(now: FormulaDraft, outcome: hlb.Worked, name: str, label: str, hint: str = "") -> None:
    text(
        now,
        name,
        label,
        getattr(now.formula.aims, name).text,
        outcome.problem_of(name),
        lambda formula, given: with_aim(formula, name, given),
        hint,
    )


def what_it_is(now: FormulaDraft) -> None:
    """Product type, batch and scale: what nearly every formula needs."""
    outcome = worked(now.formula)
    types = [t.name for t in hlb.product_types()]
    key = f"aim_product_{now.version}"

    def put() -> None:
        now.formula = replace(now.formula, product_type=st.session_state[key])

    with st.container(horizontal=True, gap="xsmall", key="what_it_is"):
        st.selectbox(
            "Product type", types, types.index(now.formula.product_type), key=key, on_change=put, width=172
        )
        for name, label in (("batch", "Batch"), ("scales", "Scale step")):
            with st.container(width=86):
                aim_text(now, outcome, name, label)


def asked(now: FormulaDraft) -> None:
    """What is looked for, in a part that opens."""
    with st.expander("Aims: dose, window, what to look for", key="aim_box", on_change="rerun") as box:
        if not box.open:
            return
        outcome = worked(now.formula)
        with st.container(horizontal=True, gap="small"):
            for name, label, hint in AIM_FIELDS:
                with st.container(width=230):
                    aim_text(now, outcome, name, label, hint)
        choose(now, "goal", "What to look for", GOALS, GOAL_WORDS)
        field_error({"goal": outcome.problem_of("goal")} if outcome.problem_of("goal") else {}, "goal")
        choose(now, "unit", "A plain number is", UNITS, UNIT_WORDS)
        flip(now, "fragrance_counts", "Count fragrance and essential oils as oil")
        flip(now, "ionics", "The tool may choose ionic emulsifiers")


def choose(now: FormulaDraft, name: str, label: str, choices: tuple[str, ...], said: dict[str, str]) -> None:
    key = f"aim_{name}_{now.version}"

    def put() -> None:
        now.formula = with_aim(now.formula, name, st.session_state[key])

    held = getattr(now.formula.aims, name)
    st.selectbox(label, choices, choices.index(held), key=key, format_func=said.get, on_change=put)


def flip(now: FormulaDraft, name: str, label: str) -> None:
    key = f"aim_{name}_{now.version}"

    def put() -> None:
        now.formula = with_aim(now.formula, name, st.session_state[key])

    st.toggle(label, getattr(now.formula.aims, name), key=key, on_change=put)


def known(now: FormulaDraft) -> None:
    """Facts, portions and bought blends, in a part that opens."""
    title = "Known beside the lines: pH, temperatures, fragrance, portions, bought blends"
    with st.expander(title, key="fact_box", on_change="rerun") as box:
        if not box.open:
            return
        outcome = worked(now.formula)
        facts = dict(now.formula.facts)
        with st.container(horizontal=True, gap="small"):
            for name, (label, hint) in FACTS.items():
                with st.container(width=260):
                    text(
                        now,
                        f"fact {name}",
                        label,
                        facts.get(name, ""),
                        outcome.problem_of(f"fact {name}"),
                        lambda formula, given, name=name: with_fact(formula, name, given),
                        hint,
                    )
            pick_fact(now, "area", "Used on", AREAS)
            pick_fact(now, "cleansing", "Claims to cleanse", CLEANSING)
        text(
            now,
            "portions",
            "Portions of the base [%], each with its own colour and fragrance",
            now.formula.portions.text,
            outcome.problem_of("portions"),
            lambda formula, given: replace(formula, portions=given),
            "rose 50, plain 50",
        )
        blends(now, outcome)


def pick_fact(now: FormulaDraft, name: str, label: str, choices: tuple[str, ...]) -> None:
    key = f"aim_fact {name}_{now.version}"
    held = dict(now.formula.facts).get(name) or choices[0]

    def put() -> None:
        picked = st.session_state[key]
        now.formula = with_fact(now.formula, name, "" if picked == choices[0] else picked)

    at = choices.index(held) if held in choices else 0
    st.selectbox(label, choices, at, key=key, on_change=put, width=260)


def blends(now: FormulaDraft, outcome: hlb.Worked) -> None:
    key = f"aim_blends_{now.version}"

    def put() -> None:
        now.formula = replace(now.formula, blends=st.session_state[key] or "")

    st.text_area(
        "Bought blends and their parts, one a line; the line of that name counts by its parts",
        now.formula.blends.text,
        key=key,
        on_change=put,
        max_chars=5_000,
        height=90,
        placeholder="house wax: cetearyl alcohol 80 (70 to 90), polysorbate 60 20",
    )
    problem = outcome.problem_of("blends")
    field_error({"blends": problem} if problem else {}, "blends")
