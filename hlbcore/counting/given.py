"""Lines of an oil phase as people give them: names and amounts, or masses and figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from hlbcore._numbers import checked, read_amount, same_unit
from hlbcore.errors import InvalidInput, UnknownIngredient, clipped
from hlbcore.estimate import Estimate, as_estimate
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library


@dataclass(frozen=True, slots=True)
class Line:
    """One line as given, with the ingredient it names (None: a number or own value alone)."""

    name: str
    mass: float
    ingredient: Ingredient | None
    given: Estimate | None
    also: tuple[str, ...] = ()  # other names in the phase that mean the same ingredient


Phase = Mapping[str, float | str] | Sequence[tuple[float | str, float | str | Estimate]]
"""Names and masses, or (mass, required HLB) pairs, or (name, mass) pairs."""


def phase_lines(phase: Phase, values: Mapping[str, object], library: Library) -> tuple[list[Line], str]:
    """The phase as lines; blank rows fall out, one ingredient named twice becomes one line."""
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
        given = [as_estimate(v, f"oil phase, line {n}, required HLB") for n, (_, v) in enumerate(pairs, 1)]
        return [
            Line(f"line {n}", m, None, g) for n, (m, g) in enumerate(zip(masses, given, strict=True), 1)
        ], unit
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
    masses, unit = same_unit([(f"oil phase, '{clipped(n)}'", a) for n, a in kept])
    lines: dict[str, Line] = {}
    own = {fold(n): v for n, v in values.items()}
    for (name, _), mass in zip(kept, masses, strict=True):
        ingredient = None
        try:
            ingredient = library.find(name)
        except UnknownIngredient:
            if fold(name) not in own:
                raise
        key = ingredient.id if ingredient else fold(name)
        if key in lines:
            first = lines[key]
            both = checked(first.mass + mass, f"oil phase, '{clipped(name)}' twice")
            lines[key] = replace(first, mass=both, also=(*first.also, name))
        else:
            lines[key] = Line(name, mass, ingredient, None)
    return list(lines.values()), unit


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
    """Values given by the user, by folded name and by id; a kind's name means its class range."""
    kinds = {i.kind for i in library}
    read: dict[str, tuple[Estimate, str]] = {}
    for name, value in values.items():
        word = value.strip().casefold() if isinstance(value, str) else ""
        if word in kinds:
            spread, count = library.class_range(word, emulsion)
            entry = (spread, f"class range ({word}, {count} ingredients)")
        elif word == "class range":
            kind = library.find(name).kind
            spread, count = library.class_range(kind, emulsion)
            entry = (spread, f"class range ({kind}, {count} ingredients)")
        else:
            entry = (as_estimate(value, f"value of '{clipped(name)}'"), "own value")
        read[fold(name)] = entry
        try:
            read[library.find(name).id] = entry
        except UnknownIngredient:
            continue
    return read
