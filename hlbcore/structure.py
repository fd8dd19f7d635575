"""HLB from structure: Griffin's formulas and Davies' groups.

These stand beside a listed value and never in its place: for polysorbates they miss it by 0.3 to
1.0, for sorbitan esters by 0.9 to 3.4, because commercial products are mixtures.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from hlbcore._numbers import checked
from hlbcore.errors import EmptyPhase, InvalidInput, clipped

DAVIES_GROUPS: Mapping[str, float] = MappingProxyType(
    {
        "SO4Na": 38.7,
        "COOK": 21.1,
        "COONa": 19.1,
        "N (tertiary amine)": 9.4,
        "ester (sorbitan ring)": 6.8,
        "ester (free)": 2.4,
        "COOH": 2.1,
        "OH (free)": 1.9,
        "O (ether)": 1.3,
        "OH (sorbitan ring)": 0.5,
        "CH": -0.475,
        "CH2": -0.475,
        "CH3": -0.475,
        "=CH": -0.475,
    }
)
"""Group numbers of Davies 1957. [HLB] The lipophilic ones are already negative."""

_SPOKEN = {"OH": "OH (free)", "O": "O (ether)", "N": "N (tertiary amine)", "ester": "ester (free)"}


def hlb_from_masses(hydrophile_molar_mass: float, molar_mass: float) -> float:
    """HLB of a nonionic from the share of its hydrophilic part.

    Parameters
    ----------
    hydrophile_molar_mass : float
        Molar mass of the hydrophilic part. [g/mol]
    molar_mass : float
        Molar mass of the whole molecule. [g/mol]

    Returns
    -------
    float
        HLB from 0 to 20. [HLB]

    Raises
    ------
    InvalidInput
        If the part outweighs the whole, or a mass is not positive.

    Notes
    -----
    ``HLB = 20 Mh / M`` [1]_. For steareth-20, ``20 * 20 * 44.053 / (20 * 44.053 + 270.5)``.

    References
    ----------
    .. [1] griffin_1954

    Examples
    --------
    >>> hlb_from_masses(20 * 44.053, 20 * 44.053 + 270.5)
    15.3
    """
    whole = checked(molar_mass, "molar mass", above=0, unit="g/mol")
    part = checked(hydrophile_molar_mass, "molar mass of the hydrophilic part", low=0, unit="g/mol")
    if part > whole:
        raise InvalidInput(
            "molar mass of the hydrophilic part",
            f"{part:g} g/mol is more than the whole molecule, {whole:g} g/mol",
            "Check which figure is which.",
        )
    return 20 * (part / whole)


def hlb_from_saponification(saponification_number: float, acid_number: float) -> float:
    """HLB of a polyol fatty ester from two titrations.

    Parameters
    ----------
    saponification_number : float
        Saponification number S of the ester. [mg KOH/g]
    acid_number : float
        Acid number A of the fatty acid that the ester holds. [mg KOH/g]

    Returns
    -------
    float
        HLB. [HLB]

    Raises
    ------
    InvalidInput
        If S exceeds A: then the two are swapped, or it is no polyol ester.

    Notes
    -----
    ``HLB = 20 (1 - S / A)`` [1]_. A formula for emulsifiers: put through it, a triglyceride gives
    a figure that is no required HLB.

    References
    ----------
    .. [1] griffin_1954

    Examples
    --------
    >>> hlb_from_saponification(45.5, 276)
    16.703
    """
    ester = checked(saponification_number, "saponification number", low=0, unit="mg KOH/g")
    acid = checked(acid_number, "acid number of the fatty acid", above=0, unit="mg KOH/g")
    if ester > acid:
        raise InvalidInput(
            "saponification number",
            f"{ester:g} is more than the acid number of the fatty acid, {acid:g}",
            "Check which figure is which; the formula holds for polyol fatty esters only.",
        )
    return 20 * (1 - ester / acid)


def hlb_from_oxyethylene(oxyethylene_pct: float, polyol_pct: float = 0.0) -> float:
    """HLB of an ethoxylate from its hydrophilic share.

    Parameters
    ----------
    oxyethylene_pct : float
        Oxyethylene E in the molecule. [% by mass]
    polyol_pct : float
        Polyol P in the molecule. [% by mass]

    Returns
    -------
    float
        HLB from 0 to 20. [HLB]

    Raises
    ------
    InvalidInput
        If the two add to more than 100 %.

    Notes
    -----
    ``HLB = (E + P) / 5`` [1]_.

    References
    ----------
    .. [1] griffin_1954

    Examples
    --------
    >>> hlb_from_oxyethylene(77)
    15.4
    """
    e = checked(oxyethylene_pct, "oxyethylene", low=0, high=100, unit="%")
    p = checked(polyol_pct, "polyol", low=0, high=100, unit="%")
    if e + p > 100 + 1e-9:
        raise InvalidInput(
            "oxyethylene and polyol", f"they add to {e + p:g} %", "Enter shares of one molecule."
        )
    return (e + p) / 5


def hlb_davies(groups: Mapping[str, float]) -> float:
    """HLB from the groups of a molecule.

    Parameters
    ----------
    groups : mapping of str to float
        How many of each group, by the names of `DAVIES_GROUPS`; ``"OH"``, ``"O"``, ``"N"`` and
        ``"ester"`` mean the free ones. [-]

    Returns
    -------
    float
        HLB; ionic head groups lead beyond 20. [HLB]

    Raises
    ------
    InvalidInput
        If a group is not known or a number is negative.

    Notes
    -----
    ``HLB = 7 + sum(n_i g_i)``, with the lipophilic numbers negative as printed [1]_. The carboxyl
    carbon belongs to the head: sodium oleate has 17 lipophilic carbons.

    References
    ----------
    .. [1] davies_1957

    Examples
    --------
    >>> hlb_davies({"SO4Na": 1, "CH3": 1, "CH2": 11})
    40.0
    """
    if not groups:
        raise EmptyPhase("The list of groups", "Name the groups of the molecule.")
    total = 7.0
    for name, count in groups.items():
        key = _SPOKEN.get(name, name)
        if key not in DAVIES_GROUPS:
            raise InvalidInput(
                f"group '{clipped(name)}'", "no number is listed for it", f"Use {', '.join(DAVIES_GROUPS)}."
            )
        total += DAVIES_GROUPS[key] * checked(count, f"group '{key}'", low=0)
    return total
