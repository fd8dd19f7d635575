from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from hlbcore import (
    Estimate,
    Formula,
    Ingredient,
    InvalidInput,
    Library,
    Line,
    MissingValue,
    Reading,
    UnknownIngredient,
    blend_hlb,
    product_types,
    work_out,
)
from hlbcore.blending.candidates import candidates
from hlbcore.blending.choice import GAP_LEAST, GAP_MOST, choose_emulsifiers, openers
from hlbcore.blending.marks import emulsifier_findings, mark
from hlbcore.errors import EmptyPhase


def emulsifier(
    name: str,
    *values: float,
    family: str = "ethoxylated alcohol",
    chain: str = "oleic",
    charge: str = "nonionic",
    grade: str = "published",
) -> Ingredient:
    return Ingredient(
        name.replace(" ", "_"),
        "",
        name,
        "emulsifier",
        charge,
        family,
        chain,
        "liquid",
        True,
        "emulsifier",
        hlb_readings=tuple(Reading(v, grade, f"s{n}") for n, v in enumerate(values)),
    )


IONIC = emulsifier("theta sulfate", 10.0, charge="anionic", family="sulfate")
CATION = emulsifier("iota quat", charge="cationic", family="quaternary")


@pytest.mark.parametrize(
    "name",
    [
        "sodium oleate",
        "sodium stearoyl lactylate",
        "behentrimonium chloride",
        "stearamidopropyl dimethylamine",
        "sodium lauryl sulfate",
        "potassium cetyl phosphate",
        "glyceryl stearate SE",
        "lecithin",
        "emulsifying wax NF",
        "acrylates/C10-30 alkyl acrylate crosspolymer",
        "glyceryl stearate citrate",
    ],
)
def test_emulsifiers_that_hlb_says_little_about_are_marked(library: Library, name: str) -> None:
    held = library.emulsifier(name)
    found = emulsifier_findings([held])
    assert mark(held)
    assert f"HLB says little about {held.common_name}" in [f.title for f in found]


@pytest.mark.parametrize("name", ["polysorbate 80", "sorbitan oleate", "glyceryl stearate"])
def test_plain_nonionics_are_not_marked(library: Library, name: str) -> None:
    assert mark(library.emulsifier(name)) == ""


def test_every_charged_emulsifier_of_the_tables_is_marked(library: Library) -> None:
    charged = [i for i in library.emulsifiers if i.charge not in ("", "nonionic")]
    assert charged
    assert [i.id for i in charged if not mark(i)] == []


def test_opposite_charges_are_a_stop() -> None:
    found = emulsifier_findings([IONIC, CATION])
    assert (found[0].level, found[0].title) == ("stop", "Anionic with cationic")
    assert "theta sulfate and iota quat" in found[0].detail


@pytest.mark.parametrize("other", [IONIC, emulsifier("kappa ether", 12.0), None], ids=str)
def test_one_charge_is_no_stop(other: Ingredient | None) -> None:
    assert "stop" not in [f.level for f in emulsifier_findings([IONIC, other])]


def test_a_name_that_fixes_no_figure_is_a_caution() -> None:
    found = emulsifier_findings([emulsifier("lambda ester", 5.0, 12.0)])
    assert found[0].title == "Sources disagree on lambda ester"
    assert found[0].figure == "7 HLB apart"


@pytest.mark.parametrize("kind", product_types(), ids=lambda k: k.name)
def test_solubility_is_a_caution_exactly_in_products_without_water(kind: object) -> None:
    found = emulsifier_findings([emulsifier("kappa ether", 12.0)], kind)  # type: ignore[arg-type]
    said = any("dissolved" in f.title for f in found)
    assert said is kind.anhydrous  # type: ignore[attr-defined]


def test_what_hlb_leaves_out_is_always_said() -> None:
    assert emulsifier_findings([])[-1].title == "What HLB leaves out"


# --- candidates


def test_candidates_keep_the_order_given(tiny_library: Library) -> None:
    found = candidates(["epsilon oleate", "delta oleate"], tiny_library)
    assert [(c.label, c.estimate.value) for c in found] == [("epsilon oleate", 15.0), ("delta oleate", 4.0)]


def test_candidates_may_be_labels_with_figures(tiny_library: Library) -> None:
    found = candidates({"mine": "8,5", "delta oleate": Estimate(4.5, 4, 5)}, tiny_library)
    assert [c.estimate.value for c in found] == [8.5, 4.5]
    assert [c.ingredient is None for c in found] == [True, False]


def test_oil_is_no_candidate(tiny_library: Library) -> None:
    with pytest.raises(UnknownIngredient, match="'alpha oil' is no emulsifier"):
        candidates(["alpha oil"], tiny_library)


def test_candidate_without_a_figure_is_asked_for(enlarged: Callable[..., Library]) -> None:
    with pytest.raises(MissingValue, match=r"No HLB is known for 'iota quat'\. It is cationic"):
        candidates(["iota quat"], enlarged(CATION))


def test_candidate_named_twice_is_refused(tiny_library: Library) -> None:
    with pytest.raises(InvalidInput, match=r"'delta_ester': it is 'delta oleate' again\. Keep one"):
        candidates(["delta oleate", "delta_ester"], tiny_library)


def test_no_candidates_is_an_empty_list(tiny_library: Library) -> None:
    with pytest.raises(EmptyPhase, match="Name at least one emulsifier"):
        candidates([], tiny_library)


@pytest.mark.parametrize("value", [-1, 41, math.nan])
def test_candidate_figure_off_the_scale_is_refused(value: float) -> None:
    with pytest.raises(InvalidInput, match="HLB of 'mine': "):
        candidates({"mine": value})


# --- amounts of a blend


def test_amounts_of_a_blend_in_different_units_of_mass_are_turned_to_grams(tiny_library: Library) -> None:
    typed = blend_hlb({"delta oleate": "1 oz", "epsilon oleate": "10 g"}, library=tiny_library)
    plain = blend_hlb({"delta oleate": 28.349523125, "epsilon oleate": 10}, library=tiny_library)
    assert typed.value == pytest.approx(plain.value)


@pytest.mark.parametrize("other", ["10 %", "10", 10], ids=repr)
def test_units_of_mass_beside_other_amounts_of_a_blend_are_refused(
    tiny_library: Library, other: float | str
) -> None:
    with pytest.raises(InvalidInput, match=r"are mixed\. Use one|unit is missing.*\. Add g"):
        blend_hlb({"delta oleate": "1 oz", "epsilon oleate": other}, library=tiny_library)


# --- the tool's own choice


def chosen(library: Library, target: float, **options: object) -> tuple[str, ...]:
    return choose_emulsifiers(target, library=library, **options).names  # type: ignore[arg-type]


@pytest.mark.parametrize("target", [4.0, 4.3, 6.0, 8.0, 10.0, 12.0, 14.0])
def test_one_stands_below_and_one_above_the_target(library: Library, target: float) -> None:
    low, high = (library.emulsifier(n).hlb for n in chosen(library, target))
    assert low is not None
    assert high is not None
    assert low.value <= target < high.value
    assert GAP_LEAST <= high.value - low.value <= GAP_MOST


def test_pair_of_one_fatty_chain_leads(enlarged: Callable[..., Library]) -> None:
    other = emulsifier("aaa stearyl", 14.0, chain="stearic", family="polysorbate")
    assert chosen(enlarged(other), 10.0) == ("delta oleate", "epsilon oleate")


def test_pair_of_different_chains_is_taken_where_no_other_is(tiny_library: Library) -> None:
    found = choose_emulsifiers(10.0, library=tiny_library)
    assert "same fatty chain (oleic)" in found.reason


@pytest.mark.parametrize(
    ("low", "high", "named"), [(8.0, 10.9, False), (8.0, 11.0, True), (3.0, 15.0, True), (2.9, 15.0, False)]
)
def test_pair_stands_3_to_12_apart(
    enlarged: Callable[..., Library], low: float, high: float, named: bool
) -> None:
    library = enlarged(emulsifier("low one", low), emulsifier("high one", high))
    found = chosen(library, 10.0, shelf=["low one", "high one"])
    assert bool(found) is named


def test_ionics_are_chosen_only_if_allowed(enlarged: Callable[..., Library]) -> None:
    library = enlarged(IONIC)
    shelf = ["theta sulfate", "epsilon oleate"]
    assert chosen(library, 12.0, shelf=shelf) == ()
    assert chosen(library, 12.0, shelf=shelf, ionics=True) == ("theta sulfate", "epsilon oleate")


def test_choice_without_a_pair_says_why(enlarged: Callable[..., Library]) -> None:
    found = choose_emulsifiers(12.0, shelf=["epsilon oleate"], library=enlarged())
    assert found.reason == (
        "no pair on the shelf stands on both sides of HLB 12.0 with 3 to 12 between them; "
        "ionics were not allowed"
    )


def test_above_20_only_if_ionics_are_allowed(enlarged: Callable[..., Library]) -> None:
    library = enlarged(emulsifier("long ether", 25.0))
    shelf = ["epsilon oleate", "long ether"]
    assert chosen(library, 18.0, shelf=shelf) == ()
    assert chosen(library, 18.0, shelf=shelf, ionics=True) == ("epsilon oleate", "long ether")


def test_disputed_emulsifier_is_not_chosen(enlarged: Callable[..., Library]) -> None:
    library = enlarged(emulsifier("lambda ester", 5.0, 9.0))
    assert chosen(library, 10.0, shelf=["lambda ester", "epsilon oleate"]) == ()


def test_choice_stays_on_the_shelf(library: Library) -> None:
    shelf = ["sorbitan stearate", "polysorbate 60"]
    assert chosen(library, 10.0, shelf=shelf) == ("sorbitan stearate", "polysorbate 60")


def test_oil_on_the_shelf_is_refused(library: Library) -> None:
    with pytest.raises(UnknownIngredient, match="'olive oil' is no emulsifier"):
        chosen(library, 10.0, shelf=["olive oil"])


@pytest.mark.parametrize("target", [math.nan, -1.0, 41.0])
def test_target_off_the_scale_is_refused(target: float) -> None:
    with pytest.raises(InvalidInput, match="target: "):
        choose_emulsifiers(target)


@pytest.mark.parametrize("kind", [k for k in product_types() if k.role == "secondary"], ids=lambda k: k.name)
def test_one_hydrophilic_emulsifier_where_dispersal_is_the_aim(library: Library, kind: object) -> None:
    found = choose_emulsifiers(8.0, kind, library=library)  # type: ignore[arg-type]
    assert len(found.names) == 1
    own = library.emulsifier(found.names[0]).hlb
    assert own is not None
    assert own.value > 8.0 + 1.0
    assert "dispersal" in found.reason


def test_one_solubiliser_for_clear_products(library: Library) -> None:
    found = choose_emulsifiers(12.0, "clear solubilised product", library=library)
    own = library.emulsifier(found.names[0]).hlb
    assert len(found.names) == 1
    assert own is not None
    assert 15 <= own.value <= 18


@pytest.mark.parametrize("name", ["whipped butter", "conditioner"])
def test_no_emulsifier_where_none_is_called_for(library: Library, name: str) -> None:
    found = choose_emulsifiers(8.0, name, library=library)
    assert found.names == ()
    assert found.reason


@pytest.mark.parametrize(("target", "side"), [(17.0, "above"), (2.5, "below")])
def test_openers_stand_on_the_side_that_is_not_reached(library: Library, target: float, side: str) -> None:
    found = [library.emulsifier(o.rsplit(" (", 1)[0]).hlb for o in openers(target, [4, 15], library)]
    assert found
    assert all(e is not None and (e.value > target) is (side == "above") for e in found)


def test_emulsifier_that_sits_on_the_target_may_be_the_lower_one(tiny_library: Library) -> None:
    assert chosen(tiny_library, 4.0) == ("delta oleate", "epsilon oleate")


@pytest.mark.parametrize("name", ["poloxamer 188", "polyglyceryl-3 polyricinoleate", "sucrose stearate"])
def test_polymers_and_sucrose_esters_are_marked(library: Library, name: str) -> None:
    found = emulsifier_findings([library.emulsifier(name)])
    assert any(f.title.startswith("HLB says little about") for f in found)


# --- what is at hand comes first


def test_a_pair_at_hand_is_chosen_before_a_better_one_of_the_tables() -> None:
    choice = choose_emulsifiers(10.0, at_hand=["laureth-4", "laureth-23", "shea butter"])
    assert choice.names == ("laureth-4", "laureth-23")
    assert choice.reason.endswith("on your shelf")


def test_with_one_of_a_pair_at_hand_it_says_which_one_more_would_do() -> None:
    choice = choose_emulsifiers(10.0, at_hand=["sorbitan oleate"])
    assert choice.names == ("sorbitan oleate", "polysorbate 80")
    assert "polysorbate 80 is not on your shelf: one more to get" in choice.reason


def test_with_nothing_at_hand_that_serves_the_usual_pair_stays() -> None:
    choice = choose_emulsifiers(10.0, at_hand=["shea butter"])
    assert choice.names == choose_emulsifiers(10.0).names
    assert "not on your shelf: sorbitan stearate and polysorbate 60" in choice.reason


def test_one_hydrophilic_at_hand_serves_where_dispersal_is_the_aim() -> None:
    assert choose_emulsifiers(8.0, "wash-off scrub", at_hand=["laureth-23"]).names == ("laureth-23",)


def test_the_proposal_of_a_formula_takes_from_the_shelf() -> None:
    lines = [Line("mineral oil", 20, phase="oil"), Line("water", 75, phase="water")]
    oils = Formula("Cream", "o/w cream", lines)
    shelf = ("laureth-4", "laureth-23")
    assert set(work_out(oils, shelf=shelf).proposal.labels) == set(shelf)
    assert work_out(work_out(oils, shelf=shelf)).shelf == shelf


def test_a_blend_of_nothing_and_a_line_of_three_are_refused() -> None:
    with pytest.raises(EmptyPhase, match="The blend has no amount above 0"):
        blend_hlb({"sorbitan oleate": 0})
    with pytest.raises(InvalidInput, match="blend, line 2: two entries are wanted"):
        blend_hlb([(10, 4.7), (20, 14.9, 1)])  # type: ignore[list-item]
