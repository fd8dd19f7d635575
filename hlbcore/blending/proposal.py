"""The nearest blend, to set beside what is typed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from hlbcore.blending.judging import RATE
from hlbcore.blending.results import Blend
from hlbcore.blending.solution import chosen_by_tool, dose_of, solved, with_system
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.errors import HlbError
from hlbcore.formula.formula import Formula


def proposal_of(worked: Worked) -> Blend | None:
    """The nearest blend of the formula's own emulsifiers, or of those that the tool chooses."""
    return _proposal(worked)[0]


def no_proposal_words(worked: Worked) -> str:
    """Why nothing is proposed: what these emulsifiers reach, and what would open the way.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    str
        Blank where something is proposed.

    Examples
    --------
    >>> from hlbcore import Formula, Line, work_out
    >>> lows = [Line("mineral oil", 20), Line("sorbitan stearate", 2), Line("sorbitan oleate", 2)]
    >>> no_proposal_words(work_out(Formula(lines=lows))).partition(".")[0]
    'HLB 10 cannot be reached: these emulsifiers reach 4'
    """
    return _proposal(worked)[1]


def _proposal(worked: Worked) -> tuple[Blend | None, str]:
    """The proposal, or the sentence why there is none."""
    required, kind, formula = worked.required, worked.product, worked.formula
    dose = dose_of(formula, required, kind)
    if required is None or dose is None or kind.role == "none" or required.soap > 0:
        return None, "HLB does not judge it."
    if worked.verdict.rule == RATE:  # a ready emulsifier is never mended with another pair
        return None, "It is judged by its supplier's rate, not by a ratio of two."
    members: Sequence[Counted] = [x for x in worked.base_lines if x.is_emulsifier and x.estimate is not None]
    if not members and any(x.is_emulsifier for x in worked.base_lines):
        return None, "No HLB is known for these emulsifiers."
    if not members:
        members, _ = chosen_by_tool(formula, required, kind, worked.library, worked.shelf)
    if not members:
        return None, "No emulsifier with a known HLB reaches what is asked."
    try:
        blend = solved(members, required, kind, formula, goal="closest", dose=dose, library=worked.library)
    except HlbError as error:
        return None, str(error)
    return blend, ""


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
    >>> from hlbcore import example_formula, work_out
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
