"""What the simulation must reach; `learning_figures.py` prints it for many more worlds."""

from __future__ import annotations

import numpy as np
import pytest
from learning_figures import Cell, measure

WORLDS = 40


@pytest.fixture(scope="module")
def small() -> Cell:
    return measure(WORLDS, 10, 0.5, 0.3)


@pytest.fixture(scope="module")
def large() -> Cell:
    return measure(WORLDS, 10, 0.5, 1.0)


@pytest.fixture(scope="module")
def as_modelled() -> Cell:
    return measure(WORLDS, 10, 0.5, "model")


def test_ten_ladders_on_two_pairs_foretell_a_new_phase_better_than_the_tables(small: Cell) -> None:
    assert small.ratio() <= 0.75
    assert small.ratio() < small.ratio("one at a time")


def test_a_laddered_phase_is_known_to_a_third_of_an_hlb(small: Cell) -> None:
    assert small.laddered_error <= 0.35


def test_large_departures_make_it_hardly_worse_than_the_tables(large: Cell) -> None:
    assert large.ratio() <= 1.1
    assert large.laddered_error <= 0.5
    assert np.mean(large.held_new) >= 0.8


def test_intervals_hold_where_truths_follow_the_model(as_modelled: Cell) -> None:
    for held in (as_modelled.held_new, as_modelled.held_laddered):
        assert 0.90 <= np.mean(held) <= 0.98


def test_without_ladders_the_error_is_that_of_the_tables() -> None:
    assert measure(5, 0, 0.5, 0.3).ratio() == pytest.approx(1.0, abs=1e-12)
