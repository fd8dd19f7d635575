"""Lines that nobody knows: each may be the emulsifier, the preservative, or anything else."""

from __future__ import annotations

from hlbcore.blending.worked import Worked
from hlbcore.checks._allergens import names_of
from hlbcore.counting.counted import UNKNOWN, Counted
from hlbcore.findings import Finding

SAY = "Say what each of these is: its kind can be chosen at the line."


def unknown_lines(view: Worked) -> list[Counted]:
    """Lines with a name that nobody knows and that are given no side.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Counted
        In the order of the lines.
    """
    return [x for x in view.lines if x.side == UNKNOWN and x.pct > 0]


def cannot_tell(what: str, held: list[Counted], detail: str, rule: str) -> Finding:
    """The caution in place of a stop, where a line that nobody knows may be what is missed."""
    return Finding(
        "caution",
        f"Cannot tell {what}",
        f"{detail} These lines are unknown: {names_of(held)}.",
        f"{len(held)} unknown line{'s' if len(held) > 1 else ''}",
        rule,
        SAY,
    )
