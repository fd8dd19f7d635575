"""The check of the jar: a caution only where the figures say so, else background with its basis."""

from __future__ import annotations

import hlbcore as hlb
from hlbcore import Finding, Formula, Line, work_out
from hlbcore.checks.jar import jar


def found(*lines: Line, kind: str = "wash-off scrub", **facts: str) -> dict[str, Finding]:
    return {f.title: f for f in jar(work_out(Formula("x", kind, lines, facts=facts)))}


def sugar(pct: float) -> Line:
    return Line("sugar", pct, phase="solids")


def test_sugar_in_liquid_oil_sinks_and_is_a_caution() -> None:
    made = found(sugar(40), Line("olive oil", 60, phase="oil"))["Grains sink"]
    assert (made.level, made.aside) == ("caution", False)
    assert "no liquid oil holds grains" in made.detail
    assert "% of the height is clear above" in made.detail


def test_packed_grains_are_background() -> None:
    made = found(sugar(66), Line("olive oil", 34))["Grains: packing holds them"]
    assert (made.level, made.aside) == ("note", True)


def test_a_yield_stress_that_is_too_low_says_how_much_would_do() -> None:
    lines = (sugar(40), Line("olive oil", 50), Line("beeswax", 10))
    made = found(*lines, grain_um="500", yield_pa="0.1")["Grains sink"]
    assert made.level == "caution"
    assert "A yield stress of 0.6" in made.mend


def test_a_whipped_butter_that_is_oil_in_a_room_is_a_caution() -> None:
    made = found(Line("olive oil", 80), Line("squalane", 20), kind="whipped butter")
    assert made["Liquid in a room"].level == "caution"
    firm = found(Line("cocoa butter", 100), kind="whipped butter")
    assert firm["How soft it is, from fridge to hot parcel"].aside
    assert "in a room: firm" in firm["How soft it is, from fridge to hot parcel"].detail


def test_too_cool_to_melt_the_wax_is_a_caution_with_the_temperature() -> None:
    lines = (Line("water", 70, phase="water"), Line("olive oil", 25), Line("beeswax", 5))
    made = found(*lines, kind="o/w cream", hottest_c="55")["Not hot enough to melt beeswax"]
    assert made.level == "caution"
    assert "66 °C or more" in made.mend
    assert "Not hot enough to melt beeswax" not in found(*lines, kind="o/w cream", hottest_c="75")
    assert "Not hot enough to melt beeswax" not in found(*lines, kind="o/w cream")


def test_a_volatile_alkane_in_the_hot_phase_is_told_and_heat_makes_it_a_caution() -> None:
    lines = (Line("isododecane", 20, phase="oil"), Line("olive oil", 80, phase="oil"))
    title = "isododecane: flash point from 42 °C (recalled)"
    assert found(*lines, kind="whipped butter")[title].level == "note"
    hot = found(*lines, kind="whipped butter", hottest_c="70")[title]
    assert hot.level == "caution"
    assert "section 9" in hot.rule
    late = (Line("isododecane", 20, phase="cool-down"), Line("olive oil", 80, phase="oil"))
    assert title not in found(*late, kind="whipped butter", hottest_c="70")


def test_pairs_and_grainy_butters_are_background_with_their_source() -> None:
    made = found(Line("cocoa butter", 50), Line("coconut oil", 50), kind="whipped butter")
    assert "joshi_2020" in made["Fats that are softer together than either"].rule
    assert made["Fats that are softer together than either"].aside
    assert made["Butters that may turn grainy"].aside


def test_oil_that_may_stand_out_is_background_with_its_bench_test() -> None:
    made = found(Line("olive oil", 85), Line("beeswax", 15), kind="whipped butter")["Oil may stand out"]
    assert (made.level, made.aside) == ("note", True)
    assert "on its side" in made.mend
    assert "Oil may stand out" not in found(Line("cocoa butter", 100), kind="whipped butter")


def test_iodine_values_decide_nothing_here() -> None:
    for line in (Line("shea butter", 100), Line("mango butter", 100)):
        assert not any("iodine" in f.detail + f.rule for f in found(line, kind="whipped butter").values())


def test_sugar_and_water_bring_the_water_activity_as_a_band() -> None:
    made = found(Line("water", 10, phase="water"), sugar(60), Line("olive oil", 30))
    held = made["Water activity of the water phase"]
    assert held.figure == "0.83 to 0.87"
    assert "preserve the product all the same" in held.detail


def test_examples_get_no_new_caution() -> None:
    for name in ("winter_hand_cream", "garden_hand_scrub", "three_scent_lotion", "evening_cleansing_balm"):
        assert [f.title for f in jar(work_out(hlb.example_formula(name))) if not f.aside] == []


def test_every_rule_resolves_to_a_citation() -> None:
    lib = hlb.load_library()
    for f in found(sugar(40), Line("olive oil", 60, phase="oil")).values():
        assert lib.cite(f.rule) != f.rule
