"""All kept work as one open file: a zip of JSON and CSV with a list of checksums.

What cannot be read is left out, and named in a list of its own; the rest goes out.
"""

from __future__ import annotations

import hashlib
import io
import json
import sqlite3
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import msgspec
import pandas as pd

from hlbcore.cells import to_csv
from hlbcore.errors import DamagedFile, HlbError, clipped
from hlbcore.kept._archive import MANIFEST
from hlbcore.kept.catalogue import NO_NAME
from hlbcore.kept.kinds import kind_named
from hlbcore.kept.salvage import LEFT_OUT, LeftOut, salvaged
from hlbcore.kept.saved import (
    SCHEMA,
    VERSION,
    Figures,
    Manifest,
    SavedFile,
    SavedOwn,
    SavedVersion,
    SavedWork,
    read,
    written,
)
from hlbcore.kept.store import Store
from hlbcore.kept.versions import now
from hlbcore.own import own_from_json, own_to_json

NONE = msgspec.Raw(b"{}")

LEFT_OUT_FILE = "left_out.csv"
"""What could not be read, in the zip; it is there only where something was left out."""


def export_all(store: Store) -> bytes:
    """All kept work as one zip.

    Parameters
    ----------
    store : Store
        The store.

    Returns
    -------
    bytes
        A zip of JSON, of CSV to read, and of a manifest with checksums (SHA-256); what cannot be
        read is left out and named in ``left_out.csv``.

    Examples
    --------
    >>> zipfile.ZipFile(io.BytesIO(export_all(Store(in_memory=True)))).namelist()[0]
    'manifest.json'
    """
    files, left = _everything(store)
    if left:
        files[LEFT_OUT_FILE] = to_csv(_table(left))
    manifest = Manifest(
        SCHEMA,
        VERSION,
        tuple(SavedFile(n, hashlib.sha256(b).hexdigest(), len(b)) for n, b in files.items()),
        now(),
    )
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as z:
        z.writestr(MANIFEST, written(manifest, indent=1))
        for name, body in files.items():
            z.writestr(name, body)
    return held.getvalue()


def unreadable(store: Store) -> pd.DataFrame:
    """What of the kept work cannot be read, and would be left out of an export.

    Parameters
    ----------
    store : Store
        The store; all of it is read.

    Returns
    -------
    DataFrame
        Columns what, name, why; empty where all is well.

    Examples
    --------
    >>> unreadable(Store(in_memory=True)).empty
    True
    """
    return _table(_everything(store)[1])


def _table(left: list[LeftOut]) -> pd.DataFrame:
    return pd.DataFrame([(x.what, x.name, x.why) for x in left], columns=list(LEFT_OUT))


def _everything(store: Store) -> tuple[dict[str, bytes], list[LeftOut]]:
    """The files of the zip, and what was left out of them."""
    try:
        return _files(store)
    except DamagedFile:  # pages of it cannot be read at all: what can be is read row by row
        with store.reading() as link:
            kept, left = salvaged(link)
        with Store(in_memory=True, kinds=store.kinds) as rest:
            with rest.writing() as link:
                kept.put_into(link)
            files, more = _files(rest)
        return files, [*left, *more]


def _files(store: Store) -> tuple[dict[str, bytes], list[LeftOut]]:
    files: dict[str, bytes] = {}
    left: list[LeftOut] = []
    with store.reading() as link:
        link.execute("BEGIN")  # one state of the file for all that follows
        try:
            works = link.execute(
                "SELECT uid, current, created, changed, removed, kind, name FROM formula "
                "ORDER BY created, uid"
            ).fetchall()
            held: set[str] = set()  # identities of all that goes out
            for uid, was, created, changed, removed, kind, name in works:
                versions = _versions(store, link, (uid, kind, name or NO_NAME), held, left)
                current = _instead(was, versions)
                made = SavedWork(uid, current, created, changed, removed, tuple(versions.values()), kind)
                if versions and _is_sound(made, SavedWork, LeftOut(kind, name or NO_NAME, ""), left):
                    # in one line: with all versions in it, spaces would double it
                    files[f"{kind_named(kind, store.kinds).folder}/{uid}.json"] = written(made)
            files["own.json"] = written(list(_own(link, held, left)), indent=1)
            settings = dict(link.execute("SELECT name, value FROM setting ORDER BY name"))
            files["settings.json"] = written(settings, indent=1)
            files["formulas.csv"] = to_csv(store.formulas())
            files["own_values.csv"] = to_csv(own_table(store))
        finally:
            link.execute("COMMIT")
    return files, left


def _is_sound(made: object, form: type[Any], what: LeftOut, left: list[LeftOut]) -> bool:
    """Whether what is to go out could come in again; else it is named."""
    try:
        read(written(made), form)
    except (HlbError, UnicodeDecodeError, ValueError) as error:
        left.append(replace(what, why=clipped(error, 200)))
        return False
    return True


def _instead(current: str, versions: dict[str, SavedVersion]) -> str:
    """The current version, or the newest one that goes out."""
    return current if current in versions else next(reversed(versions), "")


def _versions(
    store: Store, link: sqlite3.Connection, work: tuple[str, str, str], held: set[str], left: list[LeftOut]
) -> dict[str, SavedVersion]:
    """The versions of a formula or ladder that can be read; each follows from one of them."""
    uid, kind, name = work
    made: dict[str, SavedVersion] = {}
    instead: dict[str | None, str | None] = {}  # a version left out, and the one that stands for it
    number = 0
    rows = link.execute(
        "SELECT number, uid, parent, at, who, what, why, kept, digest, figures, CAST(sheet AS BLOB) "
        "FROM version WHERE formula = ? ORDER BY number",
        (uid,),
    )
    for was, own, parent, at, who, what, why, kept, digest, figures, body in rows.fetchall():
        before = instead.get(parent, parent)
        before = before if before in made else None
        known, told = _figures(figures), LeftOut(kind, f"{name}, version {was}", "")
        if known is None:
            left.append(replace(told, why="the figures kept with it"))
        number = max(was, number + 1)
        version = SavedVersion(
            own, number, before, at, who, what, why, bool(kept), digest, known or NONE, msgspec.Raw(body)
        )
        try:
            if own in held:
                raise ValueError("another one has its identity")
            kind_named(kind, store.kinds).read(body.decode())
        except (HlbError, UnicodeDecodeError, ValueError) as error:
            left.append(replace(told, why=clipped(error, 200)))
            instead[own] = before
            continue
        if _is_sound(version, SavedVersion, told, left):
            made[own] = version
            held.add(own)
        else:
            instead[own] = before
    return made


def _figures(text: str) -> msgspec.Raw | None:
    """Figures as they are kept; None where they cannot be read."""
    try:
        return msgspec.Raw(written(read(text.encode(), Figures)))
    except HlbError:
        return None


def _own(link: sqlite3.Connection, held: set[str], left: list[LeftOut]) -> Iterator[SavedOwn]:
    rows = link.execute("SELECT uid, CAST(body AS BLOB), who, at, withdrawn FROM own ORDER BY rowid")
    for uid, body, who, at, withdrawn in rows.fetchall():
        told, made = LeftOut("own value", f"entered {at}", ""), SavedOwn(uid, who, at, withdrawn, NONE)
        try:
            own_from_json(body.decode())
        except (HlbError, UnicodeDecodeError) as error:
            left.append(replace(told, why=clipped(error, 200)))
            continue
        if uid not in held and _is_sound(made, SavedOwn, told, left):
            held.add(uid)
            yield SavedOwn(uid, who, at, withdrawn, msgspec.Raw(body))


def own_table(store: Store) -> pd.DataFrame:
    """Own ingredients and values as a table.

    Parameters
    ----------
    store : Store
        The store.

    Returns
    -------
    DataFrame
        One row an item: its fields, who and when; blank where a field does not apply.

    Examples
    --------
    >>> from hlbcore import OwnReading
    >>> store = Store(in_memory=True)
    >>> uids = store.add_own(OwnReading("shea butter", 9.0))
    >>> own_table(store)["value"].tolist()
    [9.0]
    """
    rows = [{**json.loads(own_to_json(item)), "who": who, "at": at} for _, item, who, at in store.own()]
    return pd.DataFrame(rows).astype(object).fillna("") if rows else pd.DataFrame({"name": []})
