"""The parts of a formula: lines, portions, bought blends, facts, problems."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from hlbcore._numbers import checked, checked_text, checked_word
from hlbcore.blending.verdict import SupplierRate
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import Estimate

PHASES = ("water", "oil", "cool-down", "solids")
"""Usual phases, in the order of work; a formula may name its own."""

ROLES = ("auto", "oil", "emulsifier")
"""Side of a two-sided ingredient; ``auto`` follows the tables."""

AREAS = ("body", "face", "lips", "eye area")
"""Where a product is used."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a formula.

    Parameters
    ----------
    name : str
        The ingredient, by any of its names.
    pct : float
        As bought; text such as ``"12,5 %"`` is read. [% of formula]
    phase : str
        Phase it goes into; blank while unknown.
    role : str
        ``"oil"`` or ``"emulsifier"`` for a two-sided ingredient, else ``"auto"``.
    active_pct : float
        Active part of what is bought. [% of the line]
    portion : str, optional
        The portion that it is added to; then `pct` is on top of 100 parts of base.
    note : str
        Free text.
    own : Estimate, optional
        A figure of the user's own: required HLB of an oil, or HLB of an emulsifier. [HLB]
    supplier : SupplierRate, optional
        Supplier's rate and oil limit of an all-in-one wax. [% of formula]
    """

    name: str
    pct: float
    phase: str = field(default="", kw_only=True)
    role: str = field(default="auto", kw_only=True)
    active_pct: float = field(default=100.0, kw_only=True)
    portion: str | None = field(default=None, kw_only=True)
    note: str = field(default="", kw_only=True)
    own: Estimate | None = field(default=None, kw_only=True)
    supplier: SupplierRate | None = field(default=None, kw_only=True)

    def __post_init__(self) -> None:
        item = f"line '{clipped(self.name)}'"
        for name in ("name", "phase", "note"):
            checked_text(getattr(self, name), f"{item}, {name}")
        if self.portion is not None:
            checked_text(self.portion, f"{item}, portion")
        object.__setattr__(self, "pct", checked(self.pct, f"{item}, amount", low=0, unit="%"))
        active = checked(self.active_pct, f"{item}, active part", low=0, high=100, unit="%")
        object.__setattr__(self, "active_pct", active)
        object.__setattr__(self, "role", checked_word(self.role, ROLES, f"{item}, role"))

    @property
    def active(self) -> float:
        """The active part. [% of formula]"""
        return self.pct * self.active_pct / 100


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
        What it is made of.
    """

    name: str
    parts: tuple[CompositePart, ...]

    def __post_init__(self) -> None:
        checked_text(self.name, "composite, name")
        object.__setattr__(self, "parts", tuple(self.parts))

    @classmethod
    def from_dict(cls, raw: Mapping[str, Any]) -> Composite:
        """The blend from the form that JSON holds.

        Parameters
        ----------
        raw : mapping
            With ``name`` and ``parts``.

        Returns
        -------
        Composite
            Raises KeyError, TypeError or ValueError where the form is another.
        """
        if odd := sorted(set(raw) - {"name", "parts"}):
            raise ValueError(f"'{odd[0]}' is not a field of it")
        return cls(raw["name"], tuple(CompositePart(**p) for p in raw["parts"]))


@dataclass(frozen=True, slots=True)
class Facts:
    """What a check may need beside the lines; None where it is not known, and nothing is guessed.

    Parameters
    ----------
    ph : float, optional
        Measured pH of the product. [-]
    area : str
        Where it is used, one of `AREAS`.
    cleansing : bool, optional
        Whether it claims to cleanse.
    hottest_c : float, optional
        Highest process temperature. [°C]
    cool_down_c : float, optional
        Temperature at which the cool-down phase goes in. [°C]
    fragrance_max_pct : float, optional
        Supplier's maximum for this product category. [% of formula]
    fragrance_max_c : float, optional
        Supplier's heat limit of the fragrance. [°C]
    fragrance_allergens : tuple of (str, float)
        Allergens on the supplier's sheet and their share. [% of the fragrance]
    dioxane_ppm : float, optional
        Supplier's 1,4-dioxane figure of the ethoxylated emulsifiers. [ppm]
    """

    ph: float | None = None
    area: str = "body"
    cleansing: bool | None = None
    hottest_c: float | None = None
    cool_down_c: float | None = None
    fragrance_max_pct: float | None = None
    fragrance_max_c: float | None = None
    fragrance_allergens: tuple[tuple[str, float], ...] = ()
    dioxane_ppm: float | None = None

    def __post_init__(self) -> None:
        limits = {
            "ph": (0.0, 14.0),
            "hottest_c": (-30.0, 250.0),
            "cool_down_c": (-30.0, 250.0),
            "fragrance_max_pct": (0.0, 100.0),
            "fragrance_max_c": (-30.0, 250.0),
            "dioxane_ppm": (0.0, 1e6),
        }
        for name, (low, high) in limits.items():
            value = getattr(self, name)
            if value is not None:
                object.__setattr__(self, name, checked(value, f"fact, {name}", low=low, high=high))
        if not (self.cleansing is None or isinstance(self.cleansing, bool)):
            raise InvalidInput(
                "fact, cleansing",
                f"'{clipped(self.cleansing)}' is neither yes nor no",
                "Choose one, or leave it open.",
            )
        object.__setattr__(self, "area", checked_word(self.area, AREAS, "fact, area"))
        held = tuple(
            (str(n), checked(p, f"allergen '{clipped(n)}'", low=0, high=100, unit="%"))
            for n, p in self.fragrance_allergens
        )
        object.__setattr__(self, "fragrance_allergens", held)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that keeps a formula from being whole.

    Parameters
    ----------
    line : int or None
        Number of the line, from 0 [-]; None for the formula as a whole.
    text : str
        What is wrong, by how much, and the mend.
    """

    line: int | None
    text: str
