"""Beuchat 1981, [water activity of solutions and growth limits], a university's reprint, seen in full.

A second root for the recalled constant of sucrose: 55 % stands beside 0.91, 65 % beside 0.87.
"""

import pytest
from printed_values import within

from hlbcore.rules.jar.activity import DOUBT, norrish, water_activity

pytestmark = pytest.mark.published


@pytest.mark.parametrize(("sucrose", "aw"), [(55, 0.91), (65, 0.87)])
def test_sugar_in_water_lies_inside_the_band(sucrose: float, aw: float) -> None:
    assert norrish("sucrose", sucrose, 100 - sucrose) == within(aw, 0.01)
    made = water_activity({"sucrose": sucrose}, 100 - sucrose)
    assert made.low < aw < made.high
    assert made.high - made.low >= 2 * DOUBT - 1e-12


def test_a_saturated_syrup_stops_bacteria_of_the_list_but_no_moulds() -> None:
    grows = " ".join(water_activity({"sucrose": 67.47}, 32.53).may_grow)
    assert "moulds" in grows
    assert "Pseudomonas" not in grows
    assert "Salmonella" not in grows
