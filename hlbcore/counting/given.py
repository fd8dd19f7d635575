"""An oil phase as Python gives it: names and amounts, or masses and figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from hlbcore._numbers import checked_word, read_amount, same_unit
from hlbcore.counting.counted import OWN, Counted, class_range, counted
from hlbcore.errors import InvalidInput, MissingValue, clipped
from hlbcore.estimate import Estimate, as_estimate
from hlbcore.formula.fields import CLASS_RANGE
from hlbcore.formula.lines import Line
from hlbcore.ingredients import fold
from hlbcore.library import Library

Phase = Mapping[str, float | str] | Sequence[tuple[float | str, float | str | Estimate]]
"""Names and masses, or (mass, required HLB) pairs, or (name, mass) pairs."""


def phase_lines(
    phase: Phase,
    values: Mapping[str, float | str | Estimate],
    sides: Mapping[str, str],
    emulsion: str,
    library: Library,
) -> tuple[list[Counted], str]:
    """The phase as counted lines, in any one unit; blank rows fall out."""
    pairs: list[tuple[float | str, float | str | Estimate]] = []
    for number, pair in enumerate(phase.items() if isinstance(phase, Mapping) else phase, 1):
        if len(pair) != 2:
            raise InvalidInput(
                f"oil phase, line {number}",
                "two entries are wanted",
                "Give a name and a mass, or a mass and a required HLB.",
            )
        pairs.append((pair[0], pair[1]))
    if pairs and not isinstance(phase, Mapping) and not any(_is_name(p[0]) for p in pairs):
        masses, unit = same_unit([(f"oil phase, line {n}", m) for n, (m, _) in enumerate(pairs, 1)])
        return [
            Counted(
                Line(f"line {n}"),
                None,
                "oil",
                m,
                100.0,
                as_estimate(v, f"oil phase, line {n}, required HLB"),
                OWN,
                name=f"line {n}",
                number=n - 1,
            )
            for n, (m, (_, v)) in enumerate(zip(masses, pairs, strict=True), 1)
        ], unit
    kept = _named(pairs)
    masses, unit = same_unit([(f"oil phase, '{clipped(n)}'", a) for n, a in kept])
    own = own_values(values, library, emulsion)
    chosen = _chosen(sides, library)
    found = []
    for number, ((name, _), mass) in enumerate(zip(kept, masses, strict=True)):
        key = library.key(name)
        if key not in library.ingredients and key not in own:
            library.find(name)  # says which names are like it
        line = Line(name, counts=chosen.get(key, "auto"))
        found.append(counted(line, library, emulsion, pct=mass, number=number, own=own.get(key)))
    return found, unit


def _named(pairs: Sequence[tuple[float | str, float | str | Estimate]]) -> list[tuple[str, float | str]]:
    kept: list[tuple[str, float | str]] = []
    for number, (name, amount) in enumerate(pairs, 1):
        blank_name = name is None or not str(name).strip()
        blank_amount = amount is None or (isinstance(amount, str) and not amount.strip())
        if blank_name and blank_amount:
            continue
        if blank_name:
            raise InvalidInput(
                f"oil phase, line {number}",
                f"there is an amount, {clipped(amount)}, but no name",
                "Name the ingredient, or delete the line.",
            )
        if isinstance(amount, Estimate):
            raise InvalidInput(
                f"oil phase, '{clipped(name)}'",
                "an Estimate stands where the mass belongs",
                "Give the mass here and the Estimate in values={name: Estimate}.",
            )
        kept.append((str(name).strip(), amount))
    return kept


def _chosen(sides: Mapping[str, str], library: Library) -> dict[str, str]:
    """The side of two-sided ingredients, by id."""
    chosen: dict[str, str] = {}
    for name, side in sides.items():
        two = library.find(name)
        if "_or_" not in two.convention:
            raise InvalidInput(
                f"side of '{clipped(name)}'",
                "it stands on one side only",
                "Leave its side out; only fatty alcohols, stearic acid and glyceryl stearate have a choice.",
            )
        chosen[two.id] = checked_word(side, ("oil", "emulsifier"), f"side of '{clipped(name)}'")
    return chosen


def _is_name(first: object) -> bool:
    if not isinstance(first, str) or not fold(first):
        return False
    try:
        read_amount(first, "")
    except InvalidInput:
        return True
    return False


def own_values(
    values: Mapping[str, float | str | Estimate], library: Library, emulsion: str
) -> dict[str, tuple[Estimate, str]]:
    """Values given by the user, by id or folded name; a kind's name means its class range."""
    kinds = {i.kind for i in library}
    read: dict[str, tuple[Estimate, str]] = {}
    for name, value in values.items():
        word = value.strip().casefold() if isinstance(value, str) else ""
        if word in kinds or word == CLASS_RANGE:
            kind = word if word in kinds else library.find(name).kind
            entry = class_range(kind, emulsion, library)
            if entry is None:
                raise MissingValue([kind], f"{emulsion} class range", "Give a value or a range of your own.")
        else:
            entry = (as_estimate(value, f"value of '{clipped(name)}'"), OWN)
        read[library.key(name)] = entry
    return read
