"""Ingredients, sources and readings as typed objects; a figure is made only in `Estimate`."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass

from hlbcore._numbers import checked, checked_text, checked_word
from hlbcore.errors import InvalidInput, MissingValue, clipped
from hlbcore.estimate import DEFINED_FLOOR, EMULSIFIER_FLOOR, HLB_MAX, REQUIRED_HLB_FLOOR, Estimate
from hlbcore.readings import GRADES, LADDER_FLOOR, LONE_FLOOR, Reading

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

TEXT_MAX = 2000
"""Longest note of an own ingredient or reading. [characters] Our convention."""

SOURCE_KINDS = (
    "handbook",
    "paper",
    "supplier",
    "standard",
    "regulation",
    "teaching",
    "blog",
    "practice",
    "memory",
)


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure was published.

    Parameters
    ----------
    key : str
        Author and year.
    kind : str
        handbook, paper, supplier, standard, regulation, teaching, blog, practice or memory.
    authors, title, year, publisher_or_journal, doi_or_url, read_on, note : str
        The citation.
    root : str
        Where its figures come from, ``;`` between several; blank where that was not judged.
    place : int
        1 the one who found them, 2 copied, 3 copy of a copy; 0 where that was not judged.
    """

    key: str
    kind: str
    authors: str = ""
    title: str = ""
    year: str = ""
    publisher_or_journal: str = ""
    doi_or_url: str = ""
    read_on: str = ""
    note: str = ""
    root: str = ""
    place: int = 0

    @property
    def roots(self) -> tuple[str, ...]:
        """Its roots, the first one leading."""
        return tuple(r for part in self.root.split(";") if (r := part.strip()))

    @property
    def citation(self) -> str:
        """The citation as one line."""
        parts = (self.authors, self.title, self.publisher_or_journal, self.year, self.doi_or_url)
        line = ". ".join(p.rstrip(".") for p in parts if p)
        return f"{line} (from memory, not opened)" if self.kind == "memory" else line


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


def _own_text(value: str, item: str, longest: int = TEXT_MAX) -> str:
    """The text without blanks at its ends; half a sign and over-long texts are refused."""
    text = checked_text(value, item).strip()
    if len(text) > longest:
        raise InvalidInput(item, f"it has {len(text)} characters", f"Use at most {longest} characters.")
    if any("\ud800" <= c <= "\udfff" for c in text):
        raise InvalidInput(item, "it holds half a sign that no file can keep", "Type it again.")
    return text


def _own_name(name: str, item: str) -> str:
    text = _own_text(name, f"{item}, name", NAME_MAX)
    if not fold(text):
        raise InvalidInput(item, "the name is blank", "Name the ingredient.")
    return text


@dataclass(frozen=True, slots=True)
class OwnIngredient:
    """An ingredient of the user's own; the tables are never changed by it.

    Parameters
    ----------
    name : str
        Name at the bench. Where the tables know it, they lead: label name and note are added where
        theirs are blank, aliases where nobody has them.
    kind : str
        One of `KINDS`; it decides how a new ingredient counts.
    inci : str
        Name on labels.
    note : str
        Free text.
    aliases : tuple of str
        Other names.

    Raises
    ------
    InvalidInput
        For a blank or over-long name, or a kind that the tables do not have.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> own = OwnIngredient("meadow butter", "butter", aliases=("green butter",))
    >>> load_library(overlay=[own]).oil("Green Butter").common_name
    'meadow butter'
    """

    name: str
    kind: str = "other"
    inci: str = ""
    note: str = ""
    aliases: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        item = f"own ingredient '{clipped(self.name)}'"
        object.__setattr__(self, "name", _own_name(self.name, item))
        object.__setattr__(self, "kind", checked_word(self.kind, tuple(KINDS), f"{item}, kind"))
        object.__setattr__(self, "inci", _own_text(self.inci, f"{item}, INCI name"))
        object.__setattr__(self, "note", _own_text(self.note, f"{item}, note"))
        if not isinstance(self.aliases, (list, tuple)):
            raise InvalidInput(item, "its other names are no list", "List them.")
        named = (_own_text(a, f"{item}, other names", NAME_MAX) for a in self.aliases)
        object.__setattr__(self, "aliases", tuple(dict.fromkeys(a for a in named if fold(a))))

    @property
    def convention(self) -> str:
        """How it counts, one of `CONVENTIONS`."""
        return KINDS[self.kind]


@dataclass(frozen=True, slots=True)
class OwnReading:
    """A figure of the user's own; it leads over the tables, and both are shown.

    Parameters
    ----------
    name : str
        Ingredient it belongs to; a name that nobody knows makes a new ingredient.
    value : float
        The figure. [HLB, 0 to 40]
    low, high : float, optional
        Its range. [HLB]
    quantity : str
        ``"required HLB"`` or ``"HLB"``.
    emulsion : str
        ``"o/w"`` or ``"w/o"``; for a required HLB only.
    half_rung : float
        Half the step of the ladder it comes from; the range is never narrower. [HLB]
    kind : str
        Kind of a new ingredient, one of `KINDS`.
    pair, method, on, trial : str
        Emulsifier pair, method, date and trial that it belongs to.
    dose_pct : float, optional
        Emulsifier in that trial. [% of formula]
    temperature_c : float, optional
        Temperature of that trial. [°C]

    Examples
    --------
    >>> from hlbcore import load_library
    >>> own = OwnReading("shea butter", 9.0, half_rung=0.5, on="2026-03-01")
    >>> load_library(overlay=[own]).oil("shea butter").required_hlb().value
    9.0
    """

    name: str
    value: float
    low: float | None = None
    high: float | None = None
    quantity: str = "required HLB"
    emulsion: str = "o/w"
    half_rung: float = LADDER_FLOOR
    kind: str = "oil"
    pair: str = ""
    method: str = ""
    on: str = ""
    trial: str = ""
    dose_pct: float | None = None
    temperature_c: float | None = None

    def __post_init__(self) -> None:
        item = f"own reading of '{clipped(self.name)}'"
        object.__setattr__(self, "name", _own_name(self.name, item))
        kind = checked_word(self.kind, tuple(KINDS), f"{item}, kind")
        object.__setattr__(self, "kind", kind)
        for text in ("pair", "method", "on", "trial"):
            object.__setattr__(self, text, _own_text(getattr(self, text), f"{item}, {text}"))
        for end in ("value", "low", "high"):
            if end == "value" or getattr(self, end) is not None:
                number = checked(getattr(self, end), f"{item}, {end}", low=0, high=HLB_MAX)
                object.__setattr__(self, end, number)
        word = checked_word(self.quantity, ("required HLB", "HLB"), f"{item}, quantity")
        object.__setattr__(self, "quantity", word)
        emulsion = checked_word(self.emulsion, EMULSIONS, f"{item}, emulsion")
        object.__setattr__(self, "emulsion", emulsion)
        rung = checked(self.half_rung, f"{item}, half rung", low=0, high=HLB_MAX)
        object.__setattr__(self, "half_rung", rung)
        for what, (least, most) in {"dose_pct": (0, 100), "temperature_c": (-30, 250)}.items():
            if (met := getattr(self, what)) is not None:
                number = checked(met, f"{item}, {what}", low=least, high=most)
                object.__setattr__(self, what, number)
        if not (self.low or 0.0) <= self.value <= (HLB_MAX if self.high is None else self.high):
            raise InvalidInput(item, "the value lies outside its range", "Mend the range.")

    @property
    def reading(self) -> Reading:
        """The reading it lays over the tables. [HLB]"""
        half = max(self.half_rung, LADDER_FLOOR)
        low = min(self.value - half, self.value if self.low is None else self.low)
        high = max(self.value + half, self.value if self.high is None else self.high)
        met = [f"pair {self.pair}" if self.pair else ""]
        met.append(f"dose {self.dose_pct:g} %" if self.dose_pct is not None else "")
        met.append(f"{self.temperature_c:g} °C" if self.temperature_c is not None else "")
        met.append(self.method)
        return Reading(
            self.value,
            "own",
            "own",
            max(low, 0.0),
            min(high, HLB_MAX),
            where=" ".join(w for w in (self.trial, self.on) if w),
            note="; ".join(m for m in met if m),
        )


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
    decomposed = unicodedata.normalize("NFKD", str(name)).casefold()
    return "".join(c for c in decomposed if c.isalnum()) or "".join(decomposed.split())
