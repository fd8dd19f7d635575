"""How often the 95 % interval of a ladder holds the true optimum; 2,000 ladders by hand.

    python tests/ladder/ladder_coverage.py

True curves: a quadratic, a tent, and a bell, one third each. The optimum lies anywhere between the
second and the last but one rung, the noise is normal with a standard deviation drawn from 0 to a
third of the span of the true responses over the ladder. An open end counts as covering.

Two intervals are counted. The computed one is the nominal 95 %; the one shown is never narrower
than half a rung each side, so it covers more, the most with few vials and little noise.
2,000 ladders gave, in per cent (computed, shown, open): 5 vials 96.7, 99.4, 45; 7 vials 93.5,
96.6, 17; 9 vials 94.3, 97.0, 17. With the noise always at a third of the span, 7 vials stay open
in 44 of 100.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hlbcore.ladder.fit import fit_trials

FIRST, LAST = 7.0, 13.0
SEED = 8


@dataclass(frozen=True)
class Tally:
    """Shares of ladders [-]: computed interval and interval shown, open ends, no optimum."""

    ladders: int
    computed: float
    shown: float
    open_ended: float
    half_width: float


def truth(kind: int, hlb_values: NDArray[np.float64], optimum: float) -> NDArray[np.float64]:
    d = hlb_values - optimum
    return (-(d**2), -np.abs(d), np.exp(-0.5 * (d / 1.5) ** 2))[kind]


def tally(vials: int, ladders: int, *, noise: tuple[float, float] = (0, 1 / 3), times: int = 1) -> Tally:
    """Ladders of so many vials with a noise between two shares of the span.

    With several times the differences grow from time to time; four fifths of the variance of the
    noise belong to the vial and stay with it.
    """
    rng = np.random.default_rng([SEED, vials, ladders])
    rungs = np.linspace(FIRST, LAST, vials)
    computed, shown, open_ended = (np.zeros(ladders, dtype=bool) for _ in range(3))
    widths = []
    for n in range(ladders):
        optimum = rng.uniform(rungs[1], rungs[-2])
        true = truth(n % 3, rungs, optimum)
        scatter = rng.uniform(*noise) * np.ptp(true)
        errors = rng.standard_normal((vials, times))
        if times > 1:
            errors = np.sqrt(0.2) * errors + np.sqrt(0.8) * rng.standard_normal((vials, 1))
        grown = np.linspace(1, times, times) / times
        fit = fit_trials(rungs, (true[:, None] + scatter * errors) * grown)
        low = -np.inf if fit.low is None else fit.low
        high = np.inf if fit.high is None else fit.high
        shown[n] = low <= optimum <= high
        computed[n] = fit.profile_low <= optimum <= fit.profile_high
        open_ended[n] = fit.low is None or fit.high is None
        if not open_ended[n]:
            widths.append((high - low) / 2)
    return Tally(ladders, computed.mean(), shown.mean(), open_ended.mean(), float(np.median(widths)))


def main(ladders: int = 2000) -> None:
    print("several times: 7 vials, 4 times", tally(7, ladders // 4, times=4))
    print("vials  noise of span  ladders  computed %  shown %  open %  median half width [HLB]")
    for noise in ((0, 1 / 3), (0, 0.1), (0.1, 0.2), (0.2, 1 / 3), (1 / 3, 1 / 3)):
        for vials in (5, 7, 9):
            t = tally(vials, ladders if noise == (0, 1 / 3) else ladders // 4, noise=noise)
            print(
                f"{vials:5d}  {noise[0]:5.2f} to {noise[1]:4.2f}  {t.ladders:7d}  "
                f"{100 * t.computed:10.1f}  {100 * t.shown:7.1f}  {100 * t.open_ended:6.1f}  "
                f"{t.half_width:8.2f}"
            )


if __name__ == "__main__":
    main(*(int(a) for a in sys.argv[1:]))
