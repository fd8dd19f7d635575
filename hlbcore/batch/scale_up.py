"""What changes when a batch grows: heat, stirring, cooling."""

from __future__ import annotations

from hlbcore._numbers import grams

WORTH = 1.5
"""A batch that grows less than this needs no note. [-] Our convention."""


def scale_up_words(before: float | str, after: float | str) -> tuple[str, ...]:
    """What to expect of a larger batch.

    Parameters
    ----------
    before, after : float or str
        The batch that was made, and the one to make. [g, or text with its unit]

    Returns
    -------
    tuple of str
        Sentences; empty where the batch hardly grows.

    Notes
    -----
    Vessels of the same shape: volume grows by ``k``, lengths by ``k^(1/3)``, and the surface that heat
    passes through, for each gram, shrinks by as much. Plain geometry; the advice is common practice, no
    source.

    Examples
    --------
    >>> scale_up_words("200 g", "5 kg")[0]
    '25 times as much: in a vessel of the same shape each gram has 1/2.9 of the surface to heat and cool by.'
    """
    times = grams(after, "batch to make") / grams(before, "batch that was made")
    if times < WORTH:
        return ()
    length = times ** (1 / 3)
    return (
        f"{times:.3g} times as much: in a vessel of the same shape each gram has 1/{length:.2g} of the "
        "surface to heat and cool by.",
        f"Heating and cooling take about {length:.2g} times as long or more; the water bath must be larger, "
        "and the middle stays hot after the wall is cool. Measure in the middle.",
        f"At the same turns a stirrer {length:.2g} times as wide runs {length:.2g} times as fast at its "
        "tip; a small one leaves the wall unmoved. Watch that all of it moves, without drawing in air.",
        "More water is lost in all, less of it for each gram: weigh the vessel before and after.",
        "Cool-down goes in later than you are used to; fill only when the middle is below its temperature.",
        "Make one batch in between, and look at its jars for some weeks, before you sell the large one.",
    )
