"""The pair of a ladder where none is named, the first test of a ready emulsifier, prices of a list."""

from __future__ import annotations

from dataclasses import replace

import pytest

import hlbcore as hlb
from hlbcore.formula.lines import Line
from hlbcore.ladder.families import ready_ladder
from hlbcore.ladder.planner import work_out_ladder
from hlbcore.ladder.sheet import LadderSheet

WAX = hlb.work_out(hlb.Formula(lines=(Line("almond oil", "20"), Line("cetearyl olivate", "4"))))
CREAM = hlb.work_out(hlb.example_formula("winter_hand_cream"))
OIL = LadderSheet(oils="mineral oil 20", centre="10", half_width="3", seed="1", kind="coarse")


def pair(worked: hlb.Worked, sheet: LadderSheet, shelf: tuple[str, ...] = ()) -> list[str]:
    made = work_out_ladder(hlb.work_out(worked.formula, shelf=shelf), sheet).ladder
    assert made is not None
    return [n for n, _ in made.emulsifiers]


def test_the_first_test_of_a_ready_emulsifier_steps_its_dose_and_no_hlb() -> None:
    made = work_out_ladder(WAX, LadderSheet(seed="1"))
    assert made.kind == "loading"
    assert made.ladder is not None
    assert made.ladder.ready == "cetearyl olivate"
    assert made.ladder.table["emulsifier_pct"].round(1).tolist() == [2, 4, 6]
    assert made.ladder.table["hlb_as_weighed"].isna().all()
    assert any("the dose of your formula" in f.detail for f in made.findings)
    assert hlb.Trial.from_json(hlb.Trial(made.ladder).to_json()).ladder == made.ladder


def test_a_named_ready_emulsifier_is_stepped_alone_and_its_steps_can_be_typed() -> None:
    named = replace(OIL, kind="loading", first="emulsifying wax NF", steps="4", centre="", half_width="")
    made = work_out_ladder(CREAM, named).ladder
    assert made is not None
    assert made.table["emulsifier_of_oil_pct"].round(1).tolist() == [12.5, 18.0, 26.0, 37.5]


def test_doses_of_a_ready_emulsifier_rise() -> None:
    with pytest.raises(hlb.InvalidInput, match="given twice"):
        ready_ladder("emulsifying wax NF", oil_phase={"almond oil": 20}, doses_pct=[5, 5])


def test_the_pair_of_the_shelf_goes_before_that_of_the_formula_unless_both_are_there() -> None:
    mine = ("sorbitan stearate", "polysorbate 60")
    other = ("sorbitan oleate", "polysorbate 80")
    sheet = replace(OIL, oils="")
    assert pair(CREAM, sheet) == list(mine)
    assert pair(CREAM, sheet, other) == list(other)
    assert pair(CREAM, sheet, (*other, *mine)) == list(mine)


def test_a_shelf_without_a_pair_round_the_middle_leaves_the_usual_pair() -> None:
    assert pair(WAX, OIL, ("polysorbate 20",)) == ["sorbitan stearate", "polysorbate 60"]
    assert pair(WAX, OIL, ("no such thing",)) == ["sorbitan stearate", "polysorbate 60"]


def test_steps_beyond_the_pair_are_left_out_and_it_is_said() -> None:
    made = work_out_ladder(WAX, replace(OIL, centre="6", half_width="4"))
    assert made.ladder is not None
    assert made.ladder.vials[0].target_hlb == pytest.approx(4.7)
    assert any(f.title == "The pair does not reach the whole span" for f in made.findings)


def test_prices_of_a_kept_list_stand_in_the_cost_and_those_of_the_formula_go_first() -> None:
    listed = {"mineral_oil": 5.0, "sorbitan_stearate": 20.0}
    made = work_out_ladder(WAX, OIL, prices=listed, currency="EUR").cost
    assert made is not None
    grams = made.grams
    assert made.money == pytest.approx((grams["mineral oil"] * 5 + grams["sorbitan stearate"] * 20) / 1000)
    assert f"{made.money:.2f} EUR for what has a price" in made.words
    assert made.unpriced == ("polysorbate 60",)
    typed = hlb.work_out(hlb.Formula(lines=(Line("mineral oil", "20", price="8"),)))
    own = work_out_ladder(typed, OIL, prices=listed).cost
    assert own is not None
    assert own.money == pytest.approx((grams["mineral oil"] * 8 + grams["sorbitan stearate"] * 20) / 1000)
