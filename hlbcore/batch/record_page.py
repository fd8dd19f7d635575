"""A batch record to read and to print: what it became, and the record as a page."""

from __future__ import annotations

import math

import pandas as pd

from hlbcore.batch.entries import ENTRY_KINDS
from hlbcore.batch.record import STANDARD, BatchRecord
from hlbcore.batch.record_made import log_lines, record_table
from hlbcore.blending.card import headline
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked, total
from hlbcore.cells import to_csv
from hlbcore.library import Library
from hlbcore.printed import printed_page
from hlbcore.rules.safety import NOTICE
from hlbcore.typed import in_full
from hlbcore.units import AS_KEPT, Units

FIGURE_COLUMNS = ("figure", "planned", "as weighed")
"""Columns of `record_figures`, as texts."""

_SHOWN_ROWS = ("weighed", "lot", "closed", "box")


def record_figures(planned: Worked, made: Worked) -> pd.DataFrame:
    """What a batch was to be, and what it became.

    Parameters
    ----------
    planned, made : Worked
        The formula as planned and as weighed, worked out.

    Returns
    -------
    DataFrame
        Columns as in `FIGURE_COLUMNS`, as texts; only what both or one of them has.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> worked = work_out(example_formula())
    >>> record_figures(worked, worked).iloc[0].tolist()
    ['HLB of the blend', '8.2', '8.2']
    """

    def hlb(worked: Worked) -> str:
        return f"{worked.blend.value:.1f}" if worked.blend is not None else ""

    def asked(worked: Worked) -> str:
        held = worked.required
        return f"{held.value:.1f} ± {worked.window:g}" if held is not None else ""

    def share(kind: str, worked: Worked) -> str:
        pct = total(x for x in worked.base_lines if x.kind == kind)
        return f"{pct:.2f} %" if pct else ""

    pairs = [
        ("HLB of the blend", hlb(planned), hlb(made)),
        ("required HLB", asked(planned), asked(made)),
        ("emulsifiers", f"{planned.emulsifier_pct:.2f} %", f"{made.emulsifier_pct:.2f} %"),
        *((kind, share(kind, planned), share(kind, made)) for kind in ("preservative", "gum", "water")),
    ]
    return pd.DataFrame([p for p in pairs if p[1] or p[2]], columns=list(FIGURE_COLUMNS))


def record_page(
    record: BatchRecord, *, paper: str = "A4", library: Library | None = None, units: Units = AS_KEPT
) -> str:
    """A batch record as a page to print.

    Parameters
    ----------
    record : BatchRecord
        Open or closed.
    paper : str
        ``A4`` or ``Letter``.
    units : Units
        How masses, temperatures and numbers are read.

    Returns
    -------
    str
        HTML; everything typed by a user is escaped. First entries stay readable, struck through.

    Examples
    --------
    >>> from hlbcore import batch_sheet, example_formula
    >>> from hlbcore.batch.record_start import start_record
    >>> page = record_page(start_record(batch_sheet(example_formula()), number="<7>"))
    >>> "&lt;7&gt;" in page, "open" in page
    (True, True)
    """
    made = work_out(record.as_weighed, library)
    log = log_lines(record)
    closed = record.closed
    return printed_page(
        "batch_record.html",
        paper=paper,
        units=units,
        title=record.name or "Batch record",
        number=record.number or "none yet",
        made_on=record.made_on,
        who=record.who,
        state="open" if closed is None else f"closed by {closed.who} on {closed.at[:16].replace('T', ' ')}",
        open_points=record.open_points if closed is None else ((closed.why,) if closed.why else ()),
        rows=_rows(record, units),
        planned_g=units.bare(in_full(round(math.fsum(r.grams for r in record.rows), 6)), "g"),
        total_g=units.bare(in_full(round(record.total_g, 6)), "g") if record.all_of("weighed") else "",
        figures=record_figures(work_out(record.formula, library), made).values.tolist(),
        verdict=headline(made),
        facts=[(_what(k, w), _with_unit(k, t)) for k, w, t in _facts(record)],
        corrections=[
            (f"{r.at[:16].replace('T', ' ')}, {r.who}", f"{r.what}, {r.where}", r.before, r.entry, r.why)
            for r in log
            if r.correction
        ],
        log=[
            (
                f"{r.at[:16].replace('T', ' ')} {r.who}".strip(),
                ", ".join(filter(None, (r.what, r.where))),
                f"{r.before} → {r.entry}" if r.before else r.entry,
            )
            for r in log
        ],
        standard=STANDARD,
        notice=NOTICE,
    )


def _what(kind: str, where: str) -> str:
    return ", ".join(filter(None, (ENTRY_KINDS[kind].label, where)))


def _signed(off: float) -> str:
    return "0" if abs(off) < 1e-9 else f"{off:+.6g}"


def _with_unit(kind: str, text: str) -> str:
    """What was entered, with the unit of its kind where none was typed."""
    unit = ENTRY_KINDS[kind].unit
    return f"{text} {unit}" if unit in ("g", "°C") and text.strip()[-1:].isdigit() else text


def _facts(record: BatchRecord) -> list[tuple[str, str, str]]:
    """What counts of everything but the weighings, each place once."""
    found: dict[tuple[str, str, int], str] = {}
    for n, e in enumerate(record.entries):
        if e.kind not in _SHOWN_ROWS and e.text.strip():
            found[e.kind, e.where, n if ENTRY_KINDS[e.kind].many else 0] = e.text
    return [(kind, where, text) for (kind, where, _), text in found.items()]


def _rows(record: BatchRecord, units: Units) -> list[dict[str, str]]:
    found = []
    for n, row in enumerate(record.rows):
        entries = record.all_of("weighed", str(n))
        weighed = record.weighed_g(n)
        found.append(
            {
                "name": row.name,
                "place": row.place,
                "planned": units.bare(row.text, "g"),
                "weighed": units.held_mass(record.value("weighed", str(n))),
                "first": ", ".join(e.text for e in entries[:-1] if e.text.strip()),
                "off": "" if weighed is None else units.bare(_signed(weighed - row.grams), "g"),
                "lot": record.value("lot", str(n)),
            }
        )
    return found


def record_csv(record: BatchRecord) -> bytes:
    """A batch record as CSV: planned and weighed side by side.

    Parameters
    ----------
    record : BatchRecord
        Open or closed.

    Returns
    -------
    bytes
        UTF-8 with a byte-order mark; no cell runs as a formula.
    """
    table = record_table(record)
    table.columns = [
        "ingredient",
        "phase",
        "planned [g]",
        "weighed [g]",
        "difference [g]",
        "difference [%]",
        "lot",
    ]
    table.insert(0, "batch", record.number)
    return to_csv(table)
