"""Temperatures of the work: when phases meet, when grains go in, and what must not be heated again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.errors import EmptyPhase
from hlbcore.rules.fat_figures import property_of
from hlbcore.rules.hard_share import MELTING
from hlbcore.rules.jar.heat import SPECIFIC_HEAT, HeatPart, Mixed, least_temperature, mixing_temperature
from hlbcore.rules.jar.soft_parts import melting_range

LATE = ("cool-down",)
"""Phases that go in when the batch has cooled."""

SETS = ("congealing_point",)
MELTS = tuple(name for name in MELTING if name not in SETS)
"""Properties that say where a fat sets, and where it melts."""

HOTTEST_PART_C = 95.0
"""Hotter than this no part is asked to be. [°C] Our convention."""

LOSSES = "Vessel and air take heat too: expect it some degrees lower with a small batch."
"""What the sum leaves out."""


@dataclass(frozen=True, slots=True)
class SetsAt:
    """Where one fat melts and where it sets, side by side.

    Parameters
    ----------
    name : str
        As written.
    pct : float
        Its share. [% of formula]
    melts, sets : tuple of float or None
        Printed melting range, and congealing range where one is printed. [°C]
    """

    name: str
    pct: float
    melts: tuple[float, float] | None
    sets: tuple[float, float] | None

    @property
    def melts_text(self) -> str:
        """Melting range in words; blank where none is printed."""
        return "" if self.melts is None else f"{self.melts[0]:g} to {self.melts[1]:g}"

    @property
    def sets_text(self) -> str:
        """Congealing range in words; blank where none is printed."""
        return "" if self.sets is None else f"{self.sets[0]:g} to {self.sets[1]:g}"

    @property
    def melts_low_c(self) -> float | None:
        """The lowest of its figures. [°C]"""
        return min((r[0] for r in (self.melts, self.sets) if r is not None), default=None)

    @property
    def top_c(self) -> float | None:
        """The highest of its figures. [°C]"""
        ends = [r[1] for r in (self.melts, self.sets) if r is not None]
        return max(ends, default=None)


def _both(ends: tuple[float | None, float | None]) -> tuple[float, float] | None:
    low, high = ends
    return None if low is None or high is None else (low, high)


@lru_cache(8)  # each time that hot meets cold asks for it
def sets_at(worked: Worked) -> tuple[SetsAt, ...]:
    """Melting and congealing of every fat with a figure, the highest first.

    Parameters
    ----------
    worked : Worked
        Oil side and emulsifiers of the base.

    Returns
    -------
    tuple of SetsAt
        What is sold as a liquid is left out.
    """
    found: dict[str, SetsAt] = {}
    for x in worked.base_lines:
        if not x.is_fat or x.pct <= 0 or x.ingredient is None or x.ingredient.form == "liquid":
            continue
        low, high = melting_range(x.ingredient)
        if low is None or high is None:
            continue
        melts = _both(melting_range(x.ingredient, MELTS))
        sets = _both(melting_range(x.ingredient, SETS))
        pct = x.pct + (found[x.key].pct if x.key in found else 0.0)
        found[x.key] = SetsAt(x.name, pct, melts, sets)
    return tuple(sorted(found.values(), key=lambda s: -(s.top_c or 0.0)))


def heat_parts(lines: Iterable[Counted], temperature_c: float) -> list[HeatPart]:
    """Lines as parts of a heat balance, with specific heat, melting point and heat of melting.

    Parameters
    ----------
    lines : iterable of Counted
        Of one phase.
    temperature_c : float
        Their temperature. [°C]

    Returns
    -------
    list of HeatPart
        Specific heats of the tables, else usual ones; heat of melting only where the tables have one.
    """
    made = []
    for x in lines:
        held = x.ingredient
        side = "oil" if x.is_fat else x.kind if x.kind in SPECIFIC_HEAT else "water"
        if x.key in ("sucrose", "honey"):
            side = "sugar"
        capacity = property_of(held, "specific_heat", "J/(g K)").value if held is not None else None
        melts = melting_range(held)[1] if held is not None and held.form != "liquid" else None
        latent = property_of(held, "latent_heat", "J/g") if held is not None and melts is not None else None
        heat = 0.0 if latent is None else latent.value or _middle(latent.low, latent.high)
        made.append(
            HeatPart(
                x.name, x.pct, temperature_c, capacity or SPECIFIC_HEAT[side], melts if heat else None, heat
            )
        )
    return made


def _middle(low: float | None, high: float | None) -> float:
    return 0.0 if low is None or high is None else (low + high) / 2


@dataclass(frozen=True, slots=True)
class Pouring:
    """Temperature after parts meet, against what sets highest.

    Parameters
    ----------
    step : str
        What meets, in words.
    mixed : Mixed
        Temperature after it. [°C]
    highest : SetsAt or None
        The fat that sets first; None where none has a figure.
    least : tuple of (str, float)
        What each part would need so that nothing sets, the other as it is. [°C]
    unknown : tuple of str
        Solid fats without a melting figure.
    apart : bool
        Whether it is a repair: fats melted apart for a batch that has cooled.
    """

    step: str
    mixed: Mixed
    highest: SetsAt | None
    least: tuple[tuple[str, float], ...] = ()
    unknown: tuple[str, ...] = ()
    apart: bool = False

    @property
    def margin_c(self) -> float | None:
        """Above what sets highest, by the low end; negative where it sets. [K]"""
        top = self.highest.top_c if self.highest is not None else None
        return None if top is None else self.mixed.low - top

    @property
    def word(self) -> str:
        """``sets while you stir``, ``stays melted`` or ``cannot say``."""
        if self.margin_c is None:
            return "cannot say"
        return "sets while you stir" if self.margin_c <= 0 else "stays melted"

    @property
    def words(self) -> str:
        """In sentences."""
        m = self.mixed
        span = f"{m.value:.0f} °C" if m.high - m.low < 0.5 else f"{m.low:.0f} to {m.high:.0f} °C"
        said = f"{self.step}: {span}."
        if self.highest is not None and self.highest.top_c is not None:
            name = self.highest.name
            said += f" {name[:1].upper()}{name[1:]} sets up to {self.highest.top_c:.3g} °C"
            if self.margin_c is not None and self.margin_c <= 0:
                said += ": it sets while you stir."
                ways = [f"{name} {c:.0f} °C" for name, c in self.least if c <= HOTTEST_PART_C]
                said += (
                    f" At least: {' or '.join(ways)}, the other as it is."
                    if ways
                    else " Melt it all together."
                )
            else:
                said += f", {self.margin_c:.0f} K below."
        if self.unknown:
            said += f" No melting figure: {', '.join(self.unknown)}."
        return f"{said} {LOSSES}"


def _meeting(
    worked: Worked, step: str, warm: Sequence[HeatPart], cold: Sequence[HeatPart], names: tuple[str, str]
) -> Pouring:
    held = sets_at(worked)
    highest = held[0] if held else None
    mixed = mixing_temperature([*warm, *cold])
    least: list[tuple[str, float]] = []
    if highest is not None and highest.top_c is not None:
        for name, one, other in ((names[0], warm, cold), (names[1], cold, warm)):
            whole = sum(p.mass for p in one)
            capacity = sum(p.mass * p.specific_heat for p in one) / whole
            part = HeatPart(name, whole, one[0].temperature_c, capacity)
            least.append((name, least_temperature(highest.top_c, part, other)))
    known = {s.name for s in held}
    unknown = tuple(
        dict.fromkeys(
            x.name
            for x in worked.base_lines
            if x.is_fat
            and x.pct > 0
            and x.name not in known
            and (x.ingredient is None or x.ingredient.form == "solid")
        )
    )
    return Pouring(step, mixed, highest, tuple(least), unknown)


def phases_meet(worked: Worked, *, oil_c: float, water_c: float) -> Pouring:
    """Temperature after the hot oil phase meets the water phase.

    Parameters
    ----------
    worked : Worked
        The formula.
    oil_c, water_c : float
        Temperatures of the two. [°C]

    Returns
    -------
    Pouring
        Against the fat that sets highest.

    Raises
    ------
    EmptyPhase
        If one of the two is missing.
    """
    lines = [x for x in worked.base_lines if x.pct > 0 and x.line.phase not in (*LATE, "solids")]
    oily = [x for x in lines if x.line.phase == "oil" or (x.is_fat and "water" not in x.line.phase)]
    numbers = {x.number for x in oily}
    oil = heat_parts(oily, oil_c)
    water = heat_parts([x for x in lines if x.number not in numbers], water_c)
    if not oil or not water:
        raise EmptyPhase("The water phase" if oil else "The oil phase", "Two phases must meet for this sum.")
    return _meeting(
        worked,
        f"Oil phase {oil_c:g} °C into water phase {water_c:g} °C",
        oil,
        water,
        ("oil phase", "water phase"),
    )


def grains_meet(worked: Worked, *, base_c: float, grains_c: float) -> Pouring:
    """Temperature after the warm base meets cold sugar, salt or seeds.

    Parameters
    ----------
    worked : Worked
        The formula.
    base_c, grains_c : float
        Temperatures of base and grains. [°C]

    Returns
    -------
    Pouring
        Against the fat that sets highest.

    Raises
    ------
    EmptyPhase
        If there are no grains, or nothing but grains.
    """
    lines = [x for x in worked.base_lines if x.pct > 0]
    grains = heat_parts([x for x in lines if x.line.phase == "solids"], grains_c)
    base = heat_parts([x for x in lines if x.line.phase != "solids"], base_c)
    if not grains or not base:
        raise EmptyPhase("The grains" if base else "The base", "Base and grains must meet for this sum.")
    return _meeting(
        worked, f"Base {base_c:g} °C onto grains {grains_c:g} °C", base, grains, ("base", "grains")
    )


def wax_into_batch(worked: Worked, *, wax_c: float, batch_c: float) -> Pouring:
    """Temperature after the solid fats, melted apart, go into the rest of the batch.

    Parameters
    ----------
    worked : Worked
        The formula.
    wax_c, batch_c : float
        Temperatures of the melted fats and of the rest. [°C]

    Returns
    -------
    Pouring
        Against the fat that sets highest.

    Raises
    ------
    EmptyPhase
        If there is no fat with a melting figure, or nothing else.
    """
    names = {s.name for s in sets_at(worked)}
    lines = [x for x in worked.base_lines if x.pct > 0 and x.line.phase not in (*LATE, "solids")]
    wax = heat_parts([x for x in lines if x.is_fat and x.name in names], wax_c)
    rest = heat_parts([x for x in lines if not (x.is_fat and x.name in names)], batch_c)
    if not wax or not rest:
        raise EmptyPhase("The melted fats" if rest else "The rest of the batch", "Both must be there.")
    made = _meeting(
        worked, f"Melted fats {wax_c:g} °C into the batch {batch_c:g} °C", wax, rest, ("melted fats", "batch")
    )
    return replace(made, apart=True)


@dataclass(frozen=True, slots=True)
class Flash:
    """A liquid with a flash point near the heat of the work.

    Parameters
    ----------
    name : str
        As written.
    low_c : float or None
        Lowest printed flash point; None where the tables have none. [°C]
    recalled : bool
        Whether that is recalled only.
    """

    name: str
    low_c: float | None
    recalled: bool


VOLATILE = (
    "c13_15_alkane",
    "coconut_alkanes",
    "cyclomethicone",
    "cyclopentasiloxane",
    "hexamethyldisiloxane",
    "isododecane",
    "isohexadecane",
    "undecane_tridecane",
)
"""Volatile alkanes and silicones, by id."""


def flash_points(worked: Worked) -> tuple[Flash, ...]:
    """Volatile alkanes and silicones of a formula with their flash points.

    Parameters
    ----------
    worked : Worked
        The formula.

    Returns
    -------
    tuple of Flash
        Where no figure is known, section 9 of the supplier's safety data sheet has it.
    """
    found = []
    for x in worked.of_id(*VOLATILE):
        rows = x.ingredient.property_values("flash_point") if x.ingredient is not None else ()
        values = [v for p in rows for v in (p.low, p.value) if v is not None]
        recalled = all(p.grade == "memory" for p in rows)
        found.append(Flash(x.name, min(values, default=None), recalled))
    return tuple(dict.fromkeys(found))


def heated_again(worked: Worked) -> tuple[str, ...]:
    """Preservative and fragrance: what a second heating of the finished batch would hit."""
    kinds = ("preservative", "fragrance", "essential oil")
    return tuple(dict.fromkeys(x.name for x in worked.of_kind(*kinds)))
