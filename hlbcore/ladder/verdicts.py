"""What a ladder says, in words: the outcome and its sentence."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import isotonic_regression

from hlbcore.ladder.curves import Array

GOOD_SHARE, BAD_SHARE = 0.8, 0.2
"""All readings in the top fifth of the scale are all good, in the bottom fifth all bad. [-]
Our convention."""

TWO_PEAKS_SHARE = 0.40
"""A single hump is doubted where the best single-peaked course leaves so much of the differences
unexplained. [-] Our convention."""


@dataclass(frozen=True, slots=True)
class Saying:
    """An outcome with its sentence.

    Parameters
    ----------
    outcome : str
        As in `TrialFit`.
    verdict : str
        The sentence.
    """

    outcome: str
    verdict: str


def said(hlb: float) -> str:
    """An HLB with one decimal, or none where it is whole."""
    return f"{hlb:.1f}".removesuffix(".0")


ALL_GOOD = Saying(
    "all good", "flat: all good, too much emulsifier or read too early; halve the dose, read longer or warmer"
)
ALL_BAD = Saying(
    "all bad",
    "flat: all bad, too little emulsifier, the wrong family or too little shear; raise the dose, try "
    "another chemical family, or mix harder",
)
ALL_ALIKE = Saying(
    "all alike",
    "flat: all alike, no difference between the vials; if all are good, halve the dose, read longer or "
    "warmer; if all are bad, raise the dose, change the family or mix harder",
)


def again(made: int) -> str:
    """What to repeat, where every vial was made so often already."""
    if made < 2:
        return "repeat with every vial twice"
    return "make every vial twice more, stirred, kept and read alike"


def flat(made: int = 1) -> Saying:
    """No difference between the vials."""
    return Saying(
        "flat",
        "flat: no difference between the vials beyond their scatter; lower the dose or read longer, then "
        + again(made),
    )


def too_noisy(made: int = 1) -> Saying:
    """Something differs, but not by HLB as far as can be seen."""
    return Saying(
        "too noisy", f"too noisy: something differs, but the scatter hides where the best is; {again(made)}"
    )


def clear(optimum: float, low: float, high: float) -> Saying:
    """An optimum inside the ladder."""
    return Saying("clear optimum", f"clear optimum at HLB {optimum:.1f} ({low:.1f} to {high:.1f})")


def too_few(count: int, best: float) -> Saying:
    """Fewer than five different HLB values: no shape can be told."""
    return Saying(
        "too few",
        f"too few vials: {count} different HLB values give no interval; the best vial is at "
        f"{said(best)}, make at least 7 round it",
    )


def edge(far: float, *, upper: bool) -> Saying:
    """The optimum at an end of the ladder or beyond."""
    side = "upper" if upper else "lower"
    return Saying("edge", f"edge: optimum at the {side} edge or beyond; extend the ladder to {said(far)}")


def narrow(best: float, low: float, high: float) -> Saying:
    """One vial alone is good."""
    return Saying(
        "one narrow good vial",
        f"one narrow good vial at HLB {said(best)}: the window is narrower than the steps; make finer "
        f"vials from {said(low)} to {said(high)}",
    )


def unexplained(values: Array) -> float:
    """Share of the variation that no single-peaked course of any shape explains. [-]

    Notes
    -----
    Least squares of rising-then-falling values: two isotonic regressions for every place of the
    top.
    """
    whole = float(((values - values.mean()) ** 2).sum())
    if whole <= 0:
        return 0.0

    def rising(part: Array) -> float:
        return float(((isotonic_regression(part).x - part) ** 2).sum()) if len(part) else 0.0

    places = range(len(values) + 1)
    return min(rising(values[:n]) + rising(values[n:][::-1]) for n in places) / whole


def wavy(values: Array) -> bool:
    """Whether single vials look like two humps: no single one explains them, and neighbours agree.

    Readings that scatter without order differ from their neighbours twice as much, in squares, as
    from their mean.
    """
    if unexplained(values) < TWO_PEAKS_SHARE:
        return False
    return float((np.diff(values) ** 2).sum()) < float(((values - values.mean()) ** 2).sum())


def peaks(hlb: Array, values: Array) -> tuple[float, float, float]:
    """Both peaks and the valley between them. [HLB]"""
    inner = [(min(values[:n].max(), values[n + 1 :].max()) - values[n], n) for n in range(1, len(values) - 1)]
    valley = max(inner)[1]
    left = float(hlb[values[:valley].argmax()])
    right = float(hlb[valley + 1 + values[valley + 1 :].argmax()])
    return left, float(hlb[valley]), right


def two_peaks(hlb: Array, values: Array) -> Saying:
    """Two peaks that duplicates confirm."""
    left, valley, right = peaks(hlb, values)
    return Saying(
        "two peaks",
        f"two peaks: good near {said(left)} and near {said(right)}, poor at {said(valley)}, by more than "
        "the duplicates differ; test each vial by a drop in water and a drop in oil, for the emulsion "
        "type may change between them",
    )


def perhaps_two(hlb: Array, values: Array, made: int = 1) -> Saying:
    """Two peaks that scatter may have made as well."""
    left, valley, right = peaks(hlb, values)
    return Saying(
        "too noisy",
        f"too noisy: good near {said(left)} and near {said(right)}, poor at {said(valley)}, which may be "
        f"scatter or two peaks; {again(made)}, and test each by a drop in water and a drop in oil",
    )


def single(values: Array) -> bool:
    """Whether one vial inside stands so far above all others that only it is good."""
    best = int(values.argmax())
    if not 0 < best < len(values) - 1:
        return False
    second = float(np.partition(values, -2)[-2])
    return bool(values[best] - second > ALONE * (values[best] - values.min()))


ALONE = 0.75
"""One vial alone is good where the next best lies so much of the range below it. [-] Our
convention."""
