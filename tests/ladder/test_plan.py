from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from hlbcore import (
    Estimate,
    InvalidInput,
    Ladder,
    MissingValue,
    UnknownIngredient,
    UnreachableTarget,
    plan_ladder,
    required_hlb,
)
from hlbcore.errors import EmptyPhase
from hlbcore.ladder.blur import COVERAGE, blurred, premixed_stocks
from hlbcore.ladder.fine import fine_ladder
from hlbcore.ladder.ladder import TABLE_COLUMNS, Process

LOW, HIGH = "sorbitan oleate", "polysorbate 80"
OIL = {"mineral oil": 20}


def planned(**changes: object) -> Ladder:
    given = {"centre": 10, "half_width": 3, "oil_phase": OIL} | changes
    return plan_ladder(LOW, HIGH, **given)  # type: ignore[arg-type]


def titles(ladder: Ladder) -> list[str]:
    return [f.title for f in ladder.cautions]


# --- what a plan is


def test_rungs_run_evenly_from_end_to_end() -> None:
    assert planned().table["target_hlb"].tolist() == [7, 8, 9, 10, 11, 12, 13]


def test_columns_are_those_that_are_written_down() -> None:
    named = [c for c in TABLE_COLUMNS if c != "<ingredient>_g"]
    found = planned().table.columns.tolist()
    assert [c for c in found if not c.endswith("_g") or c == "total_g"] == named
    assert [c for c in found if c.endswith("_g") and c != "total_g"] == [
        "sorbitan oleate_g",
        "polysorbate 80_g",
        "mineral oil_g",
        "water_g",
    ]


def test_dose_left_out_is_twelve_and_a_half_per_cent_of_the_oil() -> None:
    assert planned().emulsifier_pct == 2.5


@pytest.mark.parametrize(
    ("dose", "title"),
    [(4, "The dose may hide differences"), (1, "The dose is low for a ladder")],
    ids=["much", "little"],
)
def test_a_dose_outside_ten_to_fifteen_per_cent_is_said(dose: float, title: str) -> None:
    assert title in titles(planned(emulsifier_pct=dose))


@pytest.mark.parametrize("dose", [2, 2.5, 3], ids=str)
def test_a_dose_inside_is_not_said(dose: float) -> None:
    assert not any("dose" in t for t in titles(planned(emulsifier_pct=dose)))


def test_a_pair_of_two_chains_is_said() -> None:
    ladder = plan_ladder("sorbitan stearate", HIGH, centre=10, half_width=2, oil_phase=OIL)
    assert "The two emulsifiers differ in their fatty chain" in titles(ladder)


def test_the_pair_left_out_is_of_one_chain_and_reaches_the_ends() -> None:
    ladder = plan_ladder(centre=10, half_width=3, oil_phase=OIL)
    assert [n for n, _ in ladder.emulsifiers] == ["sorbitan stearate", "polysorbate 60"]
    low, high = sorted(e.value for _, e in ladder.emulsifiers)
    assert low <= 7
    assert high >= 13
    (chosen,) = [f for f in ladder.cautions if f.title == "The pair was chosen"]
    assert "of the same fatty chain (stearic)" in chosen.detail
    assert "The two emulsifiers differ in their fatty chain" not in titles(ladder)


def test_a_pair_that_reaches_the_ends_is_preferred() -> None:
    ladder = plan_ladder(centre=14, half_width=2, oil_phase=OIL)
    reach = sorted(e.value for _, e in ladder.emulsifiers)
    assert reach[0] <= 12
    assert reach[1] >= 16


def test_span_follows_the_range_of_the_required_hlb() -> None:
    result = required_hlb({"shea butter": 10, "sunflower oil": 10})
    ladder = plan_ladder(LOW, HIGH, centre=result, oil_phase={"shea butter": 10})
    targets = ladder.table["target_hlb"]
    assert targets.min() <= result.low - 1 + 1e-9
    assert targets.max() >= result.high + 1 - 1e-9


def test_span_left_out_is_that_of_the_oil_phase() -> None:
    phase = {"shea butter": 10, "sunflower oil": 10}
    assert plan_ladder(LOW, HIGH, oil_phase=phase, seed=1).table.equals(
        plan_ladder(LOW, HIGH, oil_phase=phase, centre=required_hlb(phase), seed=1).table
    )


def test_a_span_from_a_range_ends_where_the_pair_ends_and_says_so() -> None:
    ladder = plan_ladder(LOW, HIGH, centre=Estimate(14, 12, 16), oil_phase=OIL)
    assert ladder.table["target_hlb"].max() == 15.0
    assert "The pair does not reach the whole span" in titles(ladder)


def test_a_range_whose_middle_is_out_of_reach_is_refused() -> None:
    with pytest.raises(UnreachableTarget, match="HLB 16 cannot be reached"):
        plan_ladder(LOW, HIGH, centre=Estimate(16, 14, 17), oil_phase=OIL)


def test_a_rung_asked_for_out_of_reach_is_refused_with_the_width_that_fits() -> None:
    with pytest.raises(UnreachableTarget, match=r"HLB 4 cannot be reached.*half width 2\.7"):
        planned(centre=7, half_width=3)


def test_own_hlb_of_an_emulsifier_is_used() -> None:
    ladder = planned(values={HIGH: 14.0})
    assert dict(ladder.emulsifiers)[HIGH].value == 14.0


def test_other_ingredients_are_in_every_vial_alike() -> None:
    table = planned(others={"glycerin": 4}).table
    assert set(table["glycerin_g"]) == {2.0}


def test_another_emulsifier_in_the_oil_phase_is_said() -> None:
    ladder = planned(oil_phase={"mineral oil": 18, "glyceryl stearate": 2})
    assert "glyceryl stearate is an emulsifier in every vial" in titles(ladder)


def test_an_oil_that_nobody_knows_can_stand_in_a_ladder() -> None:
    assert planned(oil_phase={"house oil": 20}).table["house oil_g"][0] == 10.0


# --- process


def test_process_is_warmer_than_the_last_melting_point() -> None:
    process = planned(oil_phase={"sunflower oil": 15, "beeswax": 5}).process
    assert process.temperature_c == 68.5
    assert "beeswax at 63.5 °C" in process.reason


def test_ingredients_without_a_melting_figure_are_named() -> None:
    ladder = planned(oil_phase={"house oil": 15, "beeswax": 5})
    assert "no figure for house oil" in ladder.process.reason


def test_nothing_is_heated_where_all_is_liquid() -> None:
    assert planned().process.temperature_c is None
    assert planned().process.reason == "all are liquid at room temperature"


def test_own_process_is_kept() -> None:
    own = Process(75, "my way", "small blender, 2 min")
    assert planned(process=own).process == own


# --- order, labels, duplicates


def test_order_of_making_is_random_and_the_same_for_one_seed() -> None:
    first, again, other = (planned(seed=s).table["order"].tolist() for s in (3, 3, 4))
    assert first == again
    assert first != other
    assert sorted(first) == list(range(1, 8))


def test_blinded_labels_are_codes_that_do_not_rise_with_hlb() -> None:
    labels = [v.label for v in planned(blinded=True, steps=20, half_width=3).vials]
    assert len(set(labels)) == 20
    assert all(len(c) == 3 and c.isdigit() for c in labels)
    assert labels != sorted(labels)


def test_vials_that_are_not_blinded_are_numbered_by_the_order_of_making() -> None:
    assert all(v.label == str(v.order) for v in planned(duplicates=2).vials)


@pytest.mark.parametrize("blinded", [False, True])
def test_labels_and_order_are_new_for_each_ladder(blinded: bool) -> None:
    made = [planned(blinded=blinded, steps=12) for _ in range(3)]
    assert len({tuple((v.label, v.order) for v in m.vials) for m in made}) == 3
    again = plan_ladder(LOW, HIGH, centre=10, steps=12, oil_phase=OIL, blinded=blinded, seed=made[0].seed)
    first = planned(blinded=blinded, steps=12, seed=made[0].seed)
    assert (
        [v.label for v in again.vials] == [v.label for v in first.vials] == [v.label for v in made[0].vials]
    )


def test_duplicates_begin_in_the_middle_and_are_the_same_vial() -> None:
    ladder = planned(duplicates=2)
    assert [v.repeats for v in ladder.vials[-2:]] == [4, 3]
    assert ladder.vials[-2].grams == ladder.vial(4).grams


# --- on the scale


def test_vials_on_a_fine_scale_do_not_blur() -> None:
    assert not any("blur" in t for t in titles(planned()))


BLURRED = {"vial_mass_g": 30, "readability_g": 0.1, "half_width": 2}


def test_steps_that_blur_are_said_with_four_mends() -> None:
    finding = next(f for f in planned(**BLURRED).cautions if "blur" in f.title)
    assert finding.level == "caution"
    for mend in ("vials of ", "a scale of ", "premixed stocks", " steps over the same span"):
        assert mend in finding.mend


def mended(word: str, part: int) -> float:
    finding = next(f for f in planned(**BLURRED).cautions if "blur" in f.title)
    piece = next(p for p in finding.mend.removeprefix("Any one of: ").split("; ") if word in p)
    return float(piece.split()[part].rstrip("."))


@pytest.mark.parametrize(
    ("word", "part", "name"),
    [("vials of", 2, "vial_mass_g"), ("a scale of", 3, "readability_g"), ("steps", 0, "steps")],
    ids=["larger-vials", "finer-scale", "fewer-steps"],
)
def test_each_mend_does_mend(word: str, part: int, name: str) -> None:
    changed = BLURRED | {name: mended(word, part)}
    assert not any("blur" in t for t in titles(planned(**changed)))


def test_premixed_stocks_do_mend() -> None:
    finding = next(f for f in planned(**BLURRED).cautions if "blur" in f.title)
    table = premixed_stocks(planned(**BLURRED), with_oil="oil phase" in finding.mend).table
    assert blurred(list(zip(table["hlb_as_weighed"], table["hlb_sd"], strict=True))) == []


def test_rungs_blur_exactly_where_their_bands_meet() -> None:
    u = 0.1
    assert blurred([(10.0, u), (10.0 + 2 * COVERAGE * u + 1e-9, u)]) == []
    assert blurred([(10.0, u), (10.0 + 2 * COVERAGE * u - 1e-9, u)]) == [0]


def test_two_rungs_with_the_same_grams_blur_even_without_error() -> None:
    assert blurred([(10.0, 0.0), (10.0, 0.0)]) == [0]


def test_few_divisions_are_said() -> None:
    assert "Small amounts for this scale" in titles(planned(vial_mass_g=10))


oils = st.dictionaries(
    st.sampled_from(["mineral oil", "shea butter", "beeswax", "house oil"]),
    st.floats(2, 12),
    min_size=1,
    max_size=3,
)
plans = st.fixed_dictionaries(
    {
        "centre": st.floats(7.5, 12),
        "half_width": st.floats(0.1, 3),
        "steps": st.integers(3, 9),
        "vial_mass_g": st.floats(20, 500),
        "readability_g": st.sampled_from([0.1, 0.05, 0.01, 0.001]),
        "oil_phase": oils,
        "duplicates": st.integers(0, 3),
    }
)


@settings(max_examples=40)
@given(plans)
def test_grams_add_to_the_vial_in_whole_divisions_and_hlb_stays_inside_the_pair(
    plan: dict[str, object],
) -> None:
    try:
        ladder = planned(**plan)
    except InvalidInput as error:
        assume("division" not in str(error))
        raise
    d = ladder.readability_g
    for vial in ladder.vials:
        assert abs(vial.total_g - ladder.vial_mass_g) <= d / 2 + 1e-9
        for name, g in vial.grams:
            assert g >= 0, name
            assert abs(g / d - round(g / d)) < 1e-6, name
        hlb = ladder.hlb(vial)
        assert hlb is not None
        assert 4.3 - 1e-9 <= hlb <= 15 + 1e-9


@settings(max_examples=40)
@given(plans)
def test_hlb_as_weighed_lies_within_one_division_of_its_rung(plan: dict[str, object]) -> None:
    try:
        ladder = planned(**plan)
    except InvalidInput as error:
        assume("division" not in str(error))
        raise
    table = ladder.table
    whole = table["sorbitan oleate_g"] + table["polysorbate 80_g"]
    most = ladder.readability_g * (15 - 4.3) / whole
    assert ((table["hlb_as_weighed"] - table["target_hlb"]).abs() <= most + 1e-9).all()


# --- fine ladder


def test_fine_ladder_keeps_everything_but_the_steps() -> None:
    coarse = planned(others={"glycerin": 4}, emulsifier_pct=3, vial_mass_g=40)
    fine = fine_ladder(coarse, around=11)
    for name in ("emulsifiers", "oils", "others", "vial_mass_g", "emulsifier_pct", "process"):
        assert getattr(fine, name) == getattr(coarse, name)
    assert fine.rung == 0.5
    assert fine.kind == "fine"


def test_fine_ladder_covers_the_range_of_the_optimum() -> None:
    fine = fine_ladder(planned(), around=Estimate(11, 9, 12))
    assert fine.table["target_hlb"].min() == 9.0


def test_fine_ladder_keeps_the_users_own_hlb() -> None:
    fine = fine_ladder(planned(values={HIGH: 14.0}), around=11)
    assert dict(fine.emulsifiers)[HIGH].value == 14.0


def test_fine_ladder_at_the_end_of_the_pair_is_cut_and_says_so() -> None:
    fine = fine_ladder(planned(), around=14.5)
    assert fine.table["target_hlb"].max() == 15.0
    assert "The pair does not reach the whole span" in titles(fine)


def test_fine_ladder_out_of_reach_is_refused() -> None:
    with pytest.raises(UnreachableTarget, match="HLB 16 cannot be reached"):
        fine_ladder(planned(), around=16)


# --- bad input

BAD = [
    ({"steps": 2}, InvalidInput, "2 vials cannot show an optimum"),
    ({"steps": 1e9}, InvalidInput, "steps: .*out of range"),
    ({"steps": 4.5}, InvalidInput, "no whole number"),
    ({"steps": math.nan}, InvalidInput, "steps"),
    ({"half_width": 0}, InvalidInput, "half width: 0 is too small"),
    ({"half_width": -1}, InvalidInput, "half width"),
    ({"centre": "ten"}, InvalidInput, "centre: 'ten' is not a number"),
    ({"centre": math.inf}, InvalidInput, "centre"),
    ({"vial_mass_g": 0}, InvalidInput, "vial mass: 0 g is too small"),
    ({"vial_mass_g": "20 %"}, InvalidInput, "vial mass"),
    ({"vial_mass_g": 0.5, "readability_g": 0.1}, InvalidInput, "vial mass: all emulsifiers"),
    ({"vial_mass_g": 1e308}, InvalidInput, "vial mass"),
    ({"readability_g": 0}, InvalidInput, "readability of the scale"),
    ({"readability_g": 1e-300}, InvalidInput, "does not go with vials"),
    ({"readability_g": 500}, InvalidInput, "does not go with vials"),
    ({"emulsifier_pct": 90}, InvalidInput, "no water is left"),
    ({"emulsifier_pct": -1}, InvalidInput, "emulsifier"),
    ({"oil_phase": {}}, EmptyPhase, "oil phase"),
    ({"oil_phase": {"mineral oil": 0}}, EmptyPhase, "oil phase"),
    ({"oil_phase": {"mineral oil": 120}}, InvalidInput, "oil phase"),
    ({"oil_phase": {"mineral oil": "20 g"}}, InvalidInput, "in grams"),
    ({"oil_phase": {" ": 20}}, InvalidInput, "the name is blank"),
    ({"oil_phase": [("mineral oil", 20)]}, InvalidInput, "names and amounts are wanted"),
    ({"oil_phase": {"mineral oil": 20, "Tracer": 1e-6}}, InvalidInput, "'Tracer': in a vial"),
    ({"oil_phase": {"mineral oil": 20, "Polysorbate 80": 1}}, InvalidInput, "emulsifiers of the"),
    ({"oil_phase": {"mineral oil": 20, "water": 60}}, InvalidInput, "the rest of the vial"),
    ({"others": {"Mineral Oil": 2}}, InvalidInput, "in the vial already"),
    ({"duplicates": -1}, InvalidInput, "duplicates"),
    ({"seed": "x"}, InvalidInput, "seed"),
    ({"emulsion": "o/o"}, InvalidInput, "emulsion"),
    ({"blinded": "yes"}, InvalidInput, "blinded"),
    ({"values": {HIGH: 4.3}}, InvalidInput, "both have HLB 4.3"),
]


@pytest.mark.parametrize(
    ("changes", "error", "words"), BAD, ids=[f"{n}-{next(iter(c))}" for n, (c, *_) in enumerate(BAD)]
)
def test_what_cannot_be_planned_is_refused_with_a_reason(
    changes: dict[str, object], error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        planned(**changes)


@pytest.mark.parametrize(
    ("first", "second", "error", "words"),
    [
        (LOW, None, InvalidInput, "one of the two is missing"),
        (LOW, "Sorbitan Oleate", InvalidInput, "named twice"),
        (LOW, "polysorbate 8O", UnknownIngredient, "polysorbate 80"),
        (LOW, "emulsifying wax NF", MissingValue, "emulsifying wax NF"),
        ("<b>x</b>", HIGH, UnknownIngredient, "not in the tables"),
    ],
    ids=["one", "twice", "misspelt", "no-figure", "html"],
)
def test_pairs_that_cannot_be_used_are_refused(
    first: str, second: str | None, error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        plan_ladder(first, second, centre=10, half_width=3, oil_phase=OIL)
