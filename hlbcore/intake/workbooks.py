"""Reading of XLSX workbooks under limits; nothing is written to disk, no formula is worked out."""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from xml.sax.handler import ContentHandler, LexicalHandler
from xml.sax.xmlreader import AttributesImpl

from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.intake.uploads import COLUMNS_MOST, Gather, Lines, too_wide
from hlbcore.limits import one_at_a_time

MEMBERS_MOST = 1000
"""Files inside a workbook. [-] Our convention, as all limits here."""

UNPACKED_MOST = 32_000_000
"""All files of a workbook together, unpacked. [byte]"""

RATIO_MOST = 200
"""Unpacked over packed size of a workbook above 1 MB. [-]"""

ELEMENTS_MOST = 400_000
"""XML elements of cells and their texts: 5,000 rows of 14 columns have about 200,000. [-]"""

OTHERS_MOST = 20_000
"""XML elements of everything else: styles, merged ranges, rules. [-]"""

OTHER_TEXT_MOST = 200_000
"""Text of everything else, with its attributes. [characters]"""

OTHER_RUN_MOST = 1000
"""Longest single text among it: patterns that read names and formats slow down with the square of
the length. Lists of ranges may be longer. [characters]"""

MARK_MOST = 100_000
"""Longest comment, name or attributes of one element. [characters]"""

EXCEL_ROWS = 1_048_576  # last row of a sheet, ISO/IEC 29500; from memory

# what holds values; links to other files, macros, pictures and the like are left unread
_NEEDED = re.compile(
    r"\[content_types\]\.xml|_rels/\.rels|xl/([^/]+\.xml|_rels/[^/]+\.rels|"
    r"worksheets/[^/]+\.xml)",
    re.IGNORECASE,
)
BOOK = "xl/workbook.xml"


@dataclass(slots=True)
class _Part:
    """What one sheet holds beside its values."""

    wide: str = ""  # first cell with something beyond the last column
    unstored: int = 0  # formula cells without a stored value


def _damaged(item: str, why: object) -> InvalidInput:
    return InvalidInput(
        item,
        f"the workbook cannot be read: {clipped(why, 80)}",
        "Open it in a spreadsheet, save it again as XLSX or CSV, and take that file.",
    )


def _members(data: bytes, item: str) -> dict[str, bytes]:
    """The parts that hold values, unpacked in memory under the limits."""
    large = InvalidInput(
        item,
        "it would unpack to more than a list of ingredients needs",
        "Copy the list into a new workbook, or save it as CSV.",
    )
    most = min(UNPACKED_MOST, max(1_000_000, RATIO_MOST * len(data)))
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        infos = archive.infolist()
        if len(infos) > MEMBERS_MOST or sum(i.file_size for i in infos) > most:
            raise large
        held, left = {}, most
        for info in infos:
            if not _NEEDED.fullmatch(info.filename):
                continue
            if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
                raise _damaged(item, "it is packed in an odd way")
            with archive.open(info) as opened:  # sizes in the directory may lie
                body = opened.read(left + 1)
            left -= len(body)
            if left < 0:
                raise large
            held[info.filename] = body
    if not any(name.casefold() == BOOK for name in held):
        raise InvalidInput(item, "it is a zip, but no XLSX workbook", "Save the table as XLSX or CSV.")
    return held


class _Watch(ContentHandler, LexicalHandler):
    """Counts what the parts of a workbook hold before anything is built from them."""

    def __init__(self, item: str, last: str) -> None:
        super().__init__()
        self.item, self.last = item, last
        self.part = _Part()
        self.cells = self.others = self.text = self.run = 0
        self.in_cells = False
        self.tag = self.cell = ""
        self.filled = self.formula = False

    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: N802
        if len(name) > MARK_MOST or sum(map(len, attrs.values())) > MARK_MOST:
            self._long()
        if self.in_cells:
            self.cells += 1
        else:
            self.others += 1
            self.text += sum(map(len, attrs.values()))
            self.run = max((len(v) for k, v in attrs.items() if k != "sqref"), default=0)
        self._check()
        self.run = 0
        self.tag = name.rpartition(":")[2]
        if self.tag == "c":
            self.cell, self.filled, self.formula = attrs.get("r", ""), False, False
        elif self.tag == "f":
            self.formula = True
        elif self.tag in ("sheetData", "sst"):
            self.in_cells = True

    def comment(self, content: str) -> None:
        """A comment, which no spreadsheet needs."""
        if len(content) > MARK_MOST:
            self._long()

    def processingInstruction(self, target: str, data: str) -> None:  # noqa: N802
        if len(target) + len(data) > MARK_MOST:
            self._long()

    def _long(self) -> None:
        raise InvalidInput(
            self.item,
            f"it holds a comment, a name or an attribute of more than {MARK_MOST:,} characters",
            "Copy the list into a new workbook, or save it as CSV.",
        )

    def _check(self) -> None:
        if (
            self.cells > ELEMENTS_MOST
            or self.others > OTHERS_MOST
            or self.text > OTHER_TEXT_MOST
            or self.run > OTHER_RUN_MOST
        ):
            raise InvalidInput(
                self.item,
                "it holds more cells or formats than a list of ingredients needs",
                "Copy the list into a new workbook, or save it as CSV.",
            )

    def characters(self, content: str) -> None:
        if self.tag in ("v", "t"):
            self.filled = True
        if not self.in_cells:
            self.text += len(content)
            self.run += len(content)
            self._check()

    def endElement(self, name: str) -> None:  # noqa: N802
        self.tag = ""
        tag = name.rpartition(":")[2]
        if tag in ("sheetData", "sst"):
            self.in_cells = False
        if tag != "c":
            return
        letters = self.cell.rstrip("0123456789").upper()
        if self.filled and (len(letters), letters) > (len(self.last), self.last):
            self.part.wide = self.part.wide or self.cell
        self.part.unstored += self.formula and not self.filled


def _inspected(members: dict[str, bytes], item: str) -> dict[str, _Part]:
    """The sheets, once no part has a DOCTYPE or ENTITY or more elements than the limit."""
    from xml.sax.handler import property_lexical_handler

    from defusedxml import DefusedXmlException
    from defusedxml.sax import make_parser
    from openpyxl.utils import get_column_letter

    watch = _Watch(item, get_column_letter(COLUMNS_MOST))
    parts = {}
    for name, body in members.items():
        parts[name] = watch.part = _Part()
        try:
            parser = make_parser()
            parser.forbid_dtd = True
            parser.setContentHandler(watch)
            parser.setProperty(property_lexical_handler, watch)
            # all at once: expat reads a long comment or attribute again with every piece it is given
            parser.feed(body)
            parser.close()
        except DefusedXmlException:
            raise InvalidInput(
                item,
                "it holds a DOCTYPE or ENTITY, which no spreadsheet writes",
                "Do not use it. Ask for the list as CSV.",
            ) from None
    return parts


def _without_names(body: bytes) -> bytes:
    """The list of sheets without named ranges: odd print areas would make the file unreadable."""
    from xml.etree.ElementTree import tostring

    from defusedxml.ElementTree import fromstring

    book = fromstring(body, forbid_dtd=True)
    for names in book.findall("{*}definedNames"):
        book.remove(names)
    return tostring(book)


def _text(value: object, number_format: str) -> str:
    """A cell as the text that a person would type."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        # 5 % stands in the file as 0.05; a sign in quotation marks is only shown
        if "%" in number_format and "%" in re.sub(r'"[^"]*"|\\.', "", number_format):
            return f"{100 * value:.15g} %"
        return f"{value:.15g}"
    if isinstance(value, datetime):
        return value.date().isoformat() if value.time() == time() else value.isoformat(" ")
    return value.isoformat() if isinstance(value, (date, time)) else str(value)


def _filled(sheet: Any) -> Iterator[tuple[int, list[str]]]:
    """Rows of a sheet that are not blank, with their numbers."""
    blank = None
    # with its own ends: the size that the sheet declares may be wrong or huge
    rows = sheet.iter_rows(max_row=EXCEL_ROWS, max_col=COLUMNS_MOST + 1)
    for number, row in enumerate(rows, 1):
        if row is blank:
            continue
        if all(c.value is None for c in row):
            blank = row
            continue
        yield number, [_text(c.value, "" if c.value is None else c.number_format) for c in row]


def _read(data: bytes, item: str, sheet: str) -> Lines:
    from openpyxl import load_workbook

    members = _members(data, item)
    parts = _inspected(members, item)
    clean = io.BytesIO()
    with zipfile.ZipFile(clean, "w", zipfile.ZIP_STORED) as archive:
        for name, body in members.items():
            is_book = name.casefold() == BOOK
            archive.writestr(name, _without_names(body) if is_book else body)
    book = load_workbook(clean, read_only=True, data_only=True, keep_links=False)
    sheets = {s.title: s for s in book.worksheets}
    if sheet and sheet not in sheets:
        raise InvalidInput(
            item, f"it has no sheet '{clipped(sheet)}'", f"Take one of {clipped(', '.join(sheets), 200)}."
        )
    for title in [sheet] if sheet else sheets:
        gathered = Gather(item)
        for number, cells in _filled(sheets[title]):
            gathered.add(number, cells)
        if gathered.rows:
            break
    else:
        return Lines(())
    part = parts.get(str(getattr(sheets[title], "_worksheet_path", "")), _Part())
    if part.wide:
        raise too_wide(f"{item}, cell {clipped(part.wide, 12)}")
    remarks = []
    if others := [t for t in sheets if t != title]:
        remarks.append(f"Read from sheet '{title}'; not read: {clipped(', '.join(others), 200)}.")
    if part.unstored:
        remarks.append(
            f"Formulas without a stored value, read as blank: {part.unstored}. Open the file in "
            "a spreadsheet and save it once."
        )
    return Lines(tuple(gathered.rows), title, tuple(remarks))


def workbook_lines(data: bytes, item: str, sheet: str = "") -> Lines:
    """Rows of one sheet of an XLSX workbook, as text.

    Parameters
    ----------
    data : bytes
        The file.
    item : str
        Its name for messages.
    sheet : str
        Name of the sheet; blank: the first that is not empty.

    Returns
    -------
    Lines
        Values as stored: no formula is worked out, nothing is fetched.

    Raises
    ------
    InvalidInput
        If it cannot be read, or is over a limit.
    """
    with one_at_a_time(item), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of styles and extensions that do not matter here
        try:
            return _read(data, item, sheet)
        except HlbError:
            raise
        except Exception as error:  # zip, XML and workbook readers raise many kinds on damage
            raise _damaged(item, error) from None
