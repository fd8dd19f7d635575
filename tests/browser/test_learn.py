"""The page Learn in a real browser: lessons, slider, answers, sheets."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from bench import WIDTHS, Bench
from serving import Served

import hlbcore as hlb
from hlbcore.lessons import Exercise, exercise_sheet, lesson_text, lesson_texts
from hlbcore.plots.lessons import lesson_figure

LESSONS = lesson_texts()
FITS = """() => [document.scrollingElement, document.querySelector('[data-testid=stMain]')]
    .every(e => e.scrollWidth <= e.clientWidth)"""
TITLES = {lesson.key: f"{n}. {lesson.title}" for n, lesson in enumerate(LESSONS, 1)}


@contextmanager
def learning(browser: Any, url: str, key: str = "what", width: str = "desktop") -> Iterator[Bench]:
    """The page, opened by its address, at a lesson."""
    size = WIDTHS[width]
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, accept_downloads=True)
    page = context.new_page()
    page.set_default_timeout(15_000)
    bench = Bench(page)

    def heard(dialog: Any) -> None:
        bench.dialogs.append(dialog.message)
        dialog.dismiss()

    page.on("dialog", heard)
    page.goto(f"{url}/learn")
    bench.sees("Sheet for a class")
    bench.settle()
    if key != "what":
        bench.choose("Lesson", TITLES[key])
        bench.sees(lesson_text(key).aim)
        bench.settle()
    try:
        yield bench
    finally:
        context.close()


def asked(key: str) -> tuple[Exercise, ...]:
    return exercise_sheet(f"{key} 1", lesson_text(key).levels, 3).exercises


def answered(bench: Bench, n: int, text: str, role: str = "alert") -> str:
    """What is said after an answer is typed; a right one is told as a status, not an alert."""
    bench.type(re.compile(f"^Answer {n} "), text)
    return " ".join(bench.page.get_by_role(role).first.inner_text().split())


def drawn(key: str, at: float) -> str:
    return hlb.plots.words(lesson_figure(key).draw(at))


def fetched(bench: Bench, label: str) -> bytes:
    with bench.page.expect_download() as waiting:
        bench.page.get_by_role("button", name=label, exact=True).click()
    return Path(waiting.value.path()).read_bytes()


# --- lessons


@pytest.mark.parametrize("key", TITLES)
def test_every_lesson_opens_and_its_figure_moves(browser: Any, server: Served, key: str) -> None:
    held = lesson_figure(key)
    with learning(browser, server.url, key) as bench:
        assert bench.page.get_by_role("img", name=drawn(key, held.start), exact=True).count() == 1
        slider = bench.page.get_by_role("slider").first
        slider.focus()
        slider.press("ArrowRight")
        bench.settle()
        moved = drawn(key, held.start + held.step)
        assert moved != drawn(key, held.start)
        bench.page.get_by_role("img", name=moved, exact=True).wait_for()
        assert moved in bench.text()
        assert bench.page.locator("[data-testid=stException]").count() == 0
        assert bench.page.evaluate(FITS)


@pytest.mark.parametrize("width", ["phone", "tablet"])
def test_the_longest_lesson_fits_narrow_screens(browser: Any, server: Served, width: str) -> None:
    with learning(browser, server.url, "ladder", width) as bench:
        assert bench.page.evaluate(FITS)
        for n in (1, 2, 3):
            bench.open(f"Show the steps of exercise {n}")
        bench.open("Look at the questions")
        bench.page.wait_for_timeout(500)
        assert bench.page.evaluate(FITS)


def test_every_button_of_the_page_has_a_name(browser: Any, server: Served) -> None:
    with learning(browser, server.url) as bench:
        held = bench.page.get_by_role("main").get_by_role("button")
        named = held.evaluate_all("all => all.map(b => b.getAttribute('aria-label') || b.innerText.trim())")
        assert {"Another 3", "Questions", "Answer key", "Help for Lesson"} <= set(named)
        assert "" not in named


# --- exercises


def test_a_right_answer_is_told(browser: Any, server: Served) -> None:
    exercise = asked("required")[0]
    with learning(browser, server.url, "required") as bench:
        assert answered(bench, 1, str(exercise.answer), "status") == (f"Right: {exercise.answer_text}.")
        assert bench.page.get_by_role("alert").count() == 0


@pytest.mark.parametrize(
    ("key", "level", "mistake"),
    [("required", "formula", "not divided by the oil phase"), ("blend", "split", "ratio swapped")],
)
def test_a_typical_mistake_gets_its_hint(
    browser: Any, server: Served, key: str, level: str, mistake: str
) -> None:
    exercises = asked(key)
    n, exercise = next((n, e) for n, e in enumerate(exercises, 1) if e.level == level)
    wrong = next(m for m in exercise.mistakes if m.name == mistake)
    with learning(browser, server.url, key) as bench:
        assert answered(bench, n, f"{wrong.value:.5g}") == " ".join(wrong.hint.split())


def test_an_answer_that_cannot_be_read_gets_a_sentence(browser: Any, server: Served) -> None:
    with learning(browser, server.url, "required") as bench:
        assert "'seven or so' is not a number" in answered(bench, 1, "seven or so")


def test_a_script_as_an_answer_is_only_text(browser: Any, server: Served) -> None:
    with learning(browser, server.url, "required") as bench:
        told = answered(bench, 1, "<img src=x onerror=alert(1)><script>alert(1)</script>")
        assert "<img src=x" in told
        assert bench.dialogs == []
        assert bench.page.locator("img[src=x]").count() == 0


def test_another_three_are_others(browser: Any, server: Served) -> None:
    with learning(browser, server.url, "blend") as bench:
        bench.press("Another 3")
        again = exercise_sheet("blend 2", lesson_text("blend").levels, 3).exercises
        bench.sees(again[0].given[0][1])
        assert bench.page.get_by_role("textbox", name=re.compile("^Answer 1 ")).input_value() == ""


# --- sheets


def test_the_same_name_gives_the_same_files(browser: Any, server: Served) -> None:
    labels = ("Questions", "Answer key", "Questions and answers as CSV")
    made = exercise_sheet("Monday group")
    wanted = [made.html.encode(), made.key_html.encode(), made.csv]
    for _ in range(2):
        with learning(browser, server.url) as bench:
            bench.type("Name or number of the sheet", "Monday group")
            assert [fetched(bench, label) for label in labels] == wanted


def test_a_name_with_markup_stays_text_on_the_sheet(browser: Any, server: Served) -> None:
    with learning(browser, server.url) as bench:
        bench.type("Name or number of the sheet", "<script>alert(1)</script>")
        for label in ("Questions", "Answer key"):
            page = fetched(bench, label).decode()
            assert "&lt;script&gt;" in page
            assert "<script" not in page


def test_the_questions_hold_no_answer(browser: Any, server: Served) -> None:
    with learning(browser, server.url) as bench:
        page = fetched(bench, "Questions").decode()
        assert "Answer in HLB:" in page
        for exercise in exercise_sheet("class 1").exercises:
            assert exercise.steps[-1].line not in page
