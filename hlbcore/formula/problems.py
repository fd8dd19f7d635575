"""What keeps a formula from being whole, and what is too large to be worked with."""

from __future__ import annotations

import math
from collections import Counter

from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.formula import TOTAL_OFF, Formula
from hlbcore.formula.lines import Problem
from hlbcore.ingredients import fold
from hlbcore.library import Library
from hlbcore.limits import (
    FORMULA_LINES_MOST,
    JARS_LINES_MOST,
    PARTS_MOST,
    SHEET_MOST,
    TEXT_MOST,
    check_count,
    check_length,
)
from hlbcore.names import listed_shares, split_parts

PHASES_FIELD = "phases"
"""Field of the problem that lines have no phase yet: it keeps no figure from being computed."""


def problems_of(formula: Formula, library: Library) -> tuple[Problem, ...]:
    """All problems: the total, fields that cannot be read, lines, portions and bought blends."""
    found = []
    off = formula.total_pct - 100
    if abs(off) > TOTAL_OFF:
        word = "too much" if off > 0 else "missing"
        text = f"The formula adds to {formula.total_pct:.6g} %: {abs(off):.4g} % is {word}."
        found.append(Problem(None, f"{text} Fill a line, or rescale.", "total"))
    return (
        *found,
        *formula.found,
        *_lines(formula, library),
        *_portions(formula),
        *_blends(formula, library),
    )


def _lines(formula: Formula, library: Library) -> list[Problem]:
    found = []
    parts = {fold(p.name) for p in formula.portion_list}
    seen: dict[tuple[str, str, str], int] = {}
    placeless: list[str] = []
    for n, line in enumerate(formula.lines):
        key, name = library.key(line.name), clipped(line.name)
        if not key:
            if not line.blank:
                found.append(Problem(n, f"Line {n + 1} has no name. Name it, or delete it.", "name"))
            continue
        found += unknown_name(formula, n, library)
        if wrong := _listed(line.name, library):
            found.append(Problem(n, wrong, "name"))
        if not line.phase.strip():
            placeless.append(name)
        elif line.phase not in formula.phases:
            text = f"'{name}': phase '{clipped(line.phase)}' is not one of {', '.join(formula.phases)}."
            found.append(Problem(n, f"{text} Choose one, or add it to the phases.", "phase"))
        if line.portion is not None and fold(line.portion) not in parts:
            text = f"'{name}': there is no portion '{clipped(line.portion)}'."
            found.append(Problem(n, f"{text} Add it, or move the line to the base.", "portion"))
        place = (key, line.phase, line.portion or "")
        if place in seen:
            text = f"'{name}' stands again in the same phase, also in line {seen[place] + 1}."
            found.append(Problem(n, f"{text} Put the two together.", "name"))
        seen.setdefault(place, n)
    if placeless:
        names = ", ".join(dict.fromkeys(placeless))
        text = f"No phase yet: {names}. Choose one of {', '.join(formula.phases)} for each."
        found.append(Problem(None, text, PHASES_FIELD))
    return found


def unknown_name(formula: Formula, n: int, library: Library) -> list[Problem]:
    """The problem of a line whose name nobody knows; none where it says what it counts as."""
    line = formula.lines[n]
    if not library.key(line.name) or fold(line.name) in {fold(c.name) for c in formula.blend_list}:
        return []
    if line.own.value is not None or line.counts not in ("auto", "oil"):
        return []
    if library.known(line.name) is not None:
        return []
    text = f"'{clipped(line.name)}' is not in the tables. "
    odd = [p for p in split_parts(line.name) if library.known(p) is None]
    if 0 < len(odd) < len(split_parts(line.name)):  # the known parts are no slip
        text += f"Of its parts nobody knows {', '.join(repr(clipped(p)) for p in odd)}. Mend the name, or say"
        return [Problem(n, f"{text} at the line what it counts as.", "name")]
    near = " or ".join(f"'{c}'" for c in library.near(line.name))
    text += f"Did you mean {near}? Otherwise say" if near else "Check the spelling, or say"
    return [Problem(n, f"{text} at the line what it counts as, or give a figure of your own.", "name")]


def _portions(formula: Formula) -> list[Problem]:
    found = []
    held = formula.portion_list
    times = Counter(fold(p.name) for p in held)
    for portion in {fold(p.name): p for p in held}.values():
        if (count := times[fold(portion.name)]) > 1:
            text = f"{count} portions are named '{clipped(portion.name)}'."
            mend = "Give each a name of its own, or put them together."
            found.append(Problem(None, f"{text} {mend}", "portions"))
    shares = math.fsum(p.share_pct for p in held)
    if held and abs(shares - 100) > TOTAL_OFF:
        text = f"The portions add to {shares:.6g} % of the base, not 100 %."
        found.append(Problem(None, text, "portions"))
    return found


def _blends(formula: Formula, library: Library) -> list[Problem]:
    found = []
    for blend in formula.blend_list:
        item = clipped(blend.name)
        whole = math.fsum(p.pct for p in blend.parts)
        if abs(whole - 100) > 0.5:
            wrong = (
                "the parts count for more than is bought" if whole > 100 else "what is missing counts nowhere"
            )
            text = (
                f"The parts of '{item}' add to {whole:.6g} %, not 100 %. Mend the parts; until then {wrong}."
            )
            found.append(Problem(None, text, "blends"))
        times = Counter(library.key(p.name) for p in blend.parts)
        for part in {library.key(p.name): p for p in blend.parts}.values():
            name = clipped(part.name)
            if library.known(part.name) is None:
                near = " or ".join(f"'{c}'" for c in library.near(part.name))
                text = f"'{name}', a part of '{item}', is not in the tables and counts nowhere. "
                text += f"Did you mean {near}? Otherwise write" if near else "Check the spelling, or write"
                found.append(Problem(None, f"{text} the blend as lines of their own.", "blends"))
            if times[library.key(part.name)] > 1:
                text = f"'{name}' stands more than once among the parts of '{item}'. Put the shares together."
                found.append(Problem(None, text, "blends"))
    try:
        check_parts(formula)
    except InvalidInput as error:
        found.append(Problem(None, str(error), "blends"))
    return found


def _listed(name: str, library: Library) -> str:
    """What is wrong with a name that lists its parts: one twice, or shares that add to more than 100 %."""
    parts = [p for p in split_parts(name) if p]
    if len(parts) < 2:
        return ""
    times = Counter(library.key(p) for p in parts)
    twice = next((p for p in parts if times[library.key(p)] > 1), None)
    if twice is not None:
        return f"'{clipped(twice)}' stands more than once in '{clipped(name)}'. Name each part once."
    whole = math.fsum(listed_shares(name))
    if whole > 100.5:
        return f"The shares in '{clipped(name)}' add to {whole:.6g} %, more than 100 %. Mend the name."
    return ""


def too_many_parts(formula: Formula) -> bool:
    """Whether bought blends make too many lines, each counted in every portion."""
    if not formula.blend_list:
        return False
    parts = {fold(c.name): len(c.parts) for c in formula.blend_list}
    lines = sum(parts.get(fold(x.name), 1) for x in formula.lines)
    return lines * max(len(formula.portion_list), 1) > JARS_LINES_MOST


def check_parts(formula: Formula) -> None:
    """Refuse bought blends that make too many lines, each counted in every portion."""
    if too_many_parts(formula):
        raise InvalidInput(
            "bought blends",
            f"with all parts in all portions there are more than {JARS_LINES_MOST:,} lines",
            "Leave out lines, parts or portions.",
        )


def check_size(formula: Formula) -> None:
    """Refuse a formula that is too large to be written and read again."""
    check_count(formula.lines, "formula, lines", FORMULA_LINES_MOST)
    check_count(formula.phases, "formula, phases")
    check_count(formula.facts, "formula, facts")
    check_count(formula.blend_list, "formula, bought blends")
    allergens = formula.known_facts.fragrance_allergens
    check_count(allergens, "formula, allergens")
    for blend in formula.blend_list:
        check_count(blend.parts, f"formula, parts of '{clipped(blend.name)}'", PARTS_MOST)
    texts = [formula.name, *formula.phases, *(t for pair in formula.facts for t in pair)]
    texts += [held.text for _, held in formula.aims.typed_fields()]
    for x in formula.lines:
        texts += [x.name, x.phase, x.note, x.portion or "", *(held.text for _, held in x.typed_fields())]
    for text in texts:
        check_length(text, f"formula, '{clipped(text)}'")
    long = [formula.note, formula.portions.text, formula.blends.text]
    for text in long:
        check_length(text, "formula, note, portions or bought blends", TEXT_MOST)
    total = sum(map(len, (*texts, *long)))
    if total > SHEET_MOST:
        raise InvalidInput(
            "formula",
            f"its texts have {total:,} characters in all, more than {SHEET_MOST:,}",
            "Shorten the notes.",
        )
    check_parts(formula)
