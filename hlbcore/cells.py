"""Cells of files that spreadsheets open: nothing in them runs as a formula."""

from __future__ import annotations

import io

import pandas as pd

RUNS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
"""Signs that a formula begins with; some spreadsheets take the wide ones of East Asia too."""


def safe_cell(value: object) -> object:
    """A text that a spreadsheet will not run as a formula; numbers stay numbers.

    Parameters
    ----------
    value : object
        A cell. [any]

    Returns
    -------
    object
        Text that begins like a formula gets an apostrophe in front.

    Examples
    --------
    >>> safe_cell("=1+1")
    "'=1+1"
    """
    if isinstance(value, str) and value.lstrip()[:1] in RUNS:
        return "'" + value
    return value


def bare_cell(cell: str) -> str:
    """A text without the apostrophe that `safe_cell` put in front.

    Parameters
    ----------
    cell : str
        A cell as read from a file.

    Returns
    -------
    str
        Any other text as it stands.

    Examples
    --------
    >>> bare_cell("'=1+1"), bare_cell("'tis")
    ('=1+1', "'tis")
    """
    return cell[1:] if cell[:1] == "'" and safe_cell(cell[1:]) == cell else cell


def to_csv(table: pd.DataFrame) -> bytes:
    """A table as a CSV file that spreadsheets open.

    Parameters
    ----------
    table : DataFrame
        Any table of this package.

    Returns
    -------
    bytes
        UTF-8 with a byte-order mark, comma, dot as decimal; no cell runs as a formula. Lines end as RFC
        4180 says, so that a cell with any line break in it stands in quotation marks.

    Examples
    --------
    >>> to_csv(pd.DataFrame({"a": ["=x"], "b": [1.5]})).decode("utf-8-sig").split()
    ['a,b', "'=x,1.5"]
    """
    return table.map(safe_cell).to_csv(index=False, lineterminator="\r\n").encode("utf-8-sig")


def whole_signs(text: str) -> str:
    r"""A text that can be written anywhere: half a sign becomes a question mark.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        Any other text as it stands.

    Examples
    --------
    >>> whole_signs("a\ud800b")
    'a?b'
    """
    return text.encode("utf-8", "replace").decode()


def to_xlsx(table: pd.DataFrame, sheet: str) -> bytes:
    """A table as a workbook: numbers as numbers, no cell runs as a formula.

    Parameters
    ----------
    table : DataFrame
        Any table of this package.
    sheet : str
        Name of its sheet.

    Returns
    -------
    bytes
        XLSX.

    Examples
    --------
    >>> to_xlsx(pd.DataFrame({"a": ["=x"], "b": [1.5]}), "list")[:2]
    b'PK'
    """
    from openpyxl import Workbook
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    def cell(value: object) -> object:
        if value is None or value != value:  # the second is a missing number
            return None
        if not isinstance(value, str):
            return value
        return safe_cell(ILLEGAL_CHARACTERS_RE.sub("", whole_signs(value)))

    book = Workbook()
    page = book.active
    assert page is not None
    page.title = sheet
    page.append([cell(str(c)) for c in table.columns])
    for row in table.itertuples(index=False):
        page.append([cell(v) for v in row])
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()
