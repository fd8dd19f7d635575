"""Water activity of sugar and humectants in water, as a band; what may grow in it.

For preservation only; not for food or labels. Shower water and condensation undo a low water activity.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from hlbcore._numbers import checked
from hlbcore.errors import EmptyPhase, InvalidInput, clipped

WATER_MOLAR = 18.015
"""Molar mass of water. [g/mol]"""


@dataclass(frozen=True, slots=True)
class Solute:
    """A solute of the equation of Norrish.

    Parameters
    ----------
    molar_mass : float
        Molar mass. [g/mol]
    k : float
        Constant of the equation. [-]
    source : str
        Key in ``data/sources.csv``.
    """

    molar_mass: float
    k: float
    source: str


SOLUTES = {
    "sucrose": Solute(342.30, 6.47, "norrish_1966_recalled"),
    "glycerin": Solute(92.09, 1.16, "pmc2836749"),
    "sorbitol": Solute(182.17, 1.65, "pmc2836749"),
    "xylitol": Solute(152.15, 1.66, "pmc2836749"),
    "erythritol": Solute(122.12, 1.34, "pmc2836749"),
    "mannitol": Solute(182.17, 0.906, "pmc2836749"),
}
"""Solutes with a constant, by id. That of sucrose is recalled, and lies within 0.008 of beuchat_1981.
Propylene glycol is left out: its constant was seen nowhere. Salts are electrolytes: the equation is not
for them."""

DOUBT = 0.02
"""Least half width of the band. [-] Norrish against beuchat_1981 is off by 0.005 to 0.008, a salt model
by 0.02; dissolved active ingredients and grades come on top."""

GROWTH = (
    (0.95, "Pseudomonas, E. coli, Bacillus"),
    (0.91, "Salmonella, Lactobacillus, some moulds"),
    (0.87, "many yeasts"),
    (0.80, "most moulds, Staphylococcus aureus"),
    (0.75, "salt-loving bacteria"),
    (0.65, "moulds of dry places"),
    (0.60, "yeasts of syrups"),
)
"""Water activity below which the organisms named do not grow, in foods. [-] beuchat_1981"""


@dataclass(frozen=True, slots=True)
class WaterActivity:
    """Water activity as a band.

    Parameters
    ----------
    value : float
        Of the solutes that are counted. [-]
    low, high : float
        The band. [-]
    not_counted : tuple of str
        Solutes without a constant: the real figure lies lower by what they add, not higher.
    """

    value: float
    low: float
    high: float
    not_counted: tuple[str, ...] = ()

    @property
    def may_grow(self) -> tuple[str, ...]:
        """What may still grow at the high end of the band, by a list for foods."""
        return tuple(names for limit, names in GROWTH if self.high >= limit)

    @property
    def grows(self) -> str:
        """The same in a few words."""
        held = self.may_grow
        return "all of the list, bacteria first" if len(held) == len(GROWTH) else "; ".join(held) or "nothing"


def norrish(solute: str, grams: float, water_g: float) -> float:
    """Water activity of one solute in water.

    Parameters
    ----------
    solute : str
        An id of `SOLUTES`.
    grams : float
        Dissolved mass. [g, or any one unit]
    water_g : float
        Water. [same unit]

    Returns
    -------
    float
        Water activity. [-]

    Notes
    -----
    ``aw = X_w exp(-K X_s²)``, mole fractions ``X`` [1]_. Concentrated solutions to about 70 %.

    References
    ----------
    .. [1] baeza_2010; constants pmc2836749, Table 3; that of sucrose recalled

    Examples
    --------
    >>> round(norrish("glycerin", 50, 50), 3)
    0.811
    """
    if solute not in SOLUTES:
        raise InvalidInput(
            f"water activity, '{clipped(solute)}'",
            "no constant is known for it",
            f"Use {', '.join(SOLUTES)}; salts and glycols have none here.",
        )
    held = SOLUTES[solute]
    mass = checked(grams, f"water activity, {solute}", low=0, unit="g")
    water = checked(water_g, "water activity, water", above=0, unit="g")
    dissolved, moles = mass / held.molar_mass, water / WATER_MOLAR
    share = dissolved / (dissolved + moles)
    return (1 - share) * math.exp(-held.k * share * share)


def water_activity(
    solutes: Mapping[str, float], water_g: float, *, not_counted: tuple[str, ...] = ()
) -> WaterActivity:
    """Water activity of several solutes in one water.

    Parameters
    ----------
    solutes : mapping of str to float
        Dissolved mass by id of `SOLUTES`; crystals that do not dissolve are left out. [g, or any one unit]
    water_g : float
        Water. [same unit]
    not_counted : tuple of str
        Names of what is dissolved beside them and has no constant.

    Returns
    -------
    WaterActivity
        The band, at least ±0.02.

    Notes
    -----
    ``aw = product of aw_i``, each solute taken alone in all the water (Ross 1975, recalled; that it is in
    use: vega_mercado_1994).

    Examples
    --------
    >>> made = water_activity({"sucrose": 40, "glycerin": 20}, 40)
    >>> round(made.value, 3), round(made.low, 2), round(made.high, 2)
    (0.844, 0.82, 0.86)
    """
    if not solutes and not water_g:
        raise EmptyPhase("The water phase", "Enter the water.")
    value = math.prod(norrish(name, grams, water_g) for name, grams in solutes.items())
    return WaterActivity(value, max(value - DOUBT, 0.0), min(value + DOUBT, 1.0), not_counted)
