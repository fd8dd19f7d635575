"""A system of the shelf in place of the emulsifiers of a formula."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from hlbcore._numbers import adding_up
from hlbcore.blending.worked import Worked
from hlbcore.errors import HlbError
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Line

DECIMALS = 2
"""Decimals of the amounts that are carried over, as they are shown; their sum stays. [% of formula]"""

WHOLE = 0.01
"""A formula this near to 100 % adds up. [% of formula]"""


def carried(worked: Worked, amounts: Mapping[str, float]) -> Formula:
    """The open formula with a system in place of its emulsifiers; water takes the difference.

    Parameters
    ----------
    worked : Worked
        The formula.
    amounts : mapping of str to float
        The system, active parts. [% of formula]

    Returns
    -------
    Formula
        Emulsifiers of the base that are not in the system are gone; bought blends and fatty alcohols
        stay. Where the formula added to 100 % and has water, it still does.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> made = carried(work_out(example_formula()), {"sorbitan oleate": 2.0, "polysorbate 80": 2.5})
    >>> [x.pct for x in made.lines if x.name == "polysorbate 80"], round(made.total_pct, 6)
    ([2.5], 100.0)
    """
    library, formula = worked.library, worked.made
    rounded = adding_up(list(amounts.values()), DECIMALS)
    wanted = {library.key(n): (n, pct) for n, pct in zip(amounts, rounded, strict=True)}
    old = {
        x.number: x
        for x in worked.base_lines
        if x.is_emulsifier and not x.is_part and x.kind not in ("fatty alcohol", "fatty acid")
    }
    lines, place, seen = [], None, set()
    for n, line in enumerate(formula.lines):
        x = old.get(n)
        if x is None:
            lines.append(line)
            continue
        place = len(lines) if place is None else place
        if x.key in wanted and x.key not in seen:
            seen.add(x.key)
            pct = wanted[x.key][1] * 100 / x.active_pct if x.active_pct > 0 else wanted[x.key][1]
            lines.append(line.with_amount(formula.amount_text(pct)))
    phase = "oil" if "oil" in formula.phases or not formula.phases else formula.phases[0]
    new = [
        Line(n, formula.amount_text(pct), phase=phase) for key, (n, pct) in wanted.items() if key not in seen
    ]
    at = len(lines) if place is None else place + len(seen)
    made = replace(formula, lines=(*lines[:at], *new, *lines[at:]), aims=replace(formula.aims, goal=""))
    if abs(formula.total_pct - 100) > WHOLE:
        return made
    try:
        return made.fill("water", library)
    except HlbError:
        return made
