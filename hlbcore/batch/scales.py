"""Scales: what they show, what they carry, and how far a weighed amount may be off.

Readability is the smallest step that is shown; it says nothing of how true the step is. What a scale
was found to do (spread of repeats, largest error) is typed where it was measured, and nothing is
guessed where it was not.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import SupportsFloat

from hlbcore._numbers import checked, checked_text, checked_word, grams
from hlbcore.errors import InvalidInput, clipped
from hlbcore.typed import in_full

TEN, LAW, TRADE, USP = "ten divisions", "20 e", "50 d", "USP <41>"

FLOORS: dict[str, tuple[float, str]] = {
    TEN: (10.0, "a step of rounding is at most 10 %, half a step 5 %; common practice, no source"),
    LAW: (
        20.0,
        "least load of a class III scale, OIML R 76, table 3 (seen second-hand); e taken as the step",
    ),
    TRADE: (50.0, "half a step is 1 %; NIST Handbook 44, G-UR.1.1 (seen second-hand)"),
    USP: (820.0, "twice the spread of repeats is 0.10 %, and the spread is never taken below 0.41 steps"),
}
"""Smallest weights worth trusting, by name: so many divisions, and the rule."""

USP_TIMES = 2000.0
"""Smallest weight over the standard deviation of repeats: 2 s / m <= 0.10 %. [-] USP <41>, text of
1 Aug 2019 (seen second-hand)."""

USP_LEAST = 0.41
"""Least standard deviation over the division that USP <41> takes. [-] Two roundings, sqrt(2/12)."""

READINGS = 2
"""Readings of a tared amount: the empty vessel and the full one. [-]"""

READABILITY_LEAST = 1e-6
"""Finest division taken, a microgram. [g] Our convention."""


@dataclass(frozen=True, slots=True)
class Scale:
    """One scale of the workshop.

    Parameters
    ----------
    readability_g : float or str
        Its division, the smallest step that it shows. [g, or text with its unit]
    capacity_g : float or str, optional
        The most that it carries, vessel included; None where that is not known. [g]
    floor : str
        Smallest weight worth trusting, one of `FLOORS`.
    repeatability_g : float or str, optional
        Standard deviation of repeated tared weighings of one thing, where it was measured. [g]
    error_g : float or str, optional
        Largest error found with a check weight, where it was looked at. [g]
    vessel_g : float or str
        Mass of the vessel that stands on it; it uses up capacity. [g]
    name : str
        What it is called; the division where left out.

    Raises
    ------
    InvalidInput
        For a figure that cannot be used, or a vessel as heavy as the capacity.

    Examples
    --------
    >>> scale = Scale(readability_g=0.1, capacity_g=2000)
    >>> scale.least_g, scale.label
    (1.0, '0.1 g')
    """

    readability_g: float
    capacity_g: float | None = None
    floor: str = TEN
    repeatability_g: float | None = None
    error_g: float | None = None
    vessel_g: float = 0.0
    name: str = ""

    def __post_init__(self) -> None:
        put = object.__setattr__
        put(self, "name", checked_text(self.name, "scale, name").strip())
        item = f"scale '{clipped(self.name)}'" if self.name else "scale"
        step = grams(self.readability_g, f"{item}, readability")
        if step < READABILITY_LEAST:
            raise InvalidInput(
                f"{item}, readability", f"{step:g} g is finer than a microgram", "Enter what it shows."
            )
        put(self, "readability_g", step)
        put(self, "floor", checked_word(self.floor, tuple(FLOORS), f"{item}, smallest weight worth trusting"))
        for field in ("repeatability_g", "error_g"):
            given = getattr(self, field)
            if given is not None:
                what = {"repeatability_g": "spread of repeats", "error_g": "largest error"}[field]
                put(self, field, _mass(given, f"{item}, {what}"))
        put(self, "vessel_g", _mass(self.vessel_g, f"{item}, vessel"))
        if self.capacity_g is None:
            return
        most = grams(self.capacity_g, f"{item}, capacity")
        put(self, "capacity_g", most)
        if most < step:
            raise InvalidInput(
                f"{item}, capacity",
                f"{most:g} g is less than one division of {step:g} g",
                "Look at the plate below the scale: capacity and division are printed there.",
            )
        if self.vessel_g >= most:
            raise InvalidInput(
                f"{item}, vessel",
                f"{self.vessel_g:g} g is all that the scale carries ({most:g} g), so nothing can be weighed",
                "Take a lighter vessel, or a scale of larger capacity.",
            )

    @property
    def label(self) -> str:
        """Name, or division."""
        return self.name or f"{in_full(self.readability_g)} g"

    @property
    def decimals(self) -> int:
        """Decimals that it shows. [-]"""
        return len(f"{self.readability_g:.9f}".rstrip("0").partition(".")[2])

    @property
    def room_g(self) -> float:
        """The most that can be weighed into the vessel. [g]"""
        return math.inf if self.capacity_g is None else self.capacity_g - self.vessel_g

    @property
    def spread_g(self) -> float:
        """Standard deviation of a tared weighing: measured, but never less than two roundings. [g]"""
        rounding = self.readability_g * math.sqrt(READINGS / 12)
        return max(self.repeatability_g or 0.0, rounding)

    @property
    def least_g(self) -> float:
        """Smallest weight worth trusting, by the floor picked, in whole divisions. [g]"""
        if self.floor == USP:
            s = max(self.repeatability_g or 0.0, USP_LEAST * self.readability_g)
            steps = USP_TIMES * s / self.readability_g
        else:
            steps = FLOORS[self.floor][0]
        return round(math.ceil(steps - 1e-9) * self.readability_g, 9)

    @property
    def reading_g(self) -> float:
        """How far one reading may be off: half a division, or the error found where it is larger. [g]"""
        return max(self.readability_g / 2, self.error_g or 0.0)

    @property
    def standard_g(self) -> float:
        """Standard uncertainty of a tared amount. [g]

        Two readings lie anywhere within half a division (or the measured spread, which holds both
        already), and an error found with a check weight lies anywhere within itself.
        """
        return standard_g(self.spread_g, [self.error_g or 0.0])

    @property
    def worst_g(self) -> float:
        """How far a tared amount may be off at the worst. [g]"""
        rounding = max(READINGS * self.readability_g / 2, 3 * (self.repeatability_g or 0.0))
        return rounding + (self.error_g or 0.0)

    def shown(self, mass_g: float) -> float:
        """A mass to the nearest division. [g]"""
        return round(round(mass_g / self.readability_g) * self.readability_g, 9)

    def text(self, mass_g: float) -> str:
        """A mass with the decimals that the scale shows. [g]"""
        return f"{mass_g:.{self.decimals}f}"

    @property
    def assumed(self) -> str:
        """What the figures of error rest on, in a sentence."""
        step = in_full(self.readability_g)
        said = (
            f"spread of repeats {self.repeatability_g:g} g, measured"
            if self.repeatability_g
            else f"each of two readings within half a step of {step} g"
        )
        more = f"; largest error {self.error_g:g} g" if self.error_g else "; its truth was not checked"
        return f"{self.label}: {said}{more}. Trusted from {in_full(self.least_g)} g up ({self.floor})."


def _mass(given: SupportsFloat | str, item: str) -> float:
    """A mass of 0 or more in grams."""
    if isinstance(given, str) and given.strip() in ("0", "0 g"):
        return 0.0
    if not isinstance(given, str) and given == 0:
        return 0.0
    return grams(given, item)


def standard_g(spread_g: float, half_widths_g: Sequence[float]) -> float:
    """Standard uncertainty from a spread and bounds within which the truth lies anywhere.

    Parameters
    ----------
    spread_g : float
        Standard deviation of repeats. [g]
    half_widths_g : sequence of float
        Half widths of what may be off: a division, a drift, an error of calibration. [g]

    Returns
    -------
    float
        ``sqrt(s^2 + sum(a^2 / 3))``. [g]

    References
    ----------
    .. [1] Guide to the expression of uncertainty in measurement, JCGM 100:2008, 4.3.7 and 5.1.2; from
       memory. A rectangular distribution has ``u = a / sqrt(3)``.

    Examples
    --------
    >>> round(standard_g(0.0, [0.05, 0.05]), 4)
    0.0408
    """
    return math.hypot(spread_g, *(a / math.sqrt(3) for a in half_widths_g))


def scales_of(given: Sequence[Scale | float | str] | Scale | float | str) -> tuple[Scale, ...]:
    """The scales, the finest first; a plain number is a division. [g]"""
    if not isinstance(given, Iterable) or isinstance(given, str):
        given = [given]
    held = list(given)
    if not held:
        raise InvalidInput("scales", "there is none", "Enter what your scale shows, for example 0.1 g.")
    if len(held) > 20:
        raise InvalidInput("scales", f"there are {len(held)}", "Enter at most 20.")
    made = (x if isinstance(x, Scale) else Scale(x) for x in held)  # type: ignore[arg-type]
    return tuple(sorted(made, key=lambda s: (s.readability_g, s.capacity_g or math.inf)))


def tolerance_g(load_g: float, division_g: float, *, in_service: bool = False) -> float:
    """Largest error that a class III scale may have at a load.

    Parameters
    ----------
    load_g : float
        What stands on it. [g]
    division_g : float
        Its verification division e. [g]
    in_service : bool
        In use, where the limit is twice that of a new scale.

    Returns
    -------
    float
        0.5 e up to 500 e, 1 e up to 2000 e, 1.5 e up to 10 000 e. [g]

    Raises
    ------
    InvalidInput
        Above 10 000 divisions.

    References
    ----------
    .. [1] OIML R 76, tables 3 and 6 (seen second-hand).

    Examples
    --------
    >>> tolerance_g(400, 1), tolerance_g(1500, 1, in_service=True)
    (0.5, 2.0)
    """
    e = grams(division_g, "division")
    load = checked(load_g, "load", low=0, unit="g") / e
    for most, times in ((500, 0.5), (2000, 1.0), (10_000, 1.5)):
        if load <= most:
            return times * e * (2 if in_service else 1)
    raise InvalidInput("load", f"{load:g} divisions are more than 10 000", "Enter the load on the scale.")
