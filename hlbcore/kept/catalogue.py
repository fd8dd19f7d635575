"""What is kept as a list: all of one kind, put away, brought back, deleted."""

from __future__ import annotations

from typing import Any

import pandas as pd

from hlbcore.errors import InvalidInput
from hlbcore.ingredients import fold
from hlbcore.kept.kinds import FORMULA, Kind
from hlbcore.kept.own_kept import OwnKept
from hlbcore.kept.versions import now

NO_NAME = "No name yet"
"""Shown for work without a name."""

LIST_COLUMNS = ("name", "product", "changed", "versions", "uid")


class Catalogue(OwnKept):
    """The lists of what the file holds."""

    def has(self, work: str) -> bool:
        """Whether the file holds a formula, a ladder or the like."""
        with self.reading() as link:
            row = link.execute("SELECT 1 FROM formula WHERE uid = ?", (work,)).fetchone()
        return row is not None

    def listed(self, kind: Kind[Any], search: str = "", *, removed: bool = False) -> pd.DataFrame:
        """All of one kind, the last changed first.

        Parameters
        ----------
        kind : Kind
            What to list.
        search : str
            Words that the name or an ingredient must hold; all if left out.
        removed : bool
            Those put away instead of those in use.

        Returns
        -------
        DataFrame
            Columns name, product, changed, versions, uid.
        """
        wanted = [w for w in map(fold, search.split()) if w]
        sql = (
            "SELECT iif(name = '', ?, name), product, changed, "
            "(SELECT max(number) FROM version WHERE formula = f.uid), uid FROM formula f "
            f"WHERE removed IS {'NOT ' if removed else ''}NULL AND kind = ?"
            + " AND instr(words, ?) > 0" * len(wanted)
            + " ORDER BY changed DESC, uid"
        )
        with self.reading() as link:
            rows = link.execute(sql, (NO_NAME, kind.name, *wanted)).fetchall()
        return pd.DataFrame(rows, columns=list(LIST_COLUMNS))

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
        >>> from hlbcore import Store, example_formula
        >>> store = Store(in_memory=True)
        >>> v = store.save(example_formula())
        >>> len(store.formulas("shea")), len(store.formulas("tallow"))
        (1, 0)
        """
        return self.listed(FORMULA, search, removed=removed)

    def names(self) -> tuple[str, ...]:
        """The names of all that is kept, of any kind, in use or put away.

        Examples
        --------
        >>> from hlbcore import Formula, Store
        >>> store = Store(in_memory=True)
        >>> v = store.save(Formula("Cream 2.1"))
        >>> store.names()
        ('Cream 2.1',)
        """
        with self.reading() as link:
            return tuple(name for (name,) in link.execute("SELECT DISTINCT name FROM formula ORDER BY name"))

    def put_away(self, work: str) -> None:
        """Take a formula, a ladder or the like out of its list; it stays in the file."""
        with self.writing() as link:
            link.execute("UPDATE formula SET removed = ? WHERE uid = ?", (now(), work))

    def delete(self, work: str) -> None:
        """Take work that was put away out of the file, with all its versions; only a backup holds it then.

        Parameters
        ----------
        work : str
            Its identity.

        Raises
        ------
        InvalidInput
            If it is not put away: what stands in the list is put away first.

        Examples
        --------
        >>> from hlbcore import Store, example_formula
        >>> store = Store(in_memory=True)
        >>> work = store.save(example_formula()).work
        >>> store.put_away(work)
        >>> store.delete(work)
        >>> store.has(work)
        False
        """
        with self.writing() as link:
            row = link.execute("SELECT removed FROM formula WHERE uid = ?", (work,)).fetchone()
            if row is None or row[0] is None:
                raise InvalidInput("kept work", "it is not put away", "Put it away first, then delete it.")
            link.execute("PRAGMA defer_foreign_keys = ON")  # the two tables name each other
            link.execute("DELETE FROM version WHERE formula = ?", (work,))
            link.execute("DELETE FROM formula WHERE uid = ?", (work,))

    def bring_back(self, work: str) -> None:
        """Put it back into its list."""
        with self.writing() as link:
            link.execute("UPDATE formula SET removed = NULL WHERE uid = ?", (work,))
