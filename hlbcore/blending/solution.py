"""The emulsifiers that a formula asks for: goal, dose, members, amounts."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from hlbcore._numbers import checked
from hlbcore.blending.candidates import TRACE_BOUNDS
from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.blending.dose import usual_loading
from hlbcore.blending.marks import without_figure
from hlbcore.blending.rates import Around
from hlbcore.blending.ready_dose import ReadyDose, ready_dose
from hlbcore.blending.results import Blend
from hlbcore.blending.solving import solve_blend
from hlbcore.blending.worked import oil_of
from hlbcore.counting.counted import Counted, count
from hlbcore.counting.required import RequiredHlb
from hlbcore.counting.soap import turned_to_soap
from hlbcore.errors import HlbError, UnreachableTarget, clipped
from hlbcore.formula.aims import AS_TYPED, FORMULA, dose_basis
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Line, Problem
from hlbcore.library import Library
from hlbcore.product_types import ProductType

USUAL_DOSE = (3.0, 6.0)
"""All emulsifiers, where a blank dose meets a product type without a usual one. [% of formula]
Our convention."""


def window_of(formula: Formula, kind: ProductType) -> float:
    """Half width of the window, typed or usual. [HLB]"""
    typed = formula.aims.window.value
    return kind.window if typed is None else typed


def prices_of(system: Sequence[Counted]) -> dict[str, float]:
    """Prices by label, as bought. [price unit/kg]"""
    return {x.label: x.line.price.value for x in system if x.line.price.value is not None and not x.is_part}


@dataclass(frozen=True, slots=True)
class Solution:
    """What was solved for, and for which members."""

    members: tuple[Counted, ...] = ()
    blend: Blend | None = None
    unreachable: UnreachableTarget | None = None
    choice: str = ""
    dose: tuple[float, float] = (0.0, 100.0)
    ready: ReadyDose | None = None


def goal_of(formula: Formula, system: Sequence[Counted]) -> str:
    """What is looked for: as typed where every emulsifier has an amount, unless said otherwise."""
    if formula.aims.goal:
        return formula.aims.goal
    return AS_TYPED if all(x.line.amount for x in system) else "closest"


def dose_of(formula: Formula, required: RequiredHlb | None, kind: ProductType) -> tuple[float, float] | None:
    """Total of the emulsifiers: as typed, else the usual one; None where it cannot be read."""
    typed = formula.aims.dose
    if typed:
        if typed.value is None or dose_basis(typed.text) == FORMULA:
            return typed.value
        oil = 0.0 if required is None else required.mass
        low, high = (end * oil / 100 for end in typed.value)
        return (low, min(high, 100.0)) if low > 0 else None
    if required is not None and 0 < required.mass <= 100:
        start = usual_loading(required.mass, kind).start_pct
        if start is not None:
            return start, start
    return USUAL_DOSE


def _ready(
    formula: Formula,
    system: Sequence[Counted],
    required: RequiredHlb | None,
    kind: ProductType,
    library: Library,
) -> ReadyDose | None:
    """Where a lone ready emulsifier without an amount starts."""
    base = [x for x in count(formula, library) if x.line.portion is None]
    oil = oil_of(base) if required is None else required.mass
    water = math.fsum(x.pct for x in base if x.kind == "water")
    asked = dose_of(formula, required, kind) if formula.aims.dose else None
    return ready_dose(system, kind, library, Around(oil, water), asked)


def solution_of(
    formula: Formula,
    system: Sequence[Counted],
    required: RequiredHlb | None,
    kind: ProductType,
    library: Library,
    problems: list[Problem],
    at_hand: Sequence[str],
) -> Solution:
    """What is solved for, with what stands in its way beside the problems."""
    goal = goal_of(formula, system)
    dose = dose_of(formula, required, kind)
    if goal != AS_TYPED and (ready := _ready(formula, system, required, kind, library)) is not None:
        return Solution(choice=ready.reason, dose=(ready.pct, ready.pct), ready=ready)
    if goal == AS_TYPED or kind.role == "none":
        return Solution(dose=dose or (0.0, 100.0))
    for x in system:
        if x.estimate is None and x.ingredient is not None and not x.is_part:
            text = f"'{clipped(x.name)}' takes no part in the blend: no HLB is known for it. "
            text += f"{without_figure(x.ingredient)} Give its HLB, or check your amounts instead."
            problems.append(Problem(x.number, text, "own"))
    if required is None or dose is None or formula.aims.window.problem:
        return Solution(dose=dose or (0.0, 100.0))
    members, choice = tuple(x for x in system if x.estimate is not None), ""
    if not system:
        members, choice = chosen_by_tool(formula, required, kind, library, at_hand)
    if goal == "least change" and not any(x.line.amount for x in members):
        text = "Least change needs the amounts in use. Enter them beside the emulsifiers."
        problems.append(Problem(None, text, "goal"))
        return Solution(choice=choice, dose=dose)
    if not members:
        return Solution(choice=choice, dose=dose)
    try:
        blend = solved(members, required, kind, formula, goal=goal, dose=dose, library=library)
    except UnreachableTarget as error:
        return Solution(members, None, error, choice, dose)
    except HlbError as error:
        problems.append(Problem(None, str(error), "goal"))
        return Solution(choice=choice, dose=dose)
    return Solution(members, blend, None, choice, dose)


def chosen_by_tool(
    formula: Formula, required: RequiredHlb, kind: ProductType, library: Library, at_hand: Sequence[str] = ()
) -> tuple[tuple[Counted, ...], str]:
    """The emulsifiers that the tool chooses, and why."""
    choice = choose_emulsifiers(required, kind, at_hand=at_hand, ionics=formula.aims.ionics, library=library)
    phase = "oil" if "oil" in formula.phases or not formula.phases else formula.phases[0]
    lines = [Line(name, phase=phase, counts="emulsifier") for name in choice.names]
    start = len(formula.lines)
    added = count(replace(formula, lines=(*formula.lines, *lines)), library)
    return tuple(x for x in added if x.number >= start and x.estimate is not None), choice.reason


def limits_of(members: Sequence[Counted]) -> dict[str, tuple[float, float]]:
    """Limits typed in the lines, of the active parts, by label. [% of formula]"""
    found = {}
    for x in members:
        low, high = x.line.low.value, x.line.high.value
        if x.is_part or (low is None and high is None) or (low or 0.0) > (100.0 if high is None else high):
            continue
        share = x.active_pct / 100
        found[x.label] = ((low or 0.0) * share, 100.0 if high is None else high * share)
    return found


def solved(
    members: Sequence[Counted],
    required: RequiredHlb,
    kind: ProductType,
    formula: Formula,
    *,
    goal: str,
    dose: tuple[float, float],
    library: Library,
) -> Blend:
    """The blend of counted emulsifiers: parts of bought blends and what turns to soap stay as they are."""
    limits = limits_of(members)
    soaps = turned_to_soap([x for x in count(formula, library) if x.line.portion is None])
    fixed = [x for x in members if x.is_part or x.active_pct == 0 or x.number in soaps]
    limits |= {x.label: (x.active, x.active) for x in fixed}
    smallest = formula.aims.smallest.value or 0.0
    start = {x.label: x.active for x in members if x.line.amount.value is not None}
    per_active = {
        n: p * 100 / x.active_pct for x in members for n, p in prices_of([x]).items() if x.active_pct
    }
    return solve_blend(
        {x.label: x.estimate or TRACE_BOUNDS for x in members},
        required,
        window=window_of(formula, kind),
        total=dose,
        limits=limits,
        cost=per_active,
        smallest=checked(smallest, "smallest amount", low=0),
        objective=goal,
        start=start or None,
        product=kind.name,
        library=library,
    )


def with_system(formula: Formula, members: Sequence[Counted], active: Sequence[float]) -> Formula:
    """The formula with these active amounts of its emulsifiers; new ones stand behind the last.

    Parameters
    ----------
    formula : Formula
        As typed.
    members : sequence of Counted
        Emulsifiers, some perhaps not in the formula yet.
    active : sequence of float
        Their active amounts. [% of formula]

    Returns
    -------
    Formula
        With the amounts as bought.
    """
    changes: dict[int, float] = {}
    added: list[Line] = []
    for x, mass in zip(members, active, strict=True):
        if x.is_part or x.active_pct == 0:
            continue
        pct = mass * 100 / x.active_pct
        if x.number < len(formula.lines):
            changes[x.number] = pct
        else:
            added.append(x.line.with_amount(formula.amount_text(pct)))
    made = formula.with_pct(changes)
    if added:
        last = max((x.number for x in members if x.number < len(formula.lines)), default=len(made.lines) - 1)
        made = replace(made, lines=(*made.lines[: last + 1], *added, *made.lines[last + 1 :]))
    return made
