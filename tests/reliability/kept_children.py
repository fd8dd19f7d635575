"""What other processes do to a file of kept work; they tell the parent what was accepted.

They are forked from one server that has everything loaded, so that they start at once.
"""

from __future__ import annotations

import multiprocessing
import os
import random
import resource
import signal
import sys
from collections.abc import Callable
from dataclasses import replace
from multiprocessing.connection import Connection
from multiprocessing.context import ForkServerProcess
from pathlib import Path
from types import ModuleType
from typing import Any

from hlbcore import OwnReading, Store, example_formula
from hlbcore.errors import Conflict, NotSaved

SERVER = multiprocessing.get_context("forkserver")
SERVER.set_forkserver_preload(["hlbcore", "hlbcore.kept.store", "kept_children"])
NOBODY = 65534
CREAM = example_formula()


def started(work: Callable[..., None], *given: Any) -> tuple[ForkServerProcess, Connection]:
    """A process at work, and the end of its pipe that tells what it did."""
    ours, theirs = SERVER.Pipe(duplex=False)
    process = SERVER.Process(target=work, args=(theirs, *given), daemon=True)
    # a child imports its parent's main module; a test of the app leaves a page in its place
    main = sys.modules["__main__"]
    sys.modules["__main__"] = ModuleType("__main__")
    try:
        process.start()
    finally:
        sys.modules["__main__"] = main
    theirs.close()
    return process, ours


def told(end: Connection) -> list[Any]:
    """All that a process said before it ended."""
    heard = []
    try:
        while True:
            heard.append(end.recv())
    except EOFError:
        return heard


def done(work: Callable[..., None], *given: Any) -> list[Any]:
    """What a process said that ran to its end."""
    process, end = started(work, *given)
    heard = told(end)
    process.join()
    assert process.exitcode == 0
    return heard


def save_for_ever(pipe: Connection, path: Path, seed: int) -> None:
    """Save one thing after another; each is told once the save has returned."""
    chance = random.Random(seed)
    with Store(path) as store:
        last = None
        while True:
            what = chance.random()
            if last is None or what < 0.1:
                last = store.save(CREAM, who=str(seed))
            elif what < 0.2:
                pipe.send(("own", store.add_own(OwnReading("shea butter", 9.0))[0]))
                continue
            elif what < 0.25:
                store.set_setting(f"{seed} {chance.random()}", "set")
                continue
            else:
                note = "x" * chance.choice((0, 500, 5_000, 19_000))  # the longer, the more pages
                last = store.save(replace(CREAM, note=note), on=last, why=str(what))
            pipe.send(("version", last.uid))


def save_some(pipe: Connection, path: Path, count: int, formula: str) -> None:
    """Save so many states, of one formula with others or each of a new one."""
    with Store(path) as store:
        pipe.send(("ready", ""))
        for n in range(count):
            state = replace(CREAM, name=f"{os.getpid()} {n}")
            if not formula:
                pipe.send(("version", store.save(state).uid))
                continue
            try:
                pipe.send(("version", store.save(state, on=store.open(formula)).uid))
            except Conflict as conflict:
                pipe.send(("conflict", conflict.mine))


def fill(store: Store, pipe: Connection) -> None:
    """Save until there is no room; what was said then is told."""
    try:
        while True:
            pipe.send(("version", store.save(replace(CREAM, note="x" * 19_000)).uid))
    except NotSaved as error:
        pipe.send(("refused", str(error)))


def fill_the_disk(pipe: Connection, path: Path, room: int) -> None:
    """Save with so many bytes left for any file, then again with more."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    with Store(path) as store:
        soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (path.stat().st_size + room, hard))
        fill(store, pipe)
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        pipe.send(("version", store.save(CREAM).uid))


def open_as_nobody(pipe: Connection, path: Path) -> None:
    """Open and save as a user with few rights."""
    if os.getuid() == 0:
        os.setgroups([])
        os.setgid(NOBODY)
        os.setuid(NOBODY)
    try:
        with Store(path) as store:
            pipe.send(("version", store.save(CREAM).uid))
    except NotSaved as error:
        pipe.send(("refused", str(error)))
