"""Swap an ingredient and rebalance the emulsifiers with the least change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from hlbcore._numbers import checked, checked_word
from hlbcore.blending.request import Group, total_ends
from hlbcore.blending.solution import limits_of
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.checks import check
from hlbcore.counting.counted import Counted
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.findings import changes, worst_first
from hlbcore.formula.formula import Formula
from hlbcore.library import Library
from hlbcore.swapping.exchange import Exchange, Into, Out, exchanged, exchanges
from hlbcore.swapping.proposals import propose
from hlbcore.swapping.rebalance import Rebalance, settled
from hlbcore.swapping.results import NO_CHANGE, Swap
from hlbcore.swapping.shifts import shifts
from hlbcore.swapping.substitutes import shut_out
from hlbcore.swapping.ways import OBJECTIVES, choices_of
from hlbcore.swapping.words import answer, swap_findings

DOSES = ("keep", "follow")
"""Whether the dose stays, or keeps its share of the oil phase."""


def swap(
    formula: Formula | Worked,
    out: Out | None = None,
    into: Into = None,
    *,
    exchange: Sequence[Exchange] = (),
    wishes: str | Sequence[str] = (),
    objective: str = "least change",
    keep_mass: bool = True,
    fill: str | None = "water",
    dose: str = "keep",
    values: Mapping[str, float | str | Estimate] | None = None,
    window: float | None = None,
    total: float | str | tuple[float, float] | None = None,
    limits: Mapping[str, tuple[float, float]] | None = None,
    groups: Sequence[Group] = (),
    smallest: float | None = None,
    cost: Mapping[str, float] | None = None,
    shelf: Sequence[str] | None = None,
    near: Formula | None = None,
    library: Library | None = None,
) -> Swap:
    """A formula with one ingredient swapped for another, its emulsifiers rebalanced.

    Parameters
    ----------
    formula : Formula or Worked
        As it is; only its base is changed.
    out : str, sequence of str, or mapping of str to float, optional
        What goes out: all of it, or so much. [% of formula]
    into : str, sequence of str, or mapping of str to float, optional
        What comes in, alone or by parts, for example ``{"mango butter": 3, "shea butter": 1}``;
        nothing if left out. With `keep_mass` off, its amounts. [parts, or % of formula]
    exchange : sequence of Exchange
        Several swaps in one step, oils and emulsifiers alike; beside `out` and `into`.
    wishes : str or sequence of str
        Of `WISHES`; lines that they shut out and that no exchange names are swapped for the first
        substitute, and no option brings one back.
    objective : str
        ``least change``, ``fewest changes``, ``keep total`` or ``cheapest``.
    keep_mass : bool
        Whether as much comes in as goes out.
    fill : str or None
        The line that takes what is left over or missing; None rescales every line.
    dose : str
        ``keep``, or ``follow``: the emulsifiers keep their share of the oil phase. It is offered
        as an option in either case.
    values : mapping of str to float, str or Estimate, optional
        Figures of the user's own for what comes in: required HLB of an oil, HLB of an emulsifier.
        A new grade or lot is swapped for itself with a figure here. [HLB]
    window : float, optional
        Half width; that of the product type if left out. [HLB]
    total : float or tuple of float, optional
        All emulsifiers, active part; if left out, from the present total to the usual dose.
        [% of formula]
    limits : mapping of str to tuple of float, optional
        Low and high limit of emulsifiers, active part. [% of formula]
    groups : sequence of Group
        Limits on several emulsifiers together.
    smallest : float
        If used, an emulsifier takes at least this much. [% of formula]
    cost : mapping of str to float, optional
        Prices of any lines. [price unit/kg]
    shelf : sequence of str, optional
        Emulsifiers at hand that may be added; those of the tables that fit best if left out.
    near : Formula, optional
        A formula whose emulsifiers to stay near to, for example the one before a swap that is
        taken back.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Swap
        With `formula`, `options`, `old_blend_share`, `shifts` and findings. Where the emulsifiers
        still sit in the new window, no change is the least change.

    Raises
    ------
    InvalidInput
        For something that comes in for nothing, a line that is not there, more than is there, an
        ingredient swapped for itself, and numbers and words that cannot be used.
    UnknownIngredient
        For something unknown without a figure in `values`.

    Notes
    -----
    ``least change`` is the nearest point of the polytope of `solve_blend`, in squares of % of
    formula. Where no amounts meet the window, the emulsifiers stay as they are and a finding says
    what stands in the way.

    Examples
    --------
    >>> from hlbcore import Line
    >>> f = Formula("Body butter", "o/w cream", (
    ...     Line("soybean oil", 10, phase="oil"), Line("cocoa butter", 7.5, phase="oil"),
    ...     Line("mango butter", 7.5, phase="oil"), Line("sorbitan oleate", 4.5, phase="oil"),
    ...     Line("polysorbate 80", 1.5, phase="oil"), Line("water", 69, phase="water")))
    >>> r = swap(f, out="cocoa butter", into="mango butter")
    >>> round(r.old_target.value, 1), round(r.new_target.value, 1), r.chosen
    (6.6, 7.2, 'no change')
    """
    worked = work_out(formula, library)
    library = worked.library
    objective = checked_word(objective, OBJECTIVES, "objective")
    dose = checked_word(dose, DOSES, "dose")
    steps = list(exchange)
    if out is not None:
        steps += exchanges(out, into, keep_mass=keep_mass)
    elif into is not None:
        raise InvalidInput("what goes out", "nothing is named", "Name a line of the formula.")
    wished = (wishes,) if isinstance(wishes, str) else tuple(wishes)
    if wished:
        named = {library.key(e.out) for e in steps}
        for p in propose(worked, wished, shelf=shelf, library=library):
            if library.key(p.line) not in named:
                steps.append(p.exchange)
        barred = shut_out(wished)
        for name in dict.fromkeys(n for e in steps for n, _ in e.into):
            held = library.ingredients.get(library.key(name))
            if held is not None and barred(held):
                raise InvalidInput(
                    f"'{clipped(name)}'",
                    f"'{', '.join(wished)}' shuts it out",
                    "Name another one, or drop the wish.",
                )
    gone = exchanged(worked, steps, values or {})
    plain = work_out(settled(gone.formula, worked.made.total_pct, fill, library), library)
    bench = _bench(worked, plain, near, window, total, limits, groups, smallest, cost, fill)
    if steps:
        choices, chosen = choices_of(bench, objective, dose, gone, wished, shelf)
    else:  # nothing goes out: the formula comes back as it is
        choices, chosen = (bench.option(NO_CHANGE, bench.held, bench.now),), NO_CHANGE
    option = next(o for o in choices if o.key == chosen)
    assert option.formula is not None
    after = work_out(option.formula, library)
    required = (worked.required, plain.required)
    return Swap(
        worked.made,
        option.formula,
        chosen,
        objective,
        tuple(steps),
        choices,
        *required,
        worked.blend,
        choices[0].share,
        bench.window,
        plain.product.role,
        answer(bench, choices, chosen, objective),
        shifts(worked, after, required, dict(bench.cost), library),
        worst_first([*gone.findings, *swap_findings(bench, choices, option, after, objective, gone)]),
        changes(check(worked), check(after)),
    )


def _bench(
    before: Worked,
    plain: Worked,
    near: Formula | None,
    window: float | None,
    total: float | str | tuple[float, float] | None,
    limits: Mapping[str, tuple[float, float]] | None,
    groups: Sequence[Group],
    smallest: float | None,
    cost: Mapping[str, float] | None,
    fill: str | None,
) -> Rebalance:
    """All that binds the emulsifiers; what is not given here holds as the formula's aims say."""
    library, held, aims = plain.library, plain.emulsifiers, before.formula.aims
    half = plain.window
    if window is not None:
        half = checked(window, "window", low=0, high=HLB_MAX, unit="HLB")
    start = [x.active for x in held]
    if near is not None:
        was: dict[str, float] = {}
        for x in work_out(near, library).emulsifiers:
            was[x.key] = was.get(x.key, 0.0) + x.active
        alone = [sum(y.key == x.key for y in held) == 1 for x in held]
        start = [
            was.get(x.key, now) if one and x.movable else now
            for x, now, one in zip(held, start, alone, strict=True)
        ]
    prices = {
        x.key: x.line.price.value
        for x in plain.base_lines
        if x.line.price.value is not None and not x.is_part
    }
    prices |= {library.key(n): checked(v, f"price of '{clipped(n)}'", low=0) for n, v in (cost or {}).items()}
    if smallest is None:
        smallest = aims.smallest.value or 0.0
    bench = Rebalance(
        before,
        plain,
        tuple(start),
        (0.0, 0.0),
        half,
        _limits(limits, held, library),
        groups,
        checked(smallest, "smallest amount", low=0, unit="%"),
        prices,
        fill,
        library,
    )
    if total is not None:
        return replace(bench, total=total_ends(total))
    if aims.dose.value is None:
        return replace(bench, total=bench.usual_total())
    # what was asked for, widened to the present total
    low, high = before.dose_asked
    now = before.emulsifier_pct or low
    return replace(bench, total=(min(low, now), max(high, now)))


def _limits(
    limits: Mapping[str, tuple[float, float]] | None, held: Sequence[Counted], library: Library
) -> dict[str, tuple[float, float]]:
    """Limits of active parts by name: those given, else those typed in the lines."""
    if limits is None:
        return limits_of(held)
    known = {x.key for x in held}
    for name in limits:
        if library.key(name) not in known and library.key(name) not in library.ingredients:
            raise InvalidInput(
                f"limit of '{clipped(name)}'",
                "it is not among the emulsifiers",
                "Mend the spelling, or delete it.",
            )
    return dict(limits)
