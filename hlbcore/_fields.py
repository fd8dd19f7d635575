"""Fields of a sheet, read one by one: a sentence is kept for each that cannot be used."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TypeVar

from hlbcore._numbers import GRAMS_PER, checked, read_amount, read_range
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.formula_parts import Composite, CompositePart
from hlbcore.ingredients import fold
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


_NAMED = re.compile(r"(?P<name>.*?\S)[\s:=]+(?P<number>[\d.,]+)\s*%?")


def named_numbers(text: str, item: str) -> tuple[tuple[str, float], ...]:
    """Names with a number each: ``rose 50, plain 50``; commas, semicolons or lines part them."""
    found = []
    for piece in re.split(r"[;\n]|,(?!\d)", text):
        if not piece.strip():
            continue
        m = _NAMED.fullmatch(piece.strip()) if len(piece) < 500 else None  # the pattern backtracks
        if m is None:
            raise InvalidInput(
                item, f"'{clipped(piece)}' is no name with a number",
                "Write a name and a number, for example: rose 50.",
            )  # fmt: skip
        found.append((m["name"], read_amount(m["number"], item).number))
    return tuple(found)


_PART = re.compile(r"(?P<name>.*?\S)[\s:=]+(?P<number>[\d.,]+)\s*%?(?:\s*\((?P<range>[^()]*)\))?")


def read_blends(text: str) -> tuple[Composite, ...]:
    """Bought blends with their parts, one a line: ``house wax: cetearyl alcohol 80, ...``.

    A part may carry the range that the supplier declares: ``cetearyl alcohol 80 (70 to 90)``.
    """
    found = []
    for line in text.splitlines():
        if not line.strip():
            continue
        name, mark, parts = line.partition(":")
        item = f"blend '{clipped(name)}'"
        if not mark or not fold(name):
            raise InvalidInput(
                item, "its name and parts are not parted by a colon",
                "Write for example: house wax: cetearyl alcohol 80, polysorbate 60 20.",
            )  # fmt: skip
        held = []
        for piece in re.split(r"[;]|,(?!\d)", parts):
            m = _PART.fullmatch(piece.strip()) if len(piece) < 500 else None
            if m is None:
                raise InvalidInput(
                    item, f"'{clipped(piece)}' is no part with a number",
                    "Write a name and its % of the blend, for example: cetearyl alcohol 80.",
                )  # fmt: skip
            low, high = read_range(m["range"], item, "%") if m["range"] else (None, None)
            pct = read_amount(m["number"], item).number
            held.append(CompositePart(m["name"], pct, low, high))
        found.append(Composite(name.strip(), tuple(held)))
    return tuple(found)


def blend_text(blend: Composite) -> str:
    """A bought blend as `read_blends` reads it."""
    parts = []
    for p in blend.parts:
        span = f" ({p.low:g} to {p.high:g})" if p.low is not None and p.high is not None else ""
        parts.append(f"{p.name} {p.pct:g}{span}")
    return f"{blend.name}: {', '.join(parts)}"
