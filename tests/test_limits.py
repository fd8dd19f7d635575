"""The largest thing that a page can ask for is worked out; what is larger gets a sentence."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np
import pytest

import hlbcore as hlb
from hlbcore import (
    Formula,
    HlbError,
    InvalidInput,
    Library,
    Line,
    Sheet,
    SheetEmulsifier,
    SheetLine,
    SheetOther,
    TimeLimitReached,
    UnknownIngredient,
    formula_of,
    plots,
    required_hlb,
    solve_blend,
    work_out,
)
from hlbcore.blending import programmes as _programmes
from hlbcore.blending.solving import OBJECTIVES
from hlbcore.limits import EMULSIFIERS_MOST, LINES_MOST, SOLVER_SECONDS

SHELF = {f"ester {n}": 3 + n % 15 for n in range(EMULSIFIERS_MOST)}
PRICES = {name: 1.0 + n % 7 for n, name in enumerate(SHELF)}


def worst(objective: str = "closest", smallest: str = "") -> Sheet:
    """The largest sheet: no name is known, so every one is compared with all the tables."""
    return Sheet(
        lines=tuple(SheetLine(f"house oil {n}", "0.2", own="9") for n in range(LINES_MOST)),
        emulsifiers=tuple(SheetEmulsifier(n, now="0.07", price="5", hlb=str(v)) for n, v in SHELF.items()),
        others=tuple(SheetOther(f"house thing {n}", "0.2") for n in range(LINES_MOST)),
        objective=objective,
        smallest=smallest,
    )


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


def test_more_than_sixty_emulsifiers_on_a_sheet_are_told_beside_the_aim() -> None:
    sheet = worst()
    more = Sheet(lines=sheet.lines, emulsifiers=(*sheet.emulsifiers, SheetEmulsifier("x", hlb="9")))
    assert work_out(more).errors["objective"].startswith("emulsifiers of one blend: there are more")


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


def test_a_sheet_says_so_beside_the_aim(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_programmes, "SOLVER_SECONDS", 0.0)
    outcome = work_out(worst("fewest"))
    assert outcome.errors["objective"].startswith("The blend was not done within")
    assert outcome.blend is None
    assert outcome.required is not None


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


# --- the largest sheet


@pytest.mark.parametrize("smallest", ["", "0.5"])
@pytest.mark.parametrize("objective", ["closest", "fewest", "cheapest", "least change"])
def test_the_largest_sheet_is_worked_out(objective: str, smallest: str) -> None:
    outcome = work_out(worst(objective, smallest))
    assert outcome.required is not None
    assert (outcome.blend is not None) != ("objective" in outcome.errors)
    assert len(formula_of(outcome).formula.lines) >= 2 * LINES_MOST


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
    sheet = Sheet(
        lines=(SheetLine("Olive Oil", "2"), SheetLine("olive oil", "3")),
        others=(SheetOther("OLIVE OIL", "4", "cool-down"),),
    )
    required = work_out(sheet).required
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
    made = formula_of(work_out(Sheet(**{field: text})))  # type: ignore[arg-type]
    assert made.errors[field].startswith(said)


def blended(lines: int) -> Sheet:
    """Lines of one bought blend of 30 parts, in 20 portions."""
    return Sheet(
        others=(SheetOther("w", "0.1"),) * lines, portions="a 5, " * 20, blends="w: " + "water 3, " * 30
    )


def test_twelve_thousand_lines_of_all_portions_are_checked() -> None:
    made = formula_of(work_out(blended(20)))
    assert made.errors == {}
    assert sum(len(f.expanded().lines) for f in made.formula.finished()) == 12_000
    assert hlb.check(made.formula)


def test_more_lines_of_all_portions_get_a_sentence_and_the_rest_stays() -> None:
    made = formula_of(work_out(blended(21)))
    assert "in all portions there are more than 12,000 lines. Leave out" in made.errors["blends"]
    assert made.formula.composites == ()
    assert len(made.formula.lines) == 21
    with pytest.raises(InvalidInput, match=r"^bought blends: with all parts"):
        Formula.from_json(
            hlb.Formula(
                "x",
                "o/w cream",
                (Line("w", 0.1),) * 21,
                portions=tuple(hlb.Portion(str(n), 5) for n in range(20)),
                composites=(hlb.Composite("w", (hlb.CompositePart("water", 3),) * 30),),
            ).to_json()
        )


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
