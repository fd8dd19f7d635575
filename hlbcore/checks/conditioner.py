"""Cationic emulsifiers by their active part.

=========  ====================================================================================
inputs     cationic emulsifiers and waxes [% of formula], parts that suppliers declare, product type
rule       as bought times active share; half of the supplier's lowest rate; limits of the chlorides
source     ``data/supplier_rates.csv``; Annexes V and III of Reg. (EC) 1223/2009
levels     little active cationic, or chlorides over a limit: caution; the active amount: note
mend       the supplier's rate, or the amount that meets the limit
=========  ====================================================================================
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from hlbcore.blending.rates import Around, rate_of
from hlbcore.blending.worked import Worked
from hlbcore.checks._allergens import names_of
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.rules import safety
from hlbcore.sheets import span

_SHARE = re.compile(r"(\d+(?:\.\d+)?)(?:\s*-\s*(\d+(?:\.\d+)?))?")


@dataclass(frozen=True, slots=True)
class Active:
    """A cationic ingredient and its active part.

    Parameters
    ----------
    line : Counted
        The ingredient.
    low, high : float or None
        Active cationic; None where the supplier's share is not known. [% of formula]
    """

    line: Counted
    low: float | None
    high: float | None


def active_of(view: Worked) -> list[Active]:
    """The cationic ingredients with their active part, waxes by the share that their supplier declares.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Active
        In the order of the lines.
    """
    found = []
    for x in view.lines:
        if x.ingredient is None or x.ingredient.charge != "cationic" or x.active <= 0 or not x.is_emulsifier:
            continue
        if len(view.library.parts_of(x.name)) < 2:
            found.append(Active(x, x.active, x.active))
            continue
        row = view.library.ready(x.name)
        share = None if row is None else _SHARE.search(row.shares)
        if share is None:
            found.append(Active(x, None, None))
            continue
        low = float(share[1])
        found.append(Active(x, x.active * low / 100, x.active * float(share[2] or low) / 100))
    return found


def conditioner(view: Worked) -> list[Finding]:
    """The active cationic of a formula, and what it is held against.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        Empty without a cationic emulsifier.
    """
    held = active_of(view)
    if not held:
        return []
    return [*_chlorides(view, held), *_active(view, held)]


def _active(view: Worked, held: list[Active]) -> list[Finding]:
    names = names_of([a.line for a in held])
    unknown = [a for a in held if a.low is None]
    if unknown:
        return [
            Finding(
                "note",
                "Active cationic: the supplier's share is missing",
                f"{names_of([a.line for a in unknown])}: a wax holds a quarter to a half of active "
                "cationic; which, "
                "only the supplier says.",
                f"{math.fsum(a.line.active for a in unknown):.3g} % as bought",
                "active share as suppliers declare it, table of suppliers' rates",
                "Type the active share at the line.",
                aside=view.product.name != "conditioner",
            )
        ]
    low = math.fsum(a.low or 0.0 for a in held)
    high = math.fsum(a.high or 0.0 for a in held)
    figure = f"{span(_three(low), _three(high))} % of the formula, active"
    rates = [
        rate_of(a.line, view.library, Around(water_pct=view.water_pct))
        for a in held
        if a.line.line.supplier is None
    ]
    stated = [r for r in rates if r.stated and r.low is not None and r.basis == "formula"]
    share = math.fsum(r.dose / r.low for r in stated if r.low) if len(stated) == len(held) else math.inf
    if share < safety.CATIONIC_LEAST:
        rate = stated[0]
        return [
            Finding(
                "caution",
                "Little active cationic: it may not carry the oil",
                f"{names}: {rate.dose:.3g} % as bought, the supplier says "
                f"{span(rate.low, rate.high, ' %')}; there is "
                f"{view.oil_pct:.3g} % of oil and fatty alcohol to hold.",
                figure,
                f"{rate.source}; below half of the lowest rate, our convention",
                f"Raise it to {rate.low:g} % or more.",
            )
        ]
    return [
        Finding(
            "note",
            "Active cationic",
            f"{names}: as bought times the active share that the supplier declares.",
            figure,
            "active share as suppliers declare it, table of suppliers' rates",
            aside=view.product.name != "conditioner",
        )
    ]


def _three(value: float) -> float:
    return float(f"{value:.2g}")


def _chlorides(view: Worked, held: list[Active]) -> list[Finding]:
    """The chlorides that the law limits by use."""
    found = [a for a in held if a.line.key in safety.CATIONIC_CHLORIDES]
    pct = math.fsum(a.high or 0.0 for a in found)
    leave_on = view.product.leave_on
    face = leave_on and view.facts.area != "body"
    most = safety.CATIONIC_FACE_PCT if face else safety.CATIONIC_HAIR_PCT[leave_on]
    if pct <= most:
        return []
    # sold as a solution of a quarter or so: where that would be under the limit, ask first
    typed = all(a.line.line.active.value is not None or a.line.active_pct < 100 for a in found)
    asks = not typed and pct * safety.CATIONIC_SOLUTION <= most
    use = "left on the face" if face else "left on the hair" if leave_on else "rinsed off the hair"
    return [
        Finding(
            "note" if asks else "caution",
            "Cationic emulsifier: say its strength"
            if asks
            else "Cationic emulsifier: over the limit of its use",
            f"{names_of([a.line for a in found])}: {pct:.3g} % counted as pure; at most {most:g} % in "
            f"products {use}, "
            f"{safety.CATIONIC_MAX_PCT:g} % as a preservative. It is sold as a solution too: with its "
            "strength "
            "typed only the active part counts.",
            f"{pct:.3g} % of the formula",
            safety.CATIONIC_RULE,
            f"Type its active part, or bring it to {most:g} % active or less. Ask the safety assessor "
            "for the limit of this use; irritation "
            "to eyes and skin grows with the dose.",
        )
    ]
