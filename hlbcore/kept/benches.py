"""The bench of a store: the tables with what was learned, and the formulas that it would move."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache

import pandas as pd

from hlbcore.blending.work_out import work_out
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.kept.across import current
from hlbcore.kept.catalogue import NO_NAME
from hlbcore.kept.figures import MOVED, kept_figures
from hlbcore.kept.kinds import BENCH, LADDER
from hlbcore.kept.store import Store
from hlbcore.kept.versions import Version
from hlbcore.ladder.result import read_ladder
from hlbcore.learning.bench import Bench, in_use
from hlbcore.learning.from_trial import bench_result
from hlbcore.learning.next_bench import BenchPhase, phase_of_worked
from hlbcore.library import Library, load_library
from hlbcore.sheets import Own

AFFECTED_COLUMNS = (
    "name",
    "required_before",
    "required_after",
    "verdict_before",
    "verdict_after",
    "moves",
    "uid",
)
"""Columns of `compared`."""


_NOW = (
    "SELECT CAST(v.sheet AS BLOB) FROM formula f JOIN version v ON v.uid = f.current "
    "WHERE f.kind = ? AND f.removed IS NULL ORDER BY f.changed DESC, f.uid"
)


def bench_of(store: Store) -> Version[Bench] | None:
    """The bench of a store, as it stands now.

    Parameters
    ----------
    store : Store
        Kept work.

    Returns
    -------
    Version or None
        The one last changed; None where there is none, or none that can be read.
    """
    held = store.listed(BENCH)
    for uid in held["uid"]:
        try:
            return store.open(str(uid), kind=BENCH)
        except HlbError:
            continue
    return None


def with_learned(store: Store, own: Iterable[Own], bench: Bench | None = None) -> tuple[Own, ...]:
    """Own figures, and the learned ones that lead in formulas, to be laid over the tables.

    Parameters
    ----------
    store : Store
        Kept work.
    own : iterable of OwnReading and OwnIngredient
        The own figures that count.
    bench : Bench, optional
        Left out: that of the store.

    Returns
    -------
    tuple of OwnReading and OwnIngredient
        The learned ones last.
    """
    items = tuple(own)
    if bench is None and (bench := _bench_now(store)) is None:
        return items
    return (*items, *in_use(bench, items))


def _bench_now(store: Store) -> Bench | None:
    """The bench as `bench_of` finds it; every page asks for it many times."""
    with store.reading() as link:
        rows = link.execute(_NOW, (BENCH.name,)).fetchall()
    return next((b for (text,) in rows if (b := _read(text)) is not None), None)


@lru_cache(16)
def _read(text: bytes) -> Bench | None:
    try:
        return BENCH.read(text.decode())
    except (HlbError, UnicodeDecodeError):
        return None


def stamp_of(store: Store) -> tuple[object, ...]:
    """Changes with all that is written to the file of a store, here or by another program."""
    with store.reading() as link:
        return link, link.execute("PRAGMA data_version").fetchone(), link.total_changes


def library_of(store: Store) -> Library:
    """The tables with the own values of a store, and the learned figures that it uses.

    Parameters
    ----------
    store : Store
        Kept work.

    Returns
    -------
    Library
        What pages and checks reckon with.
    """
    return load_library(overlay=with_learned(store, store.overlay()))


def moved_by(store: Store, bench: Bench) -> pd.DataFrame:
    """The kept formulas that another bench would move: figures accepted, or a ladder taken out.

    Parameters
    ----------
    store : Store
        Kept work; nothing of it is changed.
    bench : Bench
        As it would be kept.

    Returns
    -------
    DataFrame
        Columns as in `AFFECTED_COLUMNS`, of formulas that move; what moves most first.
    """
    now, then = (set(with_learned(store, store.overlay(), b)) for b in (None, bench))
    oils = sorted({x.name for x in now ^ then})
    after = load_library(overlay=with_learned(store, store.overlay(), bench))
    table = compared(store, library_of(store), after, oils)
    return table[table["moves"]].reset_index(drop=True)


def compared(store: Store, before: Library, after: Library, oils: Iterable[str]) -> pd.DataFrame:
    """What the kept formulas require by two libraries.

    Parameters
    ----------
    store : Store
        Kept work.
    before, after : Library
        The tables as they are and as they would be.
    oils : iterable of str
        Only formulas that hold one of them are looked at.

    Returns
    -------
    DataFrame
        Columns as in `AFFECTED_COLUMNS`; what moves most first. [HLB]
    """
    wanted = {after.key(oil) for oil in oils}
    rows = []
    for uid, held in current(store).items():
        formula = held.body
        if not any(after.key(x.name) in wanted for x in formula.lines):
            continue
        old, new = (kept_figures(work_out(formula, tables)) for tables in (before, after))
        first, second = _number(old.get("required")), _number(new.get("required"))
        words = str(old.get("word", "")), str(new.get("word", ""))
        gap = abs(second - first)
        # NaN: a formula that had no figure at all moves, one that has none either way does not
        same = pd.isna(first) and pd.isna(second)
        moves = words[0] != words[1] or not (gap < MOVED or same)
        rows.append((formula.name or NO_NAME, first, second, *words, moves, uid))
    table = pd.DataFrame(rows, columns=list(AFFECTED_COLUMNS))
    if table.empty:
        return table.astype({"moves": bool})
    size = (table["required_after"] - table["required_before"]).abs().fillna(float("inf"))
    return table.iloc[(-size).argsort(kind="stable")].reset_index(drop=True)


def phases_of(store: Store, library: Library) -> tuple[BenchPhase, ...]:
    """The oil phases of the kept formulas, each with its pair where it has two emulsifiers.

    Parameters
    ----------
    store : Store
        Kept work.
    library : Library
        The tables.

    Returns
    -------
    tuple of BenchPhase
        Of o/w formulas that require an HLB.
    """
    found = []
    for held in current(store).values():
        phase = phase_of_worked(work_out(held.body, library))
        if phase is not None:
            found.append(replace(phase, name=held.body.name or NO_NAME))
    return tuple(found)


def waiting(store: Store, bench: Bench) -> dict[str, str]:
    """Kept ladders that were not taken in.

    Parameters
    ----------
    store : Store
        Kept work.
    bench : Bench
        The ladders taken in.

    Returns
    -------
    dict of str to str
        Name by identity, the last changed first.
    """
    held = {x.uid for x in bench.ladders}
    kept = store.listed(LADDER)
    named = zip(kept["uid"].astype(str), kept["name"].astype(str), strict=True)
    return {uid: name for uid, name in named if uid not in held}


def taken_in(
    store: Store, bench: Bench, works: Iterable[str], who: str = ""
) -> tuple[Bench, tuple[str, ...]]:
    """The bench with kept ladders as they read now.

    Parameters
    ----------
    store : Store
        Kept work.
    bench : Bench
        The ladders taken in before.
    works : iterable of str
        Identities of kept ladders; one that was taken in before is read again.
    who : str
        Who made them.

    Returns
    -------
    tuple
        The bench, and a sentence for each ladder that could not be taken in.
    """
    found, problems = [], []
    for work in works:
        try:
            trial = store.open(work, kind=LADDER).body.trial
            result = read_ladder(trial)
            if result.fit is None:
                raise InvalidInput(
                    f"ladder '{clipped(trial.name)}'", result.sentence.rstrip("."), "Finish it."
                )
            found.append(bench_result(trial, result.fit, kind=result.kind, who=who, uid=work))
        except HlbError as error:
            problems.append(str(error))
    return bench.with_ladders(found), tuple(problems)


def _number(value: float | str | None) -> float:
    return float("nan") if value is None or isinstance(value, str) else value
