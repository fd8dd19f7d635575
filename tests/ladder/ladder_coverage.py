"""How well ladders are read: simulated ladders by shape, vials, kind of reading and noise.

    python tests/ladder/ladder_coverage.py [ladders a cell] [file] [noises] [vials] [kinds] [seed]

The optimum lies anywhere from HLB 8 to 12, the ladder goes from 7 to 13. Noise is normal, its
standard deviation a share of what the true response spans over the ladder. Scores: 5 times the
response, rounded after the noise, cut at 0 and 5. Layers: what is missing to four fifths of the
response, cut at 0, less is better. 7 + 5: the second ladder is the one that the first proposes (where
that is all rungs again, five of them), with a level of its own (sd 15 % of the span) and a height of its
own (+-10 %); both are read together.

Ladders of single vials are weighed many at once by the functions of the fit itself; a few of each cell
are read by `fit_trials` too, and must agree. Each cell that is done is one line of the file: a run that
was stopped goes on where it was.

Columns: share of "clear optimum", of "two peaks", coverage of the interval where "clear optimum" is
said, its median half width [HLB], bias and root mean square error of the optimum [HLB] over all
ladders (the mean of the belief where none is said).
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import hlbcore as hlb
from hlbcore.ladder.curves import courses
from hlbcore.ladder.evidence import Block, believed, weighed
from hlbcore.ladder.fit import alike
from hlbcore.ladder.fit_courses import PROVISIONAL_BELOW, clear_ends, is_clear, is_single
from hlbcore.ladder.readings import read

Array = NDArray[np.float64]

FIRST, LAST = 7.0, 13.0
SEED = 8
NOISES = (0.05, 0.1, 0.2, 0.3)
VIALS = ("7", "5", "9", "7+5")
ALSO_READ_ONE_BY_ONE = 5  # ladders of each cell
KINDS = ("numbers", "scores", "layers")


def bell(away: Array, left: float, right: float) -> Array:
    return np.exp(-0.5 * (away / np.where(away < 0, left, right)) ** 2)


SHAPES: dict[str, Callable[[Array, float], Array]] = {
    "symmetric": lambda x, m: -((x - m) ** 2),
    "bell": lambda x, m: bell(x - m, 1.5, 1.5),
    "flat-topped": lambda x, m: np.exp(-(np.abs((x - m) / 2) ** 6)),
    "lopsided, slow rise": lambda x, m: bell(x - m, 2.6, 0.9),
    "lopsided, slow fall": lambda x, m: bell(x - m, 0.9, 2.6),
    "narrow": lambda x, m: bell(x - m, 0.8, 0.8),
    "two humps": lambda x, m: np.maximum(
        bell(x - m, 0.9, 0.9), 0.75 * bell(x - (m + 4 if m < 10 else m - 4), 0.9, 0.9)
    ),
    "rising": lambda x, m: x - FIRST,
    "decaying": lambda x, m: -np.exp(-(0.25 + 0.45 * (m - 8) / 4) * (x - FIRST)),
    "flat": lambda x, m: 0 * x,
}
"""True response by HLB and optimum, more is better; decaying is a layer that only shrinks."""

ONE_HUMP = tuple(SHAPES)[:6]
NO_HUMP = ("rising", "decaying", "flat")


@dataclass(frozen=True)
class Cell:
    """Shares [-] and figures [HLB] of the ladders of one cell."""

    ladders: int
    clear: float
    two_peaks: float
    covered: float
    half: float
    bias: float
    rmse: float


def read_as(kind: str, response: Array) -> list[float]:
    """Readings of a kind."""
    if kind == "scores":
        return [float(r) for r in np.clip(np.round(5 * response), 0, 5)]
    return (np.maximum(0.8 - response, 0) if kind == "layers" else response).tolist()


def second_rungs(fit: hlb.TrialFit) -> Array:
    """The five vials that follow."""
    rungs = np.array(fit.next_rungs)
    return rungs if len(rungs) == 5 else np.linspace(rungs[0], rungs[-1], 5)


def value(fit: hlb.TrialFit) -> float:
    """The optimum, or the mean of the belief where none is said."""
    if fit.optimum is not None:
        return fit.optimum
    return fit.computed[1] if fit.computed else float(np.mean(fit.hlb))


@dataclass(frozen=True)
class Said:
    """What one ladder says: the outcome, its ends and the optimum. [HLB]"""

    outcome: str
    low: float
    high: float
    value: float


def said(fit: hlb.TrialFit) -> Said:
    ends = (math.nan if e is None else e for e in (fit.low, fit.high))
    return Said(fit.outcome, *ends, value(fit))


class Bench:
    """True responses of one cell, and how they are read."""

    def __init__(self, shape: str, vials: str, noise: float, kind: str, rng: np.random.Generator) -> None:
        self.truth, self.flat = SHAPES[shape], shape == "flat"
        self.vials, self.noise, self.kind, self.rng = vials, noise, kind, rng
        first = int(vials.removesuffix(" twice").partition("+")[0])
        self.rungs = np.repeat(np.linspace(FIRST, LAST, first), 2 if vials.endswith("twice") else 1)
        self.scale = (0.0, 5.0) if kind == "scores" else None
        self.better = "lower" if kind == "layers" else "higher"

    def response(self, x: Array, optimum: float) -> Array:
        over = self.truth(np.linspace(FIRST, LAST, 7), optimum)
        least, span = float(over.min()), float(np.ptp(over)) or 1.0
        return (self.truth(x, optimum) - least) / span + (0.5 if self.flat else 0.0)

    def seen(self, x: Array, truth: Array) -> list[float]:
        """Readings: noise, then rounding and cutting."""
        return read_as(self.kind, truth + self.noise * self.rng.standard_normal(len(x)))

    def first(self, optimum: float) -> list[float]:
        return self.seen(self.rungs, self.response(self.rungs, optimum))

    def alone(self, seen: list[float]) -> hlb.TrialFit:
        return hlb.fit_trials(self.rungs.tolist(), seen, self.better, scale=self.scale)

    def with_second(self, seen: list[float], optimum: float) -> hlb.TrialFit:
        """The first ladder and the one that it proposes, read together."""
        again = second_rungs(self.alone(seen))
        level, height = 0.15 * self.rng.standard_normal(), 1 + self.rng.uniform(-0.1, 0.1)
        batch = height * self.response(again, optimum) + (level if self.kind == "numbers" else 0.0)
        both = [(self.rungs.tolist(), seen), (again.tolist(), self.seen(again, batch))]
        return hlb.fit_ladders(both, self.better, scale=self.scale)

    def many(self, seen: list[list[float]]) -> list[Said]:
        """Ladders of single vials, weighed at once; what precedes the courses one by one."""
        one = read(self.rungs.tolist(), seen[0], self.better, self.scale)
        turned = one.sign * np.array(seen)
        tried = courses(tuple(self.rungs.tolist()))
        step = 1.0 if self.kind == "scores" else 0.0
        block = Block(np.arange(len(self.rungs)), turned, one.weight, step / math.sqrt(12))
        found = believed(tried, weighed(tried, [block], tied=True))
        clear = is_clear(found, few=len(self.rungs) < PROVISIONAL_BELOW, steps=step > 0)
        result = []
        for n, row in enumerate(turned):
            best = 0.0 if self.better == "lower" else one.scale[1] if one.scale else math.inf
            mine = replace(one, values=row[:, None], limits=row[:, None] >= best, step=step, pass_fail=False)
            if alike(mine) is not None:
                result.append(Said("all alike", math.nan, math.nan, float(self.rungs.mean())))
                continue
            marginal = tried.marginal(found.mass[n] * tried.inside)
            mass = [(m, w) for m, w in zip(tried.places.tolist(), marginal.tolist(), strict=True) if w > 0]
            at = float(self.rungs[row.argmax()])
            low, optimum, high, _ = clear_ends(mass, self.rungs, at)
            if clear[n] and not is_single(row, float(found.flat_odds[n])):
                result.append(Said("clear optimum", low, high, optimum))
            else:
                mean = float(tried.places @ marginal)
                result.append(Said("none", math.nan, math.nan, mean))
        return result


def cell(
    shape: str,
    vials: str = "7",
    noise: float = 0.1,
    kind: str = "numbers",
    ladders: int = 500,
    spread: float | None = None,
    seed: int = SEED,
) -> Cell:
    """Many ladders of one kind; with a spread the optimum is normal round 10."""
    # the shape by its place: two of the names are alike in length
    place = list(SHAPES).index(shape)
    rng = np.random.default_rng([seed, place, len(vials), int(100 * noise), len(kind), int(vials[0])])
    bench = Bench(shape, vials, noise, kind, rng)
    optima = rng.uniform(8, 12, ladders) if spread is None else rng.normal(10, spread, ladders)
    first = [bench.first(m) for m in optima]
    if "+" in vials:
        told = [said(bench.with_second(seen, m)) for seen, m in zip(first, optima, strict=True)]
    elif vials.endswith("twice"):
        told = [said(bench.alone(seen)) for seen in first]
    else:
        told = [x for n in range(0, ladders, 25) for x in bench.many(first[n : n + 25])]
        for one, seen in zip(told[:ALSO_READ_ONE_BY_ONE], first, strict=False):
            check(one, said(bench.alone(seen)))
    clear = np.array([t.outcome == "clear optimum" for t in told])
    low, high, found = (np.array([getattr(t, name) for t in told]) for name in ("low", "high", "value"))
    covered = ((low <= optima) & (optima <= high))[clear]
    miss = found - optima
    return Cell(
        ladders,
        float(clear.mean()),
        float(np.mean([t.outcome == "two peaks" for t in told])),
        float(covered.mean()) if clear.any() else math.nan,
        float(np.median((high - low)[clear] / 2)) if clear.any() else math.nan,
        float(miss.mean()),
        math.sqrt(float((miss**2).mean())),
    )


def check(many: Said, alone: Said) -> None:
    """That a ladder weighed among others says what it says alone."""
    if (many.outcome == "clear optimum") != (alone.outcome == "clear optimum"):
        raise AssertionError(f"{many} among others, {alone} alone")
    if many.outcome == "clear optimum" and (many.low, many.high) != (alone.low, alone.high):
        raise AssertionError(f"{many} among others, {alone} alone")


FOUR = ("symmetric", "bell", "flat-topped", "lopsided, slow rise")
"""Shapes over which the error after 7 + 5 vials is averaged, the optimum normal round 10 with sd 1.1."""

Asked = tuple[str, str, float, str, int, float | None]
"""Shape, vials, noise, kind, ladders, spread of the optimum."""


def line(asked: Asked, c: Cell) -> str:
    shape, made, noise, kind, *_ = asked
    return (
        f"{kind:8s} {made:5s} {noise:5.2f} {shape:20s} {100 * c.clear:8.1f} {100 * c.two_peaks:12.1f} "
        f"{100 * c.covered:8.1f} {c.half:5.2f} {c.bias:+5.2f} {c.rmse:5.2f}"
    )


def summary(found: dict[str, Cell]) -> str:
    false = [100 * found[s].clear for s in NO_HUMP]
    power = {s: 100 * found[s].clear for s in ONE_HUMP}
    covered = {s: 100 * found[s].covered for s in (*ONE_HUMP, "two humps") if found[s].clear}
    half = {s: found[s].half for s in ONE_HUMP if found[s].clear}
    rare, low, wide = (
        min(power, key=power.__getitem__),
        min(covered, key=covered.__getitem__),
        max(half.values()),
    )
    return (
        f"  false clear pooled {np.mean(false):.1f} %, most {max(false):.1f}; clear of one hump least "
        f"{power[rare]:.0f} % ({rare}), mean {np.mean(list(power.values())):.0f}; coverage least "
        f"{covered[low]:.1f} % ({low}); widest median half {wide:.2f}"
    )


class Table:
    """Cells that are done, one a line of a file, so that a stop loses nothing."""

    def __init__(self, file: str, seed: int) -> None:
        self.file, self.seed = Path(file) if file else None, seed
        done = self.file.read_text().splitlines() if self.file and self.file.exists() else []
        self.cells = {json.dumps(x["asked"]): Cell(**x["cell"]) for x in map(json.loads, done)}

    def cell(self, *asked: object) -> Cell:
        key = json.dumps([*asked, self.seed])
        if key not in self.cells:
            self.cells[key] = cell(*asked, seed=self.seed)  # type: ignore[arg-type]
            if self.file:
                with self.file.open("a") as out:
                    row = {"asked": json.loads(key), "cell": asdict(self.cells[key])}
                    out.write(json.dumps(row) + "\n")
        return self.cells[key]


def main(
    ladders: str = "500",
    file: str = "",
    noises: str = "",
    vials: str = "",
    kinds: str = "",
    seed: str = str(SEED),
) -> None:
    count, table = int(ladders), Table(file, int(seed))
    chosen = [float(n) for n in noises.split(",")] if noises else list(NOISES)
    print("kind     vials noise shape                 clear %  two peaks %  cover %  half  bias  rmse")
    for made in vials.split(",") if vials else VIALS:
        for kind in kinds.split(",") if kinds else KINDS:
            for noise in chosen:
                found = {s: table.cell(s, made, noise, kind, count, None) for s in SHAPES}
                for shape, one in found.items():
                    print(line((shape, made, noise, kind, count, None), one))
                print(f"{summary(found)} ({kind}, {made}, {noise:.2f})", flush=True)
    for noise in (0.1, 0.2):
        errors = [table.cell(s, "7+5", noise, "numbers", count, 1.1).rmse for s in FOUR]
        rmse = math.sqrt(np.mean(np.square(errors)))
        print(
            f"7 + 5 vials, noise {noise:.2f}, four shapes: root mean square error {rmse:.3f} HLB", flush=True
        )


if __name__ == "__main__":
    main(*sys.argv[1:])
