"""The batch sheet and one formula as pages to print, and the sheet as CSV."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd

from hlbcore._numbers import adding_up
from hlbcore.batch.order import Step
from hlbcore.batch.pot import PotLine
from hlbcore.batch.sheet import BatchSheet
from hlbcore.blending.card import headline
from hlbcore.blending.worked import Worked
from hlbcore.cells import to_csv
from hlbcore.findings import Finding
from hlbcore.printed import printed_page
from hlbcore.rules.safety import NOTICE
from hlbcore.typed import in_full
from hlbcore.units import AS_KEPT, Units

CAUTION_TITLES = ("What HLB leaves out", "Who to ask", "1,4-dioxane is not known")
"""Standing findings that are for the desk; the sheet at the bench leaves them out."""


@dataclass(frozen=True, slots=True)
class _Row:
    name: str
    note: str
    scale: str
    grams: str


@dataclass(frozen=True, slots=True)
class _Caution:
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class _Step:
    title: str
    rows: tuple[_Row, ...]
    boxes: tuple[str, ...]
    lines: tuple[str, ...]
    hot: bool
    hold: bool
    cautions: tuple[_Caution, ...]


def batch_page(
    sheet: BatchSheet,
    *,
    paper: str = "A4",
    number: str = "",
    made_on: str = "",
    who: str = "",
    units: Units = AS_KEPT,
) -> str:
    """A batch sheet as a page to print, tick and write on.

    Parameters
    ----------
    sheet : BatchSheet
        Any.
    paper : str
        ``A4`` or ``Letter``.
    number, made_on, who : str
        Batch number, date and maker; blank lines to write on where left out.
    units : Units
        How masses, temperatures and numbers are read.

    Returns
    -------
    str
        HTML in black and white; everything typed by a user is escaped. Twelve lines take one page.

    Examples
    --------
    >>> from hlbcore import batch_sheet, example_formula
    >>> "350.8 g" in batch_page(batch_sheet(example_formula()))
    True
    """
    name = sheet.formula.name.strip() or "Batch"
    portions = f", {sheet.base_g:g} g of base" if sheet.base_g != sheet.total_g else ""
    jars = ""
    if sheet.jars is not None:
        jars = f" for {sheet.jars.count} jars of {sheet.jars.fill_g:.4g} g"
    return printed_page(
        "batch_sheet.html",
        paper=paper,
        units=units,
        title=name,
        total=f"{total_text(sheet)} g{portions}",
        jars=jars,
        number=number,
        made_on=made_on,
        who=who,
        steps=[_step(s, sheet) for s in sheet.steps],
        sums=sums_words(sheet),
        small=[f"{f.title}. {f.mend}" for f in sheet.findings if f.level == "caution"],
        notice=NOTICE,
    )


def total_text(sheet: BatchSheet) -> str:
    """The total with the decimals of the finest scale that was used. [g]"""
    digits = max(r.scale.decimals for r in sheet.weighings)
    return f"{sheet.total_g:.{digits}f}"


def sums_words(sheet: BatchSheet) -> str:
    """Total, trimmed line and HLB as weighed, in sentences."""
    said = [f"The grams add to {total_text(sheet)} g."]
    if sheet.trimmed:
        said.append(f"{sheet.trimmed} took what rounding left over.")
    judges = sheet.worked.verdict.rule == "HLB"  # elsewhere the figure says nothing of the batch
    for e in (e for e in sheet.moved if judges or e.unit != "HLB"):
        digits = 2 if e.unit != "HLB" else 1
        unit = f" {e.unit}" if e.unit != "HLB" else ""
        said.append(
            f"{e.quantity[0].upper()}{e.quantity[1:]} {e.as_weighed:.{digits}f}{unit} "
            f"(weighing: {e.low:.{digits}f} to {e.high:.{digits}f} at the worst)."
        )
    return " ".join(said)


def _step(step: Step, sheet: BatchSheet) -> _Step:
    rows = tuple(_row(sheet.rows[n]) for n in step.rows if sheet.rows[n].grams > 0)
    rows = (*(_Row(name, "", scale, f"{grams} g") for name, grams, scale in step.beside), *rows)
    return _Step(
        step.title,
        rows,
        step.boxes,
        step.lines,
        step.hot_c is not None,
        step.hold_min is not None,
        tuple(
            _Caution(f.title, _short(f)) for f in step.cautions if f.title not in CAUTION_TITLES and step.rows
        )
        + tuple(
            _Caution(f.title, f.mend)
            for f in step.cautions
            if f.always and f.title not in CAUTION_TITLES and not step.rows
        ),
    )


def _short(finding: Finding) -> str:
    return finding.mend or finding.detail


def _row(r: PotLine) -> _Row:
    note = f"and {r.in_premix_g:.3g} g inside the premix" if r.in_premix_g else ""
    return _Row(r.name, note, r.scale.label, f"{r.scale.text(r.grams)} g")


SHEET_CSV_COLUMNS = (
    "step",
    "phase",
    "ingredient",
    "grams [g]",
    "scale",
    "error [% of the amount]",
    "planned [g]",
    "share [% of the base]",
)
"""Columns of the sheet as CSV."""


def batch_csv(sheet: BatchSheet) -> bytes:
    """A batch sheet as CSV, rounded as it is weighed.

    Parameters
    ----------
    sheet : BatchSheet
        Any.

    Returns
    -------
    bytes
        UTF-8 with a byte-order mark; columns as in `SHEET_CSV_COLUMNS`. No cell runs as a formula.

    Examples
    --------
    >>> from hlbcore import batch_sheet, example_formula
    >>> batch_csv(batch_sheet(example_formula())).decode("utf-8-sig").splitlines()[1].split(",")[:4]
    ['1', 'water', 'water', '350.8']
    """
    rows = [
        (
            number,
            r.place,
            r.name,
            r.scale.text(r.grams),
            r.scale.label,
            f"{r.error_pct:.2g}" if not math.isnan(r.error_pct) else "",
            f"{r.exact_g:.6g}",
            f"{100 * r.exact_g / sheet.size_g:.6g}",
        )
        for number, r in enumerate(sheet.weighings, 1)
    ]
    return to_csv(pd.DataFrame(rows, columns=list(SHEET_CSV_COLUMNS)))


def formula_page(worked: Worked, *, paper: str = "A4", units: Units = AS_KEPT) -> str:
    """One formula as a page to print and to share.

    Parameters
    ----------
    worked : Worked
        A formula, worked out; half-written ones print too.
    paper : str
        ``A4`` or ``Letter``.
    units : Units
        How masses, temperatures and numbers are read.

    Returns
    -------
    str
        HTML; everything typed by a user is escaped. Percentages add to the printed total.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> "70.15" in formula_page(work_out(example_formula()))
    True
    """
    made = worked.made
    batch = made.aims.batch.value
    base = [n for n, x in enumerate(made.lines) if x.portion is None and not x.blank]
    pcts = dict(zip(base, adding_up([made.pcts[n] for n in base], 2), strict=True))
    phases = []
    for phase in dict.fromkeys((*made.phases, *(x.phase for x in made.lines))):
        for portion in dict.fromkeys(x.portion or "" for x in made.lines if x.phase == phase):
            rows = [
                {
                    "name": x.name,
                    "pct": f"{pcts.get(n, made.pcts[n]):.2f}",
                    "grams": units.bare(f"{made.pcts[n] * batch / 100:.4g}", "g")
                    if batch and not portion
                    else "",
                    "note": x.note,
                }
                for n, x in enumerate(made.lines)
                if x.phase == phase and (x.portion or "") == portion and not x.blank
            ]
            if rows:
                name = phase or "no phase"
                phases.append(
                    {"name": f"{name}, on top of portion {portion}" if portion else name, "rows": rows}
                )
    lines = [headline(worked)]
    if worked.problems:
        lines.append(f"Open points: {' '.join(dict.fromkeys(p.text for p in worked.problems))}")
    return printed_page(
        "formula.html",
        paper=paper,
        units=units,
        title=made.name.strip() or "Formula",
        product=worked.product.name,
        phases=phases,
        grams=batch is not None,
        batch=f"{in_full(batch)} g" if batch else "",
        total_pct=f"{math.fsum(pcts.values()):.2f}",
        total_g=units.bare(f"{made.total_pct * batch / 100:.4g}", "g") if batch else "",
        lines=lines,
        note=made.note,
        notice=NOTICE,
    )
