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
from hlbcore.counting.counted import OWN, UNKNOWN, Counted, required_of
from hlbcore.counting.given import Phase, phase_lines
from hlbcore.counting.required import BOUNDS, Excluded, OtherChoice, Part, RequiredHlb
from hlbcore.counting.soap import Neutralised, soap_of
from hlbcore.errors import EmptyPhase, MissingValue, clipped
from hlbcore.estimate import Estimate, Mixture, bounded
from hlbcore.findings import Finding, worst_first
from hlbcore.ingredients import EMULSIONS, Ingredient, fold
from hlbcore.library import Library, load_library
from hlbcore.product_types import PRACTICE

NEGLIGIBLE_FRAGRANCE_PCT = 0.5
"""Fragrance up to this share of the formula hardly moves the figure. [% of formula]
common practice, no source."""

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
    7.0
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
        found=_strays(lines, values or {}, sides or {}, library),
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
    doubts = _part_findings(held.parts, held.no_figure, window, library)
    doubts += _choice_findings(estimate, others, held.fragrant, whole, window)
    said += [*doubts, *held.found, *_line_findings(merged, also)]
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
        if i is not None and (reason := _left_out(i)):
            held.excluded.append(Excluded(x.name, mass, reason))
            if x.basis == OWN and not (hlb_values and x.is_emulsifier):
                held.found.append(_unused_value(x.name, i))
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
                held.two_sided.append((x, _as_oil(x, i, mass, emulsion, library)))
            held.excluded.append(Excluded(x.name, mass, _why_out(x)))
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


def _as_oil(x: Counted, ingredient: Ingredient, mass: float, emulsion: str, library: Library) -> Part | None:
    """What an emulsifier that stands on both sides would be in the oil phase."""
    estimate, basis = required_of(ingredient, emulsion, library)
    return None if estimate is None else Part(x.name, mass, estimate, basis, ingredient.kind)


def _why_out(x: Counted) -> str:
    if x.side == "emulsifier":
        return "counted as emulsifier by choice" if x.chosen else "counted as emulsifier"
    return "left out by choice" if x.chosen else f"{x.kind or 'unknown'}: not part of the oil phase"


def _strays(
    lines: Sequence[Counted], values: Mapping[str, object], sides: Mapping[str, object], library: Library
) -> list[Finding]:
    """A value or a side for something that is not in the phase may be a slip."""
    here = {x.key for x in lines}
    return [
        Finding(
            "caution",
            f"The {what} given for {clipped(name)} is not used",
            "It is not in the oil phase.",
            mend="Add it to the phase, mend the spelling, or delete it.",
        )
        for what, given in (("value", values), ("side", sides))
        for name in given
        if library.key(name) not in here
    ]


def _total(parts: Sequence[Part]) -> Estimate | None:
    if not any(p.mass > 0 for p in parts):
        return None
    return Mixture.by_mass([p.mass for p in parts], [p.estimate for p in parts]).total


def _left_out(ingredient: Ingredient) -> str:
    """Why an ingredient never counts in the oil phase; blank where it does or may."""
    return {
        "emulsifier": "emulsifiers do not count in the oil phase",
        "all_in_one": "an all-in-one emulsifying wax does not count in the oil phase",
        "base": "a base is no oil",
        "outside": f"{ingredient.kind}: not part of the oil phase",
    }.get(ingredient.convention, "")


def _unused_value(name: str, ingredient: Ingredient) -> Finding:
    return Finding(
        "caution",
        f"The value given for {name} is not used",
        f"{name} is of kind {ingredient.kind} and does not count in the oil phase; an emulsifier's "
        "own HLB is no required HLB.",
        rule="emulsifiers are left out of the required HLB (griffin_1949_recalled)",
        mend="Delete the value, or enter the oil under a name of its own.",
    )


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


def _part_findings(
    parts: Sequence[Part], no_figure: Sequence[str], window: float, library: Library
) -> list[Finding]:
    """How firm each figure is: a caution where its doubt alone moves the sum by more than the window."""
    found = []
    fractions = Mixture.by_mass([p.mass for p in parts], [p.estimate for p in parts]).fractions
    for part, share in zip(parts, fractions, strict=True):

        def moves(low: float, high: float, part: Part = part, share: float = share) -> bool:
            off = max(high - part.estimate.value, part.estimate.value - low)
            return share * off > window

        if part.basis == BOUNDS and part.mass > 0:
            found.append(
                Finding(
                    "note",
                    f"{part.name} has no figure",
                    f"It counts as HLB {part.estimate.low:g} to {part.estimate.high:g}, the widest that "
                    "oils ask for: the range grows, the value rests on the others.",
                    figure=f"{part.mass:g} of the phase",
                    rule="what has neither figure nor class is bounded; our convention",
                    mend="Say what it is, give a value or a range, or find it with a bench ladder.",
                    aside=True,
                )
            )
        if part.name in no_figure:
            found.append(
                Finding(
                    "caution" if (wide := moves(part.estimate.low, part.estimate.high)) else "note",
                    f"No required HLB is known for {part.name}",
                    f"It counts with the {part.basis}: {part.estimate!r}.",
                    figure=f"{part.mass:g} of the phase",
                    rule="the spread of its kind in the tables; our convention",
                    mend="Give a value or a range of your own, or find it with a bench ladder.",
                    aside=not wide,
                )
            )
        if part.estimate.alternatives:
            low, high = part.estimate.alternatives
            found.append(
                Finding(
                    "caution" if moves(low, high) else "note",
                    f"Sources disagree on {part.name}",
                    f"Readings run from {low:g} to {high:g}; {part.estimate.value:g} is used, and "
                    "the result with the others stands beside it.",
                    figure=f"{high - low:g} HLB apart",
                    rule="no silent median where readings lie more than 3 apart; our convention",
                    mend="Choose a reading, ask your supplier, or run a bench ladder.",
                    aside=not moves(low, high),
                )
            )
        if part.basis == "table" and (note := library.find(part.name).note):
            found.append(Finding("note", f"About {part.name}", note, aside=True))
    return found


def _choice_findings(
    estimate: Estimate,
    others: Sequence[OtherChoice],
    fragrant: Sequence[Part],
    whole: float | None,
    window: float,
) -> list[Finding]:
    found = []
    for other in others:
        if other.choice.startswith("counted") and other.name != "fragrance" and other.estimate:
            apart = abs(other.estimate.value - estimate.value)
            found.append(
                Finding(
                    "caution" if apart > window else "note",
                    f"{other.name} stands on both sides",
                    f"The required HLB is {estimate.value:.1f}; {other.choice} it would be "
                    f"{other.estimate.value:.1f}"
                    + (", more than the window apart." if apart > window else "."),
                    figure=f"{apart:.2f} HLB apart, window ±{window:g}",
                    rule=PRACTICE,
                    mend="Keep to one way of counting in all your formulas."
                    + (
                        " List it among the emulsifiers too: only there does it take part in the "
                        "blend and the dose."
                        if other.choice == "counted in the oil phase"
                        else ""
                    ),
                    aside=apart <= window,
                )
            )
    if fragrant and whole:
        pct = 100 * math.fsum(p.mass for p in fragrant) / whole
        if pct < NEGLIGIBLE_FRAGRANCE_PCT:
            found.append(
                Finding(
                    "note",
                    "Fragrance is negligible here",
                    f"{pct:.2g} % of the formula hardly moves the required HLB.",
                    figure=f"below {NEGLIGIBLE_FRAGRANCE_PCT:g} % of the formula",
                    rule=PRACTICE,
                    aside=True,
                )
            )
    return found


def _line_findings(lines: Sequence[Counted], also: Mapping[str, Sequence[str]]) -> list[Finding]:
    found = [
        Finding(
            "note",
            f"{name} stands more than once",
            f"{', '.join(names)} is the same ingredient; the amounts are added.",
            aside=True,
        )
        for name, names in also.items()
    ]
    found += [
        Finding(
            "note",
            f"{x.name} is taken as it is",
            "All-in-one emulsifying waxes have no HLB verdict: go by the supplier's rate "
            "and oil limit, or enter its declared parts as lines of their own.",
            rule=PRACTICE,
            aside=True,
        )
        for x in lines
        if x.is_whole_wax
    ]
    return found
