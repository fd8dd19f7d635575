"""A sheet as a whole formula, and a formula as a sheet."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import pandas as pd

from hlbcore._numbers import adding_up, checked, grams, read_range
from hlbcore.blending.verdict import SupplierRate
from hlbcore.errors import InvalidInput, UnknownIngredient, clipped
from hlbcore.estimate import Estimate
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Facts, Line, Portion
from hlbcore.ingredients import fold
from hlbcore.library import Library, load_library
from hlbcore.limits import PORTIONS_MOST, check_count
from hlbcore.sheets.fields import Fields, blend_text, named_numbers, named_text, percent, read_blends
from hlbcore.sheets.seen import see
from hlbcore.sheets.sheet import CHECK_ONLY, PERCENT, Outcome, Sheet, SheetEmulsifier, SheetLine, SheetOther

FACT_NUMBERS = ("ph", "hottest_c", "cool_down_c", "fragrance_max_pct", "fragrance_max_c", "dioxane_ppm")
"""Facts that are numbers."""


@dataclass(frozen=True, slots=True)
class SheetFormula:
    """The formula of a sheet.

    Parameters
    ----------
    formula : Formula
        Every line that could be read, emulsifiers as worked out or as in use.
    errors : mapping of str to str
        A sentence for each field that could not be used.
    """

    formula: Formula
    errors: Mapping[str, str]


def formula_of(outcome: Outcome) -> SheetFormula:
    """The whole formula of a worked sheet.

    Parameters
    ----------
    outcome : Outcome
        A worked sheet.

    Returns
    -------
    SheetFormula
        The formula, and a sentence beside each field that could not be used. [% of formula]

    Examples
    --------
    >>> from hlbcore import example_sheet, work_out
    >>> formula_of(work_out(example_sheet())).formula.name
    'Winter hand cream, bench trial 3'
    """
    sheet = outcome.sheet
    f = Fields()
    batch = f.read("batch", lambda: grams(sheet.batch, "batch"))
    values = {} if outcome.required is None else {p.name: p for p in outcome.required.parts}
    lines: list[Line] = []
    for n, x in enumerate(sheet.lines):
        if not fold(x.name) and not x.amount.strip():
            continue
        part = values.get(x.name)
        own = part.estimate if part is not None and part.basis == "own value" else None

        def oil(x: SheetLine = x, own: Estimate | None = own) -> Line:
            pct = percent(x.amount, sheet.unit, batch, f"'{clipped(x.name)}'")
            return Line(x.name, pct, phase=x.phase, role=x.side or "auto", note=x.note, own=own)

        if (line := f.read(f"line {n} amount", oil)) is not None:
            lines.append(line)
    held = {e.name.strip(): e for e in sheet.emulsifiers}
    for name, pct in outcome.amounts.items():
        e = held.get(name, SheetEmulsifier(name))
        lines.append(_emulsifier(e, pct))
    for n, e in enumerate(sheet.emulsifiers):
        # one that takes no part in the blend is in the jar all the same
        if e.name.strip() in outcome.amounts or not e.now.strip() or not fold(e.name):
            continue
        used = f.read(
            f"emulsifier {n} now",
            lambda e=e: percent(e.now, PERCENT, batch, f"'{clipped(e.name)}', in use now"),  # type: ignore[misc]
        )
        if used is not None:
            lines.append(_emulsifier(e, used))
    for n, o in enumerate(sheet.others):
        if not fold(o.name) and not o.amount.strip():
            continue
        if (other := f.read(f"other {n} amount", lambda o=o: _other(o, batch))) is not None:  # type: ignore[misc]
            lines.append(other)
    portions = f.read("portions", lambda: _portions(sheet.portions)) or ()
    blends = f.read("blends", lambda: read_blends(sheet.blends)) or ()
    facts = _facts(sheet, f)
    phases = tuple(dict.fromkeys((*sheet.phases, *(x.phase for x in lines if x.phase))))
    formula = Formula(sheet.title, sheet.product, tuple(lines), phases, portions, blends, facts, sheet.note)
    f.read("blends", formula.check_parts)
    if "blends" in f.errors:
        formula = replace(formula, composites=())
    return SheetFormula(formula, f.errors)


def _emulsifier(e: SheetEmulsifier, pct: float) -> Line:
    name = e.name.strip()
    return Line(
        name,
        pct,
        phase=e.phase,
        role=_role(name),
        note=e.note,
        own=_typed_hlb(e.hlb),
        supplier=_typed_rate(e),
    )


def _typed_rate(e: SheetEmulsifier) -> SupplierRate | None:
    """The supplier's figures, where they can be read; the page says beside them what is wrong."""
    if not e.rate.strip():
        return None
    try:
        low, high = read_range(e.rate, "rate", "%")
        limit = checked(e.oil_limit, "oil limit") if e.oil_limit.strip() else None
        return SupplierRate(low, high, limit)
    except InvalidInput:
        return None


def _role(name: str) -> str:
    try:
        return "emulsifier" if "_or_" in load_library().find(name).convention else "auto"
    except UnknownIngredient:
        return "auto"


def _typed_hlb(text: str) -> Estimate | None:
    try:
        low, high = read_range(text, "HLB", "HLB") if text.strip() else (-1.0, -1.0)
        return Estimate((low + high) / 2, low, high)
    except InvalidInput:
        return None


def _other(o: SheetOther, batch: float | None) -> Line:
    item = f"'{clipped(o.name)}'"
    active = checked(o.active, f"{item}, active part") if o.active.strip() else 100.0
    return Line(
        o.name,
        percent(o.amount, PERCENT, batch, item),
        phase=o.phase,
        active_pct=active,
        portion=o.portion.strip() or None,
        note=o.note,
    )


def _portions(text: str) -> tuple[Portion, ...]:
    held = named_numbers(text, "portions")
    check_count(held, "portions", PORTIONS_MOST)
    return tuple(Portion(n, p) for n, p in held)


def _facts(sheet: Sheet, f: Fields) -> Facts:
    """The facts that could be read; each by itself, so that one bad field does not lose others."""
    given: dict[str, object] = {}
    for name, text in sheet.facts:
        if not text.strip():
            continue

        def read(name: str = name, text: str = text) -> object:
            if name in FACT_NUMBERS:
                value: object = checked(text, name.replace("_", " "))
            elif name == "fragrance_allergens":
                value = named_numbers(text, "fragrance allergens")
            elif name == "cleansing":
                value = {"yes": True, "no": False}.get(text.strip().casefold(), text)
            elif name != "area":
                raise InvalidInput(f"fact, {clipped(name)}", "there is no fact of that name", "Delete it.")
            else:
                value = text
            Facts(**{name: value})  # type: ignore[arg-type]
            return value

        value = f.read(f"fact {name}", read)
        if value is not None:
            given[name] = value
    return Facts(**given)  # type: ignore[arg-type]


def sheet_of(formula: Formula, library: Library | None = None) -> Sheet:
    """A formula as a sheet, its amounts to be checked.

    Parameters
    ----------
    formula : Formula
        Any formula. [% of formula]
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Sheet
        Oils, emulsifiers with their amounts in use, and the rest.

    Examples
    --------
    >>> from hlbcore import Formula, Line
    >>> s = sheet_of(Formula("x", "o/w cream", (Line("olive oil", 20), Line("water", 80))))
    >>> s.lines[0].amount, s.others[0].name
    ('20', 'water')
    """
    library = library or load_library()
    lines, held, others = [], [], []
    for x in formula.lines:
        try:
            side = library.find(x.name).convention
        except UnknownIngredient:
            side = "emulsifier" if x.role == "emulsifier" else ("oil" if x.phase == "oil" else "outside")
        if any(fold(c.name) == fold(x.name) for c in formula.composites):
            side = "blend"
        if "_or_" in side:
            side = x.role if x.role != "auto" else side.partition("_or_")[0]
        amount, own = f"{x.pct:.8g}", "" if x.own is None else _range(x.own)
        rate, limit = "", ""
        if x.supplier is not None:
            rate = f"{x.supplier.low_pct:g} to {x.supplier.high_pct:g}"
            most = x.supplier.oil_limit_pct
            limit = "" if most is None else f"{most:g}"
        plain = x.portion is None and x.active_pct == 100
        if side == "oil" and plain and x.phase in ("oil", ""):
            role = x.role if x.role != "auto" else ""
            lines.append(SheetLine(x.name, amount, role, own, x.phase, x.note))
        elif side in ("emulsifier", "all_in_one") and plain:
            held.append(
                SheetEmulsifier(
                    x.name, now=amount, hlb=own, rate=rate, oil_limit=limit, phase=x.phase, note=x.note
                )
            )
        else:
            active = "" if x.active_pct == 100 else f"{x.active_pct:g}"
            others.append(SheetOther(x.name, amount, x.phase, active, x.portion or "", x.note))
    facts = []
    for name in FACT_NUMBERS:
        value = getattr(formula.facts, name)
        if value is not None:
            facts.append((name, f"{value:g}"))
    facts.append(("area", formula.facts.area))
    if formula.facts.cleansing is not None:
        facts.append(("cleansing", "yes" if formula.facts.cleansing else "no"))
    if formula.facts.fragrance_allergens:
        facts.append(("fragrance_allergens", named_text(formula.facts.fragrance_allergens)))
    return Sheet(
        title=formula.name,
        product=formula.product_type,
        lines=tuple(lines),
        emulsifiers=tuple(held),
        objective=CHECK_ONLY,
        others=tuple(others),
        portions=named_text((p.name, p.share_pct) for p in formula.portions),
        facts=tuple(facts),
        blends="\n".join(blend_text(c) for c in formula.composites),
        phases=formula.phases,
        note=formula.note,
    )


def with_amounts(outcome: Outcome, formula: Formula) -> Sheet:
    """The sheet of an outcome with the amounts of its formula after a fill or a rescaling.

    Parameters
    ----------
    outcome : Outcome
        A worked sheet.
    formula : Formula
        What `formula_of` made of it, with other amounts in the same lines. [% of formula]

    Returns
    -------
    Sheet
        What did not change stays as typed; emulsifiers that changed are then in use, not solved.

    Examples
    --------
    >>> from hlbcore import example_sheet, work_out
    >>> outcome = work_out(example_sheet())
    >>> filled = formula_of(outcome).formula.fill("water")
    >>> formula_of(work_out(with_amounts(outcome, filled))).formula.total_pct
    100.0
    """
    sheet, made = outcome.sheet, formula_of(outcome)
    pairs = iter(zip(made.formula.lines, formula.lines, strict=True))
    unit = "" if sheet.unit == PERCENT else " %"

    def next_amount(tail: str) -> str | None:
        old, new = next(pairs)
        return None if old.pct == new.pct else f"{new.pct:.8g}{tail}"

    def counts(key: str, name: str, amount: str) -> bool:
        return f"{key} amount" not in made.errors and bool(fold(name) or amount.strip())

    lines, held, others = list(sheet.lines), list(sheet.emulsifiers), list(sheet.others)
    for n, x in enumerate(lines):
        if counts(f"line {n}", x.name, x.amount) and (amount := next_amount(unit)) is not None:
            lines[n] = replace(x, amount=amount)
    behind = sum(counts(f"other {n}", o.name, o.amount) for n, o in enumerate(others))
    front = sum(counts(f"line {n}", x.name, x.amount) for n, x in enumerate(sheet.lines))
    changed = False
    for old, new in [next(pairs) for _ in range(len(formula.lines) - front - behind)]:
        changed = changed or old.pct != new.pct
        at = next((n for n, e in enumerate(held) if e.name.strip() == new.name), None)
        if at is None:
            held.append(SheetEmulsifier(new.name, now=f"{new.pct:.8g}"))
        else:
            held[at] = replace(held[at], now=f"{new.pct:.8g}")
    for n, o in enumerate(others):
        if counts(f"other {n}", o.name, o.amount) and (amount := next_amount("")) is not None:
            others[n] = replace(o, amount=amount)
    sheet = replace(sheet, lines=tuple(lines), others=tuple(others))
    return replace(sheet, emulsifiers=tuple(held), objective=CHECK_ONLY) if changed else sheet


def _range(own: Estimate) -> str:
    return f"{own.value:g}" if not own.spread else f"{own.low:g} to {own.high:g}"


FORMULA_COLUMNS = {
    "phase": "phase, in the order of work",
    "ingredient": "name as written",
    "pct": "% of formula, two decimals; the base adds up",
    "grams": "g for the batch; blank where no batch is given",
    "counts_as": "oil phase, emulsifier, or blank",
    "portion": "portion that it is added to; blank for the base",
    "note": "free text",
}
"""Columns of `formula_table` with unit or meaning."""


def formula_table(
    formula: Formula, batch_g: float | None = None, library: Library | None = None
) -> pd.DataFrame:
    """The lines of a formula by phase, as people read them.

    Parameters
    ----------
    formula : Formula
        Any formula. [% of formula]
    batch_g : float, optional
        Mass of the batch. [g]
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    DataFrame
        Columns as in `FORMULA_COLUMNS`; phases in the order of work, lines as written.

    Examples
    --------
    >>> from hlbcore import Formula, Line
    >>> f = Formula("x", "o/w cream", (Line("olive oil", 20, phase="oil"),
    ...                                Line("water", 80, phase="water")))
    >>> list(formula_table(f, 500)["grams"])
    [400.0, 100.0]
    """
    library = library or load_library()
    printed = iter(adding_up([x.pct for x in formula.base], 2))
    pcts = [next(printed) if x.portion is None else x.pct for x in formula.lines]
    order = {phase: n for n, phase in enumerate(formula.phases)}
    rows = []
    held = zip(formula.lines, pcts, strict=True)
    for x, pct in sorted(held, key=lambda pair: order.get(pair[0].phase, len(order))):
        seen = see(x, library)
        counts = "emulsifier" if seen.is_emulsifier else "oil phase" if seen.is_fat else ""
        grams_of = math.nan if batch_g is None else x.pct * batch_g / 100
        rows.append((x.phase, x.name, pct, grams_of, counts, x.portion or "", x.note))
    return pd.DataFrame(rows, columns=list(FORMULA_COLUMNS))
