"""What is kept beside the versions: the user's own ingredients and figures, and settings."""

from __future__ import annotations

import uuid
from collections.abc import Iterator

from hlbcore.errors import HlbError, clipped
from hlbcore.kept.base import StoreBase
from hlbcore.kept.versions import now
from hlbcore.limits import TEXT_MOST, check_length
from hlbcore.own import own_from_json, own_to_json
from hlbcore.sheets import Own


class OwnKept(StoreBase):
    """Own figures and settings of a file."""

    def add_own(self, *items: Own, who: str = "") -> tuple[str, ...]:
        """Keep ingredients, measured values or suppliers' sheets of the user's own.

        Parameters
        ----------
        *items : OwnReading, OwnIngredient or OwnSheet
            Laid over the tables in this order.
        who : str
            Who entered them.

        Returns
        -------
        tuple of str
            Their identities.
        """
        at = now()
        rows = [(uuid.uuid4().hex, own_to_json(item), who, at) for item in items]
        with self.writing() as link:
            link.executemany("INSERT INTO own VALUES (?, ?, ?, ?, NULL)", rows)
        return tuple(uid for uid, *_ in rows)

    def own(self, *, withdrawn: bool = False) -> tuple[tuple[str, Own, str, str], ...]:
        """Own ingredients and values with uid, item, who and when, the oldest first.

        One that cannot be read is left out; `own_damaged` names it.
        """
        return tuple((u, i, w, a) for u, i, w, a in self._own(withdrawn) if not isinstance(i, str))

    def own_damaged(self) -> tuple[tuple[str, str, str], ...]:
        """Own values in use that cannot be read: uid, what is wrong, and when they were entered."""
        return tuple((u, i, a) for u, i, _, a in self._own(False) if isinstance(i, str))

    def _own(self, withdrawn: bool) -> Iterator[tuple[str, Own | str, str, str]]:
        with self.reading() as link:
            rows = link.execute(
                f"SELECT uid, CAST(body AS BLOB), who, at FROM own WHERE withdrawn IS "
                f"{'NOT ' if withdrawn else ''}NULL ORDER BY rowid"
            ).fetchall()
        for uid, body, who, at in rows:
            try:
                yield uid, own_from_json(body.decode()), who, at
            except (HlbError, UnicodeDecodeError) as error:
                yield uid, clipped(error, 200), who, at

    def overlay(self) -> tuple[Own, ...]:
        """What `load_library` lays over the tables."""
        return tuple(item for _, item, _, _ in self.own())

    def withdraw_own(self, uid: str) -> None:
        """Take an own figure out of use; it stays in the file."""
        with self.writing() as link:
            link.execute("UPDATE own SET withdrawn = ? WHERE uid = ?", (now(), uid))

    def use_own_again(self, uid: str) -> None:
        """Put a withdrawn figure back into use."""
        with self.writing() as link:
            link.execute("UPDATE own SET withdrawn = NULL WHERE uid = ?", (uid,))

    def setting(self, name: str, default: str = "") -> str:
        """A setting, or the default where none is kept."""
        with self.reading() as link:
            row = link.execute("SELECT value FROM setting WHERE name = ?", (name,)).fetchone()
        return default if row is None else str(row[0])

    def set_setting(self, name: str, value: str) -> None:
        """Keep a setting."""
        check_length(value, f"setting {name}", TEXT_MOST)
        with self.writing() as link:
            link.execute(
                "INSERT INTO setting VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                (name, value),
            )
