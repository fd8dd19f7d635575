"""A course: progress, sheets for a class with one key, hand-outs, slides, words."""

from __future__ import annotations

import csv
import io
import re

import pytest

from hlbcore import InvalidInput
from hlbcore.lessons import (
    GLOSSARY,
    LEVELS,
    Progress,
    Sitting,
    class_sheets,
    compare_guess,
    compared,
    course_test,
    exercise_sheet,
    hand_out,
    lesson_questions,
    lesson_texts,
    make_exercise,
    mark,
    mark_test,
    slides,
    unreadable,
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


def test_a_file_from_before_there_were_tests_is_read() -> None:
    held = Progress.from_json('{"schema": 1, "done": {"phase/1": {"tries": 2, "right": true}}}')
    assert (held.solved("phase"), held.before.marks) == (1, ())


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[]",
        "{",
        '{"schema": 3, "done": {}}',
        '{"schema": 2, "done": {}, "before": {"marks": [{"level": "chess"}]}}',
        '{"schema": 2, "done": {}, "after": {"turn": 0}}',
        '{"schema": 1, "done": {"chess/1": {}}}',
        "\ud800",
        '{"schema": 1, "done": {"phase/1": {"tries": -1}}}',
        "[" * 10_000,
        "x" * 600_000,
    ],
    ids=[
        "blank",
        "list",
        "half",
        "newer",
        "test",
        "turn",
        "unknown",
        "half sign",
        "negative",
        "deep",
        "long",
    ],
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


# --- the test before and after


BEFORE, AFTER = course_test("before"), course_test("after")
RIGHT = [str(e.answer) for e in BEFORE.exercises]


def test_both_tests_ask_the_same_kinds_with_other_numbers_and_every_lesson_is_asked() -> None:
    assert [e.level for e in BEFORE.exercises] == [e.level for e in AFTER.exercises]
    for one, other in zip(BEFORE.exercises, AFTER.exercises, strict=True):
        assert one.given != other.given
    assert {e.lesson for e in BEFORE.exercises} == {lesson.key for lesson in lesson_texts()}
    assert course_test("before", 2) != BEFORE != course_test("before", code="Monday")


def test_a_test_is_marked_whole_and_both_are_compared() -> None:
    wrong = str(BEFORE.exercises[1].mistakes[0].value)
    before = mark_test(BEFORE, [RIGHT[0], wrong, *[""] * 8])
    after = mark_test(AFTER, [str(e.answer) for e in AFTER.exercises])
    assert (before.right, after.right) == (1, 10)
    said, rows = compared(before, after)
    assert said == "Before 1 of 10 right, after 10 of 10."
    assert rows.iloc[0].tolist() == [LEVELS["compare"], "right", "right"]
    assert rows.iloc[1].tolist() == [LEVELS["phase"], BEFORE.exercises[1].mistakes[0].name, "right"]
    assert rows.iloc[2]["before"] == "left open"
    held = Progress().with_test("before", before).with_test("after", after)
    assert Progress.from_json(held.to_json()) == held
    assert held.with_test("after", Sitting(turn=2)).before == before


@pytest.mark.parametrize("typed", ["seven or so", "<b>", "nan", "7 teaspoons", "x" * 500])
def test_what_cannot_be_read_is_mended_and_not_called_wrong(typed: str) -> None:
    assert unreadable(BEFORE.exercises[1], typed)
    with pytest.raises(InvalidInput, match="answer 2: "):
        mark_test(BEFORE, [RIGHT[0], typed, *RIGHT[2:]])


def test_another_unit_is_said_without_a_hint() -> None:
    asked = next(e for e in BEFORE.exercises if e.level == "amounts")
    assert unreadable(asked, f"{asked.mistakes[0].value} g") == "The answer is asked in % of the formula."
    assert unreadable(asked, str(asked.mistakes[0].value)) == unreadable(asked, " ") == ""


def test_a_test_that_is_none_is_refused() -> None:
    with pytest.raises(InvalidInput, match="when"):
        course_test("during")
    with pytest.raises(InvalidInput, match="3 for 10 questions"):
        mark_test(BEFORE, ["", "", ""])


# --- figures that ask first


def test_answers_of_the_questions_by_plain_arithmetic() -> None:
    told = {lesson.key: [q.answer for q in lesson_questions(lesson.key)] for lesson in lesson_texts()}
    assert told["what"] == [60 / 5, 25 / 5, 20]
    assert told["required"] == pytest.approx([(s * 14 + (100 - s) * 6) / 100 for s in (25, 50, 90)])
    assert told["blend"] == pytest.approx([100 * (h - 4.7) / (14.9 - 4.7) for h in (10, 7, 14)])
    assert told["swap"] == pytest.approx([100 / (0.4 * (14 - 6)), 0.6 * 7 + 0.4 * 14])
    assert told["ladder"] == [75, 50, 70, 60]


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("8", "near enough"),
        ("about 8,2", "near enough"),
        ("7-9", "near enough"),
        ("9.5", "you were 1.5 too high"),
        ("-1", "you were 9.0 too low"),
        ("1e308", "you were far too high"),
        ("eight", "is not a number"),
        ("<script>", "is not a number"),
        ("nan", "not an amount"),
        ("", "Nothing was typed"),
    ],
)
def test_a_guess_is_set_beside_what_is_shown_and_never_called_wrong(typed: str, found: str) -> None:
    told = compare_guess(lesson_questions("required")[0], typed)
    assert found in told.text
    assert (told.guess is None) == (found[0] in "iNn" and found != "near enough")
    assert "wrong" not in told.text


@pytest.mark.parametrize("typed", ["52", "52 %", "48/52", "about 50", "0.9:1"])
def test_a_share_may_be_guessed_as_people_write_it(typed: str) -> None:
    assert compare_guess(lesson_questions("blend")[0], typed).near


@pytest.mark.parametrize("typed", ["80", "80 %", "80 of 100", "75"])
def test_a_chance_may_be_guessed_as_people_write_it(typed: str) -> None:
    assert compare_guess(lesson_questions("ladder")[0], typed).near
