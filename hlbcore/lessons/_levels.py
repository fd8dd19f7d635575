"""The lower levels: required HLB, the blend, and how much of it.

Each function draws one exercise. It returns None where the numbers do not come out cleanly, and is
then asked again. The answers come from the same functions that everybody calls.
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from hlbcore.blending.mixing import blend_hlb, split_pair
from hlbcore.blending.results import Blend
from hlbcore.blending.solving import solve_blend
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.estimate import Estimate, Mixture
from hlbcore.lessons._exercise import Exercise
from hlbcore.lessons._formulas import pair_working
from hlbcore.lessons._mistakes import Mistake
from hlbcore.lessons._pool import Figure, Pool, tidy
from hlbcore.lessons._steps import Step, figure
from hlbcore.lessons.working import working

HLB_TOLERANCE = 0.05  # [HLB] a result is given to one decimal


def phase_of(lines: Sequence[tuple[Figure, float]]) -> dict[str, str]:
    """Amounts in % of the formula, as the core reads them."""
    return {oil.name: f"{amount:g} %" for oil, amount in lines}


def oil_rows(lines: Sequence[tuple[Figure, float]]) -> tuple[tuple[str, str], ...]:
    """What is said of the oils of an exercise."""
    return tuple(
        (
            oil.name,
            f"{amount:g} %, required HLB {oil.value:g}"
            + (f" for o/w, {oil.other:g} for w/o" if oil.other is not None else ""),
        )
        for oil, amount in lines
    )


def summed(lines: Sequence[tuple[Figure, float]]) -> tuple[float, float]:
    """Amount of the oils, and amount times figure, for what a mistake would make of them."""
    return sum(m for _, m in lines), sum(m * oil.value for oil, m in lines)


def compare(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """Which oil asks for the higher HLB."""
    oils = rng.sample((*stock.oils, *stock.butters), 3)
    top, middle, low = sorted(oils, key=lambda o: -o.value)
    emulsifier = rng.choice(stock.emulsifiers)
    if top.value - middle.value < 1 or middle.value == low.value or emulsifier.value <= top.value:
        return None
    rows = [(o.name, f"required HLB {o.value:g} (o/w)") for o in oils]
    rows.append((emulsifier.name, f"HLB {emulsifier.value:g}"))
    rng.shuffle(rows)
    values = ", ".join(figure(o.value) for o in oils)
    step = Step(
        "Leave out the emulsifier and take the highest required HLB",
        "max(R)",
        f"max({values})",
        top.value,
        "HLB",
    )
    return Exercise(
        "compare",
        seed,
        "Which of these oils asks for the emulsifier blend with the highest HLB?",
        tuple(rows),
        top.name,
        "",
        0.0,
        (step,),
        (
            Mistake("emulsifier's own HLB for a required HLB", emulsifier.name),
            Mistake("lowest for highest", low.name),
            Mistake("not the highest", middle.name),
        ),
        tuple(name for name, _ in rows),
        "what",
    )


def phase(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """The required HLB of two oils."""
    oils = rng.sample((*stock.oils, *stock.butters), 2)
    lines = [(o, float(rng.choice((2, 3, 4, 5, 6, 8, 10, 12, 15)))) for o in oils]
    result = required_hlb(phase_of(lines), values={o.name: o.value for o in oils})
    whole, top = summed(lines)
    if not tidy(result.value, 1) or not 6 <= whole <= 30:
        return None
    return Exercise(
        "phase",
        seed,
        "An o/w lotion holds these two oils and no others; the rest is water. Which "
        "HLB does its oil phase require?",
        oil_rows([(Figure(o.name, o.value), m) for o, m in lines]),
        result.value,
        "HLB",
        HLB_TOLERANCE,
        working(result).steps,
        (
            Mistake("not divided by the oil phase", top / 100),
            Mistake("not divided by the oil phase", top),
            Mistake("plain mean", (oils[0].value + oils[1].value) / 2),
        ),
        (),
        "required",
    )


def formula(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """The required HLB out of a whole formula."""
    typed = rng.choice(stock.two_typed)
    others = rng.sample([o for o in (*stock.oils, *stock.butters) if o.name != typed.name], 2)
    oils = [typed, *(Figure(o.name, o.value) for o in others)]
    lines = [(o, float(rng.choice((2, 3, 4, 5, 6, 8, 10)))) for o in oils]
    rng.shuffle(lines)
    high = rng.choice(stock.pairs)[1]
    dose = float(rng.choice((3, 4, 5)))
    whole, top = summed(lines)
    water = 100 - whole - dose - 1
    held = phase_of(lines) | {high.name: f"{dose:g} %", "water": f"{water:g} %"}
    result = required_hlb(held, values={o.name: o.value for o in oils})
    if not tidy(result.value, 1) or not 10 <= whole <= 25:
        return None
    wrong_type = sum(m * (o.value if o.other is None else o.other) for o, m in lines) / whole
    return Exercise(
        "formula",
        seed,
        "Which HLB does the oil phase of this o/w cream require?",
        (
            *oil_rows(lines),
            (high.name, f"{dose:g} %, HLB {high.value:g}"),
            ("water", f"{water:g} %"),
            ("preservative", "1 %"),
        ),
        result.value,
        "HLB",
        HLB_TOLERANCE,
        working(result).steps,
        (
            Mistake("not divided by the oil phase", top / 100),
            Mistake("emulsifier counted as oil", (top + dose * high.value) / (whole + dose)),
            Mistake("w/o value for o/w", wrong_type),
            Mistake("plain mean", sum(o.value for o in oils) / 3),
        ),
        (),
        "required",
    )


def blend(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """The HLB of two emulsifiers, with a fatty alcohol or acid beside them."""
    low, high = rng.choice(stock.pairs)
    beside = rng.choice(stock.two_sided)
    a, b, c = (float(rng.choice((1, 2, 3, 4, 5, 6))) for _ in range(3))
    result = blend_hlb({low.name: a, high.name: b}, values={low.name: low.value, high.name: high.value})
    if not tidy(result.value, 2):
        return None
    top = a * low.value + b * high.value
    shares = [
        Step(
            f"{name}, its share of the blend",
            "m / sum(m)",
            f"{figure(m)} / ({figure(a)} + {figure(b)})",
            f,
            "of the blend",
        )
        for name, m, f in zip(result.labels, (a, b), result.mixture.fractions, strict=True)
    ]
    return Exercise(
        "blend",
        seed,
        "What is the HLB of the emulsifier blend in this cream? What stands in the "
        "oil phase is no part of it.",
        (
            (low.name, f"{a:g} g, HLB {low.value:g}"),
            (high.name, f"{b:g} g, HLB {high.value:g}"),
            (beside.name, f"{c:g} g in the oil phase, required HLB {beside.value:g}"),
        ),
        result.value,
        "HLB",
        HLB_TOLERANCE,
        (*shares, *working(result).steps),
        (
            Mistake("required HLB for an emulsifier's own", (top + c * beside.value) / (a + b + c)),
            Mistake("ratio swapped", (b * low.value + a * high.value) / (a + b)),
            Mistake("plain mean", (low.value + high.value) / 2),
            Mistake("two emulsifiers must add up", low.value + high.value),
        ),
        (),
        "blend",
    )


def reach(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """How far a pair reaches."""
    a, b = rng.sample([e for e in stock.emulsifiers if e.value < 12], 2)
    oil = rng.choice((*stock.oils, *stock.butters))
    low, high = sorted((a, b), key=lambda e: e.value)
    if not high.value < oil.value <= low.value + high.value:
        return None
    top = blend_hlb({high.name: 1.0}, values={high.name: high.value})
    return Exercise(
        "reach",
        seed,
        "Both emulsifiers stand on the shelf for this o/w oil phase. What is the "
        "highest HLB that any mixture of the two can have?",
        (
            (a.name, f"HLB {a.value:g}"),
            (b.name, f"HLB {b.value:g}"),
            (f"oil phase of {oil.name} alone", f"required HLB {oil.value:g}"),
        ),
        top.value,
        "HLB",
        HLB_TOLERANCE,
        (
            Step(
                "The reach of a pair ends at its higher member",
                "max(h)",
                f"max({figure(a.value)}, {figure(b.value)})",
                top.value,
                "HLB",
            ),
            Step(f"So HLB {oil.value:g} is out of reach: an emulsifier above it is needed"),
        ),
        (
            Mistake("two emulsifiers must add up", a.value + b.value),
            Mistake("plain mean", (a.value + b.value) / 2),
            Mistake("required HLB for an emulsifier's own", oil.value),
            Mistake("lower end of the reach", low.value),
        ),
        (),
        "blend",
    )


HIGHEST = 15.0
"""No exercise asks for more than this. [HLB] Oil phases of the trade stay below: our convention."""


def pair_and_share(rng: Random, stock: Pool, decimals: int) -> tuple[Figure, Figure, float, float] | None:
    """A pair, a share of its higher member, and the HLB that comes of it, if that is tidy."""
    low, high = rng.choice(stock.pairs)
    share = rng.choice(range(10, 91)) / 100
    mixture = Mixture((1 - share, share), (Estimate.exactly(low.value), Estimate.exactly(high.value)))
    target = mixture.total.value
    fits = tidy(target, decimals) and target <= HIGHEST
    return (low, high, share, round(target, decimals)) if fits else None


def pair_rows(low: Figure, high: Figure, target: float) -> tuple[tuple[str, str], ...]:
    """What is said of a pair in an exercise."""
    return (
        (low.name, f"HLB {low.value:g}"),
        (high.name, f"HLB {high.value:g}"),
        ("oil phase", f"required HLB {target:g} (o/w)"),
    )


def split(rng: Random, stock: Pool, seed: str) -> Exercise | None:
    """The share of the higher emulsifier."""
    drawn = pair_and_share(rng, stock, 1)
    if drawn is None:
        return None
    low, high, _, target = drawn
    share = 100 * split_pair(low.value, high.value, target=target)[1]
    steps = pair_working(low.value, high.value, target=target, labels=(low.name, high.name)).steps
    return Exercise(
        "split",
        seed,
        f"How much of the blend must be {high.name}, so that the blend meets the required HLB exactly?",
        pair_rows(low, high, target),
        share,
        "% of the blend",
        0.5,
        steps,
        (Mistake("ratio swapped", 100 - share), Mistake("fraction for percent", share / 100)),
        (),
        "blend",
    )


def solved(low: Figure, high: Figure, target: float, total: float) -> Blend:
    """The pair solved by the core with exact figures."""
    return solve_blend({low.name: low.value, high.name: high.value}, target, total=total)
