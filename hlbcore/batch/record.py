"""The batch record: what was planned and what was done, closed once and then only corrected.

Everything done is a dated entry at the end of a list; the last one of its kind and place counts, and
the earlier ones stay readable. Closing seals plan and entries with a digest; what is entered after it
is a correction with date, who and why. Its fields follow what ISO 22716:2007 asks of a batch record
(7.2.1.2, 7.2.3, 17.3.4); that is no claim of conformity.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, replace
from functools import lru_cache
from hashlib import sha256

from hlbcore._numbers import checked_text
from hlbcore.batch.entries import AFTER_CLOSING, ENTRY_KINDS, Entry, entry_number, entry_of, now_text
from hlbcore.batch.numbering import read_day
from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.formula import Formula
from hlbcore.limits import check_length

ENTRIES_MOST = 5_000
"""Entries of one record. [-] Our convention."""

STANDARD = (
    "The fields follow what ISO 22716:2007 asks of a batch record (7.2.1.2, 7.2.3, 17.3.4). "
    "That is no claim of conformity."
)
"""What the record says of itself."""


@dataclass(frozen=True, slots=True)
class PlannedRow:
    """One weighing as planned.

    Parameters
    ----------
    name, place : str
        What is weighed, and its phase.
    grams : float
        As printed. [g]
    text, scale : str
        The same as text, and the scale.
    brings : tuple of (int, float)
        Lines of the formula that it brings, and their share of it; a premix brings two. [-]
    """

    name: str
    place: str
    grams: float
    text: str
    scale: str
    brings: tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class Rework:
    """An earlier batch worked into this one.

    Parameters
    ----------
    lot : str
        Its batch number.
    mass_g : float
        How much of it. [g]
    formula_text : str
        Its formula as weighed, as JSON.
    """

    lot: str
    mass_g: float
    formula_text: str

    @property
    def formula(self) -> Formula:
        """What is in it."""
        return _formula(self.formula_text)


@lru_cache(256)
def _formula(text: str) -> Formula:
    return Formula.from_json(text)


@dataclass(frozen=True, slots=True)
class BatchRecord:
    """A batch: its plan, and all that was entered; made by `record_start.start_record`.

    Parameters
    ----------
    number : str
        Batch number.
    made_on : str
        Day of making, ``2026-03-01``.
    who : str
        Who makes it.
    formula_text : str
        The formula that was planned, as JSON.
    source : str
        Version of the kept formula; blank where it was not kept.
    size_g, loss_pct : float
        Base as planned [g], and what was to stay behind [% of what is made].
    jars : str
        Containers as planned, in words.
    rows : tuple of PlannedRow
        The weighings as planned.
    steps : tuple of str
        Titles of the steps as planned.
    water_line : int or None
        Line of the water that heating drives off. [-]
    entries : tuple of Entry
        What was done, in the order of entry.
    reworks : tuple of Rework
        Earlier batches worked in.
    """

    number: str
    made_on: str
    who: str
    formula_text: str
    source: str
    size_g: float
    loss_pct: float
    jars: str
    rows: tuple[PlannedRow, ...]
    steps: tuple[str, ...]
    water_line: int | None
    entries: tuple[Entry, ...] = ()
    reworks: tuple[Rework, ...] = ()

    # --- what is in it

    @property
    def formula(self) -> Formula:
        """The formula that was planned."""
        return _formula(self.formula_text)

    @property
    def name(self) -> str:
        """Name of the product."""
        return self.formula.name.strip()

    @property
    def closed(self) -> Entry | None:
        """The entry that closed it; None while it is open."""
        return next((e for e in self.entries if e.kind == "closed"), None)

    @property
    def corrections(self) -> tuple[Entry, ...]:
        """What was entered after closing, but for what is seen in store."""
        return tuple(e for e in self._after if e.kind not in AFTER_CLOSING)

    @property
    def _after(self) -> tuple[Entry, ...]:
        at = next((n for n, e in enumerate(self.entries) if e.kind == "closed"), len(self.entries))
        return self.entries[at + 1 :]

    def all_of(self, kind: str, where: str = "") -> tuple[Entry, ...]:
        """Entries of a kind and place, the first one first."""
        return tuple(e for e in self.entries if e.kind == kind and (not where or e.where == where))

    def value(self, kind: str, where: str = "") -> str:
        """The entry that counts, as typed; blank where there is none."""
        return next((e.text for e in reversed(self.entries) if e.kind == kind and e.where == where), "")

    def mass(self, kind: str, where: str = "") -> float | None:
        """The number of the entry that counts; None where there is none. [g, °C or pH]"""
        return entry_number(kind, self.value(kind, where))

    def weighed_g(self, row: int) -> float | None:
        """What was weighed of a row; None while nothing was. [g]"""
        return self.mass("weighed", str(row))

    @property
    def lost_g(self) -> float:
        """Water that heating drove off and nobody made up. [g]"""
        before, after = self.mass("vessel before"), self.mass("vessel after")
        if before is None or after is None:
            return 0.0
        return before - after - (self.mass("water added") or 0.0)

    @property
    def total_g(self) -> float:
        """What went into the pot, as planned where nothing was weighed. [g]"""
        return math.fsum(self.grams_of_rows()) + self._extra_g()

    def grams_of_rows(self) -> list[float]:
        """What each row brought: as weighed, else as planned. [g]"""
        found = []
        for n, row in enumerate(self.rows):
            weighed = self.weighed_g(n)
            found.append(row.grams if weighed is None else weighed)
        return found

    @property
    def added_g(self) -> dict[str, float]:
        """What was added beside the plan, by name. [g]"""
        names = dict.fromkeys(e.where for e in self.all_of("added") if e.where.strip())
        return {name: self.mass("added", name) or 0.0 for name in names}

    @property
    def worked_in(self) -> tuple[Rework, ...]:
        """Earlier batches worked in, the last entry of each."""
        return tuple({r.lot: r for r in self.reworks}.values())

    def _extra_g(self) -> float:
        return math.fsum((*self.added_g.values(), *(r.mass_g for r in self.worked_in)))

    @property
    def as_weighed(self) -> Formula:
        """The formula as weighed; see `record_made.formula_made`."""
        from hlbcore.batch.record_made import formula_made

        return formula_made(self)

    @property
    def open_points(self) -> tuple[str, ...]:
        """What the record still lacks, in sentences."""
        found = []
        if not self.number.strip():
            found.append("The batch number is missing.")
        if not self.made_on.strip():
            found.append("The date is missing.")
        if not self.who.strip():
            found.append("Who made it is missing.")
        for kind, said in (("weighed", "Not weighed"), ("lot", "Lot not written down")):
            names = [r.name for n, r in enumerate(self.rows) if not self.value(kind, str(n)).strip()]
            if names:
                more = f" and {len(names) - 3} more" if len(names) > 3 else ""
                found.append(f"{said}: {', '.join(clipped(n, 40) for n in names[:3])}{more}.")
        if self.lost_g < 0:
            found.append("The vessel is heavier after heating than before.")
        return tuple(found)

    # --- what is entered

    def enter(
        self, kind: str, text: str, *, where: str = "", who: str = "", why: str = "", at: str = ""
    ) -> BatchRecord:
        """The record with one more entry.

        Parameters
        ----------
        kind : str
            One of `ENTRY_KINDS`.
        text : str
            As typed.
        where : str
            Row, step or name that it belongs to.
        who, why, at : str
            Who enters it, the reason, and the time; the clock if left out. A closed record takes an
            entry only as a correction, with who and why.

        Returns
        -------
        BatchRecord
            An entry that says what stands there already changes nothing.

        Raises
        ------
        InvalidInput
            For an entry that cannot be read, or a change of a closed record without who and why.
        """
        if kind == "closed":
            return self.close(who=who or self.who, why=why, at=at)
        if kind == "rework":
            raise InvalidInput("earlier batch worked in", "its formula is missing", "Choose the batch.")
        return self._entered(kind, text, where, who, why, at)

    def _entered(self, kind: str, text: str, where: str, who: str, why: str, at: str) -> BatchRecord:
        made = entry_of(kind, where, text, who or ("" if self.closed else self.who), at, why)
        held = ENTRY_KINDS[kind]
        if held.where == "row" and not (where.isdigit() and int(where) < len(self.rows)):
            raise InvalidInput(
                "batch record", f"it has no weighing '{clipped(where)}'", f"Use 0 to {len(self.rows) - 1}."
            )
        if self.closed is not None and kind not in AFTER_CLOSING and not (who.strip() and why.strip()):
            raise InvalidInput(
                f"batch record {clipped(self.number)}",
                "it is closed and is not altered",
                "Add a correction with your name and the reason; the first entry stays readable.",
            )
        if not held.many and text == self.value(kind, where):
            return self
        if len(self.entries) >= ENTRIES_MOST:
            raise InvalidInput("batch record", f"it has {ENTRIES_MOST:,} entries", "Start another record.")
        return replace(self, entries=(*self.entries, made))

    def headed(
        self, *, number: str | None = None, made_on: str | None = None, who: str | None = None
    ) -> BatchRecord:
        """The record with another head, while it is open."""
        if self.closed is not None:
            raise InvalidInput(
                f"batch record {clipped(self.number)}", "it is closed and is not altered", "Add a note to it."
            )
        for name, text in (("number", number), ("date", made_on), ("who", who)):
            if text is not None:
                check_length(checked_text(text, f"batch record, {name}"), f"batch record, {name}", 200)
        day = self.made_on if made_on is None else made_on
        if day.strip():
            read_day(day)
        return replace(
            self,
            number=self.number if number is None else number,
            made_on=day,
            who=self.who if who is None else who,
        )

    def with_rework(self, lot: str, mass: str, formula: Formula, *, who: str = "", why: str) -> BatchRecord:
        """The record with an earlier batch worked in.

        Parameters
        ----------
        lot : str
            Its batch number.
        mass : str
            How much of it. [g, or text with its unit]
        formula : Formula
            What is in it, as weighed.
        who, why : str
            Who decided it, and the reason.

        Returns
        -------
        BatchRecord
            Its parts count in `as_weighed`.
        """
        if not why.strip():
            raise InvalidInput("earlier batch worked in", "the reason is missing", "Say why it is worked in.")
        made = self._entered("rework", mass, lot, who, why, "")
        mass_g = entry_number("rework", mass) or 0.0
        return replace(made, reworks=(*self.reworks, Rework(lot, mass_g, formula.to_json(compact=True))))

    def close(self, *, who: str, why: str = "", at: str = "") -> BatchRecord:
        """The record, finished: from now on it takes corrections only.

        Parameters
        ----------
        who : str
            Who closes it.
        why : str
            Why points are still open, where some are.
        at : str
            When; the clock if left out.

        Returns
        -------
        BatchRecord
            With a digest of the plan and of every entry before.

        Raises
        ------
        InvalidInput
            If it is closed, nothing was weighed, or points are open and no reason is given.
        """
        item = f"batch record {clipped(self.number)}".strip()
        if self.closed is not None:
            raise InvalidInput(item, "it is closed already", "Add a correction instead.")
        if not who.strip():
            raise InvalidInput(item, "nobody closes it", "Write who does.")
        if not self.number.strip():
            raise InvalidInput(item, "the batch number is missing", "Give it one.")
        if not any(self.weighed_g(n) is not None for n in range(len(self.rows))):
            raise InvalidInput(item, "nothing is weighed yet", "Enter what was weighed.")
        points = self.open_points
        if points and not why.strip():
            raise InvalidInput(
                item,
                f"points are open. {' '.join(points).rstrip('.')}",
                "Fill them in, or close it with a reason.",
            )
        _ = self.as_weighed
        made = Entry("closed", "", self.seal, who, at or now_text(), why)
        return replace(self, entries=(*self.entries, made))

    @property
    def seal(self) -> str:
        """Digest of the plan and of all entries up to the closing."""
        before = self.entries[: next((n for n, e in enumerate(self.entries) if e.kind == "closed"), None)]
        worked_in = sum(e.kind == "rework" for e in before)
        held = (
            (self.number, self.made_on, self.who, self.formula_text, self.source, self.jars, self.steps),
            (self.size_g, self.loss_pct, self.water_line),
            [(r.name, r.place, r.grams, r.text, r.scale, r.brings) for r in self.rows],
            [(e.kind, e.where, e.text, e.who, e.at, e.why) for e in before],
            [(r.lot, r.mass_g, r.formula_text) for r in self.reworks[:worked_in]],
        )
        return sha256(json.dumps(held).encode()).hexdigest()[:32]
