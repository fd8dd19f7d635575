"""Batch numbers, days, and the day until which a batch is best."""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from datetime import date

from hlbcore.errors import InvalidInput, clipped

MONTHS_MOST = 120
"""Most months until a best-before date. [months] Our convention."""


def read_day(text: str) -> date:
    """A day as typed, ``2026-03-01``."""
    try:
        return date.fromisoformat(text.strip()[:10])
    except ValueError:
        raise InvalidInput("date", f"'{clipped(text)}' is no day", "Write it as 2026-03-01.") from None


def next_number(taken: Iterable[str], day: date) -> str:
    """The next batch number of a day.

    Parameters
    ----------
    taken : iterable of str
        Numbers of other batches.
    day : date
        Day of making.

    Returns
    -------
    str
        The day and a running number.

    Examples
    --------
    >>> next_number(["20260301-1"], date(2026, 3, 1))
    '20260301-2'
    """
    held = set(taken)
    number = 1
    while f"{day:%Y%m%d}-{number}" in held:
        number += 1
    return f"{day:%Y%m%d}-{number}"


def best_before(made_on: str | date, months: int) -> date:
    """The day so many months after making.

    Parameters
    ----------
    made_on : str or date
        Day of making.
    months : int
        What your own stability log bears out; this tool knows no shelf life. [months, 1 to 120]

    Returns
    -------
    date
        The same day of that month, or its last one.

    Examples
    --------
    >>> best_before("2026-08-31", 6).isoformat()
    '2027-02-28'
    """
    day = made_on if isinstance(made_on, date) else read_day(made_on)
    if isinstance(months, bool) or not isinstance(months, int) or not 1 <= months <= MONTHS_MOST:
        raise InvalidInput(
            "best before", f"{clipped(months)} months cannot be", "Enter 1 to 120 whole months."
        )
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))
