"""What keeps a list of ingredients from being drafted, each told by the line or the blend."""

from __future__ import annotations

import math

from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.formula import TOTAL_OFF, Formula
from hlbcore.formula.lines import Composite
from hlbcore.ingredients import fold

PARTS_OFF = 0.5
"""The parts of a bought blend add to 100 within this. [% of the blend] Our convention."""


def check_whole(formula: Formula) -> None:
    """Refuse a formula that no list of ingredients can be made of.

    Parameters
    ----------
    formula : Formula
        As typed.

    Raises
    ------
    InvalidInput
        Naming the line, the blend or the sum that is wrong, and by how much.
    """
    formula.check_size()
    if not any(x.name.strip() for x in formula.lines):
        raise InvalidInput("label draft", "the formula has no lines", "Enter its ingredients first.")
    wrong = [p for p in formula.found if p.field in ("amount", "active", "portions", "blends")]
    if wrong:
        raise InvalidInput("label draft", wrong[0].text.rstrip("."), "A list is drafted once that is mended.")
    for n, line in enumerate(formula.lines):
        if line.blank:
            continue
        if not line.name.strip():
            raise InvalidInput("label draft", f"line {n + 1} has no name", "Name it, or delete it.")
        if line.amount.value is None:
            text = f"'{clipped(line.name)}' has no amount by mass, and none is guessed"
            raise InvalidInput("label draft", text, "Weigh it, and enter its amount.")
    for blend in formula.blend_list:
        _check_blend(blend)
    named = {fold(p.name) for p in formula.portion_list}
    for line in formula.lines:
        if line.portion is not None and fold(line.portion) not in named:
            text = f"'{clipped(line.name)}' belongs to portion '{clipped(line.portion)}', which is not there"
            raise InvalidInput("label draft", text, "Add the portion, or move the line to the base.")
    off = formula.total_pct - 100
    if abs(off) > TOTAL_OFF:
        word = "too much" if off > 0 else "missing"
        raise InvalidInput(
            "label draft",
            f"the formula adds to {formula.total_pct:.6g} %: {abs(off):.4g} % is {word}",
            "Fill a line, or rescale; the order is not known before.",
        )


def _check_blend(blend: Composite) -> None:
    whole = math.fsum(p.pct for p in blend.parts)
    if abs(whole - 100) > PARTS_OFF:
        name = f"blend '{clipped(blend.name)}'"
        raise InvalidInput(name, f"its parts add to {whole:.6g} %, not 100 %", "Mend the parts first.")
