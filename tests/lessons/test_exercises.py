"""Exercises: answers worked out again by plain arithmetic from the printed text alone."""

from __future__ import annotations

import csv
import io
import os
import re
import subprocess
import sys
from functools import cache

import numpy as np
import pytest

import hlbcore as hlb
from hlbcore import OwnReading, load_library
from hlbcore.lessons import HINTS, LEVELS, Exercise, Mistake, exercise_sheet, make_exercise, mark
from hlbcore.lessons._exercise import tellable
from hlbcore.lessons.exercises import SHEET_COLUMNS

SEEDS = range(int(os.environ.get("EXERCISE_SEEDS", "60")))  # 500 on request
every_level = pytest.mark.parametrize("level", LEVELS)


@cache
def drawn(level: str) -> tuple[Exercise, ...]:
    return tuple(make_exercise(level, seed) for seed in SEEDS)


# --- the independent path: numbers are read out of the printed question, and nothing else is used


def number(pattern: str, text: str) -> float:
    found = re.search(pattern, text)
    assert found, (pattern, text)
    return float(found[1])


NUM = r"(\d+(?:\.\d+)?)"


def oils(e: Exercise) -> list[tuple[float, float]]:
    """Amount and required HLB of each oil, of the printed rows."""
    return [
        (number(NUM + " %", known), number("required HLB " + NUM, known))
        for _, known in e.given
        if "required HLB" in known and " %" in known
    ]


def weighted(lines: list[tuple[float, float]]) -> float:
    return sum(m * v for m, v in lines) / sum(m for m, _ in lines)


def pair(e: Exercise) -> tuple[float, float]:
    own = [number(r"\bHLB " + NUM, known) for _, known in e.given if re.search(r"(?<!required )HLB ", known)]
    assert len(own) == 2
    return own[0], own[1]


def high_share(e: Exercise, target: float) -> float:
    low, high = pair(e)
    return (target - low) / (high - low)


def target(e: Exercise) -> float:
    return number("required HLB " + NUM, dict(e.given)["oil phase"])


def total(e: Exercise) -> float:
    return number(NUM, dict(e.given)["both together"])


def by_hand_too(e: Exercise) -> float:
    match e.level:
        case "wo":
            return weighted([(number(NUM + " %", k), number(NUM + " for w/o", k)) for _, k in e.given])
        case "total":
            return number(NUM, e.given[3][1]) / (1 - high_share(e, target(e)))
        case "weighed":
            return weighted([(number(NUM + " g weighed", k), number("HLB " + NUM, k)) for _, k in e.given])
        case "masses":
            part, whole = (number(NUM, k) for _, k in e.given)
            return round(20 * part / whole, 1)
    raise AssertionError(e.level)


def by_hand(e: Exercise) -> float:
    known = dict(e.given)
    match e.level:
        case "phase" | "formula":
            return weighted(oils(e))
        case "blend":
            rows = [k for _, k in e.given if "required" not in k]
            return weighted([(number(NUM + " g", k), number("HLB " + NUM, k)) for k in rows])
        case "reach":
            return max(pair(e))
        case "split":
            return 100 * high_share(e, target(e))
        case "amounts":
            return total(e) * high_share(e, target(e))
        case "dose":
            whole = sum(number(NUM, k) for _, k in e.given)
            return whole * number(NUM + " % of emulsifier", e.question) / 100
        case "grams":
            return total(e) * high_share(e, target(e)) * number(NUM, known["batch"]) / 100
        case "scale":
            grams = number("weigh " + NUM, e.question)
            return 100 * number(NUM, known["division of the scale"]) / 2 / grams
        case "structure":
            return number(NUM + " % oxy", e.given[0][1]) * 20 / 100
        case "groups":
            return 7 + number(", " + NUM, known["head group"]) - 0.475 * number(NUM, known["chain"])
        case "swap":
            into = number(r"\(required HLB " + NUM, e.question)
            out = re.search(r"cream (.+?) is swapped", e.question)
            assert out
            place = [n for n, k in e.given if "required" in k].index(out[1])
            lines = [(m, into if n == place else v) for n, (m, v) in enumerate(oils(e))]
            limit = number("no more than " + NUM, e.question)
            return limit / high_share(e, weighted(lines))
        case "unknown":
            (_, first), (_, second), (_, found) = e.given
            a, r, b = number(NUM, first), number("HLB " + NUM, first), number(NUM, second)
            return (number("HLB " + NUM, found) * (a + b) - a * r) / b
    return by_hand_too(e)


NOT_BY_HAND = {"compare", "fault", "course", "ladder"}


@pytest.mark.parametrize("level", [k for k in LEVELS if k not in NOT_BY_HAND])
def test_answers_by_plain_arithmetic_from_the_printed_text(level: str) -> None:
    for e in drawn(level):
        assert e.answer == pytest.approx(by_hand(e), abs=1e-6), e.text


def rungs_and_readings(e: Exercise) -> tuple[list[float], list[float]]:
    return [number(NUM + "$", n) for n, _ in e.given], [number(NUM, k) for _, k in e.given]


def test_an_optimum_is_right_within_half_a_rung_by_any_way_of_reading() -> None:
    """By a parabola through all readings, through the best and its neighbours, and by the best vial."""
    for e in drawn("ladder"):
        rungs, read = rungs_and_readings(e)
        square, line, _ = np.polyfit(rungs, read, 2)
        best = read.index(min(read))
        three, two, _ = np.polyfit(rungs[best - 1 : best + 2], read[best - 1 : best + 2], 2)
        assert mark(e, float(-two / 2 / three)).right, e.text
        assert all(mark(e, h).right for h, y in zip(rungs, read, strict=True) if y == min(read)), e.text
        assert abs(float(-line / 2 / square) - float(e.answer)) < 1, e.text


def test_a_course_is_told_as_its_readings_show() -> None:
    for e in drawn("course"):
        _, read = rungs_and_readings(e)
        best, apart = read.index(min(read)), max(read) - min(read)
        near = sum(y < min(read) + 2 for y in read)
        told = str(e.answer)
        assert (best == 6) == told.startswith("the best vial stands at the end") or told.startswith("no")
        assert (apart <= 1) == told.startswith("no optimum")
        assert (near == 1 and 0 < best < 6 and apart > 5) == told.startswith("one good vial")


def test_a_fault_is_of_hlb_or_of_the_amount_where_the_figures_say_so() -> None:
    for e in drawn("fault"):
        known = dict(e.given)
        apart = abs(number("HLB " + NUM, known["blend"]) - number("required HLB " + NUM, known["oil phase"]))
        dose = number(NUM, known["both emulsifiers together"]) / number(NUM, known["oil phase"])
        wanted = "the HLB" if apart > 1 else "the amount" if dose < 0.1 else "neither"
        assert str(e.answer).startswith(wanted), e.text


def test_no_oil_phase_asks_for_more_than_the_trade_has() -> None:
    asked = [target(e) for level in ("split", "amounts", "total", "grams") for e in drawn(level)]
    assert max(asked) <= 15


def test_the_highest_of_the_oils_by_the_printed_text() -> None:
    for e in drawn("compare"):
        values = {n: number("required HLB " + NUM, k) for n, k in e.given if "required" in k}
        assert e.answer == max(values, key=lambda n: values[n])
        assert len(values) == 3


@every_level
def test_figures_of_ingredients_are_those_of_the_tables(level: str) -> None:
    lib = load_library()
    for e in drawn(level)[:40]:
        for name, known in e.given:
            if name not in {i.common_name for i in lib}:
                continue
            held = lib.find(name)
            if found := re.search("required HLB " + NUM, known):
                required = held.required_hlb("o/w")
                assert required is not None
                assert float(found[1]) == required.value
            elif found := re.search("HLB " + NUM, known):
                assert held.hlb is not None
                assert float(found[1]) == held.hlb.value


DECIMALS = {"HLB": 3, "% of the blend": 1, "% of the formula": 2, "g": 1, "%": 2}


@every_level
def test_answers_are_tidy(level: str) -> None:
    for e in drawn(level):
        if isinstance(e.answer, float):
            assert e.answer == round(e.answer, DECIMALS[e.unit])
            assert e.answer > 0


@pytest.mark.parametrize("level", ["phase", "formula", "split"])
def test_easy_levels_come_out_to_one_decimal(level: str) -> None:
    for e in drawn(level):
        assert isinstance(e.answer, float)
        assert e.answer == round(e.answer, 1)


@every_level
def test_the_last_step_gives_the_answer(level: str) -> None:
    for e in drawn(level):
        results = [s.result for s in e.steps if s.result is not None]
        assert results
        if isinstance(e.answer, float):
            hits = [r for r in results if min(abs(r - e.answer), abs(100 * r - e.answer)) < 1e-6]
            assert hits, e.text


# --- marking


@every_level
def test_the_right_answer_is_right_as_typed_by_people(level: str) -> None:
    for e in drawn(level):
        assert mark(e, e.answer).right
        if isinstance(e.answer, float):
            plain = f"{e.answer:.10g}"
            assert mark(e, plain.replace(".", ",")).right or len(plain.partition(".")[2]) == 3
            assert mark(e, f" {plain} ").right
            if e.unit != "HLB":
                assert mark(e, f"{plain} {e.unit}").right
            else:
                assert mark(e, f"HLB {plain}").right
        else:
            assert mark(e, e.answer.upper()).right
            assert mark(e, "abcd"[e.choices.index(e.answer)]).right


@every_level
def test_every_mistake_is_recognised_and_never_right(level: str) -> None:
    for e in drawn(level):
        assert e.mistakes
        for m in e.mistakes:
            feedback = mark(e, m.value)
            assert not feedback.right, e.text
            assert feedback.mistake == m.name, e.text
            assert feedback.hint == HINTS[m.name]


@every_level
def test_a_mistake_rounded_to_three_digits_is_recognised_too(level: str) -> None:
    for e in drawn(level):
        for m in e.mistakes:
            if isinstance(m.value, float):
                assert mark(e, f"{m.value:.3g}").mistake == m.name, e.text


WANTED = {
    "not divided by the oil phase",
    "emulsifier counted as oil",
    "ratio swapped",
    "% of the blend for % of the formula",
    "w/o value for o/w",
    "required HLB for an emulsifier's own",
    "percent for grams",
    "two emulsifiers must add up",
    "fraction for percent",
}


def test_the_usual_mistakes_are_all_practised() -> None:
    made = {m.name for level in LEVELS for e in drawn(level) for m in e.mistakes}
    assert made >= WANTED
    assert made == set(HINTS)


def exercise(answer: float, *mistakes: tuple[str, float], unit: str = "%") -> Exercise:
    return Exercise(
        "made here", "1", "How much?", (), answer, unit, 0.05, (), tuple(Mistake(n, v) for n, v in mistakes)
    )


def test_a_mistake_that_gives_the_right_answer_is_refused() -> None:
    assert not tellable(exercise(50.0, ("ratio swapped", 50.0)))
    assert not tellable(exercise(7.0, ("plain mean", 7.08)))
    assert tellable(exercise(40.0, ("ratio swapped", 60.0)))


def test_two_mistakes_that_give_the_same_are_refused() -> None:
    held = exercise(40.0, ("ratio swapped", 60.0), ("plain mean", 60.1))
    assert not tellable(held)


def test_two_values_of_one_mistake_may_be_near() -> None:
    assert tellable(exercise(40.0, ("plain mean", 60.0), ("plain mean", 60.1)))


EDGE = exercise(7.0, ("plain mean", 9.0), unit="HLB")


@pytest.mark.parametrize("typed", [7.05, 6.95, "7.05", "6,95", "7", "HLB 7", "7 HLB", "= 7"])
def test_the_tolerance_holds_up_to_its_edge(typed: float | str) -> None:
    assert mark(EDGE, typed).right


@pytest.mark.parametrize("typed", [7.051, 6.949, "7.06", "70", "-7", "0", "1e308"])
def test_beyond_the_tolerance_is_wrong(typed: float | str) -> None:
    assert not mark(EDGE, typed).right


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Nothing was typed"),
        ("   ", "Nothing was typed"),
        (None, "Nothing was typed"),
        ("seven or so", "is not a number"),
        ("2 or 12", "2 to 12 holds too much"),
        ("7/0", "divides by nothing"),
        ("1,250", "can be read in two ways"),
        ("nan", "not an amount"),
        (float("nan"), "not an amount"),
        ("inf", "not an amount"),
        ("1e999", "no finite number"),
        ("<script>alert(1)</script>", "is not a number"),
        ("7 teaspoons", "not a unit of mass"),
        ("9" * 100_000, "your answer"),
        ("\u202e7", "is not a number"),
    ],
    ids=[
        "empty",
        "blank",
        "none",
        "words",
        "two",
        "nothing",
        "comma",
        "nan",
        "nan number",
        "inf",
        "1e999",
        "html",
        "spoons",
        "long",
        "unicode",
    ],
)
def test_what_cannot_be_read_gets_a_sentence(typed: str | float | None, sentence: str) -> None:
    feedback = mark(EDGE, typed)
    assert not feedback.right
    assert feedback.mistake == "unread"
    assert sentence in feedback.hint
    assert len(feedback.hint) < 300


def test_another_unit_is_said() -> None:
    e = make_exercise("amounts", 1)
    feedback = mark(e, f"{e.answer} g")
    assert (feedback.right, feedback.mistake) == (False, "unit")
    assert feedback.hint == "The answer is asked in % of the formula, and you typed g."


def test_a_mass_may_be_typed_in_another_unit_of_mass() -> None:
    e = make_exercise("grams", 1)
    assert isinstance(e.answer, float)
    assert mark(e, f"{e.answer / 1000:.6f} kg").right


def test_a_negative_answer_is_told_that_it_cannot_be() -> None:
    assert "cannot be" in mark(EDGE, "-0.369").hint


def test_every_further_answer_gets_a_further_hint() -> None:
    e = make_exercise("phase", 1)
    assert mark(e, 39).hint == "Not yet. The first step: Add up the oil phase."
    hints = [mark(e, 39, attempt=n).hint for n in range(1, len(e.steps) + 2)]
    assert len(set(hints)) == len(hints)
    assert hints[-1].endswith(f"The last step: {e.steps[-1].line}.")


SHARE = exercise(25.0, ("ratio swapped", 90.0), unit="% of the blend")


@pytest.mark.parametrize(
    "typed",
    [
        *("75/25", "25/75", "1:3", "3:1", "1/4", "25 to 75", "about 25", "~25", "25 %", "75-25", "20-30"),
        *("25 % / 75 %", "25%:75%", "25 % of the emulsifiers"),
    ],
)
def test_a_share_may_be_typed_as_a_ratio(typed: str) -> None:
    assert mark(SHARE, typed).right


@pytest.mark.parametrize("typed", ["3/4", "1:2", "60/40", "0:0"])
def test_another_ratio_is_not_right(typed: str) -> None:
    assert not mark(SHARE, typed).right or typed == "3/4"


@pytest.mark.parametrize(
    "typed",
    [
        *("7 ± 1", "about 7", "~7", "x = 7", "R = 7,0", "required HLB 7", "6-8", "6 to 8", "hlb7", "7+/-0.5"),
        *("6.5 or 7.5", "either 6 or 8", "14/2", "6 2/2", "7 ± ½", "6½ or 7 1/2"),
        *("It is 7", "rHLB 7", "(7)", "7 (o/w)", "7 HLB units", "7 hlb.", "7!", "between 6 and 8", "６–８"),
    ],
)
def test_words_round_a_number_are_read_over(typed: str) -> None:
    assert mark(EDGE, typed).right


@pytest.mark.parametrize(
    ("typed", "value"),
    [("1/8", 0.125), ("¾", 0.75), ("1 1/2", 1.5), ("1½", 1.5), ("⅛ %", 0.125), ("-1/4", -0.25)],
)
def test_a_fraction_is_read_as_its_value(typed: str, value: float) -> None:
    assert mark(exercise(value), typed).right


def test_the_name_behind_a_number_is_read_over() -> None:
    e = make_exercise("split", 1)
    assert mark(e, f"{e.answer:g} % {e.given[1][0]}").right
    assert mark(e, f"{e.given[1][0]}: {e.answer:g} %").right


def test_a_letter_with_its_name_is_the_name() -> None:
    e = make_exercise("compare", 1)
    letter = "abcd"[e.choices.index(str(e.answer))]
    assert mark(e, f"{letter} {e.answer}").right


@pytest.mark.parametrize(
    ("typed", "found"), [("7.1", "close"), ("70", "decimal point"), ("0,7", "decimal point")]
)
def test_a_near_miss_gets_its_own_hint(typed: str, found: str) -> None:
    feedback = mark(EDGE, typed)
    assert not feedback.right
    assert found in feedback.hint.casefold()


def test_a_known_slip_is_told_before_the_unit() -> None:
    e = make_exercise("scale", 1)
    slip = next(m for m in e.mistakes if m.name == "grams for percent")
    assert slip.hint in mark(e, f"{slip.value} g").hint


@every_level
def test_the_first_step_keeps_the_spelling_of_names(level: str) -> None:
    for e in drawn(level)[:40]:
        if isinstance(e.answer, float):
            assert mark(e, -1).hint.endswith(f"The first step: {e.steps[0].text}.")


@pytest.mark.parametrize("head", ["SO4Na", "COONa", "COOK"])
def test_a_group_is_named_with_what_it_brings(head: str) -> None:
    held = hlb.lessons.davies_working({head: 1, "CH2": 12})
    assert held.steps[0].text == f"Contribution of {head}"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [("oil", "can mean more than one"), ("z", "is none of them"), ("tea", "is none of them")],
)
def test_an_unclear_choice_gets_a_sentence(typed: str, sentence: str) -> None:
    e = Exercise(
        "compare",
        "1",
        "Which?",
        (),
        "castor oil",
        "",
        0.0,
        (),
        (),
        ("castor oil", "olive oil", "cocoa butter"),
    )
    feedback = mark(e, typed)
    assert feedback.mistake == "unread"
    assert sentence in feedback.hint
    assert "from a to c" in feedback.hint


@pytest.mark.published
def test_57_14_and_a_negative_mass_are_met_with_the_slip() -> None:
    # homework_page_101529772 and pharmacy_exercise_2701984: seen in print as answers
    whole = 325 / 27
    e = exercise(round(whole, 6), ("not divided by the oil phase", 57.14), unit="HLB")
    assert mark(e, "57.14").mistake == "not divided by the oil phase"
    assert "cannot be" in mark(exercise(2.1, unit="g"), "-0.369 g").hint


@pytest.mark.parametrize("level", ["phase", "blend"])
def test_57_14_is_told_as_no_hlb_whatever_exercise_is_shown(level: str) -> None:
    for seed in range(5):
        said = mark(make_exercise(level, seed), "57.14")
        assert not said.right
        assert said.mistake == "higher than any HLB" or "divided" in said.hint
        assert "divided" in said.hint


def test_an_answer_rounded_to_two_decimals_is_right_in_every_exercise() -> None:
    for level in LEVELS:
        for seed in range(3):
            e = make_exercise(level, seed)
            if not isinstance(e.answer, str):
                assert mark(e, f"{e.answer:.2f}").right, e.text
                assert mark(e, f"{e.answer:.2f} {e.unit}".replace(".", ",")).right, e.text


# --- seeds, sheets, files


def test_the_same_seed_gives_the_same_exercise_and_another_another() -> None:
    for level in LEVELS:
        assert make_exercise(level, 5) == make_exercise(level, "5")
        assert len({make_exercise(level, s).text for s in range(12)}) >= 6


def test_the_same_seed_gives_the_same_sheet_in_another_process() -> None:
    code = (
        "import hlbcore as hlb, sys;"
        "s = hlb.lessons.exercise_sheet('class 3', count=26);"
        "sys.stdout.buffer.write((s.text + s.key_text + s.html + s.key_html).encode() + s.csv)"
    )
    sheet = exercise_sheet("class 3", count=26)
    here = (sheet.text + sheet.key_text + sheet.html + sheet.key_html).encode() + sheet.csv
    for hash_seed in ("1", "77"):
        # the same package as here, wherever it was found
        ran = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            check=True,
            env=os.environ | {"PYTHONHASHSEED": hash_seed, "PYTHONPATH": os.pathsep.join(sys.path)},
        )
        assert ran.stdout == here


def test_a_sheet_deals_its_levels_in_turn_and_easiest_first() -> None:
    sheet = exercise_sheet(1, ["swap", "phase", "split"], count=7)
    assert [e.level for e in sheet.exercises] == ["phase"] * 3 + ["split"] * 2 + ["swap"] * 2


def test_no_exercise_stands_twice_on_a_sheet() -> None:
    sheet = exercise_sheet(2, count=3 * len(LEVELS))
    asked = [(e.question, e.given) for e in sheet.exercises]
    assert len(asked) == len(set(asked))


def test_questions_hold_no_answers_and_the_key_holds_all() -> None:
    sheet = exercise_sheet(4, ["phase", "formula", "grams"], count=6)
    for e in sheet.exercises:
        assert f"{e.answer_text}\n" in sheet.key_text
        assert f"<strong>{e.answer_text}</strong>" in sheet.key_html
        assert e.question in sheet.text
        for step in e.steps:
            assert step.line not in sheet.text
            assert step.line not in sheet.html


def test_sheet_and_key_carry_the_same_seed() -> None:
    sheet = exercise_sheet("b7", count=1)
    assert all("sheet b7" in t for t in (sheet.text, sheet.key_text, sheet.html, sheet.key_html))


def test_csv_holds_questions_and_answers() -> None:
    sheet = exercise_sheet(9, count=len(LEVELS))
    rows = list(csv.DictReader(io.StringIO(sheet.csv.decode("utf-8-sig"))))
    assert list(rows[0]) == list(SHEET_COLUMNS)
    assert [r["answer"] for r in rows] == [e.answer_text for e in sheet.exercises]
    assert [r["question"] for r in rows] == [e.question for e in sheet.exercises]


def test_a_name_of_the_users_own_is_escaped_on_the_page_and_safe_in_the_file() -> None:
    sheet = exercise_sheet("<script>", ["phase"], count=1)
    assert "<script>" not in sheet.html + sheet.key_html
    assert "&lt;script&gt;" in sheet.html
    e = Exercise("phase", "1", "=1+1", (("=cmd", "1 %"),), 1.0, "HLB", 0.1, (), ())
    made = hlb.lessons.ExerciseSheet("1", (e,)).csv.decode("utf-8-sig")
    assert "'=1+1" in made
    assert "'=cmd" in made


@pytest.mark.parametrize(
    ("seed", "levels", "count", "message"),
    [
        ("", None, 5, "seed: it is blank or too long"),
        ("x" * 61, None, 5, "seed: it is blank or too long. Give 1 to 60"),
        (1.5, None, 5, r"seed: '1.5' is no seed. Give a whole number or a word"),
        (True, None, 5, "is no seed"),
        (1, [], 5, "levels: none is chosen"),
        (1, ["chess"], 5, "level: 'chess' is not one of the choices. Use compare"),
        (1, None, 0, "number of exercises: 0 is out of range. Enter 1 to 200"),
        (1, None, 201, "number of exercises: 201 is out of range"),
        (1, None, 2.5, "number of exercises: 2.5 is not whole"),
        (1, None, float("nan"), "number of exercises: nan is not a finite number"),
    ],
)
def test_a_sheet_that_cannot_be_made_is_refused(
    seed: int, levels: list[str] | None, count: int, message: str
) -> None:
    with pytest.raises(hlb.InvalidInput, match=message):
        exercise_sheet(seed, levels, count)


def test_own_readings_take_part_in_exercises() -> None:
    own = [
        OwnReading(i.common_name, 9.0, quantity="required HLB")
        for i in load_library().oils
        if i.kind == "butter"
    ]
    e = make_exercise("swap", 1, library=load_library([own[0]]))
    assert e.level == "swap"


def test_too_few_firm_figures_are_said(tiny_library: hlb.Library) -> None:
    with pytest.raises(hlb.InvalidInput, match="level 'phase': these tables hold too few firm"):
        make_exercise("phase", 1, library=tiny_library)
