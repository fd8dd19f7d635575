"""The emulsifiers of a formula after a swap, and the ways to make them fit again."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from hlbcore.blending.candidates import TRACE_BOUNDS
from hlbcore.blending.dose import dose_finding, usual_loading
from hlbcore.blending.request import Group, two_ends
from hlbcore.blending.results import BlendHlb
from hlbcore.blending.solving import solve_blend
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Line
from hlbcore.library import Library
from hlbcore.shares import share_in_window
from hlbcore.swapping._members import active, bought, hlb_of
from hlbcore.swapping.results import Option
from hlbcore.swapping.substitutes import is_peg_based

SAME = 1e-9  # % of formula; amounts that differ by less are the same

ROUNDING = 1e-6
"""Where all emulsifiers move by less, nothing moves. [% of formula] Our convention."""

ADDED_LEAST = 0.1
"""An emulsifier that is added takes at least this share of the emulsifiers. [-] Our convention."""


def settled(formula: Formula, total: float, fill: str | None, library: Library) -> Formula:
    """The formula with its total as before: one line takes the rest, or all are rescaled."""
    off = total - formula.total_pct
    if abs(off) <= SAME * 1e-3:
        return formula
    if fill is None:
        return formula.rescaled(total)
    at = formula.line_of(fill, library)
    if at is None:
        raise InvalidInput(
            f"line '{clipped(fill)}'",
            f"it is not in the base and cannot take {abs(off):.4g} %",
            "Let as much come in as goes out, or name another line that fills.",
        )
    left = formula.pcts[at] + off
    if left < -SAME:
        raise InvalidInput(
            f"line '{clipped(fill)}'", f"it would be {left:.4g} %", "Put less in, or take something else out."
        )
    return formula.with_pct({at: max(left, 0.0)})


@dataclass(frozen=True, slots=True)
class Rebalance:
    """A formula after the swap, with all that binds its emulsifiers.

    Parameters
    ----------
    before, plain : Worked
        Before the swap, and after it with the emulsifiers untouched.
    start : tuple of float
        What to stay near to. [% of formula, active]
    total : tuple of float
        Totals allowed. [% of formula, active]
    window : float
        Half width. [HLB]
    limits : mapping of str to tuple of float
        By name. [% of formula]
    groups : sequence of Group
        As for `solve_blend`.
    smallest : float
        If used, at least this much. [% of formula]
    cost : mapping of str to float
        By id. [price unit/kg]
    fill : str or None
        The line that takes the rest.
    library : Library
        The tables.
    """

    before: Worked
    plain: Worked
    start: tuple[float, ...]
    total: tuple[float, float]
    window: float
    limits: Mapping[str, tuple[float, float]]
    groups: Sequence[Group]
    smallest: float
    cost: Mapping[str, float]
    fill: str | None
    library: Library

    @property
    def held(self) -> tuple[Counted, ...]:
        """Emulsifiers after the swap."""
        return self.plain.emulsifiers

    @property
    def old(self) -> tuple[Counted, ...]:
        """Emulsifiers before the swap."""
        return self.before.emulsifiers

    @property
    def now(self) -> tuple[float, ...]:
        """The emulsifiers as the swap leaves them. [% of formula, active]"""
        return tuple(m.active for m in self.held)

    @property
    def governs(self) -> bool:
        """Whether the window binds."""
        return self.plain.product.role == "governs"

    def inside(self, blend: BlendHlb | None) -> bool:
        """Whether the nominal HLB lies inside the window."""
        if blend is None or self.plain.required is None:
            return False
        return abs(blend.value - self.plain.required.value) <= self.window + 1e-7

    def solve(
        self,
        objective: str,
        *,
        total: tuple[float, float] | None = None,
        start: Sequence[float] | None = None,
        fixed: Sequence[int] = (),
        without: int | None = None,
        added: Counted | None = None,
    ) -> tuple[tuple[Counted, ...], tuple[float, ...]]:
        """Counteds and amounts that meet the window; raises where there are none."""
        assert self.plain.required is not None
        first = list(self.start if start is None else start)
        held = [(m, x, n) for n, (m, x) in enumerate(zip(self.held, first, strict=True))]
        held = [h for h in held if h[2] != without]
        if added is not None:
            held.append((added, 0.0, -1))
        total = self.total if total is None else total
        typed = {self.library.key(n): pair for n, pair in self.limits.items()}
        limits: dict[str, tuple[float, float | None]] = {}
        for m, x, n in held:
            if not m.movable and m is not added:
                limits[m.label] = (m.active, m.active)
            elif n in fixed:
                low, high = two_ends(typed.get(m.key, (0.0, None)), m.label, single_low=0.0)
                if x < (low or 0) - SAME or (high is not None and x > high + SAME):
                    raise InvalidInput(m.label, "it cannot stay as it is", "Its limit binds.")
                limits[m.label] = (x, x)
            elif m.key in typed:
                limits[m.label] = typed[m.key]
            if m is added:
                low, high = two_ends(typed.get(m.key, (0.0, None)), m.label, single_low=0.0)
                least = max(low or 0.0, ADDED_LEAST * total[0])
                limits[m.label] = (least, None if high is None else max(high, least))
        fixed_mass = math.fsum(low for low, high in limits.values() if low == high)
        if len(limits) == len(held) and all(low == high for low, high in limits.values()):
            total = (min(total[0], fixed_mass), max(total[1], fixed_mass))
        blend = solve_blend(
            {m.label: m.estimate or TRACE_BOUNDS for m, _, _ in held},
            self.plain.required,
            window=self.window,
            total=total,
            limits=limits,  # type: ignore[arg-type]  # None is no limit
            groups=self.groups,
            cost=self._prices(held) if objective == "cheapest" else None,
            smallest=self.smallest,
            objective=objective,
            start={m.label: x for m, x, _ in held} if objective == "least change" else None,
            product=self.plain.product.name,
            library=self.library,
        )
        pairs = [(a, x) for a, (_, x, _) in zip(blend.masses, held, strict=True)]
        # the solver puts an HLB that is all but met right on it: no change that anybody could weigh
        near = objective == "least change" and all(abs(a - x) <= ROUNDING for a, x in pairs)
        amounts = [x if near or abs(a - x) <= SAME else a for a, x in pairs]
        return tuple(m for m, _, _ in held), tuple(amounts)

    def _prices(self, held: Sequence[tuple[Counted, float, int]]) -> dict[str, float]:
        # per kg of active; what cannot move costs the same in every answer
        return {
            m.label: self.cost[m.key] * 100 / m.active_pct if m.movable else 0.0
            for m, _, _ in held
            if m.key in self.cost or not m.movable
        }

    def fewest(self) -> tuple[tuple[Counted, ...], tuple[float, ...]]:
        """The fewest emulsifiers change, and these as little as can be."""
        movable = [n for n, m in enumerate(self.held) if m.movable]
        for count in range(len(movable) + 1):
            best, found = math.inf, None
            for free in itertools.combinations(movable, count):
                rest = [n for n in movable if n not in free]
                try:
                    answer = self.solve("least change", fixed=rest)
                except HlbError:
                    continue
                far = math.fsum((a - b) ** 2 for a, b in zip(answer[1], self.start, strict=True))
                if far < best - 1e-12:
                    best, found = far, answer
            if found is not None:
                return found
        return self.solve("least change")  # raises with the reason

    def option(self, key: str, held: Sequence[Counted], amounts: Sequence[float], remark: str = "") -> Option:
        """An option as a row, with its whole formula."""
        formula: Formula | None = None
        try:
            formula = self._with(held, amounts)
        except HlbError as error:
            remark = str(error)
        blend, required = hlb_of(held, amounts), self.plain.required
        share = None
        if blend is not None and required is not None and self.plain.product.role != "none":
            share = share_in_window(required.estimate, blend.estimate, self.window)
        total = math.fsum(amounts)
        was = bought(self.old, active(self.old))
        new = bought(held, amounts)
        names = {m.key: m.label for m in (*held, *self.old)}
        changes = tuple(
            (names[k], was.get(k, 0.0), new.get(k, 0.0))
            for k in dict.fromkeys((*was, *new))
            if abs(was.get(k, 0.0) - new.get(k, 0.0)) > SAME
        )
        oil = required.mass if required is not None else 0.0
        return Option(
            key,
            formula,
            blend,
            share,
            self.inside(blend),
            total,
            100 * total / oil if oil > 0 else None,
            changes,
            self._cost(held, amounts),
            self._disturbs(held, amounts),
            remark,
        )

    def failed(self, key: str, error: HlbError) -> Option:
        """A row for what is not possible, with the reason."""
        return Option(key, None, remark=str(error))

    def _with(self, held: Sequence[Counted], amounts: Sequence[float]) -> Formula:
        """The plain formula with these emulsifiers; those that are not used go out."""
        made = self.plain.made
        added = [m.label for m in held if m not in self.held]
        wanted = {m.label: a for m, a in zip(held, amounts, strict=True) if m.label not in added}
        gone = {m.number for m in self.held if m.movable and wanted.get(m.label, 0.0) <= 0}
        moved = [m for m in self.held if m.movable and m.number not in gone and wanted[m.label] != m.active]
        made = made.with_pct({m.number: wanted[m.label] * 100 / m.active_pct for m in moved})
        last = max((m.number for m in self.held), default=len(made.lines) - 1)
        phase = made.lines[last].phase if self.held else "oil"
        extra = []
        for m, a in zip(held, amounts, strict=True):
            if m.label in added and a > 0:
                extra.append(Line(m.label, made.amount_text(a), phase=phase, counts="emulsifier"))
        lines = [x for n, x in enumerate(made.lines) if n not in gone and n <= last]
        lines += [*extra, *(x for n, x in enumerate(made.lines) if n > last)]
        return settled(replace(made, lines=tuple(lines)), self.before.made.total_pct, self.fill, self.library)

    def _cost(self, held: Sequence[Counted], amounts: Sequence[float]) -> float | None:
        if any(m.key not in self.cost for m, a in zip(held, amounts, strict=True) if a > 0):
            return None
        return math.fsum(
            a / m.active_pct * self.cost[m.key]
            for m, a in zip(held, amounts, strict=True)
            if a > 0 and m.active_pct > 0
        )

    def _disturbs(self, held: Sequence[Counted], amounts: Sequence[float]) -> tuple[str, ...]:
        was = [(m.ingredient, m.active) for m in self.old]
        new = [(m.ingredient, a) for m, a in zip(held, amounts, strict=True) if a > 0]
        said = []
        old_charges, charges = ({i.charge for i, _ in x if i and i.charge} for x in (was, new))
        if old_charges != charges:
            said.append(
                f"charge: {', '.join(sorted(old_charges)) or 'none'} to "
                f"{', '.join(sorted(charges)) or 'none'}"
            )
        for word, holds in (("solid", lambda i: i.is_solid), ("PEG-based", is_peg_based)):
            a, b = (math.fsum(x for i, x in side if i and holds(i)) for side in (was, new))
            if abs(a - b) > 0.005:
                said.append(f"{word} emulsifiers {a:.2f} to {b:.2f} %")
        doses = []
        views = (self.before, self.plain)
        for view, total in zip(views, (math.fsum(x for _, x in was), math.fsum(amounts)), strict=True):
            if view.required is None or view.product.role == "none":
                return tuple(said)
            try:
                doses.append(dose_finding(total, view.required.mass, view.product).title)
            except HlbError:
                return tuple(said)
        if doses[0] != doses[1]:
            said.append(f"{doses[0].lower()} before, {doses[1].lower()} now")
        return tuple(said)

    def usual_total(self) -> tuple[float, float]:
        """Totals from the present one to the usual dose; the present one where none is usual."""
        totals = [math.fsum(self.now), math.fsum(self.start)]
        if totals[0] <= 0:
            totals = [math.fsum(m.active for m in self.old)]
        fills = self.fill is None or self.plain.made.line_of(self.fill, self.library) is not None
        if self.plain.required is not None and fills:
            try:
                usual = usual_loading(self.plain.required.mass, self.plain.product)
            except HlbError:
                usual = None
            if usual and usual.low_pct is not None and usual.high_pct is not None:
                totals += [usual.low_pct, usual.high_pct]
        return min(totals), max(totals)
