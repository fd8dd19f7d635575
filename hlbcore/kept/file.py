"""The one file of kept work: where it lies, opening, forms of the file, backups, damage."""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import platformdirs

from hlbcore.errors import DamagedFile, NewerFile, NotSaved
from hlbcore.kept.backups import backups_of, copy_to, keep_lost_log, last_backup, move_aside
from hlbcore.kept.salvage import COLUMNS
from hlbcore.kept.standing import HEAD, Standing, is_strange, set_log_aside, stamp

FILE_VARIABLE = "HLB_FILE"
"""Environment variable that names another file of kept work."""

APPLICATION_ID = 0x484C4231
"""Mark of this tool in the header of the file."""

WAIT_S = 30.0
"""A writer waits this long for another one. [s] Our convention."""

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
        code = _code(error)
        if code in _BROKEN:
            raise DamagedFile(where, None, last_backup(Path(where))) from error
        problem, mend = _SENTENCES.get(code, (str(error), "Save again."))
        if code == sqlite3.SQLITE_FULL and where == MEMORY:
            problem, mend = _SESSION_FULL
        raise NotSaved(where, problem, mend) from error
    except UnicodeDecodeError as error:  # SQLite quotes a damaged schema
        raise DamagedFile(where, None, last_backup(Path(where))) from error
    except UnicodeEncodeError as error:
        raise NotSaved(
            where, "a text holds half a sign, which no file can keep", "Type that text again."
        ) from error
    except OSError as error:
        full = error.errno in _NO_ROOM
        problem, mend = _SENTENCES[sqlite3.SQLITE_FULL if full else sqlite3.SQLITE_CANTOPEN]
        raise NotSaved(where, f"{problem} ({error.strerror})", mend) from error


def open_file(path: Path | None, *, fresh: bool = False) -> tuple[sqlite3.Connection, Standing | None]:
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
    Standing or None
        The file as it stands at its path; None in memory.

    Raises
    ------
    NotSaved
        If it cannot be opened or made.
    NewerFile
        If a later version of this tool wrote it; it is not touched.
    DamagedFile
        If it is damaged (it is moved aside), or gone or empty while a backup is there; the last
        backup is named.

    Examples
    --------
    >>> link, _ = open_file(None)
    >>> link.execute("PRAGMA user_version").fetchone()
    (2,)
    >>> link.close()
    """
    if path is None:
        held = connect(":memory:")
        _migrate(held, None)
        return held, None
    with told(str(path)):
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not (fresh or is_filled(path)) and (backup := last_backup(path)) is not None:
            raise DamagedFile(str(path), None, backup)
        with suppress(FileExistsError):  # made first, so that nobody else can ever read it
            os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
        if not path.stat().st_size:
            keep_lost_log(path)
        standing = Standing(path)
        link: sqlite3.Connection | None = None
        head = standing.head()
        try:
            _refuse_newer(path, head)
            if is_strange(standing):
                set_log_aside(path)
            link = connect(str(path))
            _look(link, path)
            _migrate(link, path)
            if str(link.execute("PRAGMA journal_mode = WAL").fetchone()[0]) != "wal":
                raise NotSaved(
                    str(path),
                    "its folder is of a kind that cannot keep work safely",
                    f"Name a file on a local disk with {FILE_VARIABLE}.",
                )
            _look_at_tables(link, path)  # this opens the log too
            link.execute("BEGIN IMMEDIATE")  # while nobody else writes
            standing.take()
            link.execute("ROLLBACK")
            return link, standing
        except BaseException as error:
            _close(link)
            standing.release()
            if is_damage(error):
                _refuse_foreign(path, head)
                raise DamagedFile(str(path), move_aside(path), last_backup(path)) from None
            raise


def is_filled(path: Path) -> bool:
    """Whether anything stands at a path, other than an empty file."""
    return path.exists() and (not path.is_file() or path.stat().st_size > 0)


def is_damage(error: BaseException) -> bool:
    """Whether an error at opening means that the file is damaged."""
    if isinstance(error, (DamagedFile, UnicodeDecodeError)):
        return True
    return isinstance(error, sqlite3.Error) and _code(error) in _BROKEN


def _code(error: BaseException) -> int:
    """The kind of an error; the other bytes tell variants apart."""
    return (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF


def _look_at_tables(link: sqlite3.Connection, path: Path) -> None:
    """Refuse a file in which a table or a column is not there: its schema was damaged."""
    for table, columns in COLUMNS.items():
        try:
            link.execute(f"SELECT {columns} FROM {table} LIMIT 1").fetchall()
        except sqlite3.Error as error:
            if _code(error) == sqlite3.SQLITE_ERROR:
                raise DamagedFile(str(path)) from None
            raise


def _close(link: sqlite3.Connection | None) -> None:
    if link is not None:
        with suppress(sqlite3.Error):
            link.close()


def text(data: bytes) -> str:
    """A text of the file; a damaged sign shows as such and stops nobody."""
    return data.decode("utf-8", "replace")


def connect(where: str) -> sqlite3.Connection:
    """A connection without transactions of its own."""
    link = sqlite3.connect(where, timeout=WAIT_S, isolation_level=None, check_same_thread=False)
    try:
        link.text_factory = text
        link.execute("PRAGMA foreign_keys = ON")
        # in WAL less would lose the last edits at a power cut
        link.execute("PRAGMA synchronous = FULL")  # the first that reads the file: it may be damaged
        link.execute("PRAGMA trusted_schema = OFF")
        # the log is written back at each save, at a moment of our own: a file without its log is whole
        link.execute("PRAGMA wal_autocheckpoint = 0")
    except BaseException:
        _close(link)
        raise
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


def _refuse_newer(path: Path, head: bytes) -> None:
    """Refuse a file of a later version by its first bytes, before SQLite touches it."""
    form, mark = (int.from_bytes(head[n : n + 4], "big") for n in (60, 68))
    if head.startswith(HEAD) and mark == APPLICATION_ID and form > len(MIGRATIONS):
        raise NewerFile(str(path), form, len(MIGRATIONS))


def _refuse_foreign(path: Path, head: bytes) -> None:
    """Refuse what never was a file of kept work, rather than move it aside.

    A file of ours has a backup from the end of its first day.
    """
    if not head.startswith(HEAD) and last_backup(path) is None:
        raise _foreign(path)


def _migrate(link: sqlite3.Connection, path: Path | None) -> None:
    form = int(link.execute("PRAGMA user_version").fetchone()[0])
    if form == len(MIGRATIONS):
        return
    if form and path is not None:
        copy_to(link, backups_of(path) / f"{path.stem}-form-{form}-{stamp()}.db")
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
