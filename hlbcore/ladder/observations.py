"""What is seen on a ladder: kinds of observation with the wording of each score, and one reading.

The wordings of the scores are our own.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import pandas as pd

from hlbcore._numbers import checked, checked_text, checked_word
from hlbcore.errors import InvalidInput, clipped
from hlbcore.ingredients import fold
from hlbcore.ladder.ladder import whole_number

SCORE_MOST = 5
"""Scores run from 0 to this. [-]"""

HOURS_MOST = 100_000.0
"""Longest time that is taken, about eleven years; our convention. [h]"""

LIMITS = ("", "<", ">")
"""Whether a value is the value, less than it, or more than it."""


def time_words(hours: float) -> str:
    """A time as people at the bench say it.

    Parameters
    ----------
    hours : float
        Time since making. [h]

    Returns
    -------
    str
        Weeks, days, hours or minutes.

    Examples
    --------
    >>> time_words(168), time_words(48), time_words(1), time_words(1 / 12), time_words(0)
    ('1 week', '2 days', '1 h', '5 min', 'at once')
    """
    if hours == 0:
        return "at once"
    for size, word in ((168, "week"), (24, "day")):
        if hours % size == 0:
            n = hours / size
            return f"{n:g} {word}{'s' if n > 1 else ''}"
    return f"{60 * hours:.3g} min" if hours < 1 else f"{hours:g} h"


def after_words(hours: float) -> str:
    """When a reading was taken: ``after 1 day``, ``at once``.

    Parameters
    ----------
    hours : float
        Time since making. [h]

    Returns
    -------
    str
        In words, to go on a sentence.

    Examples
    --------
    >>> after_words(24)
    'after 1 day'
    """
    return f"after {time_words(hours)}" if hours else time_words(hours)


@dataclass(frozen=True, slots=True)
class ObservationKind:
    """One kind of observation.

    Parameters
    ----------
    name : str
        Its name.
    form : str
        ``"score"``, ``"layer"``, ``"number"``, ``"yes/no"``, ``"type"`` or ``"event"``.
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
    """

    name: str
    form: str
    better: str
    meaning: str
    words: tuple[str, ...] = ()
    unit: str = ""
    aliases: tuple[str, ...] = ()


_NO_YES = ("no", "yes")
_LAYER = "% of the height"
_KINDS = (
    ObservationKind(
        "score",
        "score",
        "higher",
        "the vial as a whole",
        (
            "parted into oil and water",
            "mostly parted, some milk between",
            "a clear layer of a quarter or more",
            "a clear layer of less than a quarter",
            "even, but paler at one end or with a thin line",
            "even from top to bottom",
        ),
        aliases=("overall", "overall score"),
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
        "droplet size",
        "number",
        "lower",
        "usual droplet under the microscope",
        unit="µm",
        aliases=("droplets",),
    ),
    ObservationKind(
        "separated", "yes/no", "lower", "any layer that can be seen", _NO_YES, aliases=("separation",)
    ),
    ObservationKind("drop in water", "yes/no", "", "whether a drop spreads in water", _NO_YES),
    ObservationKind("drop in oil", "yes/no", "", "whether a drop spreads in oil", _NO_YES),
    ObservationKind(
        "emulsion type", "type", "", "o/w or w/o, found by another test", ("w/o", "o/w"), aliases=("type",)
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


@dataclass(frozen=True, slots=True)
class Observation:
    """One thing seen on one vial at one time.

    Parameters
    ----------
    vial : int
        Number of the vial. [-]
    hours : float
        Time since making. [h]
    kind : str
        One of `OBSERVATION_KINDS`.
    value : float or None
        Score, size of the layer, droplet size, 1 for yes and 0 for no; None is missing.
        [as the kind says]
    of : float, optional
        Whole height or volume that a layer is part of. [mm or mL, as the value]
    limit : str
        ``"<"`` or ``">"`` where the value is only known to be less or more.
    temperature_c : float, optional
        Where the vial stood. [°C]
    note : str
        Free text.

    Examples
    --------
    >>> Observation(3, 24, "water layer", 3, of=40).number
    7.5
    """

    vial: int
    hours: float
    kind: str
    value: float | None
    of: float | None = None
    limit: str = ""
    temperature_c: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        def put(name: str, value: object) -> None:
            object.__setattr__(self, name, value)

        put("vial", whole_number(self.vial, "observation, vial", 1, 999))
        kind = observation_kind(self.kind)
        put("kind", kind.name)
        item = f"vial {self.vial}, {kind.name}"
        put("hours", checked(self.hours, f"{item}, hours", low=0, high=HOURS_MOST, unit="h"))
        put("limit", checked_word(self.limit, LIMITS, f"{item}, limit"))
        put("note", checked_text(self.note, f"{item}, note"))
        if self.temperature_c is not None:
            put(
                "temperature_c",
                checked(self.temperature_c, f"{item}, temperature", low=-80, high=250, unit="°C"),
            )
        if self.of is not None and (self.value is None or kind.form != "layer"):
            put("of", None)
        if self.value is None:
            return
        if kind.form == "event":
            put("value", None)
            return
        value = checked(self.value, item, low=0, high=1e6)
        if kind.form == "score" and value > SCORE_MOST:
            raise InvalidInput(item, f"{value:g} is outside the scale", f"Scores run from 0 to {SCORE_MOST}.")
        if kind.form in ("yes/no", "type") and value not in (0.0, 1.0):
            raise InvalidInput(
                item,
                f"{value:g} is neither {kind.words[0]} nor {kind.words[1]}",
                f"Write {kind.words[1]} or {kind.words[0]}.",
            )
        if kind.form == "number" and value == 0:
            raise InvalidInput(item, "0 is no size", "Enter the size, or leave it blank.")
        if kind.form == "layer":
            whole = 100.0 if self.of is None else self.of
            put("of", checked(whole, f"{item}, whole height", above=0, high=1e6))
            if value > whole:
                raise InvalidInput(
                    item,
                    f"the layer, {value:g}, is more than the whole, {whole:g}",
                    "Give the layer and then the whole height, for example 3/40 mm.",
                )
        put("value", value)

    @property
    def number(self) -> float:
        """What a fit takes: a layer in % of the height, else the value; NaN where missing."""
        if self.value is None:
            return math.nan
        return 100 * self.value / self.of if self.of is not None else self.value

    @property
    def key(self) -> tuple[int, float, str, float | None]:
        """Vial, time, kind and temperature: one reading each."""
        return self.vial, self.hours, self.kind, self.temperature_c
