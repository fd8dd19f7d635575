"""What the duplicates of a ladder say by their own scatter, before any course is laid."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.special import fdtri

from hlbcore.ladder import verdicts
from hlbcore.ladder.curves import Array, Mask
from hlbcore.ladder.evidence import Block
from hlbcore.ladder.readings import Readings

SURE = 0.99
"""Point of the F distribution beyond which chance is ruled out. [-] Our convention."""

SPARE_LEAST = 3
"""Spare vials from which the scatter of duplicates is trusted. [-] Our convention."""


def _groups(held: Readings, block: Block, keep: Mask) -> list[Array]:
    """Responses of one ladder, one array a rung."""
    place = np.cumsum(keep) - 1
    return [block.response[place[g[keep[g]]]] for _, g in held.rungs if keep[g].any()]


def _surely_more(left: float, spare: int, groups: Sequence[Array], least_sd: float) -> bool:
    """Whether a sum of squares is more than the scatter of the duplicates makes.

    The scatter is never believed less than rounding makes it, so duplicates that agree to the
    whole score speak as well.
    """
    freedom = sum(len(g) - 1 for g in groups)
    if freedom < SPARE_LEAST or spare < 1:
        return False
    scatter = max(sum(float(((g - g.mean()) ** 2).sum()) for g in groups) / freedom, least_sd**2)
    return scatter > 0 and left / spare > scatter * float(fdtri(spare, freedom, SURE))


def two_peaks(held: Readings, block: Block, keep: Mask) -> bool:
    """Whether no single hump can explain a ladder; only the scatter of duplicates can say so."""
    groups = _groups(held, block, keep)
    means = np.array([g.mean() for g in groups])
    if len(means) < 4:
        return False
    left = verdicts.unexplained(means) * float(((means - means.mean()) ** 2).sum())
    left *= len(block.response) / len(means)
    return _surely_more(left, len(means) - 3, groups, block.least_sd)


def differ(held: Readings, block: Block, keep: Mask) -> bool:
    """Whether the rungs of a ladder differ by more than their duplicates: one-way analysis of variance."""
    groups = _groups(held, block, keep)
    whole = float(block.response.mean())
    between = sum(len(g) * (float(g.mean()) - whole) ** 2 for g in groups)
    return _surely_more(between, len(groups) - 1, groups, block.least_sd)
