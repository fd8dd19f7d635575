"""What the tables hold, by grade, source and root, and what changed."""

from __future__ import annotations

from collections import Counter

from hlbcore._tables import read_corrections
from hlbcore.folders import data_folder
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library
from hlbcore.readings import TABLE_GRADES, Reading


def tables_report(library: Library) -> str:
    """What the tables hold: the widest disagreements, counts by grade, source and root, what changed.

    Parameters
    ----------
    library : Library
        The tables.

    Returns
    -------
    str
        Plain text.
    """
    groups: dict[str, dict[str, tuple[Reading, ...]]] = {
        "required HLB, o/w": {i.common_name: i.ow_readings for i in library},
        "required HLB, w/o": {i.common_name: i.wo_readings for i in library},
        "HLB of emulsifiers": {i.common_name: i.hlb_readings for i in library},
    }
    lines = [f"{len(library.ingredients)} ingredients, tables {library.digest}", ""]
    lines.append("Widest disagreements (lowest and highest reading)")
    wide = [
        (max(r.value for r in rows) - min(r.value for r in rows), what, name, rows)
        for what, held in groups.items()
        for name, rows in held.items()
        if len(rows) > 1
    ]
    for apart, what, name, rows in sorted(wide, key=lambda w: (-w[0], w[1], w[2]))[:20]:
        low, high = min(r.value for r in rows), max(r.value for r in rows)
        lines.append(f"  {apart:5.1f}  {name}: {low:g} to {high:g} in {len(rows)} readings ({what})")
    for what, held in groups.items():
        every = [r for readings in held.values() for r in readings]
        with_one = sum(1 for readings in held.values() if readings)
        lines += ["", f"{what}: {with_one} ingredients, {len(every)} readings"]
        grades = Counter(r.grade for r in every)
        lines += [f"  {grades[g]:5d}  {g}" for g in TABLE_GRADES]
        lone = sum(1 for readings in held.values() if len({r.voice for r in readings}) == 1)
        lines.append(
            f"  {len({r.voice for r in every})} roots; resting on one root alone: {lone} ingredients"
        )
        lines.append("  by source")
        for key, count in sorted(Counter(r.source for r in every).items(), key=lambda c: -c[1]):
            source = library.sources[key]
            lines.append(f"  {count:5d}  {key} ({source.kind}): {source.citation}")
    lines += ["", *_roots(groups), "", *_changes()]
    return "\n".join(lines)


def ingredient_report(ingredient: Ingredient, library: Library) -> str:
    """What the tables hold of one ingredient: its names and every HLB with grade and source.

    Parameters
    ----------
    ingredient : Ingredient
        As `Library.find` gives it.
    library : Library
        The tables.

    Returns
    -------
    str
        Plain text.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> tables = load_library()
    >>> print(ingredient_report(tables.find("karite"), tables).splitlines()[0])
    shea butter (shea_butter, butter, Butyrospermum Parkii Butter)
    """
    kept = ", ".join(w for w in (ingredient.id, ingredient.kind, ingredient.inci) if w)
    lines = [f"{ingredient.common_name} ({kept})"]
    if ingredient.aliases:
        lines.append(f"also: {', '.join(ingredient.aliases)}")
    groups = {
        "required HLB, o/w": ingredient.ow_readings,
        "required HLB, w/o": ingredient.wo_readings,
        "HLB": ingredient.hlb_readings,
    }
    for what, rows in groups.items():
        for r in rows:
            place = f", {r.where}" if r.where else ""
            lines.append(f"  {what} {r.value:g}, {r.grade}: {library.sources[r.source].citation}{place}")
    if not any(groups.values()):
        lines.append("  no HLB in the tables")
    return "\n".join(lines)


def _roots(groups: dict[str, dict[str, tuple[Reading, ...]]]) -> list[str]:
    """How many pages, ingredients and readings each root stands behind."""
    behind: dict[str, list[tuple[str, str]]] = {}
    for held in groups.values():
        for name, rows in held.items():
            for r in rows:
                behind.setdefault(r.voice, []).append((name, r.source))
    lines = ["Roots of the figures (readings, ingredients, pages)"]
    for root, held_by in sorted(behind.items(), key=lambda b: (-len(b[1]), b[0])):
        names, pages = {n for n, _ in held_by}, {p for _, p in held_by}
        lines.append(f"  {len(held_by):5d} {len(names):5d} {len(pages):5d}  {root}")
    return lines


def _changes() -> list[str]:
    """What was changed after a figure had been in use, the figures that people see first."""
    rows = read_corrections(data_folder())
    seen = [r for r in rows if r["table"] == "figure"]
    lines = [f"What changed ({len(rows)} corrections, {len(seen)} figures that people see)"]
    for r in seen:
        lines.append(f"  {r['date']}  {r['id']}: {r['old'] or 'none'} to {r['new'] or 'none'}; {r['reason']}")
    return lines
