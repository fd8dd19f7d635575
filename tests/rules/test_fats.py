"""Figures of a fat phase. Expected values are worked by hand from the rows of the tables."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import Formula, Ingredient, Library, Line, load_library
from hlbcore.ingredients import Property
from hlbcore.rules.fat_figures import composition_of, density_of, property_of, solids_of
from hlbcore.rules.fats import SEMI_DRYING_FROM, TEMPERATURES_C, fat_phase

LIB = load_library()


def fat(name: str, *rows: tuple[str, float | None, float | None]) -> Ingredient:
    """An invented fat with readings (property, temperature, value)."""
    held = tuple(Property(p, "", v, None, None, t, "published", "a") for p, t, v in rows)
    return Ingredient(name, "", name, "butter", form="solid", convention="oil", properties=held)


CURVE = fat(
    "curve", ("solid_fat_content", 10, 80.0), ("solid_fat_content", 20, 60.0), ("solid_fat_content", 30, 10.0)
)


@pytest.mark.parametrize(("at", "value"), [(10, 80), (15, 70), (20, 60), (25, 35), (30, 10)])
def test_solids_are_linear_between_tabulated_temperatures(at: float, value: float) -> None:
    assert solids_of(CURVE, at).value == pytest.approx(value)


def test_solids_below_the_table_are_at_least_what_is_tabulated() -> None:
    figure = solids_of(CURVE, 0)
    assert (figure.value, figure.low, figure.high) == (None, 80.0, 100.0)


def test_solids_above_the_table_are_at_most_what_is_tabulated() -> None:
    figure = solids_of(CURVE, 35)
    assert (figure.value, figure.low, figure.high) == (None, 0.0, 10.0)


def test_a_fat_above_its_melting_figures_has_no_solids() -> None:
    figure = solids_of(fat("molten", ("clear_melting_point", None, 36.0)), 40)
    assert figure.value == 0
    assert "melting" in figure.sources[0]


def test_a_slip_point_does_not_say_that_all_is_melted() -> None:
    assert solids_of(fat("slips", ("slip_melting_point", None, 36.0)), 40).value is None


@pytest.mark.parametrize(("at", "known"), [(0.0, False), (18.0, True), (40.0, True)])
def test_a_liquid_without_a_figure_is_free_of_solids_at_room_temperature(at: float, known: bool) -> None:
    assert (solids_of(LIB.find("sunflower oil"), at).value == 0.0) is known


@pytest.mark.parametrize(
    ("name", "at", "value"),
    [
        ("cocoa butter", 20, 76),
        ("cocoa butter", 25, 69.6),
        ("cocoa butter", 35, 1.1),
        ("palm oil", 40, 4.6),
        ("palm kernel oil", 25, 17.1),
        ("murumuru butter", 10, 80),
    ],
)
def test_solids_of_one_fat_are_those_of_its_table(name: str, at: float, value: float) -> None:
    assert solids_of(LIB.find(name), at).value == pytest.approx(value)


def test_solids_of_a_blend_are_the_weighted_sum() -> None:
    figure = fat_phase({"palm oil": 3, "cocoa butter": 1}).solids(25)
    assert figure.value == pytest.approx((3 * 16.3 + 69.6) / 4)
    assert (figure.coverage, figure.unknown) == (1.0, ())


def test_a_fat_without_a_figure_is_named_and_its_share_said() -> None:
    figure = fat_phase({"palm oil": 1, "shea butter": 3}).solids(25)
    assert figure.value == pytest.approx(16.3)
    assert (figure.coverage, figure.unknown) == (0.25, ("shea butter",))
    assert (figure.low, figure.high) == pytest.approx((16.3 / 4, 16.3 / 4 + 75))


def test_a_phase_without_any_figure_is_unknown() -> None:
    figure = fat_phase({"shea butter": 1}).solids(25)
    assert figure.value is None
    assert figure.text.startswith("unknown")


def test_iodine_value_is_weighted_by_mass() -> None:
    olive, sunflower = 84.5, 129.5  # middles of the ranges recalled
    figure = fat_phase({"olive oil": 3, "sunflower oil": 1}).iodine_value
    assert figure.value == pytest.approx((3 * olive + sunflower) / 4)
    assert set(figure.sources) == {"codex_33_recalled", "codex_210_recalled"}


def test_volumes_add_in_the_density() -> None:
    parts = [density_of(LIB.find(n)).value for n in ("soybean oil", "olive oil")]
    assert parts == [0.9203, 0.9129]
    expected = 2 / (1 / 0.9203 + 1 / 0.9129)
    assert fat_phase({"soybean oil": 1, "olive oil": 1}).density.value == pytest.approx(expected)


def test_a_limit_without_a_value_is_unknown_with_a_high_end() -> None:
    figure = property_of(LIB.find("caprylic/capric triglyceride"), "iodine_value", "")
    assert (figure.value, figure.low, figure.high) == (None, 0.0, 1.0)


def test_composition_takes_the_firmest_reading_of_each_acid() -> None:
    shares = composition_of(LIB.find("babassu oil"), "fatty_acid")
    assert shares["lauric"] == (47.4, "pmc6930611")  # the measured column, not the standard's


def test_an_acid_that_is_not_listed_is_unknown_and_not_zero() -> None:
    figure = fat_phase({"cocoa butter": 1, "olive oil": 1}).composition("fatty_acid")["stearic"]
    assert (figure.value, figure.coverage, figure.unknown) == (37.0, 0.5, ("olive oil",))


def test_melting_range_runs_from_the_lowest_to_the_highest_figure() -> None:
    figure = fat_phase({"beeswax": 1, "cocoa butter": 1}).melting
    assert figure.low is not None
    assert figure.high is not None
    assert figure.low <= 35 < 60 < figure.high


def test_what_is_sold_as_a_liquid_is_no_unknown_melting_figure() -> None:
    assert fat_phase({"beeswax": 1, "sunflower oil": 9}).melting.unknown == ()


def test_unsaturated_fats_bring_the_caution_on_rancidity() -> None:
    finding = fat_phase({"safflower oil": 1}).rancidity
    assert finding is not None
    assert "rancid" in finding.title
    assert fat_phase({"coconut oil": 1}).rancidity is None
    assert SEMI_DRYING_FROM == 100


def test_emulsifiers_and_water_are_no_part_of_the_fat_phase() -> None:
    lines = (Line("olive oil", 20), Line("polysorbate 80", 5), Line("water", 75))
    phase = fat_phase(Formula("x", "o/w cream", lines))
    assert [p.name for p in phase.parts] == ["olive oil"]


def test_a_name_that_nobody_knows_is_unknown_in_every_figure() -> None:
    phase = fat_phase({"oil of nowhere": 1, "olive oil": 1})
    for figure in (phase.solids(25), phase.iodine_value, phase.density, phase.melting):
        assert figure.unknown == ("oil of nowhere",)


def test_the_same_fat_under_two_names_is_one_part() -> None:
    assert len(fat_phase({"shea butter": 1, "Karité butter": 1}).parts) == 1


def test_temperatures_are_those_promised() -> None:
    assert TEMPERATURES_C == (0, 18, 25, 35, 40)


@settings(max_examples=40)
@given(
    shares=st.lists(st.floats(0.01, 100), min_size=3, max_size=3),
    at=st.floats(-20, 80),
    factor=st.floats(0.01, 1000),
)
def test_solids_lie_between_their_ends_and_do_not_depend_on_the_unit(
    shares: list[float], at: float, factor: float
) -> None:
    names = ("palm oil", "cocoa butter", "shea butter")
    figure = fat_phase(dict(zip(names, shares, strict=True))).solids(at)
    scaled = fat_phase({n: x * factor for n, x in zip(names, shares, strict=True)}).solids(at)
    assert figure.low is not None
    assert figure.high is not None
    assert -1e-9 <= figure.low <= figure.high <= 100 + 1e-9
    assert scaled.low == pytest.approx(figure.low)
    assert (scaled.value is None) == (figure.value is None)


def test_another_library_is_used(enlarged: Callable[..., Library]) -> None:
    phase = fat_phase({"curve": 1}, library=enlarged(CURVE))
    assert phase.solids(25).value == pytest.approx(35)
