"""The figures of the shelf and of the tables as steps."""

from __future__ import annotations

import math

from hlbcore.blending.worked import Worked
from hlbcore.errors import clipped
from hlbcore.estimate import Estimate
from hlbcore.ingredients import Ingredient
from hlbcore.lessons._steps import Step, Working, figure
from hlbcore.readings import Reading
from hlbcore.shelf.buying import AXIS, Buying
from hlbcore.shelf.planned import Short
from hlbcore.shelf.results import Screening

ROWS = 12
"""Rows of a table that are written out. [-] Our convention."""


def system_figure(found: Screening, number: int = 1) -> Working:
    """One system of a screen: its HLB, its distance, and what its ratio tolerates.

    Parameters
    ----------
    found : Screening
        A screen with at least one system.
    number : int
        Its place in the order, from 1. [-]

    Returns
    -------
    Working
        With the numbers put in.

    Examples
    --------
    >>> from hlbcore.shelf.screening import screened
    >>> made = screened(["sorbitan oleate", "polysorbate 80"], 10, sizes=2)
    >>> system_figure(made).steps[1].line
    'Distance from what is asked: abs(10 - 10) = 0 HLB'
    """
    at = int(found.every[number - 1])
    amounts, a = found.amounts(at), found.asked
    hlbs = [float(a.hlb[m]) for m in found.members(at)]
    total, value = float(found.solved.total[at]), float(found.solved.hlb[at])
    terms = " + ".join(f"{figure(p)} × {figure(h)}" for p, h in zip(amounts.values(), hlbs, strict=True))
    left = a.window - abs(value - a.target.value)
    steps = [
        Step(
            f"HLB of {' with '.join(map(clipped, amounts))}",
            "sum(pct × h) / total",
            f"({terms}) / {figure(total)}",
            value,
            "HLB",
        ),
        Step(
            "Distance from what is asked",
            "|H - R|",
            f"abs({figure(value)} - {figure(a.target.value)})",
            abs(value - a.target.value),
            "HLB",
        ),
    ]
    gap = max(hlbs) - min(hlbs)
    if gap > 0:
        pct = found.tolerance_pct(at)
        numbers = f"100 × {figure(left)} / ({figure(max(hlbs))} - {figure(min(hlbs))})"
        steps.append(
            Step(
                "So much of the blend may be one instead of another",
                "100 × room / gap, at most 100",
                numbers,
                pct,
                "% of the blend",
            )
        )
        if found.batch_g is not None:
            numbers = f"{figure(pct)} / 100 × {figure(total)} / 100 × {figure(found.batch_g)}"
            steps.append(
                Step(
                    "The same in grams",
                    "part × total × batch",
                    numbers,
                    pct / 100 * total / 100 * found.batch_g,
                    "g",
                )
            )
    said = f"Room is the window of ±{figure(a.window)} HLB less the distance."
    return Working("A system of the shelf", tuple(steps), (said,), "blend")


def buying_figure(found: Buying, most: int = ROWS) -> Working:
    """The length of the HLB axis that one emulsifier more would add."""
    low, high = AXIS
    steps = tuple(
        Step(
            clipped(ingredient.common_name),
            "length with it - length now",
            f"{figure(reach.length)} - {figure(found.now.length)}",
            reach.length - found.now.length,
            "HLB",
        )
        for ingredient, reach in found.offers[:most]
    )
    said = (
        f"Length: of the HLB axis from {low:g} to {high:g} (our convention), what lies within the window of "
        "a blend that the shelf makes. Opens: formulas of yours whose required HLB comes within reach.",
    )
    return Working(
        "What one emulsifier more would open", steps or (Step("Nothing is offered"),), said, "blend"
    )


def short_figure(short: Short, worked: Worked) -> Working:
    """What a batch takes, and what is missing of it."""
    batch = worked.formula.aims.batch.value or 0.0
    pcts: dict[str, float] = {}
    for x in worked.bought:
        pcts[x.name] = pcts.get(x.name, 0.0) + (x.pct if x.line.portion is None else 0.0)
    steps = [
        Step(
            f"{clipped(n)}, needed", "pct × batch / 100", f"{figure(pcts[n])} × {figure(batch)} / 100", g, "g"
        )
        for n, g in short.needs.items()
        if n in pcts
    ]
    for row in short.table.itertuples(index=False):
        name, needed, held, missing = row[0], row[1], row[2], row[3]
        if missing and not math.isnan(missing):
            steps.append(
                Step(
                    f"{clipped(str(name))}, missing",
                    "needed - held",
                    f"{figure(needed)} - {figure(held)}",
                    missing,
                    "g",
                )
            )
    return Working("What a batch takes", tuple(steps), ("Water is left out.",), "amount")


def estimate_figure(name: str, held: Estimate, readings: tuple[Reading, ...]) -> Working:
    """How the figure in use follows from the readings of the tables.

    Parameters
    ----------
    name : str
        Ingredient and quantity.
    held : Estimate
        The figure in use. [HLB]
    readings : tuple of Reading
        All readings of it.

    Returns
    -------
    Working
        Each reading, and what they make.
    """
    steps = [
        Step(f"{figure(r.value)}, {r.grade}, {r.source}" + (f", root {r.root}" if r.root else ""))
        for r in readings
        if r.value is not None
    ]
    said = (
        "One vote a root; the figure is the median of the best grade, as one of them prints it; the range "
        "spans the two best grades and is never narrower than a floor.",
        f"In use: {held!r}.",
    )
    return Working(f"{name[0].upper()}{name[1:]} from its readings", tuple(steps), said, "required")


def ingredient_figures(held: Ingredient) -> dict[str, Working]:
    """The figures of one ingredient from its readings, by name.

    Parameters
    ----------
    held : Ingredient
        Of the tables.

    Returns
    -------
    dict of str to Working
        Only those that it has.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> list(ingredient_figures(load_library().oil("cocoa butter")))
    ['required HLB, o/w']
    """
    found = (
        ("HLB", held.hlb, held.hlb_readings),
        ("required HLB, o/w", held.required_hlb("o/w"), held.ow_readings),
        ("required HLB, w/o", held.required_hlb("w/o"), held.wo_readings),
    )
    return {name: estimate_figure(name, e, readings) for name, e, readings in found if e is not None}
