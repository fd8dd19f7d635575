from __future__ import annotations

import numpy as np
import pytest

from hlbcore import InvalidInput, Scale
from hlbcore.batch.premix import FACTOR_MOST, Carrier, Premix, aliquot, plan_premix

SCALES = (Scale(0.1, 2000),)


def planned(need: float, carrier: float = 80.0, scales: tuple[Scale, ...] = SCALES) -> Premix:
    made = plan_premix("mica", "water", 1, need, Carrier("water", 0, carrier), scales)
    assert made is not None
    return made


def drawn(made: Premix, rng: np.random.Generator, size: int) -> np.ndarray:
    """What comes into the pot when each of two readings lies anywhere within half a division."""

    def weighed(mass: float, scale: Scale) -> np.ndarray:
        half = scale.readability_g / 2
        return mass + rng.uniform(-half, half, size) - rng.uniform(-half, half, size)

    found = weighed(made.take_g, made.scale)
    for s in made.steps:
        of, carrier = weighed(s.of_g, s.of_scale), weighed(s.carrier_g, s.carrier_scale)
        found = found * of / (of + carrier)
    return found


@pytest.mark.parametrize("need", [0.9, 0.12, 0.03, 0.002])
def test_a_premix_brings_what_is_needed_as_monte_carlo_finds(need: float) -> None:
    made = planned(need)
    assert made.delivered_g == pytest.approx(need, rel=0.06)
    masses = drawn(made, np.random.default_rng(7), 100_000)
    assert masses.mean() == pytest.approx(made.delivered_g, rel=0.01)
    assert masses.std() == pytest.approx(made.standard_g, rel=0.03)
    assert abs(masses - made.delivered_g).max() < made.worst_g * 1.1


@pytest.mark.parametrize("need", [0.9, 0.12, 0.03, 0.002, 0.0001])
def test_nothing_below_the_floor_is_weighed_for_a_premix(need: float) -> None:
    made = planned(need)
    for s in made.steps:
        assert s.of_g >= s.of_scale.least_g
        assert s.whole_g / s.of_g <= FACTOR_MOST * 1.05
    assert made.take_g <= made.steps[-1].whole_g


def test_an_amount_far_too_small_is_thinned_again() -> None:
    made = planned(0.002)
    assert len(made.steps) > 1
    assert "mixture 2" in made.words[1]


def test_a_premix_is_bounded_by_its_carrier_and_the_scale() -> None:
    assert plan_premix("mica", "water", 1, 0.1, Carrier("water", 0, 0.5), SCALES) is None
    assert plan_premix("mica", "water", 1, 0.1, Carrier("water", 0, 80), (Scale(0.1, 5),)) is None
    assert plan_premix("mica", "water", 1, 5.0, Carrier("water", 0, 80), SCALES) is None


def test_a_gum_takes_all_of_its_humectant() -> None:
    made = plan_premix("xanthan gum", "water", 1, 0.25, Carrier("glycerin", 0, 4.0, all_of_it=True), SCALES)
    assert made is not None
    assert made.slurry
    assert made.steps[0].carrier_g == 16.0
    assert made.take_g == pytest.approx(4.25, abs=0.06)


def test_what_can_be_weighed_needs_no_aliquot() -> None:
    with pytest.raises(InvalidInput, match="Weigh it as it is"):
        aliquot(150, 120)
