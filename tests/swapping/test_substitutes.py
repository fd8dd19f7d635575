from __future__ import annotations

from collections.abc import Callable

import pytest

from hlbcore import Ingredient, InvalidInput, Library, Reading, UnknownIngredient
from hlbcore.errors import EmptyPhase
from hlbcore.ingredients import Property
from hlbcore.library import load_library
from hlbcore.swapping.substitutes import (
    EMULSIFIER_WEIGHTS,
    OIL_WEIGHTS,
    SUBSTITUTE_COLUMNS,
    WISHES,
    origin_notes,
    rank_substitutes,
    shut_out,
)


def oil(name: str, hlb: float | None, iodine: float | None, form: str = "liquid") -> Ingredient:
    """An invented oil."""
    rows = () if hlb is None else (Reading(hlb, "published", "a"),)
    held = (
        () if iodine is None else (Property("iodine_value", "", iodine, None, None, None, "published", "a"),)
    )
    return Ingredient(name, "", name, "oil", form=form, convention="oil", ow_readings=rows, properties=held)


@pytest.fixture
def four(enlarged: Callable[..., Library]) -> Library:
    return enlarged(
        oil("lost", 7, 100),
        oil("twin", 7, 100),
        oil("near", 7.5, 100),
        oil("blank", 7, None),
        oil("far", 12, 20, "solid"),
    )


NAMES = ("twin", "near", "blank", "far")


def test_substitutes_stand_by_distance(four: Library) -> None:
    table = rank_substitutes("lost", among=NAMES, library=four)
    assert list(table["ingredient"]) == ["twin", "near", "blank", "far"]
    assert table["distance"].is_monotonic_increasing
    assert list(table.columns) == list(SUBSTITUTE_COLUMNS)


def test_a_missing_figure_never_counts_as_equal(four: Library) -> None:
    table = rank_substitutes("lost", among=NAMES, library=four).set_index("ingredient")
    assert table.loc["twin", "distance"] == 0
    assert table.loc["blank", "distance"] > 0
    assert "iodine value" in str(table.loc["blank", "unknown"])


def test_a_missing_figure_cannot_be_made_to_count_as_equal() -> None:
    with pytest.raises(InvalidInput, match="missing figure"):
        rank_substitutes("olive oil", missing=0)


def test_weights_can_be_moved(four: Library) -> None:
    table = rank_substitutes("lost", among=NAMES, weights={"required HLB": 0.0}, library=four)
    assert dict(zip(table["ingredient"], table["distance"], strict=True))["near"] == 0


def test_an_unknown_weight_is_refused() -> None:
    with pytest.raises(InvalidInput, match="colour"):
        rank_substitutes("olive oil", weights={"colour": 1})


def test_every_rank_has_a_reason_in_words() -> None:
    table = rank_substitutes("cocoa butter")
    assert all(table["reason"].str.len() > 0)
    mango = rank_substitutes("cocoa butter", among=["mango butter"])
    assert "required HLB 8.0 against 6.0" in mango["reason"][0]
    assert "same kind butter" in mango["reason"][0]


def test_butters_stand_before_liquid_oils_for_a_butter() -> None:
    table = rank_substitutes("shea butter", top=5)
    assert {load_library().find(n).kind for n in table["ingredient"]} == {"butter"}


def test_emulsifiers_are_ranked_by_hlb_charge_form_family_and_peg() -> None:
    assert set(EMULSIFIER_WEIGHTS) == {"HLB", "charge", "form", "family", "chain", "PEG-based"}
    table = rank_substitutes("polysorbate 80", top=3)
    assert all("nonionic" in reason for reason in table["reason"])


def test_oil_weights_name_what_is_compared() -> None:
    assert {
        "required HLB",
        "fatty acids",
        "triacylglycerols",
        "melting",
        "solids",
        "density",
        "iodine value",
        "kind",
    } <= set(OIL_WEIGHTS)


def test_a_wish_shuts_out_substitutes() -> None:
    table = rank_substitutes("polysorbate 60", wishes="PEG-free", top=100)
    assert [n for n in table["ingredient"] if load_library().find(n).peg_based] == []


@pytest.mark.parametrize(
    ("wish", "name"),
    [
        ("PEG-free", "polysorbate 80"),
        ("PEG-free", "ceteareth-20"),
        ("no nut oils", "peanut oil"),
        ("no nut oils", "sweet almond oil"),
        ("no nut oils", "kukui nut oil"),
        ("no nut oils", "argan oil"),
        ("no lanolin", "PEG-75 lanolin"),
        ("no soy", "soybean oil"),
        ("no food allergens", "sesame oil"),
        ("nothing of animals", "beeswax"),
    ],
)
def test_wishes_shut_out_what_they_name(wish: str, name: str) -> None:
    assert shut_out(wish)(load_library().find(name))


@pytest.mark.parametrize(
    ("wish", "name"),
    [
        ("PEG-free", "sorbitan oleate"),
        ("no nut oils", "sesame oil"),
        ("no nut oils", "coconut oil"),
        ("nothing of animals", "candelilla wax"),
    ],
)
def test_wishes_leave_the_rest(wish: str, name: str) -> None:
    assert not shut_out(wish)(load_library().find(name))


def test_a_wish_that_there_is_not_is_refused_with_the_list() -> None:
    with pytest.raises(InvalidInput, match="PEG-free"):
        shut_out("no magic")
    assert "no nut oils" in WISHES


def test_allergens_and_origins_are_said() -> None:
    assert "peanut" in origin_notes(load_library().find("peanut oil"))
    assert "lanolin" in origin_notes(load_library().find("lanolin"))
    assert "animal" in origin_notes(load_library().find("beeswax"))


def test_what_is_no_oil_and_no_emulsifier_is_refused() -> None:
    with pytest.raises(InvalidInput, match="water"):
        rank_substitutes("water")


def test_an_unknown_name_is_refused() -> None:
    with pytest.raises(UnknownIngredient, match="not in the tables"):
        rank_substitutes("oil of nowhere")


def test_an_empty_list_is_said() -> None:
    with pytest.raises(EmptyPhase, match="substitutes"):
        rank_substitutes("olive oil", among=["olive oil"])


def test_a_two_sided_ingredient_is_ranked_on_the_side_asked_for() -> None:
    oils = rank_substitutes("glyceryl stearate", side="oil", top=500)["ingredient"]
    held = rank_substitutes("glyceryl stearate", top=200)["ingredient"]
    assert "olive oil" in set(oils)
    assert "olive oil" not in set(held)
