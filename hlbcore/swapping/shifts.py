"""What else shifts when an ingredient is swapped: fats, cost, origin, declaration order."""

from __future__ import annotations

import math
from collections.abc import Mapping

from hlbcore.blending.worked import Worked
from hlbcore.counting.required import RequiredHlb
from hlbcore.findings import Finding
from hlbcore.library import Library
from hlbcore.product_types import PRACTICE
from hlbcore.rules.fat_figures import Figure
from hlbcore.rules.fats import SUM_RULE, TEMPERATURES_C, FatPhase, fat_phase
from hlbcore.rules.hard_share import compare_hard_share, hard_share
from hlbcore.swapping.results import Shift
from hlbcore.swapping.substitutes import origin_notes

ORDERED_ABOVE_PCT = 1.0
"""Above this, a declaration goes by falling mass; up to it the order is free. [% of formula]
21 CFR 701.3(a) and (f); Reg. (EC) 1223/2009 Art. 19(1)(g) draws the line below 1 %. Both seen
second-hand or from memory: check the current text."""

DECLARATION_RULE = "21 CFR 701.3(a), (f); Reg. (EC) 1223/2009 Art. 19(1)(g); a draft"

HARD_POINTS = 1.0
"""Hard shares that differ by less say nothing. [points of % of the fat base] Our convention."""

SOLID_POINTS = 3.0
"""Solids that differ by less feel alike. [points of % by mass] Our convention."""

IODINE_POINTS = 5.0
"""Iodine values of what goes out and comes in that differ by less say nothing on softness.
[g I2/100 g] Our convention."""

SOFTNESS_RULE = "unsaturated fats melt lower: general chemistry, from memory"


def fat_shift(name: str, before: Figure, after: Figure, rule: str) -> Shift:
    """One figure of the fat phase before and after; a number only where all of it has a figure."""
    was = [n for n in before.unknown if n not in after.unknown]
    unknown = ", ".join(after.unknown) + (f" (before: {', '.join(was)})" if was else "")
    sources = tuple(dict.fromkeys((*before.sources, *after.sources)))
    pair = [f.value if f.coverage > 1 - 1e-9 else None for f in (before, after)]
    return Shift(
        name,
        pair[0],
        pair[1],
        before.text,
        after.text,
        after.unit,
        "; ".join([*sources, rule]),
        unknown.strip(),
        (100 * before.coverage, 100 * after.coverage),
    )


def declaration_order(worked: Worked) -> str:
    """A draft of the order of the declaration.

    Bought blends are split; colours stand last. Above 1 % by falling mass, the rest in any order.
    """
    amounts: dict[str, float] = {}
    names: dict[str, str] = {}
    last: set[str] = set()
    for x in worked.base_lines:
        if x.pct <= 0:
            continue
        amounts[x.key] = amounts.get(x.key, 0.0) + x.pct
        names[x.key] = x.ingredient.inci or x.ingredient.common_name if x.ingredient else x.name
        if x.kind == "colour":
            last.add(x.key)
    ranked = sorted((k for k in amounts if k not in last), key=lambda k: (-amounts[k], k))
    above = [names[k] for k in ranked if amounts[k] > ORDERED_ABOVE_PCT]
    below = [names[k] for k in ranked if amounts[k] <= ORDERED_ABOVE_PCT]
    said = ", ".join(above)
    if below:
        said += f" | in any order: {', '.join(below)}"
    if last:
        said += f" | colours: {', '.join(names[k] for k in sorted(last))}"
    return said


def _origins(worked: Worked) -> str:
    held = {}
    for x in worked.base_lines:
        if x.pct > 0 and x.ingredient and (note := origin_notes(x.ingredient)):
            held[x.ingredient.common_name] = note
    return "; ".join(f"{n}: {note}" for n, note in held.items()) or "none known"


def _cost(worked: Worked, prices: Mapping[str, float]) -> tuple[float | None, list[str]]:
    lines = [x for x in worked.bought if x.line.portion is None and x.pct > 0]
    missing = [x.name for x in lines if x.key not in prices]
    if len(missing) == len(lines):
        return None, missing
    known = [x for x in lines if x.key in prices]
    return math.fsum(x.pct / 100 * prices[x.key] for x in known), missing


def shifts(
    before: Worked,
    after: Worked,
    required: tuple[RequiredHlb | None, RequiredHlb | None],
    prices: Mapping[str, float],
    library: Library,
) -> tuple[Shift, ...]:
    """Every row of `Swap.shifts`; prices by id."""
    rows: list[Shift] = []
    ends = [r.estimate if r else None for r in required]
    for what, end in (
        ("required HLB", "value"),
        ("required HLB, low end", "low"),
        ("required HLB, high end", "high"),
    ):
        pair = [None if e is None else float(getattr(e, end)) for e in ends]
        said = ["unknown" if v is None else f"{v:.1f}" for v in pair]
        held = ends[1] or ends[0]
        source = "; ".join(held.sources) if held else ""
        missing = ", ".join(required[1].unknown) if required[1] else ""
        rows.append(Shift(what, pair[0], pair[1], said[0], said[1], "HLB", source, missing))
    fats = [fat_phase(f, library=library) for f in (before, after)]
    for t in TEMPERATURES_C:
        one, two = (f.solids(t) for f in fats)
        rows.append(fat_shift(f"solids of the fat phase at {t:g} °C", one, two, SUM_RULE))
    shares = [hard_share(f, library=library) for f in (before, after)]
    rows.append(
        Shift(
            "hard share of the fat base",
            shares[0].of_fat_pct,
            shares[1].of_fat_pct,
            f"{shares[0].of_fat_pct:.3g}",
            f"{shares[1].of_fat_pct:.3g}",
            "% of the fat base",
            "form and melting figures; a fat counts from 30 °C up, our convention",
            ", ".join(p.name for p in shares[1].unknown),
        )
    )
    one, two = (f.melting for f in fats)
    rows.append(fat_shift("highest melting figure", one, two, "of what has one"))
    ranges = tuple(
        "unknown" if m.low is None or m.high is None else f"{m.low:.3g} to {m.high:.3g}" for m in (one, two)
    )
    melting = rows[-1]
    rows.append(
        Shift("melting range", None, None, ranges[0], ranges[1], "°C", melting.source, melting.unknown)
    )
    rows.append(fat_shift("density of the fat phase", fats[0].density, fats[1].density, "volumes add"))
    rows.append(fat_shift("iodine value", fats[0].iodine_value, fats[1].iodine_value, "weighted by mass"))
    rows += _composition(fats[0], fats[1])
    costs = [_cost(f, prices) for f in (before, after)]
    if any(c is not None for c, _ in costs):
        said = [
            "unknown" if c is None else f"{c:.2f}" + (" without the unknown" if m else "") for c, m in costs
        ]
        rows.append(
            Shift(
                "cost of the ingredients",
                costs[0][0],
                costs[1][0],
                said[0],
                said[1],
                "price unit/kg",
                "prices given",
                ", ".join(costs[1][1]),
            )
        )
    rows.append(
        Shift(
            "allergens and origin",
            None,
            None,
            _origins(before),
            _origins(after),
            "",
            "notes of the tables; none known is no promise",
        )
    )
    rows.append(
        Shift(
            "declaration order",
            None,
            None,
            declaration_order(before),
            declaration_order(after),
            "",
            DECLARATION_RULE,
        )
    )
    return tuple(rows)


def _composition(before: FatPhase, after: FatPhase) -> list[Shift]:
    rows = []
    for what, word in (("fatty_acid", "fatty acid"), ("triacylglycerol", "triacylglycerol")):
        old, new = before.composition(what), after.composition(what)
        for name in dict.fromkeys((*old, *new)):
            blank = Figure(None, None, None, "%", 0.0)
            shift = fat_shift(
                f"{word}: {name.replace('_', ' ')}",
                old.get(name, blank),
                new.get(name, blank),
                "weighted by mass",
            )
            rows.append(shift)
    return rows


def fat_findings(
    before: Worked, after: Worked, went: Mapping[str, float], came: Mapping[str, float]
) -> list[Finding]:
    """Texture, the thing to look at after a swap of fats, and rancidity where it grows."""
    if not went and not came:
        return []
    found = []
    library = after.library
    out, into = fat_phase(went, library=library), fat_phase(came, library=library)
    hard = compare_hard_share(after, before, library=library)
    blank = "the tables hold no solids, melting or iodine figure that decides it"
    word, why = "may change", blank
    if abs(hard.points_of_fat) > HARD_POINTS:
        word = "harder" if hard.points_of_fat > 0 else "softer"
        why = (
            f"the hard share of the fat base goes from {hard.reference.of_fat_pct:.0f} to "
            f"{hard.formula.of_fat_pct:.0f} %"
        )
    elif (gap := _gap(out.solids(25.0), into.solids(25.0))) is not None:
        word = "much as before" if abs(gap) < SOLID_POINTS else "harder" if gap > 0 else "softer"
        why = (
            f"solids at 25 °C: {into.solids(25.0).text} % in what comes in, "
            f"{out.solids(25.0).text} % in what goes out"
        )
    elif (gap := _gap(out.iodine_value, into.iodine_value)) is not None:
        why = (
            f"the iodine value of what comes in is {into.iodine_value.text}, of what goes out "
            f"{out.iodine_value.text}; {SOFTNESS_RULE}"
        )
        ranges = [_spread(amounts, "iodine_value", library) for amounts in (went, came)]
        if _overlap(*ranges):
            said = " and ".join(f"{low:.3g} to {high:.3g}" for low, high in ranges)
            why += f"; the readings, {said}, overlap, so the tables do not decide"
        elif abs(gap) >= IODINE_POINTS:
            word = "probably softer" if gap > 0 else "probably harder"
    unknown = fat_phase(after, library=library).solids(25.0).unknown
    found.append(
        Finding(
            "note" if word in ("much as before", "may change") else "caution",
            f"Texture: {word}",
            f"{why[0].upper()}{why[1:]}."
            + (f" No solids figure at 25 °C: {', '.join(unknown)}." if unknown else ""),
            rule=f"hard share and figures of the tables; {PRACTICE}",
            mend="Make 50 g and keep it a day or two, cold and warm, before the batch.",
        )
    )
    phases = [fat_phase(f, library=library) for f in (before, after)]
    old, new = (p.iodine_value.value for p in phases)
    later = phases[1].rancidity
    if later is not None and (old is None or (new or 0) > old):
        found.append(later)
    return found


def _spread(amounts: Mapping[str, float], name: str, library: Library) -> tuple[float, float]:
    """Lowest and highest reading of a property, weighted by mass. [unit of the property]"""
    whole = math.fsum(amounts.values())
    low = high = 0.0
    for key, mass in amounts.items():
        held = library.find(key).property_values(name)
        ends = [e for p in held for e in (p.low, p.middle, p.high) if e is not None]
        if ends and whole > 0:
            low += mass / whole * min(ends)
            high += mass / whole * max(ends)
    return low, high


def _overlap(out: tuple[float, float], into: tuple[float, float]) -> bool:
    """Whether two ranges share more than an end."""
    return out[0] < into[1] and into[0] < out[1]


def _gap(out: Figure, into: Figure) -> float | None:
    """How much more what comes in has; None where either is not known in full."""
    if out.value is None or into.value is None or min(out.coverage, into.coverage) < 1 - 1e-9:
        return None
    return into.value - out.value
