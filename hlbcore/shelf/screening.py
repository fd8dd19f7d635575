"""Every single, pair and triple of a shelf, solved and ranked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from hlbcore._numbers import checked, checked_word
from hlbcore.blending.candidates import Emulsifiers
from hlbcore.blending.request import Group
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import InvalidInput
from hlbcore.estimate import Estimate
from hlbcore.library import Library, load_library
from hlbcore.limits import SYSTEMS_MOST
from hlbcore.product_types import ProductType, product_type
from hlbcore.shelf.asked import asked_of
from hlbcore.shelf.results import Screening
from hlbcore.shelf.solving import OBJECTIVES, solve_all


def screened(
    emulsifiers: Emulsifiers,
    target: float | str | Estimate | RequiredHlb,
    *,
    total: float | str | tuple[float, float] = 5.0,
    window: float = 1.0,
    sizes: int | Sequence[int] = (1, 2, 3),
    min_share: float = 0.1,
    objective: str | None = None,
    cost: Mapping[str, float] | None = None,
    top: int = 100,
    limits: Mapping[str, tuple[float, float]] | None = None,
    groups: Sequence[Group] = (),
    exclude: str | Sequence[str] = (),
    batch_g: float | str | None = None,
    product: str | ProductType = "o/w cream",
    library: Library | None = None,
) -> Screening:
    """All that `screen` finds, with what it left out and the ready emulsifiers beside; see there."""
    library = library or load_library()
    kind = product_type(product)
    word = checked_word(objective, OBJECTIVES, "objective") if objective else ""
    if int(checked(top, "top", low=1, high=SYSTEMS_MOST)) != top:
        raise InvalidInput("top", f"{top} is no whole number", "Give how many systems to list.")
    asked = asked_of(
        emulsifiers,
        target,
        total=total,
        window=window,
        sizes=sizes,
        min_share=min_share,
        limits=limits or {},
        groups=groups,
        exclude=[exclude] if isinstance(exclude, str) else exclude,
        cost=cost or {},
        library=library,
    )
    if word == "cheapest" and len(asked.hlb) and np.isnan(asked.price).all():
        raise InvalidInput(
            "price",
            "none is given, and a missing price is not 0",
            "Give cost={name: price per kg}, or ask for another objective.",
        )
    batch = None if batch_g is None else checked(batch_g, "batch", low=0, unit="g")
    return Screening(asked, solve_all(asked, word or "closest"), word, kind, batch, int(top))


def screen(
    emulsifiers: Emulsifiers,
    target: float | str | Estimate | RequiredHlb,
    *,
    total: float | str | tuple[float, float] = 5.0,
    window: float = 1.0,
    sizes: int | Sequence[int] = (1, 2, 3),
    min_share: float = 0.1,
    objective: str | None = None,
    cost: Mapping[str, float] | None = None,
    top: int = 100,
    limits: Mapping[str, tuple[float, float]] | None = None,
    groups: Sequence[Group] = (),
    exclude: str | Sequence[str] = (),
    batch_g: float | str | None = None,
    product: str | ProductType = "o/w cream",
    library: Library | None = None,
) -> pd.DataFrame:
    """Every single, pair and triple of a shelf that meets a target HLB, best first.

    Parameters
    ----------
    emulsifiers : sequence of names or Ingredients, or mapping of label to HLB
        The shelf. [HLB]
    target : float, Estimate or RequiredHlb
        HLB wanted. [HLB, 0 to 40]
    total : float or tuple of float
        All emulsifiers together, a number or a low and a high end. [% of formula]
    window : float
        Half width of the window. [HLB]
    sizes : int or sequence of int
        Emulsifiers of one system. [-, 1 to 3]
    min_share : float
        Least share of each member in the blend. [-, 0 to 1]
    objective : str, optional
        ``closest``, ``most tolerant``, ``cheapest`` or ``least total``: solved and ranked by it
        alone. If left out, the nearest HLB in the order in which the tool would choose.
    cost : mapping of str to float, optional
        Price of each emulsifier. [price unit/kg]
    top : int
        Systems to list. [-]
    limits : mapping of str to tuple of float, optional
        Low and high limit; a low limit above 0 means must be used. [% of formula]
    groups : sequence of Group
        Limits on solids, PEG-based emulsifiers, families, or members of your own.
    exclude : str or sequence of str
        ``PEG-based``, ``solids``, a family, or ``palm`` (only what is named so; of all others the
        origin is unknown).
    batch_g : float, optional
        Batch, for the tolerance in grams in a further column ``ratio_tolerance_g``. [g]
    product : str or ProductType
        Product type, for the default order.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    DataFrame
        Columns as in `SCREEN_COLUMNS`: amounts (dict, % of formula), hlb [HLB], total [% of
        formula], cost [price × % of formula], ratio_tolerance_pct [% of the blend], families, why.
        No row where nothing is possible; ``.attrs["notes"]`` says what stands in the way and what
        was left out: ready emulsifiers, which their supplier's rate judges, exclusions, and anionic
        with cationic.

    Raises
    ------
    EmptyPhase
        For an empty shelf.
    UnknownIngredient, MissingValue
        For a name that is no emulsifier of the tables, or has no figure.
    InvalidInput
        For numbers that cannot be used, limits that contradict each other, and more than
        1,500,000 systems.

    Notes
    -----
    At a given total T the best shares are two closed steps: fill the members in order of cost up to
    T; where that HLB lies outside the window, the best one lies on its nearer edge, on the segment
    along (h2 - h3, h3 - h1, h1 - h2) cut by the limits, since least cost is convex in the HLB. A
    member with a smaller share than 1e-9 makes a system a copy of a smaller one, which is left out.
    A system without one of its prices stands last. Ties fall to the nearest HLB, the narrowest range
    and the ids.

    Examples
    --------
    >>> table = screen({"a": 4.0, "b": 12.0, "c": 16.0}, 10.0, objective="cheapest",
    ...                cost={"a": 5, "b": 9, "c": 8}, sizes=2)
    >>> table["amounts"][0], float(table["cost"][0])
    ({'a': 2.917, 'c': 2.083}, 31.25)
    """
    return screened(
        emulsifiers,
        target,
        total=total,
        window=window,
        sizes=sizes,
        min_share=min_share,
        objective=objective,
        cost=cost,
        top=top,
        limits=limits,
        groups=groups,
        exclude=exclude,
        batch_g=batch_g,
        product=product,
        library=library,
    ).table
