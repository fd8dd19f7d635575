"""How figures are compared with a page."""

from __future__ import annotations

from typing import Any

import pytest


def printed(text: str) -> Any:
    """The value as the page prints it: agreement within half a unit of the last digit."""
    decimals = len(text.partition(".")[2])
    return pytest.approx(float(text), rel=0, abs=0.5001 * 10**-decimals)


def within(value: float, tolerance: float) -> Any:
    """The value recomputed from the inputs as printed, with the tolerance stated."""
    return pytest.approx(value, rel=0, abs=tolerance)
