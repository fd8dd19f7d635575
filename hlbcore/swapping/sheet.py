"""A swap as typed on one page, and what follows from it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from hlbcore._numbers import checked, read_amount, read_range
from hlbcore.blending.worked import Worked
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import Estimate
from hlbcore.ingredients import fold
from hlbcore.library import Library, load_library
from hlbcore.swapping.exchange import Exchange
from hlbcore.swapping.results import Swap, base_amounts
from hlbcore.swapping.swap import swap
from hlbcore.typed import Fields


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


def work_out_swap(worked: Worked, asked: SwapSheet) -> SwapOutcome:
    """The swap of a formula; its limits, prices, window, total and smallest amount hold.

    Parameters
    ----------
    worked : Worked
        The formula, worked out.
    asked : SwapSheet
        What was typed.

    Returns
    -------
    SwapOutcome
        The swap, or a sentence beside what cannot be used.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> asked = SwapSheet((SwapLine("shea butter", into=("mango butter",)),))
    >>> work_out_swap(work_out(example_formula()), asked).swap.exchanges[0].out
    'shea butter'
    """
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
    made = f.read(
        "swap",
        lambda: swap(
            worked,
            exchange=steps,
            wishes=asked.wishes,
            objective=asked.objective,
            dose=asked.dose,
            values=values,
        ),
    )
    return SwapOutcome(made, f.errors)


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


def swappable(worked: Worked) -> list[str]:
    """The lines of the base that can be swapped: everything with an amount, fats first.

    Parameters
    ----------
    worked : Worked
        Any formula, worked out.

    Returns
    -------
    list of str
        Names as written, without repeats.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> "water" in swappable(work_out(example_formula()))
    False
    """
    held = [x for x in worked.bought if x.line.portion is None and x.pct > 0 and fold(x.name)]
    fats = [x.name for x in held if x.is_fat]
    return list(dict.fromkeys([*fats, *(x.name for x in held if x.kind != "water")]))


def amounts_table(made: Swap, library: Library | None = None) -> pd.DataFrame:
    """Every ingredient of the base before and after a swap.

    Parameters
    ----------
    made : Swap
        Result of `swap`.

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
    old, new = (base_amounts(f, library) for f in (made.before, made.formula))
    names = {key: name for key, (name, _) in (*new.items(), *old.items())}
    rows = [
        (names[key], *(x[key][1] if key in x else 0.0 for x in (old, new)))
        for key in dict.fromkeys((*old, *new))
    ]
    return pd.DataFrame(rows, columns=["ingredient", "before", "after"])


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
