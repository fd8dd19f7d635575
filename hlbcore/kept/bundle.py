"""All kept work as one open file: a zip of JSON and CSV with a list of checksums; and the way back.

Nothing is read from a zip before its sizes are known, nothing is written to disk by its names, and
an import says first what it will do. Things are told apart by identity: what is here stays.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from hlbcore.cells import to_csv
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.kept._archive import MANIFEST, MEND, SCHEMA, VERSION, parsed, unpacked
from hlbcore.kept.store import Store, work_of
from hlbcore.kept.versions import FORMULA, TRIAL, now, point
from hlbcore.limits import TEXT_MOST
from hlbcore.own import own_from_json, own_to_json

MOST_FIGURE = 1e9
"""Largest figure that is read; far beyond any HLB or per cent. Our convention."""


FOLDERS = {FORMULA: "formulas", TRIAL: "trials"}
"""Where each kind of work lies in the zip."""


def export_all(store: Store) -> bytes:
    """All kept work as one zip.

    Parameters
    ----------
    store : Store
        The store.

    Returns
    -------
    bytes
        A zip of JSON, of CSV to read, and of a manifest with checksums (SHA-256).

    Examples
    --------
    >>> zipfile.ZipFile(io.BytesIO(export_all(Store(in_memory=True)))).namelist()[0]
    'manifest.json'
    """
    files: dict[str, bytes] = {}
    with store.reading() as link:
        link.execute("BEGIN")  # one state of the file for all that follows
        try:
            formulas = link.execute(
                "SELECT uid, current, created, changed, removed, kind FROM formula ORDER BY created, uid"
            ).fetchall()
            for uid, current, created, changed, removed, kind in formulas:
                rows = link.execute(
                    "SELECT uid, number, parent, at, who, what, why, kept, digest, figures, sheet "
                    "FROM version WHERE formula = ? ORDER BY number",
                    (uid,),
                ).fetchall()
                whole = {
                    "uid": uid,
                    "kind": kind,
                    "current": current,
                    "created": created,
                    "changed": changed,
                    "removed": removed,
                    "versions": [_version_out(row) for row in rows],
                }
                # in one line: with all versions in it, spaces would double it
                files[f"{FOLDERS[kind]}/{uid}.json"] = _json(whole, indent=None)
            own = link.execute("SELECT uid, body, who, at, withdrawn FROM own ORDER BY at, rowid")
            files["own.json"] = _json(
                [
                    {"uid": u, "who": w, "at": a, "withdrawn": x, "item": json.loads(b)}
                    for u, b, w, a, x in own
                ]
            )
            settings = dict(link.execute("SELECT name, value FROM setting ORDER BY name"))
            files["settings.json"] = _json(settings)
            files["formulas.csv"] = to_csv(store.formulas())
            files["own_values.csv"] = to_csv(own_table(store))
        finally:
            link.execute("COMMIT")
    manifest = {
        "schema": SCHEMA,
        "version": VERSION,
        "written": now(),
        "files": [
            {"name": n, "bytes": len(b), "sha256": hashlib.sha256(b).hexdigest()} for n, b in files.items()
        ],
    }
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as z:
        z.writestr(MANIFEST, _json(manifest))
        for name, body in files.items():
            z.writestr(name, body)
    return held.getvalue()


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


def _json(value: object, indent: int | None = 1) -> bytes:
    return json.dumps(value, ensure_ascii=False, indent=indent).encode()


_FIELDS = ("uid", "number", "parent", "at", "who", "what", "why", "kept", "digest")


def _version_out(row: Sequence[Any]) -> dict[str, object]:
    held = dict(zip(_FIELDS, row, strict=False))
    return {**held, "kept": bool(held["kept"]), "figures": json.loads(row[-2]), "sheet": json.loads(row[-1])}


@dataclass(frozen=True, slots=True)
class ImportItem:
    """One thing in a file, and what an import would do with it.

    Parameters
    ----------
    kind : str
        formula, own value or setting.
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
    >>> from hlbcore import example_formula
    >>> first, second = Store(in_memory=True), Store(in_memory=True)
    >>> v = first.save(example_formula())
    >>> plan = plan_import(second, export_all(first))
    >>> plan.items[0].does
    'comes in as a new formula with 1 version'
    >>> import_all(second, plan), len(second.formulas())
    (1, 1)
    """
    files = unpacked(data, store.most_unpacked)
    items: list[ImportItem] = []
    try:
        for name, body in files.items():
            if name.partition("/")[0] in FOLDERS.values():
                items.append(_plan_formula(store, parsed(body)))
        items += [_plan_own(store, raw) for raw in parsed(files.get("own.json", b"[]"))]
        settings = parsed(files.get("settings.json", b"{}"))
        for name, value in settings.items():
            items.append(_plan_setting(store, name, value))
        _refuse_twins(items)
    except HlbError:
        raise
    except (KeyError, TypeError, ValueError, AttributeError, RecursionError) as error:
        raise InvalidInput("file", f"it cannot be read: {clipped(error, 120)}", MEND) from None
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
    >>> store = Store(in_memory=True)
    >>> import_all(store, plan_import(store, export_all(store)))
    0
    """
    done = 0
    with store.writing() as link:
        for item in plan.items:
            if not item.does or (only is not None and item.uid not in only):
                continue
            if item.kind == "own value":
                link.executemany("INSERT OR IGNORE INTO own VALUES (?, ?, ?, ?, ?)", item._rows)
            elif item.kind == "setting":
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
                    point(link, item.uid, item._current, work_of(item.kind, body), now())
            done += 1
    return done


def _refuse_twins(items: Sequence[ImportItem]) -> None:
    formulas = [row[0] for i in items if i.kind in FOLDERS for row in i._rows]
    for uids in ([i.uid for i in items], formulas):
        if len(set(uids)) != len(uids):
            raise ValueError("two things in it have one identity")


def _uid(value: object) -> str:
    text = str(value)
    if len(text) != 32 or set(text) - set("0123456789abcdef"):
        raise ValueError(f"'{clipped(text)}' is no identity")
    return text


def _named(*parts: str) -> str:
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:32]


def _text(value: object, most: int = TEXT_MOST) -> str:
    if not isinstance(value, str) or len(value) > most:
        raise ValueError("a text is missing or too long")
    return value


def _number(value: object) -> int:
    if type(value) is not int or not 1 <= value <= 10**9:
        raise ValueError("the number of a version is none")
    return value


def _figures(value: object) -> str:
    if not isinstance(value, dict):
        raise ValueError("figures are missing")
    for name, figure in value.items():
        _text(name, 200)
        if type(figure) not in (int, float) or not abs(figure) <= MOST_FIGURE:
            _text(figure, 200)
    return json.dumps(value, ensure_ascii=False)


def _plan_formula(store: Store, raw: Mapping[str, Any]) -> ImportItem:
    uid, current = _uid(raw["uid"]), _uid(raw["current"])
    kind = _text(raw.get("kind", FORMULA), 20)  # older files hold formulas alone
    removed = None if raw["removed"] is None else _text(raw["removed"], 40)
    times = _text(raw["created"], 40), _text(raw["changed"], 40)
    versions: list[tuple[Any, ...]] = []
    numbers: dict[str, int] = {}
    texts: dict[str, str] = {}
    with store.reading() as link:
        rows_here = link.execute("SELECT uid, sheet, why FROM version WHERE formula = ?", (uid,))
        here, why_here = {}, {}
        for at, body, why in rows_here:
            here[at], why_here[at] = body, why.strip()
        row = link.execute("SELECT current FROM formula WHERE uid = ?", (uid,)).fetchone()
    for v in sorted(raw["versions"], key=lambda v: _number(v["number"])):
        own, number = _uid(v["uid"]), _number(v["number"])
        parent = None if v["parent"] is None else _uid(v["parent"])
        if own in numbers or (parent is not None and parent not in numbers):
            raise ValueError("its versions do not follow from one another")
        numbers[own] = number
        text = json.dumps(v["sheet"], ensure_ascii=False, separators=(",", ":"))
        if here.get(own) != text:  # what is here letter by letter was read before
            text = work_of(kind, text).body
        texts[own] = text
        versions.append(
            (
                own,
                uid,
                number,
                parent,
                text,
                _figures(v["figures"]),
                _text(v["digest"], 100),
                _text(v["who"]),
                _text(v["what"]),
                _text(v["why"]),
                _text(v["at"], 40),
                int(bool(v["kept"])),
            )
        )
    if current not in numbers or len(set(numbers.values())) != len(numbers):
        raise ValueError("its versions do not follow from one another")
    work = work_of(kind, texts[current])
    name = work.name
    with store.reading() as link:
        elsewhere = link.execute(
            "SELECT count(*) FROM version WHERE formula <> ? AND uid IN (SELECT value FROM json_each(?))",
            (uid, json.dumps(list(numbers))),
        ).fetchone()[0]
    strange = elsewhere or any(
        here[u] != text and work_of(kind, here[u]).body != text for u, text in texts.items() if u in here
    )
    count = f"{len(versions)} version{'s' if len(versions) != 1 else ''}"
    if row is None or strange:
        does = f"comes in as a new {kind} with {count}"
        if strange:  # one identity, two contents: never mixed
            does = f"comes in beside yours as a {kind} of its own with {count}: they differ"
            # named after the contents, so that a second import finds it
            uid = _named(uid, *(v[4] for v in versions))
            if store.has(uid):
                return ImportItem(kind, name, uid, "")
            fresh = {v[0]: _named(uid, v[0]) for v in versions}
            versions = [(fresh[v[0]], uid, v[2], fresh.get(v[3]), *v[4:]) for v in versions]
            current = fresh[current]
        formula = (uid, name, work.product, work.words, current, *times, removed, kind)
        return ImportItem(kind, name, uid, does, "", tuple(versions), formula)
    new = [v for v in versions if v[0] not in here]
    told = {v[0]: v[9] for v in versions if v[0] in here and v[9].strip()}
    marks = tuple((why, at) for at, why in told.items() if not why_here[at])
    others = sum(bool(why_here[at]) and why_here[at] != told[at].strip() for at in told)
    stays = f"reasons that differ stay as they are here: {others}" if others else ""
    if not new:
        does = f"adds reasons to versions that have none here: {len(marks)}" if marks else ""
        return ImportItem(kind, name, uid, does, stays, _marks=marks)
    with store.reading() as link:
        (last,) = link.execute("SELECT max(number) FROM version WHERE formula = ?", (uid,)).fetchone()
    rows = tuple((*v[:2], last + n, *v[3:]) for n, v in enumerate(new, 1))
    more = f"{len(new)} version{'s' if len(new) != 1 else ''} from the file"
    parents = {v[0]: v[3] for v in versions}
    step: str | None = current
    while step is not None and step != row[0]:
        step = parents.get(step)
    if step == row[0]:
        does = f"goes on from your state with {more}"
        return ImportItem(kind, name, uid, does, stays, rows, None, current, marks)
    does = f"adds {more} to the history; your state stays in front, since both were changed"
    return ImportItem(kind, name, uid, does, stays, rows, _marks=marks)


def _plan_own(store: Store, raw: Mapping[str, Any]) -> ImportItem:
    uid = _uid(raw["uid"])
    item = own_from_json(json.dumps(raw["item"]))
    withdrawn = None if raw["withdrawn"] is None else _text(raw["withdrawn"], 40)
    row = (uid, own_to_json(item), _text(raw["who"]), _text(raw["at"], 40), withdrawn)
    with store.reading() as link:
        here = link.execute("SELECT withdrawn FROM own WHERE uid = ?", (uid,)).fetchone()
    if here is None:
        does = "comes in as an own value" + (", out of use" if withdrawn else "")
        return ImportItem("own value", item.name, uid, does, "", (row,))
    stays = ""
    if bool(here[0]) != bool(withdrawn):
        stays = "nothing: it stays " + ("out of use" if here[0] else "in use") + " here"
    return ImportItem("own value", item.name, uid, "", stays)


def _plan_setting(store: Store, name: str, value: object) -> ImportItem:
    here = store.setting(_text(name, 200), "\0")
    does = f"is set to '{clipped(value)}'" if here == "\0" else ""
    stays = f"nothing: it stays '{clipped(here)}' here" if not does and here != value else ""
    return ImportItem("setting", name, f"setting {name}", does, stays, ((name, _text(value)),))
