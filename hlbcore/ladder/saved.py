"""Reading a ladder from its file: unknown fields and wrong kinds of value are refused."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from hlbcore._numbers import checked, checked_text
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.findings import Finding
from hlbcore.ladder.ladder import Ladder, Process, Vial


def known(kind: type, raw: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of a class, none of them unknown."""
    names = {f.name for f in fields(kind)}
    if strange := [k for k in raw if k not in names]:
        raise ValueError(f"'{clipped(strange[0])}' is not known")
    return dict(raw)


def pairs(raw: Any) -> tuple[tuple[str, float], ...]:
    """Names with numbers."""
    return tuple((name, number) for name, number in raw)


def ladder_of(raw: dict[str, Any]) -> Ladder:
    """The ladder of a file."""
    held = known(Ladder, raw)
    vials = []
    for v in held["vials"]:
        row = known(Vial, v)
        row["grams"] = pairs(row["grams"])
        vials.append(Vial(**row))
    held["vials"] = tuple(sorted(vials, key=lambda v: v.number))
    held["emulsifiers"] = tuple(
        (checked_text(n, "ladder, emulsifier"), _estimate(e)) for n, e in held["emulsifiers"]
    )
    for name in ("oils", "others"):
        held[name] = pairs(held.get(name, ()))
    if "process" in held:
        process = known(Process, held["process"])
        process["notes"] = tuple(process.get("notes", ()))
        held["process"] = Process(**process)
    held["to_observe"] = tuple(checked_text(t, "ladder, to observe") for t in held.get("to_observe", ()))
    held["cautions"] = tuple(_finding(f) for f in held.get("cautions", ()))
    return Ladder(**held)


def _estimate(raw: dict[str, Any]) -> Estimate:
    row = known(Estimate, raw)
    row["sources"] = tuple(checked_text(s, "emulsifier, source") for s in row.get("sources", ()))
    row["alternatives"] = tuple(
        checked(a, "emulsifier, reading", low=0, high=HLB_MAX) for a in row.get("alternatives", ())
    )
    checked_text(row.get("grade", "own"), "emulsifier, grade")
    return Estimate(**row)


def _finding(raw: dict[str, Any]) -> Finding:
    row = known(Finding, raw)
    for name, held in row.items():
        if name in ("aside", "always"):
            if not isinstance(held, bool):
                raise InvalidInput(
                    f"finding, {name}", f"'{clipped(held)}' is neither true nor false", "Write true or false."
                )
        else:
            checked_text(held, f"finding, {name}")
    return Finding(**row)
