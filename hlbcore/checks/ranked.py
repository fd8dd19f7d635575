"""Findings as a maker reads them: few and ranked, portions merged, standing safety lines apart."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from hlbcore.blending.worked import Worked
from hlbcore.checks import NOT_KNOWN, NOT_WHOLE, check
from hlbcore.checks.preserving import UNPRESERVED
from hlbcore.findings import Finding, first_screen, worst_first
from hlbcore.findings import merged as as_one

VERDICTS = ("Emulsifiers: ", "Dose is ", NOT_WHOLE, NOT_KNOWN)
"""How titles begin that only say again what verdict, dose and sum say."""


WHOLE_PCT = 99.9
"""Below this a formula without water is taken as half written. [% of formula] Our convention."""


@dataclass(frozen=True, slots=True)
class Ranked:
    """Findings in three parts.

    Parameters
    ----------
    first : tuple of Finding
        What decides on this formula: stops, cautions, then notes.
    more : tuple of Finding
        Background, shown on demand.
    always : tuple of Finding
        What stands for a whole product type or for every formula.
    """

    first: tuple[Finding, ...]
    more: tuple[Finding, ...]
    always: tuple[Finding, ...]


def ranked(worked: Worked, found: Iterable[Finding] | None = None) -> Ranked:
    """The findings on a formula as a maker reads them.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.
    found : iterable of Finding, optional
        As `check` gives them; checked here if left out.

    Returns
    -------
    Ranked
        What verdict, dose and sum say already is left out, so is a missing preservative while no water
        is typed yet; a finding of several portions stands
        once, with their names.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> [f.title for f in ranked(work_out(example_formula())).always]
    ['What HLB leaves out', '1,4-dioxane is not known', 'Hot fat burns', 'Who to ask']
    """
    held = merged(worked, check(worked) if found is None else found)
    said = (*VERDICTS, UNPRESERVED) if no_water_yet(worked) else VERDICTS
    own = [f for f in held if not f.always and not f.title.startswith(said)]
    return Ranked(first_screen(own), tuple(f for f in own if f.aside), tuple(f for f in held if f.always))


def no_water_yet(worked: Worked) -> bool:
    """Whether a formula is half written: the water that its preservative is for has no amount yet."""
    return worked.water_pct <= 0 and worked.made.total_pct < WHOLE_PCT


def merged(worked: Worked, found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings of some portions as one each; the names of the portions lead what they say.

    Parameters
    ----------
    worked : Worked
        The formula with its portions.
    found : iterable of Finding
        As `check` gives them.

    Returns
    -------
    tuple of Finding
        The worst first.
    """
    names = {f"{worked.made.name}, {p.name}": p.name for p in worked.made.portion_list}
    if not names:
        return worst_first(found)
    any_of = "|".join(re.escape(n) for n in sorted(names, key=len, reverse=True))
    lead = re.compile(rf"((?:{any_of})(?:, (?:{any_of}))*): ")
    told = []
    for f in found:
        if (held := lead.match(f.title)) is not None:
            where = ", ".join(names[n] for n in re.findall(any_of, held[1]))
            f = replace(f, title=f.title[held.end() :], detail=f"In {where}. {f.detail}".strip())
        told.append(f)
    return worst_first(as_one(told))
