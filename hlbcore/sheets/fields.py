"""Fields of a sheet, read one by one: a sentence is kept for each that cannot be used."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import TypeVar

from hlbcore._numbers import GRAMS_PER, checked, read_amount, read_range
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.formula.lines import Composite, CompositePart
from hlbcore.ingredients import fold
from hlbcore.limits import PARTS_MOST, check_count
from hlbcore.sheets.sheet import GRAMS, PERCENT

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
        100 * number * GRAMS_PER[means] / batch, f"{item}, as % of the batch", low=0, high=100, unit="%"
    )


def active_pct(text: str, active: str, batch: float | None, item: str) -> float:
    """The active part of a line as per cent of the formula; a blank active part means all."""
    share = checked(active, f"{item}, active part", low=0, high=100) if active.strip() else 100.0
    return percent(text, PERCENT, batch, item) * share / 100


_TAIL = r"[\s:=]+(?P<number>[\d.,]+)\s*%?"
_NAMED = re.compile(r"(?P<name>.*?\S)" + _TAIL)
_QUOTED = re.compile(r'"(?P<name>(?:[^"]|"")*+)"' + _TAIL)


def _pieces(text: str, marks: str) -> list[str]:
    """The text parted at the marks; a piece that begins with a quote ends behind the next one."""
    found, held = [], ""
    for n, part in enumerate(re.split(f"({marks})", text)):
        if n % 2 and not (held.lstrip()[:1] == '"' and held.count('"') % 2):
            found.append(held)
            held = ""
        else:
            held += part
    return [p.strip() for p in (*found, held) if p.strip()]


def _named(piece: str, plain: re.Pattern[str], quoted: re.Pattern[str]) -> re.Match[str] | None:
    open_quote = piece[:1] == '"' and piece.count('"') % 2
    # the pattern of a plain name backtracks
    short = len(piece) < 500 and not open_quote
    return quoted.fullmatch(piece) or (plain.fullmatch(piece) if short else None)


def _name(found: re.Match[str]) -> str:
    quoted = found.re in (_QUOTED, _QUOTED_PART)
    return found["name"].replace('""', '"') if quoted else found["name"]


def named_numbers(text: str, item: str) -> tuple[tuple[str, float], ...]:
    """Names with a number each: ``rose 50, plain 50``; commas, semicolons or lines part them.

    A name that holds such a mark stands in quotes: ``"rose, dark" 50``.
    """
    found = []
    for piece in _pieces(text, r"[;\n]|,(?!\d)"):
        m = _named(piece, _NAMED, _QUOTED)
        if m is None:
            raise InvalidInput(
                item,
                f"'{clipped(piece)}' is no name with a number",
                "Write a name and a number, for example: rose 50.",
            )
        found.append((_name(m), read_amount(m["number"], item).number))
    return tuple(found)


def named_text(pairs: Iterable[tuple[str, float]]) -> str:
    """Names with a number each, as `named_numbers` reads them."""
    return ", ".join(_one(name, number, _NAMED) for name, number in pairs)


def _one(name: str, number: float, plain: re.Pattern[str]) -> str:
    """A name with its number; in quotes where it would be read as another name."""
    text = f"{name} {figure(number)}"
    found = plain.fullmatch(text) if len(text) < 500 else None
    whole = _pieces(text, r"[;\n]|,(?!\d)") == [text] and not text.startswith('"')
    if found is not None and found["name"] == name and whole:
        return text
    return '"' + name.replace('"', '""') + f'" {figure(number)}'


def figure(number: float) -> str:
    """A number of 0 or more in full, as people write it."""
    text = f"{Decimal(repr(float(number))):f}"
    return text.removesuffix(".0")


_RANGE = r"(?:\s*\((?P<range>[^()]*)\))?"
_PART = re.compile(_NAMED.pattern + _RANGE)
_QUOTED_PART = re.compile(_QUOTED.pattern + _RANGE)


_BLEND = re.compile(r'\s*"(?P<name>(?:[^"]|"")*+)"\s*:')


def read_blends(text: str) -> tuple[Composite, ...]:
    """Bought blends with their parts, one a line: ``house wax: cetearyl alcohol 80, ...``.

    A part may carry the range that the supplier declares: ``cetearyl alcohol 80 (70 to 90)``.
    """
    found = []
    for line in text.splitlines():
        if not line.strip():
            continue
        m = _BLEND.match(line)
        name, mark, parts = (m["name"].replace('""', '"'), ":", line[m.end() :]) if m else line.partition(":")
        item = f"blend '{clipped(name)}'"
        if not mark or not fold(name):
            raise InvalidInput(
                item,
                "its name and parts are not parted by a colon",
                "Write for example: house wax: cetearyl alcohol 80, polysorbate 60 20.",
            )
        held = []
        for piece in _pieces(parts, r"[;]|,(?!\d)") or [""]:
            m = _named(piece, _PART, _QUOTED_PART)
            if m is None:
                raise InvalidInput(
                    item,
                    f"'{clipped(piece)}' is no part with a number",
                    "Write a name and its % of the blend, for example: cetearyl alcohol 80.",
                )
            low, high = read_range(m["range"], item, "%") if m["range"] else (None, None)
            pct = read_amount(m["number"], item).number
            held.append(CompositePart(_name(m), pct, low, high))
        check_count(held, item, PARTS_MOST)
        found.append(Composite(name.strip(), tuple(held)))
    check_count(found, "bought blends")
    return tuple(found)


def blend_text(blend: Composite) -> str:
    """A bought blend as `read_blends` reads it."""
    parts = []
    for p in blend.parts:
        given = p.low is not None and p.high is not None
        span = f" ({figure(p.low or 0)} to {figure(p.high or 0)})" if given else ""
        parts.append(_one(p.name, p.pct, _PART) + span)
    name = blend.name
    if ":" in name or name.startswith('"'):
        name = '"' + name.replace('"', '""') + '"'
    return f"{name}: {', '.join(parts)}"
