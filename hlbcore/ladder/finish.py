"""The last steps of every plan: order of making, labels, duplicates, and what to be told."""

from __future__ import annotations

import math
import secrets
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from hlbcore._numbers import checked
from hlbcore.blending.candidates import Candidate
from hlbcore.blending.marks import emulsifier_findings
from hlbcore.errors import InvalidInput, clipped
from hlbcore.findings import Finding, worst_first
from hlbcore.ladder.ladder import Ladder, Process, Vial, whole_number
from hlbcore.ladder.vial import WATER, Bench, known, process_for
from hlbcore.library import Library
from hlbcore.product_types import PRACTICE

STEPS_MOST = 40
"""Vials of a ladder, without duplicates; and duplicates. [-] Our convention."""

Weighed = tuple[tuple[tuple[str, float], ...], float | None]
"""Grams of one vial, and its target HLB."""


SEEDS = 2**31 - 1
"""Greatest start of the random order. [-]"""


def fresh_seed() -> int:
    """A start of the random order that no ladder had before."""
    return secrets.randbelow(SEEDS) + 1


def ordered(
    grams_of: Sequence[tuple[tuple[tuple[str, float], ...], float | None]],
    *,
    duplicates: int,
    seed: int,
    blinded: bool,
) -> tuple[Vial, ...]:
    """The vials with duplicates, a random order of making and their labels."""
    n = len(grams_of)
    # from the middle outward: an error estimate is wanted where the optimum is looked for
    middle_out = sorted(range(n), key=lambda k: (abs(k - (n - 1) / 2), k))
    repeats = [middle_out[k % n] for k in range(duplicates)]
    source = np.random.default_rng(seed)
    order = source.permutation(n + duplicates) + 1
    codes = source.choice(900, size=n + duplicates, replace=False) + 100
    vials = []
    for k in range(n + duplicates):
        of = k if k < n else repeats[k - n]
        weighed, target = grams_of[of]
        vials.append(
            Vial(
                k + 1,
                str(codes[k] if blinded else order[k]),
                int(order[k]),
                weighed,
                target,
                of + 1 if k >= n else None,
            )
        )
    return tuple(vials)


def pair_findings(held: Sequence[Candidate]) -> list[Finding]:
    """A pair of two fatty chains changes more than HLB from vial to vial."""
    chains = {c.ingredient.chain for c in held if c.ingredient is not None and c.ingredient.chain}
    if len(chains) < 2:
        return []
    return [
        Finding(
            "note",
            "The two emulsifiers differ in their fatty chain",
            f"{' and '.join(c.label for c in held)}: along the ladder the chain changes with the "
            "HLB, so a good vial may owe it to the chain.",
            figure=", ".join(sorted(chains)),
            rule=f"a pair of one fatty chain; {PRACTICE}",
            mend="Take a pair of one chain, or run the family ladder afterwards.",
        )
    ]


def marks(held: Sequence[Candidate]) -> list[Finding]:
    """What marks the emulsifiers; the way to a bench ladder need not be told here."""
    return [f for f in emulsifier_findings([c.ingredient for c in held]) if f.title != "What HLB leaves out"]


def extra_emulsifiers(held: Bench, library: Library) -> list[Finding]:
    """Other emulsifiers in the vial shift every rung, and the HLB does not tell."""
    found = []
    for name, pct in (*held.oils, *held.others):
        i = known(name, library)
        if i is not None and i.convention in ("emulsifier", "emulsifier_or_oil", "all_in_one"):
            found.append(
                Finding(
                    "caution",
                    f"{clipped(name)} is an emulsifier in every vial",
                    "The HLB of the vials is that of the pair alone; what else emulsifies shifts "
                    "the optimum of this ladder.",
                    figure=f"{pct:g} % of the vial" if held.water else "",
                    rule="only the pair is stepped; our convention",
                    mend="Leave it out of the ladder, or read the result for this mixture only.",
                )
            )
    return found


def rising(given: Sequence[float | str], item: str, most: float) -> list[float]:
    """Steps in rising order, each once."""
    values = [checked(v, item, above=0, high=most) for v in given]
    if len(values) < 2:
        raise InvalidInput(item, "a ladder needs at least two steps", "Give two or more.")
    for v in values:
        if values.count(v) > 1:
            raise InvalidInput(
                item, f"{v:g} is given twice", "Give each once; duplicates are asked for apart."
            )
    return sorted(values)


def room(shared: Bench, dose: float) -> None:
    """Refuse a dose that leaves no water."""
    total = shared.oil_pct + dose + math.fsum(p for _, p in shared.others)
    if total >= 100:
        raise InvalidInput(
            "vial",
            f"oil phase, emulsifier and the rest are {total:g} %, no {WATER} is left",
            "Lower one of them.",
        )


def finish(
    kind: str,
    shared: Bench,
    weighed: Sequence[tuple[tuple[tuple[str, float], ...], float | None]],
    dose: float | None,
    emulsion: str,
    duplicates: int,
    seed: int | None,
    blinded: bool,
    process: Process | None,
    to_observe: tuple[str, ...],
    cautions: list[Finding],
    library: Library,
) -> Ladder:
    """The ladder with its order, labels and cautions."""
    more = whole_number(duplicates, "duplicates", 0, STEPS_MOST)
    start = fresh_seed() if seed is None else whole_number(seed, "seed", 0, SEEDS)
    found = [*cautions, *extra_emulsifiers(shared, library), *marks(shared.emulsifiers)]
    ladder = Ladder(
        kind,
        ordered(weighed, duplicates=more, seed=start, blinded=blinded),
        shared.estimates,
        shared.oils,
        shared.others,
        shared.vial_mass_g,
        shared.readability_g,
        emulsion,
        dose,
        process or process_for(shared, library),
        to_observe,
        (),
        start,
        blinded,
    )
    return replace(ladder, cautions=worst_first([*found, *_alike(ladder)]))


def _alike(ladder: Ladder) -> list[Finding]:
    """Vials that come out with the same grams on this scale."""
    seen: dict[tuple[tuple[str, float], ...], list[str]] = {}
    for v in ladder.vials:
        if v.repeats is None:
            seen.setdefault(v.grams, []).append(v.label)
    return [
        Finding(
            "caution",
            f"Vials {', '.join(sorted(alike)[:-1])} and {sorted(alike)[-1]} have the same grams",
            f"A scale of {ladder.readability_g:g} g cannot tell them apart.",
            figure=f"{ladder.readability_g:g} g",
            rule=f"rounding to the scale; {PRACTICE}",
            mend="Make larger vials, weigh on a finer scale, or keep one of them.",
        )
        for alike in seen.values()
        if len(alike) > 1
    ]
