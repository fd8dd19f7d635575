"""Every figure that a page works out has a mark that opens its working; no page shows a bare one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from bench_cases import CREAM, LADDERS
from opened_app import MAIN, field, line, opened, pressed, said, typed, unfolded
from streamlit.testing.v1 import AppTest

import hlbcore as hlb
from hlbcore.ladder.sheet import Cell
from hlbcore.learning.bench import Bench
from hlbcore.lessons import lesson_texts
from hlbcore.lessons.of_formula import formula_figures

FIGURE = re.compile(r"HLB (?:\S+ )?\d|\d(?:\.\d+)? (?:%|g\b|HLB|mm\b|µm|K\b|mPa|jars)|\d\.\d")
"""What reads like a figure: a number with a unit or with decimals."""

LIMITS = r"\(7\.[^)]*\)|(?:CFR|ISO) [\d.:,; ]*(?:\([\d., ]*\))?|bottom 30 %|at most 10 %, half a step 5 %"
"""What is no figure of the page: sections of law and standards, limits in a rule's own words."""

TYPED = "at who what where before entry why .*"
"""The list of entries says what was typed."""

LESSONS = {lesson.key for lesson in lesson_texts()}


def leaves(block: Any) -> Iterator[list[str]]:
    """The texts of each block in order, block by block; the strip says what its card says again."""
    run: list[str] = []
    for child in block.children.values():
        if hasattr(child, "children"):
            yield from leaves(child)
        elif child.type in ("html", "markdown", "caption") and 'class="strip"' not in str(child.value):
            run.append(str(child.value))
    yield run


def without(body: str) -> str:
    """What is seen of an element: findings open by themselves, workings wait unseen."""
    body = re.sub(r'<div class="working.*?</div>', " ", body, flags=re.DOTALL)
    body = re.sub(r"<(details|style|code)\b.*?</\1>", " ", body, flags=re.DOTALL)
    return said(body)


def bare(app: AppTest, given: str = r"$^") -> list[str]:
    """Texts with a figure that neither hold a mark nor stand above one; `given` is what needs none."""
    found = []
    for run in leaves(app.main):
        held: list[str] = []
        for body in run:
            if 'class="how"' in body:
                held = []
            elif FIGURE.search(re.sub(given, " ", without(body))):
                held.append(without(body))
        found += held
    return found


def names(app: AppTest) -> list[str]:
    """The marks of the page by name."""
    return re.findall(r'aria-label="How: ([^"]*)"', " ".join(h.value for h in app.html))


def sound(app: AppTest) -> None:
    """Each mark opens a working of the page, each working has steps and a lesson."""
    every = " ".join(h.value for h in app.html)
    made = dict(re.findall(r'<div class="working steps" id="([^"]+)"(.*?)</div>', every, flags=re.DOTALL))
    asked = re.findall(r'class="how" popovertarget="([^"]+)"', every)
    assert len(names(app)) == len(set(names(app)))
    assert set(asked) == set(made)
    for at, body in made.items():
        assert "<li>" in body, at
        assert re.search(r"learn\?lesson=(\w+)", body)[1] in LESSONS, at


@pytest.fixture
def app() -> AppTest:
    return opened()


PAGES = {
    "formula": [
        *("verdict", "required HLB", "HLB of the blend", "grams", "HLB as weighed", "dose", "hard share"),
        "proposal",
        *("sum of the lines", "grams of every line", "sum of all lines"),
    ],
    "ladder": ["what the ladder takes", "rungs and grams", "HLB as weighed, ±"],
    "batch": [
        *("grams of the batch", "± of every amount", "errors of the scales"),
        *(f"{name} as weighed" for name in ("HLB of the blend", "preservative", "gum")),
    ],
    "kept": [],
    "shelf": [
        *("HLB that is asked", "a row of systems", "the open system", "what one more would open"),
        *("reach of the shelf", "what a batch takes"),
    ],
    "swap": [
        *("the swap", "ways to go on", "ways that are not possible", "amounts before and after"),
        *("what else shifts", "fatty acids and triacylglycerols", "distance of what could stand in"),
    ],
    "jar": [
        *("softness", "phases and droplets", "water activity", "softness by place", "fats and waxes"),
        *("after mixing, Oil phase 75 °C into water phase 75 °C", "droplets in the time asked"),
        "sugar and humectants",
    ],
    "cost": ["cost of a jar", "cost by line", "what a cheaper blend saves"],
    "label": ["order of the list", "net contents"],
    "selling": ["water of the formula"],
    "bench": ["the next ladder", "HLB of its vials", "its rungs and grams", "known then"],
    "own": [],
    "values": ["required HLB, o/w"],
}
"""Every page with its marks, as it stands when something is asked of it; on Learn the workings stand open."""

GIVEN = {
    "formula": "0 to 20",
    "ladder": "68.5 °C: 5 °C above .*",  # says its own sum
    "swap": "^source .*",  # printed figures with their place
    "values": "quantity HLB low high grade source .*",  # printed figures with their place
}
"""What needs no mark, by page."""


def filled(app: AppTest, page: str) -> AppTest:
    """The page after something was asked of it."""
    app.switch_page(f"views/{page}.py").run()
    if page == "formula":
        app.session_state["card_see"] = True
        unfolded(app, "hard")
        unfolded(app, "whole")
    if page == "label":
        typed(app, "One package holds [g or ml]", "50")
    if page == "shelf":
        held = ["sorbitan oleate", "polysorbate 80", "sorbitan stearate", "polysorbate 60"]
        field(app, "Emulsifiers that I have").set_value(held).run()
    if page == "swap":
        field(app, "Goes out").set_value("shea butter").run()
        field(app, "Comes in").set_value(["mango butter"]).run()
        unfolded(app, "substitutes")
        unfolded(app, "fats")
        unfolded(app, "figures")
    if page == "values":
        field(app, "Ingredient").set_value("cetyl alcohol").run()
    assert not app.exception
    return app


def test_no_page_is_left_out() -> None:
    views = {path.stem for path in (MAIN.parent / "views").glob("*.py")}
    assert views == {*PAGES, "learn"}


def test_no_page_has_a_bare_figure(app: AppTest) -> None:
    shown, found = {}, {}
    for page in PAGES:
        filled(app, page)
        sound(app)
        shown[page] = sorted(names(app))
        found[page] = bare(app, "|".join(filter(None, (LIMITS, GIVEN.get(page)))))
    assert shown == {page: sorted(marks) for page, marks in PAGES.items()}
    assert found == {page: [] for page in PAGES}


def test_a_batch_record_has_no_bare_figure(app: AppTest) -> None:
    app.switch_page("views/batch.py").run()
    pressed(app, "Start this batch")
    for label, text in (("Vessel before [g]", "812"), ("Vessel after [g]", "798")):
        typed(app, label, text)
    typed(app, "Titration line", "100 g, citric acid 50 %\n0 6.4\n0.2 5.6\n0.4 5.1")
    typed(app, "pH wanted", "5.3")
    sound(app)
    assert {"water lost", "acid or base for the pH", "HLB of the blend as weighed"} <= set(names(app))
    assert bare(app, f"{LIMITS}|{TYPED}") == []


def test_a_ladder_that_was_read_has_no_bare_figure(app: AppTest) -> None:
    app.switch_page("views/ladder.py").run()
    pressed(app, "Make this ladder and record it")
    now = app.session_state["ladder"]
    scores = enumerate(("0", "2", "3", "4", "4", "3", "1"), 1)
    now.sheet = replace(now.sheet, cells=tuple(Cell(str(n), "score", "1 day", "", t) for n, t in scores))
    app.run()
    pressed(app, "Keep as my own value")
    sound(app)
    assert {"optimum and interval", "value of this ladder", "doubts of the value"} <= set(names(app))
    assert bare(app, f"{LIMITS}|{GIVEN['ladder']}") == []


def test_learned_figures_have_no_bare_figure(own_file: Path) -> None:
    with hlb.Store(own_file) as store:
        store.save(CREAM)
        store.save(Bench(LADDERS))
    app = opened().switch_page("views/bench.py").run()
    field(app, "Learned figures that lead in formulas").set_value(["shea_butter"]).run()
    sound(app)
    assert {"learned figures", "surprise", "effect of a pair", "what these figures move"} <= set(names(app))
    assert bare(app, LIMITS) == []


def test_kept_versions_have_no_bare_figure(app: AppTest) -> None:
    line(app, "shea butter", "6")
    app.switch_page("views/kept.py").run()
    sound(app)
    assert {"required HLB, version 1", "dose, version 2"} <= set(names(app))
    assert bare(app, r"water\|.*|what differs .*") == []


def test_a_bare_figure_is_found() -> None:
    def page() -> None:
        import streamlit as st

        st.html("One jar costs 0.35 for 50 g")
        st.html('<p>One jar <button type="button" class="how"><i>how</i></button></p>')
        st.markdown("It fills 10 jars")

    assert bare(AppTest.from_function(page).run()) == ["It fills 10 jars"]


def test_a_working_ends_in_the_figure_that_the_page_shows(app: AppTest) -> None:
    worked = hlb.work_out(hlb.example_formula())
    made = formula_figures(worked)
    assert made["required HLB"].steps[7].result == worked.required.value
    assert made["HLB of the blend"].steps[2].result == worked.blend.value
    assert made["verdict"].steps[3].result == worked.verdict.share
    assert made["dose"].steps[0].result == worked.emulsifier_pct
    shown = " ".join(h.value for h in app.html)
    assert said(made["verdict"].steps[3].sum) in said(shown)
