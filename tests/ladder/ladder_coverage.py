"""How well ladders are read: simulated ladders by shape, vials, kind of reading and noise.

    python tests/ladder/ladder_coverage.py [ladders a cell] [noises] [vials] [kinds] [processes]

The optimum lies anywhere from HLB 8 to 12, the ladder goes from 7 to 13. Noise is normal, its
standard deviation a share of what the true response spans over the ladder. Scores: 5 times the
response, rounded after the noise, cut at 0 and 5. Layers: what is missing to four fifths of the
response, cut at 0, less is better. 7 + 5: the second ladder is the one that the first proposes (where
that is all rungs again, five of them), with a level of its own (sd 15 % of the span) and a height of its
own (+-10 %); both are read together.

Columns: share of "clear optimum", of "two peaks", coverage of the interval where "clear optimum" is
said, its median half width [HLB], bias and root mean square error of the optimum [HLB] over all
ladders (the mean of the belief where none is said).
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

import hlbcore as hlb

Array = NDArray[np.float64]

FIRST, LAST = 7.0, 13.0
SEED = 8
NOISES = (0.05, 0.1, 0.2, 0.3)
VIALS = ("7", "5", "9", "7+5")
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


def read_as(kind: str, response: Array) -> tuple[list[float], str]:
    """Readings of a kind, and which of them are better."""
    if kind == "scores":
        return np.clip(np.round(5 * response), 0, 5).tolist(), "higher"
    if kind == "layers":
        return np.maximum(0.8 - response, 0).tolist(), "lower"
    return response.tolist(), "higher"


def second_rungs(fit: hlb.TrialFit) -> Array:
    """The five vials that follow."""
    rungs = np.array(fit.next_rungs)
    return rungs if len(rungs) == 5 else np.linspace(rungs[0], rungs[-1], 5)


def value(fit: hlb.TrialFit) -> float:
    """The optimum, or the mean of the belief where none is said."""
    if fit.optimum is not None:
        return fit.optimum
    return fit.computed[1] if fit.computed else float(np.mean(fit.hlb))


def one(
    shape: str, vials: str, noise: float, kind: str, rng: np.random.Generator, optimum: float
) -> hlb.TrialFit:
    """One simulated ladder as it is read."""
    first, _, more = vials.removesuffix(" twice").partition("+")
    truth, over = SHAPES[shape], np.linspace(FIRST, LAST, 7)
    least, span = float(truth(over, optimum).min()), float(np.ptp(truth(over, optimum))) or 1.0

    def response(x: Array) -> Array:
        return (truth(x, optimum) - least) / span + (0.5 if shape == "flat" else 0.0)

    rungs = np.repeat(np.linspace(FIRST, LAST, int(first)), 2 if vials.endswith("twice") else 1)
    scale = (0.0, 5.0) if kind == "scores" else None
    seen, better = read_as(kind, response(rungs) + noise * rng.standard_normal(len(rungs)))
    fit = hlb.fit_trials(rungs.tolist(), seen, better, scale=scale)
    if not more:
        return fit
    again = second_rungs(fit)
    level, height = 0.15 * rng.standard_normal(), 1 + rng.uniform(-0.1, 0.1)
    batch = height * response(again) + (level if kind == "numbers" else 0.0)
    then, _ = read_as(kind, batch + noise * rng.standard_normal(len(again)))
    return hlb.fit_ladders([(rungs.tolist(), seen), (again.tolist(), then)], better, scale=scale)


def cell(
    shape: str,
    vials: str = "7",
    noise: float = 0.1,
    kind: str = "numbers",
    ladders: int = 500,
    spread: float | None = None,
) -> Cell:
    """Many ladders of one kind; with a spread the optimum is normal round 10."""
    rng = np.random.default_rng([SEED, len(shape), len(vials), int(100 * noise), len(kind)])
    clear, peaks, covered, halves, misses = 0, 0, 0, [], []
    for _ in range(ladders):
        optimum = rng.uniform(8, 12) if spread is None else rng.normal(10, spread)
        fit = one(shape, vials, noise, kind, rng, optimum)
        peaks += fit.outcome == "two peaks"
        misses.append(value(fit) - optimum)
        if fit.outcome == "clear optimum" and fit.low is not None and fit.high is not None:
            clear += 1
            covered += fit.low <= optimum <= fit.high
            halves.append((fit.high - fit.low) / 2)
    miss = np.array(misses)
    return Cell(
        ladders,
        clear / ladders,
        peaks / ladders,
        covered / clear if clear else math.nan,
        float(np.median(halves)) if halves else math.nan,
        float(miss.mean()),
        math.sqrt(float((miss**2).mean())),
    )


FOUR = ("symmetric", "bell", "flat-topped", "lopsided, slow rise")
"""Shapes over which the error after 7 + 5 vials is averaged, the optimum normal round 10 with sd 1.1."""

Asked = tuple[str, str, float, str, int, float | None]
"""Shape, vials, noise, kind, ladders, spread of the optimum."""


def asked_for(asked: Asked) -> Cell:
    return cell(*asked)


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
    half = {s: found[s].half for s in ONE_HUMP}
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


def main(
    ladders: str = "500", noises: str = "", vials: str = "", kinds: str = "", processes: str = "1"
) -> None:
    count = int(ladders)
    chosen = [float(n) for n in noises.split(",")] if noises else list(NOISES)
    groups = [
        (kind, made, noise)
        for made in (vials.split(",") if vials else VIALS)
        for kind in (kinds.split(",") if kinds else KINDS)
        for noise in chosen
    ]
    whole: list[Asked] = [(s, "7+5", n, "numbers", count, 1.1) for n in (0.1, 0.2) for s in FOUR]
    whole += [(s, made, noise, kind, count, None) for kind, made, noise in groups for s in SHAPES]
    with ProcessPoolExecutor(int(processes)) as pool:
        made_cells = pool.map(asked_for, whole)
        for noise in (0.1, 0.2):
            rmse = math.sqrt(np.mean([next(made_cells).rmse ** 2 for _ in FOUR]))
            print(
                f"7 + 5 vials, noise {noise:.2f}, four shapes: root mean square error {rmse:.3f} HLB",
                flush=True,
            )
        print("kind     vials noise shape                 clear %  two peaks %  cover %  half  bias  rmse")
        for kind, made, noise in groups:
            found = {}
            for shape in SHAPES:
                found[shape] = next(made_cells)
                print(line((shape, made, noise, kind, count, None), found[shape]), flush=True)
            print(f"{summary(found)} ({kind}, {made}, {noise:.2f})", flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
