from __future__ import annotations

import re

import pytest

from hlbcore import InvalidInput, Library
from hlbcore.counting.soap import LYE
from hlbcore.rules import safety
from hlbcore.rules.safety import dioxane_allowed, dioxane_in_product

RULES = {n: v for n, v in vars(safety).items() if n.endswith("_RULE")}


def test_allowed_figure_brings_the_product_to_the_limit() -> None:
    assert dioxane_in_product(13.4, dioxane_allowed(13.4, 1.0)) == pytest.approx(1.0)


def test_nothing_ethoxylated_has_no_allowed_figure() -> None:
    with pytest.raises(InvalidInput, match="ethoxylated ingredients: 0 % is too small"):
        dioxane_allowed(0, 1.0)


def test_negative_figure_is_refused() -> None:
    with pytest.raises(InvalidInput, match="1,4-dioxane: -1 ppm is negative"):
        dioxane_in_product(8, -1)


@pytest.mark.parametrize("name", RULES)
def test_every_rule_names_a_source_or_says_that_it_has_none(name: str, library: Library) -> None:
    text = RULES[name]
    keys = set(re.findall(r"\w+", text)) & set(library.sources)
    assert keys or re.search("from memory|our convention|second-hand|no source", text)


@pytest.mark.parametrize(
    "ids",
    [
        safety.AMINES,
        safety.NITROSATING,
        safety.SHARP_GRAINS,
        safety.ALPHA_HYDROXY_ACIDS,
        LYE,
        safety.GERM_BEARING,
    ],
    ids=["amines", "nitrosating", "grains", "acids", "lye", "germs"],
)
def test_every_id_stands_in_the_tables(ids: tuple[str, ...], library: Library) -> None:
    assert set(ids) - set(library.ingredients) == set()
