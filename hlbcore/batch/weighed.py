"""The formula that weighed amounts make."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from hlbcore.batch.pot import PotLine
from hlbcore.blending.worked import Worked
from hlbcore.errors import InvalidInput
from hlbcore.formula.aims import AS_TYPED
from hlbcore.formula.fields import mass_reader, typed
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import fold
from hlbcore.typed import in_full


def weighed_formula(worked: Worked, rows: Sequence[PotLine]) -> Formula:
    """The formula that weighed rows make.

    Parameters
    ----------
    worked : Worked
        The formula that was planned, worked out.
    rows : sequence of PotLine
        What went into the pot.

    Returns
    -------
    Formula
        Lines of the base in % of all of it, lines of portions on top of their part of it.
    """
    grams: dict[int, float] = {}
    for r in rows:
        grams[r.line] = grams.get(r.line, 0.0) + r.delivered_g
    return formula_of_grams(worked.made, grams, {r.scale.readability_g for r in rows})


def formula_of_grams(made: Formula, grams: Mapping[int, float], steps: set[float] | None = None) -> Formula:
    """A formula with the amounts that these grams make, by the number of the line. [g]"""
    base = math.fsum(g for n, g in grams.items() if made.lines[n].portion is None)
    if base <= 0:
        raise InvalidInput("batch", "nothing was weighed", "Enter what was weighed.")
    shares = {fold(p.name): p.share_pct / 100 for p in made.portion_list}
    pcts: dict[int, float] = {}
    for n, line in enumerate(made.lines):
        if n not in grams:
            continue
        part = 1.0 if line.portion is None else shares.get(fold(line.portion), 0.0)
        pcts[n] = 100 * grams[n] / (base * part) if part > 0 else 0.0
    gone = {n: 0.0 for n in range(len(made.lines)) if n not in grams and made.pcts[n] > 0}
    mass = typed(f"{in_full(round(base, 9))} g", mass_reader("batch"))
    aims = replace(made.aims, goal=AS_TYPED, batch=mass)
    if steps:
        aims = replace(aims, scales=typed(f"{in_full(min(steps))} g", mass_reader("scale")))
    return replace(made.with_pct(pcts | gone), aims=aims)
