"""The parts of a formula: lines, portions, bought blends, facts, aims, problems."""

from __future__ import annotations

from dataclasses import dataclass, replace

from hlbcore._numbers import Amount, checked, checked_text, checked_word
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import Estimate
from hlbcore.formula.fields import (
    amount_reader,
    figure_reader,
    figure_text,
    number_reader,
    rate_reader,
    read_plain,
    typed,
)
from hlbcore.sheets import RATE_BASES
from hlbcore.typed import Typed

PHASES = ("water", "oil", "cool-down", "solids")
"""Usual phases, in the order of work; a formula may name its own."""

SIDES = ("oil", "emulsifier", "outside")
"""Where a line counts: in the oil phase, among the emulsifiers, or in neither."""

KINDS = (
    "water",
    "preservative",
    "humectant",
    "gum",
    "active",
    "powder",
    "salt",
    "acid",
    "sugar",
    "colour",
    "fragrance",
    "essential oil",
)
"""Kinds that a name which nobody knows may be given; it then counts as that kind does."""

COUNTS = ("auto", *SIDES, *KINDS)
"""What a line can be made to count as; ``auto`` follows the tables."""

Given = float | str | Typed[float] | None


@dataclass(frozen=True, slots=True, init=False)
class Line:
    """One line of a formula, as typed.

    Parameters
    ----------
    name : str
        The ingredient, by any of its names.
    amount : Typed, str or float
        As bought: ``"12,5 %"``, ``"60 g"``; a number and a plain text are % of the formula, or grams
        where the aims say so. [% of formula, or a mass]
    phase : str
        Phase that it goes into; blank while unknown.
    counts : str
        One of `COUNTS`: a side for what stands on both, a side or a kind for an unknown name.
    own : Typed, str, float or Estimate
        A figure of the user's own: required HLB of an oil, HLB of an emulsifier; also a kind, or
        one of the tables' readings, see `read_figure`. [HLB]
    active : Typed, str or float
        Active part of what is bought; blank means 100. [% of the line]
    portion : str, optional
        The portion that it is added to; then its amount is on top of 100 parts of base.
    low, high : Typed, str or float
        Limits of an emulsifier. [% of formula]
    price : Typed, str or float
        Price. [price unit/kg]
    supplier_rate : Typed, str or (float, float)
        Supplier's rate of an emulsifier, ``"3 to 5 %"``, ``"20 % of the oil phase"``. [% of formula]
    oil_limit : Typed, str or float
        Most oil that it carries, by its supplier. [% of formula]
    note : str
        Free text.

    Raises
    ------
    InvalidInput
        For a number that cannot be used. A text is kept as typed, with its problem.

    Examples
    --------
    >>> Line("shea butter", "12,5 %", phase="oil").pct
    12.5
    """

    name: str
    amount: Typed[Amount]
    phase: str
    counts: str
    own: Typed[Estimate | str]
    active: Typed[float]
    portion: str | None
    low: Typed[float]
    high: Typed[float]
    price: Typed[float]
    supplier_rate: Typed[tuple[float, float, str]]
    oil_limit: Typed[float]
    note: str

    def __init__(
        self,
        name: str,
        amount: float | str | Typed[Amount] = "",
        *,
        phase: str = "",
        counts: str = "auto",
        own: float | str | Estimate | Typed[Estimate | str] | None = None,
        active: Given = None,
        portion: str | None = None,
        low: Given = None,
        high: Given = None,
        price: Given = None,
        supplier_rate: str | tuple[float, float] | Typed[tuple[float, float, str]] | None = None,
        oil_limit: Given = None,
        note: str = "",
        role: str | None = None,  # older name of counts
        active_pct: float | str | None = None,  # older name of active
    ) -> None:
        item = f"'{clipped(name)}'"
        for text, what in (
            (name, "name"),
            (phase, "phase"),
            (note, "note"),
            ("" if portion is None else portion, "portion"),
        ):
            checked_text(text, f"line {item}, {what}")
        put = object.__setattr__
        put(self, "name", name)
        put(self, "amount", typed(amount, amount_reader(item)))
        put(self, "phase", phase)
        put(self, "counts", checked_word(role or counts, COUNTS, f"{item}, counts as"))
        put(
            self,
            "own",
            typed(own, figure_reader(name), lambda given: figure_text(given, f"{item}, own figure")),
        )
        given = active if active_pct is None else active_pct
        put(self, "active", typed(given, number_reader(f"{item}, active part")))
        put(self, "portion", portion if portion and portion.strip() else None)
        put(self, "low", typed(low, number_reader(f"{item}, at least")))
        put(self, "high", typed(high, number_reader(f"{item}, at most")))
        put(self, "price", typed(price, lambda t: read_plain(t, f"{item}, price")))
        put(self, "supplier_rate", typed(supplier_rate, rate_reader(f"{item}, supplier's rate")))
        put(self, "oil_limit", typed(oil_limit, number_reader(f"{item}, oil limit")))
        put(self, "note", note)

    @property
    def pct(self) -> float:
        """The amount where it is plain or in %; 0 while blank or unreadable. [% of formula]"""
        held = self.amount.value
        return held.number if held is not None and held.unit in ("", "%") else 0.0

    @property
    def active_pct(self) -> float:
        """Active part; 100 where nothing was typed. [% of the line]"""
        return 100.0 if self.active.value is None else self.active.value

    @property
    def blank(self) -> bool:
        """Whether neither name nor amount is there yet."""
        return not self.name.strip() and not self.amount

    def with_amount(self, text: str) -> Line:
        """The same with another amount, as text with its unit."""
        return replace(self, amount=Typed.read(text, amount_reader(f"'{clipped(self.name)}'")))

    @property
    def supplier(self) -> SupplierRate | None:
        """What the supplier says of it, where rate and limit can be read."""
        if self.supplier_rate.value is None:
            return None
        low, high, basis = self.supplier_rate.value
        return SupplierRate(low, high, self.oil_limit.value, basis)

    def typed_fields(self) -> tuple[tuple[str, Typed[object]], ...]:
        """Names and contents of the fields that hold a number or a figure."""
        return tuple((name, getattr(self, name)) for name in TYPED_FIELDS)


TYPED_FIELDS = ("amount", "own", "active", "low", "high", "price", "supplier_rate", "oil_limit")
"""Fields of a line that are read once."""


@dataclass(frozen=True, slots=True)
class SupplierRate:
    """What a supplier says of an emulsifier.

    Parameters
    ----------
    low_pct, high_pct : float
        Rate. [% of `basis`]
    oil_limit_pct : float, optional
        Most oil it carries. [% of formula]
    basis : str
        One of `RATE_BASES`.

    Examples
    --------
    >>> SupplierRate(4, 6, oil_limit_pct=25).oil_limit_pct
    25.0
    """

    low_pct: float
    high_pct: float
    oil_limit_pct: float | None = None
    basis: str = "formula"

    def __post_init__(self) -> None:
        for name in ("low_pct", "high_pct", "oil_limit_pct"):
            value = getattr(self, name)
            if value is not None:
                item = f"supplier's figure, {name.removesuffix('_pct').replace('_', ' ')}"
                object.__setattr__(self, name, checked(value, item, low=0, high=100, unit="%"))
        basis = checked_word(self.basis, RATE_BASES, "supplier's rate, basis")
        object.__setattr__(self, "basis", basis)
        if self.low_pct > self.high_pct:
            raise InvalidInput("supplier's rate", "the low end lies above the high end", "Swap them.")


@dataclass(frozen=True, slots=True)
class Portion:
    """One part of a base that gets its own colour and fragrance.

    Parameters
    ----------
    name : str
        For example ``"rose"``.
    share_pct : float
        Share of the base that it takes. [% of the base]
    """

    name: str
    share_pct: float

    def __post_init__(self) -> None:
        checked_text(self.name, "portion, name")
        share = checked(self.share_pct, f"portion '{clipped(self.name)}'", low=0, high=100)
        object.__setattr__(self, "share_pct", share)


@dataclass(frozen=True, slots=True)
class CompositePart:
    """One part of a bought blend.

    Parameters
    ----------
    name : str
        The ingredient.
    pct : float
        Its share. [% of the blend]
    low, high : float, optional
        Range that the supplier declares. [% of the blend]
    """

    name: str
    pct: float
    low: float | None = None
    high: float | None = None

    def __post_init__(self) -> None:
        checked_text(self.name, "part, name")
        for end in ("pct", "low", "high"):
            value = getattr(self, end)
            if value is not None:
                item = f"part '{clipped(self.name)}', {end}"
                object.__setattr__(self, end, checked(value, item, low=0, high=100, unit="%"))


@dataclass(frozen=True, slots=True)
class Composite:
    """A bought blend with its declared parts: an emulsifying wax, a preservative blend.

    Parameters
    ----------
    name : str
        As the lines call it.
    parts : tuple of CompositePart
        What it is made of; pairs of name and share will do. [% of the blend]
    """

    name: str
    parts: tuple[CompositePart, ...]

    def __post_init__(self) -> None:
        checked_text(self.name, "composite, name")
        object.__setattr__(self, "parts", tuple(_part(p, self.name) for p in self.parts))


def _part(given: object, whole: str) -> CompositePart:
    if isinstance(given, CompositePart):
        return given
    if isinstance(given, tuple | list) and 2 <= len(given) <= 4:
        return CompositePart(*given)
    raise InvalidInput(
        f"parts of '{clipped(whole)}'",
        f"{clipped(repr(given), 60)} is no part",
        "Give each as a name and its share in %.",
    )


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that keeps a formula from being whole, or a field from being used.

    Parameters
    ----------
    line : int or None
        Number of the line, from 0 [-]; None for the formula as a whole.
    text : str
        What is wrong, by how much, and the mend.
    field : str
        The field of the line or of the formula, for example ``amount`` or ``batch``.
    """

    line: int | None
    text: str
    field: str = ""
