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


def test_least_change_with_a_smallest_amount_takes_twelve_at_most() -> None:
    many = {f"grade {n}": 5.0 + n for n in range(13)}
    start = dict.fromkeys(many, 0.4)
    with pytest.raises(hlb.InvalidInput, match=r"13 are too many .* Give at most 12"):
        hlb.solve_blend(many, 10, total=5, smallest=0.5, start=start, objective="least change")


def test_one_name_is_one_emulsifier() -> None:
    assert hlb.solve_blend("polysorbate 80", 15, total=5).masses == (5.0,)


def test_the_split_of_two_is_told_only_where_the_ratio_matters() -> None:
    assert hlb.solve_blend(PAIR, 10, total=5).split_working.startswith(
        "polysorbate 60: (10 - 4.7) / (14.9 - 4.7) = 0.5196 of the blend"
    )
    assert hlb.solve_blend({"a": 10.0, "b": 10.0}, 10, total=5).split_working == ""


def test_a_group_of_the_tables_leaves_out_what_they_do_not_know() -> None:
    system = {"own grade": 4.0, "other grade": 15.0}
    with pytest.raises(hlb.InvalidInput, match="group 'solids': none of the emulsifiers belongs to it"):
        hlb.solve_blend(system, 10, total=5, groups=[hlb.Group("solids", high=0.0)])


def test_the_table_of_a_blend_holds_shares_figures_and_cost() -> None:
    made = hlb.solve_blend({"low": 5.0, "high": 15.0}, 10, total=4, cost={"low": 30.0, "high": 20.0})
    assert made.table.values.tolist() == [
        ["low", 2.0, 50.0, 5.0, 5.0, 5.0, pytest.approx(0.6)],
        ["high", 2.0, 50.0, 15.0, 15.0, 15.0, pytest.approx(0.4)],
    ]
