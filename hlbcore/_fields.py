"""Fields of a sheet, read one by one: a sentence is kept for each that cannot be used."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from hlbcore._numbers import GRAMS_PER, checked, read_amount
from hlbcore.errors import HlbError, InvalidInput
from hlbcore.sheet import GRAMS, PERCENT

T = TypeVar("T")


class Fields:
    """Reads fields one by one; a sentence is kept for each that cannot be used."""

    def __init__(self) -> None:
        self.errors: dict[str, str] = {}

    def read(self, key: str, how: Callable[[], T]) -> T | None:
        """The value, or None with the sentence kept under the key."""
        try:
            return how()
        except HlbError as error:
            self.errors[key] = str(error)
            return None


def percent(text: str, unit: str, batch: float | None, item: str) -> float:
    """An amount as per cent of the formula."""
    typed = read_amount(text, item)
    number = checked(typed.number, item, low=0)
    means = typed.unit or ("g" if unit == GRAMS else "%")
    if means == "%":
        return checked(number, item, low=0, high=100, unit="%")
    if batch is None:
        raise InvalidInput(item, "it needs the mass of the batch", "Mend the batch first.")
    return checked(
        100 * number * GRAMS_PER[means] / batch, f"{item}, as % of the batch", low=0, high=100,
        unit="%",
    )  # fmt: skip


def active_pct(text: str, active: str, batch: float | None, item: str) -> float:
    """The active part of a line as per cent of the formula; a blank active part means all."""
    share = checked(active, f"{item}, active part", low=0, high=100) if active.strip() else 100.0
    return percent(text, PERCENT, batch, item) * share / 100
