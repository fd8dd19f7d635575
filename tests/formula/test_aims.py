"""What is asked of a formula, as typed."""

from __future__ import annotations

import math
from typing import Any

import pytest

from hlbcore import Aims, Formula, InvalidInput, Line, work_out
from hlbcore.formula.aims import GOALS


def test_aims_at_the_start() -> None:
    # kept formulas leave these out: another default would change what they say
    aims = Aims()
    assert {n: t.text for n, t in aims.typed_fields()} == {
        "dose": "",
        "window": "",
        "batch": "500 g",
        "scales": "0.1 g",
        "smallest": "",
    }
    assert (aims.goal, aims.unit, aims.fragrance_counts, aims.ionics) == ("", "%", True, False)


@pytest.mark.parametrize("goal", GOALS)
def test_every_goal_is_taken(goal: str) -> None:
    assert Aims(goal).goal == goal


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("goal", "best", "what to look for: 'best' is not one of the choices. Use as typed, closest"),
        ("unit", "cups", "unit of plain numbers: 'cups' is not one of the choices. Use %, g"),
        ("ionics", "false", "ionics: it is neither yes nor no. Choose one"),
        ("fragrance_counts", 1, "fragrance counts: it is neither yes nor no. Choose one"),
        ("dose", 0, "total of the emulsifiers: 0 % of the formula is too small"),
        ("dose", (6, 3), "the low end 6 lies above the high end 3"),
        ("window", -1, "window: -1 HLB is negative"),
        ("window", math.nan, "window: nan is not an amount"),
        ("batch", 0, "batch: 0 g is too small"),
        ("batch", True, "batch: 'True' is not a number"),
        ("scales", math.inf, "scale: inf is not an amount"),
        ("smallest", -1, "smallest amount: -1 % is negative"),
    ],
)
def test_what_cannot_be_used_is_refused_by_its_name(field: str, value: Any, words: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        Aims(**{field: value})
    assert words in str(caught.value)


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("dose", "0", "too small"),
        ("dose", "6 to 3", "Swap the two"),
        ("dose", "5 to 101", "101 % is more than the whole formula"),
        ("dose", "5 g", "'5 g'"),
        ("window", "-1", "negative"),
        ("window", "wide", "'wide' is not a number"),
        ("batch", "0", "too small"),
        ("batch", "5 %", "'5 %' is no mass"),
        ("batch", "1e308 kg", "inf"),
        ("scales", "fine", "'fine' is not a number"),
        ("smallest", "1 g", "'1 g' is not in %"),
    ],
)
def test_a_text_that_cannot_be_read_is_kept_with_its_sentence(field: str, text: str, words: str) -> None:
    held = getattr(Aims(**{field: text}), field)  # type: ignore[arg-type]
    assert (held.text, held.value) == (text, None)
    assert words in held.problem


@pytest.mark.parametrize(
    ("given", "value"), [("4,5", (4.5, 4.5)), ("3 to 6", (3, 6)), (5, (5, 5)), ((3, 6), (3, 6))], ids=str
)
def test_a_dose_is_a_number_or_a_range(given: Any, value: tuple[float, float]) -> None:
    assert Aims(dose=given).dose.value == value


@pytest.mark.parametrize(
    ("text", "grams"), [("1 kg", 1000), ("500", 500), ("500 mg", 0.5), ("1 lb", 453.59237)], ids=str
)
def test_a_batch_is_a_mass_in_any_unit(text: str, grams: float) -> None:
    assert Aims(batch=text).batch.value == pytest.approx(grams)


@pytest.mark.parametrize("text", ["20 % of the oil phase", "20% of oil phase", "20 to 20 of the oil phase"])
def test_a_dose_may_be_a_part_of_the_oil_phase(text: str) -> None:
    lines = [
        Line("sunflower oil", 15),
        Line("shea butter", 5),
        Line("polysorbate 60", ""),
        Line("sorbitan stearate", ""),
    ]
    made = work_out(Formula(lines=lines, aims=Aims(dose=text)))
    assert made.dose_asked == pytest.approx((4, 4))
    assert made.emulsifier_pct == pytest.approx(4)
    assert Formula.from_json(made.formula.to_json()).aims.dose.text == text


def test_a_dose_of_another_part_is_refused() -> None:
    assert "of the formula or of the oil phase" in Aims(dose="20 % of the water phase").dose.problem
