"""What a screen found: ranked systems, as a table, a varied view, and pairs of several families."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import pandas as pd

from hlbcore.product_types import ProductType
from hlbcore.shelf.asked import Asked, Beside
from hlbcore.shelf.ranking import first, keys_of, why
from hlbcore.shelf.solving import Index, Solved

SCREEN_COLUMNS = {
    "amounts": "emulsifier to % of formula",
    "hlb": "HLB of the blend",
    "total": "all emulsifiers, % of formula",
    "cost": "sum of price × % of formula; blank where a price is missing",
    "ratio_tolerance_pct": "% of the blend by which one member may be over and another under, before "
    "the blend leaves the window",
    "families": "chemical families of the members, the lowest HLB first",
    "why": "why it stands where it does",
}
"""Columns of `screen` with unit or meaning."""

IN_GRAMS = "ratio_tolerance_g"
"""One more column where a batch is given: the same tolerance. [g of the batch]"""

VARIED_FIRST, SHARED_MOST = 10, 2
"""Of so many first systems of the varied view, so many may share two members. [-]"""


@dataclass(frozen=True, eq=False)
class Screening:
    """All that a screen found.

    Parameters
    ----------
    asked : Asked
        What was asked, as arrays.
    solved : Solved
        All systems that are possible.
    objective : str
        What they are ranked by; blank for the default order.
    product : ProductType
        For the default order.
    batch_g : float or None
        Batch for the tolerance in grams. [g]
    top : int
        Systems in `table`. [-]
    """

    asked: Asked
    solved: Solved
    objective: str
    product: ProductType
    batch_g: float | None = None
    top: int = 100

    @property
    def tried(self) -> int:
        """Systems that were solved. [-]"""
        return self.solved.tried

    @property
    def possible(self) -> int:
        """Systems that meet limits and window. [-]"""
        return len(self.solved)

    @property
    def ready(self) -> tuple[Beside, ...]:
        """Ready emulsifiers, which their supplier's rate judges."""
        return self.asked.shelf.ready

    @property
    def notes(self) -> tuple[str, ...]:
        """What was left out and why, and what stands in the way where nothing is possible."""
        found = list(self.asked.shelf.left_out)
        if self.solved.clashes:
            found.append(
                f"{self.solved.clashes:,} systems left out: anionic and cationic precipitate each other"
            )
        if self.ready:
            names = ", ".join(b.name for b in self.ready[:3]) + (", ..." if len(self.ready) > 3 else "")
            found.append(f"{names}: a system of its own by its supplier's rate; HLB does not judge it")
        if not self.possible:
            found.append(self._nothing())
        return tuple(found)

    def _nothing(self) -> str:
        a = self.asked
        count = len(a.hlb)
        if not count:
            return "No emulsifier is left that HLB may judge. Add nonionic ones, or exclude less."
        must = int(np.sum(a.lower > 0))
        if must > max(a.sizes):
            return (
                f"{must} emulsifiers have a lower limit and must all be used, more than {max(a.sizes)} in "
                "a system. Lower some limits to 0."
            )
        if a.lower.sum() > a.total[1]:
            return (
                f"The lower limits add to {a.lower.sum():g} %, more than the total of {a.total[1]:g} %. "
                "Lower them, or raise the total."
            )
        if a.min_share * min(a.sizes) > 1 or count < min(a.sizes):
            return "No system of that size is possible. Lower min_share, or add emulsifiers."
        low, high = float(a.hlb.min()), float(a.hlb.max())
        ends = a.edges
        if high < ends[0] or low > ends[1]:
            side = "above" if high < ends[0] else "below"
            return (
                f"HLB {a.target.value:.1f} ± {a.window:g} is out of reach: the shelf runs from {low:.1f} to "
                f"{high:.1f}. Add an emulsifier {side} it."
            )
        return "No system meets window, limits and least share together. Widen a limit, or lower min_share."

    def first(self, top: int) -> Index:
        """Positions of the first systems in `solved`."""
        return first(keys_of(self.solved, self.objective, self.product), self.possible, top)

    @cached_property
    def every(self) -> Index:
        """Positions of all systems in `solved`, best first."""
        return self.first(self.possible)

    @property
    def table(self) -> pd.DataFrame:
        """The first systems; columns as in `SCREEN_COLUMNS`."""
        return self.rows(self.first(self.top))

    def rows(self, at: Index) -> pd.DataFrame:
        """These systems as a table."""
        columns = [*SCREEN_COLUMNS, *([IN_GRAMS] if self.batch_g is not None else [])]
        rows = []
        costs = self.solved.cost(at).tolist()
        for n, cost in zip(at.tolist(), costs, strict=True):
            pct = self.tolerance_pct(n)
            row: list[object] = [
                self.amounts(n),
                float(self.solved.hlb[n]),
                float(self.solved.total[n]),
                cost,
                pct,
                self.families(n),
                why(self.solved, n, self.objective, self.product),
            ]
            if self.batch_g is not None:
                row.append(pct / 100 * float(self.solved.total[n]) / 100 * self.batch_g)
            rows.append(row)
        made = pd.DataFrame(rows, columns=columns)
        numbers = [c for c in columns if c not in ("amounts", "families", "why")]
        made = made.astype(dict.fromkeys(numbers, float))
        made.attrs["notes"] = self.notes
        return made

    def members(self, at: int) -> list[int]:
        """Positions of the members in the shelf, the lowest HLB first."""
        return sorted(self.solved.of(at), key=lambda m: (self.asked.hlb[m], m))

    def amounts(self, at: int) -> dict[str, float]:
        """Emulsifier to % of formula, the lowest HLB first."""
        share = dict(
            zip(self.solved.members[:, at].tolist(), self.solved.shares[:, at].tolist(), strict=True)
        )
        total = float(self.solved.total[at])
        return {self.asked.shelf.held[m].label: share[m] * total for m in self.members(at)}

    def families(self, at: int) -> str:
        """Families of the members, each once; blank where none is known."""
        found = (self.asked.shelf.held[m].ingredient for m in self.members(at))
        return " + ".join(dict.fromkeys(i.family for i in found if i is not None and i.family))

    def tolerance_pct(self, at: int) -> float:
        """How far a ratio may be off, each way, before the blend leaves the window. [% of the blend]"""
        figures = self.asked.hlb[self.solved.of(at)]
        gap = float(figures.max() - figures.min())
        left = self.asked.window - abs(float(self.solved.hlb[at]) - self.asked.target.value)
        return 100.0 if gap <= 0 or left >= gap else max(0.0, 100 * left / gap)

    def varied(self, top: int = VARIED_FIRST) -> pd.DataFrame:
        """The systems of `varied_at` as a table."""
        return self.rows(self.varied_at(top))

    def varied_at(self, top: int = VARIED_FIRST) -> Index:
        """The first systems of unlike families: one of each combination, few that share two members.

        Parameters
        ----------
        top : int
            Systems wanted. [-]

        Returns
        -------
        ndarray of int
            Positions in `solved`; at most one system of each combination of families, and at most
            two that share two members. [-]
        """
        families: set[str] = set()
        pairs: dict[frozenset[int], int] = {}
        taken: list[int] = []
        for n in self.every.tolist():
            members = self.members(n)
            kind = self.families(n) or " + ".join(str(m) for m in members)
            both = [frozenset((a, b)) for i, a in enumerate(members) for b in members[:i]]
            if kind in families or any(pairs.get(p, 0) >= SHARED_MOST for p in both):
                continue
            families.add(kind)
            for p in both:
                pairs[p] = pairs.get(p, 0) + 1
            taken.append(n)
            if len(taken) == top:
                break
        return np.array(taken, dtype=np.intp)

    def family_pairs(self, top: int = VARIED_FIRST) -> tuple[tuple[str, str], ...]:
        """The best pair of each two families that stands on both sides of the HLB asked.

        Parameters
        ----------
        top : int
            Pairs wanted. [-]

        Returns
        -------
        tuple of (str, str)
            Low and high emulsifier, as `family_ladder` takes them: the same HLB by several families.
        """
        target, found, families = self.asked.target.value, [], set()
        for n in self.every.tolist():
            members = self.members(n)
            hlbs = self.asked.hlb[members]
            if len(members) != 2 or not hlbs[0] < target < hlbs[1] or self.families(n) in families:
                continue
            families.add(self.families(n))
            low, high = (self.asked.shelf.held[m].label for m in members)
            found.append((low, high))
            if len(found) == top:
                break
        return tuple(found)
