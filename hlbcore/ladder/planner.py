"""The ladder that follows from what was typed, with a sentence beside each field that cannot be used."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

from hlbcore._numbers import checked, grams, read_range
from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import OWN
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import EmptyPhase, HlbError, InvalidInput, UnreachableTarget, clipped
from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.formula.named import named_numbers
from hlbcore.ladder import (
    Ladder,
    Stocks,
    clarity_ladder,
    family_ladder,
    loading_ladder,
    plan_ladder,
    premixed_stocks,
    rinse_ladder,
)
from hlbcore.ladder.cost import LadderCost, ladder_cost
from hlbcore.ladder.own_system import in_no_vial, other_lines, own_dose, own_pair
from hlbcore.ladder.record_cells import ready_to_record
from hlbcore.ladder.sheet import SOUGHT, STEPS, LadderSheet
from hlbcore.library import Library
from hlbcore.product_types import PRACTICE, ProductType
from hlbcore.rules.safety import HOT_C, HOT_RULE
from hlbcore.typed import Fields

T = TypeVar("T")

NOT_FOR_SKIN = Finding(
    "caution",
    "Vials are for looking at only",
    "They hold no preservative and were not assessed: never use them on skin, and throw them away "
    "when the last reading is done.",
    rule=PRACTICE,
    mend="Wash the vials hot; for a product, preserve and test the whole formula.",
)


@dataclass(frozen=True, slots=True, eq=False)
class LadderOutcome:
    """What follows from a ladder as typed.

    Parameters
    ----------
    kind : str
        Kind of ladder; blank where the product type has none.
    ladder : Ladder or None
        The plan; None where something has to be mended first.
    errors : mapping of str to str
        A sentence for each field that cannot be used; ``"plan"`` for the whole.
    findings : tuple of Finding
        What to mind, worst first.
    stocks : Stocks or None
        Two premixed stocks, where steps blur on the scale.
    oils : mapping of str to float
        The oil phase. [% of the vial]
    required : Estimate or None
        What the tables say that it requires. [HLB]
    left_out : str
        The lines of the formula that are in no vial, in a sentence.
    cost : LadderCost or None
        What the plan costs.
    """

    kind: str
    ladder: Ladder | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    stocks: Stocks | None = None
    oils: Mapping[str, float] = field(default_factory=dict)
    required: Estimate | None = None
    left_out: str = ""
    cost: LadderCost | None = None


def work_out_ladder(worked: Worked, sheet: LadderSheet) -> LadderOutcome:
    """The ladder of a page, and a sentence beside each field that cannot be used.

    Parameters
    ----------
    worked : Worked
        The open formula, worked out; it gives oil phase and product type where none are typed.
    sheet : LadderSheet
        What was typed.

    Returns
    -------
    LadderOutcome
        The plan with its findings.

    Examples
    --------
    >>> from hlbcore import Formula, work_out
    >>> asked = LadderSheet(oils="mineral oil 20", centre="10", half_width="3")
    >>> work_out_ladder(work_out(Formula()), asked).ladder
    coarse ladder of 7 vials
    """
    f = Fields()
    kind = sheet.kind or _usual(worked.product)
    _refuse_kind(f, kind, worked.product)
    oils = f.read("oils", lambda: _oils(worked, sheet)) or {}
    emulsion = "o/w" if kind in ("rinse", "clarity") else worked.product.phase_emulsion
    required = _required(worked, sheet, oils, emulsion, worked.library)
    typed = _typed(f, sheet, kind)
    found = typed.centre if typed.centre is not None else required
    if not f.errors and found is None and kind in ("coarse", "fine", "family", "loading"):
        f.errors["centre"] = (
            "Middle of the ladder: no figure is known for this oil phase. Enter a middle, for "
            "example 10, and a half width of 4."
        )
    estimate = None if required is None else required.estimate
    ladder = None
    if not f.errors:
        ladder = f.read("plan", lambda: _plan(worked, sheet, kind, oils, emulsion, typed, found))
    if ladder is None:
        return LadderOutcome(kind, None, f.errors, (), None, oils, estimate)
    if sheet.stirring.strip():
        stirring = sheet.stirring.strip()
        ladder = replace(ladder, process=replace(ladder.process, stirring=stirring))
    stocks = None
    if any("blur" in x.title.casefold() for x in ladder.cautions):
        stocks = Fields().read("stocks", lambda: premixed_stocks(ladder))
    findings = worst_first([*ladder.cautions, *_about(worked, sheet, ladder, worked.library)])
    left = "" if sheet.oils.strip() else in_no_vial(worked, ladder)
    cost = ladder_cost(ladder, worked, times=ready_to_record(sheet, ladder).times)
    return LadderOutcome(kind, ladder, f.errors, findings, stocks, oils, estimate, left, cost)


def _usual(product: ProductType) -> str:
    """The kind of ladder that the product type asks for; blank where it has none."""
    if product.role == "none":
        return "clarity" if product.dose_basis == "perfume oil" else ""
    return {"governs": "coarse", "secondary": "rinse"}[product.role]


def _refuse_kind(f: Fields, kind: str, product: ProductType) -> None:
    if not kind:
        f.errors["kind"] = (
            f"For {product.name} there is no usual ladder. {product.reason} Choose a kind of "
            "ladder, or another product type for the formula."
        )
    if kind == "rinse" and product.role != "secondary":
        f.errors["kind"] = (
            f"The rinse test is for scrubs, balms and oils that are washed off; the open formula "
            f"is of the type {product.name}. Choose HLB steps, or another product type there."
        )


@dataclass(frozen=True, slots=True)
class _Typed:
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


def _typed(f: Fields, sheet: LadderSheet, kind: str) -> _Typed:
    """The fields of the plan, each with its sentence where it cannot be used."""

    def read(name: str, how: Callable[[str], T], text: str | None = None) -> T | None:
        held: str = getattr(sheet, name) if text is None else text
        return f.read(name, lambda: how(held)) if held.strip() else None

    typed = _Typed(
        f.read("others", lambda: dict(named_numbers(sheet.others, "other ingredients"))),
        read("centre", _centre),
        read("half_width", lambda t: checked(t, "half width", above=0, high=HLB_MAX)),
        read("steps", lambda t: _whole(t, "steps"), sheet.steps.strip() or STEPS.get(kind, "")) or 0,
        read("vial_mass", lambda t: grams(t, "vial mass")),
        read("dose", lambda t: checked(t, "dose", above=0, high=100, unit="% of the vial")),
        read("scale", lambda t: grams(t, "scale")),
        read("duplicates", lambda t: _whole(t, "duplicates")) or 0,
        read("seed", lambda t: _whole(t, "start of the random order")),
        sheet.first.strip() or None,
        sheet.second.strip() or None,
    )
    for name, number in (("scale", typed.scale), ("vial_mass", typed.mass)):
        if number is None and name not in f.errors:
            f.errors[name] = f"{name.replace('_', ' ')}: it is blank. Enter a mass such as 50 g."
    if kind != "clarity" and (typed.first is None) != (typed.second is None):
        f.errors["pair"] = "Emulsifiers: one of the two is missing. Name both, or none."
    return typed


def _plan(
    worked: Worked,
    sheet: LadderSheet,
    kind: str,
    oils: Mapping[str, float],
    emulsion: str,
    typed: _Typed,
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
    mine = (first, second) if first and second else own_pair(worked)
    if kind == "rinse":
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
    if kind in SOUGHT:
        asked = {
            "centre": found,
            "half_width": typed.half_width,
            "steps": typed.steps,
            "emulsifier_pct": dose,
            **common,
        }
        try:
            plan = plan_ladder(*(mine or (None, None)), **asked)
        except UnreachableTarget:
            if first:
                raise
            plan = plan_ladder(None, None, **asked)  # the maker's own pair does not reach so far
        return replace(plan, kind=kind)
    aim = found.value if found is not None else 0.0
    if kind == "family":
        return family_ladder(aim, pairs=pairs_of(sheet.pairs), emulsifier_pct=dose, **common)
    pair = mine or choose_emulsifiers(aim).names
    if len(pair) != 2:
        raise InvalidInput("emulsifiers", "no usual pair is known", "Name two emulsifiers.")
    return loading_ladder(*pair, hlb=aim, steps=typed.steps, **common)


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


def _whole(text: str, item: str) -> int:
    number = checked(text, item, low=0, high=2**31 - 1)
    if number != int(number):
        raise InvalidInput(item, f"{number:g} is no whole number", "Enter a whole number.")
    return int(number)


def _centre(text: str) -> Estimate:
    low, high = read_range(text, "middle of the ladder", "HLB")
    for end in (low, high):
        checked(end, "middle of the ladder", low=0, high=HLB_MAX, unit="HLB")
    return Estimate((low + high) / 2, low, high)


def _oils(worked: Worked, sheet: LadderSheet) -> dict[str, float]:
    if sheet.oils.strip():
        held: dict[str, float] = {}
        for name, pct in named_numbers(sheet.oils, "oil phase"):
            if name in held:
                raise InvalidInput(f"'{clipped(name)}'", "it is listed twice", "Give the sum.")
            held[name] = checked(pct, f"'{clipped(name)}'", above=0, high=100, unit="%")
        return held
    parts = worked.required.parts if worked.required is not None else ()
    held = {p.name: p.mass for p in parts if p.mass > 0}
    # an oil without a figure is what a ladder is for
    for x in worked.base_lines:
        if x.name in worked.pending and x.pct > 0:
            held.setdefault(x.name, x.active)
    if not held:
        raise EmptyPhase(
            "The oil phase of the open formula",
            "Enter an oil with its amount there, or type the oil phase of the ladder here.",
        )
    return held


def _required(
    worked: Worked, sheet: LadderSheet, oils: Mapping[str, float], emulsion: str, library: Library
) -> RequiredHlb | None:
    """What the tables say; of an oil phase with an unknown ingredient what they say of the rest."""
    if not sheet.oils.strip():
        return worked.required
    known = {n: p for n, p in oils.items() if n.strip() and library.key(n) in library.ingredients}
    try:
        return required_hlb(known, emulsion=emulsion, library=library) if known else None
    except HlbError:
        return None


def _values(worked: Worked) -> dict[str, str | float | Estimate]:
    """The user's own HLB of emulsifiers of the formula."""
    held = [x for x in worked.base_lines if x.is_emulsifier and x.basis == OWN]
    return {x.name: x.estimate for x in held if x.estimate is not None}


def _about(worked: Worked, sheet: LadderSheet, ladder: Ladder, library: Library) -> list[Finding]:
    found = [NOT_FOR_SKIN] if ladder.kind != "rinse" else []
    warm = ladder.process.temperature_c
    if warm is not None and warm >= HOT_C:
        found.append(
            Finding(
                "caution",
                "Hot fat and hot water burn",
                f"Both phases are held at {warm:g} °C, and small vials tip easily.",
                figure=f"{warm:g} °C",
                rule=HOT_RULE,
                mend="Water bath with a thermometer, never alone; gloves, eye protection and dry "
                "tools, a rack for the vials, no water on burning wax.",
            )
        )
    if ladder.kind != "clarity" and not sheet.centre.strip():
        listed = ", ".join(
            clipped(n, 40)
            for n, _ in ladder.oils
            if (library.key(n) not in library.ingredients if sheet.oils.strip() else n in worked.pending)
        )
        if listed:
            found.append(
                Finding(
                    "caution",
                    f"No figure is known for {listed}",
                    "The middle of the ladder comes from the other oils; the optimum may lie far off.",
                    rule="our convention",
                    mend="Type a half width of 4 or more, or a middle of your own.",
                )
            )
    if math.fsum(p for _, p in ladder.oils) > 60 and ladder.kind in SOUGHT:
        found.append(
            Finding(
                "note",
                "Much oil in the vials",
                "Above about 60 % oil the type of emulsion may turn from vial to vial.",
                rule=f"{PRACTICE}",
                mend="Test each vial with a drop in water and a drop in oil.",
            )
        )
    return found
