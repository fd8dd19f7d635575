"""A fine ladder around the optimum of a coarse one."""

from __future__ import annotations

from hlbcore._numbers import checked
from hlbcore.blending.choice import openers
from hlbcore.errors import InvalidInput, UnreachableTarget
from hlbcore.estimate import HLB_MAX, Estimate, as_estimate
from hlbcore.ladder.finish import STEPS_MOST
from hlbcore.ladder.ladder import Ladder, whole_number
from hlbcore.ladder.plan import STEPS_LEAST, build_ladder, clipped_by_reach
from hlbcore.ladder.vial import bench, found_emulsifier
from hlbcore.library import Library, load_library

FINE_STEPS = 5
"""Vials of a fine ladder. [-] Our convention: half a rung apart, over one rung on each side."""


def fine_ladder(
    ladder: Ladder,
    *,
    around: float | str | Estimate,
    half_width: float | str | None = None,
    steps: int = FINE_STEPS,
    duplicates: int = 2,
    seed: int | None = None,
    library: Library | None = None,
) -> Ladder:
    """A finer ladder of the same mixture around the best HLB so far.

    Parameters
    ----------
    ladder : Ladder
        The coarse one.
    around : float, str or Estimate
        The optimum so far; an Estimate brings its range, which sets the span. [HLB]
    half_width : float, optional
        From the middle to the ends; left out: one rung of the coarse ladder. [HLB]
    steps : int
        Vials, without duplicates. [-, 3 to 40]
    duplicates : int
        Vials made twice, from the middle outward. [-]
    seed : int, optional
        Start of the random order; left out: another for each ladder. [-]

    Returns
    -------
    Ladder
        Same pair, oils, dose, vials and process; only the HLB steps are finer.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> coarse = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> fine_ladder(coarse, around=11).table["target_hlb"].tolist()
    [10.0, 10.5, 11.0, 11.5, 12.0, 11.0, 10.5]
    """
    library = library or load_library()
    if ladder.rung is None or len(ladder.emulsifiers) != 2 or ladder.emulsifier_pct is None:
        raise InvalidInput(
            "ladder", "it has no HLB steps of one pair at one dose", "Plan a ladder with plan_ladder."
        )
    aim = as_estimate(around, "around")
    half = max(ladder.rung, aim.value - aim.low, aim.high - aim.value)
    if half_width is not None:
        half = checked(half_width, "half width", above=0, high=HLB_MAX)
    n = whole_number(steps, "steps", STEPS_LEAST, STEPS_MOST)
    held = [found_emulsifier(name, {name: e}, library) for name, e in ladder.emulsifiers]
    reach = sorted(e.value for _, e in ladder.emulsifiers)
    if not reach[0] <= aim.value <= reach[1]:
        raise UnreachableTarget(aim.value, (reach[0], reach[1]), (), openers(aim.value, reach, library))
    low, high = aim.value - half, aim.value + half
    cautions = []
    if low < reach[0] or high > reach[1]:
        cautions.append(clipped_by_reach(low, high, reach, held))
        low, high = max(low, reach[0]), min(high, reach[1])
    shared = bench(held, dict(ladder.oils), dict(ladder.others), ladder.vial_mass_g, ladder.readability_g)
    return build_ladder(
        "fine",
        shared,
        low,
        high,
        n,
        ladder.emulsifier_pct,
        ladder.emulsion,
        duplicates,
        seed,
        ladder.blinded,
        ladder.process,
        library,
        cautions,
        "",
    )
