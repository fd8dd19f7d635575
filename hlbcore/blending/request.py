"""One request to the blend solver: checked, in the order of the emulsifiers, and scaled."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from hlbcore._numbers import checked, checked_dose
from hlbcore.blending import programmes
from hlbcore.blending.candidates import Candidate
from hlbcore.blending.choice import openers
from hlbcore.blending.coverage import Coverage
from hlbcore.blending.problem import Array, Problem, alligation, restricted
from hlbcore.blending.slacks import Slack, elastic, reach
from hlbcore.errors import InvalidInput, UnreachableTarget, clipped
from hlbcore.estimate import Estimate
from hlbcore.ingredients import fold
from hlbcore.library import Library

FAR = 1e6  # times the highest total, from which a high end counts as no limit


def two_ends(pair: object, item: str, *, single_low: object = None) -> tuple[Any, Any]:
    """A low and a high end; one figure alone is the high end, with the low end given or equal."""
    if not isinstance(pair, tuple | list):
        return (pair if single_low is None else single_low), pair
    if len(pair) != 2:
        raise InvalidInput(
            item, f"{len(pair)} figures stand where two are wanted", "Give a low and a high end."
        )
    return pair[0], pair[1]


def total_ends(total: object, item: str = "total of the emulsifiers") -> tuple[float, float]:
    """Low and high end of all emulsifiers together, as every solver takes them. [% of formula]"""
    low, high = two_ends(total, item)
    names = ("", "") if low == high else (", low end", ", high end")
    ends = checked_dose(low, item + names[0]), checked_dose(high, item + names[1])
    if ends[0] > ends[1]:
        raise InvalidInput(
            item, f"the low end {ends[0]:g} lies above the high end {ends[1]:g}", "Swap the two."
        )
    return ends


@dataclass(frozen=True, slots=True)
class Group:
    """A limit on several emulsifiers together.

    Parameters
    ----------
    name : str
        ``"solids"``, ``"PEG-based"``, a chemical family, or a name of your own with members.
    high : float, optional
        Most of them together. [% of formula]
    low : float
        Least of them together. [% of formula]
    members : tuple of str
        The emulsifiers; blank for the groups that the tables know.

    Examples
    --------
    >>> Group("solids", high=2.0).high
    2.0
    """

    name: str
    high: float | None = None
    low: float = 0.0
    members: tuple[str, ...] = ()

    def holds(self, candidate: Candidate) -> bool:
        """Whether the emulsifier belongs to the group.

        Parameters
        ----------
        candidate : Candidate
            An emulsifier of the blend.

        Returns
        -------
        bool
            For solids, PEG-based and families as the tables say.
        """
        if self.members:
            return fold(candidate.label) in {fold(m) for m in self.members}
        i, word = candidate.ingredient, self.name.strip().casefold()
        if i is None:
            return False
        if word == "solids":
            return i.form == "solid"
        if word == "peg-based":
            return bool(i.peg_based)
        return word == i.family.casefold()


class Request:
    """Everything asked of the solver, checked, in the order of the candidates."""

    def __init__(
        self,
        held: tuple[Candidate, ...],
        wanted: Estimate,
        window: float,
        total: tuple[float, float],
        limits: Mapping[str, tuple[float, float]],
        groups: Sequence[Group],
        smallest: float,
        coverage: Coverage | None,
        library: Library,
    ) -> None:
        self.held, self.wanted, self.window, self.total = held, wanted, window, total
        self.groups, self.library = tuple(groups), library
        self.scale = total[1]
        self.index = {fold(c.label): n for n, c in enumerate(held)} | {c.id: n for n, c in enumerate(held)}
        self.lower = np.zeros(len(held))
        self.upper = np.full(len(held), np.inf)
        for name, pair in limits.items():
            at = self.at(name, "limits")
            item = f"limit of '{clipped(name)}'"
            low, high = two_ends(pair, item, single_low=0.0)
            low = checked(0.0 if low is None else low, f"{item}, low end", low=0, unit="%")
            high = math.inf if high is None else checked(high, f"{item}, high end", low=0, unit="%")
            if low > high:
                raise InvalidInput(
                    item, f"the low end {low:g} lies above the high end {high:g}", "Swap the two."
                )
            self.lower[at], self.upper[at] = low, high
        self.smallest = checked(smallest, "smallest amount", low=0, unit="%")
        rows, lows, highs, self.row_names = [], [], [], []
        for group in self.groups:
            if not isinstance(group, Group):
                raise InvalidInput(
                    f"group '{clipped(group)}'", "it is no Group", "Write Group(name, high=...)."
                )
            row = np.array([float(group.holds(c)) for c in held])
            if not row.any():
                raise InvalidInput(
                    f"group '{clipped(group.name)}'",
                    "none of the emulsifiers belongs to it",
                    "Use solids, PEG-based, a chemical family, or name its members.",
                )
            rows.append(row)
            lows.append(checked(group.low, f"group '{clipped(group.name)}', low end", low=0))
            top = (
                math.inf
                if group.high is None
                else checked(group.high, f"group '{clipped(group.name)}', high end", low=lows[-1])
            )
            highs.append(top)
            self.row_names.append(group.name)
        if coverage is not None:
            rows.append(coverage.row(tuple(c.label for c in held)) * self.scale)
            lows.append(1.0 * self.scale)  # scaled back with the others below
            highs.append(math.inf)
            self.row_names.append("coverage of the droplets")
        parts = [c.estimate for c in held]
        self.problem = Problem(
            np.array([p.value for p in parts]),
            np.array([p.low for p in parts]),
            np.array([p.high for p in parts]),
            self.lower / self.scale,
            _near(self.upper, self.scale) / self.scale,
            (total[0] / self.scale, 1.0),
            wanted.value,
            wanted.low,
            wanted.high,
            window,
            np.array(rows).reshape(len(rows), len(held)),
            np.array(lows) / self.scale,
            _near(np.array(highs), self.scale) / self.scale,
            self.smallest / self.scale,
        )

    def at(self, name: str, where: str) -> int:
        """Position of the emulsifier with that name."""
        key = fold(name)
        if key not in self.index:
            key = self.library.names.get(key, "")
        if key not in self.index:
            raise InvalidInput(
                f"{where}, '{clipped(name)}'",
                "it is not among the emulsifiers of this blend",
                "Add it to the emulsifiers, or delete it here.",
            )
        return self.index[key]

    def in_order(self, given: Mapping[str, float], where: str, blank: float) -> Array:
        """Figures given by name, in the order of the candidates."""
        values = np.full(len(self.held), blank)
        for name, value in given.items():
            values[self.at(name, where)] = checked(value, f"{where} of '{clipped(name)}'", low=0)
        return values

    def pair(self) -> Array | None:
        """The exact split of two emulsifiers at the least total; None where limits forbid it."""
        if len(self.held) != 2 or len(self.problem.rows) or self.smallest:
            return None
        a, b = (c.estimate.value for c in self.held)
        r = self.wanted.value
        if a == b or not min(a, b) <= r <= max(a, b):
            return None
        first, second = alligation(a, b, r)
        low, high = self.total
        for share, least, most in zip((first, second), self.lower.tolist(), self.upper.tolist(), strict=True):
            if share == 0:
                if least > 0:
                    return None
                continue
            low, high = max(low, least / share), min(high, most / share)
        return np.array([first * low, second * low]) if low <= high else None

    def solve(self, objective: str, cost: Array | None, start: Array | None) -> Array | None:
        """Amounts in % of the formula, or None where there are none."""
        if objective == "closest" and (x := self.pair()) is not None:
            return x
        p = self.problem
        used = None
        if objective == "fewest":
            used = programmes.used_least(p, None)
        elif p.smallest > 0 and objective in ("cheapest", "least total"):
            used = programmes.used_least(p, cost)
        elif p.smallest > 0 and objective != "least change":
            used = programmes.used_ratio(p, tolerant=objective == "most tolerant")
        if objective == "fewest" or (p.smallest > 0 and objective != "least change"):
            if used is None:
                return None
            p = restricted(p, used)
        if objective in ("closest", "fewest"):
            x = programmes.closest(p)
        elif objective == "most tolerant":
            x = programmes.most_tolerant(p)
        elif objective in ("cheapest", "least total"):
            assert cost is not None
            x = programmes.cheapest(p, cost)
        else:
            assert start is not None
            nearest = programmes.least_change_with_smallest if p.smallest > 0 else programmes.least_change
            x = nearest(p, start / self.scale)
        return None if x is None else programmes.polished(p, x) * self.scale

    def unreachable(self) -> UnreachableTarget:
        """What stands in the way, the smallest relaxation, and what would open the way."""
        ends = reach(self.problem)
        said = tuple(self.sentence(s) for s in elastic(self.problem))
        helping: tuple[str, ...] = ()
        r, w = self.wanted.value, self.window
        hlbs = self.problem.hlb.tolist()
        if not min(hlbs) - w <= r <= max(hlbs) + w:  # else a limit is in the way, not the HLB
            capped = [g for g in self.groups if g.high is not None]
            helping = openers(r, hlbs, self.library, allowed=lambda c: not any(g.holds(c) for g in capped))
        elif self.problem.smallest > 0 and not said:
            said = (f"use less than the smallest amount of {self.smallest:g} %",)
        return UnreachableTarget(r, ends, said, helping)

    def sentence(self, slack: Slack) -> str:
        """One slack as a sentence."""
        much = slack.amount * self.scale
        if slack.what == "window":
            return f"widen the window from ±{self.window:g} to ±{_up(self.window + slack.amount)}"
        if slack.what == "total":
            end = self.total[0 if slack.index < 0 else 1]
            word, to = ("lower", end - much) if slack.index < 0 else ("raise", end + much)
            return f"{word} the total from {end:g} to {_out(to, slack.index)} % of the formula"
        if slack.what == "row":
            return f"relax the limit on {self.row_names[slack.index]} by {_up(much)} %"
        label = self.held[slack.index].label
        if slack.what == "lower":
            end = float(self.lower[slack.index])
            return f"reduce the lower limit of {label} from {end:g} to {_out(end - much, -1)} %"
        end = float(self.upper[slack.index])
        return f"raise the upper limit of {label} from {end:g} to {_out(end + much, 1)} %"

    def binding(self, x: Array) -> tuple[str, ...]:
        """The limits that hold the result, in words."""
        near = 1e-7 * self.scale
        said: list[str] = []
        limits = zip(self.held, x.tolist(), self.lower.tolist(), self.upper.tolist(), strict=True)
        for c, amount, low, high in limits:
            if low > 0 and amount <= low + near:
                said.append(f"{c.label} at its lower limit {low:g} %")
            elif math.isfinite(high) and amount >= high - near:
                said.append(f"{c.label} at its upper limit {high:g} %")
            elif self.smallest > 0 and 0 < amount <= self.smallest + near:
                said.append(f"{c.label} at the smallest amount {self.smallest:g} %")
        total = float(x.sum())
        low, high = self.total
        if low < high and total <= low + near:
            said.append(f"total at its low end {low:g} %")
        elif low < high and total >= high - near:
            said.append(f"total at its high end {high:g} %")
        for name, row, low, high in zip(
            self.row_names, self.problem.rows, self.problem.row_low, self.problem.row_high, strict=True
        ):
            held = float(row @ x) / self.scale
            if (low > 0 and held <= low + 1e-7) or held >= high - 1e-7:
                said.append(f"limit on {name}")
        off = abs(float(self.problem.hlb @ (x / total)) - self.wanted.value)
        if off >= self.window - 1e-7 and off > 1e-7:
            said.append("blend at the edge of the window")
        return tuple(said)


def _near(ends: Array, scale: float) -> Array:
    """High ends so far above the total that HiGHS stops at them count as none."""
    return np.where(ends > FAR * scale, np.inf, ends)


def _up(value: float) -> str:
    return f"{math.ceil(value * 100 - 1e-6) / 100:g}"


def _out(value: float, sign: int) -> str:
    """Rounded to two decimals, away from what was asked, so that the change suffices."""
    rounded = math.ceil(value * 100 - 1e-6) if sign > 0 else math.floor(value * 100 + 1e-6)
    return f"{max(rounded, 0) / 100:g}"
