"""Everything that follows from a sheet.

`work_out` computes whatever can be computed and says beside each field what is wrong with it; one
bad field never stops the rest.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from hlbcore._numbers import checked, grams, read_range
from hlbcore.blending.candidates import Candidate, choose_emulsifiers, without_figure
from hlbcore.blending.request import total_ends
from hlbcore.blending.results import Blend
from hlbcore.blending.solving import solve_blend
from hlbcore.blending.verdict import SupplierRate, judge
from hlbcore.blending.weighing import weigh_blend
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import HlbError, InvalidInput, UnknownIngredient, UnreachableTarget, clipped
from hlbcore.estimate import HLB_MAX, Estimate, as_estimate
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library, load_library
from hlbcore.product_types import product_type
from hlbcore.sheets.fields import Fields, active_pct, percent, read_blends
from hlbcore.sheets.sheet import CHECK_ONLY, PERCENT, Outcome, Sheet


def _own(text: str, item: str) -> Estimate | str | None:
    """A figure of the user's own, a word that names a kind, or None where blank."""
    if not text.strip():
        return None
    return as_estimate(text, item) if any(c.isdigit() for c in text) else text.strip()


def _kind(word: str, item: str, emulsion: str, library: Library) -> str:
    """The word, if it names a kind whose range is known."""
    kinds = {i.kind for i in library}
    if word.casefold() != "class range" and word.casefold() not in kinds:
        raise InvalidInput(
            f"{item}, required HLB",
            f"'{clipped(word)}' is neither a number nor a kind",
            "Enter a number, a range such as 7 to 9, or a kind such as butter.",
        )
    if word.casefold() in kinds:
        library.class_range(word.casefold(), emulsion or "o/w")
    return word


READING = "reading "
"""What stands before a reading that the user chose among disputed ones."""


def _reading(text: str, known: Ingredient, emulsion: str) -> Estimate:
    """The tables' figure with another of its readings as the value."""
    item = f"'{known.common_name}', reading"
    held = known.required_hlb(emulsion)
    value = checked(text.strip()[len(READING) :], item, low=0, high=HLB_MAX)
    if held is None or not held.low <= value <= held.high:
        raise InvalidInput(item, f"{value:g} is none of its readings", "Choose one that is listed.")
    return held.choose(value)


def readings_to_choose(name: str, emulsion: str, library: Library | None = None) -> tuple[str, ...]:
    """The readings of a disputed figure, as words that `SheetLine.own` takes.

    Parameters
    ----------
    name : str
        Any name of the ingredient.
    emulsion : str
        ``"o/w"`` or ``"w/o"``; blank means o/w.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    tuple of str
        The lowest, the one used and the highest; empty where sources agree.

    Examples
    --------
    >>> readings_to_choose("dimethicone", "o/w")
    ('reading 5', 'reading 9.5')
    """
    try:
        held = (library or load_library()).find(name).required_hlb(emulsion or "o/w")
    except UnknownIngredient:
        return ()
    if held is None or not held.alternatives:
        return ()
    values = sorted({*held.alternatives, held.value})
    return tuple(f"{READING}{v:g}" for v in values)


def _phase_of(
    sheet: Sheet, batch: float | None, library: Library, f: Fields
) -> tuple[RequiredHlb | None, dict[int, tuple[str, ...]]]:
    """What the oil phase requires, from the lines that can be used."""
    phase: dict[str, float] = {}
    first: dict[str, str] = {}  # the name under which a thing came first
    values: dict[str, Estimate | str] = {}
    sides: dict[str, str] = {}
    unknown: dict[int, tuple[str, ...]] = {}
    kind = product_type(sheet.product)
    for n, line in enumerate(sheet.lines):
        if not line.name.strip() and not line.amount.strip():
            continue
        if not fold(line.name):
            f.errors[f"line {n} name"] = "The name is missing. Name it, or delete the line."
            continue
        item = f"'{clipped(line.name)}'"
        picked = line.own.strip().casefold().startswith(READING)
        text = "" if picked else line.own
        own = f.read(f"line {n} own", lambda t=text, i=item: _own(t, f"{i}, required HLB"))  # type: ignore[misc]
        if isinstance(own, str):
            own = f.read(f"line {n} own", lambda w=own, i=item: _kind(w, i, kind.emulsion, library))  # type: ignore[misc]
        known: Ingredient | None = None
        try:
            known = library.find(line.name)
        except UnknownIngredient:
            if own is None:
                unknown[n] = library.near(line.name, library.oils)
                f.errors[f"line {n} name"] = str(UnknownIngredient(line.name, unknown[n]))
        chosen = None
        if picked and known is not None:
            chosen = f.read(
                f"line {n} own",
                lambda t=line.own, k=known: _reading(t, k, kind.phase_emulsion),  # type: ignore[misc]
            )
        amount = f.read(
            f"line {n} amount",
            lambda a=line.amount, i=item: percent(a, sheet.unit, batch, i),  # type: ignore[misc]
        )
        if amount is None or n in unknown:
            continue
        key = first.setdefault(library.key(line.name), line.name)
        phase[key] = phase.get(key, 0.0) + amount
        if own is not None:
            values[key] = own
        if chosen is not None:
            values[key] = chosen
        if line.side and known and "_or_" in known.convention:
            sides[key] = line.side
    held = f.read("blends", lambda: read_blends(sheet.blends)) or ()
    blends = {fold(c.name): {p.name: p.pct for p in c.parts} for c in held}
    for n, other in enumerate(sheet.others):
        # oils of the cool-down count, and a base turns fatty acid to soap; the rest is left out
        if other.portion.strip():
            continue
        parts = blends.get(fold(other.name), {other.name: 100.0})
        if not any(fold(name) in library.names for name in parts):
            continue
        amount = f.read(
            f"other {n} amount",
            lambda o=other: active_pct(o.amount, o.active, batch, f"'{clipped(o.name)}'"),  # type: ignore[misc]
        )
        if amount is None:
            continue
        for name, pct in parts.items():
            if fold(name) in library.names:
                key = first.setdefault(library.key(name), name)
                phase[key] = phase.get(key, 0.0) + amount * pct / 100
    if not any(phase.values()):
        return None, unknown
    if (whole := math.fsum(phase.values())) > 100 * (1 + 1e-9):
        f.errors["phase"] = (
            f"The lines add to {whole:.6g} % of the formula, more than 100 %. Mend the amounts, or "
            "say that plain numbers are grams."
        )
    required = f.read(
        "phase",
        lambda: required_hlb(
            phase,
            emulsion=kind.phase_emulsion,
            values=values,
            sides=sides,
            count_fragrance=sheet.count_fragrance,
            whole=100.0,
            library=library,
        ),
    )
    return required, unknown


def _same(first: str, second: str, library: Library) -> bool:
    return library.key(first) == library.key(second)


@dataclass(frozen=True, slots=True)
class _Shelf:
    """The emulsifiers of a sheet, as far as they could be read."""

    candidates: tuple[Candidate, ...] = ()
    limits: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    prices: Mapping[str, float] = field(default_factory=dict)
    now: Mapping[str, float] = field(default_factory=dict)
    values: Mapping[str, Estimate] = field(default_factory=dict)
    supplier: Mapping[str, SupplierRate] = field(default_factory=dict)


def _shelf_of(sheet: Sheet, batch: float | None, library: Library, f: Fields) -> _Shelf:
    held: list[Candidate] = []
    limits: dict[str, tuple[float, float]] = {}
    prices: dict[str, float] = {}
    now: dict[str, float] = {}
    values: dict[str, Estimate] = {}
    supplier: dict[str, SupplierRate] = {}
    for n, e in enumerate(sheet.emulsifiers):
        name, key = e.name.strip(), f"emulsifier {n}"
        if not name:
            continue
        if any(_same(name, c.label, library) for c in held):
            f.errors[f"{key} name"] = f"'{clipped(name)}' stands twice. Keep one of the two."
            continue

        def figure(
            field_name: str, text: str, high: float = 100.0, unit: str = "%", name: str = name, key: str = key
        ) -> float | None:
            item = f"'{clipped(name)}', {field_name.replace('_', ' ')}"
            if not text.strip():
                return None
            return f.read(f"{key} {field_name}", lambda: checked(text, item, low=0, high=high, unit=unit))

        own = None
        if e.hlb.strip():
            got = f.read(f"{key} hlb", lambda t=e.hlb, i=name: _own(t, f"'{clipped(i)}', HLB"))  # type: ignore[misc]
            own = got if isinstance(got, Estimate) else None
            if isinstance(got, str):
                f.errors[f"{key} hlb"] = f"'{clipped(got)}' is not an HLB. Enter a number or a range."
        most = figure("oil_limit", e.oil_limit)
        if most is not None and not e.rate.strip():
            f.errors[f"{key} oil_limit"] = (
                f"'{clipped(name)}': the supplier's rate is missing. "
                "Enter it too, or leave the oil limit out."
            )
        if e.rate.strip():
            ends = f.read(
                f"{key} rate",
                lambda t=e.rate, i=name: read_range(t, f"'{clipped(i)}', rate", "%"),  # type: ignore[misc]
            )
            if ends is not None:
                rate = f.read(f"{key} rate", lambda p=ends, m=most: SupplierRate(p[0], p[1], m))  # type: ignore[misc]
                if rate is not None:
                    supplier[name] = rate
        known: Ingredient | None = None
        try:
            known = library.emulsifier(name)
        except UnknownIngredient as error:
            if own is None and name not in supplier:
                f.errors[f"{key} name"] = str(error)
                continue
        if own is not None:
            values[name] = own
        estimate = own or (known.hlb if known else None)
        if estimate is None and known is not None and _solves(sheet):
            f.errors[f"{key} name"] = (
                f"'{clipped(name)}' takes no part in the blend: no HLB is known for it. "
                f"{without_figure(known)} Give its HLB, or check your amounts instead."
            )
        if estimate is not None:
            held.append(Candidate(name, estimate, known))
        if (price := figure("price", e.price, 1e9, "")) is not None:
            prices[name] = price
        if e.now.strip():
            used = f.read(
                f"{key} now",
                lambda t=e.now, i=name: percent(t, PERCENT, batch, f"'{clipped(i)}', in use now"),  # type: ignore[misc]
            )
            if used is not None:
                now[name] = used
        low, high = figure("low", e.low), figure("high", e.high)
        if (low is not None or high is not None) and estimate is not None:
            if low is not None and high is not None and low > high:
                f.errors[f"{key} low"] = (
                    f"'{clipped(name)}': the low limit {low:g} lies above the high limit {high:g}. "
                    "Swap the two."
                )
            else:
                limits[name] = (low or 0.0, 100.0 if high is None else high)
    return _Shelf(tuple(held), limits, prices, now, values, supplier)


def _solves(sheet: Sheet) -> bool:
    """Whether amounts are asked for, not only checked."""
    return sheet.objective != CHECK_ONLY and product_type(sheet.product).role != "none"


def work_out(sheet: Sheet, library: Library | None = None) -> Outcome:
    """Everything that follows from a sheet.

    Parameters
    ----------
    sheet : Sheet
        What was typed.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Outcome
        Whatever could be computed, and a sentence beside each field that could not be used.

    Examples
    --------
    >>> from hlbcore import example_sheet
    >>> work_out(example_sheet()).verdict.word
    'inside'
    """
    library = library or load_library()
    kind = product_type(sheet.product)
    f = Fields()
    batch = f.read("batch", lambda: grams(sheet.batch, "batch"))
    scale = f.read("scale", lambda: grams(sheet.scale, "scale"))
    window = f.read("window", lambda: checked(sheet.window, "window", low=0, high=HLB_MAX, unit="HLB"))
    total = f.read("total", lambda: _total(sheet.total))
    smallest = 0.0
    if sheet.smallest.strip():
        smallest = (
            f.read("smallest", lambda: checked(sheet.smallest, "smallest amount", low=0, high=100, unit="%"))
            or 0.0
        )
    required, unknown = _phase_of(sheet, batch, library, f)
    shelf = _shelf_of(sheet, batch, library, f)
    held, reason = shelf.candidates, ""
    if not sheet.emulsifiers and required is not None:
        choice = choose_emulsifiers(required, kind, ionics=sheet.ionics, library=library)
        reason = choice.reason
        held = tuple(
            Candidate(n, e, i)
            for n in choice.names
            if (i := library.emulsifier(n)) and (e := i.hlb) is not None
        )
    blend: Blend | None = None
    unreachable: UnreachableTarget | None = None
    amounts: Mapping[str, float] = shelf.now
    if sheet.objective == "least change" and not shelf.now:
        f.errors["objective"] = (
            "Least change needs the amounts in use. Enter them under Amounts of each emulsifier."
        )
        held = ()
    solved = _solves(sheet)
    if solved and required and held and total and window is not None:
        try:
            blend = solve_blend(
                {c.label: c.estimate for c in held},
                required,
                window=window,
                total=total,
                limits=shelf.limits,
                cost=shelf.prices,
                smallest=smallest,
                objective=sheet.objective,
                start=shelf.now or None,
                product=kind.name,
                library=library,
            )
            amounts = dict(zip(blend.labels, blend.masses, strict=True))
        except UnreachableTarget as error:
            unreachable = error
        except HlbError as error:
            f.errors["objective"] = str(error)
    verdict = None
    solve_failed = solved and blend is None and bool(shelf.candidates or not sheet.emulsifiers)
    if unreachable is None and not solve_failed and (amounts or required is not None):
        verdict = f.read(
            "verdict",
            lambda: judge(
                amounts,
                required,
                kind,
                window=window,
                values=shelf.values,
                supplier=shelf.supplier,
                cost=shelf.prices,
                library=library,
            ),
        )
    weighed = None
    if blend is not None and batch is not None and scale is not None:
        weighed = f.read("scale", lambda: weigh_blend(blend, batch, scale))
    return Outcome(
        sheet,
        f.errors,
        unknown,
        required,
        blend,
        amounts,
        verdict,
        weighed,
        unreachable,
        reason,
        _pending(sheet, f.errors),
        total or (0.0, 100.0),
        shelf.limits,
        batch,
    )


def _pending(sheet: Sheet, errors: Mapping[str, str]) -> tuple[str, ...]:
    """Lines that were meant to count and do not."""
    return tuple(
        line.name.strip() or f"line {n + 1}"
        for n, line in enumerate(sheet.lines)
        if any(f"line {n} {part}" in errors for part in ("name", "amount", "own"))
    )


def _total(text: str) -> tuple[float, float]:
    return total_ends(read_range(text, "total of the emulsifiers", "% of the formula"))
