"""Every printed ladder and formula with a stated outcome: what the tool says, and what the distance tells.

Run on request: ``python -m tests.evidence.study``. Ladders stand in ``ladders.csv`` beside their source,
formulas in ``tests/corpus/formulas.jsonl``.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from scipy.stats import kendalltau

import hlbcore as hlb
from tests.corpus.measure import RUNG, corpus

LADDERS = Path(__file__).with_name("ladders.csv")

MINERAL_OIL = "liquid paraffin 20 %"
"""The one printed ladder whose oil phase is stated, so that a required HLB can be summed."""

FAILED, HELD = "failed", "good"


@dataclass(frozen=True)
class Case:
    """One printed formula or rung: what came of it, and how far its blend lies from what is required."""

    name: str
    outcome: str
    word: str
    distance: float | None


def rungs(ladder: str = MINERAL_OIL) -> list[dict[str, str]]:
    """The rungs of one printed ladder."""
    with LADDERS.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["ladder"] == ladder]


def ladder_cases() -> Iterator[Case]:
    """The rungs of the mineral oil ladder against what the tables require."""
    required = hlb.required_hlb({"mineral oil": 20}).value
    for row in rungs():
        held = HELD if row["outcome"] == "held" else FAILED
        distance = abs(float(row["hlb"]) - required)
        word = "inside" if distance <= 1 else "outside"
        yield Case(f"{MINERAL_OIL}, {row['hlb']}", held, word, distance)


def formula_cases() -> Iterator[Case]:
    """Whole o/w emulsions of the corpus; the distance only where both figures are known."""
    for printed, formula in corpus():
        worked = hlb.work_out(formula)
        if worked.product.role != "governs" or RUNG in str(printed["note"]):
            continue
        both = worked.required is not None and worked.blend is not None
        distance = abs(worked.blend.value - worked.required.value) if both else None  # type: ignore[union-attr]
        yield Case(str(printed["id"]), str(printed["outcome"]), worked.verdict.word, distance)


def apart(cases: list[Case], *, published_is_good: bool = False) -> hlb.lessons.ToldApart:
    """How well the distance tells what failed from what held."""
    good = (HELD, "not stated") if published_is_good else (HELD,)
    known = [c for c in cases if c.distance is not None]
    failed = [c.distance for c in known if c.outcome == FAILED]
    held = [c.distance for c in known if c.outcome in good]
    return hlb.lessons.told_apart(failed, held)


def rank() -> tuple[float, float]:
    """Kendall's tau of distance and height that stayed, with its p, along the mineral oil ladder."""
    distances = [c.distance for c in ladder_cases()]
    found = kendalltau(distances, [float(row["response"]) for row in rungs()])
    return float(found.statistic), float(found.pvalue)


def main() -> None:
    """Print the study."""
    ladder, formulas = list(ladder_cases()), list(formula_cases())
    for case in (*ladder, *formulas):
        distance = "-" if case.distance is None else f"{case.distance:.2f}"
        print(f"{case.name:32}{case.outcome:12}{distance:>6}  {case.word}")
    tau, p = rank()
    print(f"rungs: {apart(ladder).text}; Kendall tau {tau:.2f}, p {p:.2f}")
    print(f"whole o/w formulas: {apart(formulas).text}")
    print(f"published counted as good: {apart(formulas, published_is_good=True).text}")


if __name__ == "__main__":
    main()
