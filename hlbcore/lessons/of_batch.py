"""The figures of a batch, its cost and its label as steps, from the numbers that the results hold."""

from __future__ import annotations

import math
import re

from hlbcore._numbers import GRAMS_PER, checked, grams
from hlbcore.batch.cost import Cost
from hlbcore.batch.cost_saving import Saving
from hlbcore.batch.declaration import Declaration
from hlbcore.batch.declared_names import checked_market
from hlbcore.batch.effects import Effect
from hlbcore.batch.label_contents import ML_PER_FL_OZ
from hlbcore.batch.pot import PotLine
from hlbcore.batch.premix import Premix
from hlbcore.batch.scales import READINGS, Scale
from hlbcore.batch.sheet import BatchSheet
from hlbcore.batch.titration import FIRST_PART, Titration
from hlbcore.batch.water import WaterLost
from hlbcore.errors import clipped
from hlbcore.lessons._steps import Step, Working, figure, mass_sum

SHOWN = 6
"""Weighings that are named one by one. [-] Our convention."""

SMALL = 0.02
"""Weighings that move a figure by less than this share of the largest move stand together. [-]
Our convention."""

GRAM = "g"


def pot_figure(sheet: BatchSheet) -> Working:
    """The grams of every row: planned, and as the scale shows them.

    Parameters
    ----------
    sheet : BatchSheet
        Any.

    Returns
    -------
    Working
        A step a row, and what rounding left over.

    Examples
    --------
    >>> from hlbcore import batch_sheet, example_formula
    >>> pot_figure(batch_sheet(example_formula())).steps[2].line
    'xanthan gum; the scale shows 1.2 g: 0.25 × 500 / 100 = 1.25 g'
    """
    steps = [_pot_step(r, sheet) for r in sheet.weighings]
    shown = " + ".join(r.scale.text(r.grams) for r in sheet.weighings)
    steps.append(Step("All that is weighed", "sum", shown, sheet.total_g, GRAM))
    said = ["Each line is rounded to the division of the finest scale that carries it."]
    if sheet.trimmed:
        said.append(f"{clipped(sheet.trimmed)} took what rounding left over.")
    if sheet.hlb is not None:
        said.append("Emulsifiers go up or down so that the blend comes nearest to what is asked.")
    return Working("Grams of the batch", tuple(steps), tuple(said), "amount")


def _pot_step(r: PotLine, sheet: BatchSheet) -> Step:
    shown = f"{clipped(r.name)}; the scale shows {r.scale.text(r.grams)} g"
    pct = sheet.formula.pcts[r.line]
    if (
        r.portion
        or r.premix is not None
        or r.in_premix_g
        or not math.isclose(pct * sheet.size_g / 100, r.exact_g, rel_tol=1e-9)
    ):
        more = f", and {figure(r.in_premix_g)} g come with the premix" if r.in_premix_g else ""
        return Step(f"{shown}, {figure(r.exact_g)} g planned{more}")
    numbers = f"{figure(pct)} × {figure(sheet.size_g)} / 100"
    return Step(shown, "pct × batch / 100", numbers, r.exact_g, GRAM)


def reading_figure(sheet: BatchSheet) -> Working:
    """What half a division is of each weighed amount."""
    steps = tuple(
        Step(f"{clipped(r.name)}, by its premix", "", "errors of all its weighings", r.error_pct, "%")
        if r.premix is not None
        else Step(
            f"{clipped(r.name)} on {clipped(r.scale.label)}",
            "100 × reading / m",
            f"100 × {figure(r.scale.reading_g)} / {figure(r.grams)}",
            r.error_pct,
            "%",
        )
        for r in sheet.weighings
    )
    said = (
        "Half a division is what one reading may hide, or the error found with a check weight where that is "
        "larger. How true a scale is it does not say."
    )
    return Working("± of every amount", steps, (said,), "amount")


def error_figure(sheet: BatchSheet) -> Working:
    """The standard and the worst error of a tared amount on each scale."""
    used = {id(r.scale): r.scale for r in sheet.weighings}
    steps = [step for scale in used.values() for step in _scale_steps(scale)]
    steps += [step for p in sheet.premixes if p.used for step in premix_steps(p)]
    return Working("How far an amount may be off", tuple(steps), sheet.assumed, "amount")


def _scale_steps(scale: Scale) -> list[Step]:
    name, d, error = clipped(scale.label), figure(scale.readability_g), scale.error_g or 0.0
    measured = scale.repeatability_g and scale.spread_g == scale.repeatability_g
    spread = figure(scale.repeatability_g or 0.0) if measured else f"{d} × √({READINGS} / 12)"
    off = f" + {figure(error)}² / 3" if error else ""
    numbers = f"√(({spread})²{off})" if off else spread
    rounding = f"{READINGS} × {d} / 2"
    if 3 * (scale.repeatability_g or 0.0) > READINGS * scale.readability_g / 2:
        rounding = f"3 × {figure(scale.repeatability_g or 0.0)}"
    return [
        Step(
            f"{name}, standard uncertainty of a tared amount",
            "√(s² + a² / 3)",
            numbers,
            scale.standard_g,
            GRAM,
        ),
        Step(
            f"{name}, at the worst",
            "two half divisions + error",
            f"{rounding}{f' + {figure(error)}' if error else ''}",
            scale.worst_g,
            GRAM,
        ),
    ]


def premix_steps(premix: Premix) -> list[Step]:
    """What a premix brings of the ingredient."""
    steps = [
        Step(
            f"{clipped(premix.ingredient)} in {clipped(premix.carrier)}, mixture {n}: its share",
            "of / (of + carrier)",
            f"{figure(s.of_g)} / ({figure(s.of_g)} + {figure(s.carrier_g)})",
            s.fraction,
        )
        for n, s in enumerate(premix.steps, 1)
    ]
    shares = " × ".join(figure(s.fraction) for s in premix.steps)
    come = f"{figure(premix.take_g)} × {shares}"
    return [*steps, Step("So the pot gets", "taken × share", come, premix.delivered_g, GRAM)]


def effect_figure(effect: Effect) -> Working:
    """What all errors of weighing do to one quantity.

    Parameters
    ----------
    effect : Effect
        Of a batch sheet.

    Returns
    -------
    Working
        As weighed, the standard uncertainty and the worst case.

    Examples
    --------
    >>> from hlbcore import batch_sheet, example_formula
    >>> effect_figure(batch_sheet(example_formula()).moved[0]).steps[0].line
    'As weighed: (14.8 × 4.7 + 7.7 × 14.9) / (14.8 + 7.7) = 8.1907 HLB'
    """
    held = [x for x in effect.parts if x.mass > 0]
    mass, unit = math.fsum(x.mass for x in held), effect.unit
    if unit == "HLB":
        numbers = mass_sum([x.mass for x in held], [x.value for x in held])
    else:
        counts = [x for x in held if x.value > 0]
        numbers = f"({' + '.join(f'{figure(x.mass)} × {figure(x.value)}' for x in counts)}) / {figure(mass)}"
    moves = [(x.name, (x.value - effect.as_weighed) / mass * x.standard) for x in held]
    most = max((abs(m) for _, m in moves), default=0.0)
    large = [(n, abs(m)) for n, m in moves if abs(m) >= SMALL * most]
    rest = math.hypot(*(m for _, m in moves if abs(m) < SMALL * most))
    terms = " + ".join(f"{figure(m)}²" for _, m in large) + (f" + {figure(rest)}²" if rest else "")
    named = ", ".join(f"{clipped(n)} {figure(m)}" for n, m in large)
    named += f", all others together {figure(rest)}" if rest else ""
    steps = (
        Step("As weighed", "sum(m × h) / sum(m)", numbers, effect.as_weighed, unit),
        Step(f"One standard error of each weighing moves it by (h - H) / M × u [{unit}]: {named}"),
        Step("All together", "√(sum of squares)", f"√({terms})", effect.standard, unit),
        Step(
            "At the worst, what raises it too much and the rest too little", "", "highest", effect.high, unit
        ),
        Step("At the worst the other way round", "", "lowest", effect.low, unit),
    )
    worst = ", ".join(f"{clipped(x.name)} {figure(x.worst)} g" for x in held[:SHOWN])
    more = " and so on" if len(held) > SHOWN else ""
    said = f"Largest error of each: {worst}{more}. Figures are taken as exact."
    return Working(f"{effect.quantity[0].upper()}{effect.quantity[1:]} as weighed", steps, (said,), "amount")


def batch_figures(sheet: BatchSheet) -> dict[str, Working]:
    """All figures of a batch sheet as steps, by name."""
    return {
        "grams of the batch": pot_figure(sheet),
        "± of every amount": reading_figure(sheet),
        **{f"{e.quantity} as weighed": effect_figure(e) for e in sheet.moved},
        "errors of the scales": error_figure(sheet),
    }


ERRORS = ("errors of the scales",)
"""Of `batch_figures`: what stands with the table of errors."""


def water_figure(lost: WaterLost) -> Working:
    """Water that heating drove off."""
    numbers = f"{figure(lost.before_g)} - {figure(lost.after_g)}"
    step = Step("Vessel before less vessel after", "before - after", numbers, lost.lost_g, GRAM)
    return Working("Water lost in heating", (step,), (lost.words,), "amount")


def titration_figure(line: Titration, ph: float | str, batch_g: float) -> Working:
    """What brings a batch to a pH by a measured line: straight between the two points around it."""
    target = checked(ph, "pH wanted", low=0, high=14)
    need = line.for_ph(target)
    (x0, y0), (x1, y1) = next(
        (a, b)
        for a, b in zip(line.points, line.points[1:], strict=False)
        if min(a[1], b[1]) <= target <= max(a[1], b[1])
    )
    numbers = (
        figure(x0)
        if y0 == y1
        else f"{figure(x0)} + ({figure(x1)} - {figure(x0)}) × ({figure(target)} - {figure(y0)}) / "
        f"({figure(y1)} - {figure(y0)})"
    )
    whole = need * batch_g / 100
    steps = (
        Step("For 100 g, straight between two measured points", "x0 + (x1 - x0) × part", numbers, need, GRAM),
        Step("For the batch", "× batch / 100", f"{figure(need)} × {figure(batch_g)} / 100", whole, GRAM),
        Step("To begin with", "", f"{figure(FIRST_PART)} × {figure(whole)}", FIRST_PART * whole, GRAM),
    )
    return Working(
        f"{clipped(line.adds)} for a pH", steps, ("pH is no straight line: measure again.",), "amount"
    )


def cost_figure(made: Cost) -> Working:
    """The cost of every line, of the batch and of a jar.

    Parameters
    ----------
    made : Cost
        Any.

    Returns
    -------
    Working
        Only lines with a price.

    Examples
    --------
    >>> from hlbcore import Formula, Line
    >>> from hlbcore.batch.cost import cost
    >>> f = Formula("Balm", "cleansing balm", [Line("olive oil", 80, price=10), Line("beeswax", 20)])
    >>> cost_figure(cost(f, batch="1 kg", jar=50)).steps[-2].line
    'One jar: 8 × 50 / (1000 × (1 - 0 / 100)) = 0.4'
    """
    money = made.currency
    priced = [x for x in made.lines if x.cost is not None]
    steps = []
    for x in priced:
        name = clipped(x.item)
        if x.price_per_kg is not None and x.grams is not None:
            numbers = f"{figure(x.price_per_kg)} × {figure(x.grams)} / 1000"
            steps.append(Step(name, "price of a kg × grams / 1000", numbers, x.cost, money))
        else:
            steps.append(Step(name, "", f"{x.kind}, {x.from_list or 'as listed'}", x.cost, money))
    batch = [x.cost for x in priced if x.kind != "per jar" and x.cost is not None]
    steps.append(Step("The batch", "sum", " + ".join(map(figure, batch)) or "0", made.batch_cost, money))
    left = f"({figure(made.mass_g)} × (1 - {figure(made.loss_pct)} / 100))"
    extra = f" + {figure(made.jar_extras)}" if made.jar_extras else ""
    numbers = f"{figure(made.batch_cost)} × {figure(made.jar_g)} / {left}{extra}"
    steps.append(
        Step("One jar", "batch × jar / what is left + per jar", numbers, made.per_jar_with_loss, money)
    )
    jars = f"{left} / {figure(made.jar_g)}, whole jars"
    steps.append(Step("Jars that it fills", "what is left / jar", jars, made.jars, "jars"))
    said = ["% of a line: what it costs in one jar, of the cost of one jar."]
    if made.missing:
        said.append(f"At least: no price is known for {', '.join(map(clipped, made.missing))}.")
    return Working("Cost of a jar", tuple(steps), tuple(said), "amount")


def saving_figure(found: Saving) -> Working:
    """What the cheapest amounts of the emulsifiers save."""
    amounts = ", ".join(f"{clipped(n)} {figure(p)} %" for n, p in found.amounts)
    steps = (
        Step(
            "Emulsifiers as they stand, in a kg of formula",
            "",
            "sum(pct × price / 100)",
            found.now,
            found.currency,
        ),
        Step(
            f"The cheapest that meet what is asked: {amounts}",
            "",
            "the same sum",
            found.cheapest,
            found.currency,
        ),
        Step(
            "Saved",
            "now - cheapest",
            f"{figure(found.now)} - {figure(found.cheapest)}",
            found.now - found.cheapest,
            found.currency,
        ),
    )
    return Working("What a cheaper blend saves", steps, (), "amount")


def label_figure(made: Declaration) -> Working:
    """The amount of every name on the list, and why it stands where it does."""
    entries = [
        e for held in made.lists for e in (*held.entries, *(x for _, more in held.apart for x in more))
    ]
    steps = tuple(
        Step(f"{clipped(e.name)}: {e.span}, from {', '.join(map(clipped, e.lines)) or 'no line'}; {e.place}")
        for e in entries
    )
    said = (
        "The amounts of one name from all lines are added, those of bought blends by their parts, and the "
        "names sorted from the most to the least; from to where a share is known as a range.",
    )
    return Working("Order of the list", steps, said, "amount")


def contents_figure(text: str, holds: float | str, market: str, *, by_volume: bool = False) -> Working:
    """Net contents of one package.

    Parameters
    ----------
    text : str
        As `net_contents` writes it.
    holds, market, by_volume : float or str, str, bool
        As `net_contents` takes them.

    Returns
    -------
    Working
        For the US the amount in ounces before it is rounded down.

    Examples
    --------
    >>> contents_figure("Net Wt 1.76 oz (50 g)", 50, "us").steps[0].line
    'In ounces: 50 / 28.3495 = 1.7637 oz'
    """
    bare = re.sub(r"\s*ml\s*$", "", holds, flags=re.I) if isinstance(holds, str) else holds
    held = grams(bare, "net contents")
    words, unit, size = "ounces", "oz", GRAMS_PER["oz"]
    if by_volume:
        words, unit, size = "fluid ounces", "fl oz", ML_PER_FL_OZ
    steps = [Step(f"On the label: {text}")]
    if checked_market(market) == "us":
        numbers = f"{figure(held)} / {figure(size)}"
        steps.insert(0, Step(f"In {words}", "amount / size of one", numbers, held / size, unit))
    said = ("Always rounded down: a package never holds less than it says.",)
    return Working("Net contents", tuple(steps), said, "amount")
