"""A bench ladder as typed on one page, and the ladder that follows from it."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from hlbcore._numbers import checked, grams, read_range
from hlbcore.blending.candidates import choose_emulsifiers
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import OWN
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import EmptyPhase, HlbError, InvalidInput, clipped
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
from hlbcore.library import Library
from hlbcore.limits import FILE_MOST, TEXT_MOST, check_count, check_length
from hlbcore.product_types import PRACTICE, ProductType
from hlbcore.rules.safety import HOT_C, HOT_RULE
from hlbcore.typed import Fields

SCHEMA, VERSION = "hlbcore ladder sheet", 1

LADDERS = ("coarse", "fine", "family", "loading", "rinse", "clarity")
"""Kinds of ladder that can be planned."""

STEPS = {"coarse": "7", "fine": "5", "family": "", "loading": "6", "rinse": "", "clarity": "6"}
"""Steps where none are typed; blank where their number follows from the kind. [-]"""

SOUGHT = ("coarse", "fine")
"""Kinds that step the HLB of one pair and can yield a required HLB."""

CELLS_MOST = 5_000
"""Readings of one ladder, and weighed amounts. [-] Our convention."""

DEFAULT_TIMES = "1 h, 1 day, 1 week"
"""When a ladder is read; common practice, no source."""

NOT_FOR_SKIN = Finding(
    "caution",
    "Vials are for looking at only",
    "They hold no preservative and were not assessed: never use them on skin, and throw them away "
    "when the last reading is done.",
    rule=PRACTICE,
    mend="Wash the vials hot; for a product, preserve and test the whole formula.",
)


@dataclass(frozen=True, slots=True)
class Cell:
    """One reading as typed.

    Parameters
    ----------
    vial : str
        Number of the vial. [-]
    kind : str
        What was looked at; ``note`` for a remark on the vial.
    time, temperature : str
        When, and where the vial stood. [h or with a unit, °C]
    text : str
        What was seen.
    """

    vial: str
    kind: str
    time: str = ""
    temperature: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class LadderSheet:
    """All that is typed on the page of a bench ladder.

    Parameters
    ----------
    name : str
        Name of the trial.
    kind : str
        One of `LADDERS`; blank: what the product type asks for.
    oils : str
        Oil phase as names with numbers, ``mineral oil 20``; blank: that of the open formula.
        [% of the vial]
    others : str
        What else is in every vial alike. [% of the vial]
    first, second : str
        The two emulsifiers; blank: the usual pair. The first is the solubiliser of a clarity
        ladder.
    centre : str
        Middle of the ladder, or the HLB that was found; number or range; blank: what the oil phase
        requires. [HLB]
    half_width : str
        From the middle to the ends; blank: from the range. [HLB]
    steps, vial_mass, dose, scale, duplicates, seed : str
        As typed; a blank dose is low enough to show differences. [-, g, % of the vial, g, -, -]
    water : str
        Parts of warm water for one part of base in the rinse test. [-]
    stirring : str
        Stirrer, speed and time.
    blinded : bool
        Whether labels hide the HLB.
    made_on, note : str
        Day of making, free text.
    times, temperatures : str
        When the vials are looked at, and where they stand. [h or with a unit; °C]
    kinds : tuple of str
        What is looked at; empty: what the kind of ladder asks for.
    cells : tuple of Cell
        Readings as typed.
    weighed : tuple of (str, str, str)
        Vial, ingredient and what was weighed, where it differs from the plan. [g]
    """

    name: str = ""
    kind: str = ""
    oils: str = ""
    others: str = ""
    first: str = ""
    second: str = ""
    centre: str = ""
    half_width: str = ""
    steps: str = ""
    vial_mass: str = "50 g"
    dose: str = ""
    scale: str = "0.01 g"
    duplicates: str = "0"
    seed: str = "1"
    water: str = "30"
    stirring: str = ""
    blinded: bool = False
    made_on: str = ""
    note: str = ""
    times: str = DEFAULT_TIMES
    temperatures: str = ""
    kinds: tuple[str, ...] = ()
    cells: tuple[Cell, ...] = ()
    weighed: tuple[tuple[str, str, str], ...] = ()

    def check_size(self) -> None:
        """Refuse a sheet that is too large to be kept.

        Raises
        ------
        InvalidInput
            Naming the text or the list that is too long.
        """
        for f in fields(self):
            value = getattr(self, f.name)
            if isinstance(value, str):
                check_length(value, f"ladder, {f.name.replace('_', ' ')}", TEXT_MOST)
        check_count(self.cells, "readings", CELLS_MOST)
        check_count(self.weighed, "weighed amounts", CELLS_MOST)
        for text in (*self.kinds, *(t for row in self.weighed for t in row)):
            check_length(text, "ladder, name or amount")
        for cell in self.cells:
            check_length(cell.text, f"reading of vial {clipped(cell.vial)}")

    def to_json(self) -> str:
        """The sheet as text, without fields that have their default.

        Returns
        -------
        str
            JSON with schema ``hlbcore ladder sheet``.

        Examples
        --------
        >>> LadderSheet(centre="10").to_json()
        '{"schema":"hlbcore ladder sheet","version":1,"centre":"10"}'
        """
        self.check_size()
        bare: dict[str, Any] = {"schema": SCHEMA, "version": VERSION}
        for f in fields(self):
            if (value := getattr(self, f.name)) != f.default:
                bare[f.name] = value
        if self.cells:
            bare["cells"] = [[c.vial, c.kind, c.time, c.temperature, c.text] for c in self.cells]
        text = json.dumps(bare, ensure_ascii=False, separators=(",", ":"))
        check_length(text, "ladder", FILE_MOST)
        return text

    @classmethod
    def from_json(cls, text: str) -> LadderSheet:
        """The sheet from its text.

        Parameters
        ----------
        text : str
            As written by `to_json`.

        Returns
        -------
        LadderSheet
            Fields that are missing take their default.

        Raises
        ------
        InvalidInput
            If it is no sheet of a ladder, or one of a newer version.

        Examples
        --------
        >>> LadderSheet.from_json(LadderSheet(centre="10").to_json()).centre
        '10'
        """
        check_length(text, "ladder", FILE_MOST)
        try:
            raw = json.loads(text)
            json.dumps(raw, ensure_ascii=False).encode()  # half a sign could never be written again
            if raw.pop("schema") != SCHEMA:
                raise ValueError("it is another kind of file")
            version = raw.pop("version")
            if type(version) is not int or version < 1:
                raise ValueError("its version is no number")
            if version > VERSION:
                raise ValueError(f"it was written by a newer version ({version} after {VERSION})")
            known = {f.name: f for f in fields(cls)}
            if odd := sorted(set(raw) - set(known)):
                raise ValueError(f"'{odd[0]}' is not a field of it")
            held: dict[str, Any] = {}
            for name, value in raw.items():
                if name == "cells":
                    held[name] = tuple(Cell(*_texts(row, 5)) for row in value)
                elif name == "weighed":
                    held[name] = tuple(_texts(row, 3) for row in value)
                elif name == "kinds":
                    held[name] = _texts(value, len(value))
                elif type(value) is not type(known[name].default):
                    raise ValueError(f"'{name}' is of another kind")
                else:
                    held[name] = value
            made = cls(**held)
            if made.kind not in ("", *LADDERS):
                raise ValueError(f"'{made.kind}' is no kind of ladder")
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
            raise InvalidInput(
                "ladder", f"it cannot be read: {clipped(error, 120)}", "Choose a file that this tool wrote."
            ) from None
        made.check_size()
        return made


def _texts(row: Any, count: int) -> tuple[Any, ...]:
    if not isinstance(row, list) or len(row) != count or not all(isinstance(t, str) for t in row):
        raise ValueError("a row of it is no list of texts")
    return tuple(row)


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
    """

    kind: str
    ladder: Ladder | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    stocks: Stocks | None = None
    oils: Mapping[str, float] = field(default_factory=dict)
    required: Estimate | None = None


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
    library, product = worked.library, worked.product
    f = Fields()
    kind = sheet.kind or _usual(product)
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
    oils = f.read("oils", lambda: _oils(worked, sheet)) or {}
    emulsion = "o/w" if kind in ("rinse", "clarity") else product.phase_emulsion
    required = _required(worked, sheet, oils, emulsion, library)
    named = f.read("others", lambda: dict(named_numbers(sheet.others, "other ingredients")))
    centre = _read(f, sheet, "centre", _centre)
    steps = sheet.steps.strip() or STEPS.get(kind, "") or "0"
    common: dict[str, Any] = {
        "readability_g": _read(f, sheet, "scale", lambda t: grams(t, "scale")),
        "duplicates": _read(f, sheet, "duplicates", lambda t: _whole(t, "duplicates")) or 0,
        "seed": _read(f, sheet, "seed", lambda t: _whole(t, "start of the random order")) or 0,
        "blinded": sheet.blinded,
        "values": _values(worked),
        "library": library,
    }
    mass = _read(f, sheet, "vial_mass", lambda t: grams(t, "vial mass"))
    for name, number in (("scale", common["readability_g"]), ("vial_mass", mass)):
        if number is None and name not in f.errors:
            f.errors[name] = f"{name.replace('_', ' ')}: it is blank. Enter a mass such as 50 g."
    dose = _read(f, sheet, "dose", lambda t: checked(t, "dose", above=0, high=100, unit="% of the vial"))
    half = _read(f, sheet, "half_width", lambda t: checked(t, "half width", above=0, high=HLB_MAX))
    count = f.read("steps", lambda: _whole(steps, "steps"))
    first, second = sheet.first.strip() or None, sheet.second.strip() or None
    if kind != "clarity" and (first is None) != (second is None):
        f.errors["pair"] = "Emulsifiers: one of the two is missing. Name both, or none."
    found = centre if centre is not None else required
    if f.errors:
        return LadderOutcome(kind, None, f.errors, (), None, oils, _estimate(required))
    if found is None and kind in ("coarse", "fine", "family", "loading"):
        f.errors["centre"] = (
            "Middle of the ladder: no figure is known for this oil phase. Enter a middle, for "
            "example 10, and a half width of 4."
        )
        return LadderOutcome(kind, None, f.errors, (), None, oils, None)

    def made() -> Ladder:
        if kind == "rinse":
            return rinse_ladder(
                product,
                oil_phase=oils,
                first=first,
                second=second,
                jar_mass_g=mass,
                dilution=sheet.water.strip() or "30",
                **common,
            )
        common.update(vial_mass_g=mass, others=named)
        if kind == "clarity":
            solubiliser = first or "polysorbate 20"
            return clarity_ladder(oils, solubiliser=solubiliser, steps=count or 0, **common)
        common.update(emulsion=emulsion, oil_phase=oils)
        if kind in SOUGHT:
            plan = plan_ladder(
                first, second, centre=found, half_width=half, steps=count or 0, emulsifier_pct=dose, **common
            )
            return replace(plan, kind=kind)
        aim = found.value if found is not None else 0.0
        if kind == "family":
            return family_ladder(aim, emulsifier_pct=dose, **common)
        pair = (first, second) if first and second else choose_emulsifiers(aim).names
        if len(pair) != 2:
            raise InvalidInput("emulsifiers", "no usual pair is known", "Name two emulsifiers.")
        return loading_ladder(*pair, hlb=aim, steps=count or 0, **common)

    ladder = f.read("plan", made)
    if ladder is None:
        return LadderOutcome(kind, None, f.errors, (), None, oils, _estimate(required))
    if sheet.stirring.strip():
        stirring = sheet.stirring.strip()
        ladder = replace(ladder, process=replace(ladder.process, stirring=stirring))
    stocks = None
    if any("blur" in x.title.casefold() for x in ladder.cautions):
        stocks = Fields().read("stocks", lambda: premixed_stocks(ladder))
    findings = worst_first([*ladder.cautions, *_about(worked, sheet, ladder, library)])
    return LadderOutcome(kind, ladder, f.errors, findings, stocks, oils, _estimate(required))


def _usual(product: ProductType) -> str:
    """The kind of ladder that the product type asks for; blank where it has none."""
    if product.role == "none":
        return "clarity" if product.dose_basis == "perfume oil" else ""
    return {"governs": "coarse", "secondary": "rinse"}[product.role]


def _read(
    f: Fields, sheet: LadderSheet, name: str, how: Callable[[str], Any]
) -> Any:  # None where blank or not usable
    text = getattr(sheet, name)
    return f.read(name, lambda: how(text)) if text.strip() else None


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


def _estimate(required: RequiredHlb | None) -> Estimate | None:
    return None if required is None else required.estimate


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


def parted(text: str) -> list[str]:
    """A list as typed, parted at commas, semicolons and lines; ``0,5 h`` stays one."""
    return [p.strip() for p in re.split(r"[;\n]|,(?!\d)", text) if p.strip()]
