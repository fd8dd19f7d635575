from __future__ import annotations

import dataclasses
from collections.abc import Callable

import pytest

from hlbcore import (
    Ingredient,
    InvalidInput,
    Library,
    MissingValue,
    OwnReading,
    Reading,
    UnknownIngredient,
    load_library,
)
from hlbcore.ingredients import Property, fold
from hlbcore.library import _with_own
from hlbcore.sources import Source


@pytest.mark.parametrize(
    "name",
    ["alpha_oil", "Alphus Inventus Seed Oil", "alpha oil", "first oil", "huile dé alpha"],
    ids=["id", "INCI", "common name", "alias", "alias with accent"],
)
def test_ingredient_is_found_by_any_of_its_names(tiny_library: Library, name: str) -> None:
    assert tiny_library.find(name).id == "alpha_oil"


@pytest.mark.parametrize(
    "name", ["ALPHA OIL", "  alpha   oil ", "alpha-oil", "Âlphà öil", "alphaoil", "ａｌｐｈａ oil"]
)
def test_case_spacing_punctuation_and_accents_are_free(tiny_library: Library, name: str) -> None:
    assert tiny_library.find(name).id == "alpha_oil"


def test_unknown_name_is_told_close_matches(tiny_library: Library) -> None:
    with pytest.raises(UnknownIngredient, match="Did you mean 'alpha oil'") as caught:
        tiny_library.find("alfa oil")
    assert caught.value.close[0] == "alpha oil"
    assert caught.value.name == "alfa oil"


def test_part_of_a_name_is_a_close_match(tiny_library: Library) -> None:
    with pytest.raises(UnknownIngredient) as caught:
        tiny_library.find("epsilon")
    assert "epsilon oleate" in caught.value.close


def test_at_most_three_close_matches_are_named(library: Library) -> None:
    with pytest.raises(UnknownIngredient) as caught:
        library.find("seed oil")
    assert 1 <= len(caught.value.close) <= 3


@pytest.mark.parametrize("look_up", ["find", "oil", "emulsifier"])
@pytest.mark.parametrize(
    "name",
    ["x" * 10_000, "🧈" * 10_000, "<b>" * 5_000, "<script>alert(1)</script>", "🧈", "", "  ", "\n"],
    ids=["long", "long emoji", "long HTML", "HTML", "emoji", "nothing", "blanks", "line end"],
)
def test_odd_names_are_unknown_with_a_short_message(library: Library, name: str, look_up: str) -> None:
    with pytest.raises(UnknownIngredient) as caught:
        getattr(library, look_up)(name)
    assert len(str(caught.value)) < 300
    assert "\n" not in str(caught.value)


def test_very_long_name_is_not_compared_with_the_tables(library: Library) -> None:
    with pytest.raises(UnknownIngredient) as caught:
        library.find("olive oil" * 1000)
    assert caught.value.close == ()


def test_names_of_symbols_alone_stay_apart() -> None:
    assert fold("🧈") != fold("🥥")


def test_oil_asked_as_emulsifier_is_refused_with_the_reason(tiny_library: Library) -> None:
    with pytest.raises(UnknownIngredient, match=r"'alpha oil' is no emulsifier: .*never emulsify"):
        tiny_library.emulsifier("alpha oil")


def test_emulsifier_asked_as_oil_is_refused_with_the_reason(tiny_library: Library) -> None:
    with pytest.raises(UnknownIngredient, match=r"is no oil-phase .*its HLB is no required HLB"):
        tiny_library.oil("delta oleate")


def test_two_sided_ingredient_stands_on_both_sides(tiny_library: Library) -> None:
    assert tiny_library.oil("zeta alcohol") is tiny_library.emulsifier("zeta alcohol")


def test_close_matches_come_from_the_side_asked_for(tiny_library: Library) -> None:
    with pytest.raises(UnknownIngredient) as caught:
        tiny_library.emulsifier("alpha oleate")
    assert "alpha oil" not in caught.value.close


def test_sides_list_what_may_stand_there(tiny_library: Library) -> None:
    assert [i.id for i in tiny_library.oils] == ["alpha_oil", "beta_oil", "gamma_wax", "zeta_alcohol"]
    assert [i.id for i in tiny_library.emulsifiers] == ["delta_ester", "epsilon_ester", "zeta_alcohol"]


@pytest.mark.parametrize("name", ["beeswax", "cera alba"])
def test_beeswax_is_never_an_emulsifier(library: Library, name: str) -> None:
    with pytest.raises(UnknownIngredient, match="is no emulsifier"):
        library.emulsifier(name)


def test_water_is_no_oil(library: Library) -> None:
    with pytest.raises(UnknownIngredient, match="is no oil-phase ingredient: it is of kind water"):
        library.oil("water")


def test_emulsifier_of_the_tables_has_its_own_hlb_and_no_required_hlb(tiny_library: Library) -> None:
    delta = tiny_library.emulsifier("delta oleate")
    assert delta.hlb is not None
    assert delta.required_hlb("o/w") is None


def test_wo_value_is_never_filled_from_ow(tiny_library: Library) -> None:
    assert tiny_library.oil("beta oil").required_hlb("w/o") is None


def test_ow_and_wo_values_are_kept_apart(tiny_library: Library) -> None:
    alpha = tiny_library.oil("alpha oil")
    both = [alpha.required_hlb("o/w"), alpha.required_hlb("w/o")]
    assert [e.value for e in both if e] == [6.5, 4.0]


def test_unknown_emulsion_type_is_refused(tiny_library: Library) -> None:
    with pytest.raises(InvalidInput, match=r"emulsion: 'o/o' .* Use o/w, w/o"):
        tiny_library.oil("alpha oil").required_hlb("o/o")


def test_required_hlb_has_the_wide_floor_and_a_defined_hlb_the_narrow_one(tiny_library: Library) -> None:
    wide = tiny_library.oil("zeta alcohol").required_hlb()
    narrow = tiny_library.emulsifier("delta oleate").hlb
    assert wide is not None
    assert narrow is not None
    assert (wide.spread, narrow.spread) == (2.0, 1.0)


def kin(*values: float | None) -> list[Ingredient]:
    return [
        Ingredient(
            f"kin_{n}",
            "",
            f"kin {n}",
            "butter",
            convention="oil",
            ow_readings=() if v is None else (Reading(v, "published", "a"),),
        )
        for n, v in enumerate(values)
    ]


def test_class_range_spans_the_kind_around_its_median(enlarged: Callable[..., Library]) -> None:
    spread = enlarged(*kin(6, 9, 7, None)).class_estimate("butter")
    assert spread is not None
    assert (spread.low, spread.value, spread.high) == (5, 7, 10)
    assert spread.grade == "class range"


def test_class_range_needs_three_figures(enlarged: Callable[..., Library]) -> None:
    assert enlarged(*kin(6, 9, None)).class_estimate("butter") is None


def test_class_range_of_wo_is_never_filled_from_ow(enlarged: Callable[..., Library]) -> None:
    assert enlarged(*kin(6, 9, 7)).class_estimate("butter", "w/o") is None


def test_fragrance_takes_the_range_of_essential_oils(library: Library) -> None:
    assert library.class_estimate("fragrance") == library.class_estimate("essential oil")


def overlaid(library: Library, *own: OwnReading) -> Library:
    for reading in own:
        library = _with_own(library, reading)
    return library


def test_own_reading_leads(tiny_library: Library) -> None:
    found = overlaid(tiny_library, OwnReading("alpha oil", 9.0)).oil("alpha oil").required_hlb()
    assert found is not None
    assert (found.value, found.grade) == (9.0, "own")


def test_readings_of_the_tables_stay_visible_under_an_own_one(tiny_library: Library) -> None:
    rows = overlaid(tiny_library, OwnReading("alpha oil", 9.0)).oil("alpha oil").ow_readings
    assert [(r.value, r.grade) for r in rows] == [
        (9.0, "own"),
        (6.0, "published"),
        (6.5, "published"),
        (8.0, "craft"),
    ]


def test_own_reading_is_found_by_any_name(tiny_library: Library) -> None:
    found = overlaid(tiny_library, OwnReading("FIRST oil", 9.0)).oil("alpha_oil").required_hlb()
    assert found is not None
    assert found.value == 9.0


def test_own_reading_of_an_unknown_name_makes_an_ingredient(tiny_library: Library) -> None:
    mine = overlaid(tiny_library, OwnReading("My own butter", 8.0, kind="butter"))
    assert mine.oil("my OWN butter").kind == "butter"


def test_own_hlb_of_an_unknown_name_makes_an_emulsifier(tiny_library: Library) -> None:
    mine = overlaid(tiny_library, OwnReading("my ester", 8.0, quantity="HLB"))
    found = mine.emulsifier("my ester").hlb
    assert found is not None
    assert found.value == 8.0


def test_library_is_not_changed_by_an_overlay() -> None:
    before = load_library()
    figure = before.oil("shea butter").required_hlb()
    mine = load_library([OwnReading("shea butter", 15.0), OwnReading("brand new oil", 8.0)])
    assert mine != before
    assert load_library() is before
    assert before.oil("shea butter").required_hlb() == figure
    with pytest.raises(UnknownIngredient):
        before.find("brand new oil")


@pytest.mark.parametrize("emulsion", ["O/W", " o/w "])
def test_own_ow_reading_never_lands_in_wo(tiny_library: Library, emulsion: str) -> None:
    beta = overlaid(tiny_library, OwnReading("beta oil", 9.0, emulsion=emulsion)).oil("beta oil")
    assert beta.ow_readings[0].value == 9.0
    assert beta.wo_readings == ()


def test_own_wo_reading_does_not_touch_ow(tiny_library: Library) -> None:
    mine = overlaid(tiny_library, OwnReading("beta oil", 5.0, emulsion="w/o")).oil("beta oil")
    assert mine.ow_readings == tiny_library.oil("beta oil").ow_readings


def test_own_reading_is_never_narrower_than_half_a_rung() -> None:
    reading = OwnReading("x", 9.0, half_rung=0.8).reading
    assert (reading.low, reading.high) == pytest.approx((8.2, 9.8))


def test_own_reading_is_never_narrower_than_a_half() -> None:
    reading = OwnReading("x", 9.0, half_rung=0.1).reading
    assert (reading.low, reading.high) == (8.5, 9.5)


def test_own_range_wider_than_the_rung_is_kept() -> None:
    reading = OwnReading("x", 9.0, low=6.0, high=12.0).reading
    assert (reading.low, reading.high) == (6.0, 12.0)


def test_own_reading_carries_its_circumstances() -> None:
    reading = OwnReading(
        "x", 9.0, pair="a and b", method="ladder", on="2026-03-01", trial="T4", dose_pct=5, temperature_c=20
    ).reading
    assert reading.where == "T4 2026-03-01"
    assert reading.note == "pair a and b; dose 5 %; 20 °C; ladder"


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"name": " "}, "the name is blank. Name the ingredient"),
        ({"value": 41}, "value: 41 is out of range. Enter 0 to 40"),
        ({"value": float("nan")}, "value: nan is not a finite number"),
        ({"low": 10}, "the value lies outside its range. Mend the range"),
        ({"high": 8}, "the value lies outside its range. Mend the range"),
        ({"quantity": "density"}, "quantity: 'density' is not one of the choices"),
        ({"emulsion": "w/w"}, "emulsion: 'w/w' is not one of the choices"),
        ({"half_rung": -1}, "half rung: -1 is negative"),
    ],
    ids=lambda x: next(iter(x)) if isinstance(x, dict) else "",
)
def test_own_reading_that_cannot_be_used_is_refused(given: dict[str, object], message: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        OwnReading(**{"name": "x", "value": 9.0, **given})  # type: ignore[arg-type]
    assert message in str(caught.value)


def test_library_and_ingredients_cannot_be_changed(tiny_library: Library) -> None:
    with pytest.raises(TypeError):
        tiny_library.ingredients["x"] = tiny_library.find("alpha oil")  # type: ignore[index]
    with pytest.raises(dataclasses.FrozenInstanceError):
        tiny_library.find("alpha oil").kind = "wax"  # type: ignore[misc]


def test_built_in_library_is_shared() -> None:
    assert load_library() is load_library()


def test_libraries_are_equal_by_digest(enlarged: Callable[..., Library]) -> None:
    assert enlarged() == enlarged()
    assert hash(enlarged()) == hash(enlarged())
    assert enlarged() != enlarged(*kin(6))


def prop(value: float | None, grade: str, low: float | None = None) -> Property:
    return Property("acid_value", "mg KOH/g", value, low, None if low is None else low + 10, None, grade, "a")


def test_firmest_property_reading_leads() -> None:
    held = Ingredient("x", "", "x", "wax", properties=(prop(20, "craft"), prop(18, "published")))
    assert held.property_value("acid_value").middle == 18


def test_property_with_a_range_only_counts_with_its_middle() -> None:
    held = Ingredient("x", "", "x", "wax", properties=(prop(None, "published", low=17),))
    assert held.property_value("acid_value").middle == 22


def test_missing_property_is_asked_for(tiny_library: Library) -> None:
    with pytest.raises(MissingValue, match=r"No acid value is known for 'alpha oil'\. Give the"):
        tiny_library.find("alpha oil").property_value("acid_value")


def test_memory_source_says_so_in_its_citation() -> None:
    assert Source("k", "memory", "A. Author", "Title").citation == (
        "A. Author. Title (from memory, not opened)"
    )


@pytest.mark.parametrize(
    ("note", "end"), [("abstract only seen", " (abstract only seen)"), ("abstract and Table 4 seen", "")]
)
def test_a_source_of_which_the_abstract_alone_was_seen_says_so(note: str, end: str) -> None:
    assert Source("k", "paper", "A. Author", "Title", note=note).citation == f"A. Author. Title{end}"


def test_citation_of_a_seen_source_says_nothing_of_memory() -> None:
    assert Source("k", "paper", "A. Author.", "Title", "1999").citation == "A. Author. Title. 1999"


def test_the_spread_of_a_kind_counts_the_oil_phase_alone(enlarged: Callable[..., Library]) -> None:
    away = dataclasses.replace(kin(15)[0], id="away", common_name="away", convention="outside")
    spread = enlarged(*kin(6, 9, 7), away).class_estimate("butter")
    assert spread is not None
    assert spread.high == 10


def test_an_ingredient_reads_well_at_the_prompt(library: Library) -> None:
    assert repr(library.oil("cocoa butter")).startswith(
        "cocoa butter (Theobroma Cacao Seed Butter), butter; required HLB o/w 6.0 (5.0 to 7.0;"
    )
    assert repr(library).startswith("Library of ")


@pytest.mark.parametrize("name", ["argan", "kokum", "tea tree", "e-wax"])
def test_short_names_of_the_bench_are_found(name: str) -> None:
    assert load_library().find(name)
