"""What an import of kept work would do, and the doing of it.

Nothing is read from a zip before its sizes are known, nothing is written to disk by its names, and
an import says first what it will do. Things are told apart by identity: what is here stays.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from hlbcore.errors import InvalidInput, clipped
from hlbcore.kept._archive import unpacked
from hlbcore.kept.export import LEFT_OUT_FILE
from hlbcore.kept.kinds import Kind, kind_named
from hlbcore.kept.saved import (
    MEND,
    Figures,
    SavedOwn,
    SavedVersion,
    SavedWork,
    Settings,
    read,
    text_of,
    written,
)
from hlbcore.kept.store import Store, point
from hlbcore.limits import one_at_a_time
from hlbcore.own import own_from_json, own_to_json

FIGURES_MOST = 20_000
"""Longest text of the figures kept with one version. [byte] Our convention."""

OWN, SETTING, MISSING = "own value", "setting", "left out"
"""What an item of a plan is, beside the kinds of work."""


@dataclass(frozen=True, slots=True)
class ImportItem:
    """One thing in a file, and what an import would do with it.

    Parameters
    ----------
    kind : str
        The name of a kind of work, own value, setting, or left out.
    name : str
        Its name.
    uid : str
        Its identity.
    does : str
        What the import does, in words; blank where there is nothing to do.
    stays : str
        What differs in the file and is left as it is here, in words.
    """

    kind: str
    name: str
    uid: str
    does: str
    stays: str = ""
    _rows: tuple[tuple[Any, ...], ...] = field(default=(), repr=False)
    _formula: tuple[Any, ...] | None = field(default=None, repr=False)
    _current: str | None = field(default=None, repr=False)
    _marks: tuple[tuple[str, str], ...] = field(default=(), repr=False)


@dataclass(frozen=True, slots=True)
class ImportPlan:
    """What an import would do; nothing is done yet.

    Parameters
    ----------
    items : tuple of ImportItem
        One for each thing in the file.
    """

    items: tuple[ImportItem, ...]

    @property
    def table(self) -> pd.DataFrame:
        """Columns what, name, does."""
        rows = [
            (i.kind, i.name, "; ".join(x for x in (i.does, i.stays) if x) or "nothing: it is here already")
            for i in self.items
        ]
        return pd.DataFrame(rows, columns=["what", "name", "does"])

    @property
    def count(self) -> int:
        """Things that would change. [-]"""
        return sum(bool(i.does) for i in self.items)


def plan_import(store: Store, data: bytes) -> ImportPlan:
    """What an import of the file would do.

    Parameters
    ----------
    store : Store
        Where it would go.
    data : bytes
        The zip.

    Returns
    -------
    ImportPlan
        To be shown, then given to `import_all`.

    Raises
    ------
    InvalidInput
        If the file cannot be used; nothing was changed.

    Examples
    --------
    >>> from hlbcore import example_formula, export_all
    >>> first, second = Store(in_memory=True), Store(in_memory=True)
    >>> v = first.save(example_formula())
    >>> plan = plan_import(second, export_all(first))
    >>> plan.items[0].does
    'comes in as a new formula with 1 version'
    >>> import_all(second, plan), len(second.formulas())
    (1, 1)
    """
    items: list[ImportItem] = []
    folders = {kind.folder for kind in store.kinds}
    with one_at_a_time("file"):
        for name, body in unpacked(data, store.most_unpacked):
            if name.partition("/")[0] in folders:
                items.append(_plan_work(store, read(body, SavedWork)))
            elif name == "own.json":
                items += [_plan_own(store, raw) for raw in read(body, tuple[SavedOwn, ...])]
            elif name == "settings.json":
                settings = read(body, Settings)
                items += [_plan_setting(store, n, value) for n, value in settings.items()]
            elif name == LEFT_OUT_FILE:
                items.append(
                    ImportItem(MISSING, name, name, "", "some things could not be read when it was written")
                )
    _refuse_twins(items)
    return ImportPlan(tuple(items))


def import_all(store: Store, plan: ImportPlan, *, only: Collection[str] | None = None) -> int:
    """Do what the plan says, all of it or nothing.

    Parameters
    ----------
    store : Store
        The store that the plan was made for.
    plan : ImportPlan
        As shown.
    only : collection of str, optional
        Identities to take; all if left out.

    Returns
    -------
    int
        Things that were changed. [-]

    Raises
    ------
    NotSaved
        If the file cannot be written, or has changed since the plan was made.

    Examples
    --------
    >>> from hlbcore import export_all
    >>> store = Store(in_memory=True)
    >>> import_all(store, plan_import(store, export_all(store)))
    0
    """
    done = 0
    with store.writing() as link:
        for item in plan.items:
            if not item.does or (only is not None and item.uid not in only):
                continue
            if item.kind == OWN:
                link.executemany("INSERT OR IGNORE INTO own VALUES (?, ?, ?, ?, ?)", item._rows)
            elif item.kind == SETTING:
                link.executemany("INSERT OR IGNORE INTO setting VALUES (?, ?)", item._rows)
            else:
                if item._formula is not None:
                    link.execute("INSERT INTO formula VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", item._formula)
                link.executemany(
                    "INSERT INTO version VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", item._rows
                )
                link.executemany(
                    "UPDATE version SET why = ?, kept = 1 WHERE uid = ? AND trim(why) = ''", item._marks
                )
                if item._current is not None:
                    (body,) = link.execute(
                        "SELECT sheet FROM version WHERE uid = ?", (item._current,)
                    ).fetchone()
                    kind = kind_named(item.kind, store.kinds)
                    point(link, item.uid, item._current, kind.listed_as(kind.read(body)))
            done += 1
    return done


def _refuse_twins(items: list[ImportItem]) -> None:
    things = Counter(i.uid for i in items)
    versions = Counter(row[0] for i in items if i.kind not in (OWN, SETTING) for row in i._rows)
    if max((*things.values(), *versions.values()), default=0) > 1:
        raise InvalidInput("file", "it cannot be read: two things in it have one identity", MEND)


def _named(*parts: str) -> str:
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:32]


@dataclass(slots=True)
class _Here:
    """What the store holds of some work: texts and reasons of its versions, and the current one."""

    texts: dict[str, str]
    reasons: dict[str, str]
    current: str | None


def _here(store: Store, uid: str) -> _Here:
    with store.reading() as link:
        rows = link.execute("SELECT uid, sheet, why FROM version WHERE formula = ?", (uid,)).fetchall()
        row = link.execute("SELECT current FROM formula WHERE uid = ?", (uid,)).fetchone()
    return _Here({u: t for u, t, _ in rows}, {u: w.strip() for u, _, w in rows}, row[0] if row else None)


def _chained(work: SavedWork) -> list[SavedVersion]:
    """The versions in order, once each follows from one before it."""
    versions = sorted(work.versions, key=lambda v: v.number)
    seen: set[str] = set()
    for v in versions:
        if v.uid in seen or (v.parent is not None and v.parent not in seen):
            break
        seen.add(v.uid)
    numbers = {v.number for v in versions}
    if work.current not in seen or not len(seen) == len(numbers) == len(versions):
        raise InvalidInput("file", "it cannot be read: its versions do not follow from one another", MEND)
    return versions


def _row(v: SavedVersion, uid: str, text: str) -> tuple[Any, ...]:
    if len(bytes(v.figures)) > FIGURES_MOST:
        raise InvalidInput("file", "it cannot be read: a version has too many figures", MEND)
    figures = written(read(bytes(v.figures), Figures)).decode()
    return (v.uid, uid, v.number, v.parent, text, figures, v.digest, v.who, v.what, v.why, v.at, int(v.kept))


def _normal(kind: Kind[Any], text: str) -> str:
    """A body as this version writes it."""
    return kind.dump(kind.read(text))


def _plan_work(store: Store, work: SavedWork) -> ImportItem:
    kind = kind_named(work.kind, store.kinds)
    versions, here = _chained(work), _here(store, work.uid)
    texts: dict[str, str] = {}
    for v in versions:
        text = text_of(v.sheet)
        # what is here letter by letter was read before
        texts[v.uid] = text if here.texts.get(v.uid) == text else _normal(kind, text)
    rows = [_row(v, work.uid, texts[v.uid]) for v in versions]
    listed = kind.listed_as(kind.read(texts[work.current]))
    strange = _held_elsewhere(store, work.uid, list(texts)) or any(
        here.texts[u] != text and _normal(kind, here.texts[u]) != text
        for u, text in texts.items()
        if u in here.texts
    )
    count = f"{len(rows)} version{'s' if len(rows) != 1 else ''}"
    if here.current is not None and not strange:
        return _merged(store, work, listed.name, rows, here)
    uid, current = work.uid, work.current
    does = f"comes in as a new {kind.name} with {count}"
    if strange:  # one identity, two contents: never mixed
        does = f"comes in beside yours as a {kind.name} of its own with {count}: they differ"
        # named after the contents, so that a second import finds it
        uid = _named(uid, *texts.values())
        if store.has(uid):
            return ImportItem(kind.name, listed.name, uid, "")
        fresh = {u: _named(uid, u) for u in texts}
        rows = [(fresh[r[0]], uid, r[2], fresh.get(r[3]), *r[4:]) for r in rows]
        current = fresh[current]
    times = (work.created, work.changed, work.removed)
    line = (uid, listed.name, listed.product, listed.words, current, *times, kind.name)
    return ImportItem(kind.name, listed.name, uid, does, "", tuple(rows), line)


def _held_elsewhere(store: Store, uid: str, versions: list[str]) -> bool:
    """Whether a version of some work belongs to another one here."""
    with store.reading() as link:
        found = link.execute(
            "SELECT count(*) FROM version WHERE formula <> ? AND uid IN (SELECT value FROM json_each(?))",
            (uid, json.dumps(versions)),
        ).fetchone()
    return bool(found[0])


def _merged(store: Store, work: SavedWork, name: str, rows: list[tuple[Any, ...]], here: _Here) -> ImportItem:
    """Work that is here already: its versions that are missing, and reasons where there are none."""
    kind, uid = work.kind, work.uid
    new = [r for r in rows if r[0] not in here.texts]
    told = {r[0]: r[9] for r in rows if r[0] in here.texts and r[9].strip()}
    marks = tuple((why, at) for at, why in told.items() if not here.reasons[at])
    others = sum(bool(here.reasons[at]) and here.reasons[at] != told[at].strip() for at in told)
    stays = f"reasons that differ stay as they are here: {others}" if others else ""
    if not new:
        does = f"adds reasons to versions that have none here: {len(marks)}" if marks else ""
        return ImportItem(kind, name, uid, does, stays, _marks=marks)
    with store.reading() as link:
        (last,) = link.execute("SELECT max(number) FROM version WHERE formula = ?", (uid,)).fetchone()
    added = tuple((*r[:2], last + n, *r[3:]) for n, r in enumerate(new, 1))
    more = f"{len(new)} version{'s' if len(new) != 1 else ''} from the file"
    parents = {r[0]: r[3] for r in rows}
    step: str | None = work.current
    while step is not None and step != here.current:
        step = parents.get(step)
    if step == here.current:
        does = f"goes on from your state with {more}"
        return ImportItem(kind, name, uid, does, stays, added, None, work.current, marks)
    does = f"adds {more} to the history; your state stays in front, since both were changed"
    return ImportItem(kind, name, uid, does, stays, added, _marks=marks)


def _plan_own(store: Store, raw: SavedOwn) -> ImportItem:
    item = own_from_json(text_of(raw.item))
    row = (raw.uid, own_to_json(item), raw.who, raw.at, raw.withdrawn)
    with store.reading() as link:
        here = link.execute("SELECT withdrawn FROM own WHERE uid = ?", (raw.uid,)).fetchone()
    if here is None:
        does = "comes in as an own value" + (", out of use" if raw.withdrawn else "")
        return ImportItem(OWN, item.name, raw.uid, does, "", (row,))
    stays = ""
    if bool(here[0]) != bool(raw.withdrawn):
        stays = "nothing: it stays " + ("out of use" if here[0] else "in use") + " here"
    return ImportItem(OWN, item.name, raw.uid, "", stays)


def _plan_setting(store: Store, name: str, value: str) -> ImportItem:
    here = store.setting(name, "\0")
    does = f"is set to '{clipped(value)}'" if here == "\0" else ""
    stays = f"nothing: it stays '{clipped(here)}' here" if not does and here != value else ""
    return ImportItem(SETTING, name, f"setting {name}", does, stays, ((name, value),))
