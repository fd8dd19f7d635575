"""How a line counts: by its ingredient, and for two-sided ones by the role chosen."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hlbcore.sheets.seen import Seen, see

from hlbcore import Ingredient, Library, Line

ZETA_TURNED = Ingredient(
    "eta_stearate", "Eta Stearate", "eta stearate", "emulsifier", "nonionic", convention="emulsifier_or_oil"
)
WAX = Ingredient("theta_wax", "Theta Wax", "theta wax", "emulsifying wax", convention="all_in_one")
WATER = Ingredient("aqua", "Aqua", "plain water", "water", convention="outside")


@pytest.fixture
def shelf(enlarged: Callable[..., Library]) -> Library:
    return enlarged(ZETA_TURNED, WAX, WATER)


@pytest.mark.parametrize(
    ("name", "role", "emulsifier"),
    [
        ("alpha oil", "auto", False),
        ("alpha oil", "emulsifier", False),
        ("delta oleate", "auto", True),
        ("delta oleate", "oil", True),
        ("zeta alcohol", "auto", False),
        ("zeta alcohol", "emulsifier", True),
        ("zeta alcohol", "oil", False),
        ("eta stearate", "auto", True),
        ("eta stearate", "oil", False),
        ("eta stearate", "emulsifier", True),
        ("theta wax", "auto", True),
        ("plain water", "emulsifier", False),
        ("nobody knows", "emulsifier", True),
    ],
)
def test_a_role_turns_two_sided_ingredients_only(
    shelf: Library, name: str, role: str, emulsifier: bool
) -> None:
    assert see(Line(name, 1, role=role), shelf).is_emulsifier is emulsifier


@pytest.mark.parametrize(
    ("name", "fat"),
    [
        ("alpha oil", True),
        ("gamma wax", True),
        ("delta oleate", True),
        ("zeta alcohol", True),
        ("eta stearate", True),
        ("theta wax", True),
        ("plain water", False),
        ("nobody knows", False),
    ],
)
def test_oils_and_emulsifiers_make_the_fat_base(shelf: Library, name: str, fat: bool) -> None:
    assert see(Line(name, 1), shelf).is_fat is fat


@pytest.mark.parametrize("name", ["alpha oil", "FIRST OIL", "Huile de Alpha", "alphus inventus seed oil"])
def test_any_name_finds_the_ingredient_and_stays_as_written(tiny_library: Library, name: str) -> None:
    seen = see(Line(name, 12.5), tiny_library)
    assert seen.ingredient is tiny_library.find("alpha oil")
    assert (seen.name, seen.pct, seen.kind) == (name, 12.5, "oil")


@pytest.mark.parametrize("name", ["nobody knows", "", "  "])
def test_a_name_that_nobody_knows_is_seen_without_ingredient(tiny_library: Library, name: str) -> None:
    assert see(Line(name, 1), tiny_library) == Seen(Line(name, 1), None)
    assert see(Line(name, 1), tiny_library).kind == ""


@pytest.mark.parametrize("name", ["cetyl alcohol", "stearic acid"])
def test_fatty_alcohol_and_stearic_acid_count_as_oil_unless_told(library: Library, name: str) -> None:
    assert not see(Line(name, 1), library).is_emulsifier
    assert see(Line(name, 1, role="emulsifier"), library).is_emulsifier


def test_glyceryl_stearate_counts_as_emulsifier_unless_told(library: Library) -> None:
    assert see(Line("glyceryl stearate", 1), library).is_emulsifier
    assert not see(Line("glyceryl stearate", 1, role="oil"), library).is_emulsifier
