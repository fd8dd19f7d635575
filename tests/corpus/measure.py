"""What the tool says of the printed formulas: run on request, ``python -m tests.corpus.measure``.

One row a formula and pooled figures by outcome. `SEEN_AS` holds, for each stated failure, the symptom
that a maker would choose and the words that name its cause, read off the failure text by hand.
"""

from __future__ import annotations

import json
import statistics
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import hlbcore as hlb
from hlbcore.findings import Finding, first_screen

CORPUS = Path(__file__).with_name("formulas.jsonl")

RUNG = "a rung of a printed ladder"
SHARED = "NOT INDEPENDENT"


@dataclass(frozen=True)
class Stated:
    """A stated failure: the symptom a maker would choose, and words of which one must be named."""

    symptom: str
    words: tuple[str, ...]


SEEN_AS = {
    "bal01": Stated("too soft", ("solid", "hard share", "melted")),
    "bal05": Stated("too soft", ("solid", "hard share", "melted")),
    "con03": Stated("lumps", ("cationic",)),
    "cre04": Stated("split next day", ("preservative",)),
    "cre06": Stated("thin", ("at the cool-down", "unlike temperatures")),
    "cre08": Stated("white on rubbing", ("soap", "dose is high", "more emulsifier")),
    "cre19": Stated("split at once", ("fragrance", "essential oil")),
    "lot09": Stated("white on rubbing", ("dose is high", "more emulsifier", "waxy", "soap")),
    "lot10": Stated("split at once", ("only half", "other type")),
    "lot11": Stated("split next day", ("too little emulsifier", "dose is low")),
    "lot12": Stated("split at once", ("only half", "alone", "too little emulsifier", "dose is low")),
    "lot22": Stated("lumps", ("dose is low", "crystal")),
    "oil05": Stated("oil on top", ("dissolve",)),
    "oil06": Stated("oil on top", ("dissolve",)),
    "scr06": Stated("does not rinse", ("too little emulsifier", "dose is low", "oil-loving")),
    "scr07": Stated("water below", ("water phase is thin", "water dissolves", "water got in")),
    "spr01": Stated("cloudy", ("solubiliser",)),
    "wo03": Stated("water below", ("held by the wax", "without salt")),
    "ladA01": Stated("split next day", ("emulsifiers: outside", "misses the required")),
    "ladA02": Stated("split next day", ("emulsifiers: outside", "misses the required")),
    "ladA03": Stated("split next day", ("emulsifiers: outside", "misses the required")),
    "ladA06": Stated("split next day", ("emulsifiers: outside", "misses the required")),
}


def corpus(path: Path = CORPUS) -> Iterator[tuple[dict[str, object], hlb.Formula]]:
    """Each printed formula with the same as a Formula."""
    for row in path.read_text(encoding="utf-8").splitlines():
        printed = json.loads(row)
        facts = {} if printed["ph"] is None else {"ph": printed["ph"]}
        lines = [hlb.Line(x["name"], x["pct"], phase=x["phase"]) for x in printed["lines"]]
        yield printed, hlb.Formula(printed["id"], printed["product_type"], lines, facts=hlb.Facts(**facts))


@dataclass(frozen=True)
class Said:
    """What the tool says of one formula."""

    id: str
    kind: str
    outcome: str
    rung: bool
    shared: bool
    rule: str
    word: str
    dose: str
    findings: tuple[Finding, ...]
    unknown: tuple[str, ...]
    named: bool | None

    def count(self, level: str) -> int:
        """Findings of a level on the first screen."""
        return sum(f.level == level for f in self.first)

    @property
    def first(self) -> tuple[Finding, ...]:
        """What stands on the first screen."""
        return first_screen(self.findings)


def said_of(printed: dict[str, object], formula: hlb.Formula) -> Said:
    """Run the tool on one formula."""
    worked = hlb.work_out(formula)
    findings = tuple(hlb.check(worked))
    note = str(printed["note"])
    stated = SEEN_AS.get(str(printed["id"]))
    named = None
    if stated is not None:
        shown = [f for f in findings if not f.always][:2]
        texts = [f"{f.title} {f.detail}" for f in shown]
        texts += [c.cause for c in hlb.diagnose(worked, symptom=stated.symptom).causes[:1]]
        named = any(w in t.casefold() for t in texts for w in stated.words)
    return Said(
        str(printed["id"]),
        str(printed["product_type"]),
        str(printed["outcome"]),
        RUNG in note,
        SHARED in note,
        worked.verdict.rule,
        worked.verdict.word,
        worked.dose.title if worked.dose else "-",
        findings,
        tuple(x.name for x in worked.lines if x.ingredient is None and x.pct > 0),
        named,
    )


def _ninth(values: list[int]) -> float:
    return statistics.quantiles(values, n=10, method="inclusive")[-1] if len(values) > 1 else float(values[0])


def pooled(rows: list[Said]) -> str:
    """Pooled figures of some formulas, in one line."""
    cautions, first = [r.count("caution") for r in rows], [len(r.first) for r in rows]
    stops = sum(r.count("stop") > 0 for r in rows)
    yes = sum(r.word.startswith(("inside", "in its")) for r in rows)
    ruled = sum(r.rule != "none" for r in rows)
    return (
        f"n {len(rows):2}  stopped {stops:2}  cautions median {statistics.median(cautions):g}, 90th "
        f"{_ninth(cautions):g}, most {max(cautions)}  first screen median {statistics.median(first):g}, 90th "
        f"{_ninth(first):g}, most {max(first)}  yes {yes}  a rule judges {ruled}"
    )


def main() -> None:
    """Print the table; with `-v` the findings of each formula too."""
    rows = [said_of(*one) for one in corpus()]
    for r in rows:
        named = {None: "", True: "cause named", False: "CAUSE MISSED"}[r.named]
        print(
            f"{r.id:7}{r.outcome:11}{r.rule:16}{r.word[:48]:49}{r.dose[:20]:21}"
            f"{r.count('stop')} {r.count('caution'):2} {len(r.first):3} {len(r.unknown):2}  {named}"
        )
        if "-v" in sys.argv:
            for f in r.first:
                print(f"          {f.level[0].upper()} {f.title} | {f.figure} | {f.mend[:110]}")
            print(f"          unknown: {', '.join(r.unknown)}")
    for outcome in ("good", "not stated", "failed"):
        print(f"{outcome:11}", pooled([r for r in rows if r.outcome == outcome]))
    print("sound      ", pooled([r for r in rows if r.outcome != "failed" and not r.rung]))
    print("all        ", pooled(rows))
    told = [r for r in rows if r.named is not None]
    for name, some in (
        ("all", told),
        ("without rungs", [r for r in told if not r.rung]),
        ("independent", [r for r in told if not r.rung and not r.shared]),
    ):
        print(f"causes named, {name}: {sum(bool(r.named) for r in some)} of {len(some)}")


if __name__ == "__main__":
    main()
