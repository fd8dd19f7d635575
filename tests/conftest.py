from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import settings

from hlbcore import Formula, Ingredient, Library, Reading, load_library
from hlbcore.library import _library

# a busy machine is slow, and no test is about time; the same tries each run, so that a run says
# something about the change alone; HYPOTHESIS_PROFILE=long looks further, elsewhere each time
settings.register_profile("hlbcore", deadline=None, derandomize=True)
settings.register_profile("long", deadline=None, max_examples=300)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "hlbcore"))

INVENTED = (
    Ingredient(
        "alpha_oil",
        "Alphus Inventus Seed Oil",
        "alpha oil",
        "oil",
        convention="oil",
        aliases=("first oil", "huile dé alpha"),
        ow_readings=(
            Reading(6.0, "published", "a"),
            Reading(6.5, "published", "b"),
            Reading(8.0, "craft", "c"),
        ),
        wo_readings=(Reading(4.0, "published", "a"),),
    ),
    Ingredient(
        "beta_oil",
        "Betus Inventus Seed Oil",
        "beta oil",
        "oil",
        convention="oil",
        ow_readings=(Reading(10.0, "published", "a", low=9.5, high=12.0),),
    ),
    Ingredient(
        "gamma_wax",
        "Gamma Cera",
        "gamma wax",
        "wax",
        convention="oil",
        ow_readings=(
            Reading(12.0, "published", "a"),
            Reading(9.0, "craft", "b"),
            Reading(14.0, "craft", "c"),
        ),
    ),
    Ingredient(
        "zeta_alcohol",
        "Zeta Alcohol",
        "zeta alcohol",
        "fatty alcohol",
        form="solid",
        convention="oil_or_emulsifier",
        ow_readings=(Reading(15.0, "published", "a"),),
    ),
    Ingredient(
        "delta_ester",
        "Delta Oleate",
        "delta oleate",
        "emulsifier",
        "nonionic",
        "sorbitan ester",
        "oleic",
        "liquid",
        False,
        "emulsifier",
        hlb_readings=(Reading(4.0, "published", "a"),),
        system="Griffin",
    ),
    Ingredient(
        "epsilon_ester",
        "Epsilon Oleate",
        "epsilon oleate",
        "emulsifier",
        "nonionic",
        "polysorbate",
        "oleic",
        "liquid",
        True,
        "emulsifier",
        hlb_readings=(Reading(15.0, "published", "a"),),
        system="Griffin",
    ),
)


@pytest.fixture
def enlarged() -> Callable[..., Library]:
    """A library of the six invented ingredients and those given."""

    def build(*more: Ingredient) -> Library:
        return _library([*INVENTED, *more], {}, "tiny" + "".join(i.id for i in more))

    return build


@pytest.fixture
def tiny_library(enlarged: Callable[..., Library]) -> Library:
    return enlarged()


@pytest.fixture(scope="session")
def library() -> Library:
    return load_library()


@pytest.fixture(scope="session")
def two_colour_scrub() -> Formula:
    """A saved formula of form 1 whose two portions differ in colour and fragrance."""
    path = Path(__file__).parent / "saved" / "formula_v1_two_portions.json"
    return Formula.from_json(path.read_text("utf-8"))
