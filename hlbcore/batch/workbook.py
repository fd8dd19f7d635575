"""The batch sheet as a workbook whose figures follow the batch size."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from hlbcore.batch.pot import PotLine
from hlbcore.batch.printing import total_text
from hlbcore.batch.sheet import BatchSheet
from hlbcore.blending.candidates import TRACE_BOUNDS
from hlbcore.cells import safe_cell, whole_signs
from hlbcore.rules.safety import NOTICE

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

WORKBOOK_COLUMNS = (
    "phase",
    "ingredient",
    "share [% of the base]",
    "planned [g]",
    "division [g]",
    "moved [divisions]",
    "weigh [g]",
    "one reading off by [g]",
    "error [%]",
    "emulsifier, active [%]",
    "its HLB",
    "weighed [g]",
    "difference [g]",
    "lot",
)
"""Columns of the sheet ``Batch``."""

FIRST = 8
"""Row of the first ingredient. [-]"""

SIZE, TOTAL, HLB = "C3", "C4", "C5"
"""Cells of the batch size (to type), the total, and the HLB as weighed."""


@dataclass(frozen=True, slots=True)
class _Blend:
    """Active emulsifier in a row, and its HLB."""

    active_pct: float = 0.0
    value: float | None = None


def batch_xlsx(sheet: BatchSheet) -> bytes:
    """A batch sheet as XLSX with formulas that live: another batch size, other grams.

    Parameters
    ----------
    sheet : BatchSheet
        Any.

    Returns
    -------
    bytes
        One sheet, ``Batch``. At the size of the sheet its grams, total and HLB are those of
        `BatchSheet`; ``moved`` is what the rounding of a blend or of a total moved beyond the nearest
        division. No text runs as a formula.

    Examples
    --------
    >>> from hlbcore import batch_sheet, example_formula
    >>> batch_xlsx(batch_sheet(example_formula()))[:2]
    b'PK'
    """
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font

    book = Workbook()
    page: Worksheet = book.active  # type: ignore[assignment]
    page.title = "Batch"
    page["A1"] = _text(sheet.formula.name.strip() or "Batch")
    page["A1"].font = Font(bold=True, size=16)
    page["A3"], page[SIZE] = "Batch size [g]: type here", sheet.size_g
    page["A4"], page["A5"] = "Total [g]", "HLB of the blend as weighed"
    for n, head in enumerate(WORKBOOK_COLUMNS, 1):
        cell = page.cell(FIRST - 1, n, head)
        cell.font = Font(bold=True)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
    rows = sheet.weighings
    last = FIRST + len(rows) - 1
    trimmed = _trimmed_row(sheet)
    for at, r in enumerate(rows, FIRST):
        _row(page, at, r, sheet, trim=(r is trimmed), base=_base_rows(rows))
    page[TOTAL] = f"=SUM(G{FIRST}:G{last})"
    if sheet.hlb is not None:
        held = f"SUMPRODUCT(G{FIRST}:G{last},J{FIRST}:J{last}"
        page[HLB] = f"={held},K{FIRST}:K{last})/{held})"
        page[HLB].number_format = "0.00"
    for at, line in enumerate((*_remarks(sheet), NOTICE), last + 2):
        page.cell(at, 1, _text(line))
    _looks(page, rows, last)
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def _remarks(sheet: BatchSheet) -> list[str]:
    said = [f"Made for {total_text(sheet)} g; at another size look at small amounts again."]
    for p in sheet.premixes:
        if p.used:
            said += p.words
    return said


def _text(text: str) -> str:
    from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

    return str(safe_cell(ILLEGAL_CHARACTERS_RE.sub(" ", whole_signs(text))))


def _base_rows(rows: tuple[PotLine, ...]) -> list[int]:
    return [at for at, r in enumerate(rows, FIRST) if not r.portion]


def _trimmed_row(sheet: BatchSheet) -> PotLine | None:
    """The row that takes what rounding left over."""
    base = [r for r in sheet.weighings if not r.portion and r.premix is None]
    return max(base, key=lambda r: r.grams, default=None)


def _row(page: Worksheet, at: int, r: PotLine, sheet: BatchSheet, *, trim: bool, base: list[int]) -> None:
    exact = r.premix.need_g / r.premix.fraction if r.premix else r.exact_g - r.in_premix_g
    step = r.scale.readability_g
    page.cell(at, 1, _text(r.place))
    page.cell(at, 2, _text(r.name))
    page.cell(at, 3, 100 * exact / sheet.size_g)
    page.cell(at, 4, f"=C{at}*${SIZE[0]}${SIZE[1:]}/100")
    page.cell(at, 5, step)
    if trim and len(base) > 1:
        # the largest line takes the rest, so that the total is the size
        others = "+".join(f"G{n}" for n in base if n != at)
        page.cell(at, 7, f"=ROUND((${SIZE[0]}${SIZE[1:]}-({others}))/E{at},0)*E{at}")
    else:
        page.cell(at, 6, round(r.grams / step) - math.floor(exact / step + 0.5))
        page.cell(at, 7, f"=(ROUND(D{at}/E{at},0)+F{at})*E{at}")
    page.cell(at, 8, r.error_pct * r.grams / 100 if r.premix else r.scale.reading_g)
    page.cell(at, 9, f'=IF(G{at}>0,100*H{at}/G{at},"")')
    blend = _blend(sheet, r)
    page.cell(at, 10, blend.active_pct)
    page.cell(at, 11, blend.value)
    page.cell(at, 13, f'=IF(L{at}="","",L{at}-G{at})')


def _blend(sheet: BatchSheet, r: PotLine) -> _Blend:
    """What a row brings to the blend of the base."""
    worked = sheet.worked
    parts = [x for x in worked.base_lines if x.number == r.line and x.is_emulsifier and x.active > 0]
    if r.portion or not parts or sheet.hlb is None:
        return _Blend()
    active = math.fsum(x.active for x in parts)
    value = math.fsum(x.active * (x.estimate or TRACE_BOUNDS).value for x in parts) / active
    within = r.premix.fraction if r.premix else 1.0
    return _Blend(100 * active / worked.made.pcts[r.line] * within, value)


def _looks(page: Worksheet, rows: tuple[PotLine, ...], last: int) -> None:
    """Widths, formats, and how it prints."""
    from openpyxl.styles import Font
    from openpyxl.worksheet.properties import PageSetupProperties

    for column, width in zip(
        "ABCDEFGHIJKLMN", (16, 34, 9, 10, 9, 9, 11, 10, 8, 10, 7, 11, 10, 14), strict=True
    ):
        page.column_dimensions[column].width = width
    for at, r in enumerate(rows, FIRST):
        shown = "0." + "0" * r.scale.decimals if r.scale.decimals else "0"
        for column, form in (("C", "0.00"), ("D", "0.000"), ("G", shown), ("I", "0.0"), ("M", shown)):
            page[f"{column}{at}"].number_format = form
        page[f"G{at}"].font = Font(bold=True, size=14)
    page.freeze_panes = f"C{FIRST}"
    page.page_setup.orientation = "landscape"
    page.page_setup.fitToWidth, page.page_setup.fitToHeight = 1, 0
    page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    page.print_area = f"A1:N{last}"
