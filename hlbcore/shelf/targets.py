"""What a shelf is to reach: figures, oil phases and whole formulas as HLB wanted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeAlias

from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.estimate import Estimate, as_estimate
from hlbcore.formula.formula import Formula
from hlbcore.library import Library
from hlbcore.limits import TARGETS_MOST, check_count

One: TypeAlias = float | str | Estimate | RequiredHlb | Formula | Worked | Mapping[str, float]
"""A figure, what an oil phase requires, a formula, or an oil phase as masses by name."""

Targets: TypeAlias = One | Iterable[One] | Mapping[str, One]
"""One target, several, or several by name."""

SINGLE = (int, float, str, Estimate, RequiredHlb, Formula, Worked)


@dataclass(frozen=True, slots=True)
class Target:
    """One thing that a shelf is to reach.

    Parameters
    ----------
    name : str
        As people read it.
    hlb : float
        HLB wanted. [HLB]
    """

    name: str
    hlb: float


def targets_of(targets: Targets, library: Library) -> tuple[tuple[Target, ...], tuple[str, ...]]:
    """The targets as figures, and a sentence on each that has none.

    Parameters
    ----------
    targets : Targets
        As given.
    library : Library
        The tables.

    Returns
    -------
    tuple of Target
        In the order given.
    tuple of str
        Formulas and phases without a required HLB.
    """
    named: list[tuple[str, One]]
    if isinstance(targets, SINGLE):
        named = [("", targets)]
    elif isinstance(targets, Mapping):
        named = [(str(name), one) for name, one in targets.items()]
    else:
        named = [("", one) for one in targets]
    check_count(named, "targets", TARGETS_MOST)
    found, without = [], []
    for n, (name, one) in enumerate(named, start=1):
        try:
            found.append(_target(name, one, n, library))
        except HlbError as error:
            if not isinstance(one, Formula | Worked):
                raise
            without.append(f"{name or _title(one, n)}: {error}")
    return tuple(found), tuple(without)


def _target(name: str, one: One, n: int, library: Library) -> Target:
    if isinstance(one, Formula | Worked):
        worked = work_out(one, library)
        if worked.product.role == "none":
            raise InvalidInput("HLB", f"it has no say in a {worked.product.name}", worked.product.decides)
        if worked.required is None:
            raise InvalidInput("required HLB", worked.reason.rstrip(".") or "there is none", "")
        return Target(name or _title(one, n), worked.required.value)
    if isinstance(one, Mapping):
        return Target(name or f"phase {n}", required_hlb(one, library=library).value)
    if isinstance(one, RequiredHlb):
        return Target(name or f"phase {n}", one.value)
    item = f"target '{clipped(name)}'" if name else f"target {n}"
    value = as_estimate(one, item).value
    return Target(name or f"HLB {value:.4g}", value)


def _title(one: Formula | Worked, n: int) -> str:
    formula = one.formula if isinstance(one, Worked) else one
    return formula.name.strip() or f"formula {n}"
