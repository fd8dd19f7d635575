"""How a line counts: by its ingredient, and for two-sided ones and unknown names as the line says."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from hlbcore import Composite, Estimate, Formula, Ingredient, Library, Line
from hlbcore.counting.counted import Counted, count, readings_to_choose
from hlbcore.formula.lines import KINDS, CompositePart

ZETA_TURNED = Ingredient(
    "eta_stearate", "Eta Stearate", "eta stearate", "emulsifier", "nonionic", convention="emulsifier_or_oil"
)
WAX = Ingredient("theta_wax", "Theta Wax", "theta wax", "emulsifying wax", convention="all_in_one")
WATER = Ingredient("aqua", "Aqua", "plain water", "water", convention="outside")


@pytest.fixture
def shelf(enlarged: Callable[..., Library]) -> Library:
    return enlarged(ZETA_TURNED, WAX, WATER)


def see(line: Line, library: Library) -> Counted:
    (found,) = count(Formula(lines=[line]), library)
    return found


def test_the_last_word_of_an_unknown_name_makes_its_kind_only_for_a_line_of_the_oil_phase(
    library: Library,
) -> None:
    told, untold = (see(Line("aunt's butter", 20, counts=c), library) for c in ("oil", "auto"))
    assert (told.kind, told.side) == ("butter", "oil")
    assert told.estimate is not None
    assert (untold.side, untold.estimate) == ("unknown", None)


@pytest.mark.parametrize(
    ("name", "counts", "emulsifier"),
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
def test_a_side_turns_two_sided_ingredients_only(
    shelf: Library, name: str, counts: str, emulsifier: bool
) -> None:
    assert see(Line(name, 1, counts=counts), shelf).is_emulsifier is emulsifier


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
    seen = see(Line(name, 1), tiny_library)
    assert (seen.ingredient, seen.side, seen.kind, seen.estimate) == (None, "unknown", "", None)


def test_a_blank_line_is_left_out(tiny_library: Library) -> None:
    lines = [Line("", ""), Line("alpha oil", 1)]
    assert [x.number for x in count(Formula(lines=lines), tiny_library)] == [1]


@pytest.mark.parametrize(
    ("name", "counts", "words"),
    [
        ("alpha oil", "emulsifier", "'alpha oil' counts as oil only"),
        ("delta oleate", "oil", "'delta oleate' counts as emulsifier only"),
    ],
)
def test_a_side_that_does_not_hold_is_said(tiny_library: Library, name: str, counts: str, words: str) -> None:
    assert see(Line(name, 1, counts=counts), tiny_library).problem.startswith(words)


@pytest.mark.parametrize("name", ["alpha oil", "delta oleate", "zeta alcohol", "nobody knows"])
def test_any_line_may_be_left_outside(tiny_library: Library, name: str) -> None:
    seen = see(Line(name, 1, counts="outside"), tiny_library)
    assert (seen.side, seen.estimate, seen.problem) == ("outside", None, "")


@pytest.mark.parametrize("kind", KINDS)
def test_an_unknown_name_counts_as_the_kind_that_it_is_given(library: Library, kind: str) -> None:
    seen = see(Line("nobody knows", 1, counts=kind), library)
    assert (seen.kind, seen.side) == (kind, "oil" if kind in ("fragrance", "essential oil") else "outside")


def test_an_unknown_name_with_a_figure_of_its_own_is_an_oil(tiny_library: Library) -> None:
    assert see(Line("house oil", 1, own=9), tiny_library).side == "oil"


def test_the_active_part_counts_of_the_whole(library: Library) -> None:
    seen = see(Line("lecithin", 4, active=50), library)
    assert (seen.pct, seen.active) == (4, 2)


@pytest.mark.parametrize("name", ["cetyl alcohol", "stearic acid"])
def test_fatty_alcohol_and_stearic_acid_count_as_oil_unless_told(library: Library, name: str) -> None:
    assert not see(Line(name, 1), library).is_emulsifier
    assert see(Line(name, 1, counts="emulsifier"), library).is_emulsifier


def test_glyceryl_stearate_counts_as_emulsifier_unless_told(library: Library) -> None:
    assert see(Line("glyceryl stearate", 1), library).is_emulsifier
    assert not see(Line("glyceryl stearate", 1, counts="oil"), library).is_emulsifier


# --- bought blends

WAX_PARTS = Composite(
    "house wax", (CompositePart("cetearyl alcohol", 80), CompositePart("polysorbate 60", 20))
)


def test_a_wax_of_80_to_20_at_6_beside_2_of_fatty_alcohol(library: Library) -> None:
    lines = [Line("House Wax", 6, phase="oil", note="flakes"), Line("cetearyl alcohol", 2, phase="oil")]
    found = count(Formula(lines=lines, blends=(WAX_PARTS,)), library)
    assert [(x.name, round(x.pct, 9), x.side, x.is_part, x.number) for x in found] == [
        ("cetearyl alcohol", 4.8, "oil", True, 0),
        ("polysorbate 60", 1.2, "emulsifier", True, 0),
        ("cetearyl alcohol", 2.0, "oil", False, 1),
    ]
    assert {x.line for x in found[:2]} == {lines[0]}
    assert [x.label for x in found] == [
        "cetearyl alcohol in House Wax",
        "polysorbate 60 in House Wax",
        "cetearyl alcohol",
    ]


def test_a_part_of_a_blend_takes_no_figure_of_the_line(library: Library) -> None:
    found = count(Formula(lines=[Line("house wax", 6, own=9)], blends=(WAX_PARTS,)), library)
    assert Estimate.exactly(9) not in [x.estimate for x in found]


def test_emulsifiers_of_one_name_have_labels_of_their_own(tiny_library: Library) -> None:
    names = ("delta ester", "Delta Ester", "delta ester (again 1)", "delta ester", "delta ester (again 1)")
    labels = [x.label for x in count(Formula(lines=[Line(n, 1) for n in names]), tiny_library)]
    assert labels[:2] == ["delta ester", "Delta Ester (again 1)"]
    assert len({x.casefold() for x in labels}) == len(names)


# --- own figures


@pytest.mark.parametrize(
    ("own", "low", "value", "high"),
    [("9", 9, 9, 9), ("8 to 12", 8, 10, 12), ("8,5-9,5", 8.5, 9, 9.5), ("9 (8 to 14)", 8, 9, 14)],
    ids=["number", "range", "decimal comma", "value and range"],
)
@pytest.mark.parametrize("name", ["alpha oil", "delta oleate", "nobody knows"])
def test_an_own_figure_leads_over_the_tables(
    tiny_library: Library, name: str, own: str, low: float, value: float, high: float
) -> None:
    seen = see(Line(name, 1, own=own), tiny_library)
    assert seen.estimate is not None
    assert (seen.estimate.low, seen.estimate.value, seen.estimate.high) == (low, value, high)
    assert seen.basis == "own value"


@pytest.mark.parametrize("name", ["my butter", "shea butter"])
def test_own_kind_takes_the_range_of_the_kind(library: Library, name: str) -> None:
    seen = see(Line(name, 1, own="Butter"), library)
    assert seen.estimate == library.class_estimate("butter")
    assert seen.basis == "class range (plant oil or butter)"


def test_class_range_takes_that_of_its_own_kind(library: Library) -> None:
    seen = see(Line("shea butter", 1, own="class range"), library)
    assert seen.basis == "class range (plant oil or butter)"


@pytest.mark.parametrize("reading", [9, 14])
def test_a_chosen_reading_keeps_the_range_of_the_tables(reading: int, tiny_library: Library) -> None:
    seen = see(Line("gamma wax", 10, own=f"reading {reading}"), tiny_library)
    assert seen.problem == ""
    assert seen.estimate is not None
    assert (seen.estimate.low, seen.estimate.value, seen.estimate.high) == (9, reading, 14)


@pytest.mark.parametrize(
    ("name", "own", "words"),
    [
        ("alpha oil", "nonsense", "neither a number nor a kind"),
        ("alpha oil", "<b>butter</b>", "neither a number nor a kind"),
        ("alpha oil", "butter", "neither a number nor a kind"),
        ("alpha oil", "emulsifier", "there is no range for its kind"),
        ("alpha oil", "reading 30", "30 is none of its readings"),
        ("nobody knows", "reading 9", "9 is none of its readings"),
        ("delta oleate", "low", "'low' is not an HLB"),
    ],
)
def test_an_own_figure_that_cannot_be_used_is_said_and_the_tables_hold(
    tiny_library: Library, name: str, own: str, words: str
) -> None:
    seen = see(Line(name, 1, own=own), tiny_library)
    assert words in seen.problem
    assert seen.problem.endswith(".")
    assert seen.estimate == see(Line(name, 1), tiny_library).estimate


def test_readings_to_choose_are_those_that_a_line_takes(tiny_library: Library) -> None:
    offered = readings_to_choose("gamma wax", "o/w", tiny_library)
    assert offered == ("reading 9", "reading 12", "reading 14")
    assert {see(Line("gamma wax", 1, own=own), tiny_library).problem for own in offered} == {""}


@pytest.mark.parametrize("name", ["alpha oil", "nobody", "delta ester"])
def test_there_is_nothing_to_choose_where_sources_agree(name: str, tiny_library: Library) -> None:
    assert readings_to_choose(name, "", tiny_library) == ()
