"""Amounts in % that follow from the texts of a formula alone, and fields that cannot be read."""

from __future__ import annotations

from collections.abc import Sequence

from hlbcore._numbers import GRAMS_PER
from hlbcore.errors import clipped
from hlbcore.formula.aims import Aims
from hlbcore.formula.facts import Facts, FactTexts, read_facts
from hlbcore.formula.lines import Line, Problem

PCT_MOST = 100.0 + 1e-9


def percent(line: Line, aims: Aims) -> tuple[float, str]:
    """A line's amount in this batch, and what stands in the way of it. [% of formula]"""
    held = line.amount.value
    if held is None:
        return 0.0, ""
    unit = held.unit or aims.unit
    pct = held.number
    item = f"'{clipped(line.name)}'"
    if unit != "%":
        batch = aims.batch.value
        if batch is None:
            return 0.0, f"{item}: it needs the mass of the batch. Mend the batch first."
        pct = 100 * held.number * GRAMS_PER[unit] / batch
    if pct > PCT_MOST:
        return 0.0, f"{item}: {pct:.6g} % is more than the whole formula. Enter 0 to 100 %."
    return pct, ""


def read_texts(
    lines: Sequence[Line], aims: Aims, facts: FactTexts, **named: str
) -> tuple[tuple[float, ...], Facts, tuple[Problem, ...]]:
    """Amounts of the lines [% of formula], the facts, and the problem of each field that has one."""
    pcts, found = [], []
    for n, line in enumerate(lines):
        name = clipped(line.name)
        found += [Problem(n, held.problem, field) for field, held in line.typed_fields() if held.problem]
        if line.low.value is not None and line.high.value is not None and line.low.value > line.high.value:
            text = f"'{name}': the low limit {line.low} lies above the high limit {line.high}."
            found.append(Problem(n, f"{text} Swap the two.", "low"))
        if line.oil_limit and not line.supplier_rate:
            text = f"'{name}': the supplier's rate is missing."
            found.append(Problem(n, f"{text} Enter it too, or leave the oil limit out.", "oil_limit"))
        pct, problem = percent(line, aims)
        pcts.append(pct)
        if problem:
            found.append(Problem(n, problem, "amount"))
    others = {field: held.problem for field, held in aims.typed_fields()} | named
    found += [Problem(None, problem, field) for field, problem in others.items() if problem]
    known, wrong = read_facts(facts)
    found += [Problem(None, text, f"fact {name}") for name, text in wrong.items()]
    return tuple(pcts), known, tuple(found)
