"""The ways back: from a backup, and from what can still be read of a damaged file."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from hlbcore.kept.backups import TAILS, put_in_place
from hlbcore.kept.file import open_file, text, told
from hlbcore.kept.salvage import LeftOut, Salvaged, salvaged
from hlbcore.kept.standing import stamp


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
    >>> from hlbcore import Store, example_formula
    >>> from hlbcore.kept.backups import last_backup
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder) / "workshop.db"
    ...     with Store(path) as store:
    ...         first = store.save(example_formula())
    ...     from_backup(last_backup(path), path)
    ...     len(list(Path(folder).glob("workshop-damaged-*.db")))
    1
    """
    with told(str(path)), closing(read_only(backup)) as held:
        held.execute("SELECT count(*) FROM sqlite_master")  # before anything is moved
        put_in_place(held, path)


def beside(path: Path) -> Path:
    """A name beside a file of kept work, for a whole copy of what was open.

    Parameters
    ----------
    path : Path
        The file of kept work.

    Returns
    -------
    Path
        Not there yet.

    Examples
    --------
    >>> beside(Path("workshop.db")).name[:14]
    'workshop-open-'
    """
    return path.with_name(f"{path.stem}-open-{stamp()}{path.suffix}")


def read_only(path: Path) -> sqlite3.Connection:
    """A connection that changes nothing, to a backup or a copy."""
    link = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
    link.text_factory = text
    return link


def from_damaged(damaged: Path, path: Path) -> tuple[LeftOut, ...]:
    """Start again with what can still be read of a damaged file; nothing of it is deleted.

    Parameters
    ----------
    damaged : Path
        Where it lies now, as `DamagedFile` named it.
    path : Path
        The file of kept work; a file that is there is moved aside.

    Returns
    -------
    tuple of LeftOut
        What could not be read.

    Raises
    ------
    NotSaved
        If the new file cannot be written.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from hlbcore import Store, example_formula
    >>> from hlbcore.kept.backups import move_aside
    >>> with TemporaryDirectory() as folder:
    ...     path = Path(folder) / "workshop.db"
    ...     with Store(path) as store:
    ...         first = store.save(example_formula())
    ...     left = from_damaged(move_aside(path), path)
    ...     with Store(path) as store:
    ...         left, len(store.formulas())
    ((), 1)
    """
    with told(str(path)):
        copy = damaged.with_name(f"{damaged.name}.{stamp()}.part")  # reading a log writes to its file
        try:
            for tail in TAILS:
                with suppress(FileNotFoundError):
                    shutil.copyfile(f"{damaged}{tail}", f"{copy}{tail}")
            found, left = Salvaged(), [LeftOut("the file", damaged.name, "nothing of it could be read")]
            with suppress(sqlite3.Error, UnicodeDecodeError), closing(sqlite3.connect(copy)) as held:
                held.text_factory = text
                found, left = salvaged(held)
        finally:
            for tail in TAILS:
                Path(f"{copy}{tail}").unlink(missing_ok=True)
        with closing(open_file(None)[0]) as new:
            found.write(new)
            put_in_place(new, path)
    return tuple(left)
