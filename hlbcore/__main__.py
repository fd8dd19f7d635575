"""``python -m hlbcore tables``: what the tables hold, by grade and source.

``python -m hlbcore tables --sort`` puts their rows in order.
"""

from __future__ import annotations

import sys
from collections import Counter

from hlbcore._tables import sort_tables
from hlbcore.errors import TableError
from hlbcore.estimate import TABLE_GRADES, Reading
from hlbcore.library import Library, data_folder, load_library

USAGE = "Use: python -m hlbcore tables [--sort]"


def tables_report(library: Library) -> str:
    """What the tables hold: counts by grade and source, the widest disagreements first.

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
        lines.append("  by source")
        for key, count in sorted(Counter(r.source for r in every).items(), key=lambda c: -c[1]):
            source = library.sources[key]
            lines.append(f"  {count:5d}  {key} ({source.kind}): {source.citation}")
    return "\n".join(lines)


def main(arguments: list[str]) -> int:
    """Run the command.

    Parameters
    ----------
    arguments : list of str
        What stands behind ``python -m hlbcore``.

    Returns
    -------
    int
        0, 1 where a table cannot be read, or 2 where the command is not known.
    """
    if arguments == ["tables", "--sort"]:
        try:
            changed = sort_tables(data_folder())
        except TableError as error:
            print(error, file=sys.stderr)
            return 1
        print(f"Sorted: {', '.join(changed)}" if changed else "All tables stand in order.")
        return 0
    if arguments != ["tables"]:
        print(USAGE, file=sys.stderr)
        return 2
    print(tables_report(load_library()))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
