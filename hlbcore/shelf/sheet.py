"""The shelf as asked on one page: which systems, for what, and what one emulsifier more would open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from hlbcore._numbers import checked, read_range
from hlbcore.blending.solution import dose_of, limits_of, prices_of
from hlbcore.blending.worked import Worked
from hlbcore.counting.required import RequiredHlb
from hlbcore.estimate import HLB_MAX, Estimate, as_estimate
from hlbcore.formula.formula import Formula
from hlbcore.shelf.buying import Buying, buying
from hlbcore.shelf.results import Screening
from hlbcore.shelf.screening import screened
from hlbcore.shelf.stock import Stock
from hlbcore.typed import Fields

USUAL_TARGET = 10.0
"""HLB asked where no oil phase stands there and none is typed: the middle of the axis. [HLB]
Our convention."""


@dataclass(frozen=True, slots=True)
class ShelfSheet:
    """What is asked of the shelf, as typed.

    Parameters
    ----------
    target, total, window : str
        Blank: as the open formula has it. [HLB, % of formula, HLB]
    most : int
        Emulsifiers of one system at most. [-]
    objective : str
        As `screen` takes it; blank: the default order.
    exclude : tuple of str
        As `screen` takes it.
    whole_table : bool
        Whether all emulsifiers of the tables are taken instead of the shelf.
    """

    target: str = ""
    total: str = ""
    window: str = ""
    most: int = 3
    objective: str = ""
    exclude: tuple[str, ...] = ()
    whole_table: bool = False


@dataclass(frozen=True, slots=True)
class ShelfOutcome:
    """What follows.

    Parameters
    ----------
    screening : Screening or None
        The systems; None where something has to be mended, or the shelf is empty.
    buying : Buying or None
        What one emulsifier more would open.
    target : float or None
        HLB asked. [HLB]
    total : tuple of float
        All emulsifiers. [% of formula]
    errors : mapping of str to str
        A sentence for each field that cannot be used.
    prices : mapping of str to float
        Of the shelf and of the open formula. [price unit/kg]
    """

    screening: Screening | None
    buying: Buying | None
    target: float | None
    total: tuple[float, float]
    errors: Mapping[str, str]
    prices: Mapping[str, float]


def work_out_shelf(
    worked: Worked, stock: Stock, asked: ShelfSheet, others: Mapping[str, Formula | Worked] | None = None
) -> ShelfOutcome:
    """The systems of a shelf for the open formula, and what to buy.

    Parameters
    ----------
    worked : Worked
        The open formula: its required HLB, dose, window, batch and limits hold where none are typed.
    stock : Stock
        The shelf.
    asked : ShelfSheet
        What was typed.
    others : mapping of str to Formula or Worked, optional
        Kept formulas that the shelf shall reach too.

    Returns
    -------
    ShelfOutcome
        Ranked systems, and what one emulsifier more would open.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> from hlbcore.shelf.packs import StockItem
    >>> held = Stock((StockItem("sorbitan oleate"), StockItem("polysorbate 80")))
    >>> made = work_out_shelf(work_out(example_formula()), held, ShelfSheet())
    >>> list(made.screening.table["amounts"][0])
    ['sorbitan oleate', 'polysorbate 80']
    """
    library, f = worked.library, Fields()
    here = stock.emulsifiers(library)
    target: RequiredHlb | Estimate | None = worked.required
    if asked.target.strip():
        target = f.read("target", lambda: as_estimate(asked.target, "HLB asked"))
    elif target is None:
        target = Estimate.exactly(USUAL_TARGET)
    usual = dose_of(worked.formula, worked.required, worked.product) or (5.0, 5.0)
    total = usual
    if asked.total.strip():
        total = f.read("total", lambda: read_range(asked.total, "dose", "%")) or usual
    window = worked.window
    if asked.window.strip():
        half = f.read("window", lambda: checked(asked.window, "window", low=0, high=HLB_MAX, unit="HLB"))
        window = worked.window if half is None else half
    prices = {**prices_of([x for x in worked.base_lines if x.is_emulsifier]), **stock.prices(library)}
    prices = {library.key(n): p for n, p in prices.items()}
    whole = [i.common_name for i in library.emulsifiers if i.hlb is not None and i.hlb_judges]
    names = whole if asked.whole_table else list(here)
    on = {library.key(n) for n in names}
    typed = [x for x in worked.base_lines if x.is_emulsifier and x.key in on and not x.is_part]
    limits = {x.key: pair for x in typed for pair in limits_of([x]).values() if pair[1] > 0}
    found: Screening | None = None
    if names and target is not None and not f.errors:
        found = f.read(
            "screen",
            lambda: screened(
                names,
                target,
                total=total,
                window=window,
                sizes=tuple(range(1, asked.most + 1)),
                objective=asked.objective or None,
                cost={n: p for n, p in prices.items() if n in on},
                limits={n: (0.0, high) for n, (_, high) in limits.items()},
                exclude=asked.exclude,
                batch_g=worked.formula.aims.batch.value,
                product=worked.product,
                library=library,
            ),
        )
    bought: Buying | None = None
    if here and target is not None and not f.errors:
        wanted = {"the HLB asked": target, **(others or {})}
        bought = f.read(
            "buy",
            lambda: buying(
                here, wanted, total=total, window=window, exclude=asked.exclude, cost=prices, library=library
            ),
        )
    return ShelfOutcome(found, bought, None if target is None else target.value, total, f.errors, prices)
