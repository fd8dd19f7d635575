"""Ingredients and readings of the user's own, to be laid over the tables."""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore._numbers import checked, checked_text, checked_word
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX
from hlbcore.ingredients import EMULSIONS, KINDS, NAME_MAX, fold
from hlbcore.quantities import COLD_C, HOT_C
from hlbcore.readings import LADDER_FLOOR, Reading

TEXT_MAX = 2000
"""Longest note of an own ingredient or reading. [characters] Our convention."""


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
        for what, (least, most) in {"dose_pct": (0, 100), "temperature_c": (COLD_C, HOT_C)}.items():
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
