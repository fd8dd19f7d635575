"""Kept work: formulas, ladders and whatever else with all their versions, in one file.

Nothing is overwritten: each save adds a version, and the work points at one of them. A save names
the version it was made from; where somebody else was faster both stay, and the caller is told.
"""

from __future__ import annotations

import math
import sqlite3
import uuid
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

import msgspec
import pandas as pd

from hlbcore.errors import Conflict, DamagedWork, HlbError, InvalidInput, NotSaved, clipped
from hlbcore.kept.catalogue import NO_NAME, Catalogue
from hlbcore.kept.file import told
from hlbcore.kept.kinds import KINDS, Kind, Listed, kind_named, kind_of
from hlbcore.kept.saved import written
from hlbcore.kept.versions import Version, later, now
from hlbcore.limits import TEXT_MOST, check_length

T = TypeVar("T")

HISTORY_COLUMNS = ("version", "at", "who", "what", "why", "kept", "current", "uid", "parent")


class Store(Catalogue):
    """The file of kept work.

    Parameters
    ----------
    path : str or Path, optional
        The file; the default of `default_path` if left out.
    in_memory : bool
        Keep everything in memory, for one session.
    fresh : bool
        Make a new file even where backups of an older one lie beside it.
    most_bytes : int, optional
        Largest size of the whole. [byte]
    kinds : tuple of Kind
        What can be kept.

    Raises
    ------
    NotSaved, NewerFile, DamagedFile
        If the file cannot be used; the text says what to do.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> with Store(in_memory=True) as store:
    ...     first = store.save(example_formula())
    ...     store.formulas()["name"].tolist()
    ['Winter hand cream']
    """

    def __init__(
        self,
        path: str | Path | None = None,
        *,
        in_memory: bool = False,
        fresh: bool = False,
        most_bytes: int | None = None,
        kinds: tuple[Kind[Any], ...] = KINDS,
    ) -> None:
        self.kinds = kinds
        super().__init__(path, in_memory=in_memory, fresh=fresh, most_bytes=most_bytes)

    def save(
        self,
        body: T,
        *,
        on: Version[T] | None = None,
        who: str = "",
        what: str = "",
        why: str = "",
        figures: Mapping[str, float | str] | None = None,
        digest: str = "",
    ) -> Version[T]:
        """Keep a state of a formula, of a ladder or the like as its newest version.

        Parameters
        ----------
        body : object
            What was typed: of any class that one of the kinds knows.
        on : Version, optional
            The version that it was made from; new work if left out.
        who, what, why : str
            Who changed what and why; `what` is worded from the two bodies if left out, and a
            reason marks the version as kept.
        figures : mapping, optional
            What follows from the body.
        digest : str
            Digest of the tables in use.

        Returns
        -------
        Version
            As kept.

        Raises
        ------
        Conflict
            If the work has moved on from `on`; the state is kept beside the newer one.
        NotSaved
            If the file cannot be written, or does not hold `on`.
        InvalidInput
            If a text is too long, or the body could not be read back.

        Examples
        --------
        >>> from dataclasses import replace
        >>> from hlbcore import example_formula
        >>> store, formula = Store(in_memory=True), example_formula()
        >>> first = store.save(formula)
        >>> store.save(replace(formula, note="soft"), on=first).what
        'note changed'
        """
        kind = kind_of(body, self.kinds)
        if not what:
            what = "first state" if on is None else kind.changed(on.body, body)
        for text, item in ((who, "who"), (what, "what was changed"), (why, "reason")):
            check_length(text, item, TEXT_MOST)
        with told(self.where):
            kind.dump(body).encode()  # half a sign is told as such
        text = kind.written(body)
        # a figure that is no number is not known; JSON has no sign for it
        known = {n: v for n, v in (figures or {}).items() if isinstance(v, str) or math.isfinite(v)}
        uid, at = uuid.uuid4().hex, now()
        work = on.work if on else uuid.uuid4().hex
        with self.writing() as link:
            current, number = uid, 0
            if on is not None:
                row = link.execute(
                    "SELECT current, (SELECT max(number) FROM version WHERE formula = f.uid) "
                    "FROM formula f WHERE uid = ? AND kind = ? AND EXISTS "
                    "(SELECT 1 FROM version WHERE uid = ? AND formula = f.uid)",
                    (work, kind.name, on.uid),
                ).fetchone()
                if row is None:  # for example after a backup was brought back
                    raise NotSaved(
                        self.where,
                        "the state that it was made from is not in the file",
                        f"Save it as a new {kind.name}.",
                    )
                current, number = row
                if current != on.uid and self._body(link, current) == text:
                    return self.version(current)  # another window has just made the same of it
            listed = kind.listed_as(body)
            if on is None:
                link.execute(
                    "INSERT INTO formula VALUES (?, ?, ?, ?, ?, ?, ?, NULL, ?)",
                    (work, listed.name, listed.product, listed.words, uid, at, turn(link), kind.name),
                )
            made_from = on.uid if on else None
            told_of = written(known).decode()
            link.execute(
                "INSERT INTO version VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (uid, work, number + 1, made_from, text, told_of, digest, who, what, why, at, int(bool(why))),
            )
            if on is not None and current == on.uid:
                point(link, work, uid, listed)
            made = self.version(uid)
        if on is not None and current != on.uid:
            raise Conflict(uid, current)
        return made

    @staticmethod
    def _body(link: sqlite3.Connection, uid: str) -> str:
        return str(link.execute("SELECT sheet FROM version WHERE uid = ?", (uid,)).fetchone()[0])

    def version(self, uid: str) -> Version[Any]:
        """One version, by its identity; InvalidInput if there is none."""
        with self.reading() as link:
            row = link.execute(f"{_VERSION} WHERE v.uid = ?", (uid,)).fetchone()
        return self._version(row)

    def open(self, work: str, *, kind: Kind[T] | None = None) -> Version[Any]:
        """The current version of a formula, of a ladder or the like.

        Parameters
        ----------
        work : str
            Its identity.
        kind : Kind, optional
            What it has to be; anything if left out.

        Returns
        -------
        Version
            The state that it points at.

        Raises
        ------
        InvalidInput
            If there is none of that kind.
        """
        with self.reading() as link:
            row = link.execute(f"{_VERSION} WHERE f.uid = ? AND v.uid = f.current", (work,)).fetchone()
        if row is not None and kind is not None and row[2] != kind.name:
            raise InvalidInput(kind.name, f"it is a {clipped(row[2])}", "Choose one from the list.")
        return self._version(row, "formula" if kind is None else kind.name)

    def _version(self, row: Sequence[Any] | None, asked: str = "formula") -> Version[Any]:
        if row is None:
            raise InvalidInput(asked, "it is not in the file", "Choose one from the list.")
        uid, work, kind, number, parent, text, figures, digest, who, what, why, at, kept, name = row
        try:
            body = kind_named(kind, self.kinds).read(text.decode())
        except (HlbError, UnicodeDecodeError) as error:
            problem = error.problem if isinstance(error, InvalidInput) else "it is no text that can be read"
            raise DamagedWork(f"'{clipped(name or NO_NAME)}', version {number},", f"{problem}.") from None
        try:
            known = msgspec.json.decode(figures, type=dict[str, float | str])
        except (msgspec.MsgspecError, ValueError):  # they are worked out again when they are asked for
            known = {}
        return Version(uid, work, kind, number, parent, body, known, digest, who, what, why, at, bool(kept))

    def last_readable(self, work: str) -> Version[Any]:
        """The newest version that can be read, where the current one is damaged; DamagedWork if none can."""
        found: DamagedWork | None = None
        for uid in self.history(work)["uid"]:
            try:
                return self.version(str(uid))
            except DamagedWork as error:
                found = found or error
        raise found or InvalidInput("formula", "it is not in the file", "Choose one from the list.")

    def in_memory(self) -> Store:
        """A copy of everything in memory, where work can go on while the file cannot be used."""
        new = Store(in_memory=True, kinds=self.kinds)
        self.copy_of_all(new)
        return new

    def holds(self, version: Version[Any]) -> bool:
        """Whether the file holds a version."""
        with self.reading() as link:
            row = link.execute("SELECT 1 FROM version WHERE uid = ?", (version.uid,)).fetchone()
        return row is not None

    def history(self, work: str) -> pd.DataFrame:
        """All versions of a formula, of a ladder or the like, the newest first.

        Parameters
        ----------
        work : str
            Its identity.

        Returns
        -------
        DataFrame
            Columns version, at, who, what, why, kept, current, uid, parent.
        """
        with self.reading() as link:
            rows = link.execute(
                "SELECT number, at, who, what, why, kept, v.uid = f.current, v.uid, "
                "coalesce(parent, '') FROM version v JOIN formula f ON f.uid = v.formula "
                "WHERE v.formula = ? ORDER BY number DESC",
                (work,),
            ).fetchall()
        table = pd.DataFrame(rows, columns=list(HISTORY_COLUMNS))
        return table.astype({"version": int, "kept": bool, "current": bool})

    def point_at(self, version: Version[T], *, on: Version[T]) -> Version[T]:
        """Let work point at another of its versions, as undo and redo do.

        Parameters
        ----------
        version : Version
            The state wanted.
        on : Version
            The state that the caller sees now.

        Returns
        -------
        Version
            The state wanted.

        Raises
        ------
        Conflict
            If the work has moved on from `on` to any other state.
        """
        if version.work != on.work:
            raise InvalidInput("version", f"it belongs to another {on.kind}", "Choose another.")
        listed = kind_named(version.kind, self.kinds).listed_as(version.body)
        with self.writing() as link:
            row = link.execute("SELECT current FROM formula WHERE uid = ?", (on.work,)).fetchone()
            current = row[0] if row else ""
            if current == on.uid:
                point(link, on.work, version.uid, listed)
        if current not in (on.uid, version.uid):  # two windows may well want the same
            raise Conflict(version.uid, current)
        return version

    def before(self, version: Version[T]) -> Version[T] | None:
        """The version that undo leads to; None at the first state."""
        return self.version(version.parent) if version.parent else None

    def after(self, version: Version[T]) -> Version[T] | None:
        """The version that redo leads to: the newest made from this one; None where none was."""
        with self.reading() as link:
            row = link.execute(
                f"{_VERSION} WHERE v.parent = ? ORDER BY v.number DESC LIMIT 1", (version.uid,)
            ).fetchone()
        return None if row is None else self._version(row)

    def restore(self, version: Version[T], *, on: Version[T], who: str = "", why: str = "") -> Version[T]:
        """Make an older state the newest one; what came between stays in the history."""
        return self.save(
            version.body,
            on=on,
            who=who,
            what=f"version {version.number} restored",
            why=why,
            figures=version.figures,
            digest=version.digest,
        )

    def mark(self, version: Version[T], why: str) -> Version[T]:
        """Mark a version as kept, with the reason.

        Parameters
        ----------
        version : Version
            Any version.
        why : str
            The reason, in the maker's words; blank takes the mark away.

        Returns
        -------
        Version
            With the reason.

        Raises
        ------
        NotSaved
            If somebody else gave it another reason since `version` was read; theirs stays.
        """
        check_length(why, "reason", TEXT_MOST)
        with self.writing() as link:
            done = link.execute(
                "UPDATE version SET why = ?, kept = ? WHERE uid = ? AND why IN (?, ?)",
                (why, int(bool(why.strip())), version.uid, version.why, why),
            ).rowcount
        held = self.version(version.uid)
        if not done:
            raise NotSaved(
                self.where,
                f"in another window its reason became '{clipped(held.why)}'",
                f"Yours was '{clipped(why)}': type what shall stand.",
            )
        return held


_VERSION = (
    "SELECT v.uid, v.formula, f.kind, v.number, coalesce(v.parent, ''), CAST(v.sheet AS BLOB), v.figures, "
    "v.digest, v.who, v.what, v.why, v.at, v.kept, f.name FROM version v JOIN formula f ON f.uid = v.formula"
)


def turn(link: sqlite3.Connection) -> str:
    """The time of a change as it orders the list: never before an earlier change."""
    (last,) = link.execute("SELECT max(changed) FROM formula").fetchone()
    return later(now(), last or "")


def point(link: sqlite3.Connection, work: str, version: str, listed: Listed) -> None:
    """Let work point at one of its versions, and be listed by it."""
    link.execute(
        "UPDATE formula SET current = ?, name = ?, product = ?, words = ?, changed = ? WHERE uid = ?",
        (version, listed.name, listed.product, listed.words, turn(link), work),
    )
