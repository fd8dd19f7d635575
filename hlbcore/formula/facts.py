"""What checks may need beside the lines, and its form as typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from hlbcore._numbers import checked, checked_text, checked_word
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.formula.named import named_numbers, named_text
from hlbcore.quantities import (
    COLD_C,
    HOT_C,
    SIZE,
    STRESS,
    TEMPERATURE,
    VISCOSITY,
    Curve,
    read_quantity,
    read_solids,
    rising,
    solids_text,
)
from hlbcore.typed import in_full

AREAS = ("body", "face", "lips", "eye area")
"""Where a product is used."""

OUTER_PHASES = ("water", "oil")
"""What the droplets lie in, once it was tried: by dilution or with a dye."""

QUANTITIES = {
    "grain_um": ("grain size", SIZE, 5.0, 20_000.0),
    "yield_pa": ("yield stress", STRESS, 0.0, 10_000.0),
    "viscosity_mpas": ("low-shear viscosity of the outer phase", VISCOSITY, 0.1, 1e9),
}
"""Facts that carry a unit: what they are, their units, least and greatest. [first unit]"""

FACT_NUMBERS = (
    "ph",
    "hottest_c",
    "cool_down_c",
    "fragrance_max_pct",
    "fragrance_max_c",
    "dioxane_ppm",
    "grain_bulk_g",
)
"""Facts that are numbers."""


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
    fragrance_allergens : tuple of (str, float), or str
        Allergens on the supplier's sheet and their share. [% of the fragrance]
    dioxane_ppm : float, optional
        Supplier's 1,4-dioxane figure of the ethoxylated emulsifiers. [ppm]
    grain_um : float, optional
        Size of the scrub grains. [µm]
    grain_bulk_g : float, optional
        Grains that fill 100 mL, loose. [g]
    yield_pa : float, optional
        Measured yield stress of what lies between the grains; never a yield value read from two
        speeds of a spindle. [Pa]
    viscosity_mpas : float, optional
        Measured low-shear viscosity of the outer phase. [mPa s]
    outer_phase : str
        One of `OUTER_PHASES` where it was tried; blank where it was not.
    solid_fat : tuple of (str, tuple of (float, float)), or str
        The supplier's solids by fat: temperature [°C] and solids [% by mass].
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
    grain_um: float | None = None
    grain_bulk_g: float | None = None
    yield_pa: float | None = None
    viscosity_mpas: float | None = None
    outer_phase: str = ""
    solid_fat: tuple[Curve, ...] = ()

    def __post_init__(self) -> None:
        limits = {
            "ph": (0.0, 14.0),
            "hottest_c": (COLD_C, HOT_C),
            "cool_down_c": (COLD_C, HOT_C),
            "fragrance_max_pct": (0.0, 100.0),
            "fragrance_max_c": (COLD_C, HOT_C),
            "dioxane_ppm": (0.0, 1e6),
            "grain_bulk_g": (5.0, 2500.0),
        }
        for name, (low, high) in limits.items():
            value = getattr(self, name)
            if value is not None:
                object.__setattr__(self, name, checked(value, f"fact, {name}", low=low, high=high))
        for name, (item, units, low, high) in QUANTITIES.items():
            if (met := getattr(self, name)) is not None:
                object.__setattr__(self, name, read_quantity(met, item, units, low=low, high=high))
        if self.outer_phase:
            word = checked_word(self.outer_phase, OUTER_PHASES, "fact, outer phase")
            object.__setattr__(self, "outer_phase", word)
        curves = tuple(
            (str(n), rising(f"solids from the supplier, '{clipped(n)}'", dict(points)))
            for n, points in _as_typed("solid_fat", self.solid_fat)
        )
        object.__setattr__(self, "solid_fat", curves)
        if not (self.cleansing is None or isinstance(self.cleansing, bool)):
            raise InvalidInput(
                "fact, cleansing",
                f"'{clipped(self.cleansing)}' is neither yes nor no",
                "Choose one, or leave it open.",
            )
        object.__setattr__(self, "area", checked_word(self.area, AREAS, "fact, area"))
        held = tuple(
            (str(n), checked(p, f"allergen '{clipped(n)}'", low=0, high=100, unit="%"))
            for n, p in _as_typed("fragrance_allergens", self.fragrance_allergens)
        )
        object.__setattr__(self, "fragrance_allergens", held)


def _as_typed(name: str, value: Any) -> Any:
    """What is written as text is read as in its field."""
    return _fact(name, value) if isinstance(value, str) else value


NO_FACTS = Facts()
"""Nothing known beside the lines."""

FactTexts = tuple[tuple[str, str], ...]


def facts_typed(given: Facts | Mapping[str, str] | Sequence[tuple[str, str]]) -> FactTexts:
    """The facts as texts by name; of two of one name the later one that says something."""
    if not isinstance(given, Facts):
        held: dict[str, str] = {}
        for name, text in given.items() if isinstance(given, Mapping) else given:
            if checked_text(text, f"fact, {name}").strip() or name not in held:
                held[checked_text(name, "fact")] = text
        return tuple(held.items())
    found = [(name, in_full(value)) for name in FACT_NUMBERS if (value := getattr(given, name)) is not None]
    if given.area != NO_FACTS.area:
        found.append(("area", given.area))
    if given.cleansing is not None:
        found.append(("cleansing", "yes" if given.cleansing else "no"))
    for name in QUANTITIES:
        if (met := getattr(given, name)) is not None:
            found.append((name, in_full(met)))
    if given.outer_phase:
        found.append(("outer_phase", given.outer_phase))
    if given.solid_fat:
        found.append(("solid_fat", solids_text(given.solid_fat)))
    if given.fragrance_allergens:
        found.append(("fragrance_allergens", named_text(given.fragrance_allergens)))
    return tuple(found)


def read_facts(typed: FactTexts) -> tuple[Facts, dict[str, str]]:
    """The facts that can be read, and a sentence for each that cannot; one bad field loses no other."""
    given: dict[str, object] = {}
    problems: dict[str, str] = {}
    for name, text in typed:
        if not text.strip():
            continue
        try:
            value = _fact(name, text)
            Facts(**{name: value})  # type: ignore[arg-type]
        except HlbError as error:
            problems[name] = str(error)
            continue
        given[name] = value
    return Facts(**given), problems  # type: ignore[arg-type]


def _fact(name: str, text: str) -> object:
    if name.endswith("_c"):
        item = name.removesuffix("_c").replace("_", " ")
        return read_quantity(text, item, TEMPERATURE, low=COLD_C, high=HOT_C)
    if name in FACT_NUMBERS:
        return checked(text, name.replace("_", " "))
    if name == "fragrance_allergens":
        return named_numbers(text, "fragrance allergens")
    if name == "cleansing":
        return {"yes": True, "no": False}.get(text.strip().casefold(), text)
    if name in QUANTITIES:
        item, units, low, high = QUANTITIES[name]
        return read_quantity(text, item, units, low=low, high=high)
    if name == "solid_fat":
        return read_solids(text)
    if name in ("area", "outer_phase"):
        return text
    raise InvalidInput(f"fact, {clipped(name)}", "there is no fact of that name", "Delete it.")
