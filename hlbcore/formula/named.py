"""Names with numbers as people type them: portions, allergens, bought blends with their parts."""

from __future__ import annotations

import re
from collections.abc import Iterable

from hlbcore._numbers import read_amount, read_range
from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.lines import Composite, CompositePart, Portion
from hlbcore.ingredients import fold
from hlbcore.limits import PARTS_MOST, PORTIONS_MOST, check_count
from hlbcore.typed import in_full

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
    text = f"{name} {in_full(number)}"
    found = plain.fullmatch(text) if len(text) < 500 else None
    whole = _pieces(text, r"[;\n]|,(?!\d)") == [text] and not text.startswith('"')
    if found is not None and found["name"] == name and whole:
        return text
    return '"' + name.replace('"', '""') + f'" {in_full(number)}'


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
        if not parts.strip():
            raise InvalidInput(
                item,
                "it has no parts",
                "Write them with their % of the blend, for example: cetearyl alcohol 80.",
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
        low, high = p.low or 0.0, 100.0 if p.high is None else p.high
        span = "" if p.low is None and p.high is None else f" ({in_full(low)} to {in_full(high)})"
        parts.append(_one(p.name, p.pct, _PART) + span)
    name = blend.name
    if ":" in name or name.startswith('"'):
        name = '"' + name.replace('"', '""') + '"'
    return f"{name}: {', '.join(parts)}"


def blends_text(blends: Iterable[Composite]) -> str:
    """Bought blends, one a line, as `read_blends` reads them."""
    return "\n".join(blend_text(blend) for blend in blends)


def read_portions(text: str) -> tuple[Portion, ...]:
    """Portions with their share of the base: ``rose 50, plain 50``."""
    held = named_numbers(text, "portions")
    check_count(held, "portions", PORTIONS_MOST)
    return tuple(Portion(name, share) for name, share in held)


def portions_text(portions: Iterable[Portion]) -> str:
    """Portions as `read_portions` reads them."""
    return named_text((p.name, p.share_pct) for p in portions)
