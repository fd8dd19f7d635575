from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hlbcore import (
    Estimate,
    Formula,
    Ingredient,
    InvalidInput,
    Library,
    Line,
    MissingValue,
    Reading,
    RequiredHlb,
    UnknownIngredient,
    required_hlb,
    work_out,
)
from hlbcore.counting.required import CONTRIBUTION_COLUMNS
from hlbcore.errors import EmptyPhase
from hlbcore.ingredients import Property


def titles(found: RequiredHlb, level: str = "") -> list[str]:
    return [f.title for f in found.cautions if not level or f.level == level]


def reasons(found: RequiredHlb) -> dict[str, str]:
    return {e.name: e.reason for e in found.excluded}


def counted(found: RequiredHlb) -> dict[str, float]:
    return {p.name: p.mass for p in found.parts}


def prop(name: str, value: float, unit: str = "-") -> Property:
    return Property(name, unit, value, None, None, None, "published", "a")


WATER = Ingredient("water", "Aqua", "water", "water")
CLAY = Ingredient("clay", "", "clay", "powder")
READY = Ingredient("ready_wax", "", "ready wax", "emulsifying wax", convention="all_in_one")
# an acid value of 280.53 mg KOH/g is 5 mmol/g
ACID = Ingredient(
    "acid",
    "",
    "theta acid",
    "fatty acid",
    convention="oil_or_emulsifier",
    ow_readings=(Reading(15.0, "published", "a"),),
    properties=(prop("acid_value", 280.53),),
)
LYE = Ingredient(
    "lye",
    "",
    "lye",
    "base",
    convention="base",
    properties=(prop("equivalents_per_mol", 1.0), prop("molar_mass", 40.0)),
)
PERFUME = Ingredient(
    "perfume",
    "Parfum",
    "perfume",
    "fragrance",
    convention="oil",
    ow_readings=(Reading(14.0, "published", "a"),),
)
ESTER = Ingredient(
    "both_ester",
    "",
    "both ester",
    "emulsifier",
    "nonionic",
    convention="emulsifier_or_oil",
    hlb_readings=(Reading(4.0, "published", "a"),),
    ow_readings=(Reading(13.0, "published", "a"),),
)
BLANK = Ingredient("blank_butter", "", "blank butter", "butter", convention="oil")
KIN = [
    Ingredient(
        f"kin_{v}", "", f"kin {v}", "butter", convention="oil", ow_readings=(Reading(v, "published", "a"),)
    )
    for v in (6, 7, 9)
]


# --- the sum


def test_required_hlb_is_the_mean_by_mass(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 3, "beta oil": 1}, library=tiny_library)
    assert found.value == pytest.approx((3 * 6.5 + 10) / 4)


def test_pairs_of_mass_and_figure_need_no_names() -> None:
    assert required_hlb([(3, 6.5), (1, "10,0")]).value == pytest.approx(7.375)


def test_pairs_of_name_and_mass_are_as_a_mapping(tiny_library: Library) -> None:
    pairs = required_hlb([("alpha oil", 3), ("beta oil", "1")], library=tiny_library)
    assert pairs.value == required_hlb({"alpha oil": 3, "beta oil": 1}, library=tiny_library).value


def test_range_is_the_sum_of_the_ranges(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 1, "beta oil": 1}, library=tiny_library)
    assert (found.low, found.high) == pytest.approx(((5.5 + 9) / 2, (8 + 12) / 2))


def test_doubts_that_move_together_weigh_more_than_independent_ones() -> None:
    found = required_hlb([(1, Estimate(8, 7, 9)), (1, Estimate(10, 9, 11))])
    assert found.sd == pytest.approx(math.sqrt(2) * found.sd_independent)


def test_contribution_column_adds_to_the_value(tiny_library: Library) -> None:
    phase = {"alpha oil": 3, "beta oil": 1.7, "gamma wax": 0.9}
    found = required_hlb(phase, library=tiny_library)
    assert found.contributions["contribution"].sum() == pytest.approx(found.value)
    assert found.contributions["share_pct"].sum() == pytest.approx(100)


def test_contributions_have_exactly_the_columns_described(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 3}, library=tiny_library)
    assert list(found.contributions.columns) == list(CONTRIBUTION_COLUMNS)


def test_working_shows_the_numbers_put_in() -> None:
    found = required_hlb([(10, 7), (30, 11)])
    assert found.working == "(10 × 7 + 30 × 11) / (10 + 30) = 10"


FIGURES = st.integers(0, 400).map(lambda n: n / 10)
PHASES = st.lists(st.tuples(st.integers(1, 10_000).map(lambda n: n / 100), FIGURES), min_size=1, max_size=8)


@given(PHASES)
def test_result_lies_within_its_inputs(phase: list[tuple[float, float]]) -> None:
    value = required_hlb(phase).value
    assert min(r for _, r in phase) <= value <= max(r for _, r in phase)


@given(PHASES, st.floats(-6, 6))
def test_scale_of_masses_does_not_matter(phase: list[tuple[float, float]], power: float) -> None:
    scaled = [(m * 10**power, r) for m, r in phase]
    assert required_hlb(scaled).value == pytest.approx(required_hlb(phase).value)


@given(PHASES)
def test_order_of_lines_does_not_matter(phase: list[tuple[float, float]]) -> None:
    assert required_hlb(phase[::-1]).value == pytest.approx(required_hlb(phase).value)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.dictionaries(
        st.sampled_from(["alpha oil", "beta oil", "gamma wax"]), st.integers(1, 1000), min_size=1
    ),
    st.floats(-6, 6),
)
def test_scale_and_order_of_named_lines_do_not_matter(
    tiny_library: Library, phase: dict[str, int], power: float
) -> None:
    plain = required_hlb(phase, library=tiny_library)
    turned = required_hlb({n: phase[n] * 10**power for n in reversed(phase)}, library=tiny_library)
    assert (turned.low, turned.value, turned.high) == pytest.approx((plain.low, plain.value, plain.high))


# --- who counts


def test_emulsifiers_do_not_count_in_the_oil_phase(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 10, "epsilon oleate": 5}, library=tiny_library)
    assert found.value == 6.5
    assert reasons(found) == {"epsilon oleate": "emulsifiers do not count in the oil phase"}


@pytest.mark.parametrize("extra", [WATER, CLAY, READY, LYE], ids=lambda i: i.id)
def test_water_side_powders_bases_and_ready_waxes_do_not_count(
    enlarged: Callable[..., Library], extra: Ingredient
) -> None:
    found = required_hlb({"alpha oil": 10, extra.common_name: 50}, library=enlarged(extra))
    assert (found.value, found.mass) == (6.5, 10)
    assert list(reasons(found)) == [extra.common_name]


def test_ready_wax_is_taken_as_it_is(enlarged: Callable[..., Library]) -> None:
    found = required_hlb({"alpha oil": 10, "ready wax": 5}, library=enlarged(READY))
    assert "ready wax is taken as it is" in titles(found)


def test_own_value_does_not_move_an_emulsifier_into_the_oil_phase(tiny_library: Library) -> None:
    phase = {"alpha oil": 10, "epsilon oleate": 5}
    found = required_hlb(phase, values={"epsilon oleate": 15}, library=tiny_library)
    assert found.value == 6.5
    assert "The value given for epsilon oleate is not used" in titles(found, "caution")


def test_two_sided_alcohol_counts_as_oil_unless_told_otherwise(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 1, "zeta alcohol": 1}, library=tiny_library)
    assert found.value == pytest.approx((6.5 + 15) / 2)


def test_two_sided_alcohol_can_be_counted_as_emulsifier(tiny_library: Library) -> None:
    found = required_hlb(
        {"alpha oil": 1, "zeta alcohol": 1}, sides={"Zeta Alcohol": "emulsifier"}, library=tiny_library
    )
    assert found.value == 6.5
    assert reasons(found) == {"zeta alcohol": "counted as emulsifier by choice"}


def test_two_sided_ester_counts_as_emulsifier_unless_told_otherwise(enlarged: Callable[..., Library]) -> None:
    phase = {"alpha oil": 1, "both ester": 1}
    assert required_hlb(phase, library=enlarged(ESTER)).value == 6.5
    found = required_hlb(phase, sides={"both ester": "oil"}, library=enlarged(ESTER))
    assert found.value == pytest.approx((6.5 + 13) / 2)


@pytest.mark.parametrize(("side", "other"), [("oil", 6.5), ("emulsifier", 10.75)])
def test_other_side_of_a_two_sided_ingredient_is_shown(
    tiny_library: Library, side: str, other: float
) -> None:
    found = required_hlb(
        {"alpha oil": 1, "zeta alcohol": 1}, sides={"zeta alcohol": side}, library=tiny_library
    )
    shown = [o.estimate.value for o in found.others if o.name == "zeta alcohol" and o.estimate]
    assert shown == [pytest.approx(other)]


def test_sides_more_than_the_window_apart_are_a_caution(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 1, "zeta alcohol": 1}, library=tiny_library)
    assert "zeta alcohol stands on both sides" in titles(found, "caution")


def test_sides_within_the_window_are_a_note(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 99, "zeta alcohol": 1}, library=tiny_library)
    assert "zeta alcohol stands on both sides" in titles(found, "note")


def test_side_of_a_one_sided_ingredient_is_refused(tiny_library: Library) -> None:
    with pytest.raises(InvalidInput, match=r"side of 'alpha oil': it stands on one side only. Leave"):
        required_hlb({"alpha oil": 1}, sides={"alpha oil": "emulsifier"}, library=tiny_library)


def test_unknown_side_is_refused(tiny_library: Library) -> None:
    with pytest.raises(InvalidInput, match=r"side of 'zeta alcohol': 'left' .* Use oil, emulsifier"):
        required_hlb({"zeta alcohol": 1}, sides={"zeta alcohol": "left"}, library=tiny_library)


@pytest.mark.parametrize("name", ["cetyl alcohol", "stearic acid"])
def test_fatty_alcohols_and_stearic_acid_count_as_oil_by_default(library: Library, name: str) -> None:
    assert counted(required_hlb({"olive oil": 10, name: 2}))[name] == 2


def test_glyceryl_stearate_counts_as_emulsifier_by_default() -> None:
    found = required_hlb({"olive oil": 10, "glyceryl stearate": 2})
    assert reasons(found) == {"glyceryl stearate": "counted as emulsifier"}


# --- soap


def test_neutralised_acid_leaves_the_phase_by_its_acid_value(enlarged: Callable[..., Library]) -> None:
    # 10 g of acid hold 50 mmol; 0.8 g of lye of 40 g/mol are 20 mmol: 4 g become soap
    found = required_hlb({"alpha oil": 20, "theta acid": 10, "lye": 0.8}, library=enlarged(ACID, LYE))
    assert found.soap == pytest.approx(4.0)
    assert counted(found)["theta acid"] == pytest.approx(6.0)
    assert "A soap forms" in titles(found, "note")


def test_acid_and_soap_add_to_the_acid_given(enlarged: Callable[..., Library]) -> None:
    found = required_hlb({"alpha oil": 20, "theta acid": 10, "lye": 0.8}, library=enlarged(ACID, LYE))
    gone = sum(e.mass for e in found.excluded if e.name == "theta acid")
    assert gone + counted(found)["theta acid"] == pytest.approx(10)


@pytest.mark.parametrize(("base", "level"), [("sodium hydroxide", "stop"), ("triethanolamine", "caution")])
def test_more_base_than_acid_is_a_stop_for_lye(base: str, level: str) -> None:
    found = required_hlb({"mineral oil": 20, "stearic acid": 5, base: 9})
    assert "More base than fatty acid" in titles(found, level)
    assert "stearic acid" not in counted(found)


def test_base_that_just_neutralises_leaves_nothing_over(enlarged: Callable[..., Library]) -> None:
    found = required_hlb({"alpha oil": 20, "theta acid": 10, "lye": 2.0}, library=enlarged(ACID, LYE))
    assert [f.title for f in found.cautions if "More base" in f.title] == []
    assert found.soap == pytest.approx(10, rel=1e-3)


def test_what_else_takes_the_base_is_named_and_nothing_is_called_caustic() -> None:
    found = required_hlb({"olive oil": 20, "stearic acid": 5, "citric acid": 1, "sodium hydroxide": 2})
    (left,) = [f for f in found.cautions if f.title == "More base than fatty acid"]
    assert left.level == "caution"
    assert left.detail.startswith("citric acid takes part of the base")


def test_acid_without_base_counts_in_full(enlarged: Callable[..., Library]) -> None:
    found = required_hlb({"alpha oil": 20, "theta acid": 10}, library=enlarged(ACID))
    assert (found.soap, counted(found)["theta acid"]) == (0, 10)


def test_base_without_molar_mass_is_said_and_the_acid_counts_in_full(
    enlarged: Callable[..., Library],
) -> None:
    unknown = Ingredient("lye", "", "lye", "base", convention="base")
    found = required_hlb({"theta acid": 10, "lye": 1}, library=enlarged(ACID, unknown))
    assert "Soap cannot be computed" in titles(found, "caution")
    assert counted(found)["theta acid"] == 10


def test_borax_takes_only_the_free_acid_of_beeswax() -> None:
    # 0.2 g / 381.37 g/mol * 2 = 1.0488 mmol; times 396.7 g/mol = 0.416 g of cerotic acid
    found = required_hlb({"beeswax": 4, "mineral oil": 16, "borax": 0.2})
    assert found.soap == pytest.approx(0.2 / 381.37 * 2 * 396.7, rel=1e-3)
    assert counted(found)["beeswax"] == pytest.approx(4 - found.soap)


def test_beeswax_is_never_all_soap() -> None:
    found = required_hlb({"beeswax": 4, "mineral oil": 16, "borax": 3})
    assert 0 < found.soap < 1
    assert "More base than fatty acid" in titles(found, "caution")


# --- fragrance


def test_fragrance_counts(enlarged: Callable[..., Library]) -> None:
    found = required_hlb({"alpha oil": 9, "perfume": 1}, library=enlarged(PERFUME))
    assert found.value == pytest.approx((9 * 6.5 + 14) / 10)


def test_fragrance_can_be_left_out(enlarged: Callable[..., Library]) -> None:
    found = required_hlb({"alpha oil": 9, "perfume": 1}, count_fragrance=False, library=enlarged(PERFUME))
    assert found.value == 6.5
    assert reasons(found) == {"perfume": "fragrance left out by choice"}


@pytest.mark.parametrize(("counts", "other"), [(True, 6.5), (False, 7.25)])
def test_result_of_the_other_choice_on_fragrance_is_shown(
    enlarged: Callable[..., Library], counts: bool, other: float
) -> None:
    found = required_hlb({"alpha oil": 9, "perfume": 1}, count_fragrance=counts, library=enlarged(PERFUME))
    shown = [o.estimate.value for o in found.others if o.name == "fragrance" and o.estimate]
    assert shown == [pytest.approx(other)]


@pytest.mark.parametrize(("share", "said"), [("0.4 %", True), ("0.5 %", False), ("2 %", False)])
def test_fragrance_below_half_a_per_cent_is_negligible(
    enlarged: Callable[..., Library], share: str, said: bool
) -> None:
    found = required_hlb({"alpha oil": "20 %", "perfume": share}, library=enlarged(PERFUME))
    assert ("Fragrance is negligible here" in titles(found, "note")) is said


def test_fragrance_share_goes_by_the_whole_formula_where_given(enlarged: Callable[..., Library]) -> None:
    found = required_hlb({"alpha oil": 200, "perfume": 3}, whole=1000, library=enlarged(PERFUME))
    assert "Fragrance is negligible here" in titles(found)


# --- figures that are missing, disputed or the user's own


def test_ingredient_without_a_figure_takes_its_class_range_and_is_listed(
    enlarged: Callable[..., Library],
) -> None:
    found = required_hlb({"alpha oil": 1, "blank butter": 1}, library=enlarged(BLANK, *KIN))
    part = found.parts[1]
    assert found.unknown == ("blank butter",)
    assert (part.estimate.low, part.estimate.value, part.estimate.high) == (5, 7, 10)
    assert part.basis == "class range (butter)"
    assert "No required HLB is known for blank butter" in titles(found, "caution")


def test_ingredient_without_a_figure_still_counts_in_the_mass(enlarged: Callable[..., Library]) -> None:
    found = required_hlb({"alpha oil": 1, "blank butter": 3}, library=enlarged(BLANK, *KIN))
    assert found.mass == 4
    assert found.value == pytest.approx((6.5 + 3 * 7) / 4)


def test_ask_raises_for_an_ingredient_without_a_figure(enlarged: Callable[..., Library]) -> None:
    with pytest.raises(MissingValue, match=r"No o/w required HLB .*'blank butter'.*range of its kind"):
        required_hlb({"blank butter": 1}, unknown="ask", library=enlarged(BLANK, *KIN))


def test_oil_without_figure_and_class_is_bounded_and_leaves_the_value(
    enlarged: Callable[..., Library],
) -> None:
    found = required_hlb({"blank butter": 1, "alpha oil": 3}, library=enlarged(BLANK))
    assert found.unknown == ("blank butter",)
    assert (found.value, found.mass, found.bounded_share) == (6.5, 4, 0.25)
    alpha = required_hlb({"alpha oil": 3}, library=enlarged(BLANK))
    assert found.low == pytest.approx((3 * alpha.low + 4) / 4)
    assert found.high == pytest.approx((3 * alpha.high + 17) / 4)
    assert "blank butter has no figure" in titles(found, "note")


def test_phase_of_nothing_but_what_has_neither_figure_nor_class_raises(
    enlarged: Callable[..., Library],
) -> None:
    with pytest.raises(MissingValue) as caught:
        required_hlb({"blank butter": 1}, library=enlarged(BLANK))
    assert caught.value.names == ("blank butter",)


def test_own_value_fills_a_missing_figure(enlarged: Callable[..., Library]) -> None:
    found = required_hlb(
        {"blank butter": 1}, values={"Blank Butter": "8,5"}, unknown="ask", library=enlarged(BLANK)
    )
    assert (found.value, found.parts[0].basis, found.unknown) == (8.5, "own value", ())


def test_own_value_leads_over_the_tables(tiny_library: Library) -> None:
    assert required_hlb({"alpha oil": 1}, values={"first oil": 9}, library=tiny_library).value == 9


def test_own_value_may_be_an_estimate(tiny_library: Library) -> None:
    own = Estimate(9, 7, 12)
    found = required_hlb({"alpha oil": 1}, values={"alpha oil": own}, library=tiny_library)
    assert (found.low, found.value, found.high) == (7, 9, 12)


@pytest.mark.parametrize("word", ["butter", " Butter "])
def test_own_value_may_be_the_name_of_a_kind(enlarged: Callable[..., Library], word: str) -> None:
    found = required_hlb({"my fat": 1}, values={"my fat": word}, library=enlarged(*KIN))
    assert (found.low, found.value, found.high) == (5, 7, 10)
    assert found.parts[0].basis == "class range (butter)"


def test_own_value_class_range_means_its_own_kind(enlarged: Callable[..., Library]) -> None:
    found = required_hlb({"kin 6": 1}, values={"kin 6": "class range"}, library=enlarged(*KIN))
    assert found.value == 7


def test_unknown_name_with_a_value_of_its_own_counts(tiny_library: Library) -> None:
    found = required_hlb({"my oil": 1, "alpha oil": 1}, values={"my oil": 9.5}, library=tiny_library)
    assert found.value == 8


def test_unknown_names_of_symbols_keep_their_own_values(tiny_library: Library) -> None:
    found = required_hlb({"🧈": 1, "🥥": 1}, values={"🧈": 6, "🥥": 9}, library=tiny_library)
    assert found.value == 7.5


def test_a_name_that_only_tells_its_kind_takes_the_range_of_its_class(library: Library) -> None:
    found = required_hlb({"moon nut oil": 5, "soybean oil": 5}, library=library)
    assert found.parts[0].basis == "class range (plant oil or butter)"
    assert (found.mass, found.unknown) == (10, ("moon nut oil",))


def test_unknown_name_is_told_close_matches(tiny_library: Library) -> None:
    with pytest.raises(UnknownIngredient, match="Did you mean 'alpha oil'"):
        required_hlb({"alfa oil": 1}, library=tiny_library)


@pytest.mark.parametrize("value", [41, -1, math.nan, "heavy"])
def test_own_value_that_cannot_be_used_is_refused(tiny_library: Library, value: float) -> None:
    with pytest.raises(InvalidInput, match="value of 'alpha oil': "):
        required_hlb({"alpha oil": 1}, values={"alpha oil": value}, library=tiny_library)


def test_disputed_figure_shows_the_results_with_the_other_readings(tiny_library: Library) -> None:
    # 9, 12 and 14: starts at 12, the others are 9 and 14
    found = required_hlb({"alpha oil": 1, "gamma wax": 1}, library=tiny_library)
    assert found.value == pytest.approx((6.5 + 12) / 2)
    shown = [o.estimate.value for o in found.others if o.name == "gamma wax" and o.estimate]
    assert shown == pytest.approx([(6.5 + 9) / 2, (6.5 + 14) / 2])
    assert "Sources disagree on gamma wax" in titles(found, "caution")


def test_figures_that_agree_bring_no_dispute(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 1}, library=tiny_library)
    assert (found.others, titles(found, "caution")) == ((), [])


def test_missing_wo_value_is_named_and_never_taken_from_ow(tiny_library: Library) -> None:
    with pytest.raises(MissingValue, match=r"No w/o .*'beta oil'\. .*o/w value is never used") as c:
        required_hlb({"alpha oil": 1, "beta oil": 1}, emulsion="w/o", library=tiny_library)
    assert c.value.names == ("beta oil",)


def test_wo_uses_wo_figures(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 1}, emulsion="W/O", library=tiny_library)
    assert (found.value, found.emulsion) == (4.0, "w/o")


@pytest.mark.parametrize(
    ("option", "message"),
    [
        ({"emulsion": "cream"}, r"emulsion: 'cream' .* Use o/w, w/o"),
        ({"unknown": "guess"}, r"unknown: 'guess' .* Use class range, ask"),
        ({"window": -1}, "window: -1 is negative"),
        ({"whole": 0}, "whole formula: 0 is too small"),
    ],
    ids=["emulsion", "unknown", "window", "whole"],
)
def test_option_that_cannot_be_used_is_refused(
    tiny_library: Library, option: dict[str, object], message: str
) -> None:
    with pytest.raises(InvalidInput, match=message):
        required_hlb({"alpha oil": 1}, library=tiny_library, **option)  # type: ignore[arg-type]


# --- lines and units


def test_one_ingredient_named_twice_is_added_and_said(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 1, "first oil": 2, "beta oil": 1}, library=tiny_library)
    assert counted(found) == {"alpha oil": 3, "beta oil": 1}
    assert "alpha oil stands more than once" in titles(found, "note")


def test_amounts_typed_in_per_cent(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": "12,5 %", "beta oil": "12.5"}, library=tiny_library)
    assert found.mass == 25


def test_units_of_mass_are_turned_to_grams(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": "1 oz", "beta oil": "0.5 kg"}, library=tiny_library)
    assert counted(found) == pytest.approx({"alpha oil": 28.349523125, "beta oil": 500})


def test_per_cent_with_grams_is_refused(tiny_library: Library) -> None:
    with pytest.raises(InvalidInput, match=r"'beta oil': per cent and units of mass are mixed"):
        required_hlb({"alpha oil": "10 %", "beta oil": "5 g"}, library=tiny_library)


def test_bare_number_beside_units_of_mass_is_refused(tiny_library: Library) -> None:
    with pytest.raises(InvalidInput, match=r"'beta oil': the unit is missing.*Add g, oz or lb"):
        required_hlb({"alpha oil": "10 g", "beta oil": 5}, library=tiny_library)


def test_blank_rows_are_skipped(tiny_library: Library) -> None:
    rows = [("alpha oil", 1), ("", ""), ("  ", None), (None, None), ("beta oil", 1)]
    found = required_hlb(rows, library=tiny_library)  # type: ignore[arg-type]
    assert list(counted(found)) == ["alpha oil", "beta oil"]


def test_amount_without_a_name_is_refused_with_its_line(tiny_library: Library) -> None:
    with pytest.raises(InvalidInput, match="oil phase, line 2: there is an amount, 5, but no name"):
        required_hlb([("alpha oil", 1), ("", 5)], library=tiny_library)


def test_name_without_an_amount_is_refused(tiny_library: Library) -> None:
    with pytest.raises(InvalidInput, match=r"oil phase, 'beta oil': the amount is blank\. Enter"):
        required_hlb([("alpha oil", 1), ("beta oil", "")], library=tiny_library)


@pytest.mark.parametrize(
    ("amount", "problem"),
    [
        ("ten", "'ten' is not a number"),
        (-2, "-2 is negative"),
        ("-2 g", "-2 is negative"),
        (math.nan, "nan is not a finite number"),
        (math.inf, "inf is not a finite number"),
        (True, "True is not a number"),
        ("1e308 kg", "inf is not a finite number"),
    ],
    ids=str,
)
def test_amount_that_cannot_be_used_is_refused_with_its_line(
    tiny_library: Library, amount: float | str, problem: str
) -> None:
    with pytest.raises(InvalidInput) as caught:
        required_hlb({"alpha oil": amount}, library=tiny_library)
    assert str(caught.value).startswith(f"oil phase, 'alpha oil': {problem}")


def test_estimate_where_the_mass_belongs_is_refused(tiny_library: Library) -> None:
    with pytest.raises(InvalidInput, match=r"an Estimate stands where the mass belongs\. Give the"):
        required_hlb([("alpha oil", Estimate.exactly(8))], library=tiny_library)


def test_line_of_three_entries_is_refused() -> None:
    with pytest.raises(InvalidInput, match="oil phase, line 1: two entries are wanted"):
        required_hlb([("alpha oil", 1, 2)])  # type: ignore[list-item]


def test_largest_numbers_work() -> None:
    found = required_hlb([(1e308, 6), (1e308, 8)])
    assert found.value == 7
    assert found.mass == math.inf


def test_largest_numbers_of_one_ingredient_are_refused_and_not_infinite(tiny_library: Library) -> None:
    with pytest.raises(InvalidInput, match="'first oil' twice: inf is not a finite number"):
        required_hlb({"alpha oil": 1e308, "first oil": 1e308}, library=tiny_library)


@pytest.mark.parametrize("phase", [{}, [], {"alpha oil": 0}, {"epsilon oleate": 5}], ids=str)
def test_phase_with_nothing_that_counts_is_empty(tiny_library: Library, phase: object) -> None:
    with pytest.raises(EmptyPhase, match=r"The oil phase has no amount above 0. Enter an amount for"):
        required_hlb(phase, library=tiny_library)  # type: ignore[arg-type]


def test_empty_phase_names_what_was_left_out(tiny_library: Library) -> None:
    with pytest.raises(EmptyPhase, match="left out: epsilon oleate"):
        required_hlb({"epsilon oleate": 5}, library=tiny_library)


def test_line_of_amount_zero_does_not_move_the_result(tiny_library: Library) -> None:
    found = required_hlb({"alpha oil": 1, "beta oil": 0}, library=tiny_library)
    assert (found.low, found.value, found.high) == (5.5, 6.5, 8.0)


@pytest.mark.parametrize("name", ["x" * 10_000, "🧈" * 10_000, "<img onerror=x>" * 700])
def test_very_long_name_gets_a_short_message(tiny_library: Library, name: str) -> None:
    with pytest.raises(UnknownIngredient) as caught:
        required_hlb({name: 1}, library=tiny_library)
    assert len(str(caught.value)) < 300


def test_inputs_are_not_changed(tiny_library: Library) -> None:
    phase: dict[str, float | str] = {"alpha oil": 1, "first oil": "2"}
    values: dict[str, float | str | Estimate] = {"alpha oil": 9}
    required_hlb(phase, values=values, library=tiny_library)
    assert (phase, values) == ({"alpha oil": 1, "first oil": "2"}, {"alpha oil": 9})


@pytest.mark.parametrize(("window", "level"), [(4.2, "caution"), (4.25, "note"), (4.3, "note")])
def test_remark_on_two_sides_turns_at_the_window(tiny_library: Library, window: float, level: str) -> None:
    # 10.75 as oil, 6.5 as emulsifier: 4.25 apart
    phase = {"alpha oil": 1, "zeta alcohol": 1}
    found = required_hlb(phase, window=window, library=tiny_library)
    assert "zeta alcohol stands on both sides" in titles(found, level)


@pytest.mark.parametrize(("butter", "level"), [(10.0, "note"), (10.2, "caution")])
def test_a_class_range_is_a_caution_where_it_moves_the_sum_by_more_than_the_window(
    butter: float, level: str
) -> None:
    # butters run from 5 to 9 about 7: half of the phase moves the sum by 1, which is the window
    lines = [Line("aunt's butter", butter, counts="oil"), Line("sunflower oil", 20 - butter)]
    required = work_out(Formula("x", "o/w cream", [*lines, Line("polysorbate 80", 4)])).required
    assert required is not None
    doubts = [f for f in required.cautions if "No required HLB is known" in f.title]
    assert [f.level for f in doubts] == [level]


def test_a_value_for_something_not_in_the_phase_is_named() -> None:
    found = required_hlb({"olive oil": 1}, values={"shea buter": 9}).cautions
    assert any("value given for shea buter is not used" in f.title for f in found)


def test_a_base_without_fatty_acid_is_cautioned() -> None:
    found = required_hlb({"olive oil": 10, "sodium hydroxide": 1}).cautions
    assert any(f.title == "A base without fatty acid" and "caustic" in f.detail for f in found)


def test_the_range_of_a_value_can_be_typed() -> None:
    found = required_hlb({"my oil": 1}, values={"my oil": "4 to 6"})
    assert (found.low, found.value, found.high) == (4.0, 5.0, 6.0)


@pytest.mark.parametrize(("side", "said"), [("emulsifier", True), ("oil", False)])
def test_what_counts_as_emulsifier_is_sent_to_the_emulsifiers(side: str, said: bool) -> None:
    phase = required_hlb({"olive oil": 20, "glyceryl stearate": 2}, sides={"glyceryl stearate": side})
    (found,) = [f for f in phase.cautions if "stands on both sides" in f.title]
    assert ("List it among the emulsifiers too" in found.mend) == said
