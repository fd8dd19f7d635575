"""Results written out as steps, with the user's own numbers put in.

Every figure is read off the result or asked of the function that made it, so that a working can
never disagree with its result; where a result has a `working` of its own, that text is used.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence

from hlbcore.blending.dose import Loading
from hlbcore.blending.results import Blend, BlendHlb
from hlbcore.blending.weighing import WeighedBlend
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import InvalidInput, clipped
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.ladder import Ladder
from hlbcore.lessons._bench_working import fit_working, ladder_working, swap_working
from hlbcore.lessons._steps import Step, Working, figure, left_side, mass_sum, range_steps, split_steps
from hlbcore.shares import share_text
from hlbcore.swapping.results import Swap


def working(
    result: RequiredHlb | BlendHlb | Blend | Loading | WeighedBlend | Swap | Ladder | TrialFit,
    *,
    blend: Blend | None = None,
) -> Working:
    """A result of this package as steps with its own numbers.

    Parameters
    ----------
    result : RequiredHlb, BlendHlb, Blend, Loading, WeighedBlend, Swap, Ladder or TrialFit
        What a function of this package returned.
    blend : Blend, optional
        For a weighed blend, the blend it was made from: its exact grams are shown too.

    Returns
    -------
    Working
        Steps, as text and as a table.

    Raises
    ------
    InvalidInput
        For anything else. A pair, Griffin's formulas and Davies' groups have functions of their
        own, because their results are plain numbers.

    Examples
    --------
    >>> from hlbcore import required_hlb
    >>> print(working(required_hlb([(10, 7.0), (15, 6.0)])).text)
    Required HLB of the oil phase, o/w
    1. Add up the oil phase: 10 + 15 = 25 parts
    2. line 1, its share times its required HLB: 10 / 25 × 7 = 2.8 HLB
    3. line 2, its share times its required HLB: 15 / 25 × 6 = 3.6 HLB
    4. Together: (10 × 7 + 15 × 6) / (10 + 15) = 6.4 HLB
    """
    match result:
        case RequiredHlb():
            return _required(result)
        case BlendHlb():
            return _blend_hlb(result)
        case Blend():
            return _blend(result)
        case Loading():
            return _loading(result)
        case WeighedBlend():
            exact = {} if blend is None else dict(zip(blend.labels, blend.masses, strict=True))
            return weighed_working(result, exact)
        case Swap():
            return swap_working(result)
        case Ladder():
            return ladder_working(result)
        case TrialFit():
            return fit_working(result)
    raise InvalidInput(
        f"working of a {type(result).__name__}",
        "its steps are not known here",
        "Give the result of required_hlb, blend_hlb, solve_blend, usual_loading, weigh_blend, "
        "swap, plan_ladder or fit_trials; for a pair, Griffin or Davies use the function of that "
        "name in hlbcore.lessons.",
    )


def _required(required: RequiredHlb) -> Working:
    unit = required.unit or "parts"
    mixture = required.mixture
    steps = [
        Step(
            "Add up the oil phase",
            "M = sum(m)",
            " + ".join(figure(p.mass) for p in required.parts),
            required.mass,
            unit,
        )
    ]
    steps += [
        Step(
            f"{clipped(p.name)}, its share times its required HLB",
            "m / M × R",
            f"{figure(p.mass)} / {figure(required.mass)} × {figure(p.estimate.value)}",
            f * p.estimate.value,
            "HLB",
        )
        for p, f in zip(required.parts, mixture.fractions, strict=True)
    ]
    steps.append(Step("Together", "sum(m × R) / sum(m)", left_side(required.working), required.value, "HLB"))
    steps += range_steps(mixture, required.estimate)
    remarks = [
        f"Left out: {clipped(e.name)} ({figure(e.mass)} {unit}), {e.reason}." for e in required.excluded
    ]
    if required.unknown:
        named = ", ".join(clipped(n) for n in required.unknown)
        remarks.append(f"No figure is known for {named}: the range of its kind is used.")
    title = f"Required HLB of the oil phase, {required.emulsion}"
    return Working(title, tuple(steps), tuple(remarks), "required")


def _blend_hlb(blend: BlendHlb) -> Working:
    steps = [
        Step(
            f"{clipped(label)}, its share times its HLB",
            "share × h",
            f"{figure(f)} × {figure(p.value)}",
            f * p.value,
            "HLB",
        )
        for label, f, p in zip(blend.labels, blend.mixture.fractions, blend.mixture.parts, strict=True)
    ]
    steps.append(Step("Together", "sum(share × h)", left_side(blend.working), blend.value, "HLB"))
    steps += range_steps(blend.mixture, blend.estimate)
    return Working("HLB of the blend", tuple(steps), lesson="blend")


def _blend(blend: Blend) -> Working:
    steps = split_steps(blend)
    steps += [
        Step(
            f"{clipped(label)}, its share times the total",
            "share × T",
            f"{figure(f)} × {figure(blend.total)}",
            m,
            "% of the formula",
        )
        for label, m, f in zip(blend.labels, blend.masses, blend.mixture.fractions, strict=True)
        if m > 0
    ]
    steps.append(
        Step(
            "Put the shares back: HLB of the blend",
            "sum(share × h)",
            left_side(blend.working),
            blend.hlb,
            "HLB",
        )
    )
    steps.append(
        Step(
            "Distance from the HLB wanted",
            "|H - R|",
            f"abs({figure(blend.hlb)} - {figure(blend.target.value)})",
            abs(blend.hlb - blend.target.value),
            "HLB",
        )
    )
    steps += range_steps(blend.mixture, blend.estimate)
    remarks = [f"Held by: {text}." for text in blend.binding]
    if blend.role == "governs" and (blend.estimate.spread or blend.target.spread):
        share = share_text(blend.share_in_window)
        remarks.append(f"{share[0].upper()}{share[1:]} of ±{blend.window:g}: {blend.word}.")
    return Working("A blend for the HLB wanted", tuple(steps), tuple(remarks), "blend")


def _loading(loading: Loading) -> Working:
    title = f"Usual dose, {loading.product_type}"
    oil, band = figure(loading.oil_pct), loading.of_oil
    if band is None:
        return Working(title, (), (loading.text,), "amount")
    steps = [
        Step(
            f"{end} end of print: from the oil phase to the formula",
            "dose × oil phase / 100",
            f"{figure(of_oil)} × {oil} / 100",
            of_oil * loading.oil_pct / 100,
            "% of the formula",
        )
        for end, of_oil in (("Low", band.low), ("High", band.high))
    ]
    if loading.start_pct is not None:
        steps.append(
            Step(
                "Where to start: from the formula to the oil phase",
                "100 × dose / oil phase",
                f"100 × {figure(loading.start_pct)} / {oil}",
                100 * loading.start_pct / loading.oil_pct,
                "% of the oil phase",
            )
        )
    return Working(
        title, tuple(steps), (f"{loading.text[0].upper()}{loading.text[1:]}.", f"{loading.source}."), "amount"
    )


def weighed_working(weighed: WeighedBlend, exact: Mapping[str, float]) -> Working:
    """Grams on the scale as steps.

    Parameters
    ----------
    weighed : WeighedBlend
        What is weighed.
    exact : mapping of str to float
        The amounts that it was rounded from; none: only what was weighed is shown. [% of formula]

    Returns
    -------
    Working
        Grams, what half a division is of them, and the HLB as weighed.
    """
    batch, division = figure(weighed.batch_g), figure(weighed.readability_g)
    half = weighed.readability_g / 2
    steps = []
    used = [(n, g) for n, g in zip(weighed.labels, weighed.grams, strict=True) if g > 0]
    for label, grams in used:
        if label in exact:
            steps.append(
                Step(
                    f"{clipped(label)}, grams for the batch; the scale shows {figure(grams)} g",
                    "pct × batch / 100",
                    f"{figure(exact[label])} × {batch} / 100",
                    exact[label] * weighed.batch_g / 100,
                    "g",
                )
            )
        steps.append(
            Step(
                f"{clipped(label)}, half a division as a share of it",
                "100 × d / 2 / m",
                f"100 × {division} / 2 / {figure(grams)}",
                100 * half / grams,
                "%",
            )
        )
    values = [p.value for p in weighed.mixture.parts]
    steps.append(
        Step(
            "HLB as weighed",
            "sum(m × h) / sum(m)",
            mass_sum(_active(weighed, weighed.grams), values),
            weighed.hlb.value,
            "HLB",
        )
    )
    steps += _span_steps(weighed, half, values)
    return Working("Grams on the scale", tuple(steps), lesson="amount")


def _active(weighed: WeighedBlend, grams: Sequence[float]) -> list[float]:
    """The active part of what is weighed. [g]"""
    return [g * a / 100 for g, a in zip(grams, weighed.active or (100.0,) * len(grams), strict=True)]


def _span_steps(weighed: WeighedBlend, half: float, values: Sequence[float]) -> list[Step]:
    """The two ends of `hlb_span`, each with the masses that give it."""
    moved = []
    for i, j in itertools.permutations(range(len(weighed.grams)), 2):
        if weighed.grams[i] > 0 and weighed.grams[j] > 0:
            masses = list(weighed.grams)
            masses[i] += half
            masses[j] = max(masses[j] - half, 0.0)
            moved.append((_active(weighed, masses), i, j))
    steps = []
    for end, value in zip(("Lowest", "Highest"), weighed.hlb_span, strict=True):
        for masses, i, j in moved:
            found = math.fsum(m * h for m, h in zip(masses, values, strict=True))
            if math.isclose(found / math.fsum(masses), value, rel_tol=1e-12):
                steps.append(
                    Step(
                        f"{end}: half a division more {clipped(weighed.labels[i])}, half a "
                        f"division less {clipped(weighed.labels[j])}",
                        "sum(m × h) / sum(m)",
                        mass_sum(masses, values),
                        value,
                        "HLB",
                    )
                )
                break
    return steps
