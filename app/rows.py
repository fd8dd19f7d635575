"""The lines of the open formula as the list on the page takes them."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from line_list import Adding, Choice, Column, Field, Group, Lines, Mark, Name, Names, Piece, Problem, Row

import hlbcore as hlb
from hlbcore.batch.line_grams import Shown, grams_of_lines
from hlbcore.blending.card import figure_words
from hlbcore.counting.counted import Counted, readings_to_choose
from hlbcore.formula.lines import COUNTS
from hlbcore.formula.placing import usual_phase
from hlbcore.formula.sums import phase_sums
from hlbcore.limits import FORMULA_LINES_MOST

PHASE_WORDS = {
    "water": "Water phase",
    "oil": "Oil phase",
    "cool-down": "Cool-down",
    "solids": "Grains and powder",
}
COUNT_WORDS = {
    "auto": "as the tables say",
    "oil": "oil, butter or wax",
    "emulsifier": "emulsifier",
    "outside": "none of these, counts in neither",
}
EVERY = ("name", "phase", "active", "portion", "price", "note")
FIGURE = ("own",)
LIMITS = ("low", "high", "supplier_rate", "oil_limit")
KEEP_SHEET = "keep sheet"


@lru_cache(4)
def names(tables: hlb.Library, formula_phases: tuple[str, ...], anhydrous: bool) -> Names:
    """All names that can be added, each with the phase that it usually goes into."""
    bare = hlb.Formula(phases=formula_phases)
    return Names(
        tuple(
            Name(
                i.common_name,
                usual_phase(i, bare, anhydrous=anhydrous),
                tuple(n for n in dict.fromkeys((i.inci, *i.aliases)) if n and n != i.common_name),
            )
            for i in tables
        )
    )


def shown(worked: hlb.Worked, ids: list[str], tables: hlb.Library) -> Lines:
    """The list of a formula with what follows from each line."""
    formula = worked.formula
    sums = phase_sums(formula)
    unit = formula.aims.unit
    held = {x.number: x for x in worked.bought}
    weighed = grams_of_lines(worked)
    phases = list(dict.fromkeys([*formula.phases, *(x.phase for x in formula.lines)]))
    rows = [
        row(n, line, held.get(n), worked, line_id, tables, weighed.get(n))
        for n, (line, line_id) in enumerate(zip(formula.lines, ids, strict=True))
    ]
    form = ".1f" if unit == "%" else ".5g"
    full = len(formula.lines) >= FORMULA_LINES_MOST
    return Lines(
        "lines of the formula",
        (Column("amount", "amount", unit),),
        tuple(rows),
        tuple(
            Group(phase, phase_words(phase), {"amount": format(sums[phase], form)} if phase in sums else {})
            for phase in phases
        ),
        (*fields(phases, worked), *presses(worked, rows)),
        None
        if full
        else Adding(
            names(tables, formula.phases, worked.product.anhydrous),
            "Add by any name",
            group=first_phase(formula),
        ),
        movable=True,
        heading_level=2,
        empty="No line yet. Type a name below, or paste a list.",
    )


def first_phase(formula: hlb.Formula) -> str:
    """Where a name without a phase of its own goes: to the oils, so that it is not overlooked."""
    return "oil" if "oil" in formula.phases else next(iter(formula.phases), "")


def phase_words(phase: str) -> str:
    return PHASE_WORDS.get(phase, phase or "No phase yet")


def row(
    n: int,
    line: hlb.Line,
    x: Counted | None,
    worked: hlb.Worked,
    line_id: str,
    tables: hlb.Library,
    weighed: Shown | None,
) -> Row:
    """One line: what was typed, what it counts as, and what is wrong with it."""
    return Row(
        line_id,
        line.name.strip() or "no name",
        line.phase,
        texts(line),
        (*about(x, line, worked), *too_little(weighed)),
        marks(line, tables),
        problems(n, worked),
        wanted(n, x, worked, tables),
        beside=weighed.text if weighed is not None else "",
    )


def too_little(weighed: Shown | None) -> tuple[Piece, ...]:
    """A line that its scale cannot weigh well."""
    if weighed is None or not weighed.small:
        return ()
    return (Piece("too little for the scale", "mind", says=f"{weighed.text}: {weighed.small}"),)


def texts(line: hlb.Line) -> dict[str, str]:
    """All that was typed, by field."""
    return {
        "name": line.name,
        "phase": line.phase,
        "counts": "" if line.counts == "auto" else line.counts,
        "portion": line.portion or "",
        "note": line.note,
        **{name: held.text for name, held in line.typed_fields()},
    }


def about(x: Counted | None, line: hlb.Line, worked: hlb.Worked) -> tuple[Piece, ...]:
    """What a line counts as, with the figure in use."""
    if x is None:
        return ()
    if any(p.number == x.number and p.is_part for p in worked.lines):
        return (Piece("a bought blend, counts by its parts"),)
    if x.side == "unknown":
        return (Piece("not known: say what it is", "mind", opens="counts"),)
    e = x.estimate
    says = figure_words(x, worked.library)
    if x.side == "oil":
        side = "oil side, asks for" if x.ingredient and "_or_" in x.ingredient.convention else "asks for"
        if e is None:
            return (Piece("no figure: give one", "mind", opens="own"),)
        return (
            Piece(side),
            Piece(f"{e.value:.1f}", "asked", says=says),
            Piece(f"({e.low:.1f} to {e.high:.1f})"),
        )
    if x.side == "emulsifier":
        if e is None:
            rated = bool(line.supplier_rate) or worked.library.sheet(x.name) is not None
            said = "emulsifier, by its supplier's rate" if rated else "emulsifier, no HLB known"
            return (Piece(said, "plain" if rated else "mind", opens="" if rated else "own"),)
        return (Piece("emulsifier, brings"), Piece(f"{e.value:.1f}", "brought", says=says))
    if x.kind in ("fragrance", "essential oil") and not worked.formula.aims.fragrance_counts:
        return (Piece(f"{x.kind}, left out by choice"),)
    return (Piece(x.kind),) if x.kind not in ("", "water", "other") else ()


def marks(line: hlb.Line, tables: hlb.Library) -> tuple[Mark, ...]:
    """Tags behind the name: what was set in the menu of the line."""
    found = []
    if common := other_name(line.name, tables):
        found.append(Mark(f"= {common}", f"{line.name} is {common}"))
    if line.own:
        found.append(Mark("own", "an own figure is set"))
    if line.low or line.high:
        found.append(Mark("limit", "a limit is set"))
    if line.supplier_rate:
        found.append(Mark("rate", "a supplier's rate is set"))
    elif (sheet := tables.sheet(line.name)) is not None:
        found.append(Mark("sheet", f"your supplier's sheet is kept: {sheet.text}"))
    if line.active:
        found.append(Mark(f"{line.active.text.removesuffix('%').strip()} % active", "the active part is set"))
    if line.portion:
        found.append(Mark(f"only {line.portion}", f"only in the portion {line.portion}, on top of the base"))
    if line.note:
        found.append(Mark("note", line.note))
    return tuple(found)


def other_name(name: str, tables: hlb.Library) -> str:
    """The name at the bench where another of its names was typed; blank otherwise."""
    try:
        common = tables.find(name).common_name
    except hlb.UnknownIngredient:
        return ""
    return "" if common.casefold() == name.strip().casefold() else common


def problems(n: int, worked: hlb.Worked) -> tuple[Problem, ...]:
    """Sentences on the fields of a line; an amount that is only blank yet is no problem."""
    line = worked.formula.lines[n]
    held = [p for p in worked.problems if p.line == n and not (p.field == "amount" and not line.amount)]
    if line.counts == "auto" and not line.own:
        held = [p for p in held if p.field != "name" or worked_known(n, worked)]
    return tuple(
        Problem(p.text, p.field, "mind" if p.field in ("name", "portion", "phase") else "stop") for p in held
    )


def worked_known(n: int, worked: hlb.Worked) -> bool:
    """Whether the tables know the name of a line; where they do not, the line says so by itself."""
    return any(x.number == n and x.side != "unknown" for x in worked.lines)


def wanted(n: int, x: Counted | None, worked: hlb.Worked, tables: hlb.Library) -> tuple[str, ...]:
    """The fields of the menu of a line."""
    if x is None:
        return EVERY
    more: list[str] = []
    two_sided = x.ingredient is not None and "_or_" in x.ingredient.convention
    if two_sided or x.side == "unknown" or x.line.counts != "auto":
        more.append("counts")
    if x.side in ("oil", "unknown"):
        more += [*FIGURE]
    if x.side == "emulsifier":
        more += [*FIGURE, *LIMITS]
        more += [KEEP_SHEET] if x.line.supplier_rate or x.line.oil_limit else []
    return (*EVERY, *more, *(f"is {c}" for c in close(x, tables)), *(f"own {r}" for r in readings(x, worked)))


def close(x: Counted, tables: hlb.Library) -> tuple[str, ...]:
    """Names of the tables that are near to an unknown one."""
    return tables.near(x.name)[:3] if x.side == "unknown" and x.name.strip() else ()


def readings(x: Counted, worked: hlb.Worked) -> tuple[str, ...]:
    """Readings to choose from, where sources disagree."""
    if x.side != "oil":
        return ()
    return readings_to_choose(x.name, worked.product.emulsion, worked.library)


def fields(phases: Iterable[str], worked: hlb.Worked) -> tuple[Field, ...]:
    """Everything that the menu of a line can open."""
    counts = [Choice("" if c == "auto" else c, COUNT_WORDS.get(c, c)) for c in COUNTS]
    return (
        Field("counts", "counts as", "choice", choices=tuple(counts)),
        Field("phase", "phase", "choice", choices=tuple(Choice(p, phase_words(p)) for p in phases)),
        Field("own", "own figure", "text", "HLB", "9, or 8 to 10"),
        Field("low", "at least", "amount", "%"),
        Field("high", "at most", "amount", "%"),
        Field("supplier_rate", "supplier's rate", "text", "%", "4 to 6 % of the formula"),
        Field("oil_limit", "supplier's oil limit", "amount", "%"),
        Field(KEEP_SHEET, "Keep this sheet for every formula", "press"),
        Field("active", "active part", "amount", "%", "100"),
        Field("price", "price", "amount", "per kg"),
        Field("portion", "only in the portion", "text"),
        Field("name", "name", "text"),
        Field("note", "note", "long"),
    )


def presses(worked: hlb.Worked, rows: list[Row]) -> tuple[Field, ...]:
    """Names that are one press away, and readings to choose."""
    keys = dict.fromkeys(f for r in rows for f in r.fields or () if f.startswith(("is ", "own ")))
    return tuple(
        Field(
            k,
            f"It is {k.removeprefix('is ')}" if k.startswith("is ") else f"Use {k.removeprefix('own ')}",
            "press",
        )
        for k in keys
    )
