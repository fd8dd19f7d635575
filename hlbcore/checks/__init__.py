"""The checks of a whole formula: one file a check, one line in the list.

A check takes a `Worked`, calls a rule of another room, compares with a limit whose source is named,
and returns findings with the number, the limit, the rule and the mend. A missing input makes the
finding say what is missing; nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.checks.basis import basis
from hlbcore.checks.cautions import cautions
from hlbcore.checks.charge import charge
from hlbcore.checks.colour import colour
from hlbcore.checks.conditioner import conditioner
from hlbcore.checks.emulsifier import emulsifier
from hlbcore.checks.emulsion_type import emulsion_type
from hlbcore.checks.fragrance import fragrance
from hlbcore.checks.gum import gum
from hlbcore.checks.hard_share import hard_share
from hlbcore.checks.jar import jar
from hlbcore.checks.preservative import preservative
from hlbcore.checks.preserving import preserving
from hlbcore.checks.skin import skin
from hlbcore.checks.solubilised import solubilised
from hlbcore.errors import HlbError, clipped
from hlbcore.findings import Finding, merged, worst_first
from hlbcore.formula.aims import AS_TYPED
from hlbcore.formula.formula import Formula
from hlbcore.formula.problems import PHASES_FIELD, unknown_name
from hlbcore.library import Library

CHECKS: tuple[Callable[[Worked], list[Finding]], ...] = (
    emulsion_type,
    emulsifier,
    charge,
    basis,
    preserving,
    preservative,
    gum,
    colour,
    conditioner,
    solubilised,
    skin,
    fragrance,
    hard_share,
    jar,
    cautions,
)
"""Every check, in the order of their findings within a level."""

NOT_WHOLE, NOT_KNOWN, CANNOT_TELL = "The formula is not whole", "Not in the tables", "Cannot tell"
"""How titles on what is unfinished begin."""

ASKS_PH = "pH is missing"
"""Findings whose titles begin so are told as one: one measurement answers them all."""


def check(formula: Formula | Worked, *, library: Library | None = None) -> list[Finding]:
    """All findings on a formula, the worst first.

    Parameters
    ----------
    formula : Formula or Worked
        Whole or half-written; each portion is checked apart.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    list of Finding
        Problems of the formula itself first within their level; then the background, and last what
        always stands (`hlbcore.findings.first_screen` leaves both out). What holds for several
        portions stands once, with their names.

    Examples
    --------
    >>> from hlbcore import Formula, Line
    >>> f = Formula("x", "whipped butter", [Line("shea butter", 98.7, phase="oil")])
    >>> check(f)[0].title
    'The formula is not whole'
    """
    worked = work_out(formula, library)
    finished = products_of(worked)
    each = [merged(_grouped(f for one in CHECKS for f in _run(one, product))) for product in finished]
    told = list(_of_portions([p.made.name for p in finished], each))
    return list(worst_first([*_unfinished(worked, told), *told]))


def _unfinished(worked: Worked, told: list[Finding]) -> list[Finding]:
    """What keeps the formula from being whole; names that nobody knows, and phases, apart."""
    formula = worked.made
    problems = formula.problems(worked.library)
    named = sorted({p.line for p in problems if p.field == "name" and p.line is not None})
    unknown = [p for n in named for p in unknown_name(formula, n, worked.library)]
    found = []
    not_whole = [p.text for p in problems if p.field != PHASES_FIELD and p not in unknown]
    if not_whole:
        found.append(Finding("caution", NOT_WHOLE, " ".join(not_whole), rule="a formula adds to 100 %"))
    if unknown:
        names = dict.fromkeys(clipped(formula.lines[p.line].name) for p in unknown if p.line is not None)
        asked = any(f.title.startswith(CANNOT_TELL) for f in told)  # these ask for the same lines
        found.append(
            Finding(
                "note" if asked else "caution",
                f"{NOT_KNOWN}: {', '.join(names)}",
                " ".join(p.text for p in unknown),
                f"{len(names)} of {len(formula.lines)} lines",
                "a line without an ingredient counts where its line says",
                "Mend the spelling, or say at the line what it counts as.",
                aside=asked,
            )
        )
    found += [
        Finding("note", "Phases are missing", p.text, aside=True) for p in problems if p.field == PHASES_FIELD
    ]
    return found


def _grouped(findings: Iterable[Finding]) -> Iterator[Finding]:
    """What asks for one figure stands under one title."""
    for finding in findings:
        if finding.title.startswith(ASKS_PH):
            what = finding.title.removeprefix(ASKS_PH).strip(", ")
            said = f"{what[0].upper()}{what[1:]}: {finding.detail}" if what else finding.detail
            finding = replace(finding, title=ASKS_PH, detail=said)
        yield finding


def _of_portions(names: list[str], each: list[tuple[Finding, ...]]) -> Iterator[Finding]:
    """What holds for every portion once; what holds for some, once with their names."""
    held: dict[Finding, list[str]] = {}
    for name, findings in zip(names, each, strict=True):
        for finding in findings:
            held.setdefault(finding, []).append(name)
    for finding, where in held.items():
        if len(set(where)) == len(set(names)):
            yield finding
        else:
            yield replace(finding, title=f"{', '.join(dict.fromkeys(where))}: {finding.title}")


def products_of(worked: Worked) -> tuple[Worked, ...]:
    """Every product that leaves the bench: the portions with their base, or the formula itself."""
    if not worked.made.portion_list:
        return (worked,)
    typed = replace(worked.made, aims=replace(worked.made.aims, goal=AS_TYPED))
    pairs = zip(worked.made.lines, worked.made.pcts, strict=True)
    base = tuple(pct for line, pct in pairs if line.portion is None)
    return tuple(replace(work_out(part, worked.library), base_pcts=base) for part in typed.finished())


def _run(one: Callable[[Worked], list[Finding]], view: Worked) -> list[Finding]:
    """The findings of one check; amounts that no rule takes, such as 120 %, are said."""
    try:
        return one(view)
    except HlbError as error:
        name = one.__name__.replace("_", " ")
        return [
            Finding("caution", f"The check '{name}' cannot run", str(error), mend="Mend the amounts first.")
        ]
