"""Ingredients, sources and readings as typed objects; a figure is made only in `Estimate`."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from hlbcore._numbers import checked_word
from hlbcore.errors import MissingValue
from hlbcore.estimate import DEFINED_FLOOR, EMULSIFIER_FLOOR, REQUIRED_HLB_FLOOR, Estimate
from hlbcore.readings import GRADES, LONE_FLOOR, Reading

EMULSIONS = ("o/w", "w/o")
"""Emulsion types."""

CONVENTIONS = ("oil", "emulsifier", "oil_or_emulsifier", "emulsifier_or_oil", "all_in_one", "base", "outside")
"""How an ingredient counts; of the two-sided ones the default stands first."""

KINDS = {
    "butter": "oil",
    "oil": "oil",
    "wax": "oil",
    "ester": "oil",
    "ether": "oil",
    "hydrocarbon": "oil",
    "silicone": "oil",
    "fatty alcohol": "oil_or_emulsifier",
    "fatty acid": "oil",
    "lanolin": "oil",
    "animal fat": "oil",
    "essential oil": "oil",
    "fragrance": "oil",
    "antioxidant": "oil",
    "emulsifier": "emulsifier",
    "emulsifying wax": "all_in_one",
    "base": "base",
    "water": "outside",
    "humectant": "outside",
    "preservative": "outside",
    "gum": "outside",
    "powder": "outside",
    "colour": "outside",
    "sugar": "outside",
    "salt": "outside",
    "acid": "outside",
    "active": "outside",
    "other": "outside",
}
"""Kinds of ingredients, and how most of a kind count: an own ingredient follows its kind."""

SYSTEMS = (
    "Griffin",
    "all-in-one wax",
    "ready blend",
    "lamellar",
    "glucoside",
    "sucrose",
    "olivate",
    "polyglyceryl",
    "methylglucose",
    "citrate",
    "lactylate",
    "glutamate",
    "phosphate",
    "soap",
    "sulfate",
    "cationic",
    "polymeric",
    "polymeric w/o",
    "silicone",
    "lecithin",
    "other",
)
"""How an emulsifier works: on Griffin's scale, or by what its supplier's sheet says."""

DEFINED_FAMILIES = (
    "sorbitan ester",
    "polysorbate",
    "ethoxylated alcohol",
    "PEG ester",
    "ethoxylated oil",
    "ethoxylated sorbitol ester",
    "ethoxylated alkylphenol",
    "ethoxylated lanolin",
)
"""Families whose maker defined the figure: their range may be half as wide."""

NAME_MAX = 200
"""Longest name of an own ingredient, and longest name compared with the tables. [characters]
Our convention."""


@dataclass(frozen=True, slots=True)
class Property:
    """One reading of a physical or chemical property.

    Parameters
    ----------
    name : str
        For example ``acid_value``.
    unit : str
        Its unit.
    value, low, high : float, optional
        The figure and the range that the source prints. [unit]
    temperature_c : float, optional
        Temperature of the reading. [°C]
    grade, source, where, note : str
        As for a `Reading`.
    """

    name: str
    unit: str
    value: float | None
    low: float | None
    high: float | None
    temperature_c: float | None
    grade: str
    source: str
    where: str = ""
    note: str = ""

    @property
    def middle(self) -> float | None:
        """The value, or the middle of the range where only a range is printed. [unit]"""
        if self.value is None and self.low is not None and self.high is not None:
            return (self.low + self.high) / 2
        return self.value


@dataclass(frozen=True, slots=True)
class Doubt:
    """A standing caution about a figure, with the range that it is never narrower than.

    Parameters
    ----------
    quantity : str
        ``"o/w"``, ``"w/o"`` or ``"HLB"``.
    low, high : float, optional
        The range; None where only the caution stands. [HLB]
    source, where, note : str
        Key in ``data/sources.csv``, the place in it, and the caution in words.
    """

    quantity: str
    low: float | None = None
    high: float | None = None
    source: str = ""
    where: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One ingredient of the tables, with all its readings.

    An emulsifier's own HLB (`hlb`) and a required HLB (`required_hlb`) are two separate things.

    Parameters
    ----------
    id : str
        Lower case, never reused.
    inci, common_name : str
        Name on labels and name at the bench.
    kind : str
        butter, oil, wax, ester, ... or emulsifier.
    charge, family, chain, form : str
        For emulsifiers: charge, chemical family, main fatty chain, form as supplied.
    peg_based : bool, optional
        Whether it holds oxyethylene; None where that does not apply.
    convention : str
        How it counts, one of `CONVENTIONS`.
    note : str
        Standing caution.
    aliases : tuple of str
        Other names.
    hlb_readings, ow_readings, wo_readings : tuple of Reading
        Readings of its own HLB, and of the HLB it requires as an oil in o/w and in w/o.
    properties : tuple of Property
        Melting points, acid values and the like.
    system : str
        How an emulsifier works, one of `SYSTEMS`; blank for everything else.
    doubts : tuple of Doubt
        Standing cautions about its figures.
    active_pct : float, optional
        Active share that the name looked up gives, as in "lactic acid 80 %". [%]
    parts : tuple of str
        Names of the parts of a blend that has no row of its own.
    by_kind : bool
        Whether its name alone says what kind it is; it then has no figures.
    """

    id: str
    inci: str
    common_name: str
    kind: str
    charge: str = ""
    family: str = ""
    chain: str = ""
    form: str = ""
    peg_based: bool | None = None
    convention: str = "outside"
    note: str = ""
    aliases: tuple[str, ...] = ()
    hlb_readings: tuple[Reading, ...] = ()
    ow_readings: tuple[Reading, ...] = ()
    wo_readings: tuple[Reading, ...] = ()
    properties: tuple[Property, ...] = ()
    system: str = ""
    doubts: tuple[Doubt, ...] = ()
    active_pct: float | None = None
    parts: tuple[str, ...] = ()
    by_kind: bool = False

    @property
    def hlb(self) -> Estimate | None:
        """Its own HLB as an emulsifier. [HLB]

        None where no reading exists, and where roots lie more than 3 apart: the name then fixes no
        figure, and the supplier's sheet decides (`hlb_printed`).
        """
        made = self._weighed_hlb
        return None if made is None or (made.alternatives and made.grade != "own") else made

    @property
    def hlb_printed(self) -> tuple[float, float] | None:
        """Lowest and highest HLB printed under its name where these are too far apart for a figure. [HLB]"""
        made = self._weighed_hlb
        if made is None or made.grade == "own" or not made.alternatives:
            return None
        return made.alternatives[0], made.alternatives[1]

    @property
    def _weighed_hlb(self) -> Estimate | None:
        if not self.hlb_readings:
            return None
        floor = DEFINED_FLOOR if self.family in DEFINED_FAMILIES else EMULSIFIER_FLOOR
        return Estimate.from_readings(self.hlb_readings, floor=floor, lone_floor=LONE_FLOOR)

    @property
    def hlb_judges(self) -> bool:
        """Whether HLB judges this emulsifier: the nonionics of Griffin's scale; else its supplier's rate."""
        return self.system == "Griffin"

    def caution(self, quantity: str) -> str:
        """The standing caution about one of its figures; blank where there is none.

        Parameters
        ----------
        quantity : str
            ``"o/w"``, ``"w/o"`` or ``"HLB"``.

        Returns
        -------
        str
            In words.
        """
        return " ".join(d.note for d in self.doubts if d.quantity == quantity)

    @property
    def is_solid(self) -> bool:
        """Whether it is sold as a solid."""
        return self.form == "solid"

    def readings(self, emulsion: str) -> tuple[Reading, ...]:
        """Readings of the HLB it requires as an oil.

        Parameters
        ----------
        emulsion : str
            ``"o/w"`` or ``"w/o"``.

        Returns
        -------
        tuple of Reading
            Empty where nothing is known; never filled from the other emulsion type.
        """
        word = checked_word(emulsion, EMULSIONS, "emulsion")
        return self.ow_readings if word == "o/w" else self.wo_readings

    def required_hlb(self, emulsion: str = "o/w") -> Estimate | None:
        """The HLB it requires as an oil.

        Parameters
        ----------
        emulsion : str
            ``"o/w"`` or ``"w/o"``.

        Returns
        -------
        Estimate or None
            None where no reading exists. [HLB]

        Examples
        --------
        >>> from hlbcore import load_library
        >>> load_library().oil("cocoa butter").required_hlb("o/w").value
        6.0
        """
        rows = self.readings(emulsion)
        if not rows:
            return None
        made = Estimate.from_readings(rows, floor=REQUIRED_HLB_FLOOR)
        for doubt in self.doubts:
            if doubt.quantity == emulsion.strip().casefold() and made.grade != "own":
                made = made.widened(
                    made.low if doubt.low is None else doubt.low,
                    made.high if doubt.high is None else doubt.high,
                )
        return made

    def property_values(self, name: str) -> tuple[Property, ...]:
        """All readings of one property.

        Parameters
        ----------
        name : str
            For example ``"acid_value"``.

        Returns
        -------
        tuple of Property
            Empty where nothing is known.
        """
        return tuple(p for p in self.properties if p.name == name)

    def property_value(self, name: str) -> Property:
        """The firmest reading of one property.

        Parameters
        ----------
        name : str
            For example ``"acid_value"``.

        Returns
        -------
        Property
            The first of the best grade present that has a figure.

        Raises
        ------
        MissingValue
            If nothing is known.
        """
        held = [p for p in self.property_values(name) if p.middle is not None]
        if not held:
            raise MissingValue(
                [self.common_name], name.replace("_", " "), "Give the figure of your supplier."
            )
        return min(held, key=lambda p: GRADES.index(p.grade))

    def __repr__(self) -> str:
        names = f"{self.common_name} ({self.inci})" if self.inci else self.common_name
        figures = {
            "HLB": self.hlb,
            "required HLB o/w": self.required_hlb("o/w"),
            "w/o": self.required_hlb("w/o"),
        }
        said = [f"{what} {e!r}" for what, e in figures.items() if e is not None]
        return "; ".join([f"{names}, {self.kind}", *said])


def fold(name: str) -> str:
    """A name without case, spacing, punctuation and accents, as the look-up compares it.

    Parameters
    ----------
    name : str
        Any name.

    Returns
    -------
    str
        Letters and digits only; a name of symbols alone keeps its symbols.

    Examples
    --------
    >>> fold("PEG-40 Stéarate")
    'peg40stearate'
    """
    return _folded(str(name))


@lru_cache(maxsize=4096)  # a page asks for the same names again and again
def _folded(name: str) -> str:
    decomposed = unicodedata.normalize("NFKD", name).casefold()
    return "".join(c for c in decomposed if c.isalnum()) or "".join(decomposed.split())
