"""One reading on a ladder, and times in words."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hlbcore._numbers import checked, checked_text, checked_word
from hlbcore.errors import InvalidInput
from hlbcore.ladder.kinds import NUMBER_MOST, observation_kind
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
        Score, size of the layer, droplet size, 1 for yes and 0 for no; None is missing, or said in
        words in `note`. [as the kind says]
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
        if kind.form in ("event", "text"):
            put("value", None)
            return
        if not kind.is_typed:
            raise InvalidInput(item, "it follows from the layers", "Read a layer at two times or more.")
        value = checked(self.value, item, low=0, high=max(kind.most, NUMBER_MOST))
        if kind.form == "score" and value > SCORE_MOST:
            raise InvalidInput(item, f"{value:g} is outside the scale", f"Scores run from 0 to {SCORE_MOST}.")
        if kind.form in ("yes/no", "type") and value not in (0.0, 1.0):
            raise InvalidInput(
                item,
                f"{value:g} is neither {kind.words[0]} nor {kind.words[1]}",
                f"Write {kind.words[1]} or {kind.words[0]}.",
            )
        if value > kind.most:
            raise InvalidInput(item, f"{value:g} is more than {kind.most:g}", "Mend the reading.")
        if kind.form == "number" and kind.unit and value == 0:
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
