"""Further levels: w/o, the total from one emulsifier, HLB as weighed, molar masses, faults, courses."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from hlbcore.blending.mixing import blend_hlb
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.ladder.fit import fit_trials
from hlbcore.lessons._exercise import Exercise
from hlbcore.lessons._formulas import masses_working
from hlbcore.lessons._levels import (
    HLB_TOLERANCE,
    oil_rows,
    pair_and_share,
    pair_rows,
    phase_of,
    solved,
    summed,
)
from hlbcore.lessons._levels_bench import ALCOHOLS, OXYETHYLENE
from hlbcore.lessons._mistakes import Mistake
from hlbcore.lessons._pool import Pool, tidy
from hlbcore.lessons._steps import Step, figure
from hlbcore.lessons.working import working


def wo(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """The required HLB of a water-in-oil phase."""
    oils = rng.sample(stock.two_typed, 2)
    lines = [(o, float(rng.choice((5, 8, 10, 12, 15, 20)))) for o in oils]
    firm = {o.name: o.other for o in oils if o.other is not None}
    result = required_hlb(phase_of(lines), emulsion="w/o", values=firm)
    whole, top = summed(lines)
    if not tidy(result.value, 1) or not 15 <= whole <= 35 or abs(top / whole - result.value) < 1:
        return None
    return Exercise(
        "wo",
        seed,
        "A cold cream is made as water-in-oil with these two oils. Which HLB does its oil phase require?",
        oil_rows(lines),
        result.value,
        "HLB",
        HLB_TOLERANCE,
        working(result).steps,
        (
            Mistake("o/w value for w/o", top / whole),
            Mistake("not divided by the oil phase", result.value * whole / 100),
        ),
        (),
        "required",
    )


def total(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """How much both are together, from the amount of one that is there."""
    drawn = pair_and_share(rng, stock, 1)
    both = float(rng.choice((2, 3, 4, 5, 6)))
    if drawn is None:
        return None
    low, high, share, target = drawn
    result = solved(low, high, target, both)
    held = result.masses[0]
    if not tidy(held, 2) or not 0.2 <= share <= 0.8:
        return None
    last = Step(
        "Its amount, over its share, gives both together",
        "amount / share",
        f"{figure(held)} / {figure(1 - share)}",
        both,
        "% of the formula",
    )
    return Exercise(
        "total",
        seed,
        f"{held:g} % of {low.name} is already melted in the oil phase. How much must both emulsifiers be "
        "together, so that the blend meets the required HLB exactly?",
        (*pair_rows(low, high, target), (f"{low.name}, there already", f"{held:g} % of the formula")),
        both,
        "% of the formula",
        max(0.02, 0.01 * both),
        (*working(result).steps[:2], last),
        (
            Mistake("ratio swapped", held / share),
            Mistake("one emulsifier for both", both - held),
            Mistake("fraction for percent", both / 100),
        ),
        (),
        "amount",
    )


def weighed(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """The HLB of what the scale really showed."""
    low, high = rng.choice(stock.pairs)
    plan = [rng.choice(range(10, 60)) / 10 for _ in range(2)]
    real = [round(m + rng.choice((-1, 1)) * rng.choice((0.3, 0.4, 0.5, 0.6, 0.8)), 1) for m in plan]
    if min(real) < 0.5:
        return None
    values = {low.name: low.value, high.name: high.value}
    planned, result = (
        blend_hlb(dict(zip(values, masses, strict=True)), values=values) for masses in (plan, real)
    )
    if not tidy(result.value, 2):
        return None
    return Exercise(
        "weighed",
        seed,
        "The two emulsifiers of a vial were weighed in haste. Which HLB does the blend have as weighed?",
        tuple(
            (e.name, f"HLB {e.value:g}; {asked:g} g planned, {got:g} g weighed")
            for e, asked, got in zip((low, high), plan, real, strict=True)
        ),
        result.value,
        "HLB",
        HLB_TOLERANCE,
        working(result).steps,
        (
            Mistake("planned for weighed", planned.value),
            Mistake("ratio swapped", (real[1] * low.value + real[0] * high.value) / sum(real)),
            Mistake("plain mean", (low.value + high.value) / 2),
        ),
        (),
        "amount",
    )


def masses(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """Griffin's formula from molar masses."""
    stem, alcohol = rng.choice(ALCOHOLS)
    units = rng.choice((2, 3, 4, 5, 7, 10, 15, 20, 25))
    hydrophile = round(units * OXYETHYLENE, 1)
    whole = round(hydrophile + alcohol, 1)
    result = masses_working(hydrophile, whole)
    found = result.steps[-1].result
    assert found is not None
    answer = round(found, 1)
    return Exercise(
        "masses",
        seed,
        f"{stem.capitalize()}eth-{units} is a fatty alcohol with {units} units of oxyethylene. Which HLB "
        "do its molar masses give by Griffin's formula? One decimal is enough.",
        (("oxyethylene part", f"{hydrophile:g} g/mol"), ("whole molecule", f"{whole:g} g/mol")),
        answer,
        "HLB",
        HLB_TOLERANCE,
        (*result.steps, Step("To one decimal", "", "", answer, "HLB")),
        (
            Mistake("fatty side for the whole", 20 * hydrophile / (whole - hydrophile)),
            Mistake("share of the fatty side", 20 * (whole - hydrophile) / whole),
            Mistake("percent for HLB", 100 * hydrophile / whole),
        ),
        (),
        "limits",
    )


OF_HLB, OF_AMOUNT, OF_OTHER = (
    "the HLB of the blend",
    "the amount of emulsifier",
    "neither: how it was made, or what else is in it",
)
_OTHER_STORIES = (
    ("It was smooth until 3 % of magnesium sulfate went in; then it thinned and water came out.", "salt"),
    ("The water was cold when the hot fat went in, and specks of wax stood in it at once.", "temperature"),
    ("Small clear lumps swim in it; the gum went into the water dry.", "gum"),
    ("It was sound for five weeks; then it smelled and grew spots. It held no preservative.", "preservation"),
    ("It is smooth and firm, but grains can be felt after a warm and a cold week.", "butter that grained"),
    ("It thinned as soon as 4 % of essential oil was stirred into the cooled cream.", "fragrance"),
)
"""What goes wrong beside HLB and amount. common practice, no source."""


def fault(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """Whether HLB is to blame at all."""
    kind = rng.choice((OF_HLB, OF_AMOUNT, OF_OTHER))
    required, oil = rng.choice(range(60, 121)) / 10, float(rng.choice((16, 18, 20, 22, 25)))
    blend = round(required + rng.choice((-1, 1)) * rng.uniform(0, 0.6), 1)
    dose = round(oil * rng.choice((0.18, 0.2, 0.22)), 1)
    story = "After a day water stands below, and the cream above is coarse."
    if kind == OF_HLB:
        blend = round(required + rng.choice((-1, 1)) * rng.uniform(3, 4.5), 1)
    elif kind == OF_AMOUNT:
        dose = round(oil * rng.choice((0.02, 0.03)), 1)
    else:
        story = rng.choice(_OTHER_STORIES)[0]
    slips = {
        OF_HLB: [("another fault for HLB", OF_AMOUNT), ("another fault for HLB", OF_OTHER)],
        OF_AMOUNT: [("HLB for another fault", OF_HLB), ("another fault for the amount", OF_OTHER)],
        OF_OTHER: [("HLB for another fault", OF_HLB), ("amount for another fault", OF_AMOUNT)],
    }[kind]
    apart = round(abs(blend - required), 1)
    of_oil = round(100 * dose / oil, 1)
    return Exercise(
        "fault",
        seed,
        f"An o/w cream of nonionic emulsifiers. {story} Where do you look first?",
        (
            ("oil phase", f"{oil:g} % of the formula, required HLB {required:g}"),
            ("blend", f"HLB {blend:g}"),
            ("both emulsifiers together", f"{dose:g} % of the formula"),
        ),
        kind,
        "",
        0.0,
        (
            Step(
                "The two HLBs against the window of ±1", "apart", f"|{blend:g} - {required:g}|", apart, "HLB"
            ),
            Step(
                "The amount, on the oil phase", "", f"100 × {dose:g} / {oil:g}", of_oil, "% of the oil phase"
            ),
            Step(f"So it is {kind}"),
        ),
        tuple(Mistake(name, value) for name, value in slips),
        (OF_HLB, OF_AMOUNT, OF_OTHER),
        "limits",
    )


CLEAR = "a clear optimum between two rungs that are worse"
EDGE = "the best vial stands at the end: the next ladder goes on beyond it"
FLAT = "no optimum: the vials are alike within the scatter"
NARROW = "one good vial alone: a finer ladder round it"
_COURSES: dict[str, tuple[str, Callable[[float, float], float]]] = {
    CLEAR: ("clear optimum", lambda at, top: 9 - 8 * max(0.0, 1 - ((at - top) / 3.2) ** 2)),
    EDGE: ("edge", lambda at, top: 11 - 1.6 * at),
    FLAT: ("flat", lambda at, top: 6.0),
    NARROW: ("one narrow good vial", lambda at, top: 1.0 if round(at) == round(top) else 9.0),
}


def course(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """What a ladder tells, read with its scatter."""
    kind = rng.choice(tuple(_COURSES))
    word, shape = _COURSES[kind]
    low, high = rng.choice(stock.pairs)
    start, top = float(rng.choice((6, 7, 8))), rng.choice((2.0, 2.5, 3.0, 3.5, 4.0))
    if not low.value < start or not start + 6 < high.value:
        return None
    rungs = [start + n for n in range(7)]
    read = [max(0.0, round(shape(n, top) + rng.uniform(-0.5, 0.5), 1)) for n in range(7)]
    fit = fit_trials(rungs, read, better="lower")
    if not fit.verdict.startswith(word):
        return None
    slips = ["no optimum where there is one" if kind == CLEAR else "another course"] * 4
    others = [k for k in _COURSES if k != kind]
    mistakes = tuple(
        Mistake("optimum where there is none" if k == CLEAR else slip, k)
        for k, slip in zip(others, slips, strict=False)
    )
    best = min(range(7), key=lambda n: read[n])
    return Exercise(
        "course",
        seed,
        "Seven vials, alike in all but the HLB; after a week the water that had separated was measured. "
        "One reading may be off by half a millimetre. What does the ladder tell?",
        tuple(
            (f"vial {n}, HLB {h:g}", f"{y:g} mm of water")
            for n, (h, y) in enumerate(zip(rungs, read, strict=True), 1)
        ),
        kind,
        "",
        0.0,
        (
            Step(
                "From best to worst",
                "",
                f"{figure(max(read))} - {figure(min(read))}",
                max(read) - min(read),
                "mm",
            ),
            Step(f"The best is vial {best + 1} of 7, {figure(read[best])} mm"),
            Step(f"So: {kind}"),
        ),
        mistakes,
        tuple(_COURSES),
        "ladder",
    )
