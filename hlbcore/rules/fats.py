"""What a fat phase is like: solids, melting range, density, iodine value, composition.

A first estimate from the tables: sums weighted by mass. An ingredient without a figure is named and
its share is said; it never counts as 0 and is never guessed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from hlbcore._numbers import checked
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.errors import UnknownIngredient, clipped
from hlbcore.findings import Finding
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library, load_library
from hlbcore.product_types import PRACTICE
from hlbcore.rules.fat_figures import Figure, composition_of, density_of, property_of, solids_of
from hlbcore.rules.hard_share import MELTING, melting_c

TEMPERATURES_C = (0.0, 18.0, 25.0, 35.0, 40.0)
"""A cold shelf, a cool and a warm room, the skin, a hot car. [°C] Our convention."""

SEMI_DRYING_FROM = 100.0
"""Iodine value from which an oil is called semi-drying. [g I2/100 g] From memory."""

SUM_RULE = f"weighted sum, linear between tabulated temperatures: {PRACTICE}"
"""It always promises a harder jar than comes out: fats dissolve in the oil beside them, and some pairs,
such as palm with palm kernel oil (timms_1985), are softer still. `rules.jar.softness` has the band whose
top it is."""


@dataclass(frozen=True, slots=True)
class FatPart:
    """One ingredient of a fat phase.

    Parameters
    ----------
    name : str
        As written.
    ingredient : Ingredient or None
        None for a name that nobody knows.
    pct : float
        Its mass. [% of formula, or any one unit]
    """

    name: str
    ingredient: Ingredient | None
    pct: float


@dataclass(frozen=True, slots=True)
class FatPhase:
    """A fat phase: the oil side without the emulsifiers.

    Parameters
    ----------
    parts : tuple of FatPart
        One an ingredient, amounts above 0.

    Examples
    --------
    >>> base = fat_phase({"palm oil": 1, "sunflower oil": 1})
    >>> base.solids(20).value, base.solids(20).coverage
    (13.05, 1.0)
    """

    parts: tuple[FatPart, ...]

    @property
    def total_pct(self) -> float:
        """Its mass. [as given]"""
        return math.fsum(p.pct for p in self.parts)

    def _sum(
        self,
        unit: str,
        of: Callable[[Ingredient], Figure],
        ends: tuple[float, float] | None,
        *,
        volume: bool = False,
    ) -> Figure:
        whole = self.total_pct
        known, unknown = [], []
        sources: list[str] = []
        lows, highs = [], []
        for p in self.parts:
            f = of(p.ingredient) if p.ingredient else Figure(None, None, None, unit, 0.0)
            if f.value is None:
                unknown.append(p.name)
            else:
                known.append((p.pct, f.value))
                sources += f.sources
            blank = ends or (math.nan, math.nan)
            low, high = (f.value, f.value) if f.value is not None else (f.low, f.high)
            lows.append(p.pct * (blank[0] if low is None else low))
            highs.append(p.pct * (blank[1] if high is None else high))
        mass = math.fsum(m for m, _ in known)
        if mass <= 0 or whole <= 0:
            value = None
        elif volume:
            value = mass / math.fsum(m / v for m, v in known)
        else:
            value = math.fsum(m * v for m, v in known) / mass
        low_sum, high_sum = (
            (math.fsum(lows) / whole, math.fsum(highs) / whole) if whole > 0 else (math.nan,) * 2
        )
        if volume or math.isnan(low_sum) or math.isnan(high_sum):
            whole_ends: tuple[float | None, float | None] = (None, None)
        else:
            whole_ends = (low_sum, high_sum)
        share = min(mass / whole, 1.0) if whole > 0 else 0.0
        return Figure(
            value,
            *whole_ends,
            unit,
            1.0 if not unknown and mass > 0 else share,
            tuple(unknown),
            tuple(dict.fromkeys(sources)),
        )

    def solids(self, temperature_c: float) -> Figure:
        """Solids of the phase as the weighted sum of its parts.

        Parameters
        ----------
        temperature_c : float
            Temperature. [°C]

        Returns
        -------
        Figure
            Value of the part with figures, and the ends for the whole with the unknown part
            anywhere from 0 to 100 %. [% by mass]

        Notes
        -----
        ``S = sum(w_i S_i(T))``: common practice, no source. Wrong where fats interact: palm with
        palm kernel oil is softer than the sum [1]_.

        References
        ----------
        .. [1] timms_1985

        Examples
        --------
        >>> fat_phase({"cocoa butter": 10, "shea butter": 5}).solids(25).text
        '69.6 of the 67 % with a figure; of all 46.4 to 79.7'
        """
        return self._sum("% by mass", lambda i: solids_of(i, temperature_c), (0.0, 100.0))

    @property
    def iodine_value(self) -> Figure:
        """Iodine value, weighted by mass. [g I2/100 g]"""
        unit = "g I2/100 g"
        return self._sum(unit, lambda i: property_of(i, "iodine_value", unit), None)

    @property
    def density(self) -> Figure:
        """Density near room temperature; volumes add. [g/cm³]"""
        return self._sum("g/cm³", density_of, None, volume=True)

    @property
    def melting(self) -> Figure:
        """Highest melting figure as the value, lowest to highest of what has one. [°C]

        What is sold as a liquid and has no figure is not counted as unknown.
        """
        rows: list[tuple[float, float, float, str]] = []
        unknown, mass = [], 0.0
        for p in self.parts:
            top = melting_c(p.ingredient) if p.ingredient else None
            if p.ingredient is None or (top is None and p.ingredient.form != "liquid"):
                unknown.append(p.name)
                continue
            mass += p.pct
            for q in p.ingredient.properties:
                middle = q.middle
                if q.name in MELTING and middle is not None:
                    low, high = q.low, q.high
                    rows.append(
                        (middle, middle if low is None else low, middle if high is None else high, q.source)
                    )
        share = mass / self.total_pct if self.total_pct > 0 else 0.0
        if not rows:
            return Figure(None, None, None, "°C", share, tuple(unknown))
        return Figure(
            max(r[0] for r in rows),
            min(r[1] for r in rows),
            max(r[2] for r in rows),
            "°C",
            1.0 if not unknown else share,
            tuple(unknown),
            tuple(dict.fromkeys(r[3] for r in rows)),
        )

    def composition(self, what: str) -> dict[str, Figure]:
        """Fatty acids or triacylglycerols of the phase.

        Parameters
        ----------
        what : str
            ``"fatty_acid"`` or ``"triacylglycerol"``.

        Returns
        -------
        dict of str to Figure
            Share of the part whose figure is known, with its coverage, the largest first. [%]

        Examples
        --------
        >>> shares = fat_phase({"cocoa butter": 1, "coconut oil": 1}).composition("fatty_acid")
        >>> shares["stearic"].value, shares["lauric"].coverage
        (19.75, 0.5)
        """
        held = {p.ingredient.id: composition_of(p.ingredient, what) for p in self.parts if p.ingredient}
        names = dict.fromkeys(n for shares in held.values() for n in shares)
        found = {}
        for name in names:

            def one(i: Ingredient, name: str = name) -> Figure:
                share = held[i.id].get(name)
                if share is None:
                    return Figure(None, None, None, "%", 0.0, (i.common_name,))
                return Figure(share[0], share[0], share[0], "%", sources=(share[1],))

            found[name] = self._sum("%", one, (0.0, 100.0))
        return dict(sorted(found.items(), key=lambda pair: -(pair[1].value or 0) * pair[1].coverage))

    @property
    def rancidity(self) -> Finding | None:
        """The caution on rancidity; None where the iodine value gives no reason for one."""
        f = self.iodine_value
        if f.value is None or f.value < SEMI_DRYING_FROM:
            return None
        return Finding(
            "caution",
            "Turns rancid sooner",
            f"The iodine value of the fats is {f.text}: unsaturated oils take up oxygen.",
            f"iodine value {f.value:.0f} g I2/100 g",
            f"semi-drying from about {SEMI_DRYING_FROM:g}, from memory; {SUM_RULE}",
            "Use fresh oil with its date, an antioxidant such as tocopherol, small jars kept cool "
            "and dark; smell a kept sample over the shelf life.",
        )


def fat_phase(
    phase: Formula | Worked | Mapping[str, float | str], *, library: Library | None = None
) -> FatPhase:
    """The fat phase of a formula, or one given by names and masses.

    Parameters
    ----------
    phase : Formula, Worked or mapping of str to float or str
        A formula, of which the oil side without emulsifiers counts, with bought blends split; or
        names and masses, all of which count. [% of formula, or any one unit]

    Returns
    -------
    FatPhase
        With figures for solids, melting, density, iodine value and composition.

    Examples
    --------
    >>> fat_phase({"olive oil": 3, "sunflower oil": 1}).iodine_value.value
    95.75
    """
    library = library or load_library()
    pairs: list[tuple[str, Ingredient | None, float]] = []
    if isinstance(phase, Formula | Worked):
        for x in work_out(phase, library).base_lines:
            if x.is_fat and not x.is_emulsifier and x.pct > 0:
                pairs.append((x.name, x.ingredient, x.active))
    else:
        for name, mass in phase.items():
            pct = checked(mass, f"fat phase, '{clipped(name)}'", low=0)
            try:
                held = library.find(name)
            except UnknownIngredient:
                held = None
            if pct > 0:
                pairs.append((name, held, pct))
    parts: dict[str, FatPart] = {}
    for name, held, pct in pairs:
        key = library.key(name)
        old = parts.get(key)
        parts[key] = FatPart(old.name if old else name, held, pct + (old.pct if old else 0.0))
    return FatPhase(tuple(parts.values()))
