"""Everything that follows from a formula.

`work_out` computes whatever can be computed and names beside each field what is wrong with it; one
bad field never stops the rest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from hlbcore.blending.solution import Solution, prices_of, solution_of, window_of, with_system
from hlbcore.blending.verdict import judge_system
from hlbcore.blending.weighing import WeighedBlend, weigh_system
from hlbcore.blending.worked import Worked, oil_of
from hlbcore.counting.counted import Counted, count
from hlbcore.counting.oil_phase import phase_of
from hlbcore.counting.required import RequiredHlb
from hlbcore.counting.soap import soap_of
from hlbcore.errors import EmptyPhase, HlbError, MissingValue, clipped
from hlbcore.formula.aims import AS_TYPED
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Problem
from hlbcore.formula.problems import problems_of
from hlbcore.library import Library, load_library
from hlbcore.product_types import ProductType, product_type


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
    solution = solution_of(formula, system, required, kind, library, problems, at_hand)
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


def _made(formula: Formula, system: Sequence[Counted], solution: Solution) -> Formula:
    """The formula with the amounts that were solved for; the same object where none were."""
    if solution.ready is not None:
        made = formula.with_pct({solution.ready.line: solution.ready.pct})
        return replace(made, aims=replace(made.aims, goal=AS_TYPED))
    if solution.blend is None:
        return formula
    made = with_system(formula, solution.members, solution.blend.masses)
    return replace(made, aims=replace(made.aims, goal=AS_TYPED))


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
