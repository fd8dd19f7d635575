"""Files of a formula: JSON of schema 2, and CSV; older forms are read by `old_files`."""

from __future__ import annotations

import csv
import io
import itertools
import sys
from typing import Any

import msgspec

from hlbcore._numbers import checked
from hlbcore.cells import bare_cell, safe_cell
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.formula.aims import Aims
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import PHASES, TYPED_FIELDS, Line
from hlbcore.formula.old_files import old_formula, old_sheet
from hlbcore.limits import FILE_MOST, FORMULA_LINES_MOST, check_length
from hlbcore.saved_text import in_words
from hlbcore.typed import in_full

SCHEMA, VERSION = "hlbcore formula", 2

CSV_COLUMNS = ("phase", "ingredient", "pct", "counts", "active_pct", "own", "portion", "note")
"""Columns of the CSV form; `role` is read as an older name of `counts`."""


class _Line(msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    name: str = ""
    amount: str = ""
    phase: str = ""
    counts: str = "auto"
    own: str = ""
    active: str = ""
    portion: str | None = None
    low: str = ""
    high: str = ""
    price: str = ""
    supplier_rate: str = ""
    oil_limit: str = ""
    note: str = ""


class _Aims(msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    goal: str = ""
    dose: str = ""
    window: str = ""
    batch: str = "500 g"
    scales: str = "0.1 g"
    smallest: str = ""
    fragrance_counts: bool = True
    ionics: bool = False
    unit: str = "%"


class _Formula(msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    schema: str
    version: int
    name: str = ""
    product_type: str = "o/w cream"
    lines: tuple[_Line, ...] = ()
    phases: tuple[str, ...] = PHASES
    portions: str = ""
    blends: str = ""
    facts: dict[str, str] = {}
    aims: _Aims = _Aims()
    note: str = ""


class _Head(msgspec.Struct, frozen=True):
    schema: str = ""
    version: int = 0


def to_json(formula: Formula, *, compact: bool = False) -> str:
    """The formula as JSON of schema 2; blank fields are left out, equal formulas give equal texts."""
    formula.check_size()
    held = _Formula(
        SCHEMA,
        VERSION,
        formula.name,
        formula.product_type,
        tuple(
            _Line(
                name=x.name,
                phase=x.phase,
                counts=sys.intern(x.counts),  # a default is left out where it is the same object
                portion=x.portion,
                note=x.note,
                **{name: typed.text for name, typed in x.typed_fields()},
            )
            for x in formula.lines
        ),
        formula.phases,
        formula.portions.text,
        formula.blends.text,
        dict(formula.facts),
        _Aims(
            goal=formula.aims.goal,
            fragrance_counts=formula.aims.fragrance_counts,
            ionics=formula.aims.ionics,
            unit=formula.aims.unit,
            **{name: typed.text for name, typed in formula.aims.typed_fields()},
        ),
        formula.note,
    )
    try:
        body = msgspec.json.encode(held)
    except UnicodeEncodeError:
        raise InvalidInput(
            "formula", "a text holds half a sign that no file can hold", "Type that text again."
        ) from None
    text = body.decode() if compact else msgspec.json.format(body, indent=1).decode()
    check_length(text, "formula", FILE_MOST)
    return text


def from_json(text: str) -> Formula:
    """The formula from JSON of this or an older version."""
    check_length(text, "formula", FILE_MOST)
    try:
        body = text.encode()
        head = msgspec.json.decode(body, type=_Head)
        if not head.schema:
            made = old_sheet(msgspec.json.decode(body))
        elif head.schema != SCHEMA:
            raise ValueError("it is another kind of file")
        elif head.version > VERSION:
            raise ValueError(f"it was written by a newer version ({head.version} after {VERSION})")
        elif head.version == 1:
            made = old_formula(msgspec.json.decode(body))
        else:
            made = _made(msgspec.json.decode(body, type=_Formula))
    except HlbError:
        raise
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, OverflowError) as error:
        raise InvalidInput(
            "formula", f"it cannot be read: {in_words(error)}", "Choose a file that this tool wrote."
        ) from None
    made.check_size()
    return made


def _made(held: _Formula) -> Formula:
    lines = [Line(**{name: getattr(x, name) for name in x.__struct_fields__}) for x in held.lines]
    aims = Aims(**{name: getattr(held.aims, name) for name in held.aims.__struct_fields__})
    return Formula(
        held.name,
        held.product_type,
        lines,
        held.phases,
        held.portions,
        held.blends,
        tuple(held.facts.items()),
        aims,
        held.note,
    )


def to_csv(formula: Formula) -> str:
    """The lines as CSV text, amounts in % of the formula."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")  # so that a lone carriage return is quoted
    writer.writerow(CSV_COLUMNS)
    for x, pct in zip(formula.lines, formula.pcts, strict=True):
        # what is no amount yet stays as typed, so that nobody takes it for 0
        amount = in_full(pct) if pct > 0 else x.amount.text
        texts = (x.phase, x.name, amount, x.counts, x.active.text, x.own.text, x.portion or "", x.note)
        writer.writerow([safe_cell(t) for t in texts])
    return out.getvalue()


def from_csv(text: str, *, name: str, product: str) -> Formula:
    """A formula from CSV text."""
    check_length(text, "CSV", FILE_MOST)
    reader = csv.DictReader(io.StringIO(text.lstrip("\ufeff")))
    try:
        missing = {"ingredient", "pct"} - set(reader.fieldnames or ())
    except csv.Error as error:
        raise InvalidInput("CSV", f"it cannot be read: {error}", "Save it again.") from None
    if missing:
        raise InvalidInput(
            "CSV",
            f"the column {sorted(missing)[0]} is missing",
            f"Write the heading {','.join(CSV_COLUMNS)}.",
        )
    lines = []
    try:
        for row in itertools.islice(reader, FORMULA_LINES_MOST + 1):
            cells = {k: bare_cell(v or "") for k, v in row.items() if k in (*CSV_COLUMNS, "role")}
            try:
                if row["pct"] is None:
                    raise InvalidInput("pct", "the row ends before it", "Add the amount, or a comma.")
                lines.append(_csv_line(cells))
            except HlbError as error:
                raise InvalidInput(
                    f"CSV, line {reader.line_num}", str(error).rstrip("."), "Mend that line."
                ) from None
    except csv.Error as error:
        raise InvalidInput("CSV", f"it cannot be read: {error}", "Save it again.") from None
    made = Formula(name, product, lines)
    made.check_size()
    return made


def _csv_line(cells: dict[str, Any]) -> Line:
    if cells["pct"].strip():  # blank: half-written; what is no number there is another file
        checked(cells["pct"], "pct", low=0, unit="%")
    line = Line(
        cells["ingredient"],
        cells["pct"],
        phase=cells.get("phase", ""),
        counts=cells.get("counts") or cells.get("role") or "auto",
        active=cells.get("active_pct", ""),
        own=cells.get("own", ""),
        portion=cells.get("portion") or None,
        note=cells.get("note", ""),
    )
    for name in TYPED_FIELDS:
        if problem := getattr(line, name).problem:
            raise InvalidInput(f"'{clipped(line.name)}'", problem.rstrip("."), "Mend it.")
    return line
