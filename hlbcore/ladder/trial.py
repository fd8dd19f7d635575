"""A trial: the ladder, what was really weighed, what was seen; its file form and its arrays."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass

import pandas as pd

from hlbcore._numbers import MASS_MAX, checked, checked_text
from hlbcore.errors import InvalidInput, clipped
from hlbcore.ingredients import fold
from hlbcore.ladder.ladder import Ladder, whole_number
from hlbcore.ladder.observations import Observation
from hlbcore.ladder.saved import known, ladder_of, pairs
from hlbcore.saved_text import opened, saved

SCHEMA, VERSION = "hlbcore ladder", 1

NO_TYPE = "not tested"
UNCLEAR = "unclear"
"""Words of `Trial.emulsion_types` beside o/w and w/o."""


@dataclass(frozen=True, slots=True)
class Trial:
    """A ladder with what was weighed and seen.

    Parameters
    ----------
    ladder : Ladder
        As planned, or as recorded from elsewhere.
    weighed : tuple of (int, tuple of (str, float))
        Vial and what was really weighed into it, where it differs from the plan. [g]
    observations : tuple of Observation
        One reading each of vial, time, kind and temperature.
    name, made_on, note : str
        Name of the trial, day of making, free text.

    Examples
    --------
    >>> from hlbcore.ladder import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> trial = Trial(ladder, observations=(Observation(1, 24, "score", 2),))
    >>> Trial.from_json(trial.to_json()) == trial
    True
    """

    ladder: Ladder
    weighed: tuple[tuple[int, tuple[tuple[str, float], ...]], ...] = ()
    observations: tuple[Observation, ...] = ()
    name: str = ""
    made_on: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        for field in ("name", "made_on", "note"):
            checked_text(getattr(self, field), f"trial, {field}")
        names = {fold(n): n for n in (*self.ladder.ingredients, *dict(self.ladder.emulsifiers))}
        held = []
        for number, grams in self.weighed:
            vial = self.ladder.vial(whole_number(number, "weighed, vial", 1, 999)).number
            rows: dict[str, float] = {}
            for name, mass in grams:
                item = f"vial {vial}, '{clipped(name)}'"
                if fold(str(name)) not in names:
                    raise InvalidInput(
                        item,
                        "the ladder has no such ingredient",
                        f"Use {', '.join(clipped(n, 30) for n in names.values())}.",
                    )
                if names[fold(str(name))] in rows:
                    raise InvalidInput(item, "it is weighed twice", "Give the sum.")
                rows[names[fold(str(name))]] = checked(mass, item, low=0, high=MASS_MAX, unit="g")
            held.append((vial, tuple(rows.items())))
        if len({v for v, _ in held}) < len(held):
            raise InvalidInput("weighed", "one vial is listed twice", "Keep one of the two.")
        object.__setattr__(self, "weighed", tuple(held))
        seen: set[tuple[int, float, str, float | None]] = set()
        for o in self.observations:
            self.ladder.vial(o.vial)
            if o.key in seen:
                raise InvalidInput(
                    f"vial {o.vial}, {o.kind}", f"it is given twice at {o.hours:g} h", "Keep one of the two."
                )
            seen.add(o.key)
        object.__setattr__(self, "observations", tuple(self.observations))

    def grams(self, number: int) -> dict[str, float]:
        """What one vial holds: weighed where given, else planned. [g]

        Parameters
        ----------
        number : int
            Number of the vial. [-]

        Returns
        -------
        dict of str to float
            By ingredient. [g]
        """
        weighed = next((g for n, g in self.weighed if n == number), ())
        return dict((*self.ladder.vial(number).grams, *weighed))

    def hlb(self, number: int) -> float:
        """HLB of one vial from its grams; NaN where it holds no emulsifier.

        Parameters
        ----------
        number : int
            Number of the vial. [-]

        Returns
        -------
        float
            Labels may lie, grams do not. [HLB]
        """
        found = self.ladder.hlb(self.ladder.vial(number), self.grams(number))
        return math.nan if found is None else found

    @property
    def emulsion_types(self) -> dict[int, str]:
        """``o/w``, ``w/o``, ``unclear`` or ``not tested``, by vial; the last test counts."""
        return {v.number: self._type(v.number) for v in self.ladder.vials}

    def _type(self, number: int) -> str:
        said: dict[str, float] = {}
        for o in sorted(self.observations, key=lambda o: o.hours):
            if (
                o.vial == number
                and o.value is not None
                and o.kind in ("emulsion type", "drop in water", "drop in oil")
            ):
                said[o.kind] = o.value
        votes = set()
        if "emulsion type" in said:
            votes.add("o/w" if said["emulsion type"] else "w/o")
        # a drop spreads in what is its outer phase
        if "drop in water" in said:
            votes.add("o/w" if said["drop in water"] else "w/o")
        if "drop in oil" in said:
            votes.add("w/o" if said["drop in oil"] else "o/w")
        return NO_TYPE if not votes else votes.pop() if len(votes) == 1 else UNCLEAR

    @property
    def broken(self) -> dict[int, float]:
        """Hours after which a vial is no more, by vial. [h]"""
        found: dict[int, float] = {}
        for o in self.observations:
            if o.kind == "broken":
                found[o.vial] = min(o.hours, found.get(o.vial, math.inf))
        return found

    @property
    def table(self) -> pd.DataFrame:
        """One row an observation.

        Columns: vial, label, hlb [HLB], hours [h], kind, value, of, limit, number [as the fit
        takes it], temperature_c [°C], note.
        """
        return pd.DataFrame(
            [
                (
                    o.vial,
                    self.ladder.vial(o.vial).label,
                    self.hlb(o.vial),
                    o.hours,
                    o.kind,
                    o.value,
                    o.of,
                    o.limit,
                    o.number,
                    o.temperature_c,
                    o.note,
                )
                for o in self.observations
            ],
            columns=[
                "vial",
                "label",
                "hlb",
                "hours",
                "kind",
                "value",
                "of",
                "limit",
                "number",
                "temperature_c",
                "note",
            ],
        )

    def to_json(self) -> str:
        """The trial as text, with a schema version.

        Returns
        -------
        str
            JSON with schema ``hlbcore ladder``.
        """
        held = asdict(self)
        held["ladder"]["vials"] = [asdict(v) for v in self.ladder.at_bench]
        return saved(SCHEMA, VERSION, held, indent=1)

    @classmethod
    def from_json(cls, text: str) -> Trial:
        """The trial from its text.

        Parameters
        ----------
        text : str
            As written by `to_json`.

        Returns
        -------
        Trial
            Fields that are missing take their default.

        Raises
        ------
        InvalidInput
            If it is no ladder, or one of a newer version.
        """
        with opened(text, [SCHEMA], VERSION, "ladder file") as (_, _, raw):
            ladder = ladder_of(raw.pop("ladder"))
            rows = known(cls, raw)
            rows["weighed"] = tuple((n, pairs(g)) for n, g in rows.get("weighed", ()))
            rows["observations"] = tuple(
                Observation(**known(Observation, o)) for o in rows.get("observations", ())
            )
            return cls(ladder, **rows)
