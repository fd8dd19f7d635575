"""What goes into the pot: every line on the scale that weighs it, in amounts that the scale shows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from hlbcore.batch.premix import Carrier, Premix, plan_premix
from hlbcore.batch.scales import Scale
from hlbcore.blending.weighing import weigh_system
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.errors import InvalidInput, clipped
from hlbcore.ingredients import fold
from hlbcore.typed import in_full

NO_PHASE = "no phase"
"""Where a line stands whose phase is none of the formula's."""

_THIN = ("water", "humectant", "oil", "ester", "hydrocarbon", "silicone", "alcohol", "solvent")
_NO_CARRIERS = ("preservative", "gum", "colour", "fragrance", "essential oil", "emulsifier", "acid", "base")


@dataclass(frozen=True, slots=True)
class PotLine:
    """One row of what goes into the pot.

    Parameters
    ----------
    ingredient, phase : str
        What it is, and the phase it goes into.
    portion : str
        The portion that gets it; blank for the base.
    line : int
        Number of the formula's line, from 0. [-]
    exact_g, grams : float
        Before and after rounding to the scale. [g]
    scale : Scale
        The scale that weighs it.
    premix : Premix or None
        Set where the row is a premix in place of the ingredient.
    in_premix_g : float
        What of this line goes in with premixes, beside the grams. [g]
    """

    ingredient: str
    phase: str
    portion: str
    line: int
    exact_g: float
    grams: float
    scale: Scale
    premix: Premix | None = None
    in_premix_g: float = 0.0

    @property
    def name(self) -> str:
        """What stands in the table."""
        return self.ingredient if self.premix is None else self.premix.name

    @property
    def place(self) -> str:
        """Phase, with the portion where it is one."""
        return f"{self.phase} ({self.portion})" if self.portion else self.phase

    @property
    def error_pct(self) -> float:
        """One reading off by half a division, or by the error found, as a share of the amount. [%]"""
        if self.premix is not None:
            return self.premix.error_pct
        return 100 * self.scale.reading_g / self.grams if self.grams else math.nan

    @property
    def delivered_g(self) -> float:
        """What the pot gets of the formula's line. [g]"""
        return self.premix.delivered_g if self.premix is not None else self.grams + self.in_premix_g

    @property
    def standard_g(self) -> float:
        """Standard uncertainty of what the pot gets. [g]"""
        if self.premix is not None:
            return self.premix.standard_g
        return self.scale.standard_g if self.grams else 0.0

    @property
    def worst_g(self) -> float:
        """How far it may be off at the worst. [g]"""
        if self.premix is not None:
            return self.premix.worst_g
        return self.scale.worst_g if self.grams else 0.0


@dataclass(frozen=True, slots=True)
class Small:
    """A line below the smallest weight worth trusting, and what mends it.

    Parameters
    ----------
    ingredient : str
        What it is.
    line : int
        Number of the formula's line. [-]
    grams : float
        What the batch takes of it. [g]
    scale : Scale
        The finest scale.
    enough_g : float
        The batch that is large enough for it. [g]
    premix : Premix or None
        The premix that does it in this batch.
    spoons : tuple of float or None
        For a gum: level US teaspoons, the fewest and the most that it may be. [spoons]
    """

    ingredient: str
    line: int
    grams: float
    scale: Scale
    enough_g: float
    premix: Premix | None
    spoons: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Pot:
    """All rows, what is too small, and the line that took the rounding of the others."""

    rows: tuple[PotLine, ...]
    small: tuple[Small, ...]
    trimmed: str


def batch_text(grams: float) -> str:
    """A batch size rounded up to three digits. [g]"""
    step = 10.0 ** (math.floor(math.log10(grams)) - 2)
    return f"{round(math.ceil(grams / step - 1e-9) * step, 6):,.10g} g"


def fill_pot(
    worked: Worked, size_g: float, scales: Sequence[Scale], use_premixes: bool | Sequence[str]
) -> Pot:
    """The rows of a batch.

    Parameters
    ----------
    worked : Worked
        A whole formula, worked out.
    size_g : float
        Mass of the base. [g]
    scales : sequence of Scale
        The finest first.
    use_premixes : bool or sequence of str
        Whether lines below the floor go in as premixes, or which; what no scale can show always does.

    Returns
    -------
    Pot
        The base adds to the size as near as the largest line's scale can show.

    Raises
    ------
    InvalidInput
        If a line is more than every scale carries, or cannot be weighed at all.
    """
    rows = rounded_rows(worked, size_g, scales)
    if not rows:
        raise InvalidInput("batch", "there is nothing to weigh", "Enter amounts first.")
    small = tuple(_small(worked, size_g, scales, r, rows) for r in rows if is_small(r, scales))
    _refuse_hopeless(rows, small, scales, size_g)
    rows, small = _with_premixes(rows, small, scales, use_premixes)
    rows, trimmed = trimmed_rows(rows, size_g)
    return Pot(tuple(rows), small, trimmed)


def rounded_rows(worked: Worked, size_g: float, scales: Sequence[Scale]) -> list[PotLine]:
    """Every line to the nearest division, the emulsifiers as they come nearest to their target."""
    made = worked.made
    shares = {fold(p.name): p.share_pct / 100 for p in made.portion_list}
    usable = made.counted_lines
    rows = []
    for x in worked.bought:
        portion = x.line.portion or ""
        part = shares.get(fold(portion), 0.0) if portion else 1.0
        exact = x.pct / 100 * size_g * part
        if exact <= 0 or x.number not in usable:
            continue
        scale = _scale_for(exact, x.name, scales)
        phase = x.line.phase if x.line.phase in made.phases else NO_PHASE
        rows.append(PotLine(x.name.strip(), phase, portion, x.number, exact, scale.shown(exact), scale))
    order = {name: n for n, name in enumerate((*made.phases, NO_PHASE))}
    rows.sort(key=lambda r: (bool(r.portion), order[r.phase], r.portion, r.line))
    blend = _emulsifiers(worked, size_g, {r.line: r.scale for r in rows})
    return [replace(r, grams=blend.get(r.line, r.grams)) for r in rows]


def _scale_for(mass_g: float, name: str, scales: Sequence[Scale]) -> Scale:
    """The finest scale that carries it."""
    found = next((s for s in scales if mass_g <= s.room_g), None)
    if found is not None:
        return found
    most = max(s.room_g for s in scales)
    vessel = " beside its vessel" if any(s.vessel_g for s in scales) else ""
    raise InvalidInput(
        f"'{clipped(name)}'",
        f"{mass_g:,.6g} g are more than any scale carries{vessel} ({most:,.6g} g)",
        "Make a smaller batch, part it in two, or add a scale of larger capacity.",
    )


def _emulsifiers(worked: Worked, size_g: float, scale_of: dict[int, Scale]) -> dict[int, float]:
    """Grams of the emulsifiers by line where one scale weighs them all; else none."""
    held = [x for x in worked.emulsifiers if x.number in scale_of]
    steps = {scale_of[x.number].readability_g for x in held}
    if len(held) < 2 or len(steps) > 1 or any(x.is_part for x in held):
        return {}
    try:
        weighed = weigh_system(held, size_g, steps.pop(), target=worked.target)
    except InvalidInput:
        return {}
    if 0.0 in weighed.grams:  # none is left out for the sake of the others
        return {}
    return {x.number: g for x, g in zip(held, weighed.grams, strict=True)}


def is_small(row: PotLine, scales: Sequence[Scale]) -> bool:
    """Whether a row is below the smallest weight worth trusting."""
    return row.exact_g < scales[0].least_g - 1e-9 or row.exact_g < row.scale.least_g - 1e-9


def _small(
    worked: Worked, size_g: float, scales: Sequence[Scale], row: PotLine, rows: Sequence[PotLine]
) -> Small:
    from hlbcore.rules.thickening import spoons_for

    held = {x.number: x for x in worked.bought}
    gum = held[row.line].kind == "gum"
    premix = None
    for carrier in _carriers(row, rows, held, gum=gum):
        premix = plan_premix(row.ingredient, row.phase, row.line, row.exact_g, carrier, scales)
        if premix is not None:
            break
    least = row.scale.least_g
    return Small(
        row.ingredient,
        row.line,
        row.exact_g,
        row.scale,
        size_g * least / row.exact_g,
        premix,
        spoons_for(row.exact_g) if gum else None,
    )


def _carriers(row: PotLine, rows: Sequence[PotLine], held: dict[int, Counted], *, gum: bool) -> list[Carrier]:
    """Lines of the same phase that could carry it, the best first."""
    if row.portion:
        return []
    near = [
        r
        for r in rows
        if r.phase == row.phase
        and not r.portion
        and r.line != row.line
        and r.grams > row.exact_g
        and held[r.line].kind not in _NO_CARRIERS
        and not held[r.line].is_emulsifier
    ]
    if gum:  # straight into water it makes lumps
        near = [r for r in near if held[r.line].kind == "humectant" and not _solid(held[r.line])]
    near.sort(key=lambda r: (held[r.line].kind not in _THIN or _solid(held[r.line]), -r.grams))
    return [Carrier(r.ingredient, r.line, r.grams, all_of_it=gum) for r in near]


def _solid(held: Counted) -> bool:
    return held.ingredient is not None and held.ingredient.form == "solid"


def _refuse_hopeless(
    rows: Sequence[PotLine], small: Sequence[Small], scales: Sequence[Scale], size_g: float
) -> None:
    """Refuse what no scale can show and no premix can bring."""
    step = scales[0].readability_g
    if size_g < step:
        raise InvalidInput(
            "scales",
            f"the finest shows {step:g} g, which is more than the whole batch of {size_g:g} g",
            "Make a larger batch, or weigh on a finer scale.",
        )
    grams = {r.line: r.grams for r in rows}
    lost = [s for s in small if grams[s.line] <= 0 and s.premix is None]
    if not lost:
        return
    names = ", ".join(f"'{clipped(s.ingredient, 40)}' ({s.grams:.3g} g)" for s in lost[:3])
    more = f" and {len(lost) - 3} more" if len(lost) > 3 else ""
    enough = max(s.enough_g for s in lost)
    finer = 10.0 ** math.floor(math.log10(min(s.grams for s in lost) / 10))  # scales come in such steps
    raise InvalidInput(
        "scales",
        f"{names}{more}: less than half a division of {step:g} g, and no line of the same phase can carry a "
        "premix",
        f"Make at least {batch_text(enough)}, or weigh on a scale of {in_full(finer)} g.",
    )


def _with_premixes(
    rows: list[PotLine], small: Sequence[Small], scales: Sequence[Scale], use: bool | Sequence[str]
) -> tuple[list[PotLine], tuple[Small, ...]]:
    """The rows with the premixes in place of what they bring, their carriers less by as much."""
    asked = {fold(str(n)) for n in use} if not isinstance(use, bool) else set()
    by_line = {r.line: r for r in rows}
    found: list[Small] = []
    for s in small:
        p = s.premix
        if p is None:
            found.append(s)
            continue
        carrier = by_line[p.carrier_line]
        wanted = use is True or fold(s.ingredient) in asked or by_line[s.line].grams <= 0
        left = carrier.exact_g - carrier.in_premix_g - p.carrier_g
        if wanted and left >= -p.scale.readability_g:
            p = replace(p, used=True)
            row = by_line[s.line]
            by_line[s.line] = replace(row, grams=p.take_g, scale=p.scale, premix=p)
            by_line[carrier.line] = replace(
                carrier,
                grams=max(carrier.scale.shown(left), 0.0),
                in_premix_g=carrier.in_premix_g + p.carrier_g,
            )
        elif by_line[s.line].grams <= 0:
            raise InvalidInput(
                f"'{clipped(s.ingredient)}'",
                f"{s.grams:.3g} g cannot be weighed, and '{clipped(p.carrier)}' cannot carry it too",
                f"Make at least {batch_text(s.enough_g)}, or weigh on a finer scale.",
            )
        found.append(replace(s, premix=p))
    return [by_line[r.line] for r in rows], tuple(found)


def trimmed_rows(rows: list[PotLine], size_g: float) -> tuple[list[PotLine], str]:
    """The largest line of the base takes what the rounding of the others left over."""
    base = [r for r in rows if not r.portion]
    at = max(base, key=lambda r: r.grams if r.premix is None else 0.0)
    off = size_g - math.fsum(r.grams for r in base)
    grams = at.scale.shown(at.grams + off)
    if grams == at.grams or grams <= 0:
        return rows, ""
    return [replace(r, grams=grams) if r is at else r for r in rows], at.ingredient
