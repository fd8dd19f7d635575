from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from icalendar import Calendar

from hlbcore import InvalidInput
from hlbcore.calendars import Task, calendar_file

NOW = datetime(2026, 3, 1, 8, tzinfo=UTC)


def events(file: bytes) -> list:
    return list(Calendar.from_ical(file).walk("VEVENT"))


def test_a_task_of_a_day_and_one_of_an_hour_come_back() -> None:
    tasks = [Task(date(2026, 3, 8), "Look"), Task(datetime(2026, 3, 2, 9, 30), "Shake", "all vials")]
    day, hour = events(calendar_file(tasks, "Balm", now=NOW))
    assert (day.decoded("dtstart"), day.decoded("dtend")) == (date(2026, 3, 8), date(2026, 3, 9))
    assert hour.decoded("dtstart") == datetime(2026, 3, 2, 9, 30)
    assert str(hour["description"]) == "all vials"


def test_what_is_typed_cannot_add_lines_to_the_calendar() -> None:
    bad = "Balm\r\nEND:VEVENT\r\nATTACH:x; a,b \ud800"
    [event] = events(calendar_file([Task(date(2026, 3, 8), bad)], bad, now=NOW))
    assert "ATTACH" not in event
    assert "END:VEVENT" in str(event["summary"])


def test_the_same_tasks_keep_their_identity() -> None:
    tasks = [Task(date(2026, 3, 8), "Look"), Task(date(2026, 3, 8), "Look")]
    first, second = ([str(e["uid"]) for e in events(calendar_file(tasks, "Balm"))] for _ in range(2))
    assert first == second
    assert len(set(first)) == 2


def test_a_calendar_without_tasks_is_refused() -> None:
    with pytest.raises(InvalidInput, match="no dated task"):
        calendar_file([], "Balm")
