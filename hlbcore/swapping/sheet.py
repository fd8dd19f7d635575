"""A swap as typed on one page, what follows from it, and the sheet once it is accepted."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import pandas as pd

from hlbcore._numbers import checked, read_amount, read_range
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.estimate import Estimate
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library, load_library
from hlbcore.sheets.fields import Fields
from hlbcore.sheets.seen import see
from hlbcore.sheets.sheet import Outcome, Sheet
from hlbcore.sheets.sheet_formula import formula_of, sheet_of
from hlbcore.swapping._members import members
from hlbcore.swapping.exchange import Exchange
from hlbcore.swapping.results import Swap
from hlbcore.swapping.swap import swap


@dataclass(frozen=True, slots=True)
class SwapLine:
    """One thing that goes out, as typed.

    Parameters
    ----------
    out : str
        A line of the formula.
    amount : str
        How much goes out; blank means all. [% of formula]
    into : tuple of str
        What comes in; empty means nothing.
    parts : str
        Their parts, ``3, 1``; blank means equal parts; amounts where the mass is not kept.
        [parts, or % of formula]
    figure : str
        A figure of the user's own for the one thing that comes in: number or range. [HLB]
    """

    out: str
    amount: str = ""
    into: tuple[str, ...] = ()
    parts: str = ""
    figure: str = ""


@dataclass(frozen=True, slots=True)
class SwapSheet:
    """A swap as typed.

    Parameters
    ----------
    lines : tuple of SwapLine
        What goes out and comes in, all in one step.
    wishes : tuple of str
        Of the wishes that `propose` knows.
    objective, dose : str
        As `swap` takes them.
    keep_mass : bool
        Whether as much comes in as goes out.
    """

    lines: tuple[SwapLine, ...] = ()
    wishes: tuple[str, ...] = ()
    objective: str = "least change"
    dose: str = "keep"
    keep_mass: bool = True


@dataclass(frozen=True, slots=True)
class SwapOutcome:
    """What follows from a swap as typed.

    Parameters
    ----------
    swap : Swap or None
        The result; None where something has to be mended first, or nothing was asked.
    errors : mapping of str to str
        A sentence for each field that cannot be used: ``"swap 0"``, or ``"swap"`` for the whole.
    """

    swap: Swap | None
    errors: Mapping[str, str]


def work_out_swap(outcome: Outcome, asked: SwapSheet, library: Library | None = None) -> SwapOutcome:
    """The swap of a worked sheet; its limits, prices, window, total and smallest amount hold.

    Parameters
    ----------
    outcome : Outcome
        The worked sheet.
    asked : SwapSheet
        What was typed.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    SwapOutcome
        The swap, or a sentence beside what cannot be used.

    Examples
    --------
    >>> from hlbcore import example_sheet, work_out
    >>> asked = SwapSheet((SwapLine("shea butter", into=("mango butter",)),))
    >>> work_out_swap(work_out(example_sheet()), asked).swap.exchanges[0].out
    'shea butter'
    """
    library = library or load_library()
    f = Fields()
    steps: list[Exchange] = []
    values: dict[str, float | str | Estimate] = {}
    for n, line in enumerate(asked.lines):
        if not line.out.strip():
            continue
        step = f.read(f"swap {n}", lambda x=line: _exchange(x, asked.keep_mass))  # type: ignore[misc]
        if step is not None:
            steps.append(step)
        figure = f.read(f"swap {n}", lambda x=line: _figure(x))  # type: ignore[misc]
        if figure is not None:
            values[line.into[0]] = figure
    if f.errors or not (steps or asked.wishes):
        return SwapOutcome(None, f.errors)
    sheet = outcome.sheet
    prices = {}
    for n, e in enumerate(sheet.emulsifiers):
        if e.price.strip() and f"emulsifier {n} price" not in outcome.errors:
            prices[e.name] = checked(e.price, f"'{clipped(e.name)}', price", low=0)
    window = None if "window" in outcome.errors else checked(sheet.window, "window", low=0)
    smallest = 0.0
    if sheet.smallest.strip() and "smallest" not in outcome.errors:
        smallest = checked(sheet.smallest, "smallest amount", low=0, unit="%")
    formula = formula_of(outcome).formula
    try:
        made = swap(
            formula,
            exchange=steps,
            wishes=asked.wishes,
            objective=asked.objective,
            dose=asked.dose,
            values=values,
            window=window,
            total=_total(outcome, formula, library),
            limits=outcome.limits,
            smallest=smallest,
            cost=prices,
            library=library,
        )
    except HlbError as error:
        f.errors["swap"] = str(error)
        return SwapOutcome(None, f.errors)
    return SwapOutcome(made, f.errors)


def _total(outcome: Outcome, formula: Formula, library: Library) -> tuple[float, float] | None:
    """The total that was asked for, widened to the present one; None where none can be used."""
    low, high = outcome.total
    if "total" in outcome.errors or low <= 0:
        return None
    now = math.fsum(m.active for m in members(formula, library)) or low
    return min(low, now), max(high, now)


def _exchange(line: SwapLine, keep_mass: bool) -> Exchange:
    item = f"'{clipped(line.out)}', amount that goes out"
    pct = None
    if line.amount.strip():
        pct = checked(read_amount(line.amount, item).number, item, above=0, high=100, unit="%")
    names = [n for n in line.into if n.strip()]
    pieces = [p for p in line.parts.replace(";", " ").split() if p.strip(",")]
    parts = [read_amount(p.rstrip(","), "parts").number for p in pieces]
    if parts and len(parts) != len(names):
        raise InvalidInput(
            f"parts for '{clipped(line.out)}'",
            f"{len(parts)} for {len(names)} that come in",
            "Give one for each, parted by spaces, for example: 3 1.",
        )
    if names and not parts and not keep_mass:
        raise InvalidInput(
            f"what comes in for '{clipped(line.out)}'",
            "how much comes in is not said",
            "Give its % of the formula, or keep the mass.",
        )
    return Exchange(line.out, tuple(zip(names, parts or [1.0] * len(names), strict=True)), pct, keep_mass)


def _figure(line: SwapLine) -> float | Estimate | None:
    if not line.figure.strip():
        return None
    item = f"own figure for what comes in for '{clipped(line.out)}'"
    if len(line.into) != 1:
        raise InvalidInput(item, "it belongs to one thing that comes in", "Keep the others as own values.")
    low, high = read_range(line.figure, item, "HLB")
    return low if low == high else Estimate((low + high) / 2, low, high)


def sheet_after(outcome: Outcome, formula: Formula, library: Library | None = None) -> Sheet:
    """The sheet of an accepted swap: its amounts, and the aims, limits and prices typed before.

    Parameters
    ----------
    outcome : Outcome
        The worked sheet that the swap began with.
    formula : Formula
        The accepted formula. [% of formula]
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Sheet
        Its emulsifiers are in use, not solved anew.

    Examples
    --------
    >>> from hlbcore import example_sheet, work_out
    >>> start = work_out(example_sheet())
    >>> asked = SwapSheet((SwapLine("shea butter", into=("mango butter",)),))
    >>> after = sheet_after(start, work_out_swap(start, asked).swap.formula)
    >>> after.batch == start.sheet.batch, "mango butter" in [x.name for x in after.lines]
    (True, True)
    """
    old, new = outcome.sheet, sheet_of(formula, library)
    before = {fold(x.name): x.own for x in formula_of(outcome).formula.lines}
    after = {fold(x.name): x.own for x in formula.lines}
    typed = {fold(x.name): x.own for x in old.lines}
    lines = tuple(
        # a reading or a kind that was chosen stays as it was chosen
        replace(x, own=typed[fold(x.name)])
        if fold(x.name) in typed and before.get(fold(x.name)) == after.get(fold(x.name))
        else x
        for x in new.lines
    )
    known = {fold(e.name): e for e in old.emulsifiers}
    held = tuple(
        replace(known[fold(e.name)], now=e.now, hlb=e.hlb) if fold(e.name) in known else e
        for e in new.emulsifiers
    )
    return replace(
        new,
        lines=lines,
        emulsifiers=held,
        facts=old.facts,
        total=old.total,
        window=old.window,
        batch=old.batch,
        scale=old.scale,
        smallest=old.smallest,
        count_fragrance=old.count_fragrance,
        ionics=old.ionics,
    )


def swappable(formula: Formula, library: Library | None = None) -> list[str]:
    """The lines of the base that can be swapped: everything with an amount, fats first.

    Parameters
    ----------
    formula : Formula
        Any formula.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    list of str
        Names as written, without repeats.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> "water" in swappable(example_formula())
    False
    """
    library = library or load_library()
    seen = {x.name: see(x, library) for x in formula.base if x.pct > 0 and fold(x.name)}
    fats = [n for n, s in seen.items() if s.is_fat]
    return list(dict.fromkeys([*fats, *(n for n, s in seen.items() if _of_use(s.ingredient))]))


def _of_use(ingredient: Ingredient | None) -> bool:
    return ingredient is None or ingredient.kind != "water"


def amounts_table(made: Swap, library: Library | None = None) -> pd.DataFrame:
    """Every ingredient of the base before and after a swap.

    Parameters
    ----------
    made : Swap
        Result of `swap`.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    DataFrame
        Columns ingredient, before, after; in the order of the lines. [% of formula]

    Examples
    --------
    >>> from hlbcore import example_formula, swap
    >>> r = swap(example_formula(), out="cocoa butter", into="mango butter")
    >>> list(amounts_table(r).columns)
    ['ingredient', 'before', 'after']
    """
    library = library or load_library()
    rows: dict[str, list[float]] = {}
    names: dict[str, str] = {}
    for column, formula in enumerate((made.before, made.formula)):
        for line in formula.base:
            key = library.key(line.name)
            names.setdefault(key, line.name)
            rows.setdefault(key, [0.0, 0.0])[column] += line.pct
    return pd.DataFrame(
        [(names[k], *pair) for k, pair in rows.items()], columns=["ingredient", "before", "after"]
    )


def span_text(low: float, high: float) -> str:
    """A range as it is printed.

    Parameters
    ----------
    low, high : float
        Its ends; NaN where they are not known. [HLB]

    Returns
    -------
    str
        Blank where it is not known.

    Examples
    --------
    >>> span_text(7.6, 8.61)
    '7.6 to 8.6'
    """
    return "" if math.isnan(low) or math.isnan(high) else f"{low:.1f} to {high:.1f}"
