"""When a ladder is read: its times as dated tasks."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from hlbcore.calendars import Task, calendar_file
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.observations import after_words
from hlbcore.ladder.record_cells import NOTE, record_columns
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.ladder.times import read_hours
from hlbcore.ladder.words import usual_name


def made_at(text: str) -> date:
    """The day, or day and time, that a ladder was made.

    Parameters
    ----------
    text : str
        ``2026-03-01`` or ``2026-03-01 14:30``.

    Returns
    -------
    date or datetime
        With a time where one was written.

    Raises
    ------
    InvalidInput
        For anything else.

    Examples
    --------
    >>> made_at("2026-03-01").isoformat(), made_at("2026-03-01 14:30").isoformat()
    ('2026-03-01', '2026-03-01T14:30:00')
    """
    held = text.strip()
    try:
        return (
            date.fromisoformat(held) if len(held) <= 10 else datetime.fromisoformat(held).replace(tzinfo=None)
        )
    except ValueError:
        raise InvalidInput(
            "made on",
            f"'{clipped(held, 40)}' is no day" if held else "it is blank",
            "Write it as 2026-03-01, or with the time as 2026-03-01 14:30.",
        ) from None


def reading_tasks(ladder: Ladder, sheet: LadderSheet) -> tuple[Task, ...]:
    """One task for each time of reading, in order.

    Parameters
    ----------
    ladder : Ladder
        The ladder that is recorded.
    sheet : LadderSheet
        What was typed: day of making, times, what is looked at.

    Returns
    -------
    tuple of Task
        With the day, and the time where that of making is known.

    Raises
    ------
    InvalidInput
        Where the day of making cannot be read.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20})
    >>> asked = LadderSheet(made_on="2026-03-01", times="1 day, 1 week")
    >>> [t.at.isoformat() for t in reading_tasks(ladder, asked)]
    ['2026-03-02', '2026-03-08']
    """
    start = made_at(sheet.made_on)
    looked: dict[float, list[str]] = {}
    for c in record_columns(ladder, sheet):
        if c.kind == NOTE:
            continue
        try:
            looked.setdefault(read_hours(c.time, plain=""), []).append(c.kind)
        except HlbError:  # told beside the field
            continue
    name = sheet.name.strip() or usual_name(ladder)
    tasks = []
    for hours, kinds in sorted(looked.items()):
        if hours == 0:
            continue
        vials = ", ".join(v.label for v in ladder.at_bench)
        note = f"Look at: {', '.join(dict.fromkeys(kinds))}. Vials: {vials}."
        tasks.append(
            Task(start + timedelta(hours=hours), f"Read {clipped(name, 60)} {after_words(hours)}", note)
        )
    return tuple(tasks)


def reading_calendar(ladder: Ladder, sheet: LadderSheet) -> bytes:
    """The reading times as a calendar file; arguments and errors as in `reading_tasks`."""
    return calendar_file(reading_tasks(ladder, sheet), sheet.name.strip() or usual_name(ladder))
