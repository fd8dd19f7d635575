"""The plan of the kind of ladder that was asked for, with the pair that the maker has."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import OWN
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import InvalidInput, UnreachableTarget, clipped
from hlbcore.estimate import Estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.ladder import (
    Ladder,
    clarity_ladder,
    family_ladder,
    loading_ladder,
    plan_ladder,
    ready_doses,
    rinse_ladder,
)
from hlbcore.ladder.families import ready_ladder
from hlbcore.ladder.own_system import (
    likely_pairs,
    other_lines,
    own_dose,
    own_pair,
    ready_emulsifier,
    seen_dose,
)
from hlbcore.ladder.sheet import SOUGHT, LadderSheet
from hlbcore.product_types import PRACTICE


@dataclass(frozen=True, slots=True)
class TypedPlan:
    """The fields of the plan as read; None where blank or not usable."""

    others: Mapping[str, float] | None
    centre: Estimate | None
    half_width: float | None
    steps: int
    mass: float | None
    dose: float | None
    scale: float | None
    duplicates: int
    seed: int | None
    first: str | None
    second: str | None


def planned(
    worked: Worked,
    sheet: LadderSheet,
    kind: str,
    oils: Mapping[str, float],
    emulsion: str,
    typed: TypedPlan,
    found: Estimate | RequiredHlb | None,
) -> Ladder:
    """The plan of the kind that was asked for."""
    first, second, mass = typed.first, typed.second, typed.mass
    assert mass is not None
    common: dict[str, Any] = {
        "readability_g": typed.scale,
        "duplicates": typed.duplicates,
        "seed": typed.seed,
        "blinded": sheet.blinded,
        "values": _values(worked),
        "library": worked.library,
    }
    if kind == "rinse":
        mine = (first, second) if first and second else own_pair(worked)
        own = not sheet.others.strip() and not sheet.oils.strip()
        return rinse_ladder(
            worked.product,
            others=other_lines(worked) if own else typed.others,
            oil_phase=oils,
            first=mine[0] if mine else None,
            second=mine[1] if mine else None,
            jar_mass_g=mass,
            dilution=sheet.water.strip() or "30",
            **common,
        )
    common.update(vial_mass_g=mass, others=typed.others)
    if kind == "clarity":
        return clarity_ladder(oils, solubiliser=first or "polysorbate 20", steps=typed.steps, **common)
    common.update(emulsion=emulsion, oil_phase=oils)
    dose = typed.dose
    if dose is None and not sheet.oils.strip():  # of another oil phase the maker's dose says nothing
        dose = own_dose(worked, oils)
    if kind == "loading" and is_ready(worked, typed):
        return _ready(worked, sheet, oils, typed, common)
    aim = found.value if found is not None else 0.0
    named = (first, second) if first and second else None
    if kind in SOUGHT:
        asked = {
            "centre": found,
            "half_width": typed.half_width,
            "steps": typed.steps,
            "emulsifier_pct": dose,
            **common,
        }
        if named:
            return replace(plan_ladder(*named, trimmed=True, **asked), kind=kind)
        return replace(_with_likely(worked, aim, asked), kind=kind)
    if kind == "family":
        return family_ladder(aim, pairs=pairs_of(sheet.pairs), emulsifier_pct=dose, **common)
    likely = [p for p, _ in likely_pairs(worked, aim) if _spans(worked, p, aim)]
    pair = named or (likely[0] if likely else choose_emulsifiers(aim).names)
    if len(pair) != 2:
        raise InvalidInput("emulsifiers", "no usual pair is known", "Name two emulsifiers.")
    return loading_ladder(*pair, hlb=aim, steps=typed.steps, **common)


def is_ready(worked: Worked, typed: TypedPlan) -> bool:
    """Whether the doses of one ready emulsifier are stepped: no HLB is aimed at."""
    if typed.first or typed.second:
        return typed.second is None
    return ready_emulsifier(worked) is not None


def _ready(
    worked: Worked, sheet: LadderSheet, oils: Mapping[str, float], typed: TypedPlan, common: Mapping[str, Any]
) -> Ladder:
    """The first test of a ready emulsifier: half of the dose that was seen, that dose, half as much again."""
    mine = ready_emulsifier(worked)
    own = mine is not None and (typed.first is None or worked.library.key(typed.first) == mine.key)
    if mine is not None and own:
        middle, why = seen_dose(worked, mine)
        name = mine.name.strip()
        if sheet.oils.strip() and worked.oil_pct > 0:
            middle *= math.fsum(oils.values()) / worked.oil_pct
    else:
        name, why = typed.first or "", "a quarter of the oil phase; our convention"
        middle = math.fsum(oils.values()) / 4
    doses: tuple[float, ...] = ready_doses(middle)
    if sheet.steps.strip() and typed.steps != len(doses):
        doses = tuple(round(float(d), 6) for d in np.geomspace(doses[0], doses[-1], typed.steps))
    made = ready_ladder(name, doses_pct=doses, **common)
    told = Finding(
        "note",
        "Doses of a ready emulsifier",
        f"{clipped(name, 60)} goes by its supplier's rate, so doses are stepped first and no HLB. The middle "
        f"one is {why}.",
        rule=f"half, once and one and a half of a usual dose; {PRACTICE}",
    )
    return replace(made, cautions=worst_first([told, *made.cautions]))


def _with_likely(worked: Worked, aim: float, asked: Mapping[str, Any]) -> Ladder:
    """A ladder of HLB steps with the first likely pair that reaches its middle."""
    for pair, why in likely_pairs(worked, aim):
        if not _spans(worked, pair, aim):
            continue
        try:
            made = plan_ladder(*pair, trimmed=True, **asked)
        except UnreachableTarget:  # its middle stands at the very end of the pair
            continue
        told = Finding("note", "The pair was chosen", f"{why[0].upper()}{why[1:]}.")
        return replace(made, cautions=worst_first([*made.cautions, told]))
    return plan_ladder(None, None, **asked)


def _spans(worked: Worked, pair: tuple[str, str], aim: float) -> bool:
    """Whether an HLB lies well between the two."""
    values = {worked.library.key(n): e for n, e in _values(worked).items()}
    held = []
    for name in pair:
        own = values.get(worked.library.key(name))
        known = worked.library.known(name)
        table = None if known is None or known.hlb is None else known.hlb.value
        held.append(own.value if isinstance(own, Estimate) else table)
    low, high = held
    return low is not None and high is not None and min(low, high) < aim < max(low, high)


def pairs_of(text: str) -> list[tuple[str, str]] | None:
    """Pairs as typed, ``sorbitan oleate + polysorbate 80; ...``; None where none are."""
    found = []
    for pair in (p for p in text.replace("\n", ";").split(";") if p.strip()):
        names = [n.strip() for n in pair.split("+")]
        if len(names) != 2 or not all(names):
            raise InvalidInput(
                f"pair '{clipped(pair)}'", "two emulsifiers are wanted", "Write low + high; the next pair."
            )
        found.append((names[0], names[1]))
    return found or None


def _values(worked: Worked) -> dict[str, str | float | Estimate]:
    """The user's own HLB of emulsifiers of the formula."""
    held = [x for x in worked.base_lines if x.is_emulsifier and x.basis == OWN]
    return {x.name: x.estimate for x in held if x.estimate is not None}
