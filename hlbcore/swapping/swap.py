"""Swap an ingredient and rebalance the emulsifiers with the least change."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from hlbcore._numbers import checked, checked_word
from hlbcore.blending.dose import dose_finding
from hlbcore.blending.request import Group, total_ends
from hlbcore.checks import check
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.findings import Finding, changes, worst_first
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Line
from hlbcore.library import Library, load_library
from hlbcore.product_types import PRACTICE
from hlbcore.sheets.seen import see
from hlbcore.swapping._members import Member, blend_of, members, solid_pct
from hlbcore.swapping.exchange import Exchange, Exchanged, Into, Out, exchanged, exchanges
from hlbcore.swapping.proposals import propose
from hlbcore.swapping.rebalance import Bench, base_view, settled
from hlbcore.swapping.results import FOLLOWS, NO_CHANGE, Option, Swap, window_sentence
from hlbcore.swapping.shifts import fat_findings, shifts
from hlbcore.swapping.substitutes import origin_notes, shut_out
from hlbcore.swapping.ways import OBJECTIVES, choices_of

DOSES = ("keep", "follow")
"""Whether the dose stays, or keeps its share of the oil phase."""


def swap(
    formula: Formula,
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
    smallest: float = 0.0,
    cost: Mapping[str, float] | None = None,
    shelf: Sequence[str] | None = None,
    near: Formula | None = None,
    library: Library | None = None,
) -> Swap:
    """A formula with one ingredient swapped for another, its emulsifiers rebalanced.

    Parameters
    ----------
    formula : Formula
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
        For a line that is not there, more than is there, an ingredient swapped for itself, and
        numbers and words that cannot be used.
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
    >>> r.old_target.value, r.new_target.value, r.chosen
    (7.0, 7.6, 'no change')
    """
    library = library or load_library()
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
        for p in propose(formula, wished, shelf=shelf, library=library):
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
    if not steps:
        raise InvalidInput(
            "swap", "nothing goes out", "Name a line of the formula, or a wish that concerns one."
        )
    gone = exchanged(formula, steps, values or {}, library)
    plain = settled(gone.formula, formula.total_pct, fill, library)
    bench = _bench(formula, plain, near, window, total, limits, groups, smallest, cost, fill, library)
    choices, chosen = choices_of(bench, objective, dose, gone, wished, shelf)
    option = next(o for o in choices if o.key == chosen)
    assert option.formula is not None
    after = option.formula
    share = choices[0].share
    required = (bench.old_view.required, bench.view.required)
    prices = dict(bench.cost)
    return Swap(
        formula,
        after,
        chosen,
        objective,
        tuple(steps),
        choices,
        *required,
        blend_of(bench.old, [m.active for m in bench.old]),
        share,
        bench.window,
        bench.view.product.role,
        _answer(bench, choices, chosen, objective),
        shifts(formula, after, required, prices, library),
        worst_first([*gone.findings, *_findings(bench, choices, option, objective, gone)]),
        changes(check(formula, library=library), check(after, library=library)),
    )


def _bench(
    before: Formula,
    plain: Formula,
    near: Formula | None,
    window: float | None,
    total: float | str | tuple[float, float] | None,
    limits: Mapping[str, tuple[float, float]] | None,
    groups: Sequence[Group],
    smallest: float,
    cost: Mapping[str, float] | None,
    fill: str | None,
    library: Library,
) -> Bench:
    view, held = base_view(plain, library), members(plain, library)
    half = view.product.window
    if window is not None:
        half = checked(window, "window", low=0, high=HLB_MAX, unit="HLB")
    start = [m.active for m in held]
    if near is not None:
        was: dict[str, float] = {}
        for m in members(near, library):
            was[m.key] = was.get(m.key, 0.0) + m.active
        alone = [sum(n.key == m.key for n in held) == 1 for m in held]
        start = [
            was.get(m.key, x) if one and m.movable else x
            for m, x, one in zip(held, start, alone, strict=True)
        ]
    prices = {library.key(n): checked(v, f"price of '{clipped(n)}'", low=0) for n, v in (cost or {}).items()}
    bench = Bench(
        before,
        plain,
        view,
        base_view(before, library),
        held,
        members(before, library),
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
    return replace(bench, total=bench.usual_total() if total is None else total_ends(total))


def _limits(
    limits: Mapping[str, tuple[float, float]] | None, held: Sequence[Member], library: Library
) -> dict[str, tuple[float, float]]:
    known = {m.key for m in held}
    for name in limits or {}:
        if library.key(name) not in known and library.key(name) not in library.ingredients:
            raise InvalidInput(
                f"limit of '{clipped(name)}'",
                "it is not among the emulsifiers",
                "Mend the spelling, or delete it.",
            )
    return dict(limits or {})


def _answer(bench: Bench, choices: Sequence[Option], chosen: str, objective: str) -> str:
    """The first answer: whether the emulsifiers may stay."""
    first, required, kind = choices[0], bench.view.required, bench.view.product
    if kind.role == "none":
        return f"HLB has no say here: {kind.reason} {kind.decides}"
    if required is None:
        return f"The new required HLB cannot be computed: {bench.view.reason}"
    if required.soap > 0:
        return "A soap forms in this formula: there is no HLB verdict, the bench trial decides."
    if not bench.held:
        return "There are no emulsifiers left: take one of the options, or name others."
    if first.blend is None:
        return (
            "There is no HLB verdict: an emulsifier has no figure. Go by the supplier's rate and oil limit."
        )
    held = window_sentence(first.share or 0.0, first.blend.estimate, required.estimate, bench.window)
    if kind.role == "secondary":
        return f"The emulsifiers may stay: here the rinse test decides, not the window. Beside it: {held}."
    if first.inside:
        said = f"The emulsifiers still sit in the new window: {held}. No change is the least change"
        if chosen == NO_CHANGE:
            same = bench.view.required == bench.old_view.required
            return said + ("." if same else "; the texture is the thing to look at.")
        return f"{said}; asked for {objective}: see the option {chosen}."
    if chosen == NO_CHANGE:
        return (
            f"The emulsifiers no longer sit in the window: {held}. None of the ways asked for "
            "leads back: see what could be added."
        )
    option = next(o for o in choices if o.key == chosen)
    return f"The emulsifiers no longer sit in the window: {held}. {chosen}: {option.change_text}."


def _findings(
    bench: Bench, choices: Sequence[Option], option: Option, objective: str, gone: Exchanged
) -> list[Finding]:
    assert option.formula is not None
    found = fat_findings(
        bench.before,
        option.formula,
        _fats(((x, pct) for x, pct in gone.went), bench.library),
        _fats(((x, x.pct) for x in gone.came), bench.library),
        bench.library,
    )
    asked = next((o for o in choices if o.key == objective), None)
    if asked is not None and asked.formula is None:
        found.append(
            Finding(
                "caution",
                f"Not possible with these emulsifiers: {objective}",
                asked.remark,
                rule="all limits, the window and the total are kept",
                mend="Take an option that adds one, relax a limit, or name another substitute.",
            )
        )
    solids = [
        solid_pct(bench.old, [m.active for m in bench.old]),
        solid_pct(m := members(option.formula, bench.library), [x.active for x in m]),
    ]
    if solids[1] < solids[0] - 0.1:
        found.append(
            Finding(
                "caution",
                "It may come out thinner",
                "Emulsifiers that are sold as solids thicken the product, and there are fewer now.",
                f"solid emulsifiers {solids[0]:.2f} to {solids[1]:.2f} % of the formula",
                PRACTICE,
                "Make 50 g and judge after a day or two; a fatty alcohol thickens.",
            )
        )
    if any(o.key == FOLLOWS and o.formula is not None for o in choices) and option.key != FOLLOWS:
        offer = next(o for o in choices if o.key == FOLLOWS)
        found.append(
            Finding(
                "note",
                "The dose can follow the oil phase",
                f"The oil phase changed. {offer.remark[0].upper()}{offer.remark[1:]}.",
                f"{offer.total_pct:.3g} % of the formula",
                PRACTICE,
                f"Take the option '{FOLLOWS}'.",
            )
        )
    if bench.view.required is not None and bench.governs and option.total_pct > 0:
        found.append(dose_finding(option.total_pct, bench.view.required.mass, bench.view.product))
    for line in gone.came:
        s = see(line, bench.library)
        if s.ingredient is not None and (note := origin_notes(s.ingredient)):
            found.append(
                Finding(
                    "caution",
                    f"{line.name}: {note}",
                    "It comes in with the swap.",
                    rule="notes of the tables",
                    mend="Name it clearly; ask the supplier, and a qualified safety assessor.",
                )
            )
    return found


def _fats(lines: Iterable[tuple[Line, float]], library: Library) -> dict[str, float]:
    """What of these lines stands in the fat phase. [% of formula]"""
    found: dict[str, float] = {}
    for line, pct in lines:
        s = see(line, library)
        if s.is_fat and not s.is_emulsifier and pct > 0:
            found[line.name] = found.get(line.name, 0.0) + pct
    return found
