"""A dose or a batch at which the emulsifiers weigh better: offered, never taken unasked."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from hlbcore.blending.dose import usual_loading
from hlbcore.blending.judging import HLB
from hlbcore.blending.solution import limits_of
from hlbcore.blending.weighing import WeighedBlend, weigh_system
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.errors import InvalidInput
from hlbcore.formula.fields import mass_reader, typed
from hlbcore.formula.formula import Formula

DOSE, BATCH = "dose", "batch"
"""What is offered: another total of the emulsifiers, or another size of the batch."""

LOST_MOST = 0.25
"""Part of the window that a scale may cost before something is offered. [-] Our convention."""

LARGEST = 10
"""A batch is offered up to so many times the one asked for. [-] Our convention."""

TRIED_MOST = 200
"""Totals and sizes that are tried. [-]"""

SYSTEM_MOST = 4
"""Emulsifiers up to which it is looked for. [-]"""


@dataclass(frozen=True, slots=True)
class WeighingOffer:
    """Another dose or batch, in amounts that the scale shows.

    Parameters
    ----------
    kind : str
        `DOSE` or `BATCH`.
    weighed, was : WeighedBlend
        The emulsifiers as they would be weighed, and as they are weighed now.
    dose_pct : float
        Their active parts together. [% of formula]
    target, window : float
        Required HLB, and half width of the window. [HLB]
    formula : Formula
        With these amounts, the largest line outside the oil phase giving or taking the difference; or
        for this batch.
    """

    kind: str
    weighed: WeighedBlend
    was: WeighedBlend
    dose_pct: float
    target: float
    window: float
    formula: Formula

    @property
    def size(self) -> str:
        """The batch as people type it. [g]"""
        return f"{self.weighed.batch_g:.9g} g"

    @property
    def why(self) -> str:
        """What the scale may do to the blend as it is weighed now."""
        if none := [name for name, g in zip(self.was.labels, self.was.grams, strict=True) if g <= 0]:
            return f"In this batch the scale shows nothing of {' and '.join(none)}. To weigh it:"
        low, high = self.was.hlb_span
        return (
            f"Half a step of this scale either way leaves the blend at HLB {low:.1f} to {high:.1f}; its "
            f"window is {self.target - self.window:.1f} to {self.target + self.window:.1f}. To weigh better:"
        )

    @property
    def press(self) -> str:
        """Words of the button that takes it."""
        return f"Take a dose of {self.dose_pct:.3g} %" if self.kind == DOSE else f"Make {self.size}"

    @property
    def words(self) -> str:
        """The offer in a sentence."""
        held = zip(self.weighed.labels, self.weighed.grams, strict=True)
        listed = ", ".join(f"{g:.9g} g {name}" for name, g in held)
        low, high = self.weighed.hlb_span
        where = f"At a dose of {self.dose_pct:.3g} %" if self.kind == DOSE else f"In {self.size}"
        return f"{where}: {listed}, HLB {self.weighed.hlb.value:.1f} ({low:.1f} to {high:.1f})."


def weighing_offers(
    worked: Worked, batch_g: float | None = None, readability_g: float | None = None
) -> tuple[WeighingOffer, ...]:
    """The nearest dose and the smallest batch at which the scale does a blend no harm.

    Looked for where the scale may take a blend that lies inside its window out of it (rounded to
    divisions, and half a division either way), or rounding moves it by more than `LOST_MOST` of the window.

    Parameters
    ----------
    worked : Worked
        The formula, worked out.
    batch_g, readability_g : float, optional
        Mass of the batch and division of the scale; those of the formula if left out. [g]

    Returns
    -------
    tuple of WeighingOffer
        At most one dose, in the ratio that stands there, inside the dose typed, or else usual in print;
        then at most one batch, unless lines are typed in grams.

    Examples
    --------
    >>> from hlbcore import Aims, Formula, Line, work_out
    >>> f = Formula("cream", "o/w cream", [
    ...     Line("water", 71.7, phase="water"), Line("olive oil", 25, phase="oil"),
    ...     Line("sorbitan stearate", 2.5, phase="oil"), Line("polysorbate 60", 0.8, phase="oil")],
    ...     aims=Aims(batch="150 g", scales="1 g"))
    >>> for offer in weighing_offers(work_out(f)):
    ...     print(offer.press, offer.weighed.grams)
    Take a dose of 5.33 % (6.0, 2.0)
    Make 230 g (6.0, 2.0)
    """
    if worked.weighed is not None and batch_g is None:
        batch_g, readability_g = worked.weighed.batch_g, worked.weighed.readability_g
    held = tuple(x for x in worked.emulsifiers if x.pct > 0)
    if (
        worked.target is None
        or worked.blend is None
        or batch_g is None
        or readability_g is None
        or worked.verdict.rule != HLB
        or not worked.verdict.says_yes
        or not 2 <= len(held) <= SYSTEM_MOST
        or any(x.is_part or x.estimate is None or x.active_pct <= 0 for x in held)
    ):
        return ()
    try:
        now = weigh_system(held, batch_g, readability_g, target=worked.target)
    except InvalidInput:  # less than one division in all, or a scale far too fine
        return ()
    if _lands(worked, now):
        return ()
    dose = next((w for w in _totals(worked, held, now) if _lands(worked, w)), None)
    of_dose = None if dose is None else _with_grams(worked, held, dose)
    larger = next((w for w in _sizes(worked, held, now) if _lands(worked, w)), None)
    found = []
    if dose is not None and of_dose is not None:
        found.append(_offer(DOSE, worked, dose, now, of_dose))
    if larger is not None:
        aims = replace(worked.formula.aims, batch=typed(f"{larger.batch_g:.9g} g", mass_reader("batch")))
        found.append(_offer(BATCH, worked, larger, now, replace(worked.formula, aims=aims)))
    return tuple(found)


def _lands(worked: Worked, weighed: WeighedBlend) -> bool:
    """Whether the scale shows all of them, costs little, and half a division either way stays inside."""
    if worked.target is None or worked.blend is None or min(weighed.grams) <= 0:
        return False
    target, spare = worked.target.value, LOST_MOST * worked.window
    exact = abs(worked.blend.value - target)
    reach = max(abs(h - target) for h in weighed.hlb_span)
    return abs(weighed.hlb.value - target) <= exact + spare and reach <= max(worked.window, exact + spare)


def _totals(worked: Worked, held: tuple[Counted, ...], now: WeighedBlend) -> Iterator[WeighedBlend]:
    """Other totals, in whole divisions, inside the dose and the limits; the nearest first."""
    low, high = worked.dose_asked
    if worked.formula.aims.dose.value is None:
        usual = usual_loading(worked.oil_pct, worked.product)
        low, high = usual.low_pct or low, usual.high_pct or high
    exact = math.fsum(x.pct for x in held) * now.batch_g / 100 / now.readability_g
    start = round(now.total_g / now.readability_g)
    totals = range(max(start - TRIED_MOST, 1), start + TRIED_MOST)
    limits = limits_of(held)
    for total in sorted(totals, key=lambda n: abs(n - start)):
        if not low - 1e-9 <= worked.emulsifier_pct * total / exact <= high + 1e-9:
            continue  # rounding moves it by less than a division
        weighed = weigh_system(
            held, now.batch_g, now.readability_g, target=worked.target, times=total / exact
        )
        parts = _active_pcts(weighed)
        kept = (limits.get(name, (0.0, 100.0)) for name in weighed.labels)
        whole = math.fsum(parts)
        inside = all(a - 1e-9 <= part <= b + 1e-9 for part, (a, b) in zip(parts, kept, strict=True))
        if inside and low - 1e-9 <= whole <= high + 1e-9:
            yield weighed


def _sizes(worked: Worked, held: tuple[Counted, ...], now: WeighedBlend) -> Iterator[WeighedBlend]:
    """Larger batches of round sizes; none where a line is in grams, since it would be another formula."""
    percent = ("", "%") if worked.formula.aims.unit == "%" else ("%",)
    amounts = (x.amount.value for x in worked.formula.lines)
    if any(a is not None and a.unit not in percent for a in amounts):
        return
    size = now.batch_g
    for _ in range(TRIED_MOST):
        unit = 10.0 ** (math.floor(math.log10(size)) - 1)
        size = round((math.floor(size / unit + 1e-9) + 1) * unit, 9)
        if size > LARGEST * now.batch_g:
            return
        yield weigh_system(held, size, now.readability_g, target=worked.target)


def _active_pcts(weighed: WeighedBlend) -> list[float]:
    """Active parts. [% of formula]"""
    return [g * a / weighed.batch_g for g, a in zip(weighed.grams, weighed.active, strict=True)]


def _with_grams(worked: Worked, held: tuple[Counted, ...], weighed: WeighedBlend) -> Formula | None:
    """The formula with these grams; the largest line outside the oil phase gives or takes the difference."""
    made = worked.made
    pcts = {x.number: 100 * g / weighed.batch_g for x, g in zip(held, weighed.grams, strict=True)}
    moved = math.fsum(x.pct for x in held) - math.fsum(pcts.values())
    counted = {x.number for x in worked.lines if x.side in ("oil", "emulsifier")}
    others = [n for n, x in enumerate(made.lines) if x.portion is None and n not in counted]
    largest = max(others, key=lambda n: made.pcts[n], default=None)
    if largest is None or made.pcts[largest] + moved < 0:
        return None  # an oil that gave way would move what the phase requires
    pcts[largest] = made.pcts[largest] + moved
    formula = made.with_pct(pcts)
    return replace(formula, aims=replace(formula.aims, goal=""))


def _offer(
    kind: str, worked: Worked, weighed: WeighedBlend, now: WeighedBlend, formula: Formula
) -> WeighingOffer:
    target = 0.0 if worked.target is None else worked.target.value
    dose = math.fsum(_active_pcts(weighed))
    return WeighingOffer(kind, weighed, now, dose, target, worked.window, formula)
