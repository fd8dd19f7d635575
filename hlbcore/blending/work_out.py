"""Everything that follows from a formula.

`work_out` computes whatever can be computed and names beside each field what is wrong with it; one
bad field never stops the rest.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from hlbcore._numbers import checked
from hlbcore.blending.candidates import TRACE_BOUNDS, choose_emulsifiers, without_figure
from hlbcore.blending.dose import usual_loading
from hlbcore.blending.judging import RATE
from hlbcore.blending.rates import Around
from hlbcore.blending.ready_dose import ReadyDose, ready_dose
from hlbcore.blending.results import Blend
from hlbcore.blending.solving import solve_blend
from hlbcore.blending.verdict import judge_system
from hlbcore.blending.weighing import WeighedBlend, weigh_system
from hlbcore.blending.worked import Worked, oil_of
from hlbcore.counting.counted import Counted, count
from hlbcore.counting.oil_phase import phase_of
from hlbcore.counting.required import RequiredHlb
from hlbcore.counting.soap import soap_of
from hlbcore.errors import EmptyPhase, HlbError, MissingValue, UnreachableTarget, clipped
from hlbcore.formula.aims import AS_TYPED, FORMULA, dose_basis
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Line, Problem
from hlbcore.formula.problems import problems_of
from hlbcore.library import Library, load_library
from hlbcore.product_types import ProductType, product_type

USUAL_DOSE = (3.0, 6.0)
"""All emulsifiers, where a blank dose meets a product type without a usual one. [% of formula]
Our convention."""


def work_out(
    formula: Formula | Worked, library: Library | None = None, *, shelf: Sequence[str] | None = None
) -> Worked:
    """Everything that follows from a formula.

    Parameters
    ----------
    formula : Formula
        As typed; one that is worked out already is taken as it is.
    library : Library, optional
        The built-in tables if left out.
    shelf : sequence of str, optional
        Emulsifiers at hand: where the tool is to choose, it takes from these first.

    Returns
    -------
    Worked
        Whatever could be computed, and a sentence beside each field that could not be used.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> work_out(example_formula()).verdict.word
    'inside'
    """
    if isinstance(formula, Worked):
        same = shelf is None or tuple(shelf) == formula.shelf
        if same and (library is None or library == formula.library):
            return formula
        shelf = formula.shelf if shelf is None else shelf
        formula = formula.formula
    library = library or load_library()
    at_hand = tuple(shelf or ())
    kind = product_type(formula.product_type)
    lines = count(formula, library)
    problems = list(problems_of(formula, library))
    required, reason = _required(formula, lines, kind, library, problems)
    system = tuple(x for x in lines if x.is_emulsifier and x.line.portion is None)
    solution = _solution(formula, system, required, kind, library, problems, at_hand)
    made = _made(formula, system, solution)
    if made is not formula:
        lines = count(made, library)
        system = tuple(x for x in lines if x.is_emulsifier and x.line.portion is None)
    problems += _line_problems(lines)
    oil = oil_of(lines) if required is None else required.mass
    whole = math.fsum(x.active for x in system)
    verdict = judge_system(
        system,
        required,
        kind,
        oil=oil if oil <= 100 and whole <= 100 else None,
        soap=_soap(lines) if required is None else required.soap,
        window=window_of(formula, kind),
        cost=prices_of(system),
        library=library,
        water=math.fsum(x.pct for x in lines if x.kind == "water" and x.line.portion is None),
        ph=made.known_facts.ph,
        reason=reason,
    )
    weighed = _weighed(formula, system, required, problems)
    return Worked(
        formula,
        made,
        library,
        kind,
        lines,
        required,
        reason,
        verdict,
        {x.label: x.pct for x in system if x.number in made.counted_lines},
        verdict.blend,
        solution.blend,
        solution.unreachable,
        solution.choice,
        solution.dose,
        weighed,
        tuple(problems),
        shelf=at_hand,
    )


def window_of(formula: Formula, kind: ProductType) -> float:
    """Half width of the window, typed or usual. [HLB]"""
    typed = formula.aims.window.value
    return kind.window if typed is None else typed


def prices_of(system: Sequence[Counted]) -> dict[str, float]:
    """Prices by label, as bought. [price unit/kg]"""
    return {x.label: x.line.price.value for x in system if x.line.price.value is not None and not x.is_part}


def _soap(lines: Sequence[Counted]) -> float:
    """Fatty acid that turns to soap, where no required HLB says it. [% of formula]"""
    soap = soap_of([x for x in lines if x.line.portion is None], [])
    return 0.0 if soap is None else math.fsum(soap.masses.values())


def _required(
    formula: Formula, lines: Sequence[Counted], kind: ProductType, library: Library, problems: list[Problem]
) -> tuple[RequiredHlb | None, str]:
    """What the oil phase of the base requires, from the lines that can be used."""
    numbers = formula.counted_lines
    usable = [x for x in lines if x.line.portion is None and x.number in numbers]
    if not any(x.side == "oil" and x.active > 0 for x in usable):
        return None, "There is no oil phase yet: enter an amount for an oil, butter or wax."
    whole = math.fsum(x.active for x in usable if x.side in ("oil", "emulsifier"))
    if whole > 100 * (1 + 1e-9):
        text = f"The lines add to {whole:.6g} % of the formula, more than 100 %. Mend the amounts, or "
        problems.append(Problem(None, text + "say that plain numbers are grams.", "oil phase"))
    try:
        return (
            phase_of(
                usable,
                emulsion=kind.phase_emulsion,
                count_fragrance=formula.aims.fragrance_counts,
                window=window_of(formula, kind),
                library=library,
            ),
            "",
        )
    except EmptyPhase as error:
        return None, str(error)
    except HlbError as error:
        if kind.emulsion == "w/o" and isinstance(error, MissingValue):
            return None, kind.reason  # judged without a sum: nothing is wrong with the formula
        problems.append(Problem(None, str(error), "oil phase"))
        return None, str(error)


def _weighed(
    formula: Formula, system: Sequence[Counted], required: RequiredHlb | None, problems: list[Problem]
) -> WeighedBlend | None:
    """The emulsifiers in grams that the scale can show."""
    batch, scale = formula.aims.batch.value, formula.aims.scales.value
    held = [x for x in system if x.pct > 0]
    if batch is None or scale is None or not any(x.active > 0 for x in held):
        return None
    try:
        return weigh_system(held, batch, scale, target=None if required is None else required.estimate)
    except HlbError as error:
        problems.append(Problem(None, str(error), "scales"))
        return None


@dataclass(frozen=True, slots=True)
class _Solution:
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


def _solution(
    formula: Formula,
    system: Sequence[Counted],
    required: RequiredHlb | None,
    kind: ProductType,
    library: Library,
    problems: list[Problem],
    at_hand: Sequence[str],
) -> _Solution:
    goal = goal_of(formula, system)
    dose = dose_of(formula, required, kind)
    if goal != AS_TYPED and (ready := _ready(formula, system, required, kind, library)) is not None:
        return _Solution(choice=ready.reason, dose=(ready.pct, ready.pct), ready=ready)
    if goal == AS_TYPED or kind.role == "none":
        return _Solution(dose=dose or (0.0, 100.0))
    for x in system:
        if x.estimate is None and x.ingredient is not None and not x.is_part:
            text = f"'{clipped(x.name)}' takes no part in the blend: no HLB is known for it. "
            text += f"{without_figure(x.ingredient)} Give its HLB, or check your amounts instead."
            problems.append(Problem(x.number, text, "own"))
    if required is None or dose is None or formula.aims.window.problem:
        return _Solution(dose=dose or (0.0, 100.0))
    members, choice = tuple(x for x in system if x.estimate is not None), ""
    if not system:
        members, choice = chosen_by_tool(formula, required, kind, library, at_hand)
    if goal == "least change" and not any(x.line.amount for x in members):
        text = "Least change needs the amounts in use. Enter them beside the emulsifiers."
        problems.append(Problem(None, text, "goal"))
        return _Solution(choice=choice, dose=dose)
    if not members:
        return _Solution(choice=choice, dose=dose)
    try:
        blend = solved(members, required, kind, formula, goal=goal, dose=dose, library=library)
    except UnreachableTarget as error:
        return _Solution(members, None, error, choice, dose)
    except HlbError as error:
        problems.append(Problem(None, str(error), "goal"))
        return _Solution(choice=choice, dose=dose)
    return _Solution(members, blend, None, choice, dose)


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
    """The blend of counted emulsifiers: parts of bought blends stay as they are."""
    limits = limits_of(members)
    limits |= {x.label: (x.active, x.active) for x in members if x.is_part or x.active_pct == 0}
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


def _made(formula: Formula, system: Sequence[Counted], solution: _Solution) -> Formula:
    """The formula with the amounts that were solved for; the same object where none were."""
    if solution.ready is not None:
        made = formula.with_pct({solution.ready.line: solution.ready.pct})
        return replace(made, aims=replace(made.aims, goal=AS_TYPED))
    if solution.blend is None:
        return formula
    made = with_system(formula, solution.members, solution.blend.masses)
    return replace(made, aims=replace(made.aims, goal=AS_TYPED))


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


def _line_problems(lines: Sequence[Counted]) -> list[Problem]:
    """What counting found wrong with single lines, and amounts that are still missing."""
    found = []
    for x in lines:
        if x.problem:
            field = "own" if x.line.own and "counts as" not in x.problem else "counts"
            found.append(Problem(x.number, x.problem, field))
        if not x.line.amount and not x.is_emulsifier and x.name.strip():
            text = f"'{clipped(x.name)}': the amount is blank. Enter a number, or delete the line."
            found.append(Problem(x.number, text, "amount"))
    return found


def proposal_of(worked: Worked) -> Blend | None:
    """The nearest blend of the formula's own emulsifiers, or of those that the tool chooses."""
    required, kind, formula = worked.required, worked.product, worked.formula
    dose = dose_of(formula, required, kind)
    if required is None or dose is None or kind.role == "none" or required.soap > 0:
        return None
    if worked.verdict.rule == RATE:  # a ready emulsifier is never mended with another pair
        return None
    members: Sequence[Counted] = [x for x in worked.base_lines if x.is_emulsifier and x.estimate is not None]
    if not members and any(x.is_emulsifier for x in worked.base_lines):
        return None
    if not members:
        members, _ = chosen_by_tool(formula, required, kind, worked.library, worked.shelf)
    if not members:
        return None
    try:
        return solved(members, required, kind, formula, goal="closest", dose=dose, library=worked.library)
    except HlbError:
        return None


def with_proposal(worked: Worked) -> Formula | None:
    """The formula with the proposed amounts of its emulsifiers; None where nothing is proposed.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    Formula or None
        Emulsifiers that the tool chose stand behind the other lines.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> made = with_proposal(work_out(example_formula()))
    >>> [round(x.pct, 2) for x in made.lines if x.name == "polysorbate 60"]
    [1.56]
    """
    blend, required = worked.proposal, worked.required
    if blend is None or required is None:
        return None
    members: tuple[Counted, ...] = tuple(x for x in worked.base_lines if x.is_emulsifier and x.estimate)
    if not members:
        members, _ = chosen_by_tool(worked.formula, required, worked.product, worked.library, worked.shelf)
    held = dict(zip(blend.labels, blend.masses, strict=True))
    made = with_system(worked.formula, members, [held.get(x.label, 0.0) for x in members])
    return replace(made, aims=replace(made.aims, goal=""))


def amounts_by_name(worked: Worked) -> Mapping[str, float]:
    """The emulsifiers as bought, one entry an ingredient. [% of formula]"""
    held: dict[str, float] = {}
    for x in worked.emulsifiers:
        held[x.name] = held.get(x.name, 0.0) + x.pct
    return held
