from __future__ import annotations

import pytest

from hlbcore import Composite, Facts, Finding, Formula, Line, Portion, check, work_out
from hlbcore.checks.colour import colour
from hlbcore.formula.lines import CompositePart


def told(*lines: Line, area: str = "body", blends: tuple[Composite, ...] = ()) -> list[Finding]:
    """Findings on an o/w cream with these lines."""
    formula = Formula(
        "x", "o/w cream", (Line("water", 80, phase="water"), *lines), facts=Facts(area=area), blends=blends
    )
    return colour(work_out(formula))


def of(findings: list[Finding], words: str) -> Finding:
    """The one finding with these words in its title."""
    (found,) = [f for f in findings if words in f.title]
    return found


def test_formula_without_colour_has_no_finding() -> None:
    assert told(Line("olive oil", 20)) == []


def test_amount_of_0_has_no_finding() -> None:
    assert told(Line("FD&C Red No. 3", 0)) == []


def test_listed_colour_is_a_note_with_its_section() -> None:
    found = told(Line("iron oxides", 1))
    assert {f.level for f in found} == {"note"}
    assert "21 CFR 73.2250" in of(found, "listed in the US").rule


def test_titanium_dioxide_and_zinc_oxide_are_colours_too() -> None:
    found = told(Line("titanium dioxide", 1), Line("zinc oxide", 2))
    assert of(found, "listed in the US").figure == "3 % of the formula"


def test_memory_is_said() -> None:
    found = of(told(Line("manganese violet", 1)), "listed in the US")
    assert "From memory, wholly or in part: Manganese violet" in found.detail


@pytest.mark.parametrize("name", ["FD&C Red No. 3", "FD&C Blue No. 2", "lead acetate"])
def test_colour_without_cosmetic_listing_is_a_stop(name: str) -> None:
    found = of(told(Line(name, 0.1)), "not listed for cosmetics")
    assert found.level == "stop"
    assert "FD&C Act 601(e), 721" in found.rule


@pytest.mark.parametrize(
    ("name", "area"),
    [
        ("ultramarines", "lips"),
        ("D&C Red No. 6", "eye area"),
        ("D&C Black No. 2", "body"),
        ("henna", "body"),
        ("D&C Green No. 6", "lips"),
    ],
)
def test_place_that_the_section_leaves_out_is_a_stop(name: str, area: str) -> None:
    found = told(Line(name, 0.1), area=area)
    assert of(found, "not permitted on").level == "stop"
    assert not [f for f in found if "listed in the US" in f.title]


def test_products_named_by_a_section_are_said() -> None:
    found = of(told(Line("D&C Black No. 2", 0.1), area="face"), "only for the products")
    assert found.level == "caution"
    assert "mascara" in found.detail


def test_certified_colour_asks_for_its_lot() -> None:
    assert of(told(Line("Red 40", 0.1)), "lot certificate is missing").level == "caution"


@pytest.mark.parametrize("note", ["lot AB1234", "FDA lot no. AZ-12", "Lot: 77"])
def test_lot_in_the_note_answers_it(note: str) -> None:
    found = told(Line("Red 40", 0.1, note=note))
    assert [f.level for f in found if "lot" in f.title] == ["note"]


@pytest.mark.parametrize("note", ["a lot of it", "parking lot", "lotion 5"])
def test_other_notes_are_no_lot(note: str) -> None:
    assert of(told(Line("Red 40", 0.1, note=note)), "lot certificate is missing")


def test_colour_over_its_limit_is_a_stop_with_what_to_take_out() -> None:
    found = of(told(Line("D&C Orange No. 5", 6, note="lot 1"), area="lips"), "over the limit")
    assert (found.level, found.figure) == ("stop", "6 % of 5 %")
    assert "1 % less" in found.mend


def test_limit_of_lips_does_not_hold_on_the_body() -> None:
    found = told(Line("D&C Orange No. 5", 6, note="lot 1"))
    assert not [f for f in found if "limit" in f.title]


def test_lines_of_one_colour_count_together_by_their_active_part() -> None:
    found = told(Line("D&C Red No. 33", 2, active_pct=50), Line("CI 17200", 2.5, active_pct=100), area="lips")
    assert of(found, "over the limit").figure == "3.5 % of 3 %"


def test_colour_at_its_limit_is_within() -> None:
    found = told(Line("D&C Green No. 8", 0.01))
    assert of(found, "within the limit").level == "note"


@pytest.mark.parametrize("name", ["neon pink pigment", "fluorescent yellow", "day-glow orange"])
def test_neon_is_a_stop(name: str) -> None:
    assert of(told(Line(name, 1)), "neon").level == "stop"


def test_listed_fluorescent_dye_is_no_neon() -> None:
    assert not [f for f in told(Line("D&C Yellow No. 8", 0.1)) if "neon" in f.title]


@pytest.mark.parametrize(
    "line", [Line("rose pigment", 1), Line("sunset mica", 1), Line("xyz", 1, note="soap dye")]
)
def test_unknown_name_that_says_colour_is_said_to_be_unknown(line: Line) -> None:
    found = of(told(line), "an unknown colour")
    assert found.level == "caution"
    assert "CI number" in found.mend


def test_unknown_name_that_says_nothing_is_left_alone() -> None:
    assert told(Line("xyz", 1)) == []


@pytest.mark.parametrize("name", ["spirulina", "beetroot powder", "turmeric"])
def test_food_colour_is_a_caution(name: str) -> None:
    found = of(told(Line(name, 1)), "not a listed colour")
    assert found.level == "caution"
    assert "201(t)" in found.rule


@pytest.mark.parametrize(
    ("note", "level"), [("", "note"), ("absorbs oil", "note"), ("for its colour", "caution")]
)
def test_purpose_of_a_clay_decides(note: str, level: str) -> None:
    assert of(told(Line("kaolin", 2, note=note)), "not a listed colour").level == level


def test_known_plant_material_used_for_colour_is_a_caution() -> None:
    found = of(told(Line("olive oil", 2, note="for colour")), "not a listed colour")
    assert found.level == "caution"


def test_mica_alone_asks_what_sits_on_it() -> None:
    assert of(told(Line("mica", 1)), "mica alone").level == "note"


def test_mixture_goes_by_its_strictest_part() -> None:
    found = told(Line("mica with titanium dioxide and ultramarines", 1), area="lips")
    assert "Ultramarines" in of(found, "not permitted on the lips").detail
    assert "held back by Ultramarines" in of(found, "a colour of its own").detail


def test_bought_blend_of_colours_goes_by_its_strictest_part() -> None:
    parts = (CompositePart("mica", 80), CompositePart("chromium oxide green", 20))
    found = told(Line("forest", 2), area="lips", blends=(Composite("forest", parts),))
    assert of(found, "chromium oxide green: not permitted").figure == "0.4 % of the formula"
    assert "held back by Chromium oxide greens" in of(found, "forest: a mixture").detail
    assert not [f for f in found if "mica alone" in f.title]


def test_pearl_base_asks_for_the_suppliers_statement() -> None:
    found = of(told(Line("synthetic fluorphlogopite", 2)), "statement is missing")
    assert found.level == "caution"


def test_glitter_is_a_stop() -> None:
    assert of(told(Line("gold glitter", 2)), "glitter").level == "stop"


def test_eu_list_is_said_to_differ_once() -> None:
    found = told(Line("carmine", 1), Line("annatto", 1))
    assert "Annex IV" in of(found, "the EU has a list of its own").rule


def test_each_portion_is_checked_apart() -> None:
    formula = Formula(
        "Scrub",
        "wash-off scrub",
        (
            Line("sunflower oil", 100, phase="oil"),
            Line("iron oxides", 1, portion="red"),
            Line("neon green pigment", 1, portion="green"),
        ),
        portions=(Portion("red", 50), Portion("green", 50)),
    )
    titles = [f.title for f in check(formula) if f.level == "stop"]
    assert titles == ["Scrub, green: neon green pigment: neon and fluorescent pigments are not listed"]


def test_text_never_promises() -> None:
    found = told(Line("mica", 1), Line("Red 40", 1), Line("kaolin", 1), Line("henna", 1))
    said = " ".join(f"{f.title} {f.detail} {f.mend}" for f in found).casefold()
    assert not [w for w in ("stable", "is safe", "may be left out") if w in said]
