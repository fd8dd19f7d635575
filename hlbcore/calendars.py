"""Dated tasks as a calendar file that calendar programs read (RFC 5545)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from hashlib import sha256

from hlbcore.cells import whole_signs
from hlbcore.errors import InvalidInput
from hlbcore.limits import FORMULA_LINES_MOST, check_count, check_length


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do on a day, or at an hour.

    Parameters
    ----------
    at : date or datetime
        The day; with an hour where it matters, in local time.
    title : str
        What to do, in a few words.
    note : str
        More about it.

    Examples
    --------
    >>> Task(date(2026, 3, 1), "Look at the jars").at.isoformat()
    '2026-03-01'
    """

    at: date
    title: str
    note: str = ""


def calendar_file(tasks: Iterable[Task], name: str, *, now: datetime | None = None) -> bytes:
    """The tasks as a calendar file.

    Parameters
    ----------
    tasks : iterable of Task
        At least one.
    name : str
        What they belong to; an import of the same tasks again does not double them.
    now : datetime, optional
        Time of writing; the clock if left out.

    Returns
    -------
    bytes
        UTF-8. A task without an hour stands for the whole day; one with an hour takes a quarter of it,
        in the local time of whoever reads it.

    Raises
    ------
    InvalidInput
        If there is no task, or there are too many.

    Notes
    -----
    Written by the library icalendar, which folds and escapes what was typed.

    Examples
    --------
    >>> b"SUMMARY:Look" in calendar_file([Task(date(2026, 3, 1), "Look")], "Balm")
    True
    """
    from icalendar import Calendar, Event

    held = list(tasks)
    if not held:
        raise InvalidInput("calendar", "there is no dated task", "Give a date to start from.")
    check_count(held, "calendar, tasks", FORMULA_LINES_MOST)
    check_length(name, "calendar, name")
    stamp = (now or datetime.now(UTC)).astimezone(UTC)
    calendar = Calendar()
    calendar.add("prodid", "-//hlbcore//dated tasks//EN")
    calendar.add("version", "2.0")
    for number, task in enumerate(held):
        event = Event()
        identity = "\n".join((name, str(number), task.title, task.at.isoformat()))
        event.add("uid", sha256(whole_signs(identity).encode()).hexdigest()[:32] + "@hlbcore")
        event.add("dtstamp", stamp)
        event.add("dtstart", task.at)
        hour = isinstance(task.at, datetime)
        event.add("dtend", task.at + (timedelta(minutes=15) if hour else timedelta(days=1)))
        event.add("summary", whole_signs(task.title))
        if task.note:
            event.add("description", whole_signs(task.note))
        calendar.add_component(event)
    return bytes(calendar.to_ical())
