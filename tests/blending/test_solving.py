"""The solver as the bench meets it; its arithmetic is checked against others in tests/solver."""

from __future__ import annotations

import pytest

import hlbcore as hlb

PAIR = ["sorbitan stearate", "polysorbate 60"]


def test_where_a_limit_is_in_the_way_no_emulsifier_is_offered() -> None:
    with pytest.raises(hlb.UnreachableTarget) as caught:
        hlb.solve_blend(PAIR, 10.5, total=5, limits={"sorbitan stearate": (4, 5)})
    assert caught.value.openers == ()
    assert caught.value.relaxation


def test_one_hydrophilic_emulsifier_in_a_scrub_is_solved_and_never_a_stop() -> None:
    blend = hlb.solve_blend(["polysorbate 80"], 8.0, total=6, product="wash-off scrub")
    assert blend.word == "no verdict: the rinse test decides"


@pytest.mark.parametrize(
    "wrong",
    [{"groups": ("solids",)}, {"limits": {"polysorbate 60": (1, 2, 3)}}, {"total": (1, 2, 3)}],
    ids=["group", "limit", "total"],
)
def test_a_shape_that_cannot_be_used_gets_a_sentence(wrong: dict[str, object]) -> None:
    with pytest.raises(hlb.InvalidInput, match=r"Give a low and a high end|Write Group"):
        hlb.solve_blend(PAIR, 10.0, **wrong)  # type: ignore[arg-type]
