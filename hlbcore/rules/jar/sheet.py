"""The jar as it is asked for: temperatures and times as typed, and all that follows for a formula."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cached_property
from typing import TypeVar

from hlbcore.blending.worked import Worked
from hlbcore.errors import EmptyPhase, HlbError
from hlbcore.quantities import TEMPERATURE, read_quantity
from hlbcore.rules.jar.contents import Contents, contents_of
from hlbcore.rules.jar.families import Eutectic, eutectics_in
from hlbcore.rules.jar.grains import Grains, grains_of
from hlbcore.rules.jar.heat import bench_temperature
from hlbcore.rules.jar.phases import Creaming, PhaseRatio, creaming_of, ratio_of
from hlbcore.rules.jar.pouring import (
    Flash,
    Pouring,
    SetsAt,
    flash_points,
    grains_meet,
    heated_again,
    phases_meet,
    sets_at,
    wax_into_batch,
)
from hlbcore.rules.jar.softness import Softness, softness_of
from hlbcore.rules.jar.syrup import Syrup, syrup_of

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class JarSheet:
    """What is asked of a jar, as typed; what was measured stands in the facts of the formula.

    Parameters
    ----------
    oil_c, water_c : str
        Temperatures of the phases when they meet. [°C]
    wax_c, batch_c : str
        Of fats melted apart, and of the batch they go into. [°C]
    base_c, grains_c : str
        Of the base when grains go in, and of the grains. [°C]
    jar_c : str
        Where the jar stands. [°C]
    days : str
        How long droplets shall keep. [days]
    layer_mm : str
        Clear layer that is still taken. [mm]
    """

    oil_c: str = "75"
    water_c: str = "75"
    wax_c: str = "80"
    batch_c: str = "40"
    base_c: str = "60"
    grains_c: str = "20"
    jar_c: str = "20"
    days: str = "90"
    layer_mm: str = "1"


NAMES = {
    "oil_c": "oil phase",
    "water_c": "water phase",
    "wax_c": "melted fats",
    "batch_c": "batch",
    "base_c": "base",
    "grains_c": "grains",
    "jar_c": "jar",
}
"""Temperatures of a sheet, as the bench calls them."""


@dataclass(frozen=True)
class Jar:
    """What the jar of a formula does.

    Parameters
    ----------
    worked : Worked
        The formula.
    values : mapping of str to float
        What of the sheet could be read.
    contents : Contents
        Oil, water and grains.
    ratio : PhaseRatio or None
        Oil against water by volume.
    grains : Grains or None
        What becomes of the grains where the jar stands.
    warm_grains : Grains or None
        The same at 40 °C.
    softness : Softness or None
        Of the fat phase; None without one.
    sets : tuple of SetsAt
        Melting and congealing of the fats, the highest first.
    pairs : tuple of (Eutectic, tuple of str)
        Fats that are softer together, with the ids.
    flash : tuple of Flash
        Volatile liquids with their flash points.
    again : tuple of str
        What a second heating would hit.
    syrup : Syrup
        What dissolves, and water activity.
    problems : mapping of str to str
        A sentence for each field of the sheet that cannot be used.
    """

    worked: Worked
    values: dict[str, float]
    contents: Contents
    ratio: PhaseRatio | None
    grains: Grains | None
    warm_grains: Grains | None
    softness: Softness | None
    sets: tuple[SetsAt, ...]
    pairs: tuple[tuple[Eutectic, tuple[str, ...]], ...]
    flash: tuple[Flash, ...]
    again: tuple[str, ...]
    syrup: Syrup
    problems: dict[str, str]

    @cached_property
    def creaming(self) -> Creaming | None:
        """Which droplets keep."""
        asked = self.values
        if "days" not in asked or "layer_mm" not in asked:
            return None
        return creaming_of(self.worked, self.contents, days=asked["days"], layer_mm=asked["layer_mm"])

    @cached_property
    def pourings(self) -> tuple[Pouring, ...]:
        """Each time that hot meets cold."""
        steps: list[Pouring] = []
        for needs, step in (
            (("oil_c", "water_c"), phases_meet),
            (("base_c", "grains_c"), grains_meet),
            (("wax_c", "batch_c"), wax_into_batch),
        ):
            if all(n in self.values for n in needs):
                given = {n: self.values[n] for n in needs}
                made = _or_none(lambda step=step, given=given: step(self.worked, **given))  # type: ignore[misc]
                steps += [made] if made is not None else []
        return tuple(steps)


WARM_JAR_C = 40.0
"""A jar in summer. [°C] Our convention."""


def _read(sheet: JarSheet) -> tuple[dict[str, float], dict[str, str]]:
    values: dict[str, float] = {}
    problems: dict[str, str] = {}
    for f in fields(sheet):
        text = getattr(sheet, f.name)
        text = str(text).strip() or str(f.default)
        try:
            if f.name in NAMES:
                value = read_quantity(
                    text, f"{NAMES[f.name]}, temperature", TEMPERATURE, low=-273.15, high=2000
                )
                values[f.name] = bench_temperature(value, NAMES[f.name])
            elif f.name == "days":
                values[f.name] = read_quantity(
                    text, "days to keep", {"days": 1.0, "day": 1.0}, low=0.01, high=3650
                )
            else:
                values[f.name] = read_quantity(
                    text, "clear layer", {"mm": 1.0, "cm": 10.0}, low=0.01, high=500
                )
        except HlbError as error:
            problems[f.name] = str(error)
    return values, problems


def _or_none(how: Callable[[], T]) -> T | None:
    try:
        return how()
    except EmptyPhase:
        return None


def work_out_jar(worked: Worked, sheet: JarSheet | None = None) -> Jar:
    """What the jar of a formula does: holds, stays soft, pours, keeps.

    Parameters
    ----------
    worked : Worked
        A formula, worked out; of a formula with portions, the base.
    sheet : JarSheet, optional
        Temperatures and times as typed; the usual ones where left out.

    Returns
    -------
    Jar
        A field that cannot be used is told in `problems`; what rests on it is left out.

    Examples
    --------
    >>> from hlbcore import Formula, Line, work_out
    >>> f = Formula("x", "wash-off scrub", [Line("sugar", 66, phase="solids"), Line("olive oil", 34)])
    >>> work_out_jar(work_out(f)).grains.word
    'packed'
    """
    values, problems = _read(sheet or JarSheet())
    contents = contents_of(worked)
    softness = _or_none(lambda: softness_of(worked))
    grains = None
    if "jar_c" in values:
        grains = grains_of(worked, contents, softness, temperature_c=values["jar_c"])
    keys = [x.key for x in worked.base_lines if x.is_fat and x.pct > 0]
    return Jar(
        worked,
        values,
        contents,
        ratio_of(worked, contents),
        grains,
        grains_of(worked, contents, softness, temperature_c=WARM_JAR_C),
        softness,
        sets_at(worked),
        tuple(eutectics_in(keys)),
        flash_points(worked),
        heated_again(worked),
        syrup_of(worked, contents=contents),
        problems,
    )
