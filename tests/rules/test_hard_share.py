from __future__ import annotations

import pytest

from hlbcore import Composite, Formula, Library, Line, Portion
from hlbcore.formula.lines import CompositePart
from hlbcore.rules.hard_share import compare_hard_share, hard_share, is_hard, melting_c


def butter(*lines: Line, name: str = "x", **more: object) -> Formula:
    return Formula(name, "whipped butter", lines, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "hard"),
    [
        ("stearic acid", True),
        ("cetearyl alcohol", True),
        ("candelilla wax", True),
        ("sorbitan stearate", True),
        ("cocoa butter", True),
        ("mango butter", True),
        ("palm oil", True),
        ("cetyl palmitate", True),
        ("coconut oil", False),
        ("oleic acid", False),
        ("sunflower oil", False),
        ("polysorbate 60", False),
        ("lecithin", None),
    ],
)
def test_hard_follows_form_and_for_fats_the_melting_figure(
    library: Library, name: str, hard: bool | None
) -> None:
    assert is_hard(library.find(name)) is hard


def test_melting_figure_is_that_of_the_highest_reading(library: Library) -> None:
    assert melting_c(library.find("mango butter")) == 33.1


def test_no_melting_figure_is_none(library: Library) -> None:
    assert melting_c(library.find("lecithin")) is None


def test_water_and_grains_are_outside_the_fat_base() -> None:
    share = hard_share(
        butter(Line("water", 50), Line("sugar", 20), Line("beeswax", 3), Line("olive oil", 27))
    )
    assert share.fat_base_pct == 30
    assert share.of_fat_pct == pytest.approx(10)
    assert share.of_jar_pct == 3


def test_unknown_name_in_the_oil_phase_counts_as_unknown() -> None:
    share = hard_share(butter(Line("mystery fat", 25, phase="oil"), Line("olive oil", 75)))
    assert [p.name for p in share.unknown] == ["mystery fat"]
    assert (share.of_fat_pct, share.of_fat_high_pct) == (0, 25)


def test_unknown_name_elsewhere_is_no_fat() -> None:
    assert hard_share(butter(Line("mystery juice", 25, phase="water"))).fat_base_pct == 0


def test_empty_fat_base_gives_0() -> None:
    share = hard_share(butter())
    assert (share.of_fat_pct, share.of_fat_high_pct, share.highest_melting) == (0, 0, None)


def test_bought_blend_counts_by_its_parts() -> None:
    blend = Composite("own wax", (CompositePart("cetearyl alcohol", 80), CompositePart("polysorbate 80", 20)))
    share = hard_share(butter(Line("own wax", 10), Line("olive oil", 90), blends=(blend,)))
    assert share.of_fat_pct == pytest.approx(8)


def test_portions_stand_aside() -> None:
    formula = butter(
        Line("beeswax", 10),
        Line("olive oil", 90),
        Line("cocoa butter", 5, portion="dark"),
        portions=(Portion("dark", 100),),
    )
    assert hard_share(formula).of_fat_pct == 10


def test_highest_melting_part_is_named() -> None:
    top = hard_share(butter(Line("cocoa butter", 50), Line("beeswax", 50))).highest_melting
    assert top is not None
    assert top.name == "beeswax"


@pytest.mark.parametrize(("wax", "word"), [(20, "10 points more"), (5, "5 points less")])
def test_difference_is_told_in_points_of_the_reference(wax: float, word: str) -> None:
    reference = butter(Line("olive oil", 90), Line("beeswax", 10), name="last winter")
    mine = butter(Line("olive oil", 100 - wax), Line("beeswax", wax), name="new")
    text = compare_hard_share(mine, reference).text
    assert f"{word} than your reference, last winter" in text


def test_difference_is_that_of_the_fat_base_where_the_jar_shows_none() -> None:
    reference = butter(Line("olive oil", 90), Line("beeswax", 10))
    mine = butter(Line("olive oil", 40), Line("beeswax", 10), Line("sugar", 50))
    both = compare_hard_share(mine, reference)
    assert both.points_of_fat == pytest.approx(10)
    assert both.formula.of_jar_pct == both.reference.of_jar_pct
