"""Premixes: how an amount too small for the scale goes into the pot inside a larger one.

More of it than is needed is weighed into a line of the same phase, and so much of that mixture is
weighed into the pot that it brings what is needed. Where one mixture is not enough, a part of it is
thinned again.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hlbcore._numbers import checked
from hlbcore.batch.scales import Scale
from hlbcore.errors import InvalidInput

FACTOR_MOST = 20.0
"""Most parts of mixture to one part thinned in one step; beyond it, it is thinned again. [-] Our
convention: more is hard to stir even."""


@dataclass(frozen=True, slots=True)
class Aliquot:
    """The least that can be weighed, thinned so that the least that can be weighed holds what is needed.

    Parameters
    ----------
    factor : float
        Parts of mixture to one part of the ingredient. [-]
    ingredient, diluent, mixture, take : float
        What to weigh: the ingredient, what thins it, both together, and what to take of that.
        [as given]
    """

    factor: float
    ingredient: float
    diluent: float
    mixture: float
    take: float


def aliquot(need: float, least: float) -> Aliquot:
    """The thinning by which a small amount is weighed as a larger one.

    Parameters
    ----------
    need : float
        What shall come into the pot. [any one unit]
    least : float
        The smallest weight worth trusting. [same unit]

    Returns
    -------
    Aliquot
        ``factor = least / need``; the mixture is the factor times what is taken.

    Raises
    ------
    InvalidInput
        If it can be weighed as it is.

    Examples
    --------
    >>> aliquot(12, 120)
    Aliquot(factor=10.0, ingredient=120.0, diluent=1080.0, mixture=1200.0, take=120.0)
    """
    need = checked(need, "amount needed", above=0)
    least = checked(least, "smallest weight", above=0)
    if need >= least:
        raise InvalidInput("amount needed", f"{need:g} is no less than {least:g}", "Weigh it as it is.")
    factor = least / need
    mixture = factor * least
    return Aliquot(factor, least, mixture - least, mixture, least)


@dataclass(frozen=True, slots=True)
class PremixStep:
    """One mixture: so much of what came before in so much of the carrier.

    Parameters
    ----------
    of_g, carrier_g : float
        What to weigh. [g]
    of_scale, carrier_scale : Scale
        On which scale.
    """

    of_g: float
    carrier_g: float
    of_scale: Scale
    carrier_scale: Scale

    @property
    def whole_g(self) -> float:
        """The mixture. [g]"""
        return round(self.of_g + self.carrier_g, 9)

    @property
    def fraction(self) -> float:
        """Share of what came before. [-]"""
        return self.of_g / (self.of_g + self.carrier_g)

    def relative(self, of: float, carrier: float) -> tuple[float, float]:
        """How much errors of the two weighings move the fraction, of itself. [-]"""
        return of * self.carrier_g / (self.of_g * self.whole_g), carrier / self.whole_g


@dataclass(frozen=True, slots=True)
class Premix:
    """A premix: what is mixed, and how much of it goes into the pot.

    Parameters
    ----------
    ingredient, carrier, phase : str
        What is too small to weigh, what it is mixed into, and their phase.
    line, carrier_line : int
        Numbers of their lines, from 0. [-]
    need_g : float
        What shall come into the pot. [g]
    steps : tuple of PremixStep
        One mixture, or several that thin each other.
    take_g : float
        What to weigh of the last mixture. [g]
    scale : Scale
        The scale for that.
    slurry : bool
        Whether it is a gum wetted in all of its humectant.
    used : bool
        Whether the table of the pot holds it in place of the ingredient.
    """

    ingredient: str
    carrier: str
    phase: str
    line: int
    carrier_line: int
    need_g: float
    steps: tuple[PremixStep, ...]
    take_g: float
    scale: Scale
    slurry: bool = False
    used: bool = False

    @property
    def name(self) -> str:
        """What stands in the table of the pot."""
        return f"{'slurry' if self.slurry else 'premix'} of {self.ingredient} in {self.carrier}"

    @property
    def fraction(self) -> float:
        """Share of the ingredient in the last mixture. [-]"""
        return math.prod(s.fraction for s in self.steps)

    @property
    def delivered_g(self) -> float:
        """What comes into the pot. [g]"""
        return self.take_g * self.fraction

    @property
    def carrier_g(self) -> float:
        """What it brings of the carrier. [g]"""
        return self.take_g - self.delivered_g

    def _terms(self, error: str) -> list[float]:
        found = [getattr(self.scale, error) / self.take_g]
        for s in self.steps:
            found += s.relative(getattr(s.of_scale, error), getattr(s.carrier_scale, error))
        return found

    @property
    def standard_g(self) -> float:
        """Standard uncertainty of what comes into the pot. [g]

        With ``D = t prod(x / (x + c))`` the relative derivatives are ``1 / t``, ``c / (x (x + c))`` and
        ``-1 / (x + c)``; the weighings are independent (JCGM 100:2008, 5.1.2, from memory).
        """
        return self.delivered_g * math.hypot(*self._terms("standard_g"))

    @property
    def worst_g(self) -> float:
        """How far it may be off at the worst. [g]"""
        return self.delivered_g * math.fsum(self._terms("worst_g"))

    @property
    def error_pct(self) -> float:
        """All readings half a division off, each in the worse direction. [% of what comes into the pot]"""
        return 100 * math.fsum(self._terms("reading_g"))

    @property
    def words(self) -> tuple[str, ...]:
        """What to do, a sentence a weighing."""
        found = []
        what = self.ingredient
        for n, s in enumerate(self.steps, 1):
            mixture = "the mixture" if len(self.steps) == 1 else f"mixture {n}"
            found.append(
                f"{s.of_scale.text(s.of_g)} g {what} into {s.carrier_scale.text(s.carrier_g)} g "
                f"{self.carrier}: {mixture}. Stir until it is even."
            )
            what = mixture
        found.append(
            f"Into the pot: {self.scale.text(self.take_g)} g of {what}; it brings "
            f"{self.delivered_g:.3g} g {self.ingredient} and {self.carrier_g:.3g} g {self.carrier}."
        )
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Carrier:
    """A line that could carry a smaller one.

    Parameters
    ----------
    name : str
        The ingredient.
    line : int
        Its number. [-]
    mass_g : float
        What the batch takes of it. [g]
    all_of_it : bool
        Whether all of it goes into the mixture: a humectant that wets a gum.
    """

    name: str
    line: int
    mass_g: float
    all_of_it: bool = False


def plan_premix(
    ingredient: str, phase: str, line: int, need_g: float, carrier: Carrier, scales: Sequence[Scale]
) -> Premix | None:
    """The premix by which a line too small for the scale goes into the pot.

    Parameters
    ----------
    ingredient, phase : str
        What it is, and its phase.
    line : int
        Its number. [-]
    need_g : float
        What the batch takes of it. [g]
    carrier : Carrier
        The line that it is mixed into.
    scales : sequence of Scale
        The scales of the workshop, the finest first.

    Returns
    -------
    Premix or None
        None where the carrier is too little, or no scale carries the mixture.

    Examples
    --------
    >>> made = plan_premix("mica", "water", 1, 0.12, Carrier("water", 0, 80), [Scale(0.1)])
    >>> made.steps[0].of_g, made.steps[0].carrier_g, made.take_g
    (1.0, 7.3, 1.0)
    """
    fine = scales[0]
    least = fine.least_g
    if need_g >= least or need_g <= 0:
        return None
    factor = least / need_g
    take = need_g + carrier.mass_g if carrier.all_of_it else least
    if carrier.all_of_it and (take < least or take > fine.room_g):
        take = least
    if take - need_g > carrier.mass_g + 1e-9:
        return None
    count = max(1, math.ceil(math.log(factor) / math.log(FACTOR_MOST) - 1e-9))
    slurry = carrier.all_of_it and count == 1
    if count > 1:
        take = least
    each = factor ** (1 / count)
    steps: list[PremixStep] = []
    for n in range(count):
        # the last mixture is measured by what is taken of it, the others by the smallest weight
        whole = each * (take if n == count - 1 else least)
        scale = next((s for s in scales if whole <= s.room_g), None)
        if scale is None or whole <= least:
            return None
        thinned = scale.shown(whole - least)
        if thinned <= 0:
            return None
        steps.append(PremixStep(least, thinned, fine, scale))
    fraction = math.prod(s.fraction for s in steps)
    on = next((s for s in scales if need_g / fraction <= s.room_g), None)
    if on is None:
        return None
    taken = on.shown(need_g / fraction)
    if taken <= 0 or taken > steps[-1].whole_g + 1e-9:
        return None
    return Premix(
        ingredient, carrier.name, phase, line, carrier.line, need_g, tuple(steps), taken, on, slurry=slurry
    )
