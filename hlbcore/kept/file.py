"""The one file of kept work: where it lies, opening, forms of the file, backups, damage."""

from __future__ import annotations

import errno
import os
import re
import shutil
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

import platformdirs

from hlbcore.errors import DamagedFile, NewerFile, NotSaved

FILE_VARIABLE = "HLB_FILE"
"""Environment variable that names another file of kept work."""

APPLICATION_ID = 0x484C4231
"""Mark of this tool in the header of the file."""

WAIT_S = 30.0
"""A writer waits this long for another one. [s] Our convention."""

BACKUPS_KEPT = 10
"""Daily backups that are kept; those before a change of form stay for ever. Our convention."""

MIGRATIONS: tuple[str, ...] = (
    """
    CREATE TABLE formula (
        uid TEXT PRIMARY KEY, name TEXT NOT NULL, product TEXT NOT NULL, words TEXT NOT NULL,
        current TEXT NOT NULL REFERENCES version (uid) DEFERRABLE INITIALLY DEFERRED,
        created TEXT NOT NULL, changed TEXT NOT NULL, removed TEXT
    ) STRICT;
    CREATE TABLE version (
        uid TEXT PRIMARY KEY, formula TEXT NOT NULL REFERENCES formula (uid),
        number INTEGER NOT NULL, parent TEXT REFERENCES version (uid), sheet TEXT NOT NULL,
        figures TEXT NOT NULL, digest TEXT NOT NULL, who TEXT NOT NULL, what TEXT NOT NULL,
        why TEXT NOT NULL, at TEXT NOT NULL, kept INTEGER NOT NULL,
        UNIQUE (formula, number)
    ) STRICT;
    CREATE INDEX version_parent ON version (parent, number);
    CREATE INDEX formula_changed ON formula (removed, changed DESC, uid);
    CREATE INDEX formula_current ON formula (current);
    CREATE TABLE own (
        uid TEXT PRIMARY KEY, body TEXT NOT NULL, who TEXT NOT NULL, at TEXT NOT NULL,
        withdrawn TEXT
    ) STRICT;
    CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
    """,
    # trials are kept as formulas are
    """
    ALTER TABLE formula ADD COLUMN kind TEXT NOT NULL DEFAULT 'formula';
    DROP INDEX formula_changed;
    CREATE INDEX formula_changed ON formula (kind, removed, changed DESC, uid);
    """,
)
"""Steps that lead from each form of the file to the next; never altered once released."""

MEMORY = "this session only"
"""Stands for the file where everything is kept in memory."""

_BROKEN = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)
_SENTENCES = {
    sqlite3.SQLITE_FULL: (
        "the disk is full",
        "Free some space, then save again: what is typed stays on the page.",
    ),
    sqlite3.SQLITE_IOERR: (
        "the disk cannot be read or written (it may be full)",
        "Look at the disk, then save again: what is typed stays on the page.",
    ),
    sqlite3.SQLITE_READONLY: (
        "the file or its folder may not be written",
        f"Allow writing there, or name another file with {FILE_VARIABLE}.",
    ),
    sqlite3.SQLITE_CANTOPEN: (
        "the file cannot be opened or made",
        f"Allow writing in its folder, or name another file with {FILE_VARIABLE}.",
    ),
    sqlite3.SQLITE_BUSY: (
        f"another window has been writing for more than {WAIT_S:g} s",
        "Save again in a moment.",
    ),
    sqlite3.SQLITE_TOOBIG: ("the text is too long", "Shorten the notes, then save again."),
    sqlite3.SQLITE_CONSTRAINT: (
        "what is kept there has changed in the meantime",
        "Look at the newest state, then do it again.",
    ),
}
_SESSION_FULL = (
    "a session cannot hold more",
    "Export everything, then go on in a new session with what is needed.",
)
_NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_TAILS = ("", "-wal", "-shm", "-journal")
_HEAD = b"SQLite format 3\0"


def default_path() -> Path:
    """Where kept work lies: in the user's data folder, or where the environment says.

    Returns
    -------
    Path
        The file that `FILE_VARIABLE` names, if it names one; it need not exist yet.

    Examples
    --------
    >>> default_path().suffix
    '.db'
    """
    named = os.environ.get(FILE_VARIABLE, "").strip()
    if named:
        return Path(named).expanduser()
    return platformdirs.user_data_path("hlbcore", appauthor=False) / "workshop.db"


@contextmanager
def told(where: str) -> Iterator[None]:
    """Turn what SQLite says into a sentence for the maker."""
    try:
        yield
    except sqlite3.Error as error:
        # the low byte is the kind; the rest tells variants apart
        code = (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF
        if code in _BROKEN:
            raise DamagedFile(where, None, last_backup(Path(where))) from error
        problem, mend = _SENTENCES.get(code, (str(error), "Save again."))
        if code == sqlite3.SQLITE_FULL and where == MEMORY:
            problem, mend = _SESSION_FULL
        raise NotSaved(where, problem, mend) from error
    except UnicodeEncodeError as error:
        raise NotSaved(
            where, "a text holds half a sign, which no file can keep", "Type that text again."
        ) from error
    except OSError as error:
        full = error.errno in _NO_ROOM
        problem, mend = _SENTENCES[sqlite3.SQLITE_FULL if full else sqlite3.SQLITE_CANTOPEN]
        raise NotSaved(where, f"{problem} ({error.strerror})", mend) from error


def open_file(path: Path | None, *, fresh: bool = False) -> sqlite3.Connection:
    """A connection to the file, of the newest form; a new file where there is none.

    Parameters
    ----------
    path : Path or None
        None keeps everything in memory, for one session.
    fresh : bool
        Make a new file even where backups of an older one lie beside it.

    Returns
    -------
    sqlite3.Connection
        Without transactions of its own; writers wait for each other.

    Raises
    ------
    NotSaved
        If it cannot be opened or made.
    NewerFile
        If a later version of this tool wrote it; it is not touched.
    DamagedFile
        If it is damaged (it is moved aside), or gone while a backup is there; the last backup is
        named.

    Examples
    --------
    >>> open_file(None).execute("PRAGMA user_version").fetchone()
    (2,)
    """
    if path is None:
        held = _connect(":memory:")
        _migrate(held, None)
        return held
    with told(str(path)):
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not (fresh or path.exists()) and (backup := last_backup(path)) is not None:
            raise DamagedFile(str(path), None, backup)
        _refuse_newer(path)
        with suppress(FileExistsError):  # made first, so that nobody else can ever read it
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
            _keep_lost_wal(path)
        link: sqlite3.Connection | None = None
        try:
            link = _connect(str(path))
            _look(link, path)
            _migrate(link, path)
            if str(link.execute("PRAGMA journal_mode = WAL").fetchone()[0]) != "wal":
                raise NotSaved(
                    str(path),
                    "its folder is of a kind that cannot keep work safely",
                    f"Name a file on a local disk with {FILE_VARIABLE}.",
                )
            return link
        except DamagedFile:
            _close(link)
            raise DamagedFile(str(path), move_aside(path), last_backup(path)) from None
        except sqlite3.Error as error:
            _close(link)
            if ((getattr(error, "sqlite_errorcode", None) or 0) & 0xFF) in _BROKEN:
                _refuse_foreign(path)
                raise DamagedFile(str(path), move_aside(path), last_backup(path)) from None
            raise
        except NotSaved:
            _close(link)
            raise


def _close(link: sqlite3.Connection | None) -> None:
    if link is not None:
        with suppress(sqlite3.Error):
            link.close()


def _connect(where: str) -> sqlite3.Connection:
    link = sqlite3.connect(where, timeout=WAIT_S, isolation_level=None, check_same_thread=False)
    link.execute("PRAGMA foreign_keys = ON")
    # in WAL less would lose the last edits at a power cut
    link.execute("PRAGMA synchronous = FULL")
    link.execute("PRAGMA trusted_schema = OFF")
    return link


def _look(link: sqlite3.Connection, path: Path) -> None:
    """Refuse a file of another program, of a later version, or a damaged one."""
    link.execute("BEGIN")  # one state for all that is read: another window may be making it
    mark = int(link.execute("PRAGMA application_id").fetchone()[0])
    form = int(link.execute("PRAGMA user_version").fetchone()[0])
    held = int(link.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
    if mark != APPLICATION_ID and (held or mark):
        raise _foreign(path)
    if form > len(MIGRATIONS):
        raise NewerFile(str(path), form, len(MIGRATIONS))
    if held and link.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
        raise DamagedFile(str(path))
    link.execute("COMMIT")


def _foreign(path: Path) -> NotSaved:
    return NotSaved(str(path), "it belongs to another program", f"Name another file with {FILE_VARIABLE}.")


def _refuse_newer(path: Path) -> None:
    """Refuse a file of a later version by its first bytes, before SQLite touches it."""
    with suppress(FileNotFoundError), path.open("rb") as opened:
        head = opened.read(72)
        form, mark = (int.from_bytes(head[n : n + 4], "big") for n in (60, 68))
        if head.startswith(_HEAD) and mark == APPLICATION_ID and form > len(MIGRATIONS):
            raise NewerFile(str(path), form, len(MIGRATIONS))


def _refuse_foreign(path: Path) -> None:
    """Refuse what never was a file of kept work, rather than move it aside.

    A file of ours has had a backup since its first day.
    """
    with path.open("rb") as opened:
        if opened.read(len(_HEAD)) != _HEAD and last_backup(path) is None:
            raise _foreign(path)


def _migrate(link: sqlite3.Connection, path: Path | None) -> None:
    form = int(link.execute("PRAGMA user_version").fetchone()[0])
    if form == len(MIGRATIONS):
        return
    if form and path is not None:
        copy_to(link, _backups(path) / f"{path.stem}-form-{form}-{_stamp()}.db")
    link.execute("BEGIN IMMEDIATE")
    try:
        # another window may have been faster
        form = int(link.execute("PRAGMA user_version").fetchone()[0])
        for step in MIGRATIONS[form:]:
            for statement in step.split(";"):
                if statement.strip():
                    link.execute(statement)
        link.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        link.execute(f"PRAGMA user_version = {len(MIGRATIONS)}")
        link.execute("COMMIT")
    except BaseException:
        if link.in_transaction:
            link.execute("ROLLBACK")
        raise


def _stamp() -> str:
    return datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")


def _backups(path: Path) -> Path:
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


def daily_backup(link: sqlite3.Connection, path: Path) -> None:
    """A backup for today, unless there is one; the oldest daily ones beyond `BACKUPS_KEPT` go."""
    today = datetime.now(UTC).strftime("%Y%m%d")
    target = _backups(path) / f"{path.stem}-day-{today}.db"
    if not target.exists():
        copy_to(link, target)
    pattern = re.compile(rf"{re.escape(path.stem)}-day-\d{{8}}\.db")
    daily = sorted(p for p in _backups(path).iterdir() if pattern.fullmatch(p.name))
    for old in daily[:-BACKUPS_KEPT]:
        old.unlink(missing_ok=True)


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
    if not _backups(path).is_dir():
        return None
    # another file of kept work may lie beside this one, under a longer name
    pattern = re.compile(rf"{re.escape(path.stem)}-(day-\d{{8}}|form-\d+-[\d-]+)\.db")
    held = [p for p in _backups(path).iterdir() if pattern.fullmatch(p.name)]
    return max(held, key=lambda p: p.stat().st_mtime_ns, default=None)


def move_aside(path: Path) -> Path:
    """Move a damaged file out of the way, with what belongs to it; nothing is deleted.

    Parameters
    ----------
    path : Path
        The file of kept work.

    Returns
    -------
    Path
        Where it lies now.
    """
    target = path.with_name(f"{path.stem}-damaged-{_stamp()}{path.suffix}")
    for tail in _TAILS:
        with suppress(FileNotFoundError):
            os.replace(f"{path}{tail}", f"{target}{tail}")
    return target


def _keep_lost_wal(path: Path) -> None:
    """Copy what a lost file left beside it: SQLite deletes that when it makes the new one."""
    lost = Path(f"{path}-wal")
    if lost.exists() and lost.stat().st_size:
        shutil.copy2(lost, path.with_name(f"{path.stem}-lost-{_stamp()}{path.suffix}-wal"))


def _move_if_there(path: Path) -> None:
    # the -wal of a lost file would be read into the backup
    if any(Path(f"{path}{tail}").exists() for tail in _TAILS):
        move_aside(path)


def from_backup(backup: Path, path: Path) -> None:
    """Put a copy of a backup in the place of the file; a file that is there is moved aside.

    Parameters
    ----------
    backup : Path
        One that `last_backup` named.
    path : Path
        The file of kept work.

    Raises
    ------
    NotSaved
        If it cannot be written.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from hlbcore import Store
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder) / "workshop.db"
    ...     Store(path).close()
    ...     from_backup(last_backup(path), path)
    ...     len(list(Path(folder).glob("workshop-damaged-*.db")))
    1
    """
    with told(str(path)):
        _move_if_there(path)
        with closing(sqlite3.connect(f"{backup.absolute().as_uri()}?mode=ro", uri=True)) as held:
            copy_to(held, path)
