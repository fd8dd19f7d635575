"""What notebook 5 works out."""

from __future__ import annotations

from running import Notebook

import hlbcore as hlb

LESSON = Notebook(5)


def test_griffin_the_hydrophilic_share() -> None:
    n = LESSON.after("def molar_mass(carbon, hydrogen, oxygen):")
    by_hand = 20 * 20 * n.oxyethylene / (20 * n.oxyethylene + n.stearyl_alcohol)
    value = hlb.structure.hlb_from_masses(20 * n.oxyethylene, 20 * n.oxyethylene + n.stearyl_alcohol)
    assert abs(value - by_hand) < 1e-12
    assert abs(n.steareth_20.steps[0].result - value) < 1e-12
    assert round(value, 1) == 15.3

    n = LESSON.after("share_pct, hlb.structure.hlb_from_oxyethylene(share_pct)")
    assert abs(hlb.structure.hlb_from_oxyethylene(n.share_pct) - value) < 1e-9


def test_where_it_agrees_fatty_alcohol_ethers_and_peg_esters() -> None:
    n = LESSON.after("for name, (fatty, units) in structures.items():")
    assert n.agree.query("family == 'fatty alcohol ether'")["miss"].abs().max() < 0.15
    assert n.agree.query("family == 'PEG ester'")["miss"].abs().max() < 0.5


def test_where_it_does_not_sorbitan_esters_and_polysorbates() -> None:
    n = LESSON.after("polyol = hlb.structure.hlb_from_masses(sorbitan_ring, mass)")
    polysorbates = n.differ.query("family == 'polysorbate'")["miss"]
    sorbitans = n.differ.query("family == 'sorbitan ester'")["miss"]
    assert 0.3 <= round(polysorbates.min(), 1) <= round(polysorbates.max(), 1) <= 1.0
    assert 0.9 <= round(sorbitans.min(), 1) <= round(sorbitans.max(), 1) <= 3.4

    n = LESSON.after("figure.tight_layout()")
    bars = [bar.get_width() for bar in n.axes.patches]
    assert n.figure.axes == [n.axes]
    assert len(bars) == len(n.every) == 17
    assert max((abs(a - b) for a, b in zip(bars, n.every["miss"], strict=True))) < 1e-9
    assert list(n.every["family"])[-3:] == ["sorbitan ester"] * 3


def test_griffin_from_two_titrations() -> None:
    n = LESSON.after("titrated = hlb.lessons.saponification_working(45.5, 276)")
    assert round(n.titrated.steps[0].result, 1) == 16.7
    assert abs(n.titrated.steps[0].result - 20 * (1 - 45.5 / 276)) < 1e-9
    assert n.lib.emulsifier("polysorbate 20").hlb.value == 16.7


def test_davies_a_sum_of_groups() -> None:
    n = LESSON.after("groups")
    assert n.groups["CH2"] == n.groups["CH3"] == -0.475
    assert n.groups.idxmax() == "SO4Na"

    n = LESSON.after("print(sulfate.text)")
    assert abs(n.sulfate.steps[-1].result - (7 + 38.7 - 12 * 0.475)) < 1e-9
    assert abs(n.sulfate.steps[-1].result - n.lib.emulsifier("sodium lauryl sulfate").hlb.value) < 1e-9

    n = LESSON.after("soaps = {")
    assert round(n.soaps["COONa"], 1) == 18.0
    assert round(n.soaps["COOK"], 1) == 20.0
    wrong = hlb.structure.hlb_davies({"COONa": 1, "CH3": 1, "CH2": 15, "=CH": 2})
    assert round(wrong, 1) != 18.0


def test_a_number_that_is_no_hlb() -> None:
    n = LESSON.after("acid = (molar_mass(8, 16, 2) + molar_mass(10, 20, 2)) / 2")
    ester = n.lib.oil("caprylic/capric triglyceride")
    assert ester.hlb is None
    assert 0 < n.number < 3
    assert abs(n.number - ester.required_hlb("o/w").value) > 2


def test_structure_stands_beside_the_list() -> None:
    n = LESSON.after("with_guess = hlb.split_pair(guessed, 14.9, target=10)")
    assert n.with_guess[1] < n.with_list[1]
    assert n.made.value < 10 - 1


def test_your_turn() -> None:
    n = LESSON.after("print(hlb.lessons.mark(exercise, my_answer).hint)")
    assert hlb.lessons.mark(n.exercise, n.exercise.answer).right
    assert hlb.lessons.mark(n.exercise, 5 * n.exercise.answer).mistake == "percent for HLB"
