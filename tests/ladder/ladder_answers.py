"""Prints `ANSWERS` of hlbcore/ladder/next_vials.py: how often ladders with one hump say "clear optimum".

    python tests/ladder/ladder_answers.py [ladders a cell] [file] [seed] [vials]

Mean over the six one-hump shapes of `ladder_coverage.py`, readings in numbers, rounded to 0.05; cells
that stand in the file of a table (same ladders, same seed) are taken from it.
"""

from __future__ import annotations

import sys

import numpy as np
from ladder_coverage import NOISES, ONE_HUMP, SEED, Table

MADE = ("5", "7", "9", "5 twice", "7 twice", "9 twice")


def main(ladders: str = "100", file: str = "", seed: str = str(SEED), vials: str = "") -> None:
    table = Table(file, int(seed))
    for made in vials.split(",") if vials else MADE:
        shares = {
            noise: float(
                np.mean([table.cell(s, made, noise, "numbers", int(ladders), None).clear for s in ONE_HUMP])
            )
            for noise in NOISES
        }
        told = ", ".join(f"{n:.2f}: {round(20 * share) / 20:.2f}" for n, share in shares.items())
        print(f'    "{made}": {{{told}}},', flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
