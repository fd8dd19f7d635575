"""The page Learn in a real browser: lessons, slider, answers, sheets."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from bench import Bench, opened
from serving import Served

import hlbcore as hlb
from hlbcore.lessons import Exercise, exercise_sheet, lesson_text, lesson_texts
from hlbcore.plots.lessons import lesson_figure

LESSONS = lesson_texts()
TITLES = {lesson.key: f"{n}. {lesson.title}" for n, lesson in enumerate(LESSONS, 1)}


@contextmanager
def learning(browser: Any, url: str) -> Iterator[Bench]:
    """The page, opened by its address."""
    with opened(browser, url, path="learn", heading="Learn") as bench:
        bench.sees("Guess, then see")
        yield bench


def turned(bench: Bench, key: str) -> None:
    """Turn to a lesson."""
    bench.choose("Lesson", TITLES[key])
    bench.sees(lesson_text(key).aim)
    bench.settle()


def asked(key: str) -> tuple[Exercise, ...]:
    return exercise_sheet(f"{key} 1", lesson_text(key).levels, 3).exercises


def answered(bench: Bench, n: int, text: str, role: str = "alert") -> str:
    """What is said after an answer is typed; a right one is told as a status, not an alert."""
    bench.type(re.compile(f"^Answer {n} "), text)
    return " ".join(bench.page.get_by_role(role).first.inner_text().split())


def drawn(key: str, at: float) -> str:
    held = lesson_figure(key)
    return hlb.plots.words(held.draw(at, **held.questions[0].more))


def turned_to(bench: Bench, part: str, sees: str) -> None:
    """Another part of the page."""
    bench.page.get_by_role("radio", name=part, exact=True).click()
    bench.sees(sees)
    bench.settle()


def fetched(bench: Bench, label: str) -> bytes:
    with bench.page.expect_download() as waiting:
        bench.page.get_by_role("button", name=label, exact=True).click()
    return Path(waiting.value.path()).read_bytes()


# --- lessons


def test_every_lesson_opens_and_its_figure_moves(browser: Any, server: Served) -> None:
    with learning(browser, server.url) as bench:
        for key in TITLES:
            held = lesson_figure(key)
            first = held.questions[0]
            if key != "what":
                turned(bench, key)
            bench.press("Show it without a guess")
            bench.page.get_by_role("img", name=drawn(key, first.at), exact=True).wait_for()
            slider = bench.page.get_by_role("slider").first
            slider.focus()
            slider.press("ArrowLeft")
            moved = drawn(key, first.at - held.step)
            assert moved != drawn(key, first.at)
            bench.page.get_by_role("img", name=moved, exact=True).wait_for()
            bench.settle()
            assert moved in bench.text()
            assert bench.page.locator("[data-testid=stException]").count() == 0
            assert bench.fits()
        turned(bench, "ladder")  # the longest
        for n in (1, 2, 3):
            bench.open(f"Show the steps of exercise {n}")
        for part, sees in (("For a class", "Sheets for a class"), ("Before and after", "How far I am")):
            for width in ("tablet", "phone"):
                bench.resize(width)
                assert bench.fits()
            turned_to(bench, part, sees)
        assert bench.fits()


# --- exercises


def test_answers_are_told_right_or_wrong_with_a_hint(browser: Any, server: Served) -> None:
    exercises = asked("required")
    n, formula = next((n, e) for n, e in enumerate(exercises, 1) if e.level == "formula")
    wrong = next(m for m in formula.mistakes if m.name == "not divided by the oil phase")
    with learning(browser, server.url) as bench:
        turned(bench, "required")
        first = exercises[0]
        assert answered(bench, 1, str(first.answer), "status") == f"Right: {first.answer_text}."
        assert bench.page.get_by_role("alert").count() == 0
        assert answered(bench, n, f"{wrong.value:.5g}") == " ".join(wrong.hint.split())
        bench.type(re.compile(f"^Answer {n} "), "")
        told = answered(bench, 1, "<img src=x onerror=alert(1)><script>alert(1)</script>")
        assert "<img src=x" in told
        assert bench.page.locator("img[src=x]").count() == 0
        bench.press("Another 3")
        again = exercise_sheet("required 2", lesson_text("required").levels, 3).exercises
        bench.sees(again[0].given[0][1])
        assert bench.page.get_by_role("textbox", name=re.compile("^Answer 1 ")).input_value() == ""
        assert bench.dialogs == []


# --- sheets


def test_a_sheet_is_that_of_its_name_and_holds_no_answer(browser: Any, server: Served) -> None:
    labels = ("Questions", "Answer key", "Questions and answers as CSV")
    made = exercise_sheet("Monday group")
    with learning(browser, server.url) as bench:
        turned_to(bench, "For a class", "Sheets for a class")
        page = fetched(bench, "Questions").decode()
        assert "Answer in HLB:" in page
        for exercise in exercise_sheet("class 1").exercises:
            assert exercise.steps[-1].line not in page
        bench.type("Name or number of the sheet", "Monday group")
        wanted = [made.html.encode(), made.key_html.encode(), made.csv]
        assert [fetched(bench, label) for label in labels] == wanted
        bench.type("Name or number of the sheet", "<script>alert(1)</script>")
        for label in ("Questions", "Answer key"):
            page = fetched(bench, label).decode()
            assert "&lt;script&gt;" in page
            assert "<script" not in page
