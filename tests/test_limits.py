"""The largest thing that a page can ask for is worked out; what is larger gets a sentence."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

import hlbcore as hlb
from hlbcore import (
    Aims,
    Formula,
    HlbError,
    InvalidInput,
    Library,
    Line,
    UnknownIngredient,
    plots,
    required_hlb,
    solve_blend,
    work_out,
)
from hlbcore.blending import programmes as _programmes
from hlbcore.checks import products_of
from hlbcore.errors import TimeLimitReached
from hlbcore.formula.aims import OBJECTIVES
from hlbcore.limits import EMULSIFIERS_MOST, FORMULA_LINES_MOST, LINES_MOST, SOLVER_SECONDS

SHELF = {f"ester {n}": 3 + n % 15 for n in range(EMULSIFIERS_MOST)}
PRICES = {name: 1.0 + n % 7 for n, name in enumerate(SHELF)}


def worst(goal: str = "closest", smallest: str = "") -> Formula:
    """The largest formula: no name is known, so every one is compared with all the tables."""
    oils = [Line(f"house oil {n}", "0.2", own="9") for n in range(LINES_MOST)]
    shelf = [Line(n, "0.07", price="5", own=str(v), counts="emulsifier") for n, v in SHELF.items()]
    rest = [Line(f"house thing {n}", "0.2") for n in range(FORMULA_LINES_MOST - len(oils) - len(shelf))]
    return Formula(lines=[*oils, *shelf, *rest], aims=Aims(goal, "3 to 6", "1", smallest=smallest))


# --- the solver


@pytest.mark.parametrize("objective", OBJECTIVES)
def test_sixty_emulsifiers_are_solved(objective: str) -> None:
    blend = solve_blend(SHELF, 9.2, objective=objective, cost=PRICES, start=dict.fromkeys(SHELF, 1))
    assert abs(blend.hlb - 9.2) <= 1 + 1e-9


def test_more_than_sixty_emulsifiers_are_refused() -> None:
    with pytest.raises(InvalidInput, match=r"^emulsifiers of one blend: there are more than 60"):
        solve_blend({**SHELF, "one more": 9.0}, 9.2)


def test_a_name_of_more_than_sixty_characters_is_one_emulsifier() -> None:
    with pytest.raises(UnknownIngredient):
        solve_blend("x" * 100, 9.2)


def test_more_than_sixty_emulsifiers_of_a_formula_are_told_beside_the_goal() -> None:
    more = Line("one more", own="9", counts="emulsifier")
    found = work_out(replace(worst(), lines=(more, *worst().lines[:-1])))
    assert found.problem_of("goal").startswith("emulsifiers of one blend: there are more")


SOLVED: dict[str, dict[str, Any]] = {
    "ratio": {},
    "tolerant": {"objective": "most tolerant"},
    "amounts": {"objective": "cheapest", "cost": PRICES},
    "fewest": {"objective": "fewest"},
    "smallest": {"smallest": 0.5},
    "smallest, cheapest": {"smallest": 0.5, "objective": "cheapest", "cost": PRICES},
    "limits in the way": {"limits": {"ester 0": (9.0, 9.0)}},
}


@pytest.mark.parametrize("asked", SOLVED.values(), ids=SOLVED)
def test_a_programme_that_takes_too_long_is_stopped_with_a_sentence(
    asked: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(_programmes, "SOLVER_SECONDS", 0.0)
    with pytest.raises(TimeLimitReached, match=r"^The blend was not done .* Give fewer emulsifi"):
        solve_blend(SHELF, 9.2, **asked)


def test_a_formula_says_so_beside_the_goal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_programmes, "SOLVER_SECONDS", 0.0)
    found = work_out(worst("fewest"))
    assert found.problem_of("goal").startswith("The blend was not done within")
    assert found.solved is None
    assert found.required is not None


def test_every_programme_gets_the_time_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[object] = []
    real = _programmes.milp

    def watched(*args: Any, **named: Any) -> Any:
        given.append(named["options"]["time_limit"])
        return real(*args, **named)

    monkeypatch.setattr(_programmes, "milp", watched)
    for asked in SOLVED.values():
        try:
            solve_blend(SHELF, 9.2, **asked)
        except HlbError:
            continue
    assert len(given) > len(SOLVED)
    assert set(given) == {SOLVER_SECONDS}


def test_least_change_has_a_last_step(monkeypatch: pytest.MonkeyPatch) -> None:
    def endless(a: np.ndarray, b: np.ndarray, maxiter: int) -> None:
        assert maxiter > 0
        raise RuntimeError("Maximum number of iterations reached.")

    monkeypatch.setattr(_programmes, "nnls", endless)
    with pytest.raises(TimeLimitReached, match="Give fewer emulsifiers"):
        solve_blend(SHELF, 9.2, objective="least change", start=dict.fromkeys(SHELF, 1))


# --- the largest formula


@pytest.mark.parametrize("smallest", ["", "0.5"])
@pytest.mark.parametrize("goal", ["as typed", "closest", "fewest", "cheapest", "least change"])
def test_the_largest_formula_is_worked_out(goal: str, smallest: str) -> None:
    found = work_out(worst(goal, smallest))
    assert found.required is not None
    assert (found.solved is None) == (goal == "as typed" or bool(found.problem_of("goal")))
    assert len(found.made.lines) == FORMULA_LINES_MOST


def test_close_names_are_looked_for_once_a_name(monkeypatch: pytest.MonkeyPatch, library: Library) -> None:
    asked: Counter[str] = Counter()
    real = hlb.lookup.close

    def watched(word: str, *rest: Any, **named: Any) -> list[str]:
        asked[word] += 1
        return real(word, *rest, **named)

    monkeypatch.setattr("hlbcore.lookup.close", watched)
    formula = Formula("x", "o/w cream", tuple(Line(f"qqz{n}", 1, phase="oil") for n in range(50)))
    for _ in range(2):
        formula.problems(library)
        hlb.check(formula, library=library)
    assert len(asked) == 50
    assert set(asked.values()) == {1}


def test_close_names_of_one_side_are_not_those_of_another(tiny_library: Library) -> None:
    first = tiny_library.near("delta ester")
    assert first == tiny_library.near("delta ester")
    assert tiny_library.near("delta ester", tiny_library.oils) != first


def test_a_name_comes_first_as_it_was_typed_first() -> None:
    lines = [Line("Olive Oil", "2"), Line("olive oil", "3"), Line("OLIVE OIL", "4", phase="cool-down")]
    required = work_out(Formula(lines=lines)).required
    assert required is not None
    assert [(p.name, p.mass) for p in required.parts] == [("Olive Oil", 9.0)]


@pytest.mark.parametrize(
    ("field", "text", "said"),
    [
        ("portions", "a 1, " * 21, "portions: there are more than 20 entries"),
        ("blends", "w: " + "a 1, " * 31, "blend 'w': there are more than 30 entries"),
        ("blends", "w: a 1\n" * 201, "bought blends: there are more than 200 entries"),
    ],
    ids=["portions", "parts", "blends"],
)
def test_more_portions_or_parts_get_a_sentence(field: str, text: str, said: str) -> None:
    found = work_out(Formula(**{field: text}))  # type: ignore[arg-type]
    assert found.problem_of(field).startswith(said)


def blended(lines: int) -> Formula:
    """Lines of one bought blend of 30 parts, in 20 portions."""
    blends = "w: " + "water 3, " * 30
    return Formula(lines=[Line("w", "0.1")] * lines, portions="a 5, " * 20, blends=blends)


def test_twelve_thousand_lines_of_all_portions_are_checked() -> None:
    found = work_out(blended(20))
    assert "there are more than" not in found.problem_of("blends")
    assert sum(len(product.lines) for product in products_of(found)) == 12_000
    assert hlb.check(found)


def test_more_lines_of_all_portions_get_a_sentence_and_the_rest_stays() -> None:
    found = work_out(blended(21))
    assert "in all portions there are more than 12,000 lines. Leave out" in found.problem_of("blends")
    assert len(found.made.lines) == len(found.lines) == 21
    with pytest.raises(InvalidInput, match=r"^bought blends: with all parts"):
        found.formula.to_json()


# --- figures


def test_the_figure_of_many_oils_has_forty_bars_that_add_up() -> None:
    many = required_hlb([(1.0 + n, 5.0 + n % 9) for n in range(200)])
    figure = plots.contributions(many)
    bars = figure.axes[0].patches
    assert len(bars) == 40
    assert sum(bar.get_width() for bar in bars) == pytest.approx(many.value)
    assert "161 others together" in plots.words(figure)


def test_the_figure_of_forty_oils_has_a_bar_for_each() -> None:
    figure = plots.contributions(required_hlb([(1.0 + n, 5.0 + n % 9) for n in range(40)]))
    assert len(figure.axes[0].patches) == 40
    assert "others" not in plots.words(figure)
