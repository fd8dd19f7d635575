"""Kept work: formulas and trials with all their versions, own figures, settings; in one file.

Nothing is overwritten: each save adds a version, and the formula points at one of them. A save
names the version it was made from; where somebody else was faster both stay, and the caller is
told.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from hlbcore.errors import InvalidInput, NotSaved, clipped
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import fold
from hlbcore.kept.changes import changes_in_words, formula_changes
from hlbcore.kept.versions import FORMULA, TRIAL, StoreBase, Work
from hlbcore.ladder import Trial
from hlbcore.limits import FILE_MOST, TEXT_MOST, check_length

NO_NAME = "No name yet"
"""Shown for a formula without a title."""


@dataclass(frozen=True, slots=True)
class Version:
    """One saved state of a formula.

    Parameters
    ----------
    uid, formula : str
        Identity of the version and of the formula; they stay the same in every copy.
    number : int
        Counts from 1 within the formula. [-]
    parent : str
        The version that it was made from; blank for the first.
    sheet : Formula
        What was typed.
    figures : mapping of str to float or str
        What followed from it when it was saved. [HLB, % of formula]
    digest : str
        Digest of the tables and own figures in use then.
    who, what, why, at : str
        Who changed what, why, and when (UTC).
    kept : bool
        Whether the maker marked it with a reason.
    """

    uid: str
    formula: str
    number: int
    parent: str
    sheet: Formula
    figures: Mapping[str, float | str] = field(hash=False)
    digest: str
    who: str
    what: str
    why: str
    at: str
    kept: bool


@dataclass(frozen=True, slots=True)
class TrialVersion:
    """One saved state of a trial.

    Parameters
    ----------
    uid, trial_uid : str
        Identity of the version and of the trial.
    number : int
        Counts from 1 within the trial. [-]
    parent : str
        The version that it was made from; blank for the first.
    trial : Trial
        The ladder with what was weighed and seen.
    sheet : str
        What was typed to plan it, as text.
    who, what, at : str
        Who changed what, and when (UTC).
    """

    uid: str
    trial_uid: str
    number: int
    parent: str
    trial: Trial
    sheet: str
    who: str
    what: str
    at: str


class Store(StoreBase):
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

    # formulas and their versions

    def save(
        self,
        sheet: Formula,
        *,
        on: Version | None = None,
        who: str = "",
        what: str = "",
        why: str = "",
        figures: Mapping[str, float | str] | None = None,
        digest: str = "",
    ) -> Version:
        """Keep a state of a formula as its newest version.

        Parameters
        ----------
        sheet : Formula
            What was typed.
        on : Version, optional
            The version that it was made from; a new formula if left out.
        who, what, why : str
            Who changed what and why; `what` is worded from the two sheets if left out, and a
            reason marks the version as kept.
        figures : mapping, optional
            What follows from the sheet.
        digest : str
            Digest of the tables in use.

        Returns
        -------
        Version
            As kept.

        Raises
        ------
        Conflict
            If the formula has moved on from `on`; the state is kept beside the newer one.
        NotSaved
            If the file cannot be written, or does not hold `on`.
        InvalidInput
            If a text is too long.

        Examples
        --------
        >>> from dataclasses import replace
        >>> from hlbcore import example_formula
        >>> store, sheet = Store(in_memory=True), example_formula()
        >>> first = store.save(sheet)
        >>> store.save(replace(sheet, note="soft"), on=first).what
        'note changed'
        """
        if not what:
            what = "first state" if on is None else changes_in_words(formula_changes(on.sheet, sheet))
        # a figure that is no number is not known; JSON has no sign for it
        known = {n: v for n, v in (figures or {}).items() if isinstance(v, str) or math.isfinite(v)}
        uid = self._keep(
            formula_work(sheet),
            on.formula if on else None,
            on.uid if on else None,
            who=who,
            what=what,
            why=why,
            figures=json.dumps(known, ensure_ascii=False),
            digest=digest,
        )
        return self.version(uid)

    def version(self, uid: str) -> Version:
        """One version.

        Parameters
        ----------
        uid : str
            Its identity.

        Returns
        -------
        Version
            As saved.

        Raises
        ------
        InvalidInput
            If there is none.
        """
        with self.reading() as link:
            row = link.execute(f"{_VERSION} WHERE uid = ?", (uid,)).fetchone()
        return _version(row)

    def open(self, formula: str) -> Version:
        """The current version of a formula.

        Parameters
        ----------
        formula : str
            Identity of the formula.

        Returns
        -------
        Version
            The state that the formula points at.

        Raises
        ------
        InvalidInput
            If there is none.
        """
        with self.reading() as link:
            row = link.execute(
                f"{_VERSION} WHERE uid = (SELECT current FROM formula WHERE uid = ?)", (formula,)
            ).fetchone()
        return _version(row)

    def has(self, formula: str) -> bool:
        """Whether the file holds a formula."""
        with self.reading() as link:
            row = link.execute("SELECT 1 FROM formula WHERE uid = ?", (formula,)).fetchone()
        return row is not None

    def holds(self, version: Version) -> bool:
        """Whether the file holds a version."""
        with self.reading() as link:
            row = link.execute("SELECT 1 FROM version WHERE uid = ?", (version.uid,)).fetchone()
        return row is not None

    def history(self, formula: str) -> pd.DataFrame:
        """All versions of a formula, the newest first.

        Parameters
        ----------
        formula : str
            Identity of the formula.

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
                (formula,),
            ).fetchall()
        names = ["version", "at", "who", "what", "why", "kept", "current", "uid", "parent"]
        table = pd.DataFrame(rows, columns=names)
        return table.astype({"version": int, "kept": bool, "current": bool})

    def point_at(self, version: Version, *, on: Version) -> Version:
        """Let a formula point at another of its versions, as undo and redo do.

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
            If the formula has moved on from `on`.
        """
        if version.formula != on.formula:
            raise InvalidInput("version", "it belongs to another formula", "Choose another.")
        self._point(formula_work(version.sheet), on.formula, version.uid, on.uid)
        return version

    def before(self, version: Version) -> Version | None:
        """The version that undo leads to; None at the first state."""
        return self.version(version.parent) if version.parent else None

    def after(self, version: Version) -> Version | None:
        """The version that redo leads to: the newest made from this one; None where none was."""
        with self.reading() as link:
            row = link.execute(
                f"{_VERSION} WHERE parent = ? ORDER BY number DESC LIMIT 1", (version.uid,)
            ).fetchone()
        return None if row is None else _version(row)

    def restore(self, version: Version, *, on: Version, who: str = "", why: str = "") -> Version:
        """Make an older state the newest one; what came between stays in the history."""
        return self.save(
            version.sheet,
            on=on,
            who=who,
            what=f"version {version.number} restored",
            why=why,
            figures=version.figures,
            digest=version.digest,
        )

    def mark(self, version: Version, why: str) -> Version:
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

    def formulas(self, search: str = "", *, removed: bool = False) -> pd.DataFrame:
        """The formulas, the last changed first.

        Parameters
        ----------
        search : str
            Words that the name or an ingredient must hold; all if left out.
        removed : bool
            Those put away instead of those in use.

        Returns
        -------
        DataFrame
            Columns name, product, changed, versions, uid.

        Examples
        --------
        >>> from hlbcore import example_formula
        >>> store = Store(in_memory=True)
        >>> v = store.save(example_formula())
        >>> len(store.formulas("shea")), len(store.formulas("tallow"))
        (1, 0)
        """
        return _list(self._listed(FORMULA, search, removed))

    # trials

    def save_trial(
        self, trial: Trial, *, sheet: str = "", on: TrialVersion | None = None, who: str = "", what: str = ""
    ) -> TrialVersion:
        """Keep a state of a trial as its newest version.

        Parameters
        ----------
        trial : Trial
            The ladder with what was weighed and seen.
        sheet : str
            What was typed to plan it, as text.
        on : TrialVersion, optional
            The version that it was made from; a new trial if left out.
        who, what : str
            Who changed what.

        Returns
        -------
        TrialVersion
            As kept.

        Raises
        ------
        Conflict
            If the trial has moved on from `on`; the state is kept beside the newer one.
        NotSaved
            If the file cannot be written, or does not hold `on`.
        """
        uid = self._keep(
            trial_work(trial, sheet),
            on.trial_uid if on else None,
            on.uid if on else None,
            who=who,
            what=what or ("first state" if on is None else "changed"),
            why="",
        )
        return self.trial_version(uid)

    def trial_version(self, uid: str) -> TrialVersion:
        """One version of a trial; raises InvalidInput if there is none."""
        with self.reading() as link:
            row = link.execute(f"{_VERSION} WHERE uid = ?", (uid,)).fetchone()
        return _trial_version(row)

    def open_trial(self, uid: str) -> TrialVersion:
        """The current version of a trial; raises InvalidInput if there is none."""
        with self.reading() as link:
            row = link.execute(
                f"{_VERSION} WHERE uid = (SELECT current FROM formula WHERE uid = ? AND kind = ?)",
                (uid, TRIAL),
            ).fetchone()
        return _trial_version(row)

    def trials(self, search: str = "", *, removed: bool = False) -> pd.DataFrame:
        """The trials, the last changed first; columns name, changed, versions, uid."""
        return _list(self._listed(TRIAL, search, removed)).drop(columns="product")

    def put_away_trial(self, uid: str) -> None:
        """Take a trial out of the list; it stays in the file and can be brought back."""
        self.put_away(uid)

    def bring_back_trial(self, uid: str) -> None:
        """Put a trial back into the list."""
        self.bring_back(uid)


_VERSION = (
    "SELECT uid, formula, number, coalesce(parent, ''), sheet, figures, digest, who, what, why, "
    "at, kept FROM version"
)


def _version(row: tuple[str, str, int, str, str, str, str, str, str, str, str, int] | None) -> Version:
    if row is None:
        raise InvalidInput("formula", "it is not in the file", "Choose one from the list.")
    uid, formula, number, parent, sheet, figures, digest, who, what, why, at, kept = row
    return Version(
        uid,
        formula,
        number,
        parent,
        Formula.from_json(sheet),
        json.loads(figures),
        digest,
        who,
        what,
        why,
        at,
        bool(kept),
    )


def _trial_version(row: Sequence[Any] | None) -> TrialVersion:
    if row is None:
        raise InvalidInput("trial", "it is not in the file", "Choose one from the list.")
    uid, whole, number, parent, body, _, _, who, what, _, at, _ = row
    held = json.loads(body)
    if "trial" not in held:
        raise InvalidInput("trial", "it is a formula", "Choose one from the list.")
    trial = Trial.from_json(json.dumps(held["trial"]))
    return TrialVersion(uid, whole, number, parent, trial, str(held["sheet"]), who, what, at)


def _list(rows: Sequence[Sequence[object]]) -> pd.DataFrame:
    table = pd.DataFrame(rows, columns=["name", "product", "changed", "versions", "uid"])
    table["name"] = table["name"].where(table["name"] != "", NO_NAME)
    return table


def formula_work(sheet: Formula) -> Work:
    """A sheet as it is kept and listed."""
    body = sheet.to_json(compact=True)
    return Work(FORMULA, sheet.name, sheet.product_type, search_words(sheet), body)


def trial_work(trial: Trial, sheet: str) -> Work:
    """A trial, and what was typed to plan it, as they are kept and listed."""
    words = " ".join(map(fold, (trial.name, *trial.ladder.ingredients)))
    body = {"trial": json.loads(trial.to_json()), "sheet": sheet}
    return Work(TRIAL, trial.name, "", words, json.dumps(body, ensure_ascii=False))


def work_of(kind: str, body: str) -> Work:
    """Some work from its body; raises InvalidInput, KeyError or TypeError for any other text."""
    if kind == FORMULA:
        return formula_work(Formula.from_json(body))
    if kind != TRIAL:
        raise InvalidInput("file", f"'{clipped(kind)}' is no kind of work", "Choose another file.")
    held = json.loads(body)
    check_length(held["sheet"], "what was typed for a trial", FILE_MOST)
    return trial_work(Trial.from_json(json.dumps(held["trial"])), held["sheet"])


def search_words(sheet: Formula) -> str:
    """What a search looks through: the name, the product type and every ingredient, folded."""
    named = (sheet.name, sheet.product_type, *(x.name for x in sheet.lines))
    return " ".join(map(fold, named))
