"""Findings as a maker reads them: few and ranked, portions merged, standing safety lines apart."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from hlbcore.blending.worked import Worked
from hlbcore.checks import check
from hlbcore.findings import Finding, worst_first

ALWAYS = ("Hot fat burns", "Slippery tub and floor", "Who to ask", "Scrub grains: body only")
"""Titles of standing safety lines: they hold for the kind of product, whatever its amounts."""

VERDICTS = ("Emulsifiers: ", "Dose is ", "The formula is not whole")
"""How titles begin that only say again what verdict, dose and sum say."""


@dataclass(frozen=True, slots=True)
class Ranked:
    """Findings in three parts.

    Parameters
    ----------
    first : tuple of Finding
        Stops and cautions of this formula.
    more : tuple of Finding
        Notes.
    always : tuple of Finding
        Standing safety lines.
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
        What verdict, dose and sum say already is left out; a finding of several portions stands
        once, with their names.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> [f.title for f in ranked(work_out(example_formula())).always]
    ['Hot fat burns', 'Who to ask']
    """
    held = merged(worked, check(worked) if found is None else found)
    own = [f for f in held if f.title not in ALWAYS and not f.title.startswith(VERDICTS)]
    return Ranked(
        tuple(f for f in own if f.level != "note"),
        tuple(f for f in own if f.level == "note"),
        tuple(f for f in held if f.title in ALWAYS),
    )


def merged(worked: Worked, found: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings of several portions as one each; the first of them gives level and figure.

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
    names = [p.name for p in worked.made.portion_list]
    if not names:
        return worst_first(found)
    kept: dict[str, tuple[Finding, list[str]]] = {}
    for f in worst_first(found):
        of = next((n for n in names if f.title.startswith(f"{worked.made.name}, {n}: ")), "")
        title = f.title.removeprefix(f"{worked.made.name}, {of}: ") if of else f.title
        kept.setdefault(title, (replace(f, title=title), []))[1].append(of)
    merged_ones = []
    for title, (f, of_names) in kept.items():
        some = [n for n in dict.fromkeys(of_names) if n]
        if some and len(some) < len(names) and title not in ALWAYS:
            f = replace(f, detail=f"In {', '.join(some)}. {f.detail}".strip())
        merged_ones.append(f)
    return worst_first(merged_ones)
