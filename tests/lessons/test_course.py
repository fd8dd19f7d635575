"""A course: progress, sheets for a class with one key, hand-outs, slides, words."""

from __future__ import annotations

import csv
import io
import re

import pytest

from hlbcore import InvalidInput
from hlbcore.lessons import (
    GLOSSARY,
    Progress,
    class_sheets,
    exercise_sheet,
    hand_out,
    lesson_texts,
    make_exercise,
    mark,
    slides,
)

PHASE = make_exercise("phase", 1)


def after(*answers: object) -> Progress:
    held = Progress()
    for n, answer in enumerate(answers, 1):
        held = held.with_answer(PHASE, mark(PHASE, str(answer), attempt=n))
    return held


def row(held: Progress) -> tuple[object, ...]:
    return tuple(held.table.iloc[1][1:])


def test_progress_counts_what_was_right_and_what_was_right_at_once() -> None:
    slip = PHASE.mistakes[0]
    assert row(Progress()) == (0, 0, 0, "")
    assert row(after(PHASE.answer)) == (1, 1, 1, "")
    assert row(after(slip.value, PHASE.answer)) == (1, 1, 0, slip.name)
    assert row(after(slip.value)) == (1, 0, 0, slip.name)


def test_an_answer_that_cannot_be_read_or_comes_after_the_right_one_counts_as_none() -> None:
    assert after("seven or so") == Progress()
    assert after(PHASE.answer, 99) == after(PHASE.answer)


def test_progress_comes_back_from_its_file() -> None:
    held = after(PHASE.mistakes[0].value, PHASE.answer)
    assert dict(Progress.from_json(held.to_json()).done) == dict(held.done)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{",
        '{"schema": 2, "done": {}}',
        '{"schema": 1, "done": {"chess/1": {}}}',
        "\ud800",
        '{"schema": 1, "done": {"phase/1": {"tries": -1}}}',
        "[" * 10_000,
        "x" * 600_000,
    ],
    ids=["blank", "list", "half", "newer", "unknown", "half sign", "negative", "deep", "long"],
)
def test_a_file_that_is_no_progress_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match="progress"):
        Progress.from_json(text)


def test_each_student_gets_another_sheet_and_all_share_one_key() -> None:
    made = class_sheets("Monday", 4, ["phase", "split"], 3)
    asked = {e.text for s in made.sheets for e in s.exercises}
    assert len(asked) == 12
    assert made.html.count("<h1>HLB exercises, sheet Monday-") == 4
    assert made.html.count("Name <span") == 4
    for sheet in made.sheets:
        assert f"Sheet {sheet.seed}<" in made.key_html
        assert all(e.answer_text in made.key_html for e in sheet.exercises)
    rows = list(csv.DictReader(io.StringIO(made.csv.decode("utf-8-sig"))))
    assert [r["sheet"] for r in rows] == [s.seed for s in made.sheets for _ in range(3)]


def test_the_key_tells_tolerance_and_usual_slips() -> None:
    sheet = exercise_sheet("k", ["split"], 1)
    (e,) = sheet.exercises
    told = sheet.marking.iloc[0]
    assert isinstance(e.answer, float)
    assert float(told["high"]) - float(told["low"]) == pytest.approx(2 * e.tolerance)
    assert all(m.name in told["slips"] for m in e.mistakes)


@pytest.mark.parametrize(
    ("students", "count", "message"),
    [(0, 1, "students"), (61, 1, "students"), (2.5, 1, "not whole"), (60, 11, "more than 600")],
)
def test_a_class_that_cannot_be_made_is_refused(students: float, count: int, message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        class_sheets("x", students, None, count)  # type: ignore[arg-type]


@pytest.mark.parametrize("key", [lesson.key for lesson in lesson_texts()])
def test_hand_out_and_slides_hold_the_whole_lesson_and_its_figure(key: str) -> None:
    lesson = next(x for x in lesson_texts() if x.key == key)
    figures = {key: (b'<?xml version="1.0"?><svg id="f"></svg>', "a <figure>")}
    for page in (hand_out(key, figures), slides([key], figures)):
        assert '<svg id="f">' in page
        assert "a &lt;figure&gt;" in page
        text = re.sub(r"&#39;", "'", page).replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")
        assert all(p in text for p in lesson.paragraphs)
        assert all(limit.text in text for limit in lesson.limits)


def test_every_word_of_the_glossary_stands_in_its_lesson_and_once() -> None:
    words = [word for held in GLOSSARY.values() for word, _ in held]
    assert len(words) == len(set(words))
    for lesson in lesson_texts():
        text = " ".join((lesson.text, *lesson.levels)).casefold()
        missing = [w for w, _ in GLOSSARY[lesson.key] if w.casefold() not in text]
        assert missing == []
