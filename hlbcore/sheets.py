"""What a supplier's sheet says of an emulsifier: typed once, used in every formula."""

from __future__ import annotations

import re
from dataclasses import dataclass

from hlbcore._numbers import checked, checked_text, checked_word, read_range
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX
from hlbcore.ingredients import NAME_MAX, fold
from hlbcore.limits import check_length
from hlbcore.own_items import TEXT_MAX, OwnIngredient, OwnReading
from hlbcore.readings import Reading

RATE_BASES = ("formula", "oil phase", "water phase")
"""What a supplier's rate can be a percentage of."""

_BASIS = re.compile(r"\s*%?\s*of(?: the)? (?P<basis>[a-z ]+?)\s*$")
_SHORT = {"oil": "oil phase", "oils": "oil phase", "water": "water phase"}
_OPEN = (
    (re.compile(r"^(?:up to|at most|max(?:imum)?\.?|<=?|≤)\s*(?P<end>.+)$"), "high"),
    (re.compile(r"^(?:from|at least|min(?:imum)?\.?|>=?|≥)\s*(?P<end>[^-–]+)$"), "low"),
    (re.compile(r"^(?P<end>.+?) (?:or|and) (?:more|above|over)$"), "low"),
)
_ENDS = (("low_pct", "high_pct"), ("oil_low_pct", "oil_high_pct"), ("ph_low", "ph_high"))
SHEET_ENDS = tuple(end for pair in _ENDS for end in pair)
"""Names of the ends of a sheet's ranges."""
_WORDS = dict(
    zip((*SHEET_ENDS, "hlb"), ("rate", "rate", "oil limit", "oil limit", "pH", "pH", "HLB"), strict=True)
)
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
        for end in (*SHEET_ENDS, "hlb"):
            if (met := getattr(self, end)) is not None:
                put(self, end, checked(met, f"{item}, {_WORDS[end]}", low=0, high=_MOST.get(end, 100.0)))
        for low, high in _ENDS:
            a, b = getattr(self, low), getattr(self, high)
            if a is not None and b is not None and a > b:
                raise InvalidInput(item, f"{a:g} to {b:g}: the low end lies above the high end", "Swap them.")
        if all(getattr(self, e) is None for e in (*SHEET_ENDS, "hlb")):
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


Own = OwnReading | OwnIngredient | OwnSheet
"""What the user lays over the tables."""


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


def read_basis(text: str, item: str) -> tuple[str, str]:
    """A rate as typed, parted from its basis.

    Parameters
    ----------
    text : str
        ``3 to 5 %``, ``20 % of the oil phase``.
    item : str
        What it belongs to; stands in the message.

    Returns
    -------
    tuple of str
        The figures, and one of `RATE_BASES`; blank where no basis is written.

    Raises
    ------
    InvalidInput
        For a basis that is none of these.

    Examples
    --------
    >>> read_basis("20 % of the oil phase", "my wax"), read_basis("4 to 6 %", "my wax")
    (('20', 'oil phase'), ('4 to 6 %', ''))
    """
    folded = " ".join(text.casefold().split())
    found = _BASIS.search(folded)
    if found is None:
        return folded, ""
    basis = {"oil": "oil phase", "oils": "oil phase", "water": "water phase"}.get(
        found["basis"], found["basis"]
    )
    if basis not in RATE_BASES:
        raise InvalidInput(
            item, f"'{clipped(basis)}' is no basis of a rate", f"Write % of the {', '.join(RATE_BASES)}."
        )
    return folded[: found.start()], basis


def with_basis(rate: str, basis: str) -> str:
    """A rate with the basis that was chosen beside it, where none is written.

    Parameters
    ----------
    rate : str
        As typed. [% of `basis`]
    basis : str
        One of `RATE_BASES`.

    Returns
    -------
    str
        For `own_sheet`.

    Examples
    --------
    >>> with_basis("4 to 6", "formula"), with_basis("20 % of the oil phase", "formula")
    ('4 to 6 % of the formula', '20 % of the oil phase')
    """
    text = rate.strip().removesuffix("%").strip()
    return f"{text} % of the {basis}" if text and not read_basis(rate, "rate")[1] else rate


def read_span(text: str, item: str, unit: str = "") -> tuple[float | None, float | None]:
    """A range of a sheet as typed, one end perhaps open; both None for a blank.

    Parameters
    ----------
    text : str
        ``5 to 8``, ``up to 25 %``, ``3 or more``; a number alone is both ends.
    item : str
        What it belongs to; stands in the message.
    unit : str
        The only unit that may stand behind a number.

    Returns
    -------
    tuple of float or None
        Low and high end. [as typed]

    Examples
    --------
    >>> read_span("up to 25 %", "oil limit", "%"), read_span("5 to 8", "pH"), read_span(" ", "pH")
    ((None, 25.0), (5.0, 8.0), (None, None))
    """
    folded = " ".join(text.casefold().split())
    if not folded:
        return None, None
    for pattern, end in _OPEN:
        if found := pattern.match(folded):
            number = checked(found["end"], item, unit=unit)
            return (None, number) if end == "high" else (number, None)
    return read_range(folded, item, unit)


def own_sheet(
    name: str,
    *,
    rate: str = "",
    oil_limit: str = "",
    ph: str = "",
    hlb: str = "",
    inci: str = "",
    on: str = "",
) -> OwnSheet:
    """A supplier's sheet as typed.

    Parameters
    ----------
    name : str
        The emulsifier, by any of its names.
    rate : str
        ``3 to 5 % of the formula``, ``20 % of the oil phase``; the basis must be there.
    oil_limit : str
        Oil phase that it carries: ``25``, ``5 to 25 %``; a number alone is the most. [% of formula]
    ph : str
        pH window: ``5 to 8``. [-]
    hlb : str
        As the sheet prints it. [HLB]
    inci, on : str
        Label name of a new emulsifier, and date of the sheet.

    Returns
    -------
    OwnSheet
        To be kept, and laid over the tables.

    Raises
    ------
    InvalidInput
        For a text that cannot be used, or a rate without a basis; it names the field.

    Examples
    --------
    >>> own_sheet("meadow wax", rate="4 to 6 % of the formula", oil_limit="25", ph="5-8").text
    '4 to 6 % of the formula, up to 25 % oil phase, pH 5 to 8'
    """
    item = f"supplier's sheet of '{clipped(name)}'"
    figures, basis = read_basis(rate, f"{item}, rate")
    if figures.strip() and not basis:
        raise InvalidInput(
            f"{item}, rate",
            f"'{clipped(rate)}' has no basis",
            f"Write behind it what it is a share of: % of the {', '.join(RATE_BASES)}.",
        )
    low, high = read_span(figures, f"{item}, rate", "%")
    oil_low, oil_high = read_span(oil_limit, f"{item}, oil limit", "%")
    if oil_low is not None and oil_low == oil_high:
        oil_low = None
    ph_low, ph_high = read_span(ph, f"{item}, pH")
    return OwnSheet(
        name,
        low,
        high,
        basis or "formula",
        oil_low,
        oil_high,
        ph_low,
        ph_high,
        checked(hlb, f"{item}, HLB") if hlb.strip() else None,
        inci,
        on,
    )
