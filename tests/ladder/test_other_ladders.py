from __future__ import annotations

import pytest

from hlbcore import InvalidInput, Ladder, UnreachableTarget, load_library
from hlbcore.ladder.blur import premixed_stocks
from hlbcore.ladder.families import family_ladder, loading_ladder
from hlbcore.ladder.fine import fine_ladder
from hlbcore.ladder.rinse import clarity_ladder, rinse_ladder

OIL = {"mineral oil": 20}


def total_is_the_vial(ladder: Ladder) -> bool:
    half = ladder.readability_g / 2 + 1e-9
    return all(abs(v.total_g - ladder.vial_mass_g) <= half for v in ladder.vials)


# --- families


def test_families_all_stand_at_one_hlb_and_dose() -> None:
    table = family_ladder(10.5, oil_phase=OIL).table
    assert (table["target_hlb"] == 10.5).all()
    assert table["hlb_as_weighed"].between(10.4, 10.6).all()
    assert table["emulsifier_of_oil_pct"].tolist() == pytest.approx([12.5] * len(table))


def test_families_are_pairs_of_one_chain_and_none_is_marked() -> None:
    library = load_library()
    ladder = family_ladder(10.5, oil_phase=OIL)
    for vial in ladder.vials:
        pair = [library.emulsifier(n) for n, _ in vial.grams[:2]]
        assert pair[0].chain == pair[1].chain
        assert {i.charge for i in pair} == {"nonionic"}


def test_no_two_vials_hold_the_same_pair() -> None:
    pairs = [tuple(n for n, _ in v.grams[:2]) for v in family_ladder(10.5, oil_phase=OIL).vials]
    assert len(set(pairs)) == len(pairs)


def test_named_pairs_are_used() -> None:
    pairs = [("sorbitan laurate", "polysorbate 20"), ("steareth-2", "steareth-21")]
    ladder = family_ladder(11, oil_phase=OIL, pairs=pairs)
    assert [tuple(n for n, _ in v.grams[:2]) for v in ladder.vials] == pairs
    assert total_is_the_vial(ladder)


def test_one_emulsifier_may_stand_in_two_pairs() -> None:
    pairs = [("sorbitan oleate", "polysorbate 80"), ("sorbitan trioleate", "polysorbate 80")]
    ladder = family_ladder(11, oil_phase=OIL, pairs=pairs)
    assert len(ladder.emulsifiers) == 3


def test_a_named_pair_that_does_not_reach_is_refused() -> None:
    with pytest.raises(UnreachableTarget, match="HLB 7 cannot be reached"):
        family_ladder(7, oil_phase=OIL, pairs=[("sorbitan laurate", "polysorbate 20")])


def test_an_hlb_without_any_pair_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"no pair of the tables .*HLB 25"):
        family_ladder(25, oil_phase=OIL)


# --- doses


def test_doses_left_out_run_over_those_seen_in_examples() -> None:
    ladder = loading_ladder("sorbitan oleate", "polysorbate 80", hlb=10.5, oil_phase=OIL)
    doses = ladder.table["emulsifier_of_oil_pct"].tolist()
    assert doses[0] == pytest.approx(8, abs=0.2)
    assert doses[-1] == pytest.approx(40, abs=0.2)
    assert total_is_the_vial(ladder)


def test_water_makes_up_for_the_dose() -> None:
    table = loading_ladder(
        "sorbitan oleate", "polysorbate 80", hlb=10.5, oil_phase=OIL, doses_pct=[2, 4]
    ).table
    assert table["mineral oil_g"].nunique() == 1
    assert table["water_g"].tolist() == [39.0, 38.0]


@pytest.mark.parametrize(
    ("doses", "words"),
    [([2], "at least two"), ([2, 2], "given twice"), ([2, -1], "dose"), ([2, 85], "no water")],
    ids=["one", "repeated", "negative", "too-much"],
)
def test_doses_that_cannot_be_used_are_refused(doses: list[float], words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        loading_ladder("sorbitan oleate", "polysorbate 80", hlb=10.5, oil_phase=OIL, doses_pct=doses)


def test_doses_that_the_scale_cannot_tell_apart_are_said() -> None:
    ladder = loading_ladder(
        "sorbitan oleate", "polysorbate 80", hlb=10.5, oil_phase=OIL, doses_pct=[2, 2.01], readability_g=0.1
    )
    assert "Vials 1 and 2 have the same grams" in [f.title for f in ladder.cautions]


def test_vials_with_the_same_grams_are_said_once() -> None:
    ladder = loading_ladder(
        "sorbitan oleate",
        "polysorbate 80",
        hlb=10.5,
        oil_phase=OIL,
        doses_pct=[2, 2.01, 2.02],
        readability_g=0.1,
    )
    alike = [f.title for f in ladder.cautions if "same grams" in f.title]
    assert alike == ["Vials 1, 2 and 3 have the same grams"]


def test_ladders_without_hlb_steps_have_no_fine_ladder_and_no_stocks() -> None:
    ladder = loading_ladder("sorbitan oleate", "polysorbate 80", hlb=10.5, oil_phase=OIL)
    with pytest.raises(InvalidInput, match="no HLB steps"):
        fine_ladder(ladder, around=10)
    with pytest.raises(InvalidInput, match="no HLB steps"):
        premixed_stocks(ladder)


# --- rinse

SCRUB = {"sunflower oil": 70, "beeswax": 10}


@pytest.mark.parametrize("product", ["wash-off scrub", "cleansing balm", "dispersing bath or cleansing oil"])
def test_rinse_ladder_crosses_hlb_with_dose_and_holds_no_water(product: str) -> None:
    ladder = rinse_ladder(product, oil_phase=SCRUB)
    table = ladder.table
    assert "water_g" not in table
    assert table.groupby("target_hlb").size().tolist() == [3] * table["target_hlb"].nunique()
    assert total_is_the_vial(ladder)


def test_rinse_ladder_ends_at_the_hydrophilic_emulsifier_alone() -> None:
    row = rinse_ladder("wash-off scrub", oil_phase=SCRUB).table.iloc[-1]
    assert row["sorbitan oleate_g"] == 0.0
    assert row["hlb_as_weighed"] == 15.0


def test_oils_keep_their_ratio_at_every_dose() -> None:
    table = rinse_ladder("wash-off scrub", oil_phase=SCRUB, jar_mass_g=200).table
    assert (table["sunflower oil_g"] / table["beeswax_g"]).tolist() == pytest.approx([7.0] * 9, rel=0.002)


def test_rinse_ladder_gives_the_amounts_of_the_rinse_test() -> None:
    text = rinse_ladder("cleansing balm", oil_phase=SCRUB, dilution=50).to_observe[0]
    assert "1 part of base on 50 parts" in text
    assert "2 g on 100 g" in text


def test_rinse_ladder_names_slippery_floors_and_the_jar_test() -> None:
    ladder = rinse_ladder("wash-off scrub", oil_phase=SCRUB)
    assert any("slippery" in t for t in ladder.to_observe)
    assert "A matched HLB does not keep an emulsifier dissolved" in [f.title for f in ladder.cautions]


@pytest.mark.parametrize("parts", [10, 60, "many"], ids=str)
def test_parts_of_water_outside_twenty_to_fifty_are_refused(parts: object) -> None:
    with pytest.raises(InvalidInput, match="parts of water"):
        rinse_ladder("wash-off scrub", oil_phase=SCRUB, dilution=parts)  # type: ignore[arg-type]


@pytest.mark.parametrize("product", ["o/w cream", "whipped butter"])
def test_rinse_ladder_is_for_products_whose_aim_is_dispersal(product: str) -> None:
    with pytest.raises(InvalidInput, match="not dispersal under the tap"):
        rinse_ladder(product, oil_phase=SCRUB)


# --- clarity


def test_clarity_ladder_runs_from_the_usual_dose_to_twice_the_high_one() -> None:
    ladder = clarity_ladder({"lavender oil": 1})
    assert ladder.table["emulsifier_of_oil_pct"].tolist() == [100, 200, 300, 400, 500, 600]
    assert total_is_the_vial(ladder)


def test_clarity_ladder_has_no_hlb_target() -> None:
    assert clarity_ladder({"lavender oil": 1}).table["target_hlb"].isna().all()


def test_clarity_ladder_without_room_for_water_is_refused() -> None:
    with pytest.raises(InvalidInput, match="no water is left"):
        clarity_ladder({"lavender oil": 20})
