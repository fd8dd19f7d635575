"""The uncertainty from weighing, against two independent ways."""

from __future__ import annotations

import math

import numpy as np
import pytest
from uncertainties import UFloat, ufloat

from hlbcore import plan_ladder
from hlbcore.blending.weighing import weighing_sd
from hlbcore.ladder.blur import premixed_stocks

CASES = [
    pytest.param([1.16, 0.34], [4.7, 14.9], 0.01, id="pair"),
    pytest.param([0.2, 0.6], [4.3, 15.0], 0.1, id="pair-on-a-coarse-scale"),
    pytest.param([0.5, 0.3, 0.9], [4.3, 10.0, 16.7], 0.01, id="three"),
]


@pytest.mark.parametrize(("grams", "hlbs", "division"), CASES)
def test_weighing_sd_is_that_of_linear_propagation(
    grams: list[float], hlbs: list[float], division: float
) -> None:
    weighed: list[UFloat] = [ufloat(g, division / math.sqrt(12)) for g in grams]
    hlb = sum(g * h for g, h in zip(weighed, hlbs, strict=True)) / sum(weighed)
    assert weighing_sd(grams, hlbs, division) == pytest.approx(hlb.std_dev, rel=1e-9)


@pytest.mark.parametrize(("grams", "hlbs", "division"), CASES)
def test_weighing_sd_is_that_of_drawn_readings(
    grams: list[float], hlbs: list[float], division: float
) -> None:
    source = np.random.default_rng(7)
    drawn = np.array(grams) + source.uniform(-division / 2, division / 2, (200_000, len(grams)))
    hlb = drawn @ np.array(hlbs) / drawn.sum(axis=1)
    # a tenth of a gram on 0.8 g is not quite linear: 2 % covers it and the drawing
    assert weighing_sd(grams, hlbs, division) == pytest.approx(float(hlb.std()), rel=0.02)


def test_a_part_that_is_not_weighed_adds_nothing() -> None:
    assert weighing_sd([1.0, 0.0], [4.3, 15.0], 0.1) == 0.0


def test_hlb_sd_of_a_ladder_is_that_of_drawn_readings_of_each_vial() -> None:
    ladder = plan_ladder(
        "sorbitan oleate",
        "polysorbate 80",
        centre=10,
        half_width=3,
        oil_phase={"mineral oil": 20},
        vial_mass_g=30,
        readability_g=0.01,
    )
    source = np.random.default_rng(11)
    for vial, sd in zip(ladder.vials, ladder.table["hlb_sd"], strict=True):
        grams = np.array([dict(vial.grams)[n] for n, _ in ladder.emulsifiers])
        hlbs = np.array([e.value for _, e in ladder.emulsifiers])
        drawn = grams + source.uniform(-0.005, 0.005, (50_000, 2))
        assert sd == pytest.approx(float((drawn @ hlbs / drawn.sum(axis=1)).std()), rel=0.02)


def test_dose_sd_is_that_of_linear_propagation() -> None:
    row = plan_ladder(
        "sorbitan oleate",
        "polysorbate 80",
        centre=10,
        half_width=3,
        oil_phase={"mineral oil": 12, "sunflower oil": 8},
        readability_g=0.1,
    ).table.iloc[2]
    u = 0.1 / math.sqrt(12)
    a, b, c, d = (
        ufloat(row[f"{n}_g"], u)
        for n in ("sorbitan oleate", "polysorbate 80", "mineral oil", "sunflower oil")
    )
    assert row["of_oil_sd"] == pytest.approx((100 * (a + b) / (c + d)).std_dev, rel=1e-9)


@pytest.mark.parametrize("with_oil", [False, True], ids=["emulsifiers", "with-oil"])
def test_stocks_carry_their_own_error_and_that_of_the_portion(with_oil: bool) -> None:
    ladder = plan_ladder(
        "sorbitan oleate",
        "polysorbate 80",
        centre=10,
        half_width=1.5,
        vial_mass_g=10,
        oil_phase={"mineral oil": 20},
        readability_g=0.01,
    )
    made = premixed_stocks(ladder, with_oil=with_oil)
    u = 0.01 / math.sqrt(12)
    hlbs = []
    for row in made.stocks.to_dict("records"):
        a, b = ufloat(row["sorbitan oleate_g"], u), ufloat(row["polysorbate 80_g"], u)
        hlbs.append((4.3 * a + 15 * b) / (a + b))
    for row in made.table.to_dict("records"):
        low, high = row["low_stock_g"], row["high_stock_g"]
        x, y = (ufloat(m, u) if m else 0.0 for m in (low, high))  # 0 is not weighed
        hlb = (x * hlbs[0] + y * hlbs[1]) / (x + y)
        assert row["hlb_as_weighed"] == pytest.approx(hlb.nominal_value, abs=1e-9)
        assert row["hlb_sd"] == pytest.approx(hlb.std_dev, rel=1e-6)
