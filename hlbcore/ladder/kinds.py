"""Kinds of observation on a ladder, with the wording of each score.

The wordings of the scores are our own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import pandas as pd

from hlbcore.errors import InvalidInput, clipped
from hlbcore.ingredients import fold

NUMBER_MOST = 1e6
"""Greatest reading that is taken where a kind names none. [as the kind says] Our convention."""


@dataclass(frozen=True, slots=True)
class ObservationKind:
    """One kind of observation.

    Parameters
    ----------
    name : str
        Its name.
    form : str
        ``"score"``, ``"layer"``, ``"number"``, ``"rate"`` (follows from a layer at several times),
        ``"yes/no"``, ``"type"``, ``"text"`` or ``"event"``.
    better : str
        ``"higher"``, ``"lower"``, or blank where neither is better.
    meaning : str
        What is looked at.
    words : tuple of str
        Wording of the scores 0 to 5, or of no and yes.
    unit : str
        Unit of the number that the fit takes.
    aliases : tuple of str
        Other names that a table may use.
    most : float
        Greatest number that is taken. [unit]
    """

    name: str
    form: str
    better: str
    meaning: str
    words: tuple[str, ...] = ()
    unit: str = ""
    aliases: tuple[str, ...] = ()
    most: float = NUMBER_MOST

    @property
    def is_typed(self) -> bool:
        """Whether it is written down, and not worked out from other readings."""
        return self.form != "rate"


_WHOLE = (
    "parted into oil and water",
    "mostly parted, some milk between",
    "a clear layer of a quarter or more",
    "a clear layer of less than a quarter",
    "even, but paler at one end or with a thin line",
    "even from top to bottom",
)
_NO_YES = ("no", "yes")
_LAYER = "% of the height"
_KINDS = (
    ObservationKind(
        "score", "score", "higher", "the vial as a whole", _WHOLE, aliases=("overall", "overall score")
    ),
    ObservationKind(
        "water layer", "layer", "lower", "clear or turbid water below", unit=_LAYER, aliases=("water",)
    ),
    ObservationKind(
        "oil layer", "layer", "lower", "free oil on top", unit=_LAYER, aliases=("oil", "oil on top")
    ),
    ObservationKind(
        "cream layer", "layer", "lower", "a denser white layer on top", unit=_LAYER, aliases=("cream",)
    ),
    ObservationKind(
        "emulsion layer",
        "layer",
        "higher",
        "what is still emulsion",
        unit=_LAYER,
        aliases=("emulsion height",),
    ),
    ObservationKind(
        "settled layer",
        "layer",
        "lower",
        "solids or soft matter at the bottom",
        unit=_LAYER,
        aliases=("sediment",),
    ),
    ObservationKind(
        "creaming rate",
        "rate",
        "lower",
        "how fast the water layer grows, or the cream layer where no water layer was read twice",
        unit="% of the height a day",
    ),
    ObservationKind(
        "droplet size",
        "number",
        "lower",
        "usual droplet under the microscope",
        unit="µm",
        aliases=("droplets",),
    ),
    ObservationKind(
        "viscosity",
        "number",
        "",
        "at one spindle, speed and temperature, time after time",
        unit="mPa·s",
        aliases=("thickness", "viscosity mpas"),
        most=1e9,
    ),
    ObservationKind("pH", "number", "", "of the vial, by meter or strip", unit="", most=14.0),
    ObservationKind("colour", "text", "", "in a few words, beside a fresh vial", aliases=("color",)),
    ObservationKind("odour", "text", "", "in a few words, beside a fresh vial", aliases=("odor", "smell")),
    ObservationKind(
        "separated", "yes/no", "lower", "any layer that can be seen", _NO_YES, aliases=("separation",)
    ),
    ObservationKind("drop in water", "yes/no", "", "whether a drop spreads in water", _NO_YES),
    ObservationKind("drop in oil", "yes/no", "", "whether a drop spreads in oil", _NO_YES),
    ObservationKind(
        "emulsion type", "type", "", "o/w or w/o, found by another test", ("w/o", "o/w"), aliases=("type",)
    ),
    *(
        ObservationKind(f"after {name}", "score", "higher", meaning, _WHOLE, aliases=aliases)
        for name, meaning, aliases in (
            ("freeze and thaw", "frozen through and back at room temperature", ("freeze thaw",)),
            ("warm store", "after a warm place, back at room temperature", ("warm store",)),
            ("centrifuge", "spun at the same speed and time, balanced", ("centrifuge",)),
        )
    ),
    ObservationKind(
        "milkiness",
        "score",
        "higher",
        "the rinse water at once",
        (
            "oil floats, water stays clear",
            "a trace of haze",
            "thin haze, oil drops to be seen",
            "milky with specks of oil",
            "milky, a few specks",
            "even milk",
        ),
    ),
    ObservationKind(
        "oil ring",
        "score",
        "higher",
        "the edge of the rinse water after standing",
        (
            "a closed film of oil",
            "a broad ring",
            "a narrow closed ring",
            "a broken ring",
            "single drops",
            "no oil at the edge",
        ),
        aliases=("ring",),
    ),
    ObservationKind(
        "film on glass",
        "score",
        "higher",
        "a glass slide, dipped and rinsed",
        (
            "thick film, water beads everywhere",
            "film on most of the glass",
            "film on half of it",
            "patches",
            "a trace at the edge",
            "clean, water runs off in a sheet",
        ),
        aliases=("film",),
    ),
    ObservationKind(
        "hardness",
        "score",
        "",
        "the jar at the temperature noted",
        (
            "pours",
            "soft, runs slowly",
            "scoops like cream",
            "scoops with light pressure",
            "firm, needs a spatula",
            "too hard to scoop",
        ),
    ),
    ObservationKind(
        "clarity",
        "score",
        "higher",
        "the vial against printed text",
        (
            "parted",
            "milky, print not seen",
            "cloudy, print blurred",
            "hazy, print readable",
            "a bluish shimmer",
            "clear as water",
        ),
    ),
    ObservationKind(
        "broken", "event", "", "the vial broke, leaked or was spilled: no readings count from then on"
    ),
)

OBSERVATION_KINDS: Mapping[str, ObservationKind] = MappingProxyType({k.name: k for k in _KINDS})
"""All kinds of observation by name."""

_BY_FOLDED = {fold(n): k for k in _KINDS for n in (k.name, *k.aliases)}


def observation_kind(name: str) -> ObservationKind:
    """The kind of observation of that name.

    Parameters
    ----------
    name : str
        Case and spacing are free.

    Returns
    -------
    ObservationKind
        With the wording of its steps.

    Raises
    ------
    InvalidInput
        If there is no such kind.

    Examples
    --------
    >>> observation_kind("Water layer").better
    'lower'
    """
    found = _BY_FOLDED.get(fold(str(name)))
    if found is None:
        raise InvalidInput(
            f"kind of observation '{clipped(name)}'",
            "it is not known here",
            f"Use {', '.join(OBSERVATION_KINDS)}.",
        )
    return found


def score_table() -> pd.DataFrame:
    """The wording of every score, to print and lay beside the vials.

    Returns
    -------
    DataFrame
        One row a step: kind, looked_at, score [-, 0 to 5], words.

    Examples
    --------
    >>> score_table().query("kind == 'clarity' and score == 5")["words"].item()
    'clear as water'
    """
    return pd.DataFrame(
        [
            (k.name, k.meaning, n, words)
            for k in _KINDS
            if k.form == "score"
            for n, words in enumerate(k.words)
        ],
        columns=["kind", "looked_at", "score", "words"],
    )
