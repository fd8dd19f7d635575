"""Emulsifiers are a part of the whole: more than all of it is refused wherever one may ask."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

import hlbcore as hlb
from hlbcore.ladder import family_ladder, loading_ladder, plan_ladder, rinse_ladder

PAIR = ("sorbitan oleate", "polysorbate 80")
OIL = {"sunflower oil": 20}


def exchanged(total: object) -> object:
    return hlb.swap(
        hlb.example_formula("winter_hand_cream"),
        out="sunflower oil",
        into="castor oil",
        total=total,  # type: ignore[arg-type]
    )


ASKED: dict[str, Callable[[float], object]] = {
    "solver": lambda pct: hlb.solve_blend(PAIR, 9, total=pct),
    "solver, high end": lambda pct: hlb.solve_blend(PAIR, 9, total=(3, pct)),
    "solver, its own choice": lambda pct: hlb.solve_blend(None, 9, total=pct),
    "swap": exchanged,
    "swap, high end": lambda pct: exchanged((3, pct)),
    "ladder": lambda pct: plan_ladder(*PAIR, centre=9, oil_phase=OIL, emulsifier_pct=pct),
    "ladder of families": lambda pct: family_ladder(9, oil_phase=OIL, emulsifier_pct=pct),
    "ladder of doses": lambda pct: loading_ladder(*PAIR, hlb=9, oil_phase=OIL, doses_pct=[3, pct]),
    "rinse ladder": lambda pct: rinse_ladder("wash-off scrub", oil_phase=OIL, doses_pct=[3, pct]),
}


@pytest.mark.parametrize("where", ASKED)
@pytest.mark.parametrize("pct", [100.5, 150])
def test_more_than_the_whole_is_refused_with_a_sentence(where: str, pct: float) -> None:
    with pytest.raises(
        hlb.InvalidInput,
        match=rf"{pct:g} % is more than the whole (formula|vial|jar)\. Enter at most 100 %\.",
    ):
        ASKED[where](pct)


def test_the_page_refuses_it_at_its_field() -> None:
    for dose in ("150", "3 to 150"):
        worked = hlb.work_out(replace(hlb.example_formula(), aims=hlb.Aims(dose=dose)))
        assert "150 % is more than the whole formula" in worked.problem_of("dose")


def test_a_sum_that_rounding_leaves_above_the_whole_is_taken() -> None:
    assert hlb.solve_blend(PAIR, 9, total=100 + 1e-12).total == pytest.approx(100)
