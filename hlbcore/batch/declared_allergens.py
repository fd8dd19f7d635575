"""Allergens of a fragrance that an EU list names beside it: from the supplier's sheet and the lines.

Thresholds and dates stand in `rules.fragrance`, the list in `rules.allergens`. All sources of one entry
count together: the sheet, an essential oil of its own line, a preservative that is one too. A plant's
entry and what is in the oil are both named (from memory; `batch_label` of the trade's practice).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from hlbcore.batch.declared_names import label_name, titled
from hlbcore.batch.declared_parts import Share
from hlbcore.errors import clipped
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import fold
from hlbcore.library import Library
from hlbcore.product_types import product_type
from hlbcore.rules import fragrance as rules
from hlbcore.rules.allergens import Allergen, allergen_named


@dataclass(frozen=True, slots=True)
class ToName:
    """What a list names, and what is open.

    Parameters
    ----------
    named : tuple of (str, float)
        Print name and what comes on top of a line of that name. [% of formula]
    open_points, notes : tuple of str
        A sentence each.
    """

    named: tuple[tuple[str, float], ...] = ()
    open_points: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass
class _Found:
    sheet: float = 0.0
    lines: float = 0.0
    printed: float = 0.0


def allergens_to_name(formula: Formula, shares: tuple[Share, ...], library: Library) -> ToName:
    """The allergens that an EU list names, above the threshold of the use.

    Parameters
    ----------
    formula : Formula
        One finished product.
    shares : tuple of Share
        What its lines bring in.
    library : Library
        The tables.

    Returns
    -------
    ToName
        Nothing is guessed: without a supplier's sheet that is an open point.
    """
    scents = [s for s in shares if s.scent]
    oils = [s for s in shares if s.kind == "essential oil" and not s.scent]
    sheet = formula.known_facts.fragrance_allergens
    found: dict[str, _Found] = {}
    open_points = list(_missing(scents, oils, bool(sheet)))
    pct = math.fsum(s.pct for s in scents or oils)
    for name, share in sheet if pct > 0 else ():
        allergen = allergen_named(name)
        open_points += _of_list(name, allergen)
        key = allergen.name if allergen else titled(" ".join(name.split()))
        found.setdefault(key, _Found()).sheet += rules.in_product(min(pct, 100.0), share)
    for held in shares:
        if held.scent:
            continue
        allergen = allergen_named(held.name, held.ingredient.id if held.ingredient else "")
        if allergen is None and held.ingredient is not None:
            allergen = allergen_named(held.ingredient.inci)
        if allergen is None:
            continue
        open_points += _of_list(held.name, allergen)
        of_name = found.setdefault(allergen.name, _Found())
        of_name.lines += held.high
        printed = label_name(held.name, "eu", ingredient=held.ingredient, library=library)
        if fold(printed.base) == fold(allergen.name):
            of_name.printed += held.high
    leave_on = product_type(formula.product_type).leave_on
    named = [
        (name, f.sheet + f.lines - f.printed)
        for name, f in found.items()
        if rules.named(name, min(f.sheet + f.lines, 100.0)).to_name(leave_on=leave_on)
        and f.sheet + f.lines - f.printed > 0
    ]
    return ToName(tuple(named), tuple(open_points), _notes(found, leave_on=leave_on))


def _missing(scents: list[Share], oils: list[Share], sheet: bool) -> list[str]:
    """What no supplier's sheet covers."""
    if not scents and not oils:
        alone = "Allergens are entered, yet no fragrance and no essential oil is known among the lines."
        return [f"{alone} Say what the scent is."] if sheet else []
    ask = "Ask for the allergen sheet and enter it; none is guessed."
    if not sheet:
        return [f"Allergens of {_names(scents or oils)} are not known. {ask}"]
    if scents and oils:
        return [
            f"The allergens entered are those of {_names(scents)}; what is in {_names(oils)} is not known."
        ]
    if len({s.name for s in (scents or oils)}) > 1:
        return [f"One allergen sheet for {_names(scents or oils)}: see that it is that of their mixture."]
    return []


def _names(shares: list[Share]) -> str:
    return ", ".join(dict.fromkeys(f"'{clipped(s.name)}'" for s in shares))


def _of_list(name: str, allergen: Allergen | None) -> list[str]:
    if allergen is None:
        return [f"'{clipped(name)}' is not on the allergen list held here: see if it is to be named."]
    if allergen.kind == "prohibited":
        return [f"'{clipped(name)}' is prohibited in the EU ({allergen.note.removeprefix('stop: ')})."]
    return []


def _notes(found: dict[str, _Found], *, leave_on: bool) -> tuple[str, ...]:
    if not found:
        return ()
    limit = rules.threshold(leave_on=leave_on)
    use = "left on" if leave_on else "rinsed off"
    return (f"Allergens are named above {limit:g} % of a product {use}: {rules.ALLERGEN_RULE}.",)
