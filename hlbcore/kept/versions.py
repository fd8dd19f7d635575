"""One saved state of anything that is kept, and the times and identities that belong to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Generic, TypeVar

from hlbcore.errors import InvalidInput, clipped

T = TypeVar("T")

FORM = "%Y-%m-%dT%H:%M:%S.%fZ"


@dataclass(frozen=True, slots=True)
class Version(Generic[T]):
    """One saved state of a formula, of a ladder, or of anything else that is kept.

    Parameters
    ----------
    uid, work : str
        Identity of the version, and of the formula or ladder that it is a state of; they stay the
        same in every copy.
    kind : str
        Name of its kind.
    number : int
        Counts from 1 within the work. [-]
    parent : str
        The version that it was made from; blank for the first.
    body : object
        What was typed.
    figures : mapping of str to float or str
        What followed from it when it was saved. [HLB, % of formula]
    digest : str
        Digest of the tables and own figures in use then.
    who, what, why, at : str
        Who changed what, why, and when (UTC).
    kept : bool
        Whether the maker marked it with a reason.
    """

    uid: str
    work: str
    kind: str
    number: int
    parent: str
    body: T
    figures: Mapping[str, float | str] = field(hash=False)
    digest: str
    who: str
    what: str
    why: str
    at: str
    kept: bool


def now() -> str:
    """The time as it is kept: UTC, to the microsecond."""
    return datetime.now(UTC).strftime(FORM)


def later(at: str, last: str) -> str:
    """A time as it is kept, or just after another one where the clock has gone back.

    Parameters
    ----------
    at, last : str
        The time, and the other one; any text that is no time is passed over.

    Returns
    -------
    str
        As kept.

    Examples
    --------
    >>> later("2026-03-01T10:00:00.000000Z", "2026-03-01T12:00:00.000000Z")
    '2026-03-01T12:00:00.000001Z'
    """
    if last < at:
        return at
    try:
        after = datetime.fromisoformat(last) + timedelta(microseconds=1)
    except (ValueError, OverflowError):
        return at
    return after.astimezone(UTC).strftime(FORM)


def today() -> str:
    """The day on the clock of this computer, as it is kept.

    Returns
    -------
    str
        Year, month and day.

    Examples
    --------
    >>> len(today())
    10
    """
    return local_time(now())[:10]


def local_time(at: str) -> str:
    """A kept time on the clock of this computer.

    Parameters
    ----------
    at : str
        As kept: UTC.

    Returns
    -------
    str
        Day, hour and minute.

    Examples
    --------
    >>> len(local_time("2026-03-01T10:42:07.000001Z"))
    16
    """
    try:
        return datetime.fromisoformat(at).astimezone().strftime("%Y-%m-%d %H:%M")
    except (ValueError, OverflowError, OSError):  # from a file of another hand
        return clipped(at)


def checked_uid(uid: str) -> str:
    """An identity from outside, for example from an address.

    Parameters
    ----------
    uid : str
        As given.

    Returns
    -------
    str
        Lower case.

    Raises
    ------
    InvalidInput
        If it is none.

    Examples
    --------
    >>> checked_uid("0123456789ABCDEF" * 2)
    '0123456789abcdef0123456789abcdef'
    """
    text = uid.strip().lower()
    if len(text) != 32 or set(text) - set("0123456789abcdef"):
        raise InvalidInput("formula", f"'{clipped(uid)}' names none", "Choose one from the list.")
    return text
