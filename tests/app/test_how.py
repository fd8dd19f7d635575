"""Every figure that a page works out has a mark that opens its working; no page shows a bare one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from opened_app import opened, pressed, said, typed, unfolded
from streamlit.testing.v1 import AppTest

import hlbcore as hlb
from hlbcore.lessons import lesson_texts
from hlbcore.lessons.of_formula import formula_figures

FIGURE = re.compile(r"HLB (?:\S+ )?\d|\d(?:\.\d+)? (?:%|g\b|HLB|mm\b|µm|K\b|mPa|jars)|\d\.\d")
"""What reads like a figure: a number with a unit or with decimals."""

LIMITS = r"(?:CFR|ISO) [\d.:,; ]*(?:\([\d., ]*\))?|bottom 30 %|at most 10 %, half a step 5 %|20 % or more"
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


def test_the_formula_page_has_no_bare_figure(app: AppTest) -> None:
    unfolded(app, "hard")
    unfolded(app, "whole")
    sound(app)
    assert set(names(app)) == {
        *("verdict", "required HLB", "HLB of the blend", "grams", "HLB as weighed", "dose"),
        *("sum of the lines", "grams of every line", "sum of all lines", "hard share"),
    }
    assert bare(app, r"0 to 20") == []


@pytest.fixture
def batch(app: AppTest) -> AppTest:
    return app.switch_page("views/batch.py").run()


def test_the_batch_page_has_no_bare_figure(batch: AppTest) -> None:
    sound(batch)
    weighed = ("HLB of the blend", "preservative", "gum")
    assert names(batch) == [
        *("grams of the batch", "± of every amount"),
        *(f"{name} as weighed" for name in weighed),
        "errors of the scales",
    ]
    assert bare(batch, LIMITS) == []


def test_a_batch_record_has_no_bare_figure(batch: AppTest) -> None:
    pressed(batch, "Start this batch")
    for label, text in (("Vessel before [g]", "812"), ("Vessel after [g]", "798")):
        typed(batch, label, text)
    typed(batch, "Titration line", "100 g, citric acid 50 %\n0 6.4\n0.2 5.6\n0.4 5.1")
    typed(batch, "pH wanted", "5.3")
    sound(batch)
    assert {"water lost", "acid or base for the pH", "HLB of the blend as weighed"} <= set(names(batch))
    assert bare(batch, f"{LIMITS}|{TYPED}|\\(7\\.[^)]*\\)") == []


def test_the_cost_page_has_no_bare_figure(app: AppTest) -> None:
    app.switch_page("views/cost.py").run()
    sound(app)
    assert names(app) == ["cost of a jar", "cost by line", "what a cheaper blend saves"]
    assert bare(app) == []


def test_the_label_page_has_no_bare_figure(app: AppTest) -> None:
    app.switch_page("views/label.py").run()
    typed(app, "One package holds [g or ml]", "50")
    sound(app)
    assert names(app) == ["order of the list", "net contents"]
    assert bare(app, LIMITS) == []


def test_the_page_before_a_sale_has_no_bare_figure(app: AppTest) -> None:
    app.switch_page("views/selling.py").run()
    sound(app)
    assert names(app) == ["water of the formula"]
    assert bare(app, LIMITS) == []


def test_a_working_ends_in_the_figure_that_the_page_shows(app: AppTest) -> None:
    worked = hlb.work_out(hlb.example_formula())
    made = formula_figures(worked)
    assert made["required HLB"].steps[7].result == worked.required.value
    assert made["HLB of the blend"].steps[2].result == worked.blend.value
    assert made["verdict"].steps[3].result == worked.verdict.share
    assert made["dose"].steps[0].result == worked.emulsifier_pct
    shown = " ".join(h.value for h in app.html)
    assert said(made["verdict"].steps[3].sum) in said(shown)
