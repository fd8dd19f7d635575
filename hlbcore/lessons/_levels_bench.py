"""The upper levels: structure, swaps and ladders."""

from __future__ import annotations

from random import Random

from hlbcore.blending.mixing import split_pair
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.ladder.back_out import back_out_required_hlb
from hlbcore.ladder.fit import fit_trials
from hlbcore.lessons._bench_working import back_out_working
from hlbcore.lessons._exercise import Exercise
from hlbcore.lessons._formulas import davies_working, oxyethylene_working
from hlbcore.lessons._levels import HLB_TOLERANCE, oil_rows, phase_of, solved, summed
from hlbcore.lessons._mistakes import Mistake
from hlbcore.lessons._pool import Figure, Pool, tidy
from hlbcore.lessons._steps import Step, figure
from hlbcore.lessons.working import working

OXYETHYLENE = 44.053
"""Molar mass of one oxyethylene unit. [g/mol] molar_mass_from_formula"""

ALCOHOLS = (("laur", 186.34), ("cet", 242.45), ("stear", 270.50), ("ol", 268.49))
"""Stem of the name and molar mass of the fatty alcohol. [g/mol] molar_mass_from_formula"""


def structure(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """Griffin's formula for a fatty alcohol ether."""
    stem, alcohol = rng.choice(ALCOHOLS)
    units = rng.choice((2, 3, 4, 5, 10, 15, 20, 23, 25, 30))
    mass = units * OXYETHYLENE
    pct = round(2 * 100 * mass / (mass + alcohol)) / 2  # to half a per cent, as on a data sheet
    result = oxyethylene_working(pct)
    answer = result.steps[-1].result
    assert answer is not None
    name = f"{stem}eth-{units}"
    return Exercise(
        "structure",
        seed,
        f"{name[0].upper()}{name[1:]} is a fatty alcohol with about {units} "
        "units of oxyethylene. Which HLB does its structure give by Griffin's formula?",
        ((name, f"{pct:g} % oxyethylene by mass, the rest fatty alcohol"),),
        answer,
        "HLB",
        HLB_TOLERANCE,
        result.steps,
        (
            Mistake("percent for HLB", pct),
            Mistake("share of the fatty side", (100 - pct) / 5),
            Mistake("fraction for percent", answer / 100),
        ),
        (),
        "limits",
    )


def groups(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """Davies' groups for an alkyl sulfate or a soap."""
    head, name, number = rng.choice(
        (
            ("SO4Na", "sodium alkyl sulfate", 38.7),
            ("COONa", "sodium soap", 19.1),
            ("COOK", "potassium soap", 21.1),
        )
    )
    chain = rng.choice(range(9, 18) if head != "SO4Na" else range(8, 19, 2))
    result = davies_working({head: 1, "CH3": 1, "CH2": chain - 1})
    answer = result.steps[-1].result
    assert answer is not None
    beside = " beside the one of the head" if head.startswith("COO") else ""
    return Exercise(
        "groups",
        seed,
        f"Which HLB do Davies' groups give for this {name}?",
        (
            ("head group", f"{head}, {number:g}"),
            ("chain", f"{chain} carbons{beside}, -0.475 each"),
            ("start of the sum", "7"),
        ),
        answer,
        "HLB",
        HLB_TOLERANCE,
        result.steps,
        (
            Mistake("the 7 left out", answer - 7),
            Mistake("chain added", 7 + number + 0.475 * chain),
            *([Mistake("carboxyl carbon counted", answer - 0.475)] if head.startswith("COO") else []),
        ),
        (),
        "limits",
    )


def swap(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """Swap a butter, and keep a limit on one emulsifier."""
    out, into = rng.sample(stock.butters, 2)
    others = [Figure(o.name, o.value) for o in rng.sample(stock.oils, 2)]
    moved = float(rng.choice((4, 5, 6, 8, 10)))
    kept = [(o, float(rng.choice((2, 3, 4, 5, 6, 8, 10)))) for o in others]
    low, high = rng.choice(stock.pairs)
    total = float(rng.choice((2, 2.5, 3, 4, 5, 6)))
    whole, top = summed([(into, moved), *kept])
    # as lesson 4 teaches; and plain sums before the core's
    if not 10 <= whole <= 30 or not 0.15 <= total / whole <= 0.3 or not tidy(top / whole, 2):
        return None
    before, after = ([(b, moved), *kept] for b in (out, into))
    old, new = (
        required_hlb(phase_of(lines), values={o.name: o.value for o, _ in lines}) for lines in (before, after)
    )
    if not tidy(new.value, 2) or abs(new.value - old.value) < 0.2:
        return None
    if not all(low.value < r.value < high.value for r in (old, new)):
        return None
    result = solved(low, high, new.value, total)
    limit, share = result.masses[1], result.mixture.fractions[1]
    if not tidy(limit, 2) or not tidy(100 * share, 1):
        return None
    old_share = split_pair(low.value, high.value, target=old.value)[1]
    last = Step(
        "The most of that one, over its share, gives the total",
        "limit / share",
        f"{figure(limit)} / {figure(share)}",
        total,
        "% of the formula",
    )
    steps = (*working(new).steps, *working(result).steps[:2], last)
    return Exercise(
        "swap",
        seed,
        f"In this o/w cream {out.name} is swapped for the same amount of {into.name} "
        f"(required HLB {into.value:g}). You use no more than {limit:g} % of {high.name}. How much "
        "may both emulsifiers be together at most, if the blend is to meet the new required HLB "
        "exactly?",
        (
            *oil_rows(before),
            (low.name, f"HLB {low.value:g}"),
            (high.name, f"HLB {high.value:g}, at most {limit:g} % of the formula"),
        ),
        total,
        "% of the formula",
        max(0.01, 0.01 * total),
        steps,
        (
            Mistake("old oil phase", limit / old_share),
            Mistake("ratio swapped", limit / (1 - share)),
            Mistake("limit for the total", limit),
            Mistake("% of the blend for % of the formula", 100 * share),
            Mistake("fraction for percent", total / 100),
        ),
        (),
        "swap",
    )


HALF_RUNG = 0.5
"""How well an optimum is known at best on rungs 1 apart. [HLB] Our convention, as in the lesson."""


def ladder(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """Read the optimum off a ladder, scatter and all."""
    low, high = rng.choice(stock.pairs)
    start = float(rng.choice((6, 7, 8, 9)))
    rungs = [start + n for n in range(7)]
    top = start + rng.choice((1.5, 2, 2.5, 3, 3.5, 4, 4.5))
    if not low.value < rungs[0] or not rungs[-1] < high.value:
        return None
    steep, least = rng.choice((0.8, 1.2, 2.0)), float(rng.choice((0, 1, 2)))
    read = [max(0.0, round(least + steep * (h - top) ** 2 + rng.uniform(-0.4, 0.4), 1)) for h in rungs]
    best = min(range(7), key=lambda n: read[n])
    if not 1 <= best <= 5:
        return None
    before, there, after = read[best - 1 : best + 2]
    by_hand = rungs[best] + (before - after) / (2 * (before - 2 * there + after))
    fit = fit_trials(rungs, read, better="lower")
    if fit.optimum is None or not fit.verdict.startswith("clear optimum"):
        return None
    optimum = round(fit.optimum, 1)
    # whatever may be defended from the readings is right: the parabola by hand, and every best vial
    ties = [h for h, y in zip(rungs, read, strict=True) if y == there]
    if any(abs(h - optimum) > HALF_RUNG for h in (by_hand, *ties)):
        return None
    left, mid, right = (figure(read[n]) for n in (best - 1, best, best + 1))
    steps = (
        Step(f"The best vial: least water separated; HLB {rungs[best]:g}, {mid} mm"),
        Step(
            "By hand, a parabola through it and its two neighbours",
            "h + d / 2 × (y left - y right) / (y left - 2 y + y right)",
            f"{figure(rungs[best])} + 1 / 2 × ({left} - {right}) / ({left} - 2 × {mid} + {right})",
            round(by_hand, 2),
            "HLB",
        ),
        Step("The curve of the page Ladder goes through all readings", "", "", optimum, "HLB"),
        Step("One ladder tells it to half a rung at best: anything so near is as good"),
    )
    ends = (rungs[0], read[0]), (rungs[-1], read[-1])
    slips = (
        Mistake("vial number", float(best + 1)),
        Mistake("wrong end of the scale", max(ends, key=lambda e: e[1])[0]),
    )
    return Exercise(
        "ladder",
        seed,
        f"Seven vials were made with {low.name} and {high.name}, alike in all but "
        "the HLB. After a week the water that had separated was measured. At which HLB lies the "
        "optimum? One reading may be off by half a millimetre.",
        tuple(
            (f"vial {n}, HLB {h:g}", f"{y:g} mm of water")
            for n, (h, y) in enumerate(zip(rungs, read, strict=True), 1)
        ),
        optimum,
        "HLB",
        HALF_RUNG,
        steps,
        tuple(m for m in slips if abs(float(m.value) - optimum) > 4 * HALF_RUNG),
        (),
        "ladder",
    )


def unknown(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """Work back the required HLB of an oil from a ladder."""
    oil = rng.choice((*stock.oils, *stock.butters))
    a, b = (float(rng.choice((4, 5, 6, 8, 10, 12))) for _ in range(2))
    answer = rng.choice(range(10, 31)) / 2
    both = required_hlb(
        {oil.name: f"{a:g} %", "the new oil": f"{b:g} %"}, values={oil.name: oil.value, "the new oil": answer}
    )
    measured = both.value
    if not tidy(measured, 2) or abs(measured - oil.value) < 0.5:
        return None
    result = back_out_working(measured, [(a, oil.value)], b)
    found = back_out_required_hlb(measured, [(a, oil.value)], b).value
    check = Step(
        "Put it back: required HLB of both",
        "sum(m × R) / sum(m)",
        both.working.rpartition(" = ")[0],
        measured,
        "HLB",
    )
    return Exercise(
        "unknown",
        seed,
        "A ladder was made with an oil phase of two oils, one of them new to you. "
        "Which required HLB follows for the new oil?",
        (
            (oil.name, f"{a:g} %, required HLB {oil.value:g}"),
            ("the new oil", f"{b:g} %"),
            ("optimum of the ladder", f"HLB {measured:g} (o/w)"),
        ),
        found,
        "HLB",
        HLB_TOLERANCE,
        (*result.steps[1:3], check),
        (
            Mistake("mixture for the oil", measured),
            Mistake("shares left out", 2 * measured - oil.value),
            Mistake("known oil for the unknown", oil.value),
        ),
        (),
        "ladder",
    )
