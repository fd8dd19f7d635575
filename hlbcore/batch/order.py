"""Order of work: phase by phase, with temperatures, holds, and each caution where it bites."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from hlbcore.batch.pot import PotLine
from hlbcore.batch.premix import Premix
from hlbcore.blending.worked import Worked
from hlbcore.checks import check
from hlbcore.findings import Finding
from hlbcore.rules.hard_share import melting_c

ABOVE_MELTING_C = 10.0
"""Fats are heated so far above the highest melting point. [°C] Common practice, no source."""

USUAL_HOT_C = 70.0
"""Both phases of an emulsion are brought at least to this where nothing was typed. [°C] Common
practice, no source."""

HOLD_MIN = 20
"""How long makers hold a hot water phase. [min] Common practice, no source; it does not sterilise."""

DESK = " stands on both sides"
"""End of the title of a finding that is for the desk, not for the bench."""

USUAL_COOL_C = 40.0
"""Below this the cool-down phase goes in where nothing was typed. [°C] Common practice, no source."""

BEFORE = (
    "The papers of this batch lie here, and no others",
    "Every ingredient is released for use, its lot written down",
    "Scales, vessels and tools are clean and working",
    "The bench is cleared of the last job",
)
"""What is looked at before work; ISO 22716:2007, 7.2.2."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the work.

    Parameters
    ----------
    title : str
        What it is.
    lines : tuple of str
        What to do, a sentence each.
    rows : tuple of int
        Rows of the pot that are weighed in it. [-]
    hot_c : float, optional
        Temperature to reach. [°C]
    hold_min : int, optional
        How long it is held. [min]
    cautions : tuple of Finding
        What can go wrong or hurt here.
    boxes : tuple of str
        What is ticked off.
    beside : tuple of (str, str, str)
        What is weighed for a premix: name, grams as shown, scale.
    """

    title: str
    lines: tuple[str, ...] = ()
    rows: tuple[int, ...] = ()
    hot_c: float | None = None
    hold_min: int | None = None
    cautions: tuple[Finding, ...] = ()
    boxes: tuple[str, ...] = ()
    beside: tuple[tuple[str, str, str], ...] = ()


def hot_of(worked: Worked) -> tuple[float | None, str]:
    """How hot the fats must be, and why; None where nothing is melted. [°C]"""
    if worked.facts.hottest_c is not None:
        return worked.facts.hottest_c, "as typed for the hottest step"
    fats = [x for x in worked.lines if x.is_fat and x.pct > 0]
    if not fats:
        return None, ""
    melting = [(melting_c(x.ingredient), x.name) for x in fats if x.ingredient is not None]
    known = [(c, name) for c, name in melting if c is not None]
    if not known:
        return USUAL_HOT_C, "usual; no melting point is known here"
    top, name = max(known)
    hot = max(top + ABOVE_MELTING_C, USUAL_HOT_C if worked.water_pct > 0 else 0.0)
    return round(
        hot
    ), f"{ABOVE_MELTING_C:g} °C above the melting point of {name}, at least {USUAL_HOT_C:g} °C"


def steps_of(worked: Worked, rows: Sequence[PotLine], premixes: Sequence[Premix]) -> tuple[Step, ...]:
    """The steps of a batch in their order.

    Parameters
    ----------
    worked : Worked
        The formula, worked out.
    rows : sequence of PotLine
        What goes into the pot.
    premixes : sequence of Premix
        Those that are used come first.

    Returns
    -------
    tuple of Step
        Every row stands in one of them.
    """
    return _Work(worked, rows, [p for p in premixes if p.used]).steps()


def _without_names(worked: Worked) -> list[Finding]:
    """What the checks found, each once: those of portions without the portion's name."""
    names = tuple(f"{part.name}: " for part in worked.made.finished()) if worked.made.portion_list else ()

    def bare(title: str) -> str:
        return next((title.removeprefix(n) for n in names if title.startswith(n)), title)

    held: dict[str, Finding] = {}
    for f in check(worked):
        if f.title.endswith(DESK):
            continue
        held.setdefault(bare(f.title), replace(f, title=bare(f.title)))
    return list(held.values())


class _Work:
    def __init__(self, worked: Worked, rows: Sequence[PotLine], premixes: Sequence[Premix]) -> None:
        self.worked, self.rows, self.premixes = worked, rows, premixes
        self.open = _without_names(worked)
        self.hot, self.why = hot_of(worked)
        cool = worked.facts.cool_down_c
        self.cool = USUAL_COOL_C if cool is None else cool
        self.emulsion = worked.water_pct > 0 and any(x.is_fat and x.pct > 0 for x in worked.lines)

    def take(self, *titles: str) -> tuple[Finding, ...]:
        """Findings of these titles, each at one step only."""
        found = tuple(f for f in self.open if f.title in titles)
        self.open = [f for f in self.open if f not in found]
        return found

    def of(self, rows: Sequence[int]) -> tuple[Finding, ...]:
        """What must not be overlooked about the ingredients of these rows."""
        names = [self.rows[n].ingredient for n in rows]
        found = tuple(
            f
            for f in self.open
            if f.level != "note" and any(f.title.startswith(n) or f.detail.startswith(n) for n in names)
        )
        self.open = [f for f in self.open if f not in found]
        return found

    def steps(self) -> tuple[Step, ...]:
        phases = list(dict.fromkeys(r.phase for r in self.rows if not r.portion))
        made = [self.mix(p) for p in self.premixes]
        heated = [p for p in phases if self.is_watery(p) or self.is_fatty(p)]
        cooled = False
        for phase in phases:
            held = tuple(n for n, r in enumerate(self.rows) if r.phase == phase and not r.portion)
            if phase in heated:
                made.append(self.heat(phase, held))
                if phase == heated[-1] and self.emulsion and len(heated) > 1:
                    made.append(self.join())
                continue
            made.append(self.add(phase, held, warm=not cooled and bool(heated)))
            cooled = True
        made += self.portions()
        made.append(self.fill())
        grave = tuple(f for f in self.open if f.level != "note" and not f.always)
        lines = (f"Open points of the formula: {'; '.join(f.title for f in grave)}.",) if grave else ()
        return (Step("Before you start", lines, cautions=grave, boxes=BEFORE), *made)

    def is_watery(self, phase: str) -> bool:
        return any(x.kind == "water" and x.line.phase == phase and x.pct > 0 for x in self.worked.base_lines)

    def is_fatty(self, phase: str) -> bool:
        if "cool" in phase.casefold() or phase == "solids":
            return False
        return any(
            x.is_fat and x.line.phase == phase and x.pct > 0 and x.kind not in ("fragrance", "essential oil")
            for x in self.worked.base_lines
        )

    def mix(self, p: Premix) -> Step:
        kind = "slurry" if p.slurry else "premix"
        held: list[tuple[str, str, str]] = []
        what = p.ingredient
        for n, s in enumerate(p.steps, 1):
            held.append((what, s.of_scale.text(s.of_g), s.of_scale.label))
            held.append((p.carrier, s.carrier_scale.text(s.carrier_g), s.carrier_scale.label))
            what = f"mixture {n}"
        return Step(f"Make the {kind} of {p.ingredient}", p.words[:-1], beside=tuple(held))

    def heat(self, phase: str, held: tuple[int, ...]) -> Step:
        hot = self.hot if self.emulsion or self.needs_melting(phase) else None
        lines: list[str] = []
        hold = None
        cautions = self.of(held)
        if self.is_watery(phase):
            cautions += self.take("Gum: wet it before the water", "Gum: hydrate it before sugar and salt")
            if hot is not None:
                hold = HOLD_MIN
                lines = [
                    "Weigh the vessel with the phase in it.",
                    f"Heat to {hot:g} °C, covered, and hold {HOLD_MIN} min.",
                    "Weigh again; make up the lost water with hot water.",
                ]
        elif hot is not None:
            cautions += self.take("Hot fat burns")
            lines = [f"Heat in a water bath to {hot:g} °C ({self.why}) until all of it is clear."]
        else:
            lines = ["Stir until it is even; nothing here needs heat."]
        return Step(f"Weigh the {phase} phase", tuple(lines), held, hot, hold, cautions)

    def needs_melting(self, phase: str) -> bool:
        typed = self.worked.facts.hottest_c is not None
        return typed or any(
            x.line.phase == phase and x.pct > 0 and x.ingredient and melting_c(x.ingredient) is not None
            for x in self.worked.base_lines
        )

    def join(self) -> Step:
        if self.worked.product.emulsion == "w/o":
            said = "Pour the water phase in a thin stream into the oil phase, stirring all the time."
        else:
            said = "Pour the oil phase into the water phase, stirring all the time."
        hot = self.hot or USUAL_HOT_C
        return Step(
            "Join the phases", (f"Both at {hot:g} °C, within 5 °C of each other.", said), hot_c=self.hot
        )

    def add(self, phase: str, held: tuple[int, ...], *, warm: bool) -> Step:
        names = [self.rows[n].ingredient for n in held]
        cautions = self.of(held) + tuple(
            f for f in self.open if f.level != "note" and any(n in f.title for n in names)
        )
        self.open = [f for f in self.open if f not in cautions]
        limit = self.worked.facts.fragrance_max_c
        lines = []
        if warm and self.hot is not None:
            lines.append(f"Stir while it cools to {self.cool:g} °C.")
        if limit is not None and limit < self.cool:
            lines.append(f"The fragrance not above {limit:g} °C, by its supplier.")
        if phase == "solids":
            lines.append("Stir in once it is thick enough to hold the grains.")
        else:
            lines.append("One after the other, stirring in between.")
        return Step(f"Weigh the {phase} phase", tuple(lines), held, cautions=cautions)

    def portions(self) -> list[Step]:
        formula = self.worked.made
        base = sum(r.grams for r in self.rows if not r.portion)
        found = []
        for p in formula.portion_list:
            held = tuple(
                n
                for n, r in enumerate(self.rows)
                if r.portion and " ".join(r.portion.casefold().split()) == " ".join(p.name.casefold().split())
            )
            said = f"Part off {base * p.share_pct / 100:.4g} g of the base ({p.share_pct:g} %)."
            found.append(Step(f"Portion {p.name}", (said,), held, cautions=self.of(held)))
        return found

    def fill(self) -> Step:
        always = tuple(f for f in self.open if f.always)
        self.open = [f for f in self.open if f not in always]
        lines = (
            "Weigh what was made; look at it again after a day before you fill it.",
            "Fill, close, and write the batch number on every jar.",
        )
        return Step("Fill", lines, cautions=always)
