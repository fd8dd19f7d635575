"""Who counts where: the only place where the lines of a formula meet the tables.

The rules of the trade that stand here: emulsifiers, water-side ingredients and powders are no oils;
fatty alcohols, stearic acid and glyceryl stearate stand on both sides and follow the line's choice;
a name that nobody knows counts as its line says; a bought blend counts by its parts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from hlbcore.errors import clipped
from hlbcore.estimate import Estimate
from hlbcore.formula.fields import CLASS_RANGE, READING
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import KINDS, SIDES, Line
from hlbcore.formula.problems import too_many_parts
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library
from hlbcore.names import bare_kind
from hlbcore.product_types import product_type

OWN, TABLE = "own value", "table"
"""Where the figure of a line comes from."""

UNKNOWN = "unknown"
"""Side of a name that nobody knows and that its line gives no side."""


@dataclass(frozen=True, slots=True)
class Counted:
    """One line, or one part of a bought blend, with its ingredient and where it counts.

    Parameters
    ----------
    line : Line
        As typed; the same for all parts of a bought blend.
    ingredient : Ingredient or None
        None where nobody knows the name.
    side : str
        ``oil``, ``emulsifier``, ``outside``, or ``unknown``.
    pct : float
        As bought. [% of formula]
    active_pct : float
        Active part of what is bought. [% of the line]
    estimate : Estimate or None
        The figure of that side: required HLB of an oil, HLB of an emulsifier. [HLB]
    basis : str
        ``table``, ``own value``, ``class range (kind, count)``, or blank.
    problem : str
        Why a choice or a figure of the line is not used; blank where nothing is wrong.
    name : str
        Name as written, of the part where it is one.
    label : str
        Name that no other emulsifier of the formula has.
    number : int
        Number of the line, from 0. [-]
    is_part : bool
        Whether it is a part of a bought blend.
    chosen : bool
        Whether the line says on which side it counts.
    """

    line: Line
    ingredient: Ingredient | None
    side: str
    pct: float
    active_pct: float = 100.0
    estimate: Estimate | None = None
    basis: str = ""
    problem: str = ""
    name: str = ""
    label: str = ""
    number: int = 0
    is_part: bool = False
    chosen: bool = False

    @property
    def active(self) -> float:
        """The active part. [% of formula]"""
        return self.pct * (self.active_pct / 100)

    @property
    def key(self) -> str:
        """Id of the ingredient, or the folded name."""
        return self.ingredient.id if self.ingredient else fold(self.name)

    @property
    def kind(self) -> str:
        """Kind in the tables; blank for a name that nobody knows."""
        return self.ingredient.kind if self.ingredient else ""

    @property
    def is_emulsifier(self) -> bool:
        """Whether it counts among the emulsifiers."""
        return self.side == "emulsifier"

    @property
    def is_whole_wax(self) -> bool:
        """Whether it is a ready wax without its parts: counted whole, it counts too much."""
        return self.ingredient is not None and self.ingredient.convention == "all_in_one"

    @property
    def is_fat(self) -> bool:
        """Whether it belongs to the fat base: oil side or emulsifier."""
        return self.side in ("oil", "emulsifier") or (self.side == UNKNOWN and self.line.phase == "oil")

    @property
    def movable(self) -> bool:
        """Whether the solver may change it: a part of a bought blend moves with its blend only."""
        return not self.is_part and self.estimate is not None and self.active_pct > 0


def count(formula: Formula, library: Library) -> tuple[Counted, ...]:
    """Every line with its ingredient, side and figure; bought blends taken apart.

    Parameters
    ----------
    formula : Formula
        As typed.
    library : Library
        The tables.

    Returns
    -------
    tuple of Counted
        In the order of the lines; lines without name and amount are left out. Bought blends with
        too many parts in all portions stay whole; `Formula.problems` says so.
    """
    emulsion = product_type(formula.product_type).phase_emulsion
    blends = {} if too_many_parts(formula) else {fold(c.name): c for c in formula.blend_list}
    found: list[Counted] = []
    labels: dict[str, int] = {}
    for n, (line, pct) in enumerate(zip(formula.lines, formula.pcts, strict=True)):
        if line.blank:
            continue
        blend = blends.get(fold(line.name))
        if blend is None:
            found.append(
                _labelled(counted(line, library, emulsion, pct=pct, number=n), line.name.strip(), labels)
            )
            continue
        for p in blend.parts:
            part = counted(
                line, library, emulsion, name=p.name, pct=pct * p.pct / 100, number=n, is_part=True
            )
            found.append(_labelled(part, f"{p.name} in {line.name.strip()}", labels))
    return tuple(found)


def _labelled(held: Counted, name: str, labels: dict[str, int]) -> Counted:
    """With a name that is unique among the emulsifiers; how often each stood before is held."""
    label, key = name, fold(name)
    number = labels.get(key, 0)
    while number and fold(label := f"{name} (again {number})") in labels:
        number += 1
    labels[key] = number + 1
    if number:
        labels[fold(label)] = 1
    return held if held.label == label else replace(held, label=label)


def counted(
    line: Line,
    library: Library,
    emulsion: str,
    *,
    name: str = "",
    pct: float = 0.0,
    number: int = 0,
    is_part: bool = False,
    own: tuple[Estimate, str] | None = None,
) -> Counted:
    """One line, or one part of a blend, where it counts.

    Parameters
    ----------
    line : Line
        As typed.
    library : Library
        The tables.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    name : str
        Name of the part, where it is one.
    pct : float
        As bought. [% of formula, or any one unit]
    number : int
        Number of the line. [-]
    is_part : bool
        Whether it is a part of a bought blend.
    own : (Estimate, str), optional
        A figure in place of the line's own, with its basis. [HLB]

    Returns
    -------
    Counted
        With the figure of its side.
    """
    name = name or line.name
    ingredient = known(name, library)
    counts = "auto" if is_part and line.counts not in SIDES else line.counts
    if ingredient is None and counts in KINDS:
        ingredient = of_kind(name, counts)
    if ingredient is None and not is_part and (counts == "oil" or line.own.value == CLASS_RANGE):
        ingredient = _of_last_word(name)
    side, problem = side_of(ingredient, counts, has_figure=bool(line.own) or own is not None)
    active = line.active_pct
    if line.active.value is None and ingredient is not None and ingredient.active_pct is not None:
        active = ingredient.active_pct  # the name gives a strength
    estimate, basis = own or (None, "")
    if own is None:
        estimate, basis, wrong = figure_of(line, ingredient, side, emulsion, library, is_part=is_part)
        problem = problem or wrong
    return Counted(
        line,
        ingredient,
        side,
        pct,
        active,
        estimate,
        basis,
        problem,
        name,
        name,
        number,
        is_part,
        counts in SIDES,
    )


def known(name: str, library: Library) -> Ingredient | None:
    """The ingredient of that name; None where nobody knows it."""
    # not by `find`: it looks for close names too, and most of these are the user's own
    return library.known(name)


def of_kind(name: str, kind: str) -> Ingredient:
    """An ingredient known by its kind alone, without figures."""
    side = "oil" if kind in ("fragrance", "essential oil") else "outside"
    return Ingredient(fold(name), name, name, kind, convention=side)


def _of_last_word(name: str) -> Ingredient | None:
    """What stands in the oil phase by its line and is an oil, butter or wax by its last word."""
    kind = bare_kind(name)
    return Ingredient(fold(name), "", name, kind, convention="oil", by_kind=True) if kind else None


def side_of(ingredient: Ingredient | None, counts: str, *, has_figure: bool = False) -> tuple[str, str]:
    """Where a line counts, and why its own choice does not hold."""
    if ingredient is None:
        if counts in SIDES:
            return counts, ""
        return ("oil", "") if has_figure else (UNKNOWN, "")
    convention = ingredient.convention
    first, two_sided, _ = convention.partition("_or_")
    usual = {"all_in_one": "emulsifier", "base": "outside"}.get(first, first)
    if counts not in SIDES or counts in (usual, "outside"):
        return (counts if counts in SIDES else usual), ""
    if two_sided:
        return counts, ""
    return usual, (
        f"'{clipped(ingredient.common_name)}' counts as {usual} only. Only fatty alcohols, stearic acid, "
        "glyceryl stearate and names that nobody knows have a choice."
    )


Figure = tuple[Estimate | None, str, str]


def figure_of(
    line: Line,
    ingredient: Ingredient | None,
    side: str,
    emulsion: str,
    library: Library,
    *,
    is_part: bool = False,
) -> Figure:
    """The figure of a line on its side, its basis, and why an own figure is not used."""
    own = None if is_part else line.own.value
    if side == "emulsifier":
        return _hlb(line, ingredient, own)
    if side != "oil":
        return None, "", ""
    if isinstance(own, Estimate):
        return own, OWN, ""
    if own is not None:
        return _worded(line, ingredient, own, emulsion, library)
    if ingredient is None:
        return None, "", ""
    return (*required_of(ingredient, emulsion, library), "")


def required_of(ingredient: Ingredient, emulsion: str, library: Library) -> tuple[Estimate | None, str]:
    """Required HLB of an ingredient by the tables, else by the range of its kind."""
    held = ingredient.required_hlb(emulsion)
    if held is not None:
        return held, TABLE
    return class_range(ingredient, emulsion, library) or (None, "")


def class_range(what: Ingredient | str, emulsion: str, library: Library) -> tuple[Estimate, str] | None:
    """The range of an ingredient's class, or of a kind, with its basis; None where it has none."""
    found = library.class_estimate(what, emulsion)
    if found is None:
        return None
    listed = library.class_of(what, emulsion)
    kind = what.kind if isinstance(what, Ingredient) else what
    return found, f"class range ({listed.name if listed is not None else kind})"


def _hlb(line: Line, ingredient: Ingredient | None, own: Estimate | str | None) -> Figure:
    if isinstance(own, Estimate):
        return own, OWN, ""
    problem = ""
    if own is not None:
        problem = f"'{clipped(line.name)}': '{clipped(line.own.text)}' is not an HLB."
        problem += " Enter a number or a range."
    whole = ingredient is not None and ingredient.convention == "all_in_one"
    held = None if ingredient is None or whole else ingredient.hlb
    return held, TABLE if held is not None else "", problem


def _worded(line: Line, ingredient: Ingredient | None, word: str, emulsion: str, library: Library) -> Figure:
    """A figure given as a word: a chosen reading, the range of its own kind, or of another kind."""
    usual = (None, "") if ingredient is None else required_of(ingredient, emulsion, library)
    item = f"'{clipped(line.name)}'"
    if word.startswith(READING):
        held = None if ingredient is None else ingredient.required_hlb(emulsion)
        value = float(word[len(READING) :])
        if held is None or not held.low <= value <= held.high:
            return *usual, f"{item}: {value:g} is none of its readings. Choose one that is listed."
        return held.choose(value), OWN, ""
    kind: Ingredient | str = ingredient if word == CLASS_RANGE and ingredient is not None else word
    if isinstance(kind, str) and kind not in {i.kind for i in library}:
        return *usual, (
            f"{item}, required HLB: '{clipped(word)}' is neither a number nor a kind. Enter a number, "
            "a range such as 7 to 9, or a kind such as butter."
        )
    found = class_range(kind, emulsion, library)
    if found is None:
        return (*usual, f"{item}: there is no range for its kind. Enter a number, or a range such as 7 to 9.")
    return *found, ""


def readings_to_choose(name: str, emulsion: str, library: Library) -> tuple[str, ...]:
    """The readings of a disputed figure, as words that `Line.own` takes.

    Parameters
    ----------
    name : str
        Any name of the ingredient.
    emulsion : str
        ``"o/w"`` or ``"w/o"``; blank means o/w.
    library : Library
        The tables.

    Returns
    -------
    tuple of str
        The lowest, the one used and the highest; empty where sources agree.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> readings_to_choose("dimethicone", "o/w", load_library())
    ('reading 5', 'reading 9', 'reading 9.5')
    """
    ingredient = known(name, library)
    held = None if ingredient is None else ingredient.required_hlb(emulsion or "o/w")
    if held is None or not held.alternatives:
        return ()
    values = sorted({*held.alternatives, held.value})
    return tuple(f"{READING}{v:g}" for v in values)
