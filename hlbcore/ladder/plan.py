"""Ladders of stepped HLB: the coarse one, and the fine one around the best."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from hlbcore._numbers import checked, checked_dose
from hlbcore.blending.candidates import Candidate
from hlbcore.blending.choice import choose_emulsifiers, openers
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import InvalidInput, UnreachableTarget, clipped
from hlbcore.estimate import HLB_MAX, Estimate, as_estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.ingredients import Ingredient
from hlbcore.ladder.blur import blur_findings
from hlbcore.ladder.finish import STEPS_MOST, Weighed, finish, pair_findings, room
from hlbcore.ladder.ladder import Ladder, Process, whole_number
from hlbcore.ladder.next_vials import answers_in_words
from hlbcore.ladder.vial import Bench, Names, bench, found_emulsifier
from hlbcore.library import Library, load_library
from hlbcore.product_types import PRACTICE

DOSE_OF_OIL = (10.0, 15.0)
"""Dose of a ladder, low enough that differences show. [% of the oil phase]
common practice, no source."""

STEPS_LEAST = 3
"""Vials of a ladder, without duplicates. [-] Our convention: two points have no top."""

BEYOND = 1.0
"""How far a ladder goes beyond the range of the required HLB, so that an optimum at its end has a
rung beyond it. [HLB] Our convention: one usual window."""

HALF_WIDTH_LEAST = 2.0
"""Least half width of a coarse ladder planned from a range. [HLB] Our convention."""

HALF_WIDTH_USUAL = 3.0
"""Half width of a coarse ladder around a bare number. [HLB] Our convention."""

FEW_VIALS = 5
"""From so many vials a ladder may show a hump. [-]"""

EMULSION_TO_OBSERVE = (
    "Emulsion type of every vial: a drop in water and a drop in oil.",
    "After 1 hour, 1 day and 1 week: score 0 to 5; water, oil and cream layer apart.",
    "Droplet size where a microscope is at hand.",
    "If all look alike after a week, keep them at 40 °C and read on.",
)
"""What to look at in a ladder of emulsions; common practice, no source."""


def plan_ladder(
    first: str | Ingredient | None = None,
    second: str | Ingredient | None = None,
    *,
    oil_phase: Names,
    centre: float | str | Estimate | RequiredHlb | None = None,
    half_width: float | str | None = None,
    steps: int = 7,
    vial_mass_g: float | str = 50.0,
    emulsifier_pct: float | str | None = None,
    readability_g: float | str = 0.01,
    others: Names | None = None,
    emulsion: str = "o/w",
    values: Mapping[str, float | str | Estimate] | None = None,
    duplicates: int = 0,
    seed: int | None = None,
    blinded: bool = False,
    process: Process | None = None,
    library: Library | None = None,
    trimmed: bool = False,
) -> Ladder:
    """A ladder of vials at stepped HLB, in grams that a scale can show.

    Parameters
    ----------
    first, second : str or Ingredient, optional
        The two emulsifiers; left out: a pair of one fatty chain that reaches the span.
    oil_phase : mapping of str to float or str
        Oils, butters and waxes of every vial. [% of the vial]
    centre : float, str, Estimate or RequiredHlb, optional
        Middle of the ladder; an Estimate or a required HLB brings its range, which sets the span.
        Left out: the required HLB of the oil phase. [HLB]
    half_width : float, optional
        From the middle to the ends; left out: one unit beyond the range, or 3 around a bare
        number. [HLB]
    steps : int
        Vials, without duplicates. [-, 3 to 40]
    vial_mass_g : float
        Mass of one vial. [g]
    emulsifier_pct : float, optional
        Both emulsifiers together; left out: 12.5 % of the oil phase. [% of the vial]
    readability_g : float
        Division of the scale. [g]
    others : mapping of str to float, optional
        What else is in every vial alike; water makes up the rest. [% of the vial]
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    values : mapping of str to float, str or Estimate, optional
        The user's own HLB of an emulsifier, by name. [HLB]
    duplicates : int
        Vials made twice, from the middle outward, for an error estimate. [-]
    seed : int, optional
        Start of the random order and of the codes; left out: another for each ladder. [-]
    blinded : bool
        Labels are codes that do not tell the HLB.
    process : Process, optional
        What is done to every vial; left out: from the melting figures.
    library : Library, optional
        The built-in tables if left out.
    trimmed : bool
        Whether steps that the pair does not reach are left out and told, instead of refused.

    Returns
    -------
    Ladder
        The vials in grams, with the HLB really reached and its uncertainty from weighing.

    Raises
    ------
    UnreachableTarget
        If a rung that was asked for lies outside the two emulsifiers.
    InvalidInput
        For numbers that cannot be used.

    Notes
    -----
    Each pair of grams adds to the rounded total and comes nearest to its rung. The uncertainty
    is that of `hlbcore.blending.weighing.weighing_sd`. The doubt of the emulsifiers' own HLB moves
    all rungs together and is left out.

    Examples
    --------
    >>> ladder = plan_ladder("sorbitan stearate", "polysorbate 60", centre=10, half_width=3,
    ...                      steps=7, vial_mass_g=50, emulsifier_pct=3,
    ...                      oil_phase={"mineral oil": 20}, readability_g=0.01)
    >>> ladder.table[["target_hlb", "polysorbate 60_g", "hlb_as_weighed"]].iloc[0].tolist()
    [7.0, 0.34, 7.01]
    """
    library = library or load_library()
    n = whole_number(steps, "steps", 0, STEPS_MOST)
    if n < STEPS_LEAST:
        raise InvalidInput(
            "steps",
            f"{n} vials cannot show an optimum",
            f"Plan at least {STEPS_LEAST}; seven give an interval that can be trusted more.",
        )
    aim, from_range = _aim(centre, oil_phase, emulsion, library)
    low, high = _span(aim, half_width, from_range)
    held, reason = _pair(first, second, low, high, aim.value, values, library)
    cautions: list[Finding] = []
    reach = sorted(c.estimate.value for c in held)
    loose = trimmed or (from_range and half_width is None)
    if loose and (low < reach[0] or high > reach[1]):
        if not reach[0] < aim.value < reach[1]:
            raise UnreachableTarget(aim.value, (reach[0], reach[1]), (), openers(aim.value, reach, library))
        cautions.append(clipped_by_reach(low, high, reach, held))
        low, high = max(low, reach[0]), min(high, reach[1])
    shared = bench(held, oil_phase, others, vial_mass_g, readability_g)
    return build_ladder(
        "coarse",
        shared,
        low,
        high,
        n,
        emulsifier_pct,
        emulsion,
        duplicates,
        seed,
        blinded,
        process,
        library,
        cautions,
        reason,
    )


def _aim(
    centre: float | str | Estimate | RequiredHlb | None, oil_phase: Names, emulsion: str, library: Library
) -> tuple[Estimate, bool]:
    """Middle of the ladder, and whether a range came with it."""
    if centre is None:
        return required_hlb(oil_phase, emulsion=emulsion, library=library).estimate, True
    if isinstance(centre, RequiredHlb):
        return centre.estimate, True
    aim = as_estimate(centre, "centre")
    return aim, aim.spread > 0


def _span(aim: Estimate, half_width: float | str | None, from_range: bool) -> tuple[float, float]:
    if half_width is not None:
        half = checked(half_width, "half width", above=0, high=HLB_MAX)
        return aim.value - half, aim.value + half
    if not from_range:
        return aim.value - HALF_WIDTH_USUAL, aim.value + HALF_WIDTH_USUAL
    low = min(aim.low - BEYOND, aim.value - HALF_WIDTH_LEAST)
    high = max(aim.high + BEYOND, aim.value + HALF_WIDTH_LEAST)
    return math.floor(2 * low) / 2, math.ceil(2 * high) / 2  # ends at whole and half units


def _pair(
    first: str | Ingredient | None,
    second: str | Ingredient | None,
    low: float,
    high: float,
    middle: float,
    values: Mapping[str, float | str | Estimate] | None,
    library: Library,
) -> tuple[list[Candidate], str]:
    if (first is None) != (second is None):
        raise InvalidInput("emulsifiers", "one of the two is missing", "Name both or none.")
    reason = ""
    if first is None or second is None:
        # one pair for all rungs: prefer one that reaches both ends
        tried = [choose_emulsifiers(t, library=library) for t in (middle, low, high) if t >= 0]
        found = [c for c in tried if len(c.names) == 2]
        if not found:
            raise InvalidInput("emulsifiers", tried[0].reason, "Name two emulsifiers.")

        def short(names: tuple[str, ...]) -> float:
            a, b = sorted(found_emulsifier(x, None, library).estimate.value for x in names)
            return max(a - low, 0.0) + max(high - b, 0.0)

        best = min(found, key=lambda c: short(c.names))
        first, second = best.names
        reason = best.reason
    held = [found_emulsifier(x, values, library) for x in (first, second)]
    if held[0].id == held[1].id:
        raise InvalidInput(
            "emulsifiers", f"'{clipped(held[0].label)}' is named twice", "Name two different ones."
        )
    if held[0].estimate.value == held[1].estimate.value:
        raise InvalidInput(
            "emulsifiers",
            f"both have HLB {held[0].estimate.value:g}, so every ratio gives it",
            "Take a second emulsifier of another HLB.",
        )
    return held, reason


def clipped_by_reach(low: float, high: float, reach: list[float], held: list[Candidate]) -> Finding:
    """What is said of steps that the pair does not reach."""
    return Finding(
        "caution",
        "The pair does not reach the whole span",
        f"The span wanted is HLB {low:g} to {high:g}; {held[0].label} with {held[1].label} reaches "
        f"{reach[0]:g} to {reach[1]:g}, and the ladder ends there.",
        figure=f"{reach[0]:g} to {reach[1]:g} HLB",
        rule="the reach of a pair ends at its two members (griffin_1949_recalled)",
        mend="Take another pair if the optimum turns out at that end.",
    )


def _dose(pct: float | str | None, oil_pct: float) -> tuple[float, list[Finding]]:
    low, high = DOSE_OF_OIL
    if pct is None:
        return (low + high) / 200 * oil_pct, []
    dose = checked_dose(pct, "emulsifier", "vial")
    of_oil = 100 * dose / oil_pct
    if low - 1e-9 <= of_oil <= high + 1e-9:
        return dose, []
    much = of_oil > high
    return dose, [
        Finding(
            "note",
            "The dose may hide differences" if much else "The dose is low for a ladder",
            "With much emulsifier all vials look good."
            if much
            else "With little emulsifier all vials may part.",
            figure=f"{of_oil:.3g} % of the oil phase",
            rule=f"{low:g} to {high:g} % of the oil phase for a ladder; {PRACTICE}",
            mend=f"Take {low * oil_pct / 100:.3g} to {high * oil_pct / 100:.3g} % of the vial.",
        )
    ]


def targets_between(low: float, high: float, steps: int) -> list[float]:
    """Evenly spaced HLB targets. [HLB]"""
    return [round(float(t), 9) for t in np.linspace(low, high, steps)]


def build_ladder(
    kind: str,
    shared: Bench,
    low: float,
    high: float,
    steps: int,
    emulsifier_pct: float | str | None,
    emulsion: str,
    duplicates: int,
    seed: int | None,
    blinded: bool,
    process: Process | None,
    library: Library,
    cautions: list[Finding],
    reason: str,
) -> Ladder:
    """The steps as vials, with the dose that was asked for or the usual one."""
    dose, about_dose = _dose(emulsifier_pct, shared.oil_pct)
    room(shared, dose)
    reach = sorted(c.estimate.value for c in shared.emulsifiers)
    for end in (low, high):
        if not reach[0] - 1e-9 <= end <= reach[1] + 1e-9:
            narrower = min(abs(r - (low + high) / 2) for r in reach)
            inside = reach[0] < (low + high) / 2 < reach[1]
            raise UnreachableTarget(
                end,
                (reach[0], reach[1]),
                (f"half width {math.floor(narrower * 100) / 100:g}",) if inside else (),
                openers(end, reach, library) if 0 <= end <= HLB_MAX else (),
            )
    rungs = [min(max(t, reach[0]), reach[1]) for t in targets_between(low, high, steps)]
    weighed: list[Weighed] = [(shared.weigh(shared.split(t, dose), t), t) for t in rungs]
    found = [*cautions, *about_dose, *pair_findings(shared.emulsifiers)]
    if reason:
        found.append(Finding("note", "The pair was chosen", f"{reason}."))
    if len(rungs) >= FEW_VIALS:
        found.append(
            Finding(
                "note",
                "How often such a ladder answers",
                answers_in_words(len(rungs), duplicates),
                rule="simulated ladders of six shapes",
                mend=""
                if duplicates >= len(rungs) / 2
                else "Make every vial twice, or 7 to 9 different ones.",
            )
        )
    ladder = finish(
        kind,
        shared,
        weighed,
        dose,
        emulsion,
        duplicates,
        seed,
        blinded,
        process,
        EMULSION_TO_OBSERVE,
        found,
        library,
    )
    return replace(ladder, cautions=worst_first([*blur_findings(ladder, shared), *ladder.cautions]))
