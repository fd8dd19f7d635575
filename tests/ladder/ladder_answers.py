"""Prints `ANSWERS` of hlbcore/ladder/next_vials.py: how often ladders with one hump say "clear optimum".

    python tests/ladder/ladder_answers.py [ladders a cell]

Mean over the six one-hump shapes of `ladder_coverage.py`, readings in numbers, rounded to 0.05.
"""

from __future__ import annotations

import sys

import numpy as np
from ladder_coverage import NOISES, ONE_HUMP, cell


def main(ladders: str = "150") -> None:
    for vials in ("5", "7", "9", "5 twice", "7 twice", "9 twice"):
        shares = {
            noise: float(np.mean([cell(s, vials, noise, "numbers", int(ladders)).clear for s in ONE_HUMP]))
            for noise in NOISES
        }
        told = ", ".join(f"{n:.2f}: {round(20 * share) / 20:.2f}" for n, share in shares.items())
        print(f'    "{vials}": {{{told}}},', flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
