from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import (
    Composite,
    Formula,
    HlbError,
    InvalidInput,
    Line,
    Portion,
    Swap,
    UnknownIngredient,
    check,
    example_formula,
    load_library,
    plots,
    required_hlb,
    swap,
    work_out,
)
from hlbcore.findings import changes
from hlbcore.formula.lines import CompositePart
from hlbcore.swapping.exchange import Exchange
from hlbcore.swapping.proposals import propose
from hlbcore.swapping.results import FOLLOWS, NO_CHANGE, OPTION_COLUMNS, SHIFT_COLUMNS

LIB = load_library()
WAX = Composite("my wax", (CompositePart("cetearyl alcohol", 80), CompositePart("ceteareth-20", 20)))


def cream(*oils: tuple[str, float], low: float = 4.5, high: float = 1.5, **more: object) -> Formula:
    """A cream of these oils with sorbitan oleate and polysorbate 80, filled with water."""
    lines = [Line(n, p, phase="oil") for n, p in oils]
    lines += [Line("sorbitan oleate", low, phase="oil"), Line("polysorbate 80", high, phase="oil")]
    f = Formula("Cream", "o/w cream", (*lines, Line("water", 0, phase="water")), **more)  # type: ignore[arg-type]
    return f.fill("water")


BUTTER = cream(("soybean oil", 10), ("cocoa butter", 7.5), ("mango butter", 7.5))


def amounts(f: Formula) -> dict[str, float]:
    return {x.name: x.pct for x in f.lines}


def titles(r: Swap) -> str:
    return "; ".join(f.title for f in r.findings)


# --- the first answer


def test_cocoa_for_mango_needs_no_change() -> None:
    r = swap(BUTTER, out="cocoa butter", into="mango butter")
    assert r.old_target is not None
    assert r.new_target is not None
    assert (r.old_target.value, r.new_target.value) == pytest.approx(
        (6.6, 7.2)
    )  # soybean oil 6, cocoa butter 6, mango butter 8
    assert r.chosen == NO_CHANGE
    assert r.old_blend_fits
    assert "No change is the least change" in r.answer
    assert "Texture: may change" in titles(r)  # the readings of the two overlap


def test_old_blend_share_is_that_of_the_blend_in_the_new_window() -> None:
    r = swap(BUTTER, out="soybean oil", into="castor oil")
    assert r.old_blend_share == 0.0
    assert not r.old_blend_fits
    assert r.chosen == "least change"
    assert "no longer" in r.answer


def test_the_accepted_formula_lies_in_the_window() -> None:
    r = swap(BUTTER, out="soybean oil", into="castor oil")
    assert r.new_blend is not None
    assert r.new_target is not None
    assert abs(r.new_blend.value - r.new_target.value) <= 1 + 1e-7
    oils = {n: p for n, p in amounts(r.formula).items() if n not in ("water",)}
    assert required_hlb(oils).value == pytest.approx(r.new_target.value)


def test_where_hlb_is_secondary_the_blend_stays() -> None:
    scrub = Formula(
        "Scrub",
        "wash-off scrub",
        (
            Line("sunflower oil", 30, phase="oil"),
            Line("polysorbate 80", 4, phase="oil"),
            Line("sugar", 66, phase="solids"),
        ),
    )
    r = swap(scrub, out="sunflower oil", into="castor oil")
    assert r.chosen == NO_CHANGE
    assert "rinse test" in r.answer


def test_where_hlb_has_no_say_there_is_no_share() -> None:
    f = Formula(
        "B", "whipped butter", (Line("cocoa butter", 30, phase="oil"), Line("olive oil", 70, phase="oil"))
    )
    r = swap(f, out="cocoa butter", into="mango butter")
    assert r.old_blend_share is None
    assert r.chosen == NO_CHANGE
    assert "no say" in r.answer


def test_an_emulsifier_without_a_figure_leaves_no_verdict() -> None:
    f = cream(("olive oil", 20))
    f = Formula(
        f.name, f.product_type, (*f.lines[:2], Line("emulsifying wax nf", 4, phase="oil"), *f.lines[3:])
    ).fill("water")
    r = swap(f, out="olive oil", into="sunflower oil")
    assert r.old_blend_share is None
    assert "no HLB verdict" in r.answer


# --- what goes out and comes in


def test_no_window_is_promised_where_hlb_will_not_judge() -> None:
    lines = {"olive oil": 16, "ceteareth-20": 1.6, "glyceryl stearate": 2.4, "water": 80}
    cream = Formula(lines=[Line(name, pct) for name, pct in lines.items()])
    made = swap(cream, out="ceteareth-20", into="sucrose stearate, 70 % monoester")
    assert made.answer.startswith("HLB alone does not judge it then. ")
    assert "neither rule speaks for the mixture" in made.answer
    assert work_out(made.formula).verdict.word.startswith("cannot say")


def test_a_part_goes_out_into_several_by_their_parts() -> None:
    r = swap(BUTTER, out={"soybean oil": 4}, into={"olive oil": 3, "castor oil": 1})
    held = amounts(r.formula)
    assert (held["soybean oil"], held["olive oil"], held["castor oil"]) == (6, 3, 1)


def test_a_part_of_one_that_stands_in_two_lines_leaves_the_rest() -> None:
    f = cream(("olive oil", 5), ("sunflower oil", 4), ("olive oil", 5))
    held = swap(f, out={"olive oil": 7}, into="castor oil").accept(NO_CHANGE)
    assert amounts(held)["olive oil"] == 3
    assert amounts(held)["castor oil"] == 7
    assert amounts(held)["water"] == amounts(f)["water"]


def test_a_list_comes_in_by_equal_parts() -> None:
    held = amounts(swap(BUTTER, out="soybean oil", into=["olive oil", "canola oil"]).formula)
    assert (held["olive oil"], held["canola oil"]) == (5, 5)


def test_mass_not_kept_goes_to_water() -> None:
    r = swap(BUTTER, out="soybean oil", into={"olive oil": 8}, keep_mass=False)
    assert r.accept(NO_CHANGE).lines[0] == Line("olive oil", 8, phase="oil")
    assert amounts(r.accept(NO_CHANGE))["water"] == pytest.approx(amounts(BUTTER)["water"] + 2)


def test_removing_oil_offers_the_dose_that_follows() -> None:
    f = cream(("sunflower oil", 20), ("shea butter", 8), low=4, high=2)
    r = swap(f, out={"sunflower oil": 13})
    offered = r.accept(FOLLOWS)
    total = 6 * 15 / 28
    assert amounts(offered)["sorbitan oleate"] + amounts(offered)["polysorbate 80"] == (pytest.approx(total))
    assert offered.total_pct == pytest.approx(100, abs=1e-9)
    assert "dose can follow" in titles(r)
    assert amounts(offered)["water"] == pytest.approx(amounts(f)["water"] + 13 + 6 - total)


def test_the_dose_that_follows_goes_by_the_emulsifiers_before_the_swap() -> None:
    f = cream(("sunflower oil", 20), ("shea butter", 8), low=4, high=2)
    r = swap(f, out={"sunflower oil": 13, "sorbitan oleate": 1})
    row = r.options.set_index("option").loc[FOLLOWS]
    assert row["total"] == pytest.approx(6 * 15 / 28)
    assert "21.4 % of the oil phase as before" in row["remark"]  # 6 of 28


def test_the_dose_follows_where_asked_for() -> None:
    f = cream(("sunflower oil", 20), ("shea butter", 8), low=4, high=2)
    r = swap(f, out={"sunflower oil": 13}, dose="follow")
    assert r.chosen == FOLLOWS
    assert r.formula == r.accept(FOLLOWS)


def test_one_that_is_already_there_is_merged_and_said() -> None:
    r = swap(BUTTER, out="cocoa butter", into="mango butter")
    assert [x.name for x in r.formula.lines].count("mango butter") == 1
    assert amounts(r.formula)["mango butter"] == 15
    assert "already in the formula" in titles(r)


def test_a_new_grade_is_a_swap() -> None:
    r = swap(BUTTER, out="cocoa butter", into="cocoa butter", values={"cocoa butter": 10})
    assert r.new_target is not None
    assert r.new_target.value == pytest.approx(6.6 + 7.5 * 4 / 25)
    assert amounts(r.formula)["cocoa butter"] == 7.5


def test_an_unknown_one_with_a_value_comes_in() -> None:
    r = swap(BUTTER, out="soybean oil", into="oil of my aunt", values={"oil of my aunt": "7 to 9"})
    assert r.new_target is not None
    assert r.new_target.value == pytest.approx((10 * 8 + 7.5 * 6 + 7.5 * 8) / 25)


def test_oil_and_emulsifier_are_swapped_in_one_step() -> None:
    steps = [
        Exchange("soybean oil", (("olive oil", 1),)),
        Exchange("polysorbate 80", (("polyglyceryl-10 oleate", 1),)),
    ]
    r = swap(BUTTER, exchange=steps)
    assert {"olive oil", "polyglyceryl-10 oleate"} <= set(amounts(r.formula))
    assert not {"soybean oil", "polysorbate 80"} & set(amounts(r.formula))


def test_two_swapped_for_each_other_change_places() -> None:
    f = cream(("olive oil", 12), ("castor oil", 4))
    steps = [Exchange("olive oil", (("castor oil", 1),)), Exchange("castor oil", (("olive oil", 1),))]
    held = amounts(swap(f, exchange=steps).formula)
    assert (held["olive oil"], held["castor oil"]) == (4, 12)


def test_an_unknown_butter_takes_its_class_range_and_is_named() -> None:
    r = swap(BUTTER, out="cocoa butter", into="kokum butter")
    assert r.new_required is not None
    assert r.new_required.unknown == ("kokum butter",)
    assert any("kokum" in f.title for f in r.changes.new)


def test_crossing_sides_is_said() -> None:
    r = swap(BUTTER, out={"soybean oil": 1}, into="sorbitan stearate")
    assert "changes sides" in titles(r)


def test_the_line_keeps_its_place_and_phase() -> None:
    r = swap(BUTTER, out="soybean oil", into="olive oil")
    assert (r.formula.lines[0].name, r.formula.lines[0].phase) == ("olive oil", "oil")


def test_active_part_counts_in_the_blend() -> None:
    f = cream(("soybean oil", 25))
    thin = [
        Line("polysorbate 80", 3, phase="oil", active_pct=50) if x.name == "polysorbate 80" else x
        for x in f.lines
    ]
    half = Formula("x", "o/w cream", tuple(thin)).fill("water")
    r, s = (swap(x, out="soybean oil", into="castor oil") for x in (f, half))
    assert amounts(s.formula)["polysorbate 80"] == pytest.approx(2 * amounts(r.formula)["polysorbate 80"])
    assert s.formula.total_pct == pytest.approx(100, abs=1e-9)


def test_a_bought_blend_stays_as_it_is() -> None:
    lines = (
        Line("soybean oil", 20, phase="oil"),
        Line("my wax", 5, phase="oil"),
        Line("sorbitan oleate", 3, phase="oil"),
        Line("polysorbate 80", 1, phase="oil"),
        Line("water", 71, phase="water"),
    )
    f = Formula("x", "o/w cream", lines, blends=(WAX,))
    r = swap(f, out="soybean oil", into="castor oil")
    assert amounts(r.formula)["my wax"] == 5
    assert r.chosen == "least change"


def test_portions_stay_as_they_are() -> None:
    f = Formula(
        BUTTER.name,
        BUTTER.product_type,
        (*BUTTER.lines, Line("lavender oil", 1, portion="a")),
        portions=(Portion("a", 100),),
    )
    r = swap(f, out="cocoa butter", into="shea butter")
    assert r.formula.lines[-1] == f.lines[-1]
    with pytest.raises(InvalidInput, match="portion"):
        swap(f, out="lavender oil", into="lemon essential oil")


def test_a_formula_that_is_not_whole_keeps_its_total() -> None:
    f = Formula("x", "o/w cream", tuple(x for x in BUTTER.lines if x.name != "water"))
    r = swap(f, out="soybean oil", into="castor oil")
    assert r.formula.total_pct == pytest.approx(f.total_pct, abs=1e-9)


# --- wishes


def test_peg_free_leaves_no_ethoxylate_in_any_option() -> None:
    r = swap(example_formula(), wishes="PEG-free")
    formulas = [o.formula for o in r.choices if o.formula is not None]
    assert len(formulas) > 3
    held = {LIB.find(x.name).peg_based for f in formulas for x in f.lines}
    assert True not in held


def test_no_nut_oils_proposes_a_substitute_for_each_line() -> None:
    f = cream(("sweet almond oil", 10), ("olive oil", 5), ("hazelnut oil", 5))
    found = propose(f, "no nut oils")
    assert [p.line for p in found] == ["sweet almond oil", "hazelnut oil"]
    assert all(p.pick for p in found)
    r = swap(f, wishes="no nut oils")
    assert not {"sweet almond oil", "hazelnut oil"} & set(amounts(r.formula))


def test_a_wish_does_not_let_in_what_it_shuts_out() -> None:
    with pytest.raises(InvalidInput, match="shuts it out"):
        swap(BUTTER, out="sorbitan oleate", into="polysorbate 85", wishes="PEG-free")


def test_a_wish_that_concerns_no_line_gives_the_formula_back_with_nothing_swapped() -> None:
    r = swap(BUTTER, wishes="no lanolin")
    assert (r.formula, r.exchanges, r.chosen) == (BUTTER, (), "no change")


def test_with_nothing_to_swap_the_formula_comes_back() -> None:
    r = swap(BUTTER)
    assert (r.formula, r.exchanges, [o.key for o in r.choices]) == (BUTTER, (), ["no change"])


def test_a_bought_blend_that_holds_what_is_shut_out_is_said() -> None:
    f = Formula(
        "x",
        "o/w cream",
        (Line("olive oil", 20, phase="oil"), Line("my wax", 5), Line("water", 75)),
        blends=(WAX,),
    )
    with pytest.raises(InvalidInput, match="my wax"):
        swap(f, wishes="PEG-free")


def test_a_ready_wax_is_judged_by_its_parts_and_swapped_for_another() -> None:
    f = example_formula("evening_cleansing_balm")
    found = propose(f, "PEG-free")
    assert [p.line for p in found] == ["emulsifying wax NF", "sorbeth-30 tetraoleate"]
    r = swap(f, wishes="PEG-free")
    assert {LIB.find(x.name).peg_based for x in r.formula.lines} <= {False, None}


# --- options and shifts


def test_options_have_their_columns_and_no_change_first() -> None:
    table = swap(BUTTER, out="soybean oil", into="castor oil").options
    assert list(table.columns) == list(OPTION_COLUMNS)
    assert list(table["option"][:4]) == [NO_CHANGE, "least change", "fewest changes", "keep total"]


def test_one_emulsifier_more_or_less_are_rows() -> None:
    r = swap(BUTTER, out="soybean oil", into="castor oil", shelf=["sorbitan laurate"])
    table = r.options.set_index("option")
    assert {"add sorbitan laurate", "without polysorbate 80"} <= set(table.index)
    assert table.loc["add sorbitan laurate", "possible"]
    assert not table.loc["without polysorbate 80", "possible"]
    assert "cannot be reached" in str(table.loc["without polysorbate 80", "remark"])


def test_an_added_emulsifier_takes_a_tenth_of_the_least_dose_or_more() -> None:
    r = swap(BUTTER, out="soybean oil", into="castor oil", shelf=["sorbitan laurate"])
    # what print shows begins at 2.1 % of the formula
    assert amounts(r.accept("add sorbitan laurate"))["sorbitan laurate"] == pytest.approx(0.21)


def test_an_option_says_what_it_disturbs() -> None:
    r = swap(BUTTER, out="polysorbate 80", into="sodium stearoyl lactylate")
    assert "charge: nonionic to anionic, nonionic" in r.options["disturbs"][0]
    assert "PEG-based emulsifiers 1.50 to 0.00 %" in r.options["disturbs"][0]


def test_cost_is_blank_where_a_price_is_missing() -> None:
    table = swap(BUTTER, out="soybean oil", into="olive oil", cost={"polysorbate 80": 6}).options
    assert math.isnan(table["cost_per_kg"][0])
    assert "cheapest" not in set(table["option"])


def test_cheapest_asks_for_a_missing_price() -> None:
    with pytest.raises(InvalidInput, match="price"):
        swap(BUTTER, out="soybean oil", into="olive oil", objective="cheapest")


def test_keep_total_keeps_it() -> None:
    r = swap(BUTTER, out="soybean oil", into="castor oil", objective="keep total")
    assert r.option.total_pct == pytest.approx(6, abs=1e-9)


def test_fewest_changes_changes_one_where_one_suffices() -> None:
    f = cream(("soybean oil", 25), low=4, high=1.6)
    r = swap(
        f, out={"soybean oil": 8}, into="castor oil", objective="fewest changes", total=(4, 12), window=0.5
    )
    assert len(r.option.changes) == 1


def test_out_of_reach_leaves_the_emulsifiers_and_says_why() -> None:
    r = swap(
        BUTTER,
        out=["soybean oil", "cocoa butter", "mango butter"],
        into="oleic acid",
        total=(5, 7),
        limits={"polysorbate 80": (0, 2)},
    )
    assert r.chosen == NO_CHANGE
    assert "Not possible with these emulsifiers" in titles(r)
    assert "polysorbate 80" in next(o.remark for o in r.choices if o.key == "least change")


def test_all_emulsifiers_may_go_out_and_options_name_others() -> None:
    r = swap(BUTTER, out=["sorbitan oleate", "polysorbate 80"], shelf=["oleth-3"])
    assert "no emulsifiers left" in r.answer
    assert amounts(r.accept("add oleth-3"))["oleth-3"] > 0


def test_a_solid_emulsifier_less_may_come_out_thinner() -> None:
    r = swap(example_formula(), out="sorbitan stearate", into="sorbitan oleate")
    assert "thinner" in titles(r)


def test_shifts_have_their_columns_and_rows() -> None:
    r = swap(BUTTER, out="cocoa butter", into="palm oil", cost={"palm oil": 4, "cocoa butter": 9})
    table = r.shifts.set_index("quantity")
    assert list(r.shifts.columns) == list(SHIFT_COLUMNS)
    solids = {f"solids of the fat phase at {t} °C" for t in (0, 18, 25, 35, 40)}
    wanted = {
        "required HLB",
        *solids,
        "melting range",
        "density of the fat phase",
        "iodine value",
        "cost of the ingredients",
        "allergens and origin",
        "declaration order",
    }
    assert wanted <= set(table.index)


def test_an_unknown_shift_is_shown_as_unknown() -> None:
    table = swap(BUTTER, out="cocoa butter", into="shea butter").shifts.set_index("quantity")
    row = table.loc["solids of the fat phase at 25 °C"]
    assert math.isnan(row["after"])
    assert "shea butter" in row["unknown"]
    assert row["after_known_pct"] == pytest.approx(40)


def test_a_known_shift_is_the_difference_of_the_tables() -> None:
    f = cream(("soybean oil", 10), ("cocoa butter", 10))
    table = swap(f, out="cocoa butter", into="palm oil").shifts.set_index("quantity")
    row = table.loc["solids of the fat phase at 25 °C"]
    assert (row["before"], row["after"]) == pytest.approx((34.8, 8.15))


def test_declaration_order_falls_by_mass_and_one_per_cent_or_less_stands_apart() -> None:
    f = cream(("castor oil", 10), ("jojoba oil", 1), ("olive oil", 12))
    text = (
        swap(f, out="olive oil", into="sunflower oil")
        .shifts.set_index("quantity")
        .loc["declaration order", "after_text"]
    )
    above, _, below = str(text).partition(" | ")
    assert above.index("Helianthus") < above.index("Ricinus")
    assert "Simmondsia" in below


def test_more_unsaturated_oil_brings_the_rancidity_caution() -> None:
    f = cream(("olive oil", 20))
    assert "rancid" in titles(swap(f, out="olive oil", into="safflower oil"))
    assert "rancid" not in titles(swap(f, out="olive oil", into="coconut oil"))


def test_an_allergen_that_comes_in_is_said() -> None:
    assert "peanut" in titles(swap(BUTTER, out="soybean oil", into="peanut oil"))


def test_changes_are_those_of_the_checks() -> None:
    r = swap(BUTTER, out="soybean oil", into="castor oil")
    assert r.changes == changes(check(BUTTER), check(r.formula))


def test_accept_refuses_what_is_not_there_or_not_possible() -> None:
    r = swap(BUTTER, out="soybean oil", into="castor oil")
    with pytest.raises(InvalidInput, match="Choose one of: no change"):
        r.accept("magic")
    with pytest.raises(InvalidInput, match="cannot be reached"):
        r.accept("without polysorbate 80")


def test_the_reason_names_the_swap() -> None:
    r = swap(BUTTER, out={"cocoa butter": 2}, into="mango butter")
    assert r.reason == ("2 % of cocoa butter swapped for mango butter; emulsifiers: no change")


def test_figures_say_their_numbers() -> None:
    r = swap(BUTTER, out="soybean oil", into="castor oil")
    assert "castor oil from 0.00 to 10.00" in plots.words(plots.slopes(r))
    assert "Required HLB 6.6 before, 9.8 after" in plots.words(plots.both_on_axis(r))
    assert plots.to_svg(plots.slopes(r)).startswith(b"<?xml")


# --- bad input


@pytest.mark.parametrize(
    ("out", "into", "match"),
    [
        ("cocoa butter", "cocoa butter", "swapped for itself"),
        ("cocoa butter", "Theobroma Cacao Seed Butter", "swapped for itself"),
        ("argan oil", "olive oil", "not in the formula"),
        ({"soybean oil": 11}, "olive oil", "only 10 % of it is left"),
        ({"soybean oil": -1}, "olive oil", "amount that goes out"),
        ({"soybean oil": 0}, "olive oil", "amount that goes out"),
        ({"soybean oil": math.nan}, "olive oil", "amount that goes out"),
        ({"soybean oil": "much"}, "olive oil", "amount that goes out"),
        ("", "olive oil", "name is blank"),
        ("soybean oil", "", "name is blank"),
        ([], "olive oil", "nothing is named"),
        ("soybean oil", {"olive oil": 0}, "all amounts are 0"),
        ("soybean oil", {"olive oil": -1}, "what comes in"),
        (None, "olive oil", "nothing is named"),
        (5, "olive oil", "what goes out: '5' is no name"),
        ("soybean oil", 5, "what comes in: '5' is no name"),
        ({"soybean oil": 1e308}, "olive oil", "amount that goes out"),
        ("<b>" * 5000, "olive oil", "not in the formula"),
        (["soybean oil", "Glycine Soja Oil"], "olive oil", "in another step"),
    ],
)
def test_bad_swaps_are_refused(out: object, into: object, match: str) -> None:
    with pytest.raises(HlbError, match=match):
        swap(BUTTER, out=out, into=into)  # type: ignore[arg-type]


def test_an_exchange_needs_pairs() -> None:
    with pytest.raises(InvalidInput, match="two entries are wanted"):
        Exchange("soybean oil", ("olive oil",))  # type: ignore[arg-type]


def test_text_amounts_are_read() -> None:
    assert amounts(swap(BUTTER, out={"soybean oil": "2,5 %"}, into="olive oil").formula)[
        "olive oil"
    ] == pytest.approx(2.5)


def test_an_unknown_one_without_a_value_is_refused() -> None:
    with pytest.raises(UnknownIngredient, match="oil of my aunt"):
        swap(BUTTER, out="soybean oil", into="oil of my aunt")


def test_without_water_a_removal_asks_for_the_line_that_fills() -> None:
    f = Formula(
        "B", "whipped butter", (Line("cocoa butter", 30, phase="oil"), Line("olive oil", 70, phase="oil"))
    )
    with pytest.raises(InvalidInput, match="fill"):
        swap(f, out="cocoa butter")
    assert amounts(swap(f, out="cocoa butter", fill=None).formula) == {"olive oil": 100}
    assert amounts(swap(f, out={"cocoa butter": 5}, fill="olive oil").formula)["olive oil"] == 75


def test_water_cannot_become_negative() -> None:
    f = cream(("olive oil", 80), low=6, high=6)
    with pytest.raises(InvalidInput, match="would be"):
        swap(f, out={"olive oil": 1}, into={"castor oil": 20}, keep_mass=False)


@pytest.mark.parametrize("word", ["objective", "dose"])
def test_unknown_words_are_refused(word: str) -> None:
    with pytest.raises(InvalidInput, match=word):
        swap(BUTTER, out="soybean oil", into="olive oil", **{word: "magic"})  # type: ignore[arg-type]


def test_amounts_need_to_be_said_where_mass_is_not_kept() -> None:
    with pytest.raises(InvalidInput, match="how much comes in"):
        swap(BUTTER, out="soybean oil", into="olive oil", keep_mass=False)


def test_a_part_of_a_line_is_no_new_grade() -> None:
    with pytest.raises(InvalidInput, match="another figure"):
        swap(BUTTER, out={"cocoa butter": 2}, into="cocoa butter", values={"cocoa butter": 9})


def test_a_limit_on_something_unknown_is_refused() -> None:
    with pytest.raises(InvalidInput, match="limit of 'magic'"):
        swap(BUTTER, out="soybean oil", into="olive oil", limits={"magic": (0, 1)})


# --- properties

OILS = ("olive oil", "castor oil", "cocoa butter", "mineral oil", "jojoba oil", "shea butter")
MORE = ("castor oil", "isopropyl myristate", "avocado oil", "stearic acid", "mango butter")


@st.composite
def swaps(draw: st.DrawFn) -> tuple[Formula, dict[str, float], str]:
    names = draw(st.lists(st.sampled_from(OILS), min_size=1, max_size=4, unique=True))
    oils = [(n, draw(st.floats(0.5, 12))) for n in names]
    f = cream(*oils, low=draw(st.floats(0.5, 5)), high=draw(st.floats(0.5, 5)))
    gone = draw(st.sampled_from(oils))
    into = draw(st.sampled_from([n for n in MORE if n != gone[0]]))
    return f, {gone[0]: gone[1] * draw(st.floats(0.1, 1))}, into


@settings(max_examples=30)
@given(case=swaps(), objective=st.sampled_from(["least change", "fewest changes", "keep total"]))
def test_masses_balance_and_nothing_is_worse_than_doing_nothing(
    case: tuple[Formula, dict[str, float], str], objective: str
) -> None:
    f, out, into = case
    r = swap(f, out=out, into=into, objective=objective)
    required = r.new_target
    assert required is not None
    stays = next(o for o in r.choices if o.key == NO_CHANGE)
    for o in r.choices:
        if o.formula is not None:
            assert o.formula.total_pct == pytest.approx(100, abs=1e-9)
            assert all(x.pct >= 0 for x in o.formula.lines)
            if o.key != NO_CHANGE:
                assert o.inside
    assert r.option.inside or r.chosen == NO_CHANGE
    if stays.inside:
        assert r.chosen == NO_CHANGE
        assert r.option.change_pct == 0


@settings(max_examples=20)
@given(case=swaps())
def test_limits_are_never_broken(case: tuple[Formula, dict[str, float], str]) -> None:
    f, out, into = case
    limits = {"sorbitan oleate": (0.5, 5.0), "polysorbate 80": (0.5, 5.0)}
    r = swap(f, out=out, into=into, limits=limits, total=(1, 10))
    for o in r.choices:
        if o.formula is None or o.key.startswith("without"):
            continue
        for name, (low, high) in limits.items():
            assert low - 1e-9 <= amounts(o.formula)[name] <= high + 1e-9


@settings(max_examples=20)
@given(case=swaps())
def test_a_swap_taken_back_returns_to_the_start(case: tuple[Formula, dict[str, float], str]) -> None:
    f, out, into = case
    fits = swap(f, out=out, into=into, window=20)
    back = {into: next(iter(out.values()))}
    gone = next(iter(out))
    there = swap(fits.formula, out=back, into=gone, window=20, near=f)
    for name, pct in amounts(f).items():
        assert amounts(there.formula).get(name, 0.0) == pytest.approx(pct, abs=1e-9)


def test_a_rebalanced_swap_taken_back_returns_to_the_start() -> None:
    r = swap(BUTTER, out="soybean oil", into="castor oil")
    assert r.chosen == "least change"
    back = swap(r.formula, out="castor oil", into="soybean oil", near=BUTTER)
    assert amounts(back.formula) == pytest.approx(amounts(BUTTER), abs=1e-9)
