"""The ladder that follows from what was typed, with a sentence beside each field that cannot be used."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

from hlbcore._numbers import checked, grams, read_range
from hlbcore.blending.worked import Worked
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import EmptyPhase, HlbError, InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.formula.named import named_numbers
from hlbcore.ladder import Ladder, Stocks, premixed_stocks
from hlbcore.ladder.cost import LadderCost, ladder_cost
from hlbcore.ladder.own_system import in_no_vial, ready_emulsifier
from hlbcore.ladder.plans import TypedPlan, is_ready, planned
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
    ready : bool
        Whether the doses of one emulsifier sold ready are stepped, and no HLB.
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
    ready: bool = False


def work_out_ladder(
    worked: Worked, sheet: LadderSheet, *, prices: Mapping[str, float] | None = None, currency: str = ""
) -> LadderOutcome:
    """The ladder of a page, and a sentence beside each field that cannot be used.

    Parameters
    ----------
    worked : Worked
        The open formula, worked out with the shelf; it gives oil phase, product type and pair where none
        are typed.
    sheet : LadderSheet
        What was typed.
    prices : mapping of str to float, optional
        Prices of a kept list, by id or folded name; a price in the formula goes first. [currency/kg]
    currency : str
        Of those prices.

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
    kind = sheet.kind or _usual(worked)
    _refuse_kind(f, kind, worked.product)
    oils = f.read("oils", lambda: _oils(worked, sheet)) or {}
    emulsion = "o/w" if kind in ("rinse", "clarity") else worked.product.phase_emulsion
    required = _required(worked, sheet, oils, emulsion, worked.library)
    typed = _typed(f, sheet, kind)
    found = typed.centre if typed.centre is not None else required
    ready = kind == "loading" and is_ready(worked, typed)
    if not f.errors and found is None and not ready and kind in ("coarse", "fine", "family", "loading"):
        f.errors["centre"] = (
            "Middle of the ladder: no figure is known for this oil phase. Enter a middle, for "
            "example 10, and a half width of 4."
        )
    estimate = None if required is None else required.estimate
    ladder = None
    if not f.errors:
        ladder = f.read("plan", lambda: planned(worked, sheet, kind, oils, emulsion, typed, found))
    if ladder is None:
        return LadderOutcome(kind, None, f.errors, (), None, oils, estimate, ready=ready)
    if sheet.stirring.strip():
        stirring = sheet.stirring.strip()
        ladder = replace(ladder, process=replace(ladder.process, stirring=stirring))
    stocks = None
    if any("blur" in x.title.casefold() for x in ladder.cautions):
        stocks = Fields().read("stocks", lambda: premixed_stocks(ladder))
    findings = worst_first([*ladder.cautions, *_about(worked, sheet, ladder, worked.library)])
    left = "" if sheet.oils.strip() else in_no_vial(worked, ladder)
    times = ready_to_record(sheet, ladder).times
    cost = ladder_cost(ladder, worked, times=times, prices=prices, currency=currency)
    return LadderOutcome(kind, ladder, f.errors, findings, stocks, oils, estimate, left, cost, ready)


def _usual(worked: Worked) -> str:
    """The kind of ladder that comes first; blank where there is none."""
    product = worked.product
    if product.role == "governs" and ready_emulsifier(worked) is not None:
        return "loading"  # its supplier's rate holds, not an HLB
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


def _typed(f: Fields, sheet: LadderSheet, kind: str) -> TypedPlan:
    """The fields of the plan, each with its sentence where it cannot be used."""

    def read(name: str, how: Callable[[str], T], text: str | None = None) -> T | None:
        held: str = getattr(sheet, name) if text is None else text
        return f.read(name, lambda: how(held)) if held.strip() else None

    typed = TypedPlan(
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
    alone = kind == "loading" and typed.first is not None  # one sold ready
    if kind != "clarity" and not alone and (typed.first is None) != (typed.second is None):
        f.errors["pair"] = "Emulsifiers: one of the two is missing. Name both, or none."
    return typed


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
