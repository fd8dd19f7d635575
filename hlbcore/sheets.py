"""What a supplier's sheet says of an emulsifier: typed once, used in every formula."""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore._numbers import checked, checked_text, checked_word
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX
from hlbcore.ingredients import NAME_MAX, TEXT_MAX, OwnReading, fold
from hlbcore.limits import check_length
from hlbcore.readings import Reading

RATE_BASES = ("formula", "oil phase", "water phase")
"""What a supplier's rate can be a percentage of."""

_ENDS = (("low_pct", "high_pct"), ("oil_low_pct", "oil_high_pct"), ("ph_low", "ph_high"))
_MOST = {"ph_low": 14.0, "ph_high": 14.0, "hlb": HLB_MAX}


@dataclass(frozen=True, slots=True)
class OwnSheet:
    """The figures of a supplier's sheet for one emulsifier of the user's own.

    Parameters
    ----------
    name : str
        The emulsifier, by any of its names; a name that nobody knows makes a new emulsifier.
    low_pct, high_pct : float, optional
        The rate; one end may be open. [% of `basis`]
    basis : str
        One of `RATE_BASES`.
    oil_low_pct, oil_high_pct : float, optional
        Oil phase that the sheet allows. [% of formula]
    ph_low, ph_high : float, optional
        pH window of the product. [-]
    hlb : float, optional
        HLB as the sheet prints it. [HLB]
    inci : str
        Label name of a new emulsifier.
    on : str
        Date of the sheet.

    Raises
    ------
    InvalidInput
        For a sheet without any figure, ends in the wrong order, or a number out of range.

    Examples
    --------
    >>> from hlbcore import Formula, Line, load_library, work_out
    >>> lib = load_library(overlay=[OwnSheet("meadow wax", 4, 6, oil_high_pct=25)])
    >>> lines = [Line("water", 75), Line("olive oil", 20), Line("meadow wax", 5)]
    >>> work_out(Formula("cream", "o/w cream", lines), lib).verdict.word
    "in its supplier's range"
    """

    name: str
    low_pct: float | None = None
    high_pct: float | None = None
    basis: str = "formula"
    oil_low_pct: float | None = None
    oil_high_pct: float | None = None
    ph_low: float | None = None
    ph_high: float | None = None
    hlb: float | None = None
    inci: str = ""
    on: str = ""

    def __post_init__(self) -> None:
        item = f"supplier's sheet of '{clipped(self.name)}'"
        put = object.__setattr__
        for text, most in (("name", NAME_MAX), ("inci", TEXT_MAX), ("on", TEXT_MAX)):
            held = " ".join(checked_text(getattr(self, text), f"{item}, {text}").split())
            check_length(held, f"{item}, {text}", most)
            put(self, text, held)
        if not fold(self.name):
            raise InvalidInput(item, "the name is blank", "Name the emulsifier.")
        put(self, "basis", checked_word(self.basis, RATE_BASES, f"{item}, basis"))
        for end in (*(e for pair in _ENDS for e in pair), "hlb"):
            if (met := getattr(self, end)) is not None:
                what = f"{item}, {end.removesuffix('_pct').replace('_', ' ')}"
                put(self, end, checked(met, what, low=0, high=_MOST.get(end, 100.0)))
        for low, high in _ENDS:
            a, b = getattr(self, low), getattr(self, high)
            if a is not None and b is not None and a > b:
                raise InvalidInput(item, f"{a:g} to {b:g}: the low end lies above the high end", "Swap them.")
        if all(getattr(self, e) is None for e in (*(e for pair in _ENDS for e in pair), "hlb")):
            mend = "Enter a rate, an oil limit, a pH window or an HLB."
            raise InvalidInput(item, "it holds no figure", mend)

    @property
    def has_rate(self) -> bool:
        """Whether it says a rate."""
        return self.low_pct is not None or self.high_pct is not None

    @property
    def reading(self) -> Reading | None:
        """Its HLB as a reading of the user's own; None where it prints none. [HLB]"""
        if self.hlb is None:
            return None
        return OwnReading(self.name, self.hlb, quantity="HLB", method="supplier's sheet", on=self.on).reading

    @property
    def text(self) -> str:
        """What it says, in words."""
        said = []
        if self.has_rate:
            said.append(f"{span(self.low_pct, self.high_pct, ' %')} of the {self.basis}")
        if self.oil_low_pct is not None or self.oil_high_pct is not None:
            said.append(f"{span(self.oil_low_pct, self.oil_high_pct, ' %')} oil phase")
        if self.ph_low is not None or self.ph_high is not None:
            said.append(f"pH {span(self.ph_low, self.ph_high)}")
        if self.hlb is not None:
            said.append(f"HLB {self.hlb:g}")
        return ", ".join(said)


def span(low: float | None, high: float | None, unit: str = "") -> str:
    """A range in words, one end perhaps open.

    Parameters
    ----------
    low, high : float or None
        The ends; at least one is a number. [any one unit]
    unit : str
        Written behind it.

    Returns
    -------
    str
        For people.

    Examples
    --------
    >>> span(4, 6, " %"), span(25, None, " %"), span(None, 30)
    ('4 to 6 %', '25 % or more', 'up to 30')
    """
    if low is None:
        return f"up to {high:g}{unit}"
    if high is None:
        return f"{low:g}{unit} or more"
    return f"{low:g}{unit}" if low == high else f"{low:g} to {high:g}{unit}"
