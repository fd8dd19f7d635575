"""The next vials: one proposal, planned from what was read, and how often so many vials answer."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hlbcore.estimate import HLB_MAX
from hlbcore.ladder.curves import Array, Courses

NEXT_VIALS = 5
"""Vials of a proposed ladder. [-] Our convention."""

BEYOND_RUNGS = 3
"""A ladder is extended by so many rungs beyond its end. [-] Our convention."""

LIKELY = 120
"""Courses that a plan rests on, the likeliest. [-] Our convention."""

LEVEL_DOUBT = 0.5
"""How far the level of another batch may lie off, as a share of the height: one standard
deviation. [-] Our convention."""

ANSWERS = {
    # share of ladders with one hump that say "clear optimum", by vials and scatter
    "5": {0.05: 0.55, 0.10: 0.45, 0.20: 0.30, 0.30: 0.20},
    "7": {0.05: 0.80, 0.10: 0.75, 0.20: 0.50, 0.30: 0.30},
    "9": {0.05: 0.85, 0.10: 0.80, 0.20: 0.60, 0.30: 0.35},
    "5 twice": {0.05: 0.85, 0.10: 0.80, 0.20: 0.65, 0.30: 0.45},
    "7 twice": {0.05: 0.90, 0.10: 0.85, 0.20: 0.70, 0.30: 0.50},
    "9 twice": {0.05: 0.90, 0.10: 0.85, 0.20: 0.75, 0.30: 0.60},
}
"""How often a ladder answers. [-] Simulated, 500 ladders of each shape, 100 where made twice: printed by
``tests/ladder/ladder_answers.py``."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """Vials that would tell most.

    Parameters
    ----------
    kind : str
        "flanks", "beyond", "narrow", "again" or "round".
    low, high : float
        Ends. [HLB]
    steps : int
        Vials without duplicates, evenly stepped. [-]
    duplicates : int
        How many of them are made twice. [-]
    """

    kind: str
    low: float
    high: float
    steps: int
    duplicates: int = 0

    @property
    def rungs(self) -> tuple[float, ...]:
        """HLB of the vials, duplicates once. [HLB]"""
        return tuple(dict.fromkeys(round(float(h), 1) for h in np.linspace(self.low, self.high, self.steps)))

    @property
    def words(self) -> str:
        """What is made, in words."""
        span = f"HLB {self.low:.1f} to {self.high:.1f}"
        return {
            "flanks": f"{self.steps} vials on the flanks, {span}",
            "beyond": f"{self.steps} vials beyond the end, {span}",
            "narrow": f"{self.steps} finer vials round the good one, {span}",
            "again": f"the same {self.steps} vials twice each, {span}",
            "round": f"{self.steps} vials, {span}",
        }[self.kind]


def _within(low: float, high: float) -> tuple[float, float]:
    return round(max(low, 0.0), 1), round(min(high, HLB_MAX), 1)


def beyond(first: float, last: float, rung: float, *, upper: bool, sure: bool = True) -> Proposal:
    """Vials beyond an end, with rungs again so that both ladders can be joined.

    Where the top may as well lie inside, most of them stand there and one beyond.
    """
    out, back = (BEYOND_RUNGS, 1) if sure else (1, BEYOND_RUNGS)
    low, high = (
        (last - back * rung, last + out * rung) if upper else (first - out * rung, first + back * rung)
    )
    return Proposal("beyond", *_within(low, high), out + back + 1)


def narrow(best: float, rung: float) -> Proposal:
    """Finer vials round one good vial."""
    return Proposal("narrow", *_within(best - rung, best + rung), NEXT_VIALS)


def again(first: float, last: float, steps: int) -> Proposal:
    """Every rung twice, where scatter hides the optimum."""
    return Proposal("again", *_within(first, last), steps, steps)


def around(middle: float, rung: float) -> Proposal:
    """Vials round the best so far."""
    return Proposal("round", *_within(middle - 3 * rung, middle + 3 * rung), 7)


def flanks(held: Courses, mass: Array, middle: float, rung: float, scatter: float) -> Proposal:
    """Where five even vials would narrow the optimum most.

    Notes
    -----
    Among half widths from one to four rungs: the least variance of the top that is left, from the
    covariance of top and height of each vial over the believed courses (a linear update). The new
    batch has a level of its own.
    """
    likely = np.argpartition(mass, -LIKELY)[-LIKELY:]
    w = mass[likely] / mass[likely].sum()
    tried = [
        Proposal("flanks", *_within(middle - half, middle + half), NEXT_VIALS)
        for half in np.arange(1.0, 4.01, 0.5) * rung
    ]
    at = np.array([np.linspace(p.low, p.high, NEXT_VIALS) for p in tried])
    heights = held.drawn(likely, at.ravel()).reshape(len(likely), *at.shape)
    heights = heights - np.tensordot(w, heights, 1)
    heights = heights.swapaxes(0, 1)  # plans, courses, vials
    spread = (w[:, None] * heights).swapaxes(1, 2) @ heights
    spread += scatter**2 * np.eye(NEXT_VIALS) + LEVEL_DOUBT**2
    cross = (w * held.top[likely]) @ heights
    told = (cross * np.linalg.solve(spread, cross[..., None])[..., 0]).sum(axis=1)
    return tried[int(told.argmax())]


def answers(vials: str, scatter: float) -> float:
    """How often so many vials answer at such a scatter, between the cells of `ANSWERS`. [-]"""
    cells = ANSWERS[vials]
    return float(np.interp(scatter, list(cells), list(cells.values())))


def answers_in_words(vials: int, twice: int = 0, scatter: float | None = None) -> str:
    """How often such a ladder answers, in a sentence.

    Parameters
    ----------
    vials : int
        Different HLB values. [-]
    twice : int
        How many of them are made twice. [-]
    scatter : float, optional
        Scatter that was seen, as a share of the height; left out: 10, 20 and 30 %. [-]

    Returns
    -------
    str
        From simulated ladders with one hump inside.

    Examples
    --------
    >>> answers_in_words(7).startswith("Of simulated ladders with one hump, 7 single vials")
    True
    """
    listed = [n for n in (5, 7, 9) if n <= max(vials, 5)]
    key = (
        f"{listed[-1]} twice" if twice >= vials / 2 and f"{listed[-1]} twice" in ANSWERS else str(listed[-1])
    )
    made = f"{listed[-1]} vials twice each" if key.endswith("twice") else f"{listed[-1]} single vials"
    if scatter is not None:
        share = answers(key, min(max(scatter, 0.05), 0.3))
        at = (
            "5 % or less"
            if scatter <= 0.05
            else "30 % or more"
            if scatter >= 0.3
            else f"{100 * scatter:.0f} %"
        )
        return (
            f"Of simulated ladders with one hump, {made} answered in about {_tens(share)} of 100 at a "
            f"scatter of {at} of the height."
        )
    usual, much, most = (_tens(answers(key, noise)) for noise in (0.10, 0.20, 0.30))
    often = "seldom" if most <= SELDOM else "about"
    twice_all = "" if key.endswith("twice") else "; so much scatter asks for every vial twice"
    return (
        f"Of simulated ladders with one hump, {made} answered in about {usual} of 100 at a scatter of 10 % "
        f"of the height, {much} at 20 % and {often} ({most}) at 30 %{twice_all}."
    )


SELDOM = 35
"""Ladders of 100 that answer, up to which it is called seldom. [-] Our convention."""


def _tens(share: float) -> int:
    return 5 * round(20 * share) if math.isfinite(share) else 0
