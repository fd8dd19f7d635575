"""Thresholds of Reg. (EU) 2023/1545, seen second-hand, and a case worked by hand."""

from __future__ import annotations

import pytest

from hlbcore.rules.fragrance import in_product, named, threshold

pytestmark = pytest.mark.published


def test_thresholds() -> None:
    assert threshold(leave_on=True) == 0.001
    assert threshold(leave_on=False) == 0.01


@pytest.mark.parametrize(
    ("pct", "leave_on", "rinse_off"),
    [
        (0.001, False, False),
        (0.0011, True, False),
        (0.005, True, False),
        (0.01, True, False),
        (0.011, True, True),
    ],
)
def test_named_above_the_threshold_only(pct: float, leave_on: bool, rinse_off: bool) -> None:
    linalool = named("linalool", pct)
    assert linalool.to_name(leave_on=True) == leave_on
    assert linalool.to_name(leave_on=False) == rinse_off


def test_share_times_share() -> None:
    assert in_product(0.5, 1) == pytest.approx(0.005, rel=1e-12)
