"""A stability log: jars in several places, looked at on dated days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import pandas as pd

from hlbcore._numbers import checked, checked_text
from hlbcore.batch.numbering import read_day
from hlbcore.batch.record import BatchRecord
from hlbcore.calendars import Task, calendar_file
from hlbcore.errors import InvalidInput, clipped
from hlbcore.limits import check_count

PLACES: dict[str, tuple[str, tuple[int, ...]]] = {
    "room": ("20 to 25 °C, in the jar as sold, glass beside it", (0, 3, 7, 14, 30, 60, 90)),
    "cold": ("4 to 5 °C", (0, 3, 7, 14, 30, 60, 90)),
    "warm": ("37 to 40 °C", (0, 3, 7, 14, 30, 60, 90)),
    "freeze and thaw": ("-10 °C for a day, then 25 °C for a day: three times", (2, 4, 6)),
    "centrifuge": ("3000 rpm for 30 min, a third of the tube empty", (1, 30)),
}
"""Where jars stand, how, and on which days after making they are looked at by makers' plans. [days]
Common practice: a home guide of a school, a laboratory's page and a Brazilian guide, all seen as
excerpts; the centrifuge from memory."""

STANDARD = (
    "ISO/TR 18811:2018 sets no conditions, times or limits: you choose them and say why. "
    "This plan is a usual one of small workshops; no shelf life follows from it."
)
"""What the plan says of itself."""

LOOK_AT = "colour, smell, look, water or oil apart (mm), pH, feel, mass of the closed jar"
"""What is looked at each time."""

DAYS_MOST = 3650
"""Longest plan. [days] Our convention."""

STABILITY_COLUMNS = ("place", "day", "due", "seen", "who", "entered")
"""Columns of `stability_table`."""


@dataclass(frozen=True, slots=True)
class Look:
    """One look at one jar.

    Parameters
    ----------
    place : str
        Where it stands.
    day : int
        Days after making. [days]
    due : date
        The day it is due.
    """

    place: str
    day: int
    due: date

    @property
    def where(self) -> str:
        """Its place in the record."""
        return f"{self.place}, day {self.day}"


def stability_plan(
    made_on: str | date, places: Sequence[str] = ("room", "cold", "warm"), days: Sequence[int] | None = None
) -> tuple[Look, ...]:
    """When to look at which jar.

    Parameters
    ----------
    made_on : str or date
        Day of making.
    places : sequence of str
        Names of `PLACES`, or places of your own.
    days : sequence of int, optional
        Days after making; those of each place if left out. [days]

    Returns
    -------
    tuple of Look
        By day, then in the order of the places.

    Raises
    ------
    InvalidInput
        Without a place, or for a day that cannot be.

    Examples
    --------
    >>> [str(x.due) for x in stability_plan("2026-03-01", ["room"])][:3]
    ['2026-03-01', '2026-03-04', '2026-03-08']
    """
    start = made_on if isinstance(made_on, date) else read_day(made_on)
    held = list(dict.fromkeys(checked_text(p, "place").strip() for p in places))
    if not any(held):
        raise InvalidInput(
            "stability log", "no place is chosen", "Choose where jars stand, for example room."
        )
    check_count(held, "stability log, places", 20)
    usual = PLACES["room"][1]
    found = []
    for place in filter(None, held):
        chosen = days if days is not None else PLACES.get(place, ("", usual))[1]
        check_count(chosen, "stability log, days", 60)
        for day in dict.fromkeys(chosen):
            number = checked(day, "stability log, day", low=0, high=DAYS_MOST, unit="days")
            if number != int(number):
                raise InvalidInput(
                    "stability log, day", f"{clipped(day)} is no whole day", "Enter whole days."
                )
            found.append(Look(place, int(number), start + timedelta(days=int(number))))
    return tuple(sorted(found, key=lambda x: (x.day, held.index(x.place))))


def read_days(text: str) -> tuple[int, ...]:
    """Days as typed: ``0, 7, 30``."""
    pieces = text.replace(";", ",").split(",")
    return tuple(
        int(checked(p, "stability log, day", low=0, high=DAYS_MOST, unit="days")) for p in pieces if p.strip()
    )


def plan_text(places: Sequence[str], days: str) -> str:
    """A plan as a record keeps it: places, and days where they are the user's own."""
    return f"{', '.join(places)} | {days.strip()}"


def plan_of(record: BatchRecord) -> tuple[Look, ...]:
    """The plan that a record keeps; empty while it has none or no date."""
    text = record.value("stability plan")
    if not text.strip() or not record.made_on.strip():
        return ()
    places, _, days = text.partition("|")
    held = [p.strip() for p in places.split(",") if p.strip()]
    return stability_plan(record.made_on, held, read_days(days) if days.strip() else None)


def stability_table(record: BatchRecord, plan: Sequence[Look]) -> pd.DataFrame:
    """The looks of a plan with what was seen.

    Parameters
    ----------
    record : BatchRecord
        Its entries ``stability`` hold what was seen.
    plan : sequence of Look
        When to look.

    Returns
    -------
    DataFrame
        Columns as in `STABILITY_COLUMNS`; `seen` is blank while nothing is entered.
    """
    rows = []
    for look in plan:
        held = record.all_of("stability", look.where)
        last = held[-1] if held else None
        rows.append(
            (
                look.place,
                look.day,
                look.due.isoformat(),
                last.text if last else "",
                last.who if last else "",
                last.at[:10] if last else "",
            )
        )
    return pd.DataFrame(rows, columns=list(STABILITY_COLUMNS))


def stability_calendar(record: BatchRecord, plan: Sequence[Look]) -> bytes:
    """The looks of a plan as a calendar file.

    Parameters
    ----------
    record : BatchRecord
        Names the batch.
    plan : sequence of Look
        When to look.

    Returns
    -------
    bytes
        One whole day a look, as `hlbcore.calendars.calendar_file` writes it.
    """
    name = " ".join(filter(None, (record.name or "Batch", record.number)))
    tasks = []
    for look in plan:
        how = PLACES.get(look.place, ("",))[0]
        tasks.append(
            Task(look.due, f"{name}: look at the jar, {look.where}", f"{how}\nLook at: {LOOK_AT}".strip())
        )
    return calendar_file(tasks, f"stability {name}")
