"""Times that people write, in hours."""

from __future__ import annotations

import re

from hlbcore._numbers import checked
from hlbcore.errors import InvalidInput, clipped

_HOURS_IN = {
    "s": 1 / 3600,
    "sec": 1 / 3600,
    "min": 1 / 60,
    "minute": 1 / 60,
    "h": 1.0,
    "hr": 1.0,
    "hour": 1.0,
    "d": 24.0,
    "day": 24.0,
    "w": 168.0,
    "week": 168.0,
    "month": 730.5,
}


def read_hours(text: object, item: str = "time", *, plain: str = "h") -> float:
    """Hours from what people write: ``15 min``, ``1 day``, ``2 weeks``, ``at once``.

    Parameters
    ----------
    text : object
        What was typed, or a number. [h]
    item : str
        What it belongs to; stands in the message.
    plain : str
        Unit of a number without one; blank: a unit is asked for.

    Returns
    -------
    float
        Time since making. [h]

    Raises
    ------
    InvalidInput
        If it is no time.

    Examples
    --------
    >>> read_hours("2 days"), read_hours("30 min")
    (48.0, 0.5)
    """
    if not isinstance(text, str):
        return checked(text, item, low=0)  # type: ignore[arg-type]
    folded = " ".join(text.casefold().split()).rstrip(".")
    if folded in ("at once", "start", "now", "fresh"):
        return 0.0
    found = re.fullmatch(r"(?P<number>[^a-z]{1,40})(?P<unit>[a-z]*)", folded)
    unit = found["unit"] if found else ""
    per = _HOURS_IN.get(unit) or _HOURS_IN.get(unit.rstrip("s")) or _HOURS_IN.get(plain if not unit else "")
    if found is None or per is None:
        raise InvalidInput(
            item,
            f"'{clipped(text)}' is no time" if unit or not found else f"'{clipped(text)}' has no unit",
            "Write for example 15 min, 1 h, 2 days or 1 week.",
        )
    return checked(found["number"].strip(), item, low=0) * per
