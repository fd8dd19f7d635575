"""The page Learn: lessons in order, a figure that moves, own numbers, exercises, sheets."""

from __future__ import annotations

import pytest
from opened_app import FORMULA, everything, field, figures, line, opened, pressed, said, sentences, typed
from streamlit.testing.v1 import AppTest

import hlbcore as hlb
from hlbcore.lessons import (
    LEVELS,
    Exercise,
    compare_guess,
    course_test,
    exercise_sheet,
    lesson_example,
    lesson_text,
    lesson_texts,
    make_exercise,
    mark,
)
from hlbcore.plots.lessons import lesson_figure

LEARN = "views/learn.py"
LESSONS = lesson_texts()
each_lesson = pytest.mark.parametrize("key", [lesson.key for lesson in LESSONS])
EXAMPLE = hlb.example_formula()


@pytest.fixture
def app() -> AppTest:
    return opened().switch_page(LEARN).run()


def turned(app: AppTest, key: str) -> AppTest:
    field(app, "Lesson").set_value(key).run()
    assert not app.exception
    return app


def group(app: AppTest, label: str):
    """What is picked from a row of buttons."""
    return next(b for b in app.get("button_group") if b.label == label)


def part(app: AppTest, key: str) -> AppTest:
    """Another part of the page."""
    group(app, "Part of the page").set_value(key).run()
    assert not app.exception
    return app


def asked(key: str, turn: int = 1) -> tuple[Exercise, ...]:
    return exercise_sheet(f"{key} {turn}", lesson_text(key).levels, 3).exercises


def label(n: int, exercise: Exercise) -> str:
    return f"Answer {n} ({exercise.unit or 'a letter, or the name'})"


def feedback(app: AppTest) -> list[str]:
    return [said(e.value) for kind in (app.success, app.warning) for e in kind]


def test_lessons_stand_in_order_and_the_first_is_open(app: AppTest) -> None:
    titles = [f"{n}. {lesson.title}" for n, lesson in enumerate(LESSONS, 1)]
    assert field(app, "Lesson").options == titles
    assert said(app.subheader[0].value) == LESSONS[0].title


@each_lesson
def test_a_lesson_shows_its_text_an_example_with_own_numbers_and_three_exercises(
    app: AppTest, key: str
) -> None:
    shown = everything(turned(app, key))
    lesson = lesson_text(key)
    tables = hlb.load_library()
    for paragraph in (lesson.aim, *lesson.paragraphs):
        assert said(paragraph) in shown
    for rule, meaning, source in lesson.rules:
        assert said(f"{rule} {meaning} Source: {tables.cite(source)}") in shown
    for limit in lesson.limits:
        assert said(f"{limit.text} Source: {tables.cite(limit.source)}") in shown
    made = lesson_example(key, hlb.work_out(EXAMPLE))
    assert made.own
    assert said(made.told) in shown
    for step in made.workings[0].steps:
        assert said(f"{step.text} {step.sum}") in shown
    for n, exercise in enumerate(asked(key), 1):
        assert f"Exercise {n}.** {said(exercise.question)}" in shown
        assert field(app, label(n, exercise)).value == ""


def test_the_worked_example_follows_an_edit(app: AppTest) -> None:
    app.switch_page(FORMULA).run()
    line(app, "sunflower oil", "20")
    app.switch_page(LEARN).run()
    assert "20 / 31.2 × 7" in everything(turned(app, "required"))


def test_an_empty_sheet_gets_the_bundled_example_and_is_told(app: AppTest) -> None:
    app.switch_page(FORMULA).run()
    pressed(app, "Type my own")
    app.switch_page(LEARN).run()
    for lesson in LESSONS:
        assert "The open formula does not hold what this needs" in everything(turned(app, lesson.key))


# --- exercises


def test_right_answers_slips_and_what_cannot_be_read_are_told(app: AppTest) -> None:
    turned(app, "required")
    exercise = asked("required")[0]
    for mistake in exercise.mistakes:
        typed(app, label(1, exercise), f"{mistake.value}")
        assert feedback(app) == [said(mistake.hint)]
    for text in ("seven or so", "<script>alert(1)</script>", "1,250", "x" * 500, "**7**", "NaN"):
        typed(app, label(1, exercise), text)
        assert not app.exception
        assert feedback(app)[0][:12] == said(mark(exercise, text[:200]).hint)[:12]
        assert not [h for h in app.html if "<script" in h.value]
    for n, one in enumerate(asked("required"), 1):
        typed(app, label(n, one), f"about {one.answer}")
    assert [e.value[:6] for e in app.success] == ["Right:"] * 3
    assert not app.warning


def test_another_three_ask_anew_and_leave_no_answer_behind(app: AppTest) -> None:
    first = asked("blend")[0]
    typed(turned(app, "blend"), label(1, first), f"{first.answer}")
    pressed(app, "Another 3")
    again = asked("blend", 2)
    assert {e.question + str(e.given) for e in again}.isdisjoint(
        {e.question + str(e.given) for e in asked("blend")}
    )
    assert field(app, label(1, again[0])).value == ""
    assert feedback(app) == []


def test_place_answers_and_slider_last_over_a_visit_to_another_page(app: AppTest) -> None:
    exercise = asked("swap")[0]
    typed(turned(app, "swap"), label(1, exercise), "12")
    pressed(app, "Show it without a guess")
    app.slider[0].set_value(65.0).run()
    app.switch_page(FORMULA).run()
    app.switch_page(LEARN).run()
    assert field(app, "Lesson").value == "swap"
    assert field(app, label(1, exercise)).value == "12"
    assert app.slider[0].value == 65.0


def test_the_steps_of_an_exercise_are_there(app: AppTest) -> None:
    exercise = asked("required")[0]
    shown = everything(turned(app, "required"))
    assert said(f"Answer: {exercise.answer_text}") in shown
    assert said(exercise.steps[-1].sum) in shown


# --- sheets


def test_a_sheet_of_all_levels_is_ready(app: AppTest) -> None:
    part(app, "class")
    made = exercise_sheet("class 1")
    assert sentences(app) == []
    shown = everything(app)
    assert all(said(e.question) in shown for e in made.exercises)
    assert [b.label for b in app.get("download_button")][-3:] == [
        "Questions",
        "Answer key",
        "Questions and answers as CSV",
    ]


def test_name_count_and_levels_make_the_sheet(app: AppTest) -> None:
    typed(part(app, "class"), "Name or number of the sheet", "Monday")
    typed(app, "Exercises on it", "4")
    app.multiselect[0].set_value(["grams", "scale"]).run()
    shown = everything(app)
    for e in exercise_sheet("Monday", ("grams", "scale"), 4).exercises:
        assert said(e.question) in shown
    assert [said(o) for o in app.multiselect[0].options] == list(LEVELS.values())


def test_a_sheet_that_cannot_be_made_says_why(app: AppTest) -> None:
    part(app, "class")
    for name, text, words in (
        ("Exercises on it", "0", "number of exercises"),
        ("Exercises on it", "2.5", "is not whole"),
        ("Exercises on it", "many", "is not a number"),
        ("Exercises on it", "", "number of exercises"),
        ("Exercises on it", "10", ""),
        ("Different sheets", "61", "number of students"),
        ("Different sheets", "3", ""),
        ("Name or number of the sheet", "", "blank or too long"),
    ):
        typed(app, name, text)
        assert not app.exception
        assert [words in s for s in sentences(app)] == ([True] if words else [])


# --- the same workings on the page Swap


def test_the_page_swap_shows_the_arithmetic(app: AppTest) -> None:
    app.switch_page("views/swap.py").run()
    field(app, "Goes out").set_value("cocoa butter").run()
    next(m for m in app.multiselect if m.label == "Comes in").set_value(["mango butter"]).run()
    assert not app.exception
    made = hlb.lessons.working(hlb.swap(EXAMPLE, out="cocoa butter", into="mango butter"))
    shown = everything(app)
    for step in made.steps:
        assert said(f"{step.text} {step.sum}") in shown


def test_the_swap_that_is_typed_is_the_example_of_its_lesson(app: AppTest) -> None:
    app.switch_page("views/swap.py").run()
    field(app, "Goes out").set_value("cocoa butter").run()
    next(m for m in app.multiselect if m.label == "Comes in").set_value(["mango butter"]).run()
    app.switch_page(LEARN).run()
    assert "The swap is the one on the page Swap." in everything(turned(app, "swap"))


def test_tables_of_the_page_hold_what_is_given(app: AppTest) -> None:
    turned(app, "required")
    for exercise in asked("required"):
        assert all(said(f"{name} {known}") in figures(app) for name, known in exercise.given)


# --- the course


def test_an_answer_counts_in_the_progress_and_after_a_new_visit(app: AppTest) -> None:
    exercise = asked("required")[0]
    turned(app, "required")
    typed(app, label(1, exercise), str(exercise.mistakes[0].value))
    typed(app, label(1, exercise), str(exercise.answer))
    again = part(opened().switch_page(LEARN).run(), "tests")
    progress = next(h.value for h in again.html if "Progress by lesson" in h.value)
    assert exercise.mistakes[0].name in progress


def test_a_further_answer_gets_a_further_hint(app: AppTest) -> None:
    exercise = asked("required")[0]
    turned(app, "required")
    told = []
    for wrong in ("39.5", "41.5"):
        typed(app, label(1, exercise), wrong)
        told.append(feedback(app)[0])
    assert told[0] != told[1]


def test_a_class_code_opens_the_same_exercises_on_all_screens(app: AppTest) -> None:
    typed(app, "Class code", "Tuesday  b")
    other = typed(opened().switch_page(LEARN).run(), "Class code", "Tuesday b")
    without = opened().switch_page(LEARN).run()
    given = [[h.value for h in a.html if "given" in h.value] for a in (app, other, without)]
    assert given[0] == given[1] != given[2]


def test_lessons_follow_each_other_by_a_press(app: AppTest) -> None:
    pressed(app, "Next lesson")
    assert said(app.subheader[0].value) == LESSONS[1].title
    pressed(app, "Previous lesson")
    assert next(b for b in app.button if b.label == "Previous lesson").disabled


# --- figures that ask first


def guessed(app: AppTest, text: str) -> AppTest:
    box = next(t for t in app.text_input if t.label.startswith("Your guess"))
    box.set_value(text).run()
    assert not app.exception
    return app


@each_lesson
def test_a_figure_stays_hidden_until_a_guess_and_then_tells_how_near_it_was(app: AppTest, key: str) -> None:
    held = lesson_figure(key)
    first = held.questions[0]
    turned(app, key)
    assert not app.slider
    assert said(hlb.plots.words(held.draw(first.at, **first.more))) not in everything(app)
    guessed(app, f"about {first.answer:.3f}")
    assert said(app.info[0].value) == said(compare_guess(first, f"about {first.answer:.3f}").text)
    assert "near enough" in app.info[0].value
    assert app.slider[0].value == first.at
    assert said(hlb.plots.words(held.draw(first.at, **first.more))) in everything(app)
    app.slider[0].set_value(held.high).run()
    assert said(hlb.plots.words(held.draw(held.high, **first.more))) in everything(app)
    pressed(app, "Next question")
    assert not app.slider
    assert said(held.questions[1].text) in everything(app)


def test_a_guess_that_cannot_be_read_gets_a_sentence_and_shows_nothing(app: AppTest) -> None:
    turned(app, "required")
    for text in ("<b>8</b>", "NaN"):
        guessed(app, text)
        assert not app.slider
        assert len(app.warning) == 1
        assert next(t for t in app.text_input if t.label.startswith("Your guess")).value == text


def test_vials_and_repeats_are_chosen_and_the_chance_of_an_answer_told(app: AppTest) -> None:
    pressed(turned(app, "ladder"), "Show it without a guess")
    assert "7 single vials answered in about 75 of 100" in everything(app)
    group(app, "Vials").set_value(5).run()
    assert "5 single vials answered in about 45 of 100" in everything(app)
    group(app, "Each vial made").set_value(2).run()
    shown = everything(app)
    assert "5 vials twice each answered in about 80 of 100" in shown
    pressed(app, "Make it again")
    assert said(hlb.plots.words(lesson_figure("ladder").draw(10, vials=5, made=2, draw=2))) in everything(app)


def test_a_target_by_itself_gives_a_blend_and_its_steps(app: AppTest) -> None:
    turned(app, "blend")
    field(app, "Emulsifiers to blend").set_value(["polysorbate 80", "sorbitan oleate"]).run()
    typed(app, "HLB to reach", "12,5")
    shares = hlb.split_pair(15.0, 4.3, target=12.5)
    assert f"× 5 = {shares[0] * 5:.4f} % of the formula" in everything(app)
    typed(app, "HLB to reach", "19")
    assert "HLB 19 cannot be reached" in everything(app)
    assert field(app, "HLB to reach").value == "19"


# --- the test before and after


def taken(app: AppTest, when: str, answers: dict[int, str]) -> AppTest:
    group(app, "Test").set_value(when).run()
    for n, text in answers.items():
        box = next(t for t in app.text_input if t.label.startswith(f"Answer {n} "))
        box.set_value(text).run()
    return pressed(app, "Mark")


def test_a_test_is_marked_at_once_kept_and_compared(app: AppTest) -> None:
    part(app, "tests")
    before, after = (course_test(when).exercises for when in ("before", "after"))
    taken(app, "before", {2: str(before[1].answer)})
    assert "1 of 10 right." in everything(app)
    assert app.subheader[0].value == "How far I am"
    again = part(opened().switch_page(LEARN).run(), "tests")
    taken(again, "after", {n: str(e.answer) for n, e in enumerate(after[:3], 1)})
    assert again.subheader[0].value == "Before 1 of 10 right, after 3 of 10."
    pressed(again, "Take it anew, with other numbers")
    assert said(course_test("after", 2).exercises[0].given[0][1]) in everything(again)


def test_nothing_is_told_before_a_test_is_marked_but_what_cannot_be_read(app: AppTest) -> None:
    part(app, "tests")
    wrong = course_test("before").exercises[1].mistakes[0]
    box = next(t for t in app.text_input if t.label.startswith("Answer 2 "))
    box.set_value(str(wrong.value)).run()
    assert feedback(app) == []
    taken(app, "before", {2: "seven or so"})
    assert len(app.warning) == 2  # beside the field, and at the press
    assert "of 10 right" not in everything(app)


def test_the_address_of_an_exercise_opens_it() -> None:
    app = opened()
    wanted = make_exercise("split", "blend 7/1/0")
    app.query_params["lesson"] = "blend"
    app.query_params["exercise"] = "split/blend 7/1/0"
    app.switch_page(LEARN).run()
    shown = everything(app)
    assert f"Exercise of the address.** {said(wanted.question)}" in shown
    app.query_params["exercise"] = "chess/<b>1"
    app.run()
    assert "names an exercise that is none" in everything(app)


def test_an_exercise_says_its_level_and_how_many_were_right(app: AppTest) -> None:
    exercise = asked("required")[0]
    typed(turned(app, "required"), label(1, exercise), str(exercise.answer))
    told = " ".join(c.value for c in app.caption)
    assert f"Level 1 of 3: {LEVELS[exercise.level]}; 1 right so far." in told
    assert "exercise=phase%2Frequired%201%2F0%2F0" in told
