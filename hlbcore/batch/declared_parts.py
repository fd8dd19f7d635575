"""A formula taken apart into what a label lists: each ingredient with its share and the doubt of it.

- A bought blend is its parts: share of the blend times share of the formula; practice, quoted with
  the rule of the INCI dictionary on solvents and diluents. Parts that a supplier gives as a range, or
  without shares, have a range here; all parts of a blend add to it.
- A solution counts by its active part; its solvent stands in its own place: the same rule.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from hlbcore.counting.counted import known, of_kind
from hlbcore.errors import clipped
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import KINDS, Composite, Line
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library
from hlbcore.names import split_parts
from hlbcore.rules.colours import SAYS_COLOUR, us_colours
from hlbcore.rules.preservatives import preservatives

DEEPEST = 4
"""Blends within blends are taken apart so often. [-] Our convention."""

_SCENTS = ("fragrance",)


@dataclass(frozen=True, slots=True)
class Share:
    """One ingredient that a line brings into the formula.

    Parameters
    ----------
    name : str
        As typed, or as the blend names its part.
    pct, low, high : float
        Its amount, and between what it lies. [% of formula]
    ingredient : Ingredient or None
        None where nobody knows the name.
    line : int
        Number of the line, from 0. [-]
    line_name : str
        Name of that line.
    is_part : bool
        Whether it came within a bought blend.
    colour, scent : bool
        Whether it is there for its colour, or for its scent.
    in_preservative : bool
        Whether it came within a blend that is a preservative.
    """

    name: str
    pct: float
    low: float
    high: float
    ingredient: Ingredient | None
    line: int
    line_name: str
    is_part: bool = False
    colour: bool = False
    scent: bool = False
    in_preservative: bool = False

    @property
    def kind(self) -> str:
        """Kind in the tables; blank where nobody knows the name."""
        return self.ingredient.kind if self.ingredient else ""


@dataclass(frozen=True, slots=True)
class _Part:
    """A part with its share of the blend. [fraction]"""

    name: str
    share: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class TakenApart:
    """All shares of a formula, and what only a supplier can tell of them.

    Parameters
    ----------
    shares : tuple of Share
        In the order of the lines.
    questions : tuple of str
        A sentence each.
    """

    shares: tuple[Share, ...]
    questions: tuple[str, ...]


def taken_apart(formula: Formula, library: Library) -> TakenApart:
    """What each line brings into the formula, bought blends by their parts.

    Parameters
    ----------
    formula : Formula
        Whole, see `declared_whole`.
    library : Library
        The tables.

    Returns
    -------
    TakenApart
        Lines of 0 % are left out.
    """
    blends = {fold(b.name): b for b in formula.blend_list}
    shares: list[Share] = []
    questions: list[str] = []
    for n, (line, pct) in enumerate(zip(formula.lines, formula.pcts, strict=True)):
        if pct <= 0 or not line.name.strip():
            continue
        ingredient = _ingredient(line.name, line, library)
        base = Share(
            line.name.strip(),
            pct,
            pct,
            pct,
            ingredient,
            n,
            line.name.strip(),
            colour=_is_colour(line, ingredient),
            scent=line.counts in _SCENTS or (ingredient is not None and ingredient.kind in _SCENTS),
        )
        _add(base, line, blends, library, shares, questions)
    return TakenApart(tuple(shares), tuple(dict.fromkeys(questions)))


def _is_colour(line: Line, ingredient: Ingredient | None) -> bool:
    """Whether a line is there for its colour: by its kind, its choice, or what its note says."""
    if line.counts == "colour" or (ingredient is not None and ingredient.kind == "colour"):
        return True
    return bool(SAYS_COLOUR.search(line.note)) and _is_pigment(line.name, ingredient)


def _ingredient(name: str, line: Line | None, library: Library) -> Ingredient | None:
    found = known(name, library)
    if found is None and line is not None and line.counts in KINDS:
        return of_kind(name, line.counts)
    return found


def _add(
    whole: Share,
    line: Line | None,
    blends: dict[str, Composite],
    library: Library,
    shares: list[Share],
    questions: list[str],
    depth: int = 0,
) -> None:
    """The parts of one share, or itself where it is a single ingredient."""
    parts = _parts(whole, line, blends, library, questions) if depth < DEEPEST else ()
    if not parts:
        shares.append(whole)
        return
    # what a blend is, its largest part tells, its water left aside
    solid = [p for p in parts if library.key(p.name) != "water"] or parts
    protects = _kind(max(solid, key=lambda p: p.share).name, library) == "preservative"
    for part in parts:
        ingredient = known(part.name, library)
        kind = ingredient.kind if ingredient else ""
        # a colour that sits on another material, or a pigment with a coating: each by its own kind
        coloured = kind == "colour" or (whole.colour and _is_pigment(part.name, ingredient))
        share = Share(
            part.name,
            whole.pct * part.share,
            whole.low * part.low,
            whole.high * part.high,
            ingredient,
            whole.line,
            whole.line_name,
            True,
            coloured,
            kind in _SCENTS,
            protects,
        )
        _add(share, None, blends, library, shares, questions, depth + 1)


def _kind(name: str, library: Library) -> str:
    found = known(name, library)
    return found.kind if found is not None else ""


def _is_pigment(name: str, ingredient: Ingredient | None) -> bool:
    rules = us_colours()
    listed = ingredient is not None and rules.of_ingredient(ingredient.id) is not None
    return listed or bool(rules.find(name)) or re.search(r"\bCI ?\d{5}", name, re.I) is not None


def _parts(
    whole: Share, line: Line | None, blends: dict[str, Composite], library: Library, questions: list[str]
) -> tuple[_Part, ...]:
    blend = blends.get(fold(whole.name))
    if blend is not None:
        return _declared(blend)
    item = f"'{clipped(whole.name)}'"
    active = line.active.value if line is not None else None
    held = whole.ingredient
    if active is None and held is not None:
        active = held.active_pct
    if whole.scent:
        return ()
    if active is not None and 0 < active < 100:
        return _solution(whole, active, item, library, questions)
    if held is None:
        return ()
    preservative = _of_preservatives(held, library, item, questions)
    if preservative:
        return preservative
    names = _listed_parts(held)
    if len({library.key(n) for n in names}) < 2:  # two words for one thing are no blend: aqua/water
        return ()
    return _unknown_shares(names, whole, library, item, questions)


def _declared(blend: Composite) -> tuple[_Part, ...]:
    """Parts that the maker typed, with the ranges that the supplier declares."""
    total = math.fsum(p.pct for p in blend.parts)
    spans = [
        (
            p.pct / total,
            (p.pct if p.low is None else p.low) / 100,
            (p.pct if p.high is None else p.high) / 100,
        )
        for p in blend.parts
    ]
    ranged = any(p.low is not None or p.high is not None for p in blend.parts)
    ends = _tightened([(low, high) for _, low, high in spans]) if ranged else [(v, v) for v, _, _ in spans]
    return tuple(
        _Part(p.name, v, min(low, v), max(high, v))
        for p, (v, _, _), (low, high) in zip(blend.parts, spans, ends, strict=True)
    )


def _tightened(ends: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Ranges of shares, cut to what their sum of 1 allows."""
    lows, highs = math.fsum(a for a, _ in ends), math.fsum(b for _, b in ends)
    return [(max(a, 1 - (highs - b)), min(b, 1 - (lows - a))) for a, b in ends]


def _solution(
    whole: Share, active: float, item: str, library: Library, questions: list[str]
) -> tuple[_Part, ...]:
    """A solution by its active part; what the rest is, its supplier tells."""
    bare = re.sub(r"[,(]?\s*\d+(?:[.,]\d+)?\s*%\s*(?:solution|active|in water|aqueous)?\)?", " ", whole.name)
    name = " ".join(bare.split()).strip(" ,()") or whole.name
    rest = 1 - active / 100
    water = re.search(r"water|aqueous|aqua", whole.name, re.I) is not None
    parts = [_Part(name, active / 100, active / 100, active / 100)]
    parts.append(_Part("Aqua", rest, rest if water else 0.0, rest))
    if not water:
        questions.append(
            f"{item} is {active:g} % active: the other {100 * rest:.4g} % is taken for water. "
            "Enter it as a bought blend with what its supplier names."
        )
    return tuple(parts)


def _of_preservatives(
    held: Ingredient, library: Library, item: str, questions: list[str]
) -> tuple[_Part, ...]:
    """A preservative blend of the tables, where all shares of its parts are known."""
    row = preservatives().get(held.id)
    shares = [] if row is None else [p.share_pct for p in row.parts]
    if row is None or not shares or any(s is None for s in shares):
        return ()
    found = [
        _Part(library.ingredients[p.id].inci, s / 100, s / 100, s / 100)
        for p, s in ((p, p.share_pct or 0.0) for p in row.parts)
    ]
    rest = 1 - math.fsum(p.share for p in found)
    if rest > 1e-9:
        found.append(_Part("Aqua", rest, 0.0, rest))
        questions.append(f"{item}: {100 * rest:.3g} % of it is not named, and is taken for water.")
    questions.append(f"{item}: the shares are those of the tables. Compare its supplier's sheet.")
    return tuple(found)


def _listed_parts(held: Ingredient) -> tuple[str, ...]:
    if held.parts:
        return held.parts
    if "(and)" in held.inci:
        return tuple(p.strip() for p in held.inci.split("(and)"))
    if ", " in held.inci:
        return tuple(p.strip() for p in held.inci.split(", "))
    # a blend that has no row of its own keeps its parts in its name
    return split_parts(held.common_name) if "(and)" in held.common_name else ()


def _unknown_shares(
    names: Sequence[str], whole: Share, library: Library, item: str, questions: list[str]
) -> tuple[_Part, ...]:
    """Parts whose shares stand on no sheet that was entered: ranges of a printed page, or 0 to 100 %."""
    printed = _printed_shares(whole.name, names, library)
    if printed:
        ends = _tightened(printed)
        lows = math.fsum(a for a, _ in ends)
        widths = math.fsum(b - a for a, b in ends)
        spread = (1 - lows) / widths if widths > 0 else 0.0
        likely = [a + (b - a) * spread for a, b in ends]
    else:
        ends = [(0.0, 1.0)] * len(names)
        likely = _falling(len(names))
    questions.append(
        f"{item}: the shares of its parts are "
        + ("those of a page of its kind." if printed else "not known.")
        + " Enter it as a bought blend with the shares of its supplier's sheet."
    )
    return tuple(_Part(n, v, a, b) for n, v, (a, b) in zip(names, likely, ends, strict=True))


def _falling(n: int) -> list[float]:
    """Shares of n parts that are known to fall in the order listed: the mean of all that do so. [fraction]

    That a supplier lists the parts of a blend in falling order: common practice, no source.
    """
    return [math.fsum(1 / j for j in range(k, n + 1)) / n for k in range(1, n + 1)]


def _printed_shares(name: str, names: Iterable[str], library: Library) -> list[tuple[float, float]]:
    """Ranges of the parts as a supplier's page prints them, one for each name; else empty. [fraction]"""
    row = library.ready(name)
    found = []
    for part in names if row is not None and row.shares else ():
        pattern = re.escape(part.casefold()) + r"(?: type)?(?: about)? (\d+(?:\.\d+)?)(?:-(\d+(?:\.\d+)?))?\b"
        m = re.search(pattern, row.shares.casefold()) if row is not None else None
        if m is None:
            return []
        found.append((float(m[1]) / 100, float(m[2] or m[1]) / 100))
    lows, highs = math.fsum(a for a, _ in found), math.fsum(b for _, b in found)
    return found if lows <= 1 + 1e-9 and highs >= 1 - 1e-9 else []
