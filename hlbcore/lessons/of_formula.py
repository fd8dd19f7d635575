"""The figures of a formula as steps: what its page shows, from the numbers that the result holds."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from hlbcore.blending.judging import HLB
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.errors import clipped
from hlbcore.estimate import Estimate
from hlbcore.formula.lines import Line
from hlbcore.formula.sums import phase_sums, sum_words
from hlbcore.lessons._steps import Step, Working, figure
from hlbcore.lessons.working import weighed_working, working
from hlbcore.rules.hard_share import HIGH_MELTING_C, NO_THRESHOLD, hard_share
from hlbcore.shares import quarter_shares, share_text

FORMULA = "% of the formula"


def required_figure(worked: Worked) -> Working | None:
    """What the oils ask for; None where nothing is asked."""
    return None if worked.required is None else working(worked.required)


def blend_figure(worked: Worked) -> Working | None:
    """What the emulsifiers bring: how they were found, or the HLB of those that were typed."""
    blend = worked.solved or worked.blend
    return None if blend is None else working(blend)


def verdict_figure(worked: Worked) -> Working | None:
    """How the verdict comes about: distance from what is asked, and the doubt of the figures.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    Working or None
        By another rule than HLB the sentence and the figure that it turns on; None without lines.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> verdict_figure(work_out(example_formula())).steps[1].text
    'Inside up to a distance of 1 HLB'
    """
    if not worked.lines:
        return None
    said, target, blend = worked.verdict, worked.target, worked.blend
    if said.rule != HLB or target is None or blend is None:
        turns = (f"It turns on {said.figure}.",) if said.figure else ()
        return Working("The verdict", (Step(said.sentence or worked.reason),), turns, "limits")
    steps = [
        Step(
            "Distance of the blend from what the oils ask",
            "|H - R|",
            f"abs({figure(blend.value)} - {figure(target.value)})",
            abs(blend.value - target.value),
            "HLB",
        ),
        Step(f"Inside up to a distance of {worked.window:g} HLB"),
    ]
    if said.share is not None:
        steps += _share_steps(target, blend.estimate, worked.window, said.share)
    remark = (
        "The share says how far the sources agree, not how likely a cream is to hold. Each half of a range "
        "counts half; all oils move together, and all emulsifiers."
    )
    return Working("The verdict by HLB", tuple(steps), (remark,) if said.share is not None else (), "limits")


def _share_steps(target: Estimate, blend: Estimate, window: float, share: float) -> list[Step]:
    halves = ", ".join(
        f"{words} {figure(e.low)} to {figure(e.value)} to {figure(e.high)}"
        for words, e in (("asked", target), ("brought", blend))
    )
    parts = quarter_shares(target, blend, window)
    return [
        Step(f"Ranges by the sources, low end to figure to high end [HLB]: {halves}"),
        Step(
            f"Share of those ranges that lies within ±{window:g}, lower and upper halves against each other",
            "mean of four shares",
            f"({' + '.join(figure(p) for p in parts)}) / 4",
            share,
        ),
        Step(f"In words: {share_text(share)}"),
    ]


def dose_figure(worked: Worked) -> Working | None:
    """The dose on both bases, beside what print shows; None without an emulsifier.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    Working or None
        Sum, share of the oil phase, and the usual band where there is one.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> dose_figure(work_out(example_formula())).steps[0].line
    'Active parts of all emulsifiers: 2.97 + 1.53 = 4.5 % of the formula'
    """
    if not worked.emulsifiers:
        return None
    steps = [_sum_step("Active parts of all emulsifiers", worked.emulsifiers, worked.emulsifier_pct)]
    if worked.oil_pct > 0:
        steps.append(
            Step(
                "The same as a share of the oil phase",
                "100 × dose / oil phase",
                f"100 × {figure(worked.emulsifier_pct)} / {figure(worked.oil_pct)}",
                100 * worked.emulsifier_pct / worked.oil_pct,
                "% of the oil phase",
            )
        )
    remarks = []
    if worked.dose is not None:
        remarks = [f"{worked.dose.title}. {worked.dose.detail}".strip(), worked.dose.rule]
    return Working("The dose", tuple(steps), tuple(filter(None, remarks)), "amount")


def _sum_step(text: str, held: tuple[Counted, ...], whole: float) -> Step:
    return Step(text, "sum(active)", " + ".join(figure(x.active) for x in held), whole, FORMULA)


def grams_figure(worked: Worked) -> Working | None:
    """Grams of the emulsifiers, and their HLB as weighed; None where nothing is weighed."""
    held = worked.weighed
    if held is None:
        return None
    return weighed_working(held, {x.label: x.pct for x in worked.emulsifiers})


def total_figure(worked: Worked) -> Working | None:
    """The sum of the lines by phase; None without lines."""
    formula = worked.made
    if not formula.lines:
        return None
    unit = formula.aims.unit
    sums = phase_sums(formula)
    steps = [
        Step(
            f"Lines of the phase {clipped(phase or 'not named')}",
            "sum",
            " + ".join(figure(p) for p, x in _amounts(worked) if x.phase == phase and x.portion is None),
            whole,
            "% of the formula" if unit == "%" else unit,
        )
        for phase, whole in sums.items()
        if unit == "%"
    ]
    base = [p for p, x in _amounts(worked) if x.portion is None]
    steps.append(Step("All lines", "sum", " + ".join(figure(p) for p in base), formula.total_pct, FORMULA))
    return Working("Sum of the lines", tuple(steps), (sum_words(formula),), "amount")


def _amounts(worked: Worked) -> Iterator[tuple[float, Line]]:
    return zip(worked.made.pcts, worked.made.lines, strict=True)


def water_figure(worked: Worked) -> Working | None:
    """Water, hydrosols and juices of the formula; None where there are none."""
    held = worked.of_kind("water")
    if not held:
        return None
    terms = " + ".join(f"{figure(x.pct)}" for x in held)
    step = Step(", ".join(clipped(x.name) for x in held), "sum", terms, worked.water_pct, FORMULA)
    return Working("Water of the formula", (step,), (), "amount")


def lines_figure(worked: Worked) -> Working | None:
    """Grams of every line for the batch; None where no batch is named."""
    batch = worked.made.aims.batch.value
    if batch is None:
        return None
    steps = tuple(
        Step(
            f"{clipped(x.name)}",
            "pct × batch / 100",
            f"{figure(x.pct)} × {figure(batch)} / 100",
            x.pct * batch / 100,
            "g",
        )
        for x in worked.bought
    )
    return Working("Grams of every line", steps, (), "amount")


def hard_figure(worked: Worked) -> Working:
    """The hard share on both bases.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    Working
        What counts as solid and why, and both shares.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> hard_figure(work_out(example_formula())).steps[-1].with_numbers
    '100 × 13.97 / 24.7'
    """
    share = hard_share(worked)
    steps = [
        Step(
            f"{clipped(p.name)} counts as hard, {figure(p.pct)} % of the formula: {clipped(p.kind)}"
            + ("" if p.melts_c is None else f", melts at {p.melts_c:g} °C")
        )
        for p in share.parts
    ]
    terms = " + ".join(figure(p.pct) for p in share.parts) or "0"
    steps.append(Step("Hard share of the jar", "sum(hard)", terms, share.of_jar_pct, FORMULA))
    if share.fat_base_pct > 0:
        steps.append(
            Step(
                "The same as a share of the fat base",
                "100 × hard / fat base",
                f"100 × {figure(share.of_jar_pct)} / {figure(share.fat_base_pct)}",
                share.of_fat_pct,
                "% of the fat base",
            )
        )
    remarks = [
        f"A fat counts as hard from a melting figure of {HIGH_MELTING_C:g} °C up (our convention), waxes and "
        "solid emulsifiers always.",
        NO_THRESHOLD,
    ]
    if share.unknown:
        named = ", ".join(clipped(p.name) for p in share.unknown)
        remarks.append(
            f"Not known: {named}; were all of it hard, the share would be {share.of_fat_high_pct:.1f} %."
        )
    return Working("Hard share", tuple(steps), tuple(remarks), "limits")


FORMULA_FIGURES: Mapping[str, Callable[[Worked], Working | None]] = MappingProxyType(
    {
        "required HLB": required_figure,
        "HLB of the blend": blend_figure,
        "verdict": verdict_figure,
        "dose": dose_figure,
        "grams": grams_figure,
        "sum of the lines": total_figure,
        "grams of every line": lines_figure,
        "hard share": hard_figure,
    }
)
"""The figures of a formula by name, as pages and paper call them."""


def formula_figures(worked: Worked) -> dict[str, Working]:
    """All figures of a formula as steps, by name.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    dict of str to Working
        Only those that there are.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> list(formula_figures(work_out(example_formula())))[:3]
    ['required HLB', 'HLB of the blend', 'verdict']
    """
    made = {name: how(worked) for name, how in FORMULA_FIGURES.items()}
    return {name: held for name, held in made.items() if held is not None}
