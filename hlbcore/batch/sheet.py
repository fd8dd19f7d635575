"""The batch sheet: a formula in grams that the scales at hand can show, and what their errors do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import pandas as pd

from hlbcore.batch.effects import Effect, effects_of, hlb_as_weighed
from hlbcore.batch.order import Step, steps_of
from hlbcore.batch.pot import Pot, PotLine, Small, batch_text, fill_pot
from hlbcore.batch.premix import Premix
from hlbcore.batch.scales import Scale, scales_of
from hlbcore.batch.size import Jars, checked_loss, size_of
from hlbcore.batch.weighed import weighed_formula
from hlbcore.blending.offers import WeighingOffer, weighing_offers
from hlbcore.blending.results import within
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import Estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.formula.formula import Formula
from hlbcore.formula.problems import problems_of
from hlbcore.ingredients import fold
from hlbcore.library import Library
from hlbcore.typed import in_full

SHEET_COLUMNS = {
    "ingredient": "as bought, or a premix that brings it",
    "phase": "phase it goes into, with the portion where it is one",
    "grams": "g, as the scale shows it",
    "scale": "the scale that weighs it",
    "error_pct": "one reading off by half a division (or the error found), as % of the amount",
}
"""Columns of `BatchSheet.table` with unit or meaning."""

ERROR_COLUMNS = {
    "ingredient": "as in the table",
    "grams": "g",
    "error_pct": "% of the amount, one reading off by half a division",
    "standard_g": "g, standard uncertainty of a tared amount (two readings)",
    "standard_pct": "% of the amount, the same",
    "worst_g": "g, at the worst",
}
"""Columns of `BatchSheet.errors` with unit or meaning."""

EFFECT_COLUMNS = {
    "quantity": "what is moved",
    "unit": "its unit",
    "planned": "by the formula",
    "as_weighed": "by the rounded amounts",
    "standard": "one standard uncertainty from weighing",
    "low": "at the worst",
    "high": "at the worst",
}
"""Columns of `BatchSheet.effects` with unit or meaning."""

_BLOCKING = ("total", "amount", "portion", "portions", "blends", "batch")


@dataclass(frozen=True)
class BatchSheet:
    """A formula as it goes into the pot; made by `batch_sheet`.

    Parameters
    ----------
    worked : Worked
        The formula, worked out.
    size_g : float
        Mass of the base that is made; what portions get comes on top. [g]
    scales : tuple of Scale
        The scales, the finest first.
    pot : Pot
        The rows, and what is too small for the scale.
    jars : Jars, optional
        Containers, where the size was given by them.
    loss_pct : float
        What stays in vessels and on tools. [% of what is made]
    hlb : Estimate or None
        HLB of the emulsifiers as weighed; None where there is none. [HLB]
    """

    worked: Worked
    size_g: float
    scales: tuple[Scale, ...]
    pot: Pot
    jars: Jars | None = None
    loss_pct: float = 0.0
    hlb: Estimate | None = field(default=None)

    @property
    def formula(self) -> Formula:
        """The formula that is made, with all its amounts."""
        return self.worked.made

    @property
    def rows(self) -> tuple[PotLine, ...]:
        """What goes into the pot, in the order of work, and what goes in with premixes alone (0 g)."""
        return self.pot.rows

    @property
    def weighings(self) -> tuple[PotLine, ...]:
        """The rows that are weighed into the pot."""
        return tuple(r for r in self.rows if r.grams > 0)

    @property
    def small(self) -> tuple[Small, ...]:
        """Lines below the smallest weight worth trusting, with their mends."""
        return self.pot.small

    @property
    def premixes(self) -> tuple[Premix, ...]:
        """Premixes for the lines too small for the scale; `used` says which stand in the table."""
        return tuple(s.premix for s in self.small if s.premix is not None)

    @property
    def trimmed(self) -> str:
        """The line that took the rounding of the others; blank where none did."""
        return self.pot.trimmed

    @property
    def total_g(self) -> float:
        """Sum of the grams as printed. [g]"""
        return round(math.fsum(r.grams for r in self.rows), 9)

    @property
    def base_g(self) -> float:
        """Sum of the base as printed, without what portions get. [g]"""
        return round(math.fsum(r.grams for r in self.rows if not r.portion), 9)

    @property
    def yield_g(self) -> float:
        """What is left to fill. [g]"""
        return self.total_g * (1 - self.loss_pct / 100)

    @property
    def table(self) -> pd.DataFrame:
        """What goes into the pot, one row a weighing; columns as in `SHEET_COLUMNS`."""
        return pd.DataFrame(
            [(r.name, r.place, r.grams, r.scale.label, r.error_pct) for r in self.weighings],
            columns=list(SHEET_COLUMNS),
        )

    @property
    def errors(self) -> pd.DataFrame:
        """How far each row may be off; columns as in `ERROR_COLUMNS`."""
        rows = []
        for r in self.weighings:
            part = 100 / r.delivered_g if r.premix is not None else 100 / r.grams
            rows.append((r.name, r.grams, r.error_pct, r.standard_g, part * r.standard_g, r.worst_g))
        return pd.DataFrame(rows, columns=list(ERROR_COLUMNS))

    @cached_property
    def moved(self) -> tuple[Effect, ...]:
        """What all errors together do to HLB, preservative and gum."""
        return effects_of(self.worked, self.rows, self.hlb)

    @property
    def effects(self) -> pd.DataFrame:
        """The same as a table; columns as in `EFFECT_COLUMNS`."""
        return pd.DataFrame(
            [(e.quantity, e.unit, e.planned, e.as_weighed, e.standard, e.low, e.high) for e in self.moved],
            columns=list(EFFECT_COLUMNS),
        )

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """Order of work, with the cautions at the step where they bite."""
        return steps_of(self.worked, self.rows, self.premixes)

    @cached_property
    def offers(self) -> tuple[WeighingOffer, ...]:
        """A dose and a batch at which the emulsifiers weigh better, where one scale weighs all of them."""
        numbers = {x.number for x in self.worked.emulsifiers}
        of_scales = [r for r in self.rows if not r.portion and r.line in numbers]
        steps = {r.scale.readability_g for r in of_scales}
        if len(steps) != 1 or any(r.premix is not None for r in of_scales):
            return ()
        return weighing_offers(self.worked, self.size_g, steps.pop())

    @cached_property
    def as_weighed(self) -> Formula:
        """The formula that the rounded amounts make."""
        return weighed_formula(self.worked, self.rows)

    @property
    def assumed(self) -> tuple[str, ...]:
        """What the errors rest on, a sentence a scale."""
        used = {id(r.scale): r.scale for r in self.rows}
        return tuple(dict.fromkeys(s.assumed for s in used.values()))

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What stands out, the worst first."""
        found = [_small_finding(s, self) for s in self.small]
        target = self.worked.target
        if self.hlb is not None and target is not None and self.worked.blend is not None:
            before = within(self.worked.blend.value, target.value, self.worked.window)
            after = within(self.hlb.value, target.value, self.worked.window)
            if before == "inside" and after == "outside":
                found.append(
                    Finding(
                        "caution",
                        "Rounding takes the blend out of its window",
                        f"HLB {self.worked.blend.value:.1f} as planned, {self.hlb.value:.1f} as weighed; "
                        f"{target.value:.1f} ± {self.worked.window:g} required.",
                        f"HLB {self.hlb.value:.1f}",
                        "plain arithmetic on the rounded grams",
                        "Make a larger batch, weigh on a finer scale, or move the dose.",
                    )
                )
        lost = [r.ingredient for r in self.rows if r.phase == "no phase"]
        if lost:
            found.append(
                Finding(
                    "caution",
                    "Lines without a phase",
                    f"{', '.join(map(clipped, lost))}: the order of work does not know when.",
                    f"{len(lost)} lines",
                    "",
                    "Choose their phase in the formula.",
                )
            )
        return worst_first(found)

    def __repr__(self) -> str:
        hlb = "no HLB" if self.hlb is None else f"HLB {self.hlb.value:.1f}"
        return f"{self.formula.name or 'Batch'}: {self.total_g:g} g in {len(self.weighings)} weighings, {hlb}"


def batch_sheet(
    formula: Formula | Worked,
    size: float | str | Jars | None = None,
    *,
    scales: Sequence[Scale | float | str] | Scale | float | str | None = None,
    loss_pct: float | str = 0.0,
    use_premixes: bool | Sequence[str] = False,
    library: Library | None = None,
) -> BatchSheet:
    """A formula in grams that the scales at hand can show.

    Parameters
    ----------
    formula : Formula or Worked
        A whole formula: it adds to 100 %, and every amount can be read.
    size : float, str or Jars, optional
        Mass of the base: ``500`` or ``"2 lb"``; or the jars to fill. The formula's own batch if left
        out. [g, or text with its unit]
    scales : sequence of Scale, float or str, optional
        The scales of the workshop; a plain number is a division [g]. The formula's own if left out.
    loss_pct : float or str
        What stays in vessels and on tools. Jars get as much more; a mass given is what is made.
        [% of what is made]
    use_premixes : bool or sequence of str
        Whether every line below the smallest weight worth trusting goes in as a premix, or which
        ingredients do. What no scale can show always does.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    BatchSheet
        ``table`` is what goes into the pot, ``premixes`` stand beside it, ``hlb`` is the blend as
        weighed.

    Raises
    ------
    InvalidInput
        If the formula is not whole, a line is more than any scale carries, or less than can be
        weighed or premixed; or a size or scale cannot be used.

    Notes
    -----
    Every line is rounded to the division of the finest scale that carries it; emulsifiers on one scale
    go up or down so that the blend comes nearest to its target; the largest line takes what rounding
    left over, so that the printed grams add to the printed total.

    Examples
    --------
    >>> from hlbcore import Scale, example_formula
    >>> sheet = batch_sheet(example_formula(), 500.0, scales=[Scale(readability_g=0.1, capacity_g=2000)])
    >>> sheet.total_g, sheet.hlb
    (500.0, 8.2 (7.7 to 8.7; 4 independent roots (11 pages)))
    >>> sheet.table.head(2)
      ingredient  phase  grams  scale  error_pct
    0      water  water  350.8  0.1 g   0.014253
    1   glycerin  water   20.0  0.1 g   0.250000
    """
    if not isinstance(formula, Formula | Worked):
        raise InvalidInput("batch sheet", f"'{clipped(formula)}' is no formula", "Give a Formula.")
    if isinstance(use_premixes, str):
        use_premixes = [use_premixes]
    elif not isinstance(use_premixes, bool | Sequence):
        raise InvalidInput("premixes", f"'{clipped(use_premixes)}' is neither yes nor names", "Choose one.")
    worked = work_out(formula, library)
    made = worked.made
    _refuse_half_written(worked)
    loss = checked_loss(loss_pct)
    if size is None:
        size = made.aims.batch.value
        if size is None:
            raise InvalidInput("batch", "its size is missing", "Enter a mass, for example 500 g.")
    size_g = size_of(size, loss)
    if isinstance(size, Jars):
        size_g /= 1 + _on_top(made)
    if scales is None:
        scales = made.aims.scales.value
        if scales is None:
            raise InvalidInput("scales", "there is none", "Enter what your scale shows, for example 0.1 g.")
    held = scales_of(scales)
    pot = fill_pot(worked, size_g, held, use_premixes)
    jars = size if isinstance(size, Jars) else None
    return BatchSheet(worked, size_g, held, pot, jars, loss, hlb_as_weighed(worked, pot.rows))


def _refuse_half_written(worked: Worked) -> None:
    """A sheet needs a formula that adds to 100 %, with names and amounts on every line."""
    made = worked.made
    found = [
        p.text
        for p in problems_of(made, worked.library)
        if p.field in _BLOCKING
        or (p.field == "name" and p.line is not None and not worked.library.key(made.lines[p.line].name))
    ]
    blank = [p.text for p in worked.problems if "the amount is blank" in p.text]
    wrong = list(dict.fromkeys((*found, *blank)))
    if worked.unreachable is not None:
        wrong.append(str(worked.unreachable))
    if wrong:
        more = f" (and {len(wrong) - 3} more)" if len(wrong) > 3 else ""
        said = " ".join(wrong[:3])
        raise InvalidInput(
            "batch sheet", f"the formula is not whole. {said.rstrip('.')}{more}", "Mend it first."
        )


def _on_top(formula: Formula) -> float:
    """What portions get on top of the base, as a fraction of it. [-]"""
    shares = {fold(p.name): p.share_pct / 100 for p in formula.portion_list}
    return math.fsum(
        pct / 100 * shares.get(fold(line.portion or ""), 0.0)
        for line, pct in zip(formula.lines, formula.pcts, strict=True)
        if line.portion is not None
    )


def _small_finding(s: Small, sheet: BatchSheet) -> Finding:
    scale = s.scale
    said = (
        f"{s.grams:.3g} g on a scale of {in_full(scale.readability_g)} g: half a division is "
        f"{50 * scale.readability_g / s.grams:.0f} % of it."
    )
    mends = []
    if s.premix is not None:
        kind = "Slurry" if s.premix.slurry else "Serial dilution" if len(s.premix.steps) > 1 else "Premix"
        mends.append(f"{kind}: {' '.join(s.premix.words)}")
    mends.append(f"{'Or make' if mends else 'Make'} at least {batch_text(s.enough_g)}.")
    if s.spoons is not None:
        few, many = s.spoons
        mends.append(f"Last: {few:.2g} to {many:.2g} level US teaspoons, whose grams nobody knows.")
    used = s.premix is not None and s.premix.used
    return Finding(
        "note" if used else "caution",
        f"{s.ingredient}: weighed in a premix" if used else f"{s.ingredient} is little for this scale",
        said,
        f"{s.grams:.3g} g, trusted from {in_full(scale.least_g)} g",
        f"smallest weight by '{scale.floor}'",
        " ".join(mends),
    )
