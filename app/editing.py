"""Edits of the open formula: each takes a formula and gives another; what was typed arrives as typed."""

from __future__ import annotations

from dataclasses import replace

import hlbcore as hlb

PLAIN = ("name", "phase", "counts", "note")
"""Fields of a line that are no amounts."""


def with_line(formula: hlb.Formula, n: int, field: str, text: str) -> hlb.Formula:
    """The formula with another text in one field of a line."""
    line = formula.lines[n]
    if field == "counts":
        new = replace(line, counts=text or "auto")
    elif field == "portion":
        new = replace(line, portion=text or None)
    elif field == "name":
        new = replace(line, name=text or line.name)
    else:
        new = replace(line, **{field: text})
    return with_whole_line(formula, n, new)


def with_whole_line(formula: hlb.Formula, n: int, line: hlb.Line) -> hlb.Formula:
    """The formula with another line in the place of one."""
    return replace(formula, lines=(*formula.lines[:n], line, *formula.lines[n + 1 :]))


def with_new_line(formula: hlb.Formula, name: str, phase: str, amount: str = "") -> hlb.Formula:
    """The formula with one more line."""
    return replace(formula, lines=(*formula.lines, hlb.Line(name, amount, phase=phase)))


def without_line(formula: hlb.Formula, n: int) -> hlb.Formula:
    """The formula without a line."""
    return replace(formula, lines=(*formula.lines[:n], *formula.lines[n + 1 :]))


def with_aim(formula: hlb.Formula, field: str, given: object) -> hlb.Formula:
    """The formula with another aim."""
    return replace(formula, aims=replace(formula.aims, **{field: given}))


def with_fact(formula: hlb.Formula, name: str, text: str) -> hlb.Formula:
    """The formula with another fact; a blank one is left out."""
    held = {**dict(formula.facts), name: text}
    return replace(formula, facts=tuple(sorted((n, t) for n, t in held.items() if t)))


def neighbour(formula: hlb.Formula, n: int, *, up: bool) -> int | None:
    """The next line of the same phase in that direction; None at its end."""
    same = [m for m, line in enumerate(formula.lines) if line.phase == formula.lines[n].phase]
    order = list(reversed(same)) if up else same
    behind = order[order.index(n) + 1 :]
    return behind[0] if behind else None


def swapped_lines(formula: hlb.Formula, n: int, m: int) -> hlb.Formula:
    """The formula with two lines in each other's places."""
    lines = list(formula.lines)
    lines[n], lines[m] = lines[m], lines[n]
    return replace(formula, lines=tuple(lines))
