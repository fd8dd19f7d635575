"""A planned ladder as it is read: its weighing table, and what it is in words."""

from __future__ import annotations

import pandas as pd

from hlbcore.errors import clipped
from hlbcore.ladder.ladder import Ladder

LADDER_WORDS = {
    "coarse": "HLB steps",
    "fine": "Fine HLB steps",
    "family": "Chemical families at one HLB",
    "loading": "Doses at one HLB",
    "rinse": "Rinse test of wash-off bases",
    "clarity": "Clarity, solubiliser to oil",
    "recorded": "Recorded elsewhere",
}
"""Kinds of ladder in words."""


def plan_table(ladder: Ladder) -> pd.DataFrame:
    """The weighing table of a ladder as it is read, all of it text.

    Parameters
    ----------
    ladder : Ladder
        Any ladder.

    Returns
    -------
    DataFrame
        One row a vial, in the order of making: label, HLB planned and as weighed with its uncertainty
        (both left out where labels hide it), grams of what differs between vials [g]; `same_grams`
        says the rest.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20}, seed=1)
    >>> plan_table(ladder)["HLB as weighed"][0]
    '7.98 ± 0.02'
    """
    digits = _digits(ladder)
    by_hlb = ladder.kind in ("coarse", "fine", "rinse", "recorded")
    differing = [n for n in ladder.ingredients if _same(ladder, n) is None]
    rows = []
    known = {r["vial"]: r for r in ladder.table.to_dict("records")}
    for v in sorted(ladder.vials, key=lambda v: v.order):
        seen = known[v.number]
        row: dict[str, str] = {"vial": v.label}
        if v.label != str(v.order):
            row["make as"] = f"{v.order}."
        if v.repeats is not None and not ladder.blinded:
            row["vial"] += f" ({ladder.vial(v.repeats).label} again)"
        held = dict(v.grams)
        for n in differing:
            row[f"{n} g"] = f"{held[n]:.{digits}f}" if n in held else ""
        if not ladder.blinded:
            if by_hlb:
                row["HLB wanted"] = "" if v.target_hlb is None else f"{v.target_hlb:.2f}"
            if ladder.kind != "clarity":
                row["HLB as weighed"] = f"{seen['hlb_as_weighed']:.2f} ± {seen['hlb_sd']:.2f}"
            if not by_hlb:
                row["% of the oils"] = f"{seen['emulsifier_of_oil_pct']:.3g}"
        rows.append(row)
    return pd.DataFrame(rows).fillna("")


def _digits(ladder: Ladder) -> int:
    return len(f"{ladder.readability_g:.9f}".rstrip("0").partition(".")[2])


def _same(ladder: Ladder, name: str) -> float | None:
    """Grams of an ingredient where they are the same in every vial."""
    held = {dict(v.grams).get(name) for v in ladder.vials}
    return held.pop() if len(held) == 1 and name not in dict(ladder.emulsifiers) else None


def same_grams(ladder: Ladder) -> str:
    """What is weighed alike into every vial, in a sentence.

    Parameters
    ----------
    ladder : Ladder
        Any ladder.

    Returns
    -------
    str
        Blank where nothing is the same. [g]

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> same_grams(plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                        oil_phase={"mineral oil": 20}))
    'In every vial: 10.00 g mineral oil, 38.75 g water.'
    """
    digits = _digits(ladder)
    held = [(n, g) for n in ladder.ingredients if (g := _same(ladder, n)) is not None]
    listed = ", ".join(f"{g:.{digits}f} g {n}" for n, g in held)
    return f"In every vial: {listed}." if listed else ""


def plan_words(ladder: Ladder) -> str:
    """A ladder in a sentence.

    Parameters
    ----------
    ladder : Ladder
        Any ladder.

    Returns
    -------
    str
        Kind, vials, span, emulsifiers, dose and vial mass.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> plan_words(plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                        oil_phase={"mineral oil": 20}))[:41]
    'HLB steps: 7 vials of 50 g, HLB 7 to 13, '
    """
    rungs = [v.target_hlb for v in ladder.vials if v.target_hlb is not None]
    parts = [f"{len(ladder.vials)} vials of {ladder.vial_mass_g:g} g"]
    if rungs and not ladder.blinded:
        low, high = min(rungs), max(rungs)
        parts.append(f"HLB {low:g}" if low == high else f"HLB {low:.3g} to {high:.3g}")
    if ladder.kind != "family":
        parts.append(" with ".join(clipped(n, 40) for n, _ in ladder.emulsifiers))
    if ladder.emulsifier_pct is not None:
        parts.append(f"{ladder.emulsifier_pct:.3g} % emulsifier in each")
    return f"{LADDER_WORDS[ladder.kind]}: {', '.join(parts)}."


def usual_name(ladder: Ladder) -> str:
    """A name for a trial that has none: its largest oils.

    Parameters
    ----------
    ladder : Ladder
        Any ladder.

    Returns
    -------
    str
        In a few words.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> usual_name(plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                        oil_phase={"mineral oil": 20}))
    'mineral oil'
    """
    oils = [n for n, _ in sorted(ladder.oils, key=lambda o: -o[1])]
    more = f" and {len(oils) - 2} more" if len(oils) > 2 else ""
    return f"{', '.join(clipped(n, 40) for n in oils[:2])}{more}"
