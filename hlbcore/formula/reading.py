"""Lists pasted from a spreadsheet or a text file: names and amounts."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

from hlbcore._numbers import checked, read_amount, same_unit
from hlbcore.errors import HlbError, InvalidInput, UnknownIngredient
from hlbcore.findings import Finding
from hlbcore.ingredients import fold
from hlbcore.library import Library, load_library
from hlbcore.limits import FIELD_MOST, FILE_MOST, LINES_MOST, check_length


@dataclass(frozen=True, slots=True)
class ListRow:
    """One line of a pasted list.

    Parameters
    ----------
    line : int
        Number of the line in the text. [-]
    name, amount : str
        As written; the amount with its unit, blank where there is none.
    side : str
        ``"oil"``, ``"emulsifier"``, ``"outside"`` (water side, powders) or ``"unknown"``.
    """

    line: int
    name: str
    amount: str
    side: str


_AMOUNT = r"[+−-]?(?:\d[\d.,]*|[.,]\d+)\s*(?:%|g|gr|grams?|kg|mg|oz|ounces?|lbs?|pounds?)?"
# a comma behind a letter parts two columns; a dash or point only before a space, so that the sign
# of -2 and the point of .5 stay with their number
_BETWEEN = r"(?:[\s:=;|]|(?<=[^\s\d]),|[-–—−.](?=\s))+"
_BEHIND = re.compile(rf"(?P<name>.*\D.*?){_BETWEEN}(?P<amount>{_AMOUNT})\.?", re.IGNORECASE)
# behind a digit it is the decimal comma of 0,5, unless a known name ends there: polysorbate 80,3
_COMMA = re.compile(rf"(?P<name>.*\D.*?\d),\s*(?P<amount>{_AMOUNT})\.?", re.IGNORECASE)
_BEFORE = re.compile(rf"(?P<amount>{_AMOUNT})\s+(?P<name>.*[^\W\d].*)", re.IGNORECASE)
_HEADINGS = {
    "",
    "ingredient",
    "ingredients",
    "name",
    "inci",
    "material",
    "phase",
    "total",
    "sum",
    "oilphase",
    "waterphase",
    "amount",
    "percent",
    "grams",
    "g",
}
_NAMES = {"ingredient", "ingredients", "name", "inci", "material"}
_PLACE = re.compile(r"(?:phase\s*)?[a-z]?\d?|(?:[a-z]\d?|oil|water|fat|heated|cool[- ]?down)\s+phase", re.I)
"""Cells that say where a line goes, not what it is: A, B1, phase C, oil phase."""
LINE_MOST = 300
"""Characters up to which a line is parted into name and amount. [-]"""


def read_list(text: str, *, plain_unit: str = "", library: Library | None = None) -> tuple[ListRow, ...]:
    r"""The lines of a list pasted from a spreadsheet or a text file.

    Parameters
    ----------
    text : str
        A name and an amount a line, in either order, parted by tabs, semicolons or spaces.
    plain_unit : str
        Unit of amounts that have none, where no heading says it.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    tuple of ListRow
        Headings, totals and blank lines are passed over.

    Raises
    ------
    InvalidInput
        If there is no line with a name, more than 200 lines, or a text that is too long.

    Examples
    --------
    >>> [(r.name, r.amount, r.side) for r in read_list("Shea butter\t10,5 %\n3 g polysorbate 80")]
    [('Shea butter', '10,5 %', 'oil'), ('polysorbate 80', '3 g', 'emulsifier')]
    """
    library = library or load_library()
    check_length(text, "list", FILE_MOST)
    lines = text.splitlines()
    if len(lines) > LINES_MOST:
        raise InvalidInput(
            "list", f"it has {len(lines)} lines", f"Paste at most {LINES_MOST} lines at a time."
        )
    rows = []
    unit, names_at = plain_unit, -1
    for number, line in enumerate(lines, 1):
        row = [c.replace('"', "").strip() for c in re.split(r"[\t;]", line)]
        cells = [c for c in row if c]
        if not cells:
            continue
        named = row[names_at] if 0 <= names_at < len(row) else ""
        name, amount = _name_and_amount(cells, named, library)
        check_length(name, f"list, line {number}, name", FIELD_MOST)
        check_length(amount, f"list, line {number}, amount", FIELD_MOST)
        heads = {fold(c) for c in re.split(r"[\t;,()\[\]]", line)}
        if fold(name) in _HEADINGS or heads <= _HEADINGS:
            unit = "g" if heads & {"g", "gram", "grams"} and "%" not in line else unit
            names_at = next((n for n, c in enumerate(row) if fold(c) in _NAMES), names_at)
            continue
        if amount and unit and not re.search(r"[^\d.,\s+−-]", amount):
            amount = f"{amount} {unit}"
        rows.append(ListRow(number, name, amount, _side(name, library)))
    if not rows:
        raise InvalidInput(
            "list",
            "there is no line with a name",
            "Write an ingredient and its amount on each line, for example: shea butter 10 %",
        )
    return tuple(rows)


def _side(name: str, library: Library) -> str:
    try:
        convention = library.find(name).convention
    except UnknownIngredient:
        return "unknown"
    if convention in ("oil", "oil_or_emulsifier"):
        return "oil"
    return "outside" if convention in ("outside", "base") else "emulsifier"


def _name_and_amount(cells: list[str], named: str, library: Library) -> tuple[str, str]:
    """Name and amount among the cells of a line; `named` stands where the heading says names."""
    if len(cells) > 1:
        numbers = [c for c in cells if re.fullmatch(_AMOUNT, c, re.IGNORECASE)]
        words = [c for c in cells if c not in numbers]
        if words:
            known = [w for w in words if fold(w) in library.names]
            headed = [w for w in words if w == named]
            others = [w for w in words if not _PLACE.fullmatch(w)]
            return (known or headed or others or words)[0], numbers[0] if numbers else ""
    line = " ".join(" ".join(cells).split())
    if fold(line) in library.names or len(line) > LINE_MOST:
        return line, ""
    tries = [m for p in (_BEHIND, _BEFORE, _COMMA) if (m := p.fullmatch(line))]
    tries.sort(key=lambda m: fold(m["name"]) not in library.names)  # a known name wins
    if tries:
        return tries[0]["name"].strip(" ,:;=|.-–—−"), tries[0]["amount"].strip()
    return line, ""


def _percents(rows: tuple[ListRow, ...]) -> list[float] | None:
    """The amounts as per cent; None where one is missing, unreadable or a mass."""
    found = []
    for row in rows:
        try:
            typed = read_amount(row.amount, row.name)
        except HlbError:
            return None
        if typed.unit not in ("", "%") or typed.number < 0:
            return None
        found.append(typed.number)
    return found


TOTAL_OFF = 0.01
"""A recipe adds to 100 within this. [% of formula]"""


def total_finding(rows: tuple[ListRow, ...]) -> Finding | None:
    r"""Whether a whole recipe adds to 100 %, and by how much it does not.

    Parameters
    ----------
    rows : tuple of ListRow
        A pasted list.

    Returns
    -------
    Finding or None
        None where it is no whole recipe in per cent: nothing of the water side, or masses.

    Examples
    --------
    >>> total_finding(read_list("water 70\nolive oil 25\npolysorbate 60 6")).title
    'The recipe adds to 101 %'
    """
    percents = _percents(rows)
    if percents is None or not any(r.side == "outside" for r in rows):
        return None
    total = math.fsum(percents)
    off = total - 100
    if abs(off) <= TOTAL_OFF:
        return Finding("note", "The recipe adds to 100 %")
    return Finding(
        "caution",
        f"The recipe adds to {total:.5g} %",
        f"{abs(off):.4g} % is {'too much' if off > 0 else 'missing'}.",
        f"{total:.5g} %",
        "a formula adds to 100 % within 0.01",
        "Rescale all lines, or take the difference from the water. Neither is done unasked.",
    )


def rescaled(rows: tuple[ListRow, ...]) -> tuple[ListRow, ...]:
    r"""The recipe with every amount in proportion, so that it adds to 100 %.

    Parameters
    ----------
    rows : tuple of ListRow
        A recipe in per cent.

    Returns
    -------
    tuple of ListRow
        With amounts to four decimals.

    Raises
    ------
    InvalidInput
        If an amount is missing, a mass, or all are 0.

    Examples
    --------
    >>> [r.amount for r in rescaled(read_list("water 150\nolive oil 50"))]
    ['75 %', '25 %']
    """
    percents = _needed(rows)
    total = checked(math.fsum(percents), "recipe, total", above=0)
    return tuple(replace(r, amount=_text(100 * p / total)) for r, p in zip(rows, percents, strict=True))


def _needed(rows: tuple[ListRow, ...]) -> list[float]:
    percents = _percents(rows)
    if percents is None:
        raise InvalidInput(
            "recipe", "an amount is missing or not in per cent", "Give every line in per cent."
        )
    return percents


def _kind(row: ListRow, library: Library) -> str:
    return library.find(row.name).kind if row.side != "unknown" else ""


def _text(pct: float) -> str:
    return f"{round(pct, 4):.8g} %"


def recipe_grams(rows: tuple[ListRow, ...]) -> float | None:
    """Mass of a whole recipe given in units of mass.

    Parameters
    ----------
    rows : tuple of ListRow
        A pasted list.

    Returns
    -------
    float or None
        The sum of all lines; None where it is no whole recipe by mass. [g]

    Examples
    --------
    >>> recipe_grams(read_list("water 1 kg; olive oil 250 g".replace("; ", chr(10))))
    1250.0
    """
    if not any(r.side == "outside" for r in rows):
        return None
    try:
        masses, unit = same_unit([(f"'{r.name}'", r.amount) for r in rows])
    except HlbError:
        return None
    return math.fsum(masses) if unit == "g" else None


def as_fractions(rows: tuple[ListRow, ...]) -> tuple[ListRow, ...] | None:
    r"""The recipe times 100, where its amounts add to 1 and so look like fractions.

    Parameters
    ----------
    rows : tuple of ListRow
        A pasted list.

    Returns
    -------
    tuple of ListRow or None
        None where they do not look like fractions.

    Examples
    --------
    >>> [r.amount for r in as_fractions(read_list("water .75 %\nolive oil .25 %"))]
    ['75 %', '25 %']
    """
    percents = _percents(rows)
    if percents is None or len(rows) < 2 or max(percents) > 1:
        return None
    if abs(math.fsum(percents) - 1) > FRACTIONS_OFF:
        return None
    return tuple(replace(r, amount=_text(100 * p)) for r, p in zip(rows, percents, strict=True))


FRACTIONS_OFF = 0.021
"""Fractions of a whole recipe add to 1 within this. [-] Our convention."""

_BY_VOLUME = re.compile(
    r"\b(?:tsps?|tbsps?|teaspoons?|tablespoons?|spoons?|spoonfuls?|cups?|drops?|fl\.?\s?oz|ml|millilit\w+|"
    r"pinch(?:es)?|handfuls?)\b",
    re.IGNORECASE,
)


def by_volume(text: str) -> Finding | None:
    r"""Why amounts in spoons, cups, drops or millilitres cannot be used, and the way to a weight.

    Parameters
    ----------
    text : str
        A list as pasted, or one amount.

    Returns
    -------
    Finding or None
        None where nothing is measured by volume.

    Examples
    --------
    >>> by_volume("2 tbsp shea butter").figure
    '2 tbsp'
    """
    for line in text.splitlines():
        found = _BY_VOLUME.search(line)
        if found is None or not any(c.isdigit() or c in "½¼¾" for c in line[: found.start()]):
            continue
        measure = line[: found.end()].split()
        return Finding(
            "caution",
            "Spoons, cups, drops and millilitres are no weights",
            "A spoon of butter, of powder and of oil weigh differently, and heaped or packed they weigh "
            "differently again, so no amount is guessed from them.",
            " ".join(measure[-2:]),
            "amounts are by mass",
            "Fill the spoon or cup as you always do, weigh what is in it once, and type the grams.",
        )
    return None
