"""Which rule judges an emulsifier system: HLB, its supplier's rate, or none.

HLB judges o/w emulsions of plain nonionics that are weighed apart. What is sold ready, and every
family that holds the oil by layers, charge, polymer or soap, goes by its supplier's rate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hlbcore.blending.candidates import TRACE
from hlbcore.counting.counted import OWN, Counted
from hlbcore.estimate import Estimate
from hlbcore.product_types import ProductType

HLB, RATE, NONE = "HLB", "supplier's rate", "none"
"""The three rules, as people read them."""

HALF = 0.5
"""From this share of the system on, a ready emulsifier's own rate governs. [-] Our convention."""

GRIFFIN = "Griffin"

LIPOPHILIC_MOST, HYDROPHILIC_LEAST = 6.5, 8.0
"""Up to the first an emulsifier of Griffin's scale leans to w/o, from the second on to o/w. [HLB]
Griffin's own classes are 4 to 6 and 8 to 18 (griffin_1949_recalled)."""

HELPERS = ("fatty alcohol", "fatty acid")
"""Kinds that help an emulsifier and are none by themselves."""

EITHER = ("glyceryl_stearate", "glyceryl_stearate_se")
"""Emulsifiers that serve both types, by id; lecithin and soap besides."""


@dataclass(frozen=True, slots=True)
class System:
    """The emulsifiers of a formula by the rule that each follows.

    Parameters
    ----------
    griffin : tuple of Counted
        On Griffin's scale, or with an HLB of the user's own.
    rated : tuple of Counted
        Ready, or of a family that HLB does not describe.
    helpers : tuple of Counted
        Fatty alcohols and acids that are counted as emulsifiers.
    """

    griffin: tuple[Counted, ...]
    rated: tuple[Counted, ...]
    helpers: tuple[Counted, ...]

    @property
    def rated_share(self) -> float:
        """Share of what goes by a supplier's rate. [-]"""
        rated = math.fsum(x.active for x in self.rated)
        whole = rated + math.fsum(x.active for x in self.griffin)
        return rated / whole if whole > 0 else 0.0


def system_of(held: Sequence[Counted]) -> System:
    """The emulsifiers by the rule that each follows; those with amount 0 are left out."""
    griffin, rated, helpers = [], [], []
    for x in held:
        if x.active <= 0:
            continue
        if x.line.supplier is not None and not x.is_part:
            rated.append(x)
        elif on_scale(x):
            griffin.append(x)
        elif x.ingredient is not None and x.kind in HELPERS:
            helpers.append(x)
        else:
            rated.append(x)
    return System(tuple(griffin), tuple(rated), tuple(helpers))


def on_scale(x: Counted) -> bool:
    """Whether an emulsifier's HLB is one of Griffin's scale, or the user's own."""
    return x.basis == OWN or (x.ingredient is not None and x.ingredient.system == GRIFFIN)


def figures_in_sum(held: Sequence[Counted], amounts: Sequence[float]) -> list[Estimate | None]:
    """The HLB with which each emulsifier enters the sum of a blend.

    Parameters
    ----------
    held : sequence of Counted
        The emulsifiers.
    amounts : sequence of float
        Active amounts. [any one unit]

    Returns
    -------
    list of Estimate or None
        None for a ready emulsifier that is a trace beside two or more on Griffin's scale: what is
        printed for it follows another convention, so it is bounded. [HLB]
    """
    plain = {x.key for x, m in zip(held, amounts, strict=True) if m > 0 and on_scale(x)}
    whole = math.fsum(amounts)
    ready = math.fsum(m for x, m in zip(held, amounts, strict=True) if _is_ready(x))
    if len(plain) < 2 or not 0 < ready <= TRACE * whole * (1 + 1e-9):
        return [x.estimate for x in held]
    return [None if _is_ready(x) else x.estimate for x in held]


def _is_ready(x: Counted) -> bool:
    return not on_scale(x) and x.kind not in HELPERS


def rule_of(system: System, kind: ProductType) -> str:
    """Which rule judges; `NONE` where neither does.

    Parameters
    ----------
    system : System
        The emulsifiers.
    kind : ProductType
        The product type.

    Returns
    -------
    str
        One of the three rules.
    """
    if system.rated and system.rated_share >= HALF:
        return RATE
    if kind.role != "governs" or system.rated_share > TRACE:
        return NONE
    return HLB if len({x.key for x in system.griffin}) > 1 else NONE


def emulsion_of(x: Counted) -> str:
    """The type of emulsion that an emulsifier leans to: ``o/w``, ``w/o``, or blank for both or unknown."""
    if x.ingredient is None or x.key in EITHER or x.ingredient.system in ("lecithin", "soap"):
        return ""
    if x.ingredient.system == "polymeric w/o":
        return "w/o"
    if x.ingredient.system == GRIFFIN and x.estimate is not None:
        if x.estimate.value <= LIPOPHILIC_MOST:
            return "w/o"
        return "o/w" if x.estimate.value >= HYDROPHILIC_LEAST else ""
    if x.ingredient.system in ("", "other", "silicone", "polyglyceryl", "olivate", "polymeric"):
        return ""
    return "o/w"
