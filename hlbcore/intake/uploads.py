"""Limits on files that people bring, and the reading of text tables under them."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from itertools import islice
from statistics import mode

from hlbcore.cells import bare_cell
from hlbcore.errors import InvalidInput, clipped

BYTES_MOST = 5_000_000
"""Largest file that is read. [byte] Our convention, as all limits here."""

ROWS_MOST = 5000
"""Rows with anything in them, headings included. [-]"""

COLUMNS_MOST = 50
"""Columns with anything in them. [-]"""

CELL_MOST = 2000
"""Longest text of a cell. [characters]"""

SAMPLE, SAMPLE_TEXT = 20, 100_000  # rows, characters that show by which sign columns are parted
_SIGNS = {";": "semicolons", "\t": "tabs", ",": "commas"}


@dataclass(frozen=True, slots=True)
class Lines:
    """Rows of a file that are not blank, each with its number, and what is to be said of them."""

    rows: tuple[tuple[int, tuple[str, ...]], ...]
    sheet: str = ""
    remarks: tuple[str, ...] = ()


class Gather:
    """Takes row by row, and refuses what is over the limits."""

    def __init__(self, item: str) -> None:
        self.item = item
        self.rows: list[tuple[int, tuple[str, ...]]] = []

    def add(self, number: int, cells: list[str]) -> None:
        """Keep a row unless it is blank."""
        texts = [bare_cell(" ".join(_without_controls(c).split())) for c in cells]
        while texts and not texts[-1]:
            texts.pop()
        if not texts:
            return
        where = f"{self.item}, row {number}"
        if len(texts) > COLUMNS_MOST:
            raise too_wide(where)
        if any(len(t) > CELL_MOST for t in texts):
            raise InvalidInput(
                where,
                f"a cell has more than {CELL_MOST} characters",
                "Shorten it. In a text file, look for a quotation mark that is not closed.",
            )
        if len(self.rows) == ROWS_MOST:
            raise InvalidInput(
                self.item, f"it has more than {ROWS_MOST} rows", "Split it into several files."
            )
        self.rows.append((number, tuple(texts)))


def too_wide(where: str) -> InvalidInput:
    """The error for a row with too many columns."""
    return InvalidInput(
        where, f"it has more than {COLUMNS_MOST} columns", "Delete the columns that are not needed."
    )


def _without_controls(text: str) -> str:
    return re.sub(r"[\x00-\x08\x0e-\x1f\x7f]", "", text)


def _decoded(data: bytes, item: str) -> str:
    """The text of a file in UTF-8, UTF-16 or Windows-1252."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        tries = ["utf-16"]
    elif data[1:60:2].count(0) > 20 or (0 < len(data) < 60 and not any(data[1::2])):
        tries = ["utf-16-le"]  # spreadsheets write it without a mark
    else:
        tries = ["utf-8-sig", "cp1252"]
    for encoding in tries:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\x00" in text:
            break
        return text
    raise InvalidInput(item, "it is no text that can be read", "Save it as CSV UTF-8, or as XLSX.")


def _columns(text: str, sign: str) -> tuple[float, int]:
    """How evenly a sign parts the first rows, and into how many columns."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign)
    try:
        counts = [len(r) for r in islice((r for r in reader if any(r)), SAMPLE)]
    except csv.Error:
        return 0.0, 0
    parted = [c for c in counts if c > 1]
    if not parted:
        return 0.0, 1
    usual = mode(parted)
    return counts.count(usual) / len(counts), usual


def text_lines(data: bytes, item: str) -> Lines:
    """Rows of a CSV file; the sign between the columns is found.

    Parameters
    ----------
    data : bytes
        The file.
    item : str
        Its name for messages.

    Returns
    -------
    Lines
        With the row numbers that a spreadsheet shows.

    Raises
    ------
    InvalidInput
        If it is no text table, or over a limit.
    """
    text = _decoded(data, item)
    if re.match(r"\s*<(!doctype|html|\?xml|table)", text[:200], re.IGNORECASE):
        raise InvalidInput(
            item, "it is a web page or XML inside", "Open it in a spreadsheet and save it as XLSX."
        )
    said = re.match(r"sep=([;,\t])\r?\n", text)
    sign = said[1] if said else max(_SIGNS, key=lambda s: _columns(text[:SAMPLE_TEXT], s))
    gathered = Gather(item)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=sign, strict=True)
    try:
        for number, cells in enumerate(reader, 1):
            if not (said and number == 1):
                gathered.add(number, cells)
    except csv.Error as error:
        raise InvalidInput(
            f"{item}, line {reader.line_num}",
            f"it cannot be read: {clipped(error)}",
            "Look for a quotation mark that is not closed, or save the file as XLSX.",
        ) from None
    return Lines(tuple(gathered.rows), remarks=(f"The columns are parted by {_SIGNS[sign]}.",))
