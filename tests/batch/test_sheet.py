from __future__ import annotations

import math

import pandas as pd
import pytest

import hlbcore as hlb
from hlbcore import (
    Aims,
    Facts,
    Formula,
    InvalidInput,
    Jars,
    Line,
    Scale,
    batch_sheet,
    example_formula,
    work_out,
)
from hlbcore.batch.sheet import EFFECT_COLUMNS, ERROR_COLUMNS, SHEET_COLUMNS
from hlbcore.blending.weighing import weighing_sd

BENCH = [Scale(0.1, 2000)]


def cream(**amounts: float) -> Formula:
    """A small cream; water takes the rest."""
    held = {"sunflower oil": 20.0, "sorbitan stearate": 3.0, "polysorbate 60": 1.5} | amounts
    lines = [Line("water", 0, phase="water")]
    for name, pct in held.items():
        phase = "oil" if name in ("sunflower oil", "sorbitan stearate", "polysorbate 60") else "water"
        lines.append(Line(name, pct, phase=phase))
    return Formula("Cream", "o/w cream", lines).fill("water")


def test_the_table_holds_what_goes_into_the_pot() -> None:
    table = batch_sheet(example_formula(), 500.0, scales=BENCH).table
    assert (
        list(table.columns) == list(SHEET_COLUMNS) == ["ingredient", "phase", "grams", "scale", "error_pct"]
    )
    assert table.ingredient.tolist()[:3] == ["water", "glycerin", "xanthan gum"]
    row = table.set_index("ingredient").loc["beeswax"]
    assert (row.grams, row.scale, row.error_pct) == (5.0, "0.1 g", 1.0)


@pytest.mark.parametrize("size", [87.3, 100, 250, 500.0, 1234.56, "2 lb", "1.5 kg"])
@pytest.mark.parametrize("name", ["winter_hand_cream", "garden_hand_scrub", "three_scent_lotion"])
def test_printed_grams_add_up_and_each_is_shown_by_its_scale(name: str, size: float | str) -> None:
    sheet = batch_sheet(
        example_formula(name), size, scales=[Scale(0.01, 200), Scale(0.1, 3000)], use_premixes=True
    )
    assert sheet.total_g == pytest.approx(sheet.table.grams.sum(), abs=1e-9)
    assert sheet.base_g == pytest.approx(sheet.size_g, abs=0.05 + 1e-9)
    for r in sheet.weighings:
        steps = r.grams / r.scale.readability_g
        assert steps == pytest.approx(round(steps), abs=1e-6)
        assert r.grams <= r.scale.room_g


def test_the_trimmed_line_is_named() -> None:
    sheet = batch_sheet(example_formula(), 60.0, scales=[0.1])
    assert sheet.trimmed == "water"
    assert sheet.total_g == 60.0


def test_emulsifiers_are_those_of_the_formula_page() -> None:
    worked = work_out(example_formula())
    sheet = batch_sheet(worked)
    grams = sheet.table.set_index("ingredient").grams
    assert worked.weighed is not None
    assert [grams[n] for n in worked.weighed.labels] == list(worked.weighed.grams)
    assert sheet.hlb is not None
    assert sheet.hlb.value == pytest.approx(worked.weighed.hlb.value)


def test_hlb_as_weighed_is_that_of_the_rounded_grams() -> None:
    sheet = batch_sheet(cream(), 40.0, scales=[0.1])
    grams = sheet.table.set_index("ingredient").grams
    by_hand = hlb.blend_hlb({n: grams[n] for n in ("sorbitan stearate", "polysorbate 60")})
    assert sheet.hlb is not None
    assert (sheet.hlb.value, sheet.hlb.low, sheet.hlb.high) == pytest.approx(
        (by_hand.value, by_hand.low, by_hand.high)
    )
    assert work_out(sheet.as_weighed).blend.value == pytest.approx(by_hand.value)


def test_the_formula_as_weighed_is_whole_and_gives_the_same_grams() -> None:
    for name in ("winter_hand_cream", "three_scent_lotion"):
        sheet = batch_sheet(example_formula(name), 300, scales=[0.1])
        again = batch_sheet(sheet.as_weighed, sheet.base_g, scales=[0.1])
        assert sheet.as_weighed.total_pct == pytest.approx(100, abs=1e-6)
        assert again.table.grams.tolist() == pytest.approx(sheet.table.grams.tolist())


def test_the_finest_scale_that_carries_a_line_weighs_it() -> None:
    sheet = batch_sheet(example_formula(), "1 kg", scales=[Scale(0.01, 100, name="pocket"), Scale(1, 5000)])
    held = sheet.table.set_index("ingredient").scale
    assert (held["water"], held["glycerin"], held["beeswax"]) == ("1 g", "pocket", "pocket")


def test_a_vessel_uses_up_capacity() -> None:
    table = batch_sheet(cream(), 400, scales=[Scale(0.01, 100, vessel_g=30), Scale(0.1, 2000)]).table
    assert table.set_index("ingredient").scale["sunflower oil"] == "0.1 g"


def test_portions_get_theirs_on_top_of_their_part() -> None:
    sheet = batch_sheet(example_formula("three_scent_lotion"), 600, scales=[0.01])
    rows = sheet.table.set_index("ingredient")
    assert rows.grams["lavender oil"] == pytest.approx(0.96)  # 0.4 % of 240 g
    assert rows.phase["lavender oil"] == "cool-down (lavender)"
    assert sheet.base_g == 600.0
    assert sheet.total_g == pytest.approx(602.46)


def test_jars_of_a_base_with_portions_hold_what_was_asked() -> None:
    sheet = batch_sheet(example_formula("three_scent_lotion"), Jars(10, "50 g"), scales=[0.01])
    assert sheet.total_g == pytest.approx(500, abs=0.05)


def test_a_line_too_small_gets_its_batch_and_its_premix() -> None:
    sheet = batch_sheet(cream(mica=0.12), 100, scales=BENCH)
    [small] = [s for s in sheet.small if s.ingredient == "mica"]
    assert small.enough_g == pytest.approx(100 * 1.0 / 0.12)
    assert small.premix is not None
    assert not small.premix.used  # it can be shown: offered, not taken
    assert sheet.table.set_index("ingredient").grams["mica"] == 0.1
    said = " ".join(f.mend for f in sheet.findings)
    assert "1.0 g mica into 7.3 g water" in said
    assert "at least 834 g" in said


def test_a_premix_that_is_asked_for_stands_in_the_pot_in_place_of_both() -> None:
    sheet = batch_sheet(cream(mica=0.12), 100, scales=BENCH, use_premixes=["Mica"])
    rows = sheet.table.set_index("ingredient").grams
    assert rows["premix of mica in water"] == 1.0
    assert rows["water"] == pytest.approx(75.4 - 0.9, abs=0.11)
    assert sheet.total_g == 100.0
    held = {x.name: p for x, p in zip(sheet.as_weighed.lines, sheet.as_weighed.pcts, strict=True)}
    assert held["mica"] == pytest.approx(0.12, rel=0.02)
    assert held["water"] == pytest.approx(75.38, abs=0.1)


def test_what_the_scale_cannot_show_goes_in_as_a_premix_unasked() -> None:
    sheet = batch_sheet(cream(mica=0.02), 100, scales=BENCH)
    assert [p.used for p in sheet.premixes] == [True]
    assert "premix of mica in water" in sheet.table.ingredient.tolist()
    assert sheet.steps[1].title == "Make the premix of mica"


def test_a_gum_is_wetted_in_its_humectant_and_the_spoon_comes_last() -> None:
    sheet = batch_sheet(cream(**{"glycerin": 4.0, "xanthan gum": 0.2}), 100, scales=BENCH)
    [found] = [f for f in sheet.findings if f.title.startswith("xanthan gum")]
    assert found.mend.index("Slurry") < found.mend.index("Or make") < found.mend.index("teaspoons")


def test_a_gum_without_humectant_gets_no_premix_in_water() -> None:
    sheet = batch_sheet(cream(**{"xanthan gum": 0.2}), 100, scales=BENCH)
    assert sheet.premixes == ()


def test_errors_of_each_row() -> None:
    errors = batch_sheet(cream(), 100, scales=BENCH).errors.set_index("ingredient")
    assert list(ERROR_COLUMNS) == ["ingredient", *errors.columns]
    row = errors.loc["polysorbate 60"]
    assert row.error_pct == pytest.approx(50 * 0.1 / row.grams)
    assert row.standard_g == pytest.approx(0.1 / math.sqrt(6))
    assert row.standard_pct == pytest.approx(100 * row.standard_g / row.grams)
    assert row.worst_g == pytest.approx(0.1)


def test_errors_together_move_hlb_as_the_budget_by_hand() -> None:
    sheet = batch_sheet(cream(), 100, scales=BENCH)
    effects = sheet.effects.set_index("quantity")
    assert list(EFFECT_COLUMNS) == ["quantity", *effects.columns]
    blend = effects.loc["HLB of the blend"]
    # one reading by the older function, two here
    assert blend.standard == pytest.approx(math.sqrt(2) * weighing_sd([3.0, 1.5], [4.7, 14.9], 0.1))
    low = hlb.blend_hlb([(3.1, 4.7), (1.4, 14.9)]).value
    high = hlb.blend_hlb([(2.9, 4.7), (1.6, 14.9)]).value
    assert (blend.low, blend.high) == pytest.approx((low, high))


def test_errors_together_move_the_preservative_share_as_by_hand() -> None:
    sheet = batch_sheet(cream(phenoxyethanol=0.9), 100, scales=BENCH)
    share = sheet.effects.set_index("quantity").loc["preservative"]
    u = 0.1 / math.sqrt(6)
    by_hand = math.hypot((1 - 0.009) / 100 * u, *[0.009 / 100 * u] * 4)
    assert share.standard == pytest.approx(100 * by_hand)
    assert (share.low, share.high) == pytest.approx((100 * 0.8 / 100.3, 100 * 1.0 / 99.7), rel=1e-3)


def test_the_order_of_work_has_every_row_once_and_its_cautions_in_place() -> None:
    for name in ("winter_hand_cream", "garden_hand_scrub", "three_scent_lotion", "evening_cleansing_balm"):
        sheet = batch_sheet(example_formula(name))
        rows = [n for s in sheet.steps for n in s.rows]
        assert sorted(rows) == list(range(len(sheet.rows)))
        titles = [s.title for s in sheet.steps]
        melted = sheet.steps[titles.index("Weigh the oil phase")]
        assert "Hot fat burns" in [f.title for f in melted.cautions]
        assert "Who to ask" in [f.title for f in sheet.steps[-1].cautions]
        assert len(sheet.steps[0].boxes) == 4


def test_steps_hold_the_typed_temperatures() -> None:
    steps = {s.title: s for s in batch_sheet(example_formula()).steps}
    assert (steps["Weigh the oil phase"].hot_c, steps["Weigh the water phase"].hold_min) == (75.0, 20)
    assert steps["Weigh the cool-down phase"].lines[0] == "Stir while it cools to 40 °C."
    assert list(steps).index("Join the phases") > list(steps).index("Weigh the oil phase")


def test_an_unknown_name_is_weighed_like_any_other() -> None:
    f = cream(**{"aunt's rose mix": 1.0})
    assert "aunt's rose mix" in batch_sheet(f, 500, scales=[0.1]).table.ingredient.tolist()


def test_a_line_without_a_phase_is_weighed_and_told() -> None:
    lines = [Line("water", 80, phase="water"), Line("glycerin", 20)]
    sheet = batch_sheet(Formula("x", "o/w cream", lines), 100, scales=[0.1])
    assert sheet.table.phase.tolist() == ["water", "no phase"]
    assert "Lines without a phase" in [f.title for f in sheet.findings]


WATERY = Line("water", 99.98, phase="water")


@pytest.mark.parametrize(
    ("lines", "size", "scales", "message"),
    [
        ([Line("water", 98.7, phase="water")], 500, BENCH, "1.3 % is missing.*Mend it first"),
        ([Line("water", 101, phase="water")], 500, BENCH, "more than the whole formula"),
        ([Line("water", "two", phase="water")], 500, BENCH, "'two' is not a number"),
        ([Line("", 50, phase="water"), Line("water", 50, phase="water")], 500, BENCH, "Line 1 has no name"),
        ([WATERY, Line("mica", 0.02, phase="oil")], 500, [1.0], "'mica'.*Make at least 50,000 g"),
        ([WATERY, Line("mica", 0.02, phase="oil")], 0, BENCH, "batch"),
        ([WATERY, Line("mica", 0.02, phase="oil")], -5, BENCH, "batch"),
        ([WATERY, Line("mica", 0.02, phase="oil")], math.nan, BENCH, "finite"),
        ([WATERY, Line("mica", 0.02, phase="oil")], "5 %", BENCH, "no mass"),
        ([WATERY, Line("mica", 0.02, phase="oil")], 5, [10.0], "more than the whole batch of 5 g"),
        ([Line("water", 100, phase="water")], 3000, BENCH, "more than any scale carries"),
        ([Line("water", 100, phase="water")], 1990, [Scale(0.1, 2000, vessel_g=50)], "beside its vessel"),
        ([], 500, BENCH, "0 %"),
    ],
)
def test_a_sheet_that_cannot_be_is_told_in_a_sentence(lines, size, scales, message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        batch_sheet(Formula("x", "o/w cream", lines), size, scales=scales)


@pytest.mark.parametrize(
    ("given", "options", "message"),
    [
        ("x", {}, "batch sheet: 'x' is no formula"),
        (cream(), {"use_premixes": 5}, "'5' is neither yes nor names"),
        (
            Formula(lines=[Line("water", 100, phase="water")], aims=Aims(batch="")),
            {},
            "its size is missing. Enter a mass",
        ),
        (
            Formula(lines=[Line("water", 100, phase="water")], aims=Aims(scales="")),
            {},
            "scales: there is none",
        ),
    ],
)
def test_what_a_sheet_cannot_start_from_is_told(given, options: dict[str, object], message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        batch_sheet(given, **options)


def test_an_emulsion_is_joined_with_its_outer_phase_in_the_pot() -> None:
    # the inner phase goes into the outer one: common practice, no source
    def joined(product: str) -> str:
        lines = [Line("water", 40, phase="water"), Line("sunflower oil", 60, phase="oil")]
        steps = batch_sheet(Formula("x", product, lines), 100, scales=[0.1]).steps
        return " ".join(next(s for s in steps if s.title == "Join the phases").lines)

    assert "Pour the water phase in a thin stream into the oil phase" in joined("w/o cream")
    assert "Pour the water phase in a thin stream" not in joined("o/w cream")


def test_a_fragrance_waits_for_the_limit_of_its_supplier() -> None:
    lines = [Line("water", 99, phase="water"), Line("fragrance", 1, phase="cool-down")]
    facts = Facts(cool_down_c=40, fragrance_max_c=35)
    steps = batch_sheet(Formula("x", "o/w cream", lines, facts=facts), 100, scales=[0.1]).steps
    late = next(s for s in steps if s.title == "Weigh the cool-down phase")
    assert "The fragrance not above 35 °C, by its supplier." in late.lines


def test_the_formula_s_own_batch_and_scale_are_the_start() -> None:
    sheet = batch_sheet(example_formula("garden_hand_scrub"))
    assert (sheet.size_g, sheet.scales) == (400.0, (Scale(0.1),))


def test_a_sheet_takes_a_worked_formula_and_tables_are_frames() -> None:
    sheet = batch_sheet(work_out(example_formula()), 500)
    assert isinstance(sheet.table, pd.DataFrame)
    assert "500 g" in repr(sheet)


def test_a_finer_scale_is_asked_for_by_a_division_that_is_sold() -> None:
    cream = work_out(example_formula("winter_hand_cream"))
    with pytest.raises(InvalidInput, match=r"'tocopherol' \(0\.3 g\).*or weigh on a scale of 0\.01 g\."):
        batch_sheet(cream, 150, scales=(Scale(1),))
