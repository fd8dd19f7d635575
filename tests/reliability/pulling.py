"""A helper that pulls the file away, in every way that people and programs do, while saves run."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path

from hlbcore import Store, example_formula
from hlbcore.errors import LostFile

CREAM = example_formula()


def removed(path: Path, copy: Path) -> None:
    for tail in ("", "-wal", "-shm"):
        Path(f"{path}{tail}").unlink()


def renamed(path: Path, copy: Path) -> None:
    path.rename(path.with_name("elsewhere.db"))


def folder_renamed(path: Path, copy: Path) -> None:
    path.parent.rename(path.parent.with_name(f"{path.parent.name} tidied"))


def emptied(path: Path, copy: Path) -> None:
    os.truncate(path, 0)


def log_removed(path: Path, copy: Path) -> None:
    for tail in ("-wal", "-shm"):
        Path(f"{path}{tail}").unlink()


def log_emptied(path: Path, copy: Path) -> None:
    os.truncate(f"{path}-wal", 0)


def cut(path: Path, copy: Path) -> None:
    os.truncate(path, path.stat().st_size // 2)


def older_moved_over(path: Path, copy: Path) -> None:
    moved = path.with_name("restored.db")
    shutil.copy(copy, moved)
    os.replace(moved, path)


def older_written_over(path: Path, copy: Path) -> None:
    shutil.copyfile(copy, path)  # as cp does: the same file, other contents


WAYS: tuple[Callable[[Path, Path], None], ...] = (
    removed,
    renamed,
    folder_renamed,
    emptied,
    log_removed,
    log_emptied,
    cut,
    older_moved_over,
    older_written_over,
)
COPIES = (older_moved_over, older_written_over)


AFTER_S = 2.0
"""A process that has not been told by then, though it saves without a break, never is. [s]"""


def save_until_told(pipe: Connection, path: Path, killed: bool) -> None:
    """Save without a break until the file is gone; then write all that is open to a file beside.

    `killed`: the process ends before it has told its user anything.
    """
    store = Store(path)
    last = store.open(store.formulas()["uid"][0])
    pipe.send(("ready", ""))
    end = time.monotonic() + AFTER_S
    try:
        while time.monotonic() < end:
            last = store.save(CREAM, on=last, what="again")
            pipe.send(("version", last.uid))
    except LostFile as error:
        if killed:
            os._exit(0)
        pipe.send(("told", str(error)))
    out = path.parent.with_name(f"{path.parent.name} out") / "out.db"
    store.put_back(out)
    pipe.send(("out", str(out)))
