"""A batch record, started from a sheet."""

from __future__ import annotations

from datetime import date

from hlbcore.batch.record import BatchRecord, PlannedRow
from hlbcore.batch.sheet import BatchSheet


def start_record(
    sheet: BatchSheet, *, number: str = "", made_on: str | date = "", who: str = "", source: str = ""
) -> BatchRecord:
    """A batch record, started from a sheet.

    Parameters
    ----------
    sheet : BatchSheet
        The plan.
    number : str
        Batch number; see `numbering.next_number`.
    made_on : str or date
        Day of making.
    who : str
        Who makes it.
    source : str
        Version of the kept formula.

    Returns
    -------
    BatchRecord
        With nothing entered yet.

    Examples
    --------
    >>> from hlbcore import batch_sheet, example_formula
    >>> record = start_record(batch_sheet(example_formula()), number="20260301-1", who="Ana")
    >>> record = record.enter("weighed", "351,2", where="0")
    >>> record.weighed_g(0), record.total_g
    (351.2, 500.4)
    """
    rows = []
    for r in sheet.weighings:
        brings: tuple[tuple[int, float], ...] = ((r.line, 1.0),)
        if r.premix is not None:
            brings = ((r.line, r.premix.fraction), (r.premix.carrier_line, 1 - r.premix.fraction))
        rows.append(PlannedRow(r.name, r.place, r.grams, r.scale.text(r.grams), r.scale.label, brings))
    waters = [x for x in sheet.worked.base_lines if x.kind == "water" and x.pct > 0 and not x.is_part]
    water = max(waters, key=lambda x: x.pct).number if waters else None
    jars = f"{sheet.jars.count} jars of {sheet.jars.fill_g:.4g} g" if sheet.jars else ""
    made = BatchRecord(
        "",
        "",
        "",
        sheet.formula.to_json(compact=True),
        source,
        sheet.size_g,
        sheet.loss_pct,
        jars,
        tuple(rows),
        tuple(s.title for s in sheet.steps),
        water,
    )
    day = made_on.isoformat() if isinstance(made_on, date) else made_on
    return made.headed(number=number, made_on=day, who=who)
