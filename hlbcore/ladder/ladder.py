"""A bench ladder as an object: its vials in grams, and what is held the same for all of them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from hlbcore._numbers import MASS_MAX, checked, checked_text, checked_word
from hlbcore.blending.weighing import weighing_sd
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.findings import Finding
from hlbcore.ingredients import EMULSIONS, fold

KINDS = ("coarse", "fine", "family", "loading", "rinse", "clarity", "recorded")
"""Kinds of ladder: HLB steps, finer steps, families at one HLB, doses at one HLB, bases for the
rinse test, solubiliser to oil, and one that was weighed elsewhere."""

TABLE_COLUMNS = {
    "vial": "number, rising with what is stepped",
    "label": "what is written on the vial",
    "order": "place in the order of making",
    "target_hlb": "HLB planned, or as written on a vial weighed elsewhere",
    "<ingredient>_g": "g, to the readability of the scale; one column an ingredient",
    "total_g": "g",
    "hlb_as_weighed": "HLB of the grams",
    "hlb_sd": "HLB, one standard deviation, from reading the scale alone",
    "emulsifier_pct": "% of the vial",
    "emulsifier_of_oil_pct": "% of the oil phase; emulsifier not counted in it",
    "of_oil_sd": "% of the oil phase, one standard deviation, from reading the scale alone",
}
"""Columns of `Ladder.table` with unit or meaning."""


@dataclass(frozen=True, slots=True)
class Process:
    """What is done to every vial alike.

    Parameters
    ----------
    temperature_c : float or None
        Temperature of both phases when they meet; None where no melting figure is known. [°C]
    reason : str
        Where the temperature comes from.
    stirring : str
        Stirrer, speed and time, in the user's words.
    notes : tuple of str
        What else to hold the same, and the cautions.
    """

    temperature_c: float | None = None
    reason: str = ""
    stirring: str = ""
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.temperature_c is not None:
            warm = checked(self.temperature_c, "process, temperature", low=-30, high=250, unit="°C")
            object.__setattr__(self, "temperature_c", warm)
        for name in ("reason", "stirring"):
            checked_text(getattr(self, name), f"process, {name}")
        object.__setattr__(self, "notes", tuple(checked_text(n, "process, notes") for n in self.notes))


@dataclass(frozen=True, slots=True)
class Vial:
    """One vial of a ladder.

    Parameters
    ----------
    number : int
        Its number, from 1. [-]
    label : str
        What is written on it.
    order : int
        Place in the order of making. [-]
    grams : tuple of (str, float)
        What to weigh of each ingredient. [g]
    target_hlb : float, optional
        HLB planned; None where HLB is not what is stepped. [HLB]
    repeats : int, optional
        Number of the vial that it repeats. [-]
    """

    number: int
    label: str
    order: int
    grams: tuple[tuple[str, float], ...]
    target_hlb: float | None = None
    repeats: int | None = None

    def __post_init__(self) -> None:
        for name in ("number", "order", "repeats"):
            value = getattr(self, name)
            if value is not None or name != "repeats":
                object.__setattr__(self, name, whole_number(value, f"vial, {name}", 1, 999))
        item = f"vial {self.number}"
        if not checked_text(self.label, f"{item}, label").strip():
            raise InvalidInput(item, "its label is blank", "Give it a label.")
        held = tuple(
            (
                checked_text(n, f"{item}, ingredient"),
                checked(g, f"{item}, '{clipped(n)}'", low=0, high=MASS_MAX, unit="g"),
            )
            for n, g in self.grams
        )
        object.__setattr__(self, "grams", held)
        if self.target_hlb is not None:
            hlb = checked(self.target_hlb, f"{item}, target HLB", low=0, high=HLB_MAX)
            object.__setattr__(self, "target_hlb", hlb)

    @property
    def total_g(self) -> float:
        """Everything in the vial. [g]"""
        return math.fsum(g for _, g in self.grams)


@dataclass(frozen=True, slots=True)
class Ladder:
    """A bench ladder, ready to weigh.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    vials : tuple of Vial
        In rising order of what is stepped; repeats at the end.
    emulsifiers : tuple of (str, Estimate)
        HLB of each emulsifier. [HLB]
    oils : tuple of (str, float)
        The oil phase. [% of the vial; parts where the oil makes up the rest]
    others : tuple of (str, float)
        What else is in every vial alike. [% of the vial]
    vial_mass_g : float
        Mass of one vial as planned. [g]
    readability_g : float
        Division of the scale. [g]
    emulsion : str
        ``"o/w"`` or ``"w/o"``; vials of the other type leave the fit.
    emulsifier_pct : float or None
        Dose of all vials; None where the dose is stepped. [% of the vial]
    process : Process
        What is done to every vial alike.
    to_observe : tuple of str
        What to look at, and when.
    cautions : tuple of Finding
        Worst first.
    seed : int
        Start of the random order. [-]
    blinded : bool
        Whether labels are codes that do not tell the HLB.
    """

    kind: str
    vials: tuple[Vial, ...]
    emulsifiers: tuple[tuple[str, Estimate], ...]
    oils: tuple[tuple[str, float], ...] = ()
    others: tuple[tuple[str, float], ...] = ()
    vial_mass_g: float = 0.0
    readability_g: float = 0.01
    emulsion: str = "o/w"
    emulsifier_pct: float | None = None
    process: Process = Process()
    to_observe: tuple[str, ...] = ()
    cautions: tuple[Finding, ...] = ()
    seed: int = 0
    blinded: bool = False

    def __post_init__(self) -> None:
        def put(name: str, value: object) -> None:
            object.__setattr__(self, name, value)

        put("kind", checked_word(self.kind, KINDS, "ladder, kind"))
        put("emulsion", checked_word(self.emulsion, EMULSIONS, "ladder, emulsion"))
        put("seed", whole_number(self.seed, "ladder, seed", 0, 2**31 - 1))
        if not isinstance(self.blinded, bool):
            raise InvalidInput("ladder, blinded", "it is neither true nor false", "Use true.")
        put("vial_mass_g", checked(self.vial_mass_g, "vial mass", low=0, high=MASS_MAX, unit="g"))
        put(
            "readability_g",
            checked(self.readability_g, "readability of the scale", above=0, high=MASS_MAX, unit="g"),
        )
        if self.emulsifier_pct is not None:
            put("emulsifier_pct", checked(self.emulsifier_pct, "emulsifier", low=0, high=100))
        for name in ("oils", "others"):
            put(
                name,
                tuple(
                    (checked_text(n, f"ladder, {name}"), checked(p, f"'{clipped(n)}'", low=0))
                    for n, p in getattr(self, name)
                ),
            )
        if not self.vials:
            raise InvalidInput("ladder", "it has no vials", "Give at least one vial.")
        for what, held in (
            ("number", [str(v.number) for v in self.vials]),
            ("label", [fold(v.label) for v in self.vials]),
        ):
            if len(set(held)) < len(held):
                raise InvalidInput("ladder", f"two vials have the same {what}", f"Give each its own {what}.")

    def vial(self, number: int) -> Vial:
        """The vial of that number.

        Parameters
        ----------
        number : int
            Its number. [-]

        Returns
        -------
        Vial
            The vial.
        """
        for v in self.vials:
            if v.number == number:
                return v
        raise InvalidInput(
            f"vial {clipped(number)}",
            "the ladder has no such vial",
            f"Use {', '.join(str(v.number) for v in self.vials[:30])}.",
        )

    @property
    def ready(self) -> str:
        """The one emulsifier whose dose is stepped, sold ready; blank for every other ladder."""
        return self.emulsifiers[0][0] if self.kind == "loading" and len(self.emulsifiers) == 1 else ""

    def hlb(self, vial: Vial, grams: Mapping[str, float] | None = None) -> float | None:
        """HLB of the grams of one vial; None where it holds no emulsifier.

        Parameters
        ----------
        vial : Vial
            One of the ladder.
        grams : mapping of str to float, optional
            What was really weighed, where it differs from the plan. [g]

        Returns
        -------
        float or None
            Weighted mean over the emulsifiers. [HLB]
        """
        held = self._held(vial, grams)
        whole = math.fsum(g for g, _ in held)
        return math.fsum(g / whole * h for g, h in held) if whole > 0 else None

    def hlb_sd(self, vial: Vial, grams: Mapping[str, float] | None = None) -> float | None:
        """Standard uncertainty of that HLB from reading the scale alone; see `hlb`.

        Parameters
        ----------
        vial : Vial
            One of the ladder.
        grams : mapping of str to float, optional
            What was really weighed, where it differs from the plan. [g]

        Returns
        -------
        float or None
            One standard deviation. [HLB]
        """
        held = self._held(vial, grams)
        if math.fsum(g for g, _ in held) <= 0:
            return None
        return weighing_sd([g for g, _ in held], [h for _, h in held], self.readability_g)

    def _held(self, vial: Vial, grams: Mapping[str, float] | None) -> list[tuple[float, float]]:
        weighed = {**dict(vial.grams), **(grams or {})}
        return [(weighed.get(n, 0.0), e.value) for n, e in self.emulsifiers]

    @property
    def at_bench(self) -> tuple[Vial, ...]:
        """The vials as they are listed at the bench, never in the order of what is stepped.

        By their code where labels hide it, else in the order of making.
        """
        return tuple(sorted(self.vials, key=lambda v: (fold(v.label), v.number) if self.blinded else v.order))

    @property
    def ingredients(self) -> tuple[str, ...]:
        """Everything that is weighed, in the order of the vials."""
        return tuple(dict.fromkeys(n for v in self.vials for n, _ in v.grams))

    @property
    def rung(self) -> float | None:
        """Mean distance of neighbouring HLB targets; None where HLB is not stepped. [HLB]"""
        steps = sorted({v.target_hlb for v in self.vials if v.target_hlb is not None})
        return (steps[-1] - steps[0]) / (len(steps) - 1) if len(steps) > 1 else None

    @property
    def table(self) -> pd.DataFrame:
        """One row a vial, blinded ones by their code; columns as in `TABLE_COLUMNS`."""
        rows = []
        names = self.ingredients
        oils = [n for n, _ in self.oils]
        mine = [n for n, _ in self.emulsifiers]
        u = self.readability_g / math.sqrt(12)
        for v in self.at_bench if self.blinded else self.vials:
            held = dict(v.grams)
            e = [held[n] for n in mine if held.get(n, 0.0) > 0]
            o = [held[n] for n in oils if held.get(n, 0.0) > 0]
            mass, oil, whole = math.fsum(e), math.fsum(o), v.total_g
            share = mass / oil if oil > 0 else math.nan
            # e / o: the relative variances of the two sums add
            sd = (
                share * u * math.hypot(math.sqrt(len(e)) / mass if mass > 0 else 0.0, math.sqrt(len(o)) / oil)
                if oil > 0
                else math.nan
            )
            rows.append(
                (
                    v.number,
                    v.label,
                    v.order,
                    _float(v.target_hlb),
                    *(held.get(n, 0.0) for n in names),
                    round(whole, 9),
                    _float(None if self.ready else self.hlb(v)),
                    _float(None if self.ready else self.hlb_sd(v)),
                    100 * mass / whole if whole > 0 else math.nan,
                    100 * share,
                    100 * sd,
                )
            )
        columns = list(TABLE_COLUMNS)
        at = columns.index("<ingredient>_g")
        columns[at : at + 1] = [f"{n}_g" for n in names]
        return pd.DataFrame(rows, columns=columns)

    def __repr__(self) -> str:
        return f"{self.kind} ladder of {len(self.vials)} vials"


def _float(value: float | None) -> float:
    return math.nan if value is None else value


def whole_number(value: object, item: str, low: int, high: int) -> int:
    """A whole number in a range, from a number or what was typed."""
    number = checked(value, item, low=low, high=high)  # type: ignore[arg-type]
    if number != int(number):
        raise InvalidInput(
            item, f"{number:g} is no whole number", f"Enter a whole number from {low} to {high}."
        )
    return int(number)
