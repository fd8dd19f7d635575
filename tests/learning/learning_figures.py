"""How well bench ladders are learned from: truths drawn from the tables' doubt, simulated ladders.

    python tests/learning/learning_figures.py [worlds a cell]

Each world draws the required HLB of twelve oils of the tables from the prior (value, variance of the
range, a quarter of it shared by root), the effects of two pairs (sd 0.5 or none) and a departure from
adding up for each phase of two to five oils (sd 0, 0.3 or 1.0, all phases alike, unlike what the model
takes for a phase that is nearly one oil). A ladder reads the optimum of a phase with a pair with an sd
of 0.35. Foretold are 12 phases that were not laddered, each with one of the two pairs, and the phases
of the ladders.

Methods: the tables alone; one oil at a time worked back from the ladder that holds most of it, the
others as in the tables; least squares on the oils with the tables as prior, blind to pairs and
departures; `hlb.learn`.

Columns: root mean square error of a new phase [HLB] by each method and, in brackets, as a ratio to the
tables; error of a laddered phase; share of the 95 % intervals that hold the truth, new and laddered;
departures as estimated.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

import hlbcore as hlb
from hlbcore.learning.bench_result import BenchResult
from hlbcore.learning.learn import learn
from hlbcore.learning.prior import Prior, start_of
from hlbcore.learning.solving import DEPARTURE_FACTOR, DEPARTURE_SD, likeness

Array = NDArray[np.float64]

OILS = (
    "sunflower oil",
    "shea butter",
    "jojoba oil",
    "cocoa butter",
    "castor oil",
    "isopropyl myristate",
    "mineral oil",
    "beeswax",
    "cetyl alcohol",
    "coconut oil",
    "squalane",
    "avocado oil",
)
PAIRS = (("sorbitan stearate", "polysorbate 60"), ("sorbitan oleate", "polysorbate 80"))
COUNTS = (0, 1, 2, 3, 5, 10, 20, 30)
READ_SD = 0.35
NEW = 12
CELLS: tuple[tuple[float, float | str], ...] = (
    (0.0, 0.0),
    (0.0, 0.3),
    (0.0, 1.0),
    (0.5, 0.0),
    (0.5, 0.3),
    (0.5, 1.0),
    (0.5, "model"),
)
SEED = 23


@dataclass
class World:
    """One drawn truth: phases with pair and true optimum."""

    shares: Array
    pairs: list[int]
    optima: Array


def world(
    rng: np.random.Generator, prior: Prior, phases: int, pair_sd: float, departure: float | str
) -> World:
    """Draw oils, pairs, phases and their departures."""
    truth = prior.mean + np.sqrt(prior.own) * rng.normal(size=len(prior.mean))
    truth = truth + prior.loadings @ rng.normal(size=len(prior.roots))
    effects = pair_sd * rng.normal(size=len(PAIRS))
    shares = np.zeros((phases, len(OILS)))
    for row in shares:
        n = int(rng.integers(2, 6))
        row[rng.choice(len(OILS), n, replace=False)] = rng.dirichlet(np.full(n, 2.0))
    pairs = [int(p) for p in rng.integers(len(PAIRS), size=phases)]
    if isinstance(departure, str):
        size = DEPARTURE_SD * DEPARTURE_FACTOR ** rng.normal()
        alike = likeness(shares, shares) + 1e-9 * np.eye(phases)
        departs = size * np.linalg.cholesky(alike) @ rng.normal(size=phases)
    else:
        departs = departure * rng.normal(size=phases)
    return World(shares, pairs, shares @ truth + effects[pairs] + departs)


def named(shares: Array) -> dict[str, float]:
    return {n: float(s) for n, s in zip(OILS, shares, strict=True) if s > 0}


def one_at_a_time(prior: Prior, phases: list[Array], read: list[float]) -> Array:
    """Each oil worked back from the ladder that holds most of it, the others as in the tables."""
    value = prior.mean.copy()
    for oil in range(len(OILS)):
        held = [n for n, s in enumerate(phases) if s[oil] >= 0.3]
        if held:
            best = max(held, key=lambda n: phases[n][oil])
            rest = float(phases[best] @ prior.mean - phases[best][oil] * prior.mean[oil])
            value[oil] = (read[best] - rest) / phases[best][oil]
    return np.clip(value, 0.0, 40.0)


def blind(prior: Prior, phases: list[Array], read: list[float]) -> Array:
    """The tables as prior, each ladder as a sum of its oils and nothing else."""
    if not phases:
        return prior.mean
    shares, cov = np.array(phases), prior.between(np.eye(len(OILS)), np.eye(len(OILS)))
    k = shares @ cov @ shares.T + READ_SD**2 * np.eye(len(phases))
    return np.asarray(prior.mean + cov @ shares.T @ np.linalg.solve(k, np.array(read) - shares @ prior.mean))


@dataclass
class Cell:
    """Errors of one kind of world and one number of ladders."""

    new: dict[str, list[float]] = field(default_factory=dict)
    laddered: list[float] = field(default_factory=list)
    held_new: list[bool] = field(default_factory=list)
    held_laddered: list[bool] = field(default_factory=list)
    departures: list[float] = field(default_factory=list)

    def error(self, method: str) -> float:
        return float(np.sqrt(np.mean(np.square(self.new[method]))))

    def ratio(self, method: str = "learn") -> float:
        return self.error(method) / self.error("tables")

    @property
    def laddered_error(self) -> float:
        return float(np.sqrt(np.mean(np.square(self.laddered)))) if self.laddered else float("nan")


def start() -> Prior:
    library = hlb.load_library()
    return Prior.of([start_of(library.oil(n), "o/w", library) for n in OILS])


def measure(worlds: int, ladders: int, pair_sd: float, departure: float | str, seed: int = SEED) -> Cell:
    """Errors and coverage over many worlds."""
    cell, prior, rng = Cell(), start(), np.random.default_rng(seed)
    for _ in range(worlds):
        drawn = world(rng, prior, ladders + NEW, pair_sd, departure)
        read = list(drawn.optima[:ladders] + READ_SD * rng.normal(size=ladders))
        half = 1.96 * READ_SD
        results = [
            BenchResult(named(s), PAIRS[p], y, max(y - half, 0.0), y + half)
            for s, p, y in zip(drawn.shares, drawn.pairs, read, strict=False)
        ]
        learned = learn(results)
        cell.departures.append(learned.departure_sd)
        shares = list(drawn.shares[:ladders])
        fixed = {
            "tables": prior.mean,
            "one at a time": one_at_a_time(prior, shares, read),
            "blind": blind(prior, shares, read),
        }
        for n, (s, p, t) in enumerate(zip(drawn.shares, drawn.pairs, drawn.optima, strict=True)):
            held = np.flatnonzero(s)
            value, sd = learned.foretold([prior.starts[i] for i in held], s[held], PAIRS[p])
            inside = abs(value - t) <= 1.96 * sd
            if n < ladders:
                cell.laddered.append(value - t)
                cell.held_laddered.append(inside)
                continue
            cell.new.setdefault("learn", []).append(value - t)
            cell.held_new.append(inside)
            for method, figures in fixed.items():
                cell.new.setdefault(method, []).append(float(s @ figures) - t)
    return cell


def main(worlds: int) -> None:
    print(
        "pairs, departures, ladders | tables | one at a time | blind | learn | laddered"
        " | held new, laddered | departs"
    )
    for pair_sd, departure in CELLS:
        for ladders in COUNTS:
            c = measure(worlds, ladders, pair_sd, departure)
            told = [f"{c.error('tables'):.2f}"]
            told += [f"{c.error(m):.2f} ({c.ratio(m):.2f})" for m in ("one at a time", "blind", "learn")]
            laddered = f"{100 * np.mean(c.held_laddered):.0f} %" if c.held_laddered else "-"
            print(
                f"{pair_sd:.1f}, {departure}, {ladders:2d} | {' | '.join(told)} | {c.laddered_error:.2f} | "
                f"{100 * np.mean(c.held_new):.0f} %, {laddered} | {np.mean(c.departures):.2f}"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
