"""Equations of the jar against our own recomputation of the inputs, and what they refuse."""

from __future__ import annotations

import math

import pytest

from hlbcore.errors import InvalidInput
from hlbcore.rules.jar import activity, heat, settling, solutions, volumes
from hlbcore.rules.jar.heat import HeatPart

OIL = HeatPart("oil phase", 25, 75, 2.0)
CETYL = HeatPart("cetyl alcohol", 5, 75, 2.0, 49.2, 230)
CETYL_15 = HeatPart("cetyl alcohol", 15, 75, 2.0, 49.2, 230)


def near(value: float, digits: float = 1e-4) -> object:
    return pytest.approx(value, abs=digits)


# --- settling


def test_hindered_settling() -> None:
    assert settling.hindered_factor(0.2) == near(0.367996)


def test_published_range_of_the_critical_yield_number() -> None:
    sugar = settling.yield_hold(0.3, 500, 662)
    assert (sugar.least_pa, sugar.sure_pa) == (near(0.048 * 3.24711, 1e-3), near(0.64942))
    assert [settling.yield_hold(tau, 500, 662).word for tau in (0.1, 0.3, 0.7)] == [
        "sinks",
        "doubtful",
        "held",
    ]


def test_a_grain_as_dense_as_its_liquid_is_held() -> None:
    assert settling.yield_hold(0.0, 500, 0).word == "held"
    assert settling.fall_speed(500, 1000, 1000, 1) == 0
    assert math.isinf(settling.largest_droplet(30, 1, density_difference=0).low_um)


def test_fast_and_slow_formula_agree_for_a_fine_grain() -> None:
    fast = settling.fall_speed(20, 1587, 925, 500)
    assert fast == pytest.approx(settling.stokes_speed(20, 662, 500) / 86_400, rel=0.01)


def test_sugar_sinks_through_any_liquid_oil() -> None:
    # 0.5 mm, drho 672, 35 volume %: 13.3 mm/min at 60 mPa s, 1.6 at 0.5 Pa s, 0.16 at 5 Pa s
    for mpas, mm_min in ((60, 13.3), (500, 1.6), (5000, 0.16)):
        alone = settling.stokes_speed(500, 672, mpas) / 1440
        assert alone * settling.hindered_factor(0.35) == pytest.approx(mm_min, rel=0.02)


def test_the_largest_droplet_moves_just_the_layer() -> None:
    size = settling.largest_droplet(90, 500, density_difference=80, volume_fraction=0.2, layer_mm=2).low_um
    moved = settling.stokes_speed(size, 80, 500) * settling.hindered_factor(0.2) * 90
    assert moved == near(2.0)


def test_settled_jar_by_packing() -> None:
    for phi, low, high in ((0.2, 0.60, 0.67), (0.4, 0.20, 0.34)):
        assert settling.clear_layer(phi) == (near(low, 0.006), near(high, 0.006))
    assert settling.clear_layer(0.62)[0] == 0


def test_cone_at_half_the_depth() -> None:
    assert settling.cone_ratio(6, 3) == near(3.0314)


# --- volumes


def test_scrub_of_two_thirds_sugar_is_packed() -> None:
    phi = volumes.grain_share({"sugar": (66, 1587)}, {"base": (34, 930)})
    assert phi == near(0.53217, 1e-5)
    assert phi > settling.TOUCHING


# --- solutions


@pytest.mark.parametrize(
    ("got", "expected"),
    [
        (solutions.sucrose_solubility(25), 67.4706),
        (solutions.salt_solubility(25), 26.512),
        (solutions.syrup_viscosity(65, 40), 43.84),
        (solutions.glycerol_viscosity(50, 20), 6.0023),
        (solutions.glycerol_viscosity(80, 20), 60.859),
    ],
)
def test_recomputed_solutions(got: float, expected: float) -> None:
    assert got == pytest.approx(expected, rel=1e-4)


def test_pure_ends_of_glycerol() -> None:
    assert solutions.glycerol_density(0, 20) == solutions.water_density(20)
    assert solutions.glycerol_density(100, 20) == near(1273.3 - 0.6121 * 20)


# --- water activity


@pytest.mark.parametrize(
    ("pct", "aw"), [(10, 0.9782), (20, 0.9510), (30, 0.9163), (40, 0.8711), (50, 0.8108), (60, 0.7283)]
)
def test_glycerin_in_water(pct: float, aw: float) -> None:
    assert activity.norrish("glycerin", pct, 100 - pct) == near(aw, 1e-4)


def test_sugar_and_glycerin_together() -> None:
    made = activity.water_activity({"sucrose": 40, "glycerin": 20}, 40)
    assert made.value == near(0.84367, 1e-5)


# --- heat


@pytest.mark.parametrize(("water_c", "mixed"), [(25, 32.2971), (70, 70.7297)])
def test_oil_meets_water(water_c: float, mixed: float) -> None:
    water = HeatPart("water", 70, water_c, 4.18)
    oil = HeatPart("oil phase", 25, 75, 2.0)
    expected = mixed if water_c == 25 else (25 * 2 * 75 + 70 * 4.18 * 70) / (50 + 70 * 4.18)
    assert heat.mixing_temperature([oil, water]).value == near(expected)
    assert expected == near(mixed)


def test_wax_that_sets_gives_its_heat_back() -> None:
    oil = HeatPart("oil", 20, 75, 2.0)
    made = heat.mixing_temperature([oil, CETYL, HeatPart("water", 70, 25, 4.18)])
    assert made.value == near(35.6538)
    assert made.low < made.value == made.high


def test_cold_wax_takes_heat_to_melt() -> None:
    cold = HeatPart("beeswax", 10, 20, 2.0, 63.5, 180)
    warm = heat.mixing_temperature([HeatPart("oil", 90, 80, 2.0), cold])
    assert warm.value == near((90 * 2 * 80 + 10 * 2 * 20 - 10 * 180) / 200)
    assert heat.mixing_temperature([HeatPart("oil", 10, 80, 2.0), cold]).value < 63.5


def test_half_melted_wax_stays_at_its_melting_point() -> None:
    wax = HeatPart("wax", 50, 60, 2.0, 62, 200)
    assert heat.mixing_temperature([HeatPart("oil", 50, 75, 2.0), wax]).value == 62


def test_hot_base_onto_cold_sugar() -> None:
    made = heat.mixing_temperature([HeatPart("base", 35, 50, 2.0), HeatPart("sugar", 65, 22, 1.25)])
    assert made.value == near(34.9587)


@pytest.mark.parametrize("wanted", [30.0, 49.2, 55.0, 70.0])
def test_least_temperature_gives_the_temperature_wanted(wanted: float) -> None:
    water = HeatPart("water", 70, 25, 4.18)
    least = heat.least_temperature(wanted, water, [OIL, CETYL])
    back = heat.mixing_temperature([HeatPart("water", 70, least, 4.18), OIL, CETYL])
    assert back.value == near(wanted)


@pytest.mark.parametrize("wanted", [42.0, 55.0, 70.0])
def test_a_wax_is_warmed_until_its_heat_of_melting_is_there_too(wanted: float) -> None:
    water = HeatPart("water", 5, 40, 4.18)
    wax = HeatPart("cetyl alcohol", 15, heat.least_temperature(wanted, CETYL_15, [water]), 2.0, 49.2, 230)
    assert heat.mixing_temperature([wax, water]).value == near(wanted)


# --- bad input: a sentence each


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: settling.fall_speed(0, 1587, 925, 60), "grain size: 0 µm is too small"),
        (lambda: settling.fall_speed(500, 0, 925, 60), "grains, density: 0 kg/m³ is out of range"),
        (lambda: settling.stokes_speed(5, 70, math.nan), "viscosity: nan is not a finite number"),
        (lambda: settling.hindered_factor(1.2), "volume share: 1.2 is out of range"),
        (lambda: settling.packing_of(300, 1587), "share of the volume"),
        (lambda: volumes.volume({"oil": (10, 0)}), "'oil', density: 0 kg/m³"),
        (lambda: volumes.volume_share({}, {}), "Oil and water phase together has no amount"),
        (lambda: activity.norrish("sucrose", 100, 0), "water: 0 g is too small"),
        (lambda: activity.norrish("salt", 10, 90), "no constant is known"),
        (lambda: solutions.sucrose_solubility(180), "Enter 0 to 90 °C"),
        (lambda: HeatPart("oil", 10, 167, 2.0), "If it is Fahrenheit, enter 75"),
        (lambda: HeatPart("oil", 1e308 * 10, 70, 2.0), "inf is not a finite number"),
        (lambda: heat.mixing_temperature([]), "What is mixed has no amount above 0"),
        (lambda: heat.least_temperature(60, HeatPart("water", 0, 20, 4.18), [OIL]), "'water' has no amount"),
        (lambda: activity.water_activity({}, 0), "The water phase has no amount above 0"),
        (lambda: volumes.grain_share({}, {}), "The jar has no amount above 0"),
    ],
)
def test_what_cannot_be_used_is_told(call, words: str) -> None:
    with pytest.raises(ValueError, match=words.replace("(", r"\(")) as caught:
        call()
    assert isinstance(caught.value, InvalidInput) or "no amount" in str(caught.value)
