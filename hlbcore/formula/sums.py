"""Sums of a formula by phase, and the sensible ways to make it add to 100 %."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hlbcore._numbers import GRAMS_PER
from hlbcore.errors import UnknownIngredient
from hlbcore.formula.formula import TOTAL_OFF, Formula
from hlbcore.formula.lines import Line
from hlbcore.library import Library
from hlbcore.product_types import ProductType

RESCALE_OFF = 10.0
"""A total that is off by no more than this is taken for a whole recipe that can be rescaled.
[% of formula] Our convention."""


def phase_sums(formula: Formula) -> dict[str, float]:
    """The sum of each phase, in the unit of plain numbers; what is on top of portions is left out.

    Parameters
    ----------
    formula : Formula
        As typed.

    Returns
    -------
    dict of str to float
        By phase, in the order of work. [% of formula, or g]

    Examples
    --------
    >>> phase_sums(Formula(lines=[Line("olive oil", 20, phase="oil"), Line("water", "70 %", phase="water")]))
    {'water': 70.0, 'oil': 20.0}
    """
    found: dict[str, list[float]] = {phase: [] for phase in formula.phases}
    batch = formula.aims.batch.value
    share = 1.0 if formula.aims.unit == "%" else (batch or 0.0) / 100 / GRAMS_PER[formula.aims.unit]
    for line, pct in zip(formula.lines, formula.pcts, strict=True):
        if line.portion is None:
            found.setdefault(line.phase, []).append(pct * share)
    return {phase: math.fsum(held) for phase, held in found.items() if held}


def sum_words(formula: Formula) -> str:
    """What the lines of the base add to, and what is missing or too much.

    Parameters
    ----------
    formula : Formula
        As typed.

    Returns
    -------
    str
        Blank where there is no line.

    Examples
    --------
    >>> sum_words(Formula(lines=[Line("water", 98.7, phase="water")]))
    'Together 98.70 %: 1.30 % is missing.'
    """
    if not formula.lines:
        return ""
    off = formula.total_pct - 100
    if abs(off) <= TOTAL_OFF:
        return f"Together {formula.total_pct:.2f} %."
    word = "too much" if off > 0 else "missing"
    return f"Together {formula.total_pct:.2f} %: {abs(off):.2f} % is {word}."


@dataclass(frozen=True, slots=True)
class Mend:
    """One way to make a formula add to 100 %.

    Parameters
    ----------
    words : str
        What it does, as the words of a button.
    formula : Formula
        The formula after it.
    """

    words: str
    formula: Formula


def ways_to_whole(formula: Formula, kind: ProductType, library: Library) -> tuple[Mend, ...]:
    """The sensible ways to make a formula add to 100 %, none of them done unasked.

    Parameters
    ----------
    formula : Formula
        As typed.
    kind : ProductType
        Its product type; where it holds no water, none is offered.
    library : Library
        The tables.

    Returns
    -------
    tuple of Mend
        Empty where it adds up, or where nothing has an amount.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> from hlbcore.product_types import product_type
    >>> f = Formula(lines=[Line("olive oil", 20, phase="oil"), Line("water", 78.7, phase="water")])
    >>> [w.words for w in ways_to_whole(f, product_type("o/w cream"), load_library())]
    ['Add 1.3 % to the water', 'Rescale all lines']
    """
    off = formula.total_pct - 100
    if abs(off) <= TOTAL_OFF or formula.total_pct <= 0:
        return ()
    found = []
    waters = [n for n, x in enumerate(formula.lines) if x.portion is None and _kind(x, library) == "water"]
    unread = any(x.amount.problem for x in formula.lines)
    if waters and formula.pcts[waters[0]] - off >= 0:
        at = waters[0]
        words = f"Take {off:.4g} % from" if off > 0 else f"Add {-off:.4g} % to"
        made = formula.with_pct({at: formula.pcts[at] - off})
        found.append(Mend(f"{words} the {formula.lines[at].name.strip()}", made))
    elif not waters and off < 0 and not kind.anhydrous and kind.name != "whipped butter":
        phase = "water" if "water" in formula.phases else formula.phases[0] if formula.phases else ""
        water = Line("water", formula.amount_text(-off), phase=phase)
        found.append(
            Mend(f"Fill up with water, {-off:.4g} %", replace(formula, lines=(water, *formula.lines)))
        )
    if abs(off) <= RESCALE_OFF and not unread:
        found.append(Mend("Rescale all lines", formula.rescaled()))
    return tuple(found)


def _kind(line: Line, library: Library) -> str:
    try:
        return library.find(line.name).kind
    except UnknownIngredient:
        return line.counts
