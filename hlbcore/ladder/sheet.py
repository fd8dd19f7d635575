"""A bench ladder as typed on one page, and its file form."""

from __future__ import annotations

import re
from dataclasses import dataclass, fields
from typing import Any

from hlbcore.errors import clipped
from hlbcore.limits import FILE_MOST, TEXT_MOST, check_count, check_length
from hlbcore.saved_text import made, opened, saved

SCHEMA, VERSION = "hlbcore ladder sheet", 2
_CELL = ("vial", "kind", "time", "temperature", "text")

LADDERS = ("coarse", "fine", "family", "loading", "rinse", "clarity")
"""Kinds of ladder that can be planned."""

STEPS = {"coarse": "7", "fine": "5", "family": "", "loading": "6", "rinse": "", "clarity": "6"}
"""Steps where none are typed; blank where their number follows from the kind. [-]"""

SOUGHT = ("coarse", "fine")
"""Kinds that step the HLB of one pair and can yield a required HLB."""

CELLS_MOST = 5_000
"""Readings of one ladder, and weighed amounts. [-] Our convention."""

DEFAULT_TIMES = "1 h, 1 day, 1 week"
"""When a ladder is read; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One reading as typed.

    Parameters
    ----------
    vial : str
        Number of the vial. [-]
    kind : str
        What was looked at; ``note`` for a remark on the vial.
    time, temperature : str
        When, and where the vial stood. [h or with a unit, °C]
    text : str
        What was seen.
    """

    vial: str
    kind: str
    time: str = ""
    temperature: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class LadderSheet:
    """All that is typed on the page of a bench ladder.

    Parameters
    ----------
    name : str
        Name of the trial.
    kind : str
        One of `LADDERS`; blank: what the product type asks for.
    oils : str
        Oil phase as names with numbers, ``mineral oil 20``; blank: that of the open formula.
        [% of the vial]
    others : str
        What else is in every vial alike. [% of the vial]
    first, second : str
        The two emulsifiers; blank: the usual pair. The first is the solubiliser of a clarity
        ladder.
    pairs : str
        Pairs of a family ladder, ``sorbitan oleate + polysorbate 80; ...``; blank: the usual ones.
    centre : str
        Middle of the ladder, or the HLB that was found; number or range; blank: what the oil phase
        requires. [HLB]
    half_width : str
        From the middle to the ends; blank: from the range. [HLB]
    steps, vial_mass, dose, scale, duplicates, seed : str
        As typed; a blank dose is low enough to show differences. [-, g, % of the vial, g, -, -]
    water : str
        Parts of warm water for one part of base in the rinse test. [-]
    stirring : str
        Stirrer, speed and time.
    blinded : bool
        Whether labels hide the HLB.
    made_on, note : str
        Day of making, free text.
    times, temperatures : str
        When the vials are looked at, and where they stand. [h or with a unit; °C]
    kinds : tuple of str
        What is looked at; empty: what the kind of ladder asks for.
    cells : tuple of Cell
        Readings as typed.
    weighed : tuple of (str, str, str)
        Vial, ingredient and what was weighed, where it differs from the plan. [g]
    closed : bool
        Whether the readings are closed: from then on blinded labels are uncovered.
    """

    name: str = ""
    kind: str = ""
    oils: str = ""
    others: str = ""
    first: str = ""
    second: str = ""
    centre: str = ""
    half_width: str = ""
    steps: str = ""
    vial_mass: str = "50 g"
    dose: str = ""
    scale: str = "0.01 g"
    duplicates: str = "0"
    seed: str = ""
    water: str = "30"
    stirring: str = ""
    blinded: bool = False
    made_on: str = ""
    note: str = ""
    times: str = DEFAULT_TIMES
    temperatures: str = ""
    kinds: tuple[str, ...] = ()
    cells: tuple[Cell, ...] = ()
    weighed: tuple[tuple[str, str, str], ...] = ()
    closed: bool = False
    pairs: str = ""

    def check_size(self) -> None:
        """Refuse a sheet that is too large to be kept.

        Raises
        ------
        InvalidInput
            Naming the text or the list that is too long.
        """
        for f in fields(self):
            value = getattr(self, f.name)
            if isinstance(value, str):
                check_length(value, f"ladder, {f.name.replace('_', ' ')}", TEXT_MOST)
        check_count(self.cells, "readings", CELLS_MOST)
        check_count(self.weighed, "weighed amounts", CELLS_MOST)
        for text in (*self.kinds, *(t for row in self.weighed for t in row)):
            check_length(text, "ladder, name or amount")
        for cell in self.cells:
            check_length(cell.text, f"reading of vial {clipped(cell.vial)}")

    def to_json(self) -> str:
        """The sheet as text, without fields that have their default.

        Returns
        -------
        str
            JSON with schema ``hlbcore ladder sheet``.

        Examples
        --------
        >>> LadderSheet(centre="10").to_json()
        '{"schema": "hlbcore ladder sheet", "version": 2, "centre": "10"}'
        """
        self.check_size()
        bare: dict[str, Any] = {}
        for f in fields(self):
            if (value := getattr(self, f.name)) != f.default:
                bare[f.name] = value
        if self.cells:
            bare["cells"] = [[getattr(c, name) for name in _CELL] for c in self.cells]
        text = saved(SCHEMA, VERSION, bare)
        check_length(text, "ladder", FILE_MOST)
        return text

    @classmethod
    def from_json(cls, text: str) -> LadderSheet:
        """The sheet from its text.

        Parameters
        ----------
        text : str
            As written by `to_json`.

        Returns
        -------
        LadderSheet
            Fields that are missing take their default.

        Raises
        ------
        InvalidInput
            If it is no sheet of a ladder, or one of a newer version.

        Examples
        --------
        >>> LadderSheet.from_json(LadderSheet(centre="10").to_json()).centre
        '10'
        """
        with opened(text, [SCHEMA], VERSION, "ladder") as (_, version, raw):
            if version < 2:
                raw = {"seed": "1", **raw}
            if "cells" in raw:
                raw["cells"] = [dict(zip(_CELL, row, strict=True)) for row in raw["cells"]]
            sheet = made(cls, raw)
            if sheet.kind not in ("", *LADDERS):
                raise ValueError(f"'{sheet.kind}' is no kind of ladder")
        sheet.check_size()
        return sheet


def parted(text: str) -> list[str]:
    """A list as typed, parted at commas, semicolons and lines; ``0,5 h`` stays one."""
    return [p.strip() for p in re.split(r"[;\n]|,(?!\d)", text) if p.strip()]
