"""The figures of ladders, of what is learned from them, and of swaps as steps."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from types import SimpleNamespace

import pandas as pd

from hlbcore.errors import HlbError, clipped
from hlbcore.estimate import Estimate
from hlbcore.ladder.cost import LadderCost
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.trial import Trial
from hlbcore.ladder.value import Measured
from hlbcore.learning.bench_result import Z_95
from hlbcore.learning.learned import Learned
from hlbcore.learning.next_bench import NextBench
from hlbcore.learning.results import LearnedHlb
from hlbcore.lessons._bench_working import back_out_working
from hlbcore.lessons._steps import Step, Working, figure
from hlbcore.library import Library
from hlbcore.swapping.results import Swap

ROWS = 12
"""Rows of a table that are written out. [-] Our convention."""


def _records(rows: pd.DataFrame) -> Iterator[SimpleNamespace]:
    return (SimpleNamespace(**{str(k): v for k, v in r.items()}) for r in rows.to_dict("records"))


def plan_figure(ladder: Ladder) -> Working:
    """Rungs and dose of a ladder.

    Parameters
    ----------
    ladder : Ladder
        Any ladder.

    Returns
    -------
    Working
        How far the rungs lie apart, and the emulsifier of a vial.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> plan_figure(ladder).steps[0].line
    'Between two rungs: (13 - 7) / 6 = 1 HLB'
    """
    rungs = sorted({v.target_hlb for v in ladder.vials if v.target_hlb is not None})
    steps = []
    if rungs[1:] and not ladder.blinded:
        numbers = f"({figure(rungs[-1])} - {figure(rungs[0])}) / {len(rungs) - 1}"
        apart = (rungs[-1] - rungs[0]) / (len(rungs) - 1)
        steps.append(Step("Between two rungs", "(highest - lowest) / (rungs - 1)", numbers, apart, "HLB"))
    if ladder.emulsifier_pct is not None:
        numbers = f"{figure(ladder.emulsifier_pct)} × {figure(ladder.vial_mass_g)} / 100"
        grams = ladder.emulsifier_pct * ladder.vial_mass_g / 100
        steps.append(Step("Emulsifier of a vial", "pct × vial / 100", numbers, grams, "g"))
    steps += [
        Step(
            f"{clipped(name)} of a vial",
            "pct × vial / 100",
            f"{figure(pct)} × {figure(ladder.vial_mass_g)} / 100",
            pct * ladder.vial_mass_g / 100,
            "g",
        )
        for name, pct in (*ladder.oils, *ladder.others)
    ]
    said = ("Water makes up the rest; grams are rounded so that they fit the scale and add to the vial.",)
    return Working("Rungs and grams of a ladder", tuple(steps), said, "ladder")


def ladder_cost_figure(made: LadderCost) -> Working:
    """Grams and money that a ladder takes."""
    grams = " + ".join(figure(g) for g in made.grams.values())
    steps = [Step("All ingredients of all vials", "sum", grams, made.total_g, "g")]
    if made.money is not None:
        steps.append(Step("Those with a price", "sum(grams × price / 1000)", "each by its price", made.money))
    return Working("What a ladder takes", tuple(steps), (made.words,), "ladder")


def value_figure(trial: Trial, fit: TrialFit, found: Measured, library: Library) -> Working:
    """The value that a ladder yields: its optimum, or worked back from the mixture.

    Parameters
    ----------
    trial, fit : Trial, TrialFit
        The ladder, and what it says.
    found : Measured
        What was found.
    library : Library
        The tables that it was found with.

    Returns
    -------
    Working
        One mixture step by step; of several, what they say together.
    """
    e, name = found.estimate, found.item.name
    ends = f"{figure(e.low)} to {figure(e.high)}"
    if found.back is None:
        steps = (Step(f"The ladder holds {clipped(name)} alone: its optimum is the value"),)
        return Working("The value of a ladder", steps, (f"{figure(e.value)}, {ends} HLB.",), "ladder")
    masses = {library.key(n): (n, m) for n, m in trial.ladder.oils}
    own = masses.pop(library.key(name))
    try:
        made = back_out_working(
            fit, dict(masses.values()), own[1], emulsion=trial.ladder.emulsion, library=library
        )
    except HlbError:
        made = None
    if made is not None and any(s.result is not None and math.isclose(s.result, e.value) for s in made.steps):
        return made
    step = Step(
        "Several mixtures, or one known to lie at an edge: least squares over all of them",
        "",
        "sum(share × value) = optimum of each",
        e.value,
        "HLB",
    )
    return Working("Worked back from mixtures", (step,), (f"Range {ends} HLB.",), "ladder")


def doubts_figure(found: Measured, name: str) -> Working:
    """Where the doubt of a value that was worked back comes from."""
    assert found.back is not None
    steps = tuple(
        Step(f"{clipped(str(row[0]))}: {row[1]:.0f} % of the variance, moves the value by {row[2]:.2f} HLB")
        for row in found.back.doubts(name).itertuples(index=False)
    )
    said = "Each doubt counts by its share over the share of what is worked back; the squares add up."
    return Working("Doubts of the value", steps, (said,), "ladder")


def together_figure(fit: TrialFit, tables: Estimate, both: Estimate) -> Working:
    """Ladder and tables together."""
    assert fit.estimate is not None
    steps = (
        Step(f"The ladder alone: {fit.estimate!r}"),
        Step(f"The tables alone: {tables!r}"),
        Step(
            "Each top's belief times how near the tables lie to it; then the mean",
            "sum(belief × top)",
            "over all tops",
            both.value,
            "HLB",
        ),
    )
    return Working("Ladder with the tables", steps, (), "ladder")


def moved_figure(rows: pd.DataFrame) -> Working:
    """Required HLB of kept formulas before and after.

    Parameters
    ----------
    rows : DataFrame
        A row a formula, with ``name``, ``required_before`` and ``required_after``. [HLB]

    Returns
    -------
    Working
        By how much each moves.
    """
    held = [(r["name"], r["required_before"], r["required_after"]) for r in rows.to_dict("records")]
    steps = tuple(
        Step(f"{clipped(n)} moves by", "after - before", f"{figure(b)} - {figure(a)}", b - a, "HLB")
        for n, a, b in held[:ROWS]
        if not (pd.isna(a) or pd.isna(b))
    )
    said = "Each is worked out as on its own page, once with the figures in use and once with the new ones."
    return Working(
        "Required HLB of kept formulas", steps or (Step("No figure of theirs moves"),), (said,), "required"
    )


def bench_figure(made: Learned) -> Working:
    """What was learned of the oils in ladders: the tables' figure, and what the ladders moved it by."""
    held = made.figures[made.figures["ladders"] > 0]
    steps = []
    for r in _records(held.head(ROWS)):
        numbers = f"{figure(r.tables_value)} + {figure(r.moved)}"
        steps.append(
            Step(
                f"{clipped(r.ingredient)}: tables, and moved by the ladders",
                "t + moved",
                numbers,
                r.value,
                "HLB",
            )
        )
        steps.append(_width(r.value, r.sd, r.high))
    said = (
        "All ladders and all tables are one set of equations: each optimum is the sum of shares times "
        "figures, with the doubt of reading, pair and mixing; what agrees best with all is taken.",
        "A figure ends at 0 and at 40.",
    )
    return Working("Learned figures", tuple(steps) or (Step(made.words),), said, "ladder")


def _width(value: float, sd: float, high: float) -> Step:
    numbers = f"{figure(value)} + {figure(Z_95)} × {figure(sd)}"
    return Step(
        "High end of its 95 % interval; the low end lies as far below", "v + 1.96 sd", numbers, high, "HLB"
    )


def phase_figure(found: LearnedHlb) -> Working:
    """The required HLB of a phase, from the tables and all ladders."""
    moved = f"{figure(found.tables.value)} + {figure(found.value - found.tables.value)}"
    steps = (
        Step("Tables, and moved by the ladders", "t + moved", moved, found.value, "HLB"),
        _width(found.value, found.sd, found.high),
    )
    return Working("Learned of the open formula", steps, (found.provenance,), "ladder")


def surprise_figure(made: Learned) -> Working:
    """How far each ladder lies from what the others say."""
    steps = tuple(
        Step(
            f"{clipped(r.ladder)}: read less what the others say",
            "optimum - others",
            f"{figure(r.optimum)} - {figure(r.others)}",
            r.optimum - r.others,
            f"HLB, {abs(r.surprise):.1f} standard deviations",
        )
        for r in _records(made.ladders.head(ROWS))
        if not (pd.isna(r.optimum) or pd.isna(r.others) or pd.isna(r.surprise))
    )
    said = "The standard deviation holds the doubt of the reading and that of what the others say."
    return Working("Surprise", steps or (Step(made.words),), (said,), "ladder")


def pairs_figure(made: Learned) -> Working:
    """By how much optima with a pair lie above those of pairs in general."""
    steps = tuple(
        Step(f"{clipped(r.pair)}: {r.effect:+.2f} ({r.low:+.2f} to {r.high:+.2f}) from {r.ladders} ladders")
        for r in _records(made.pairs.head(ROWS))
    )
    said = f"Pairs in general differ by a standard deviation of {made.pair_sd:.2g} HLB."
    return Working("Effect of a pair", steps or (Step(made.words),), (said,), "ladder")


def next_figure(found: NextBench) -> Working:
    """How sure the next ladder would make us."""
    numbers = f"{figure(found.now)} - {figure(found.after)}"
    steps = (
        Step(
            "Mean half width of the 95 % intervals that matter, now less then",
            "now - after",
            numbers,
            found.now - found.after,
            "HLB",
        ),
        Step(f"Its optimum is taken to be read to a standard deviation of {figure(found.read_sd)} HLB"),
    )
    said = "The ladder that takes most off stands first; how wide it gets does not turn on what it will say."
    return Working("The next ladder", steps, (said,), "ladder")


def distance_figure(ranked: pd.DataFrame, weights: Mapping[str, float]) -> Working:
    """How far what could stand in lies from what goes out."""
    rows = ranked.head(ROWS).to_dict("records")
    steps = tuple(Step(f"{clipped(str(r['ingredient']))}, {r['distance']:.2f}: {r['reason']}") for r in rows)
    counts = ", ".join(f"{name} {weight:g}" for name, weight in weights.items())
    said = (
        "Distance: sum of weight × difference over the sum of the weights, each difference from 0 (alike) to "
        "1; our convention.",
        f"Weights: {counts}.",
    )
    return Working("Distance", steps or (Step("Nothing is ranked"),), said, "swap")


def options_figure(made: Swap) -> Working:
    """The ways to go on: distance of each from what is required, and its dose."""
    steps = []
    for r in _records(made.options):
        if not r.possible or pd.isna(r.hlb) or pd.isna(r.required_hlb):
            continue
        numbers = f"abs({figure(r.hlb)} - {figure(r.required_hlb)})"
        steps.append(
            Step(f"{clipped(r.option)}: distance", "|H - R|", numbers, abs(r.hlb - r.required_hlb), "HLB")
        )
    said = (
        "% of oil: 100 × dose / oil phase after the swap. Cost: sum of % × price / 100, where all have one."
    )
    return Working("Ways to go on", tuple(steps) or (Step(made.answer),), (said,), "swap")


def shifts_figure(made: Swap) -> Working:
    """What else shifts, before and after."""
    rows = made.shifts
    steps = [
        Step(
            clipped(r.quantity),
            "after - before",
            f"{figure(r.after)} - {figure(r.before)}",
            r.after - r.before,
            r.unit,
        )
        for r in _records(rows)
        if not (pd.isna(r.before) or pd.isna(r.after)) and r.before != r.after
    ]
    said = (
        "A figure of the fats is the sum of each fat's share times its own figure; where a fat has none, "
        "it stands under 'not known for'.",
    )
    return Working("What else shifts", tuple(steps) or (Step("No figure that is known moves"),), said, "swap")
