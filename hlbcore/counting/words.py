"""What counting says: why a line is left out, and what to mind."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from hlbcore.counting.counted import Counted
from hlbcore.counting.required import BOUNDS, OtherChoice, Part
from hlbcore.errors import clipped
from hlbcore.estimate import Estimate, Mixture
from hlbcore.findings import Finding
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library
from hlbcore.product_types import PRACTICE

NEGLIGIBLE_FRAGRANCE_PCT = 0.5
"""Fragrance up to this share of the formula hardly moves the figure. [% of formula]
common practice, no source."""


def why_out(x: Counted) -> str:
    """Why a line that could count does not."""
    if x.side == "emulsifier":
        return "counted as emulsifier by choice" if x.chosen else "counted as emulsifier"
    return "left out by choice" if x.chosen else f"{x.kind or 'unknown'}: not part of the oil phase"


def strays(
    lines: Sequence[Counted], values: Mapping[str, object], sides: Mapping[str, object], library: Library
) -> list[Finding]:
    """A value or a side for something that is not in the phase may be a slip."""
    here = {x.key for x in lines}
    return [
        Finding(
            "caution",
            f"The {what} given for {clipped(name)} is not used",
            "It is not in the oil phase.",
            mend="Add it to the phase, mend the spelling, or delete it.",
        )
        for what, given in (("value", values), ("side", sides))
        for name in given
        if library.key(name) not in here
    ]


def left_out(ingredient: Ingredient) -> str:
    """Why an ingredient never counts in the oil phase; blank where it does or may."""
    return {
        "emulsifier": "emulsifiers do not count in the oil phase",
        "all_in_one": "an all-in-one emulsifying wax does not count in the oil phase",
        "base": "a base is no oil",
        "outside": f"{ingredient.kind}: not part of the oil phase",
    }.get(ingredient.convention, "")


def unused_value(name: str, ingredient: Ingredient) -> Finding:
    """A value that was given for what never counts in the oil phase."""
    return Finding(
        "caution",
        f"The value given for {name} is not used",
        f"{name} is of kind {ingredient.kind} and does not count in the oil phase; an emulsifier's "
        "own HLB is no required HLB.",
        rule="emulsifiers are left out of the required HLB (griffin_1949_recalled)",
        mend="Delete the value, or enter the oil under a name of its own.",
    )


def part_findings(
    parts: Sequence[Part], no_figure: Sequence[str], window: float, library: Library
) -> list[Finding]:
    """How firm each figure is: a caution where its doubt alone moves the sum by more than the window."""
    found = []
    fractions = Mixture.by_mass([p.mass for p in parts], [p.estimate for p in parts]).fractions
    for part, share in zip(parts, fractions, strict=True):

        def moves(low: float, high: float, part: Part = part, share: float = share) -> bool:
            off = max(high - part.estimate.value, part.estimate.value - low)
            return share * off > window

        if part.basis == BOUNDS and part.mass > 0:
            found.append(
                Finding(
                    "note",
                    f"{part.name} has no figure",
                    f"It counts as HLB {part.estimate.low:g} to {part.estimate.high:g}, the widest that "
                    "oils ask for: the range grows, the value rests on the others.",
                    figure=f"{100 * share:.3g} % of the oil phase",
                    rule="what has neither figure nor class is bounded; our convention",
                    mend="Say what it is, give a value or a range, or find it with a bench ladder.",
                    aside=True,
                )
            )
        if part.name in no_figure:
            found.append(
                Finding(
                    "caution" if (wide := moves(part.estimate.low, part.estimate.high)) else "note",
                    f"No required HLB is known for {part.name}",
                    f"It counts with the {part.basis}: {part.estimate!r}.",
                    figure=f"{100 * share:.3g} % of the oil phase",
                    rule="the spread of its kind in the tables; our convention",
                    mend="Give a value or a range of your own, or find it with a bench ladder.",
                    aside=not wide,
                )
            )
        if part.estimate.alternatives:
            low, high = part.estimate.alternatives
            found.append(
                Finding(
                    "caution" if moves(low, high) else "note",
                    f"Sources disagree on {part.name}",
                    f"Readings run from {low:g} to {high:g}; {part.estimate.value:g} is used, and "
                    "the result with the others stands beside it.",
                    figure=f"{high - low:g} HLB apart",
                    rule="no silent median where readings lie more than 3 apart; our convention",
                    mend="Choose a reading, ask your supplier, or run a bench ladder.",
                    aside=not moves(low, high),
                )
            )
        if part.basis == "table" and (note := library.find(part.name).note):
            found.append(Finding("note", f"About {part.name}", note, aside=True))
    return found


def choice_findings(
    estimate: Estimate,
    others: Sequence[OtherChoice],
    fragrant: Sequence[Part],
    whole: float | None,
    window: float,
    *,
    alone: bool,
) -> list[Finding]:
    """Remarks on choices; an oil phase alone knows nothing of the emulsifiers beside it."""
    found = []
    for other in others:
        if other.choice.startswith("counted") and other.name != "fragrance" and other.estimate:
            apart = abs(other.estimate.value - estimate.value)
            found.append(
                Finding(
                    "caution" if apart > window else "note",
                    f"{other.name} stands on both sides",
                    f"The required HLB is {estimate.value:.1f}; {other.choice} it would be "
                    f"{other.estimate.value:.1f}"
                    + (", more than the window apart." if apart > window else "."),
                    figure=f"{apart:.2f} HLB apart, window ±{window:g}",
                    rule=PRACTICE,
                    mend="Keep to one way of counting in all your formulas."
                    + (
                        " List it among the emulsifiers too: only there does it take part in the "
                        "blend and the dose."
                        if alone and other.choice == "counted in the oil phase"
                        else ""
                    ),
                    aside=apart <= window,
                )
            )
    if fragrant and whole:
        pct = 100 * math.fsum(p.mass for p in fragrant) / whole
        if pct < NEGLIGIBLE_FRAGRANCE_PCT:
            found.append(
                Finding(
                    "note",
                    "Fragrance is negligible here",
                    f"{pct:.2g} % of the formula hardly moves the required HLB.",
                    figure=f"below {NEGLIGIBLE_FRAGRANCE_PCT:g} % of the formula",
                    rule=PRACTICE,
                    aside=True,
                )
            )
    return found


def line_findings(lines: Sequence[Counted], also: Mapping[str, Sequence[str]]) -> list[Finding]:
    """Lines that are the same ingredient, and waxes that are taken whole."""
    found = [
        Finding(
            "note",
            f"{name} stands more than once",
            f"{', '.join(names)} is the same ingredient; the amounts are added.",
            aside=True,
        )
        for name, names in also.items()
    ]
    found += [
        Finding(
            "note",
            f"{x.name} is taken as it is",
            "All-in-one emulsifying waxes have no HLB verdict: go by the supplier's rate "
            "and oil limit, or enter its declared parts as lines of their own.",
            rule=PRACTICE,
            aside=True,
        )
        for x in lines
        if x.is_whole_wax
    ]
    return found
