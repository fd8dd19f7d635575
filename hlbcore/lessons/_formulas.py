"""Workings of results that are plain numbers: the split of a pair, Griffin, Davies."""

from __future__ import annotations

from collections.abc import Mapping

from hlbcore import structure
from hlbcore.blending.mixing import split_pair
from hlbcore.blending.results import Blend
from hlbcore.errors import clipped
from hlbcore.estimate import Estimate, Mixture
from hlbcore.lessons._steps import Step, Working, figure, left_side, split_steps


def pair_working(
    first_hlb: float,
    second_hlb: float,
    *,
    target: float,
    labels: tuple[str, str] = ("the first", "the second"),
) -> Working:
    """The split of a pair as steps.

    Parameters
    ----------
    first_hlb, second_hlb : float
        HLB of each emulsifier. [HLB, 0 to 40]
    target : float
        HLB wanted of the blend. [HLB, 0 to 40]
    labels : tuple of str
        What the two are called.

    Returns
    -------
    Working
        Shares of the blend, and the sum put back together.

    Raises
    ------
    UnreachableTarget, InvalidInput
        As `split_pair` does.

    Examples
    --------
    >>> pair_working(4.0, 16.0, target=10.0).steps[0].with_numbers
    '(10 - 4) / (16 - 4)'
    """
    fractions = split_pair(first_hlb, second_hlb, target=target)
    parts = (Estimate.exactly(first_hlb), Estimate.exactly(second_hlb))
    blend = Blend(
        labels,
        (100 * fractions[0], 100 * fractions[1]),
        Mixture(fractions, parts),
        Estimate.exactly(target),
        None,
        0.0,
        "closest",
    )
    back = Step("Put the shares back", "sum(share × h)", left_side(blend.working), blend.hlb, "HLB")
    alone = [n for n, f in zip(labels, fractions, strict=True) if f == 1.0]
    remarks = tuple(f"The HLB wanted is that of {clipped(n)} alone." for n in alone)
    return Working("Split of a pair", (*split_steps(blend), back), remarks)


BESIDE = (
    "An estimate from structure stands beside the listed value and never in its place: commercial "
    "emulsifiers are mixtures."
)


def masses_working(hydrophile_molar_mass: float, molar_mass: float) -> Working:
    """Griffin's formula from molar masses as steps.

    Parameters
    ----------
    hydrophile_molar_mass : float
        Molar mass of the hydrophilic part. [g/mol]
    molar_mass : float
        Molar mass of the whole molecule. [g/mol]

    Returns
    -------
    Working
        One step.

    Examples
    --------
    >>> masses_working(200, 400).steps[0].line
    'Twenty times the hydrophilic share: 20 × 200 / 400 = 10 HLB'
    """
    value = structure.hlb_from_masses(hydrophile_molar_mass, molar_mass)
    step = Step(
        "Twenty times the hydrophilic share",
        "20 × Mh / M",
        f"20 × {figure(hydrophile_molar_mass)} / {figure(molar_mass)}",
        value,
        "HLB",
    )
    return Working("HLB from molar masses (Griffin)", (step,), (BESIDE,))


def saponification_working(saponification_number: float, acid_number: float) -> Working:
    """Griffin's formula from two titrations as steps.

    Parameters
    ----------
    saponification_number : float
        Saponification number of the ester. [mg KOH/g]
    acid_number : float
        Acid number of its fatty acid. [mg KOH/g]

    Returns
    -------
    Working
        One step.

    Examples
    --------
    >>> saponification_working(50, 200).steps[0].with_numbers
    '20 × (1 - 50 / 200)'
    """
    value = structure.hlb_from_saponification(saponification_number, acid_number)
    step = Step(
        "Twenty times what is not fatty acid",
        "20 × (1 - S / A)",
        f"20 × (1 - {figure(saponification_number)} / {figure(acid_number)})",
        value,
        "HLB",
    )
    return Working("HLB from saponification (Griffin)", (step,), (BESIDE,))


def oxyethylene_working(oxyethylene_pct: float, polyol_pct: float = 0.0) -> Working:
    """Griffin's formula from the hydrophilic share as steps.

    Parameters
    ----------
    oxyethylene_pct : float
        Oxyethylene in the molecule. [% by mass]
    polyol_pct : float
        Polyol in the molecule. [% by mass]

    Returns
    -------
    Working
        One step.

    Examples
    --------
    >>> oxyethylene_working(77).steps[0].line
    'The hydrophilic share in per cent, over five: (77 + 0) / 5 = 15.4 HLB'
    """
    value = structure.hlb_from_oxyethylene(oxyethylene_pct, polyol_pct)
    step = Step(
        "The hydrophilic share in per cent, over five",
        "(E + P) / 5",
        f"({figure(oxyethylene_pct)} + {figure(polyol_pct)}) / 5",
        value,
        "HLB",
    )
    return Working("HLB from oxyethylene (Griffin)", (step,), (BESIDE,))


def davies_working(groups: Mapping[str, float]) -> Working:
    """Davies' sum of groups as steps.

    Parameters
    ----------
    groups : mapping of str to float
        How many of each group, by the names of `structure.DAVIES_GROUPS`. [-]

    Returns
    -------
    Working
        One step a group, and the sum.

    Examples
    --------
    >>> davies_working({"SO4Na": 1, "CH2": 12}).steps[-1].with_numbers
    '7 + 1 × 38.7 + 12 × (-0.475)'
    """
    value = structure.hlb_davies(groups)
    nothing = structure.hlb_davies({next(iter(groups)): 0})
    steps, terms = [], []
    for name, count in groups.items():
        number = round(structure.hlb_davies({name: 1}) - nothing, 6)
        term = f"{figure(count)} × {figure(number) if number >= 0 else f'({figure(number)})'}"
        terms.append(term)
        steps.append(
            Step(f"Contribution of {clipped(name)}", "n × group number", term, count * number, "HLB")
        )
    total = " + ".join([figure(nothing), *terms])
    steps.append(Step("Together", "7 + sum(n × group number)", total, value, "HLB"))
    return Working("HLB from groups (Davies)", tuple(steps), (BESIDE,))
