"""Who counts in the oil phase, and the HLB that the phase requires.

The rules of the trade that stand here: emulsifiers, water-side ingredients and powders do not
count; fatty alcohols, stearic acid and glyceryl stearate stand on both sides; neutralised fatty
acid leaves the phase as soap; fragrance counts; nothing without a figure is dropped in silence.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from hlbcore._numbers import checked, checked_word
from hlbcore.counting.counted import OWN, TABLE, UNKNOWN, Counted, required_of
from hlbcore.counting.given import Phase, phase_lines
from hlbcore.counting.required import BOUNDS, Excluded, OtherChoice, Part, RequiredHlb
from hlbcore.counting.soap import Neutralised, soap_of
from hlbcore.counting.words import (
    choice_findings,
    left_out,
    line_findings,
    part_findings,
    strays,
    unused_value,
    why_out,
)
from hlbcore.errors import EmptyPhase, MissingValue, clipped
from hlbcore.estimate import Estimate, Mixture, bounded
from hlbcore.findings import Finding, worst_first
from hlbcore.ingredients import EMULSIONS, Ingredient, fold
from hlbcore.library import Library, load_library

FRAGRANCE_KINDS = ("fragrance", "essential oil")


def required_hlb(
    phase: Phase,
    *,
    emulsion: str = "o/w",
    values: Mapping[str, float | str | Estimate] | None = None,
    sides: Mapping[str, str] | None = None,
    count_fragrance: bool = True,
    unknown: str = "class range",
    window: float = 1.0,
    whole: float | None = None,
    library: Library | None = None,
) -> RequiredHlb:
    """The HLB that an oil phase requires.

    Parameters
    ----------
    phase : mapping or sequence of pairs
        Names and masses ``{"shea butter": 10}``, or pairs ``(mass, required HLB)``, where the
        second may be an Estimate. Masses are numbers in any one unit, or text such as ``"12,5 %"``
        or ``"1 oz"``. Whole formulas may be given: what does not count is left out and listed.
    emulsion : str
        ``"o/w"`` or ``"w/o"``. It cannot be read off the share of oil, so it is asked for.
    values : mapping of str to float, str or Estimate, optional
        Figures of the user's own [HLB], or the name of a kind for its class range. A number is
        taken as exact, an Estimate as it is.
    sides : mapping of str to str, optional
        ``"oil"`` or ``"emulsifier"`` for a two-sided ingredient. Default: fatty alcohols and
        stearic acid in the oil phase, glyceryl stearate as emulsifier.
    count_fragrance : bool
        Whether fragrance and essential oils count, also those of the cool-down.
    unknown : str
        ``"class range"``: an ingredient without a figure takes the range of its kind and is listed;
        ``"ask"``: `MissingValue` is raised.
    window : float
        Half width of the window, for the remark on two-sided ingredients. [HLB]
    whole : float, optional
        Mass of the whole formula, for the remark on fragrance; 100 where amounts are in per cent.
        [unit of the masses]
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    RequiredHlb
        Value, range, contributions, what was left out, cautions.

    Raises
    ------
    UnknownIngredient
        For a name that nobody knows and that has no value of its own.
    MissingValue
        Where an ingredient has no figure for the emulsion type and its kind has no range.
    EmptyPhase
        If nothing counts.
    InvalidInput
        For a number or word that cannot be used.

    Notes
    -----
    ``R = sum(w_i R_i) / sum(w_i)`` over the oil-phase ingredients alone [1]_. A w/o value that is
    missing is never filled from o/w.

    References
    ----------
    .. [1] griffin_1949_recalled

    Examples
    --------
    >>> required_hlb([(35.0, 12.0), (1.0, 10.0), (1.0, 15.0)], emulsion="o/w").value
    12.027
    >>> required_hlb({"soybean oil": 10, "cocoa butter": 7.5, "mango butter": 7.5}).value
    6.6
    """
    library = library or load_library()
    emulsion = checked_word(emulsion, EMULSIONS, "emulsion")
    unknown = checked_word(unknown, ("class range", "ask"), "unknown")
    window = checked(window, "window", low=0)
    lines, unit = phase_lines(phase, values or {}, sides or {}, emulsion, library)
    if whole is not None:
        whole = checked(whole, "whole formula", above=0)
    elif unit == "%":
        whole = 100.0
    return phase_of(
        lines,
        emulsion=emulsion,
        count_fragrance=count_fragrance,
        ask=unknown == "ask",
        window=window,
        whole=whole,
        unit=unit,
        found=strays(lines, values or {}, sides or {}, library),
        hlb_values=False,
        library=library,
    )


def phase_of(
    lines: Sequence[Counted],
    *,
    emulsion: str,
    count_fragrance: bool = True,
    ask: bool = False,
    window: float = 1.0,
    whole: float | None = 100.0,
    unit: str = "",
    found: Sequence[Finding] = (),
    hlb_values: bool = True,
    library: Library,
) -> RequiredHlb:
    """The HLB that counted lines require; what does not count is left out and listed.

    Parameters
    ----------
    lines : sequence of Counted
        With active amounts in any one unit; blank lines and unknown ones without a figure fall out.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    count_fragrance : bool
        Whether fragrance and essential oils count.
    ask : bool
        Whether an ingredient without a figure is refused, not given the range of its kind.
    window : float
        Half width of the window, for the remark on two-sided ingredients. [HLB]
    whole : float, optional
        Mass of the whole formula. [unit of the masses]
    unit : str
        ``"%"``, ``"g"``, or blank.
    found : sequence of Finding
        What was found before.
    hlb_values : bool
        Whether an own figure of an emulsifier is its HLB, and not a slip.
    library : Library
        The tables.

    Returns
    -------
    RequiredHlb
        Value, range, contributions, what was left out, cautions.

    Raises
    ------
    MissingValue
        Where an ingredient has no figure for the emulsion type and its kind has no range.
    EmptyPhase
        If nothing counts.
    """
    said = list(found)
    soap = soap_of(lines, said)
    merged, also = _merged(lines)
    held = _sorted_lines(merged, soap, library, emulsion, count_fragrance, ask, hlb_values)
    if held.missing and (ask or emulsion == "w/o" or not any(p.mass > 0 for p in held.parts)):
        mend = "Give a value or a range of your own"
        mend += ", or take the range of its kind." if ask else "; the o/w value is never used for w/o."
        raise MissingValue([p.name for p in held.missing], f"{emulsion} required HLB", mend)
    held.parts += _bounded(held)
    if not any(p.mass > 0 for p in held.parts):
        raise EmptyPhase(
            "The oil phase",
            "Enter an amount for at least one oil, butter, wax or fatty alcohol"
            + (f"; left out: {', '.join(e.name for e in held.excluded)}." if held.excluded else "."),
        )
    estimate = _total(held.parts)
    assert estimate is not None
    others = _other_choices(held, count_fragrance)
    doubts = part_findings(held.parts, held.no_figure, window, library)
    doubts += choice_findings(estimate, others, held.fragrant, whole, window, alone=not hlb_values)
    said += [*doubts, *held.found, *line_findings(merged, also)]
    return RequiredHlb(
        estimate,
        emulsion,
        tuple(held.parts),
        tuple(held.excluded),
        (*held.no_figure, *(m.name for m in held.missing)),
        tuple(others),
        worst_first(said),
        math.fsum(soap.masses.values()) if soap else 0.0,
        unit,
        tuple(doubts),
    )


def _merged(lines: Sequence[Counted]) -> tuple[list[Counted], dict[str, list[str]]]:
    """One line for what counts alike; other names for the same thing by the name that came first."""
    held: dict[object, Counted] = {}
    also: dict[str, list[str]] = {}
    for x in lines:
        if x.side == UNKNOWN and x.line.phase != "oil":
            continue
        key = (x.key, x.side, x.estimate) if x.ingredient else (fold(x.name), x.side, x.estimate)
        first = held.get(key)
        if first is None:
            held[key] = replace(x, pct=x.active, active_pct=100.0)
            continue
        both = checked(first.pct + x.active, f"oil phase, '{clipped(x.name)}' twice")
        held[key] = replace(first, pct=both)
        also.setdefault(first.name, []).append(x.name)
    return list(held.values()), also


@dataclass(frozen=True, slots=True)
class Missing:
    """An oil without a figure and without a class: its name, what counts of it, its kind."""

    name: str
    mass: float
    kind: str


def _bounded(held: _Sorted) -> list[Part]:
    """Oils without a figure, bounded: they widen the range and leave the value where the others put it."""
    known = _total(held.parts)
    if not held.missing or known is None:
        return []
    bounds = bounded()
    value = min(max(known.value, bounds.low), bounds.high)
    estimate = replace(bounds, value=value, weak=False)
    return [Part(m.name, m.mass, estimate, BOUNDS, m.kind) for m in held.missing]


@dataclass(slots=True)
class _Sorted:
    """The lines of a phase, each where it counts."""

    parts: list[Part] = field(default_factory=list)
    excluded: list[Excluded] = field(default_factory=list)
    two_sided: list[tuple[Counted, Part | None]] = field(default_factory=list)
    fragrant: list[Part] = field(default_factory=list)
    no_figure: list[str] = field(default_factory=list)
    missing: list[Missing] = field(default_factory=list)
    found: list[Finding] = field(default_factory=list)


def _sorted_lines(
    lines: Sequence[Counted],
    soap: Neutralised | None,
    library: Library,
    emulsion: str,
    count_fragrance: bool,
    ask: bool,
    hlb_values: bool,
) -> _Sorted:
    held = _Sorted()
    gone = dict(soap.masses) if soap else {}
    for x in lines:
        i, mass = x.ingredient, x.pct
        if i is not None and (reason := left_out(i)):
            held.excluded.append(Excluded(x.name, mass, reason))
            if x.basis == OWN and not hlb_values:
                held.found.append(unused_value(x.name, i))
            continue
        if i is not None and gone.get(i.id, 0.0) > 0:
            left = min(gone[i.id], mass)
            gone[i.id] -= left
            held.excluded.append(Excluded(x.name, left, "neutralised to soap"))
            mass -= left
            if mass == 0.0:
                continue
        two_sided = i is not None and "_or_" in i.convention
        if x.side not in ("oil", UNKNOWN):
            if two_sided and i is not None and x.side == "emulsifier":
                held.two_sided.append((x, _as_oil(x, i, mass, emulsion, library, hlb_values)))
            held.excluded.append(Excluded(x.name, mass, why_out(x)))
            continue
        kind = i.kind if i else ""
        fragrance_out = kind in FRAGRANCE_KINDS and not count_fragrance
        by_class = x.basis.startswith("class range") and x.estimate is not None
        if i is not None and not x.line.own and not fragrance_out and (x.estimate is None or by_class):
            if x.estimate is None or ask:
                held.missing.append(Missing(x.name, mass, kind))
                continue
            held.no_figure.append(x.name)
        part = None if x.estimate is None else Part(x.name, mass, x.estimate, x.basis, kind)
        if fragrance_out:
            held.excluded.append(Excluded(x.name, mass, "fragrance left out by choice"))
            if part is not None:
                held.fragrant.append(part)
            continue
        if part is None:
            held.missing.append(Missing(x.name, mass, kind))
            continue
        if two_sided:
            held.two_sided.append((x, part))
        held.parts.append(part)
        if kind in FRAGRANCE_KINDS:
            held.fragrant.append(part)
    return held


def _as_oil(
    x: Counted, ingredient: Ingredient, mass: float, emulsion: str, library: Library, hlb_values: bool
) -> Part | None:
    """What an emulsifier that stands on both sides would be in the oil phase."""
    if not hlb_values and x.basis not in ("", TABLE):
        estimate, basis = x.estimate, x.basis  # a value that was given is a required HLB here
    else:
        estimate, basis = required_of(ingredient, emulsion, library)
    return None if estimate is None else Part(x.name, mass, estimate, basis, ingredient.kind)


def _total(parts: Sequence[Part]) -> Estimate | None:
    if not any(p.mass > 0 for p in parts):
        return None
    return Mixture.by_mass([p.mass for p in parts], [p.estimate for p in parts]).total


def _other_choices(held: _Sorted, count_fragrance: bool) -> list[OtherChoice]:
    parts, fragrant = held.parts, held.fragrant
    others = []
    for part in parts:
        for reading in part.estimate.alternatives:
            if reading == part.estimate.value:
                continue
            swapped = [replace(p, estimate=p.estimate.choose(reading)) if p is part else p for p in parts]
            others.append(OtherChoice(part.name, f"with its reading {reading:g}", _total(swapped)))
    for line, mine in held.two_sided:
        counted = any(p.name == line.name for p in parts)
        if counted:
            rest = [p for p in parts if p.name != line.name]
            others.append(OtherChoice(line.name, "counted as emulsifier", _total(rest)))
        elif mine is not None:
            others.append(OtherChoice(line.name, "counted in the oil phase", _total([*parts, mine])))
    if fragrant:
        if count_fragrance:
            rest = [p for p in parts if p not in fragrant]
            others.append(OtherChoice("fragrance", "left out", _total(rest)))
        else:
            others.append(OtherChoice("fragrance", "counted", _total([*parts, *fragrant])))
    return others
