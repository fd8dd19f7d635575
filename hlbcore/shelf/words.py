"""What the page of the shelf says, in words."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from hlbcore.shelf.results import Screening
from hlbcore.shelf.sheet import ShelfOutcome


def headline(made: ShelfOutcome, *, whole_table: bool) -> str:
    """The answer in a line.

    Parameters
    ----------
    made : ShelfOutcome
        What follows.
    whole_table : bool
        Whether the tables were asked instead of the shelf.

    Returns
    -------
    str
        How many systems meet what is asked.
    """
    if made.screening is None:
        return "" if made.errors else "Nothing is on the shelf yet: tick what you have."
    found = made.screening
    where = "the tables" if whole_table else "your shelf"
    asked = f"HLB {found.asked.target.value:.1f} ± {found.asked.window:g}"
    if not found.possible:
        return f"No system of {where} meets {asked}."
    many = f"{found.possible:,} systems meet" if found.possible > 1 else "1 system meets"
    return f"From {where} {many} {asked}."


def system_words(amounts: Mapping[str, float]) -> str:
    """A system in a line. [% of formula]

    Examples
    --------
    >>> system_words({"sorbitan oleate": 2.1, "polysorbate 80": 2.9})
    '2.10 % sorbitan oleate + 2.90 % polysorbate 80'
    """
    return " + ".join(f"{pct:.2f} % {name}" for name, pct in amounts.items())


@lru_cache(4)  # the page shows one of the two, and picks from both
def listed(found: Screening, *, every: bool) -> list[dict[str, object]]:
    """The systems as the page lists them, each with its number in the order.

    Parameters
    ----------
    found : Screening
        A screen.
    every : bool
        The first hundred instead of the varied ones.

    Returns
    -------
    list of dict
        nr, system, hlb, pct, grams, cost (per kg of formula), families, why, amounts.
    """
    at = found.every[: found.top] if every else found.varied_at()
    table = found.rows(at)
    order = {n: nr for nr, n in enumerate(found.every.tolist(), start=1)}
    numbers = [order[n] for n in at.tolist()]
    return [
        {
            "nr": nr,
            "system": system_words(row["amounts"]),
            "hlb": row["hlb"],
            "pct": row["ratio_tolerance_pct"],
            "grams": row.get("ratio_tolerance_g"),
            "cost": row["cost"] / 100,
            "families": row["families"],
            "why": row["why"],
            "amounts": row["amounts"],
        }
        for nr, row in zip(numbers, table.to_dict("records"), strict=True)
    ]
