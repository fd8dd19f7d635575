"""What errors of weighing do to the HLB of the blend and to the shares of preservative and gum."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from hlbcore.batch.pot import PotLine
from hlbcore.blending.candidates import TRACE_BOUNDS
from hlbcore.blending.mixing import system_hlb
from hlbcore.blending.weighing import mean_sd
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.errors import EmptyPhase, MissingValue
from hlbcore.estimate import Estimate


@dataclass(frozen=True, slots=True)
class Weighed:
    """What one weighing brings of a quantity.

    Parameters
    ----------
    name : str
        The row of the pot.
    mass : float
        What counts of it. [g]
    value : float
        Figure of that part: HLB, or 100 for what counts and 0 for the rest. [unit of the quantity]
    standard, worst : float
        Standard uncertainty and largest error of that mass. [g]
    """

    name: str
    mass: float
    value: float
    standard: float
    worst: float


@dataclass(frozen=True, slots=True)
class Effect:
    """How far one quantity may be moved by weighing.

    Parameters
    ----------
    quantity, unit : str
        What it is.
    planned, as_weighed : float
        By the formula, and by the rounded amounts. [unit]
    standard : float
        Standard uncertainty, all errors together. [unit]
    low, high : float
        At the worst, every error in the worst direction. [unit]
    parts : tuple of Weighed
        The weighings that it rests on.
    """

    quantity: str
    unit: str
    planned: float
    as_weighed: float
    standard: float
    low: float
    high: float
    parts: tuple[Weighed, ...] = ()


def hlb_as_weighed(worked: Worked, rows: Sequence[PotLine]) -> Estimate | None:
    """HLB of the emulsifiers of the base as weighed. [HLB]"""
    held = [
        replace(x, pct=x.pct * f) for x, f in _parts(worked, rows) if x.is_emulsifier and x.pct > 0 and f > 0
    ]
    try:
        return system_hlb(held, [x.active for x in held]).estimate
    except (MissingValue, EmptyPhase):
        return None


def _parts(worked: Worked, rows: Sequence[PotLine]) -> list[tuple[Counted, float]]:
    """Counted lines of the base with what the pot got over what was planned. [-]"""
    factor = {r.line: r.delivered_g / r.exact_g for r in rows if not r.portion}
    return [(x, factor.get(x.number, 0.0)) for x in worked.base_lines]


def effects_of(worked: Worked, rows: Sequence[PotLine], hlb: Estimate | None) -> tuple[Effect, ...]:
    """What all errors together do to HLB, preservative and gum.

    Parameters
    ----------
    worked : Worked
        The formula, worked out.
    rows : sequence of PotLine
        What goes into the pot.
    hlb : Estimate or None
        HLB as weighed. [HLB]

    Returns
    -------
    tuple of Effect
        Only what the formula has.

    Notes
    -----
    GUM: ``u^2 = sum((df/dm_i u_i)^2)`` over independent weighings; for a blend ``df/dm_i = (h_i - H) / M``,
    for a share ``(1 - p) / M`` for what counts and ``-p / M`` for the rest. The parts of one bought
    blend move together. At the worst every amount is off by its largest error, upwards for what
    raises the figure and downwards for the rest.
    """
    found = []
    if hlb is not None and worked.blend is not None:
        found.append(_hlb(worked, rows, worked.blend.value, hlb.value))
    for kind in ("preservative", "gum"):
        made = _share(worked, rows, kind)
        if made is not None:
            found.append(made)
    return tuple(found)


def _hlb(worked: Worked, rows: Sequence[PotLine], planned: float, as_weighed: float) -> Effect:
    held = []
    for r in rows:
        parts = [x for x in worked.base_lines if x.number == r.line and x.is_emulsifier and x.active > 0]
        if r.portion or not parts:
            continue
        whole = worked.made.pcts[r.line]
        share = math.fsum(x.active for x in parts) / whole
        value = math.fsum(x.active * (x.estimate or TRACE_BOUNDS).value for x in parts) / (share * whole)
        held.append(Weighed(r.name, share * r.delivered_g, value, share * r.standard_g, share * r.worst_g))
    u = mean_sd([x.mass for x in held], [x.value for x in held], [x.standard for x in held])
    low, high = _worst(held, -1), _worst(held, +1)
    return Effect("HLB of the blend", "HLB", planned, as_weighed, u, low, high, tuple(held))


def _worst(held: Sequence[Weighed], sign: int) -> float:
    """The lowest or highest mean: every amount off by its largest error, split at one value."""
    order = sorted(held, key=lambda x: sign * x.value)
    best: list[float] = []
    for cut in range(len(order) + 1):
        moved = [
            (max(x.mass + (x.worst if n >= cut else -x.worst), 0.0), x.value) for n, x in enumerate(order)
        ]
        mass = math.fsum(m for m, _ in moved)
        if mass > 0:
            best.append(math.fsum(m * v for m, v in moved) / mass)
    return max(best, key=lambda v: sign * v)


def _share(worked: Worked, rows: Sequence[PotLine], kind: str) -> Effect | None:
    base = [r for r in rows if not r.portion]
    held = []
    for r in base:
        pct = math.fsum(x.pct for x in worked.base_lines if x.number == r.line and x.kind == kind)
        held.append((r, pct / worked.made.pcts[r.line]))
    if not any(part > 0 for _, part in held):
        return None
    planned = math.fsum(x.pct for x in worked.base_lines if x.kind == kind)
    mass = math.fsum(r.delivered_g for r in base)
    counts = math.fsum(r.delivered_g * part for r, part in held)
    p = counts / mass
    u = mean_sd([r.delivered_g for r in base], [part for _, part in held], [r.standard_g for r in base])

    def at(sign: int) -> float:
        moved = [
            (max(r.delivered_g + (sign if part > p else -sign) * r.worst_g, 0.0), part) for r, part in held
        ]
        return 100 * math.fsum(m * part for m, part in moved) / math.fsum(m for m, _ in moved)

    parts = tuple(Weighed(r.name, r.delivered_g, 100 * part, r.standard_g, r.worst_g) for r, part in held)
    return Effect(kind, "% of the base", planned, 100 * p, 100 * u, at(-1), at(+1), parts)
