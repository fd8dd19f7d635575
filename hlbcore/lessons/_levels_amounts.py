"""Exercises on amounts: from a share to the formula, to the batch, and to the scale."""

from __future__ import annotations

from random import Random

from hlbcore.blending.weighing import WeighedBlend, weigh_blend
from hlbcore.estimate import Estimate, Mixture
from hlbcore.lessons._exercise import Exercise
from hlbcore.lessons._levels import pair_and_share, pair_rows, solved, summed
from hlbcore.lessons._mistakes import Mistake
from hlbcore.lessons._pool import Pool, tidy
from hlbcore.lessons._steps import Step, figure
from hlbcore.lessons.working import working


def amounts(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """How much of the higher emulsifier stands in the formula."""
    drawn = pair_and_share(rng, stock, 1)
    total = float(rng.choice((2, 3, 4, 5, 6, 8)))
    if drawn is None or not tidy(total * drawn[2], 2):
        return None
    low, high, share, target = drawn
    result = solved(low, high, target, total)
    amount = result.masses[1]
    return Exercise(
        "amounts",
        seed,
        f"How much {high.name} stands in the formula, if the blend is to meet the required HLB exactly?",
        (*pair_rows(low, high, target), ("both together", f"{total:g} % of the formula")),
        amount,
        "% of the formula",
        max(0.01, 0.01 * amount),
        working(result).steps,
        (
            Mistake("% of the blend for % of the formula", 100 * share),
            Mistake("ratio swapped", result.masses[0]),
            Mistake("share for the amount", share),
            Mistake("fraction for percent", amount / 100),
        ),
        (),
        "amount",
    )


def dose(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """The total of the emulsifiers, from the oil phase to the formula."""
    oils = rng.sample((*stock.oils, *stock.butters), 2)
    lines = [(o, float(rng.choice((3, 4, 5, 6, 8, 10, 12, 15)))) for o in oils]
    whole, _ = summed(lines)
    of_oil = float(rng.choice((10, 12, 15, 20, 25, 30)))
    answer = of_oil * whole / 100
    if not tidy(answer, 1):
        return None
    steps = [
        Step(
            "From the oil phase to the formula",
            "dose × oil phase / 100",
            f"{figure(of_oil)} × {figure(whole)} / 100",
            answer,
            "% of the formula",
        )
    ]
    add = Step(
        "Add up the oil phase",
        "M = sum(m)",
        " + ".join(figure(m) for _, m in lines),
        whole,
        "% of the formula",
    )
    return Exercise(
        "dose",
        seed,
        f"An o/w cream is to have {of_oil:g} % of emulsifier, counted on the oil "
        "phase without emulsifier. How much is that of the formula?",
        tuple((o.name, f"{m:g} % of the formula") for o, m in lines),
        answer,
        "% of the formula",
        max(0.01, 0.01 * answer),
        (add, *steps),
        (
            Mistake("% of the oil phase for % of the formula", of_oil),
            Mistake("emulsifier counted as oil", whole * of_oil / (100 - of_oil)),
            Mistake("fraction for percent", answer / 100),
        ),
        (),
        "amount",
    )


def grams(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """Grams of the higher emulsifier for a batch."""
    drawn = pair_and_share(rng, stock, 1)
    total = float(rng.choice((2, 3, 4, 5, 6, 8)))
    batch = float(rng.choice((150, 200, 250, 300, 400, 500, 1000)))
    if drawn is None or not tidy(drawn[2] * total * batch / 100, 1):
        return None
    low, high, share, target = drawn
    result = solved(low, high, target, total)
    weighed = weigh_blend(result, batch, 0.1)
    answer = weighed.grams[1]
    steps = (
        *working(result).steps[:4],
        *(s for s in working(weighed, blend=result).steps if s.unit == "g" and s.text.startswith(high.name)),
    )
    return Exercise(
        "grams",
        seed,
        f"How many grams of {high.name} do you weigh, if the blend is to meet the required HLB exactly?",
        (
            *pair_rows(low, high, target),
            ("both together", f"{total:g} % of the formula"),
            ("batch", f"{batch:g} g"),
        ),
        answer,
        "g",
        max(0.05, 0.01 * answer),
        steps,
        (
            Mistake("percent for grams", result.masses[1]),
            Mistake("percent for grams", result.masses[0]),
            Mistake("share for the amount", 100 * share),
            Mistake("share for the amount", share),
            Mistake("% of the blend for % of the formula", share * batch),
            Mistake("ratio swapped", result.masses[0] * batch / 100),
        ),
        (),
        "amount",
    )


def scale(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """What the division of the scale means for a small amount."""
    low, high = rng.choice(stock.pairs)
    division = rng.choice((1.0, 0.1))
    less, more = sorted(rng.sample((4, 5, 8, 10, 16, 20, 25, 40, 50), 2))
    masses = (round(more * division, 9), round(less * division, 9))
    mixture = Mixture.by_mass(masses, [Estimate.exactly(e.value) for e in (low, high)])
    weighed = WeighedBlend((low.name, high.name), masses, 100.0, division, mixture)
    answer = float(weighed.table["error_pct"].iloc[1])
    if not tidy(answer, 2):
        return None
    steps = tuple(s for s in working(weighed).steps if s.unit == "%" and high.name in s.text)
    return Exercise(
        "scale",
        seed,
        f"You weigh {masses[1]:g} g of {high.name} on a scale that shows "
        f"{division:g} g, in one reading without tare. By how much of the amount may rounding alone put it "
        "off?",
        (
            (low.name, f"{masses[0]:g} g"),
            (high.name, f"{masses[1]:g} g"),
            ("division of the scale", f"{division:g} g"),
        ),
        answer,
        "%",
        max(0.01, 0.02 * answer),
        steps,
        (
            Mistake("whole division", 2 * answer),
            Mistake("fraction for percent", answer / 100),
            Mistake("grams for percent", division / 2),
        ),
        (),
        "amount",
    )
