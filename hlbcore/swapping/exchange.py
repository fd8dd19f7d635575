"""Lines of a formula taken out and put in, before any rebalancing."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from hlbcore._numbers import checked, checked_text
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted, counted
from hlbcore.errors import InvalidInput, UnknownIngredient, clipped
from hlbcore.estimate import Estimate, as_estimate
from hlbcore.findings import Finding
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Line
from hlbcore.ingredients import fold
from hlbcore.library import Library

NEAR = 1e-9  # % of formula; an amount that differs by less is all that is there

Out = str | Sequence[str] | Mapping[str, float | str | None]
Into = str | Sequence[str] | Mapping[str, float | str] | None


@dataclass(frozen=True, slots=True)
class Exchange:
    """One ingredient that goes out, and what comes in for it.

    Parameters
    ----------
    out : str
        A line of the formula, by any of its names.
    into : tuple of (str, float)
        What comes in, with its parts of the mass that goes out, for example 3 and 1; with
        `keep_mass` off its amount. Empty: nothing comes in. [parts, or % of formula]
    pct : float, optional
        How much goes out; all of it if left out. [% of formula]
    keep_mass : bool
        Whether as much comes in as goes out; if not, the rest goes to water.

    Examples
    --------
    >>> Exchange("cocoa butter", (("mango butter", 1),)).keep_mass
    True
    """

    out: str
    into: tuple[tuple[str, float], ...] = ()
    pct: float | None = None
    keep_mass: bool = True

    def __post_init__(self) -> None:
        checked_text(self.out, "what goes out")
        if not fold(self.out):
            raise InvalidInput("what goes out", "the name is blank", "Name a line of the formula.")
        item = f"'{clipped(self.out)}', amount that goes out"
        if self.pct is not None:
            object.__setattr__(self, "pct", checked(self.pct, item, above=0, high=100, unit="%"))
        read = []
        for pair in self.into:
            if not isinstance(pair, tuple | list) or len(pair) != 2:
                raise InvalidInput(
                    f"what comes in for '{clipped(self.out)}'",
                    "two entries are wanted",
                    "Give pairs of name and parts.",
                )
            name, amount = pair
            checked_text(name, "what comes in")
            if not fold(name):
                raise InvalidInput("what comes in", "a name is blank", "Name it, or delete it.")
            item = f"'{clipped(name)}', what comes in"
            read.append((name.strip(), checked(amount, item, low=0, high=1e6)))
        if read and math.fsum(a for _, a in read) <= 0:
            raise InvalidInput(
                f"what comes in for '{clipped(self.out)}'",
                "all amounts are 0",
                "Give parts above 0, or leave it out to remove the line.",
            )
        object.__setattr__(self, "into", tuple(read))


def exchanges(out: Out, into: Into, *, keep_mass: bool) -> tuple[Exchange, ...]:
    """The exchanges that `swap` was asked for, from names, lists or mappings."""
    for given, item in ((out, "what goes out"), (into, "what comes in")):
        if not (given is None or isinstance(given, str | Mapping | Sequence)):
            raise InvalidInput(item, f"'{clipped(given)}' is no name", "Give names.")
    if isinstance(out, str):
        outs: list[tuple[str, float | str | None]] = [(out, None)]
    else:
        outs = list(out.items()) if isinstance(out, Mapping) else [(n, None) for n in out]
    if into is None:
        held: tuple[tuple[str, float], ...] = ()
    elif isinstance(into, str):
        held = ((into, 1.0),)
        if not keep_mass:
            raise InvalidInput(
                f"'{clipped(into)}'",
                "how much comes in is not said",
                "Give {name: % of formula}, or keep the mass.",
            )
    elif isinstance(into, Mapping):
        held = tuple(
            (n, checked(v, f"'{clipped(n)}', what comes in", low=0, high=1e6)) for n, v in into.items()
        )
    else:
        held = tuple((n, 1.0) for n in into)
    if not keep_mass and held and len(outs) > 1:
        raise InvalidInput(
            "what comes in",
            "amounts are given for several lines that go out at once",
            "Give each its own Exchange.",
        )
    if not outs:
        raise InvalidInput("what goes out", "nothing is named", "Name a line of the formula.")
    return tuple(
        Exchange(
            n,
            held,
            None if v is None else checked(v, f"'{clipped(n)}', amount that goes out", unit="%"),
            keep_mass,
        )
        for n, v in outs
    )


@dataclass(slots=True)
class Exchanged:
    """The formula with lines out and in, its total not yet settled."""

    formula: Formula
    findings: list[Finding] = field(default_factory=list)
    went: list[Counted] = field(default_factory=list)
    came: list[Counted] = field(default_factory=list)


def exchanged(
    worked: Worked, steps: Sequence[Exchange], values: Mapping[str, float | str | Estimate]
) -> Exchanged:
    """Take all out first, then put all in, so that the order of the steps does not matter."""
    formula, library = worked.made, worked.library
    was = {x.number: x for x in worked.bought}
    lines, left = list(formula.lines), list(formula.pcts)
    blends = {fold(c.name) for c in formula.blend_list}
    own = {library.key(n): as_estimate(v, f"value of '{clipped(n)}'") for n, v in values.items()}
    result = Exchanged(formula)
    places: list[tuple[int, str, float]] = []  # line it follows, name, amount
    for step in steps:
        at = [n for n, x in enumerate(lines) if _same(x, step.out, library) and formula.pcts[n] > 0]
        if not at:
            raise _not_there(formula, step.out, library)
        wanted = _going_out(step, math.fsum(left[n] for n in at))
        _refuse_itself(step, own, library)
        takes = _take(left, at, wanted)
        result.went += [replace(was[n], pct=take) for n, take in takes]
        first = takes[0][0]
        parts = math.fsum(a for _, a in step.into)
        for name, amount in step.into:
            if amount > 0:
                mass = wanted * amount / parts if step.keep_mass else amount
                places.append((first, name, mass))
    behind: dict[int, list[tuple[Line, float]]] = {}
    for first, name, mass in places:
        key = library.key(name)
        same = next((n for n, x in enumerate(lines) if left[n] > 0 and _same(x, name, library)), -1)
        if same >= 0:
            if key in own:
                raise InvalidInput(
                    f"'{clipped(name)}'",
                    "some of it stays in the formula, with another figure",
                    "Swap all of it, or give the new grade a name of its own.",
                )
            left[same] += mass
            result.came.append(replace(was[same], pct=mass))
            result.findings.append(_merged(name, left[same]))
            continue
        new = _incoming(name, was[first], own.get(key), blends, library)
        _put(behind, first, new, mass, library)
        result.came.append(counted(new, library, worked.product.phase_emulsion, pct=mass))
    after: list[Line] = []
    for n, x in enumerate(lines):
        if left[n] > 0 or formula.pcts[n] == 0 or x.portion is not None:
            same_amount = left[n] == formula.pcts[n]
            after.append(x if same_amount else x.with_amount(formula.amount_text(left[n])))
        after += [new.with_amount(formula.amount_text(mass)) for new, mass in behind.get(n, ())]
    result.formula = replace(formula, lines=tuple(after))
    result.findings += _crossed(result)
    return result


def _going_out(step: Exchange, there: float) -> float:
    """How much of what is there goes out. [% of formula]"""
    wanted = there if step.pct is None else step.pct
    if wanted > there + NEAR:
        held = f"only {there:.6g} % of it is left" if there > 0 else "nothing of it is left"
        raise InvalidInput(
            f"'{clipped(step.out)}'", f"{wanted:.6g} % is to go out, {held}", f"Take at most {there:.6g} %."
        )
    if wanted <= 0:
        raise InvalidInput(
            f"'{clipped(step.out)}'",
            "all of it goes out already in another step",
            "Keep one of the two steps.",
        )
    return wanted


def _refuse_itself(step: Exchange, own: Mapping[str, Estimate], library: Library) -> None:
    gone = library.key(step.out)
    for name, _ in step.into:
        if library.key(name) == gone and gone not in own:
            raise InvalidInput(
                f"'{clipped(name)}'",
                "it would be swapped for itself",
                "Name another ingredient; for another grade or lot give its own figure.",
            )


def _take(left: list[float], at: Sequence[int], wanted: float) -> list[tuple[int, float]]:
    """Take it from these lines, the first ones first; the lines with what each gave."""
    takes: list[tuple[int, float]] = []
    for n in at:
        take = min(left[n], wanted - math.fsum(t for _, t in takes))
        if take > 0:
            rest = left[n] - take
            left[n] = 0.0 if rest < NEAR else rest
            takes.append((n, take))
    return takes


def _put(
    behind: dict[int, list[tuple[Line, float]]], first: int, new: Line, mass: float, library: Library
) -> None:
    """Put a new line behind the one that it follows, or more into it where it came in before."""
    key = library.key(new.name)
    for held in behind.values():
        for k, (x, before) in enumerate(held):
            if library.key(x.name) == key:
                held[k] = (x, before + mass)
                return
    behind.setdefault(first, []).append((new, mass))


def _same(line: Line, name: str, library: Library) -> bool:
    return line.portion is None and library.key(line.name) == library.key(name)


def _not_there(formula: Formula, name: str, library: Library) -> InvalidInput:
    apart = [x for x in formula.lines if library.key(x.name) == library.key(name)]
    if any(x.portion is not None for x in apart):
        return InvalidInput(
            f"'{clipped(name)}'",
            "it stands in a portion, not in the base",
            "Change the portion itself; only the base is rebalanced.",
        )
    names = ", ".join(
        dict.fromkeys(
            clipped(x.name)
            for x, pct in zip(formula.lines, formula.pcts, strict=True)
            if x.portion is None and pct > 0
        )
    )
    return InvalidInput(
        f"'{clipped(name)}'",
        "it is not in the formula",
        f"Choose one of its lines: {names or 'there are none yet'}.",
    )


def _incoming(name: str, gone: Counted, own: Estimate | None, blends: set[str], library: Library) -> Line:
    """The line that comes in: on the side of what goes out, where it has a choice."""
    counts = "auto"
    try:
        if "_or_" in library.find(name).convention and gone.is_fat:
            counts = "emulsifier" if gone.is_emulsifier else "oil"
    except UnknownIngredient:
        if own is None and fold(name) not in blends:
            raise
        counts = "emulsifier" if gone.is_emulsifier else "auto"
    return Line(name, phase=gone.line.phase, counts=counts, own=own)


def _merged(name: str, pct: float) -> Finding:
    return Finding(
        "note",
        f"{name}: already in the formula",
        f"What comes in is added to the line that is there: {pct:.4g} % now.",
        f"{pct:.4g} % of the formula",
        "one ingredient, one line",
    )


def side_words(x: Counted) -> str:
    """The side that a line stands on, in words."""
    return "the emulsifiers" if x.is_emulsifier else "the oil phase" if x.is_fat else "neither side"


def _crossed(result: Exchanged) -> list[Finding]:
    went, came = ({side_words(x) for x in held} for held in (result.went, result.came))
    if not came or went == came:
        return []
    return [
        Finding(
            "caution",
            "The swap changes sides",
            f"What goes out stands in {' and '.join(sorted(went))}, what comes in in "
            f"{' and '.join(sorted(came))}: required HLB, dose and HLB of the blend all move.",
            rule="an emulsifier's HLB and a required HLB are two things",
            mend="Check that this is meant.",
        )
    ]
