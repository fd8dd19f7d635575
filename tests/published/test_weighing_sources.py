"""Weighing, aliquots and spoons against printed figures; each test names its source.

USP <41> Balances, text of 1 Aug 2019 as posted in a forum (ppmu.ouryao.com thread-701175), excerpt.
University of Tartu, GUM example, Uncertainty of simple weighing (ut.ee/katsekoda/GUM_examples), excerpt.
Aliquot method, teaching slides (scribd 545509411), excerpt; UNC pharmlabs, weighing, excerpt.
Oregon Dept. of Agriculture on NIST Handbook 44 G-UR.1.1, excerpt; OIML R 76 tables 3 and 6 (teaching copy).
NIST Handbook 44 (2014), appendix C: ounce, pound and fluid ounce, read whole.
"""

from __future__ import annotations

import math

import pytest
from printed_values import printed

from hlbcore import InvalidInput, Jars, Scale
from hlbcore.batch.premix import aliquot
from hlbcore.batch.scales import USP_LEAST, standard_g, tolerance_g
from hlbcore.batch.size import in_unit, size_of
from hlbcore.rules.thickening import spoon_grams

pytestmark = pytest.mark.published


def test_usp_41_smallest_net_weight_is_2000_times_the_spread() -> None:
    # s = 0.15 mg gives 0.300 g
    assert Scale(0.0001, floor="USP <41>", repeatability_g=0.00015).least_g == printed("0.300")


def test_usp_41_starts_at_820_divisions() -> None:
    # lowest possible start as a seller's summary prints it; 0.41 from memory
    assert Scale(0.01, floor="USP <41>").least_g == printed("8.2")
    assert math.sqrt(2 / 12) == printed(str(USP_LEAST))


def test_tartu_budget_of_a_tared_weighing() -> None:
    assert standard_g(0.00017, [0.0002, 0.00005]) == printed("0.000207525098884")


def test_aliquot_for_12_mg_where_120_mg_is_the_least() -> None:
    made = aliquot(12, 120)
    assert (made.ingredient, made.diluent, made.mixture, made.take) == (120, 1080, 1200, 120)


def test_50_mg_on_a_balance_of_6_mg_is_12_per_cent_off() -> None:
    # UNC: sensitivity over mass; here the sensitivity is the error that one reading may have
    scale = Scale(0.006, error_g=0.006)
    assert 100 * scale.reading_g / 0.050 == printed("12")


def test_fifty_divisions_are_five_grams_on_a_tenth() -> None:
    assert Scale(0.1, floor="50 d").least_g == printed("5")
    assert 100 * Scale(0.1).reading_g / 5 == printed("1")


def test_legal_limits_of_a_class_iii_scale_with_e_1_g() -> None:
    loads = (400, 1500, 5000)
    assert [tolerance_g(m, 1) for m in loads] == [0.5, 1, 1.5]
    assert [tolerance_g(m, 1, in_service=True) for m in loads] == [1, 2, 3]
    assert Scale(1, floor="20 e").least_g == 20


def test_readability_is_not_accuracy() -> None:
    # a cheap scale at 106 g was 0.073 g off: seven of its steps of 0.01 g (Electronics-Lab forum 263339)
    shown, better = 106.06, 105.9871
    scale = Scale(0.01)
    assert abs(shown - better) > scale.worst_g
    assert Scale(0.01, error_g=0.073).worst_g == pytest.approx(0.083)


def test_ounce_pound_and_fluid_ounce_of_handbook_44() -> None:
    assert size_of("1 lb") == printed("453.59237")
    assert size_of("1 oz") == printed("28.349523125")
    assert in_unit(1000, "lb") == printed("2.204623")
    assert in_unit(1000, "oz") == printed("35.27396")
    assert Jars(1, "1 fl oz", density_g_ml=1).fill_g == printed("29.57353")


@pytest.mark.parametrize(
    ("gum", "grams"),
    [("xanthan", 2.0), ("guar", 2.5), ("agar", 3.0), ("kappa carrageenan", 3.3), ("sodium alginate", 2.6)],
)
def test_printed_level_teaspoons_of_gum_lie_in_the_band_of_the_spoon(gum: str, grams: float) -> None:
    # Cape Crystal Brands, one supplier, a spoon of 5 ml
    spoon = spoon_grams(1, spoon_ml=5)
    assert spoon.low_g <= grams <= spoon.high_g, gum


def test_a_cup_is_no_mass() -> None:
    # a quarter cup: shea butter 44 g, grated beeswax 18 g (Swift Crafty Monkey, 10 Sept 2017)
    with pytest.raises(InvalidInput, match="fill of a jar: '1/4 cup'"):
        Jars(1, "1/4 cup")
