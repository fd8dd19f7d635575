"""Copies of the file of kept work: one for each day, one before each change of form; and back."""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import time
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

from hlbcore.kept.standing import log_of, lost_log, stamp

BACKUPS_KEPT = 10
"""Daily backups that are kept; those before a change of form stay for ever. Our convention."""

TAILS = ("", "-wal", "-shm", "-journal")


def backups_of(path: Path) -> Path:
    """The folder of the backups."""
    return path.parent / "backups"


def copy_to(link: sqlite3.Connection, target: Path) -> None:
    """A whole copy of the file; it appears under its name only when it is complete."""
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    part = target.with_name(f"{target.name}.{os.getpid()}.{time.monotonic_ns()}.part")
    try:
        os.close(os.open(part, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        with closing(sqlite3.connect(part)) as copy:
            link.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")
        os.replace(part, target)
    finally:
        part.unlink(missing_ok=True)


def day_of(path: Path) -> str:
    """The day on which the file was last written, by the clock of the world."""
    times = [datetime.now(UTC).timestamp()]
    with suppress(OSError):
        times = [os.stat(path).st_mtime]
        times.append(os.stat(log_of(path)).st_mtime)
    return datetime.fromtimestamp(max(times), UTC).strftime("%Y%m%d")


def today_utc() -> str:
    """Today, by the clock of the world."""
    return datetime.now(UTC).strftime("%Y%m%d")


def backup_day(link: sqlite3.Connection, path: Path, day: str, *, written: bool) -> bool:
    """Keep what is there as the end of a day; the oldest daily ones beyond `BACKUPS_KEPT` go.

    An empty file leaves no backup, and one that holds less than the backup of that day does not
    take its place.

    Parameters
    ----------
    link : sqlite3.Connection
        The file.
    path : Path
        Where it lies.
    day : str
        The day that it is kept for.
    written : bool
        Whether it was written since it was opened; if not, a backup that holds as much is good.

    Returns
    -------
    bool
        Whether the backup of that day holds all that is there.
    """
    here, target = _holds(link), backups_of(path) / f"{path.stem}-day-{day}.db"
    there = _held_by(target)
    if not here or here < there or (here == there and not written):
        return here == there
    copy_to(link, target)
    pattern = re.compile(rf"{re.escape(path.stem)}-day-\d{{8}}\.db")
    daily = sorted(p for p in backups_of(path).iterdir() if pattern.fullmatch(p.name))
    for old in daily[:-BACKUPS_KEPT]:
        old.unlink(missing_ok=True)
    return True


def _holds(link: sqlite3.Connection) -> int:
    (count,) = link.execute("SELECT (SELECT count(*) FROM version) + (SELECT count(*) FROM own)").fetchone()
    return int(count)


def _held_by(backup: Path) -> int:
    """Versions and own values in a backup; less than none where it cannot be read."""
    if not backup.exists():
        return -1
    try:
        with closing(sqlite3.connect(f"{backup.absolute().as_uri()}?mode=ro", uri=True)) as held:
            return _holds(held)
    except (sqlite3.Error, UnicodeDecodeError):
        return -1


def last_backup(path: Path) -> Path | None:
    """The newest backup of the file.

    Parameters
    ----------
    path : Path
        The file of kept work.

    Returns
    -------
    Path or None
        None where there is none.

    Examples
    --------
    >>> last_backup(Path("no such folder") / "workshop.db")
    """
    if not backups_of(path).is_dir():
        return None
    # another file of kept work may lie beside this one, under a longer name
    pattern = re.compile(rf"{re.escape(path.stem)}-(day-\d{{8}}|form-\d+-[\d-]+)\.db")
    held = [p for p in backups_of(path).iterdir() if pattern.fullmatch(p.name)]
    return max(held, key=lambda p: p.stat().st_mtime_ns, default=None)


def move_aside(path: Path, word: str = "damaged") -> Path:
    """Move a file out of the way, with what belongs to it; nothing is deleted.

    Parameters
    ----------
    path : Path
        The file of kept work.
    word : str
        What its new name says of it.

    Returns
    -------
    Path
        Where it lies now.
    """
    target = path.with_name(f"{path.stem}-{word}-{stamp()}{path.suffix}")
    for tail in TAILS:
        with suppress(FileNotFoundError):
            os.replace(f"{path}{tail}", f"{target}{tail}")
    return target


def keep_lost_log(path: Path) -> None:
    """Copy what a lost file left beside it: SQLite deletes that when it makes the new one."""
    log = log_of(path)
    if log.exists() and log.stat().st_size:
        shutil.copy2(log, lost_log(path))


def put_in_place(link: sqlite3.Connection, path: Path, word: str = "damaged") -> None:
    """Put a copy in the place of the file; whatever is there is moved aside."""
    # the log of a lost file would be read into the copy
    if any(Path(f"{path}{tail}").exists() for tail in TAILS):
        move_aside(path, word)
    copy_to(link, path)
