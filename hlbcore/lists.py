"""Lists pasted from a spreadsheet or a text file: names and amounts."""

from __future__ import annotations

import re
from dataclasses import dataclass

from hlbcore.errors import InvalidInput, UnknownIngredient
from hlbcore.ingredients import fold
from hlbcore.library import Library, load_library


@dataclass(frozen=True, slots=True)
class ListRow:
    """One line of a pasted list.

    Parameters
    ----------
    line : int
        Number of the line in the text.
    name, amount : str
        As written; the amount with its unit, blank where there is none.
    side : str
        ``"oil"``, ``"emulsifier"``, ``"outside"`` (water side, powders) or ``"unknown"``.
    """

    line: int
    name: str
    amount: str
    side: str


_AMOUNT = r"[+-]?\d[\d.,]*\s*(?:%|g|gr|grams?|kg|mg|oz|ounces?|lbs?|pounds?)?"
_BEHIND = re.compile(rf"(?P<name>.*\D.*?)[\s:=,;.|-]+(?P<amount>{_AMOUNT})\.?", re.IGNORECASE)
_BEFORE = re.compile(rf"(?P<amount>{_AMOUNT})\s+(?P<name>.*[^\W\d].*)", re.IGNORECASE)
_HEADINGS = {
    "", "ingredient", "ingredients", "name", "inci", "material", "phase", "total", "sum",
    "oilphase", "waterphase", "amount", "percent", "grams", "g",
}  # fmt: skip
LIST_MOST = 200
"""Lines of a pasted list that are read. [-]"""


def read_list(text: str, library: Library | None = None) -> tuple[ListRow, ...]:
    r"""The lines of a list pasted from a spreadsheet or a text file.

    Parameters
    ----------
    text : str
        A name and an amount a line, in either order, parted by tabs, semicolons or spaces.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    tuple of ListRow
        Headings, totals and blank lines are passed over.

    Raises
    ------
    InvalidInput
        If there is no line with a name, or more than 200 lines.

    Examples
    --------
    >>> [(r.name, r.amount, r.side) for r in read_list("Shea butter\t10,5 %\n3 g polysorbate 80")]
    [('Shea butter', '10,5 %', 'oil'), ('polysorbate 80', '3 g', 'emulsifier')]
    """
    library = library or load_library()
    lines = text.splitlines()
    if len(lines) > LIST_MOST:
        raise InvalidInput(
            "list", f"it has {len(lines)} lines", f"Paste at most {LIST_MOST} lines at a time."
        )
    rows = []
    unit = ""
    for number, line in enumerate(lines, 1):
        cells = [c.strip().strip('"') for c in re.split(r"[\t;]", line) if c.strip()]
        if not cells:
            continue
        name, amount = _name_and_amount(cells, library)
        if fold(name) in _HEADINGS:
            heads = {fold(c) for c in cells}
            unit = "g" if heads & {"g", "gram", "grams"} and "%" not in line else unit
            continue
        if amount and unit and not re.search(r"[^\d.,\s+-]", amount):
            amount = f"{amount} {unit}"
        rows.append(ListRow(number, name, amount, _side(name, library)))
    if not rows:
        raise InvalidInput(
            "list", "there is no line with a name",
            "Write an ingredient and its amount on each line, for example: shea butter 10 %",
        )  # fmt: skip
    return tuple(rows)


def _side(name: str, library: Library) -> str:
    try:
        convention = library.find(name).convention
    except UnknownIngredient:
        return "unknown"
    if convention in ("oil", "oil_or_emulsifier"):
        return "oil"
    return "outside" if convention in ("outside", "base") else "emulsifier"


def _name_and_amount(cells: list[str], library: Library) -> tuple[str, str]:
    if len(cells) > 1:
        numbers = [c for c in cells if re.fullmatch(_AMOUNT, c, re.IGNORECASE)]
        words = [c for c in cells if c not in numbers]
        if words:
            known = [w for w in words if fold(w) in library.names]
            return (known or words)[0], numbers[0] if numbers else ""
    line = " ".join(cells)
    if fold(line) in library.names:
        return line, ""
    tries = [m for m in (_BEHIND.fullmatch(line), _BEFORE.fullmatch(line)) if m]
    tries.sort(key=lambda m: fold(m["name"]) not in library.names)  # a known name wins
    if tries:
        return tries[0]["name"].strip(" ,:;-"), tries[0]["amount"].strip()
    return line, ""
