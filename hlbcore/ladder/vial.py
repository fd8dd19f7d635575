"""What all vials of a ladder share, and how one vial is rounded to the scale."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hlbcore._numbers import adding_up, checked, grams, same_unit
from hlbcore.blending.candidates import Candidate, candidates
from hlbcore.blending.mixing import split_pair
from hlbcore.blending.results import Blend
from hlbcore.blending.weighing import weigh_blend
from hlbcore.errors import EmptyPhase, InvalidInput, UnknownIngredient, clipped
from hlbcore.estimate import Estimate, Mixture
from hlbcore.ingredients import Ingredient, fold
from hlbcore.ladder.ladder import Process
from hlbcore.library import Library
from hlbcore.product_types import PRACTICE
from hlbcore.rules.hard_share import melting_c

WATER = "water"
"""What makes up the rest of a vial."""

ABOVE_MELTING_C = 5.0
"""How far above the last melting point both phases are held. [°C] common practice, no source."""

ROOM_C = 25.0
"""Melting figures up to here ask for no heating. [°C] Our convention."""

WATERLESS_NOTES = (
    "One phase: melt fats, waxes and emulsifiers together until clear, as warm for every jar.",
    "Grains, powders, fragrance and what heat harms go in as it cools, equally warm for every jar.",
    "The same vessel, stirring and pouring temperature for every jar.",
    "Make the jars in the order given, fill to the same height, and let them cool side by side.",
    "No water in any jar before the rinse test.",
    "Hot fat burns: gloves, eye protection, dry tools.",
)
"""What to hold the same in jars without water; common practice, no source."""

DIVISIONS_MOST = 1e9
"""Divisions of the scale in one vial that are taken. [-] Our convention."""

Names = Mapping[str, float | str]


@dataclass(frozen=True, slots=True)
class Bench:
    """What all vials share.

    Parameters
    ----------
    emulsifiers : tuple of Candidate
        With their HLB.
    oils, others : tuple of (str, float)
        What is in every vial alike. [% of the vial; oils in parts where there is no water]
    vial_mass_g, readability_g : float
        Mass of a vial, division of the scale. [g]
    water : bool
        Whether water makes up the rest; else the oil phase does.
    """

    emulsifiers: tuple[Candidate, ...]
    oils: tuple[tuple[str, float], ...]
    others: tuple[tuple[str, float], ...]
    vial_mass_g: float
    readability_g: float
    water: bool = True

    @property
    def oil_pct(self) -> float:
        """The oil phase, emulsifiers left out. [% of the vial]"""
        return math.fsum(p for _, p in self.oils)

    @property
    def estimates(self) -> tuple[tuple[str, Estimate], ...]:
        """Name and HLB of each emulsifier. [HLB]"""
        return tuple((c.label, c.estimate) for c in self.emulsifiers)

    def split(self, target: float, pct: float) -> dict[str, float]:
        """Emulsifiers of one rung, from the first two. [% of the vial]"""
        first, second = self.emulsifiers[:2]
        x, y = split_pair(first.estimate.value, second.estimate.value, target=target)
        return {first.label: x * pct, second.label: y * pct}

    def weigh(
        self, shares: Mapping[str, float], target: float | None = None
    ) -> tuple[tuple[str, float], ...]:
        """Grams of one vial, each a whole number of divisions, adding to the rounded vial mass."""
        d = self.readability_g
        all_of_it = round(self.vial_mass_g / d)
        held = [c for c in self.emulsifiers if c.label in shares]
        masses = [shares[c.label] for c in held]
        mixture = Mixture.by_mass(masses, [c.estimate for c in held])
        aim = mixture.total if target is None else Estimate.exactly(target)
        blend = Blend(tuple(c.label for c in held), tuple(masses), mixture, aim, None, 1.0, "closest")
        try:
            weighed = weigh_blend(blend, self.vial_mass_g, d)
        except InvalidInput as error:
            raise InvalidInput(
                "vial mass", error.problem, "Make larger vials, or weigh on a finer scale."
            ) from None
        counts = {n: round(g / d) for n, g in zip(weighed.labels, weighed.grams, strict=True)}
        exact = {n: p / 100 * self.vial_mass_g / d for n, p in self.others}
        fixed = _counts(exact)
        rest = all_of_it - sum(counts.values()) - sum(fixed.values())
        if self.water:
            oils = _counts({n: p / 100 * self.vial_mass_g / d for n, p in self.oils})
            rest -= sum(oils.values())
        else:
            oils = _counts({n: p / self.oil_pct * max(rest, 0) for n, p in self.oils})
            rest = 1
        if rest < 1:
            raise InvalidInput(
                "vial",
                f"nothing is left for water on a scale of {d:g} g",
                "Lower the oil phase or the emulsifier, or make larger vials.",
            )
        for name, n in {**oils, **fixed}.items():
            if n < 1:
                raise InvalidInput(
                    f"'{clipped(name)}'",
                    f"in a vial of {self.vial_mass_g:g} g it is less than half a division of {d:g} g",
                    "Make larger vials, weigh on a finer scale, or leave it out of the ladder.",
                )
        digits = max(0, 9 - math.floor(math.log10(self.vial_mass_g)))
        every = {**counts, **oils, **fixed, **({WATER: rest} if self.water else {})}
        return tuple((n, round(k * d, digits)) for n, k in every.items())


def _counts(exact: Mapping[str, float]) -> dict[str, int]:
    return {n: round(k) for n, k in zip(exact, adding_up(list(exact.values()), 0), strict=True)}


def bench(
    held: Sequence[Candidate],
    oil_phase: Names,
    others: Names | None,
    vial_mass_g: float | str,
    readability_g: float | str,
    *,
    water: bool = True,
) -> Bench:
    """What all vials share, checked."""
    vial = grams(vial_mass_g, "vial mass")
    division = grams(readability_g, "readability of the scale")
    if not 1 <= round(vial / division) <= DIVISIONS_MOST:
        raise InvalidInput(
            "readability of the scale",
            f"{division:g} g does not go with vials of {vial:g} g",
            "Enter the division of a scale, for example 0.01 g.",
        )
    oils = _amounts(oil_phase, "oil phase", parts=not water)
    rest = _amounts(others or {}, "other ingredients", parts=False)
    if not oils:
        raise EmptyPhase("The oil phase", "Enter an amount for at least one oil.")
    seen: dict[str, str] = {fold(WATER): "the rest of the vial"} if water else {}
    seen |= {fold(c.label): "one of the emulsifiers of the ladder" for c in held}
    seen |= {c.id.replace("_", ""): "one of the emulsifiers of the ladder" for c in held}
    for name, _ in (*oils, *rest):
        if fold(name) in seen:
            raise InvalidInput(
                f"'{clipped(name)}'", f"it is {seen[fold(name)]} already", "Leave it out here."
            )
        seen[fold(name)] = "in the vial"
    return Bench(tuple(held), oils, rest, vial, division, water)


def _amounts(given: Names, item: str, *, parts: bool) -> tuple[tuple[str, float], ...]:
    if not isinstance(given, Mapping):
        raise InvalidInput(item, "names and amounts are wanted", "Give {name: % of the vial}.")
    rows = []
    for name, amount in given.items():
        if not isinstance(name, str) or not fold(name):
            raise InvalidInput(f"{item}, '{clipped(name)}'", "the name is blank", "Name it.")
        rows.append((name.strip(), amount))
    numbers, unit = same_unit([(f"{item}, '{clipped(n)}'", a) for n, a in rows])
    if unit == "g" and not parts:
        raise InvalidInput(
            item,
            "its amounts are in grams, so its share of a vial is not known",
            "Give per cent of the vial.",
        )
    held = tuple((n, a) for (n, _), a in zip(rows, numbers, strict=True) if a > 0)
    checked(math.fsum(a for _, a in held), item, high=1e9 if parts else 100)
    return held


def found_emulsifier(
    given: str | Ingredient, values: Mapping[str, float | str | Estimate] | None, library: Library
) -> Candidate:
    """One emulsifier with the user's own HLB, or that of the tables."""
    own = {library.key(n): v for n, v in (values or {}).items()}
    name = given.common_name if isinstance(given, Ingredient) else str(given).strip()
    if library.key(name) in own:
        return candidates({name: own[library.key(name)]}, library)[0]
    return candidates([given], library)[0]


def known(name: str, library: Library) -> Ingredient | None:
    """The ingredient of that name, or None."""
    try:
        return library.find(name)
    except UnknownIngredient:
        return None


def process_for(held: Bench, library: Library) -> Process:
    """The temperature above the last melting point, and what to hold the same."""
    names = [*(c.label for c in held.emulsifiers), *(n for n, _ in held.oils)]
    melts: list[tuple[float, str]] = []
    unknown = []
    for name in names:
        found = known(name, library)
        if found is None:
            unknown.append(name)
        elif (c := melting_c(found)) is not None:
            melts.append((c, name))
        elif found.form != "liquid":
            unknown.append(name)
    warm = None
    if melts:
        last, name = max(melts)
        if last > ROOM_C:
            warm = last + ABOVE_MELTING_C
            reason = (
                f"{ABOVE_MELTING_C:g} °C above the last melting figure, {name} at {last:g} °C; {PRACTICE}"
            )
        else:
            reason = "no melting figure lies above room temperature"
    elif unknown:
        reason = f"no melting figure is known: warm until clear, then {ABOVE_MELTING_C:g} °C more"
    else:
        reason = "all are liquid at room temperature"
    if unknown:
        reason += f"; no figure for {', '.join(clipped(n, 30) for n in dict.fromkeys(unknown))}"
    if not held.water:
        return Process(warm, reason, "", WATERLESS_NOTES)
    notes = [
        "Both phases at the same temperature when they meet, the same for every vial.",
        "The same stirrer, vessel, depth, speed and time for every vial.",
        "Make the vials in the random order given, not in order of HLB.",
        "Fill to the same height, close, and let all stand side by side.",
        "Hot fat and hot water burn: gloves, eye protection, dry tools.",
    ]
    return Process(warm, reason, "", tuple(notes))
