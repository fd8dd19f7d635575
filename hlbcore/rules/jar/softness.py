"""How soft a fat phase is at a temperature: a band on its solids, and one of five words.

Linear mixing of solids always promises a harder jar than comes out, by up to 24 points. So it is only the
upper edge; the lower edge is the curve of each family of fats, shifted by the liquid oil that it dissolves
in. All of this was tried on computed references alone: it proves the arithmetic, not nature.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hlbcore._numbers import checked
from hlbcore.blending.worked import Worked
from hlbcore.errors import EmptyPhase, InvalidInput
from hlbcore.rules.fat_figures import LIQUID_FROM_C
from hlbcore.rules.jar.families import FAMILIES
from hlbcore.rules.jar.soft_parts import Array, SoftPart, soft_part

GAS = 8.314462
"""Gas constant. [J/(mol K)]"""

HEAT_LOW, HEAT_MIDDLE = 80e3, 120e3
"""Heat of melting that shifts the lower edge and the middle. [J/mol] Chosen on a grid of computed references
(5 butters, 4 shares, 3 temperatures) and tried on 1,100 others: inside in 99.6 % of them. Ours."""

LOWER_BY = 4.0
"""What the lower edge lies under the shifted curve. [points] From the same grid."""

SUPPLIER_BY, LITERATURE_BY, LITERATURE_WARM_BY = 5.0, 10.0, 15.0
"""How much wider the band is with the supplier's figures, with those of the species, and with those from 25
to 32 °C. [points] Our judgement: half the spread by origin is 10 to 17 points for cocoa butter."""

WARM_C = (25.0, 32.0)
"""Where literature curves part most. [°C]"""

MIXED_BY, MIXED_C = 25.0, (20.0, 30.0)
"""How far a lauric fat with a cocoa-like one may lie under linear mixing, and where. [points], [°C]
Computed for cocoa butter with coconut oil."""

WORDS = ("liquid", "soft", "spreadable", "firm")
"""The words with a figure; the fifth is `CANNOT_SAY`."""

CANNOT_SAY = "cannot say"

WORD_FROM = (3.0, 12.0, 32.0)
"""Solids from which a fat phase is called soft, spreadable, firm. [% of the fat phase] Our convention: a
block margarine holds 43 % where it is firm."""

SETS_LEAST = 0.01
"""Less wax or fatty alcohol than this does not set the phase. [fraction] Lowest gelling level printed."""

CLOUDS_FROM = 0.5
"""From this share on, liquid oils decide the word in the cold. [fraction] Our convention."""

PLACES = (
    ("in a fridge", 4.0, 4.0),
    ("in a cool room", 15.0, 15.0),
    ("in a room", 20.0, 25.0),
    ("on a warm shelf", 35.0, 40.0),
    ("in a hot parcel", 45.0, 50.0),
)
"""Where a jar stands, coldest and warmest. [°C] Our convention. A hot parcel melts every butter and says
nothing about 25 °C."""


@dataclass(frozen=True, slots=True)
class SoftBand:
    """The band at several temperatures.

    Parameters
    ----------
    temperature_c : array of float
        Temperatures, (n,). [°C]
    low, middle, high : array of float
        Solids of the fat phase, (n,); the middle is NaN where nobody knows. [% by mass]
    """

    temperature_c: Array
    low: Array
    middle: Array
    high: Array


@dataclass(frozen=True, slots=True)
class SoftAt:
    """How soft it is in one place.

    Parameters
    ----------
    place : str
        In words.
    cold_c, warm_c : float
        Coldest and warmest there. [°C]
    low, high : float
        Solids of the fat phase. [% by mass]
    word : str
        liquid, soft, spreadable or firm; two of them where the band spans both; or ``cannot say``.
    why : str
        Why it cannot be said, or what sets it; blank where nothing is to say.
    """

    place: str
    cold_c: float
    warm_c: float
    low: float
    high: float
    word: str
    why: str = ""

    @property
    def solids_text(self) -> str:
        """The band in words. [% by mass]"""
        low, high = f"{self.low:.0f}", f"{self.high:.0f}"
        return low if low == high else f"{low} to {high}"


@dataclass(frozen=True, slots=True)
class Softness:
    """Softness of a fat phase.

    Parameters
    ----------
    parts : tuple of SoftPart
        Shares add to 1.

    Examples
    --------
    >>> half = Softness((SoftPart("butter", "shea_butter", 0.5, "curve",
    ...                           ((20, 40, 40, 40), (25, 30, 30, 30), (30, 20, 20, 20), (35, 5, 5, 5)),
    ...                           38.0, supplier=True),
    ...                  SoftPart("oil", "sunflower_oil", 0.5, "liquid")))
    >>> here = half.at("here", 20)
    >>> round(here.low), round(here.high), here.word
    (5, 25, 'soft to spreadable')
    """

    parts: tuple[SoftPart, ...]

    def of_group(self, group: str) -> tuple[SoftPart, ...]:
        """The parts of one group."""
        return tuple(p for p in self.parts if p.group == group)

    def share(self, group: str) -> float:
        """Share of one group. [fraction]"""
        return math.fsum(p.share for p in self.of_group(group))

    @property
    def _width(self) -> tuple[float, float]:
        curves = self.of_group("curve")
        ours = all(p.supplier for p in curves) and len({p.family for p in curves}) == 1
        return (SUPPLIER_BY, SUPPLIER_BY) if ours else (LITERATURE_BY, LITERATURE_WARM_BY)

    def band(self, temperatures_c: Sequence[float] | Array) -> SoftBand:
        """The band over temperatures.

        Parameters
        ----------
        temperatures_c : sequence of float
            Each -20 to 120, (n,). [°C]

        Returns
        -------
        SoftBand
            Solids of the fat phase. [% by mass]

        Notes
        -----
        Upper edge ``sum w S(T)``. With ``W`` the share of a family in what is no wax,
        ``dT = (R T²/dH) ln(1/W)``: lower edge ``sum w S(T + dT)`` with 80 kJ/mol less 4 points, middle
        with 120 kJ/mol. What has no figure counts as 0 in the lower and as all solid in the upper edge,
        and waxes by mass below their melting range. Liquid oils count as liquid, also in the cold.
        """
        at = np.asarray(temperatures_c, dtype=float)
        if at.ndim != 1 or not at.size or not np.isfinite(at).all() or at.min() < -20 or at.max() > 120:
            raise InvalidInput("softness, temperature", "it is out of range", "Enter -20 to 120 °C.")
        low, middle, high = np.zeros_like(at), np.zeros_like(at), np.zeros_like(at)
        fats = max(1.0 - self.share("sets"), 1e-12)
        curves = self.of_group("curve")
        for name in dict.fromkeys(p.family for p in curves):
            same = [p for p in curves if p.family == name]
            of_fats = min(math.fsum(p.share for p in same) / fats, 1.0)
            shift = GAS * (at + 273.15) ** 2 * math.log(1 / of_fats)
            for p in same:
                low += p.share * p.edges(at + shift / HEAT_LOW)[0]
                middle += p.share * p.edges(at + shift / HEAT_MIDDLE)[1]
                high += p.share * p.edges(at)[2]
        if curves:
            low, high = self._widened(at, low, high)
        for p in self.parts:
            if p.group == "unknown":
                gone = np.zeros_like(at) if p.melted_c is None else (at >= p.melted_c)
                high += 100 * p.share * (1 - gone)
                middle = np.where(gone, middle, np.nan)
            elif p.group == "sets":
                begins = p.melts_c if p.melts_c is not None else p.melted_c
                low += 0.0 if begins is None else 100 * p.share * (at < begins)
                high += 100 * p.share * (1.0 if p.melted_c is None else at < p.melted_c)
                middle = np.where(
                    (at < (begins if begins is not None else -np.inf)),
                    middle + 100 * p.share,
                    np.where(at >= (p.melted_c if p.melted_c is not None else np.inf), middle, np.nan),
                )
        high = np.clip(high, 0.0, 100.0)
        low = np.clip(np.minimum(low, high), 0.0, 100.0)
        return SoftBand(at, low, np.clip(middle, low, high), high)

    def _widened(self, at: Array, low: Array, high: Array) -> tuple[Array, Array]:
        """The edges with what the figures themselves may be off; fats alone, no waxes yet."""
        curves = self.of_group("curve")
        usual, warm = self._width
        by = np.where((at >= WARM_C[0]) & (at <= WARM_C[1]), warm, usual)
        least = np.maximum(low - LOWER_BY - by, 0.0)
        held = {name: [p for p in curves if p.key in ids] for name, ids in FAMILIES.items()}
        if held["lauric"] and held["cocoa-like"]:
            linear = sum(p.share * p.edges(at)[0] for p in curves)
            inside = (at >= MIXED_C[0]) & (at <= MIXED_C[1])
            least = np.where(inside, np.minimum(least, np.maximum(linear - MIXED_BY, 0.0)), least)
        most = np.where(high > 0, np.minimum(high + by, 100 * self.share("curve")), 0.0)
        return least, most

    def at(self, place: str, cold_c: float, warm_c: float | None = None) -> SoftAt:
        """How soft it is in one place.

        Parameters
        ----------
        place : str
            In words.
        cold_c : float
            Coldest there. [°C]
        warm_c : float, optional
            Warmest there; the same where it is left out. [°C]

        Returns
        -------
        SoftAt
            The word and the band.
        """
        cold = checked(cold_c, "softness, temperature", low=-20, high=120, unit="°C")
        warm = cold if warm_c is None else checked(warm_c, "softness, temperature", low=cold, high=120)
        made = self.band([cold, warm])
        low, high = float(made.low[1]), float(made.high[0])
        word, why = self._word(low, high, cold, warm)
        return SoftAt(place, cold, warm, low, high, word, why)

    def _word(self, low: float, high: float, cold: float, warm: float) -> tuple[str, str]:
        setting = [p for p in self.of_group("sets") if p.melts_c is None or p.melts_c > warm]
        if math.fsum(p.share for p in setting) >= SETS_LEAST:
            names = ", ".join(dict.fromkeys(p.name for p in setting))
            first_c = min((p.melts_c for p in setting if p.melts_c is not None), default=None)
            if low >= WORD_FROM[-1]:
                return WORDS[-1], ""
            until = "" if first_c is None else f" up to {first_c:.0f} °C at least"
            return CANNOT_SAY, f"set by {names}{until}; how firm, only the bench tells"
        first, last = (int(np.searchsorted(WORD_FROM, x, side="right")) for x in (low, high))
        unknown = [p for p in self.of_group("unknown") if p.melted_c is None or p.melted_c > warm]
        if last > first and unknown:
            names = ", ".join(dict.fromkeys(p.name for p in unknown))
            return CANNOT_SAY, f"no solids figure for {names}"
        if last <= 1 and cold < LIQUID_FROM_C and self.share("liquid") >= CLOUDS_FROM:
            return CANNOT_SAY, "liquid oils may cloud or set there, and have no solids figure"
        if last > first + 1:
            return CANNOT_SAY, f"anything from {WORDS[first]} to {WORDS[last]} fits the figures"
        return (WORDS[first] if first == last else f"{WORDS[first]} to {WORDS[last]}"), ""

    @property
    def places(self) -> tuple[SoftAt, ...]:
        """How soft it is in a fridge, a cool room, a room, on a warm shelf and in a hot parcel."""
        made = self.band([c for _, cold, warm in PLACES for c in (cold, warm)])
        found = []
        for n, (place, cold, warm) in enumerate(PLACES):
            low, high = float(made.low[2 * n + 1]), float(made.high[2 * n])
            found.append(SoftAt(place, cold, warm, low, high, *self._word(low, high, cold, warm)))
        return tuple(found)

    @staticmethod
    def words(places: Sequence[SoftAt]) -> str:
        """The places in one sentence, like ones together.

        Parameters
        ----------
        places : sequence of SoftAt
            As `places` gives them.

        Returns
        -------
        str
            For people.
        """
        said: list[tuple[list[str], str]] = []
        for p in places:
            word = p.word + (f" ({p.why})" if p.why else "")
            if said and said[-1][1] == word:
                said[-1][0].append(p.place)
            else:
                said.append(([p.place], word))
        return "; ".join(f"{', '.join(where)}: {word}" for where, word in said)


def softness_of(worked: Worked) -> Softness:
    """Softness of the fat phase of a formula.

    Parameters
    ----------
    worked : Worked
        Oil side and emulsifiers count, with bought blends split; of a formula with portions, the base.

    Returns
    -------
    Softness
        With the supplier's solids where they were typed.

    Raises
    ------
    EmptyPhase
        If there is no fat.

    Examples
    --------
    >>> from hlbcore import Formula, Line, work_out
    >>> f = Formula("Body oil", "whipped butter", [Line("olive oil", 80), Line("squalane", 20)])
    >>> softness_of(work_out(f)).at("in a room", 20, 25).word
    'liquid'
    """
    lines = [x for x in worked.base_lines if x.is_fat and x.active > 0]
    whole = math.fsum(x.active for x in lines)
    if whole <= 0:
        raise EmptyPhase("The fat phase", "Enter oils, butters or waxes.")
    typed = {worked.library.key(name): points for name, points in worked.facts.solid_fat}
    held: dict[str, SoftPart] = {}
    for x in lines:
        share = x.active / whole + (held[x.key].share if x.key in held else 0.0)
        held[x.key] = soft_part(x, share, typed.get(x.key))
    return Softness(tuple(held.values()))
