"""Ingredients and figures from a CSV or XLSX file: read, matched by column, reported by row.

Nothing of a file is run, worked out or written to disk. What a row cannot give is said in its
report; the other rows are taken.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import PurePath

import pandas as pd

from hlbcore.errors import InvalidInput, clipped
from hlbcore.ingredients import fold
from hlbcore.intake.rows import Reader, RowReport
from hlbcore.intake.uploads import BYTES_MOST, Lines, text_lines
from hlbcore.intake.workbooks import workbook_lines
from hlbcore.library import Library, load_library
from hlbcore.own_items import OwnIngredient, OwnReading

FIELDS = {
    "name": (
        "ingredient",
        "ingredients",
        "common name",
        "material",
        "raw material",
        "oil",
        "emulsifier",
        "substance",
    ),
    "INCI": ("inci name", "label name", "name on labels"),
    "kind": ("type", "class", "category", "kind of ingredient"),
    "required HLB": (
        "rHLB",
        "HLB required",
        "required HLB o/w",
        "rHLB o/w",
        "HLB required o/w",
        "required HLB value",
    ),
    "required HLB w/o": ("rHLB w/o", "HLB required w/o"),
    "low": ("from", "least", "lower", "minimum", "min", "low end"),
    "high": ("to", "most", "upper", "maximum", "max", "high end"),
    "HLB": ("HLB value", "own HLB", "HLB of the emulsifier", "emulsifier HLB"),
    "emulsion": ("emulsion type", "type of emulsion", "o/w or w/o"),
    "note": ("notes", "remark", "remarks", "comment", "comments"),
    "date": ("on", "day", "measured on"),
    "pair": ("emulsifier pair", "emulsifiers"),
    "method": ("how", "how measured"),
    "dose": ("emulsifier dose", "dose pct", "dose % of formula"),
    "temperature": ("temperature c", "temp", "temp c", "celsius"),
    "other names": ("aliases", "alias", "synonyms", "also called"),
}
"""Fields that a column can hold, each with headings that are taken for it."""

UNITS = {"", "hlb", "%", "pct", "%offormula", "°c", "c", "o/w"}
"""Units in brackets that do not change what a heading says."""

HEADING_ROWS = 10
"""Rows at the top among which the headings are looked for. [-] Our convention."""

REPORT_COLUMNS = {
    "row": "row of the file",
    "name": "name as written in the file",
    "result": "what was taken, or what is wrong",
    "status": "taken, skipped or wrong",
}
"""Columns of `Intake.report` with their meaning."""


@dataclass(frozen=True, slots=True)
class Rows:
    """A table as read from a file, all of it text.

    Parameters
    ----------
    header : tuple of str
        The headings.
    rows : tuple of tuple of str
        The rows below them; blank rows are left out, and cells at the end of a row may be.
    numbers : tuple of int
        The number of each row in the file. [-]
    sheet : str
        Name of the sheet; blank for CSV.
    remarks : tuple of str
        What is to be said of the whole file.
    """

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...]
    sheet: str = ""
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Intake:
    """What a file gives.

    Parameters
    ----------
    items : tuple of OwnReading and OwnIngredient
        For `load_library` or the store.
    lines : tuple of RowReport
        One a row of the file.
    unread : tuple of str
        Headings of the columns that were not matched to a field.
    """

    items: tuple[OwnReading | OwnIngredient, ...]
    lines: tuple[RowReport, ...]
    unread: tuple[str, ...] = ()

    @property
    def report(self) -> pd.DataFrame:
        """What became of each row; columns as in `REPORT_COLUMNS`."""
        return pd.DataFrame(
            [(x.row, x.name, x.result, x.status) for x in self.lines], columns=list(REPORT_COLUMNS)
        )


def read_rows(data: bytes, filename: str, sheet: str = "") -> Rows:
    r"""The table of a CSV or XLSX file as text.

    Parameters
    ----------
    data : bytes
        The file.
    filename : str
        Its name; the ending tells what it is.
    sheet : str
        Sheet of a workbook; blank: the first that is not empty.

    Returns
    -------
    Rows
        Headings and rows. Of formulas the stored value is taken.

    Raises
    ------
    InvalidInput
        If it is of another kind, damaged, empty, or over a limit.

    Examples
    --------
    >>> rows = read_rows(b"name;required HLB\nmeadow oil;8,5\n", "list.csv")
    >>> rows.header, rows.rows
    (('name', 'required HLB'), (('meadow oil', '8,5'),))
    """
    item = f"'{clipped(filename)}'"
    if len(data) > BYTES_MOST:
        raise InvalidInput(
            item, f"it is larger than {BYTES_MOST / 1e6:g} MB", "Keep the list, take out the rest."
        )
    lines = _lines(data, PurePath(filename).suffix.casefold(), item, sheet)
    if not lines.rows:
        raise InvalidInput(item, "it is empty", "Take a file with a heading and rows below it.")
    tops = lines.rows[:HEADING_ROWS]
    counts = [len(match_columns(cells)) for _, cells in tops]
    # one word alone may be a cell of the list, such as the kind oil
    at = counts.index(max(counts)) if max(counts) > 1 else 0
    remarks = list(lines.remarks)
    if not counts[at]:
        remarks.append(
            f"No heading is known in the first rows: row {tops[0][0]} was taken for the headings. "
            "Say which column is which, or write a row of headings into the file."
        )
    elif at:
        remarks.append(f"The headings stand in row {tops[at][0]}; what stands above was not read.")
    width = max(len(cells) for _, cells in lines.rows[at:]) if lines.sheet else 0
    header = tops[at][1]
    header += ("",) * (width - len(header))
    below = lines.rows[at + 1 :]
    return Rows(header, tuple(c for _, c in below), tuple(n for n, _ in below), lines.sheet, tuple(remarks))


def _lines(data: bytes, ending: str, item: str, sheet: str) -> Lines:
    if data[:4] == b"PK\x03\x04":
        return workbook_lines(data, item, sheet)
    if data[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        raise InvalidInput(
            item,
            "it is an old XLS file, or locked by a password",
            "Open it in a spreadsheet and save it as XLSX or CSV, without a password.",
        )
    if ending in (".csv", ".tsv", ".txt"):
        return text_lines(data, item)
    if ending in (".xlsx", ".xlsm"):
        problem = "it is empty" if not data else "it is no workbook inside"
        raise InvalidInput(item, problem, "Save it again in a spreadsheet, as XLSX or CSV.")
    raise InvalidInput(
        item,
        f"files of the kind '{clipped(ending, 12)}' are not read",
        "Open it in a spreadsheet and save it as XLSX or CSV.",
    )


def _heading(text: str) -> str:
    """A heading as it is compared: o/w and w/o stay apart, known units in brackets fall away."""
    bare, unit = text, ""
    if found := re.fullmatch(r"([^()\[\]]*)[(\[]([^()\[\]]*)[)\]]\s*", text):
        bare, unit = found[1], "".join(found[2].casefold().split())
    return fold(bare) if unit in UNITS else fold(text)


_FIELD_OF = {fold(heading): field for field, more in FIELDS.items() for heading in (field, *more)}


def match_columns(header: Sequence[str]) -> dict[str, int]:
    """A proposal which column holds which field.

    Parameters
    ----------
    header : sequence of str
        The headings.

    Returns
    -------
    dict of str to int
        Field of `FIELDS` to the number of its column, from 0. [-] The first column wins.

    Examples
    --------
    >>> match_columns(["Ingredient", "rHLB", "Shelf", "Temperature (°C)"])
    {'name': 0, 'required HLB': 1, 'temperature': 3}
    """
    proposal: dict[str, int] = {}
    for column, text in enumerate(header):
        field = _FIELD_OF.get(_heading(text))
        if field is not None:
            proposal.setdefault(field, column)
    return proposal


def take_rows(rows: Rows, matching: Mapping[str, int], library: Library | None = None) -> Intake:
    r"""Own ingredients and readings of a table, and what became of each row.

    Parameters
    ----------
    rows : Rows
        As `read_rows` gives.
    matching : mapping of str to int
        Field of `FIELDS` to the number of its column, from 0, as `match_columns` proposes. [-]
    library : Library, optional
        What is known already; the built-in tables if left out.

    Returns
    -------
    Intake
        One bad row never stops the others.

    Raises
    ------
    InvalidInput
        If the columns are matched in a way that cannot be read.

    Examples
    --------
    >>> rows = read_rows(b"name;required HLB\nmeadow oil;8 to 10\nclover oil;90\n", "list.csv")
    >>> intake = take_rows(rows, match_columns(rows.header))
    >>> list(intake.report["status"])
    ['taken', 'wrong']
    """
    width = len(rows.header)
    for field, column in matching.items():
        if field not in FIELDS:
            raise InvalidInput("columns", f"'{clipped(field)}' is no field", "Take one of FIELDS.")
        if type(column) is not int or not 0 <= column < width:
            raise InvalidInput("columns", f"'{field}' has no such column", "Choose one of the file.")
    if "name" not in matching:
        raise InvalidInput("columns", "no column holds the name", "Say which column it is.")
    if len(set(matching.values())) < len(matching):
        raise InvalidInput("columns", "one column stands for two fields", "Choose again.")
    reader = Reader(library or load_library())
    for number, cells in zip(rows.numbers, rows.rows, strict=True):
        given = {f: cells[c] for f, c in matching.items() if c < len(cells)}
        reader.take(number, given, len(cells) - width)
    unread = tuple(h for n, h in enumerate(rows.header) if h and n not in matching.values())
    return Intake(tuple(reader.items), tuple(reader.lines), unread)
