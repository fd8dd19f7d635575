"""What to buy first: two or three emulsifiers that serve most formulas of a product type.

Nothing is chosen by hand: the usual one of the product type or the plain pair of the tables comes
first, then what most independent authors print for the type (``data/dose_evidence.csv``).
"""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.blending.dose_evidence import DoseRow, dose_rows
from hlbcore.blending.rates import Around, rate_of
from hlbcore.counting.counted import counted
from hlbcore.errors import HlbError
from hlbcore.formula.lines import Line
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library, load_library
from hlbcore.product_types import ProductType, product_type

STARTERS_MOST = 3
"""Emulsifiers in a starter set. [-] Our convention."""

ROOTS_LEAST = 2
"""Independent authors that print an emulsifier for a type before it joins as a third one. [-]
Our convention."""

MIDDLE_OILS = ("oil", "butter")
"""Kinds whose median requirement a pair is chosen for: most of what small makers emulsify.
common practice, no source"""


@dataclass(frozen=True, slots=True)
class Starter:
    """One emulsifier, or one pair, to buy first.

    Parameters
    ----------
    names : tuple of str
        The emulsifier; two names of a pair that is weighed apart.
    why : str
        Why, in words.
    source : str
        Keys in ``data/sources.csv``, or how it is known.
    roots : int
        Independent authors that print it for this type. [-]
    rate : str
        Its supplier's rate; blank where HLB or the rinse test decides.
    """

    names: tuple[str, ...]
    why: str
    source: str
    roots: int = 0
    rate: str = ""

    @property
    def title(self) -> str:
        """The names as one."""
        return " with ".join(self.names)


@dataclass(frozen=True, slots=True)
class StarterSet:
    """What to buy first for a product type.

    Parameters
    ----------
    product_type : str
        Name of the product type.
    starters : tuple of Starter
        At most three emulsifiers; empty where none is called for.
    reason : str
        How they were found, or why there is none.
    """

    product_type: str
    starters: tuple[Starter, ...]
    reason: str

    @property
    def names(self) -> tuple[str, ...]:
        """All emulsifiers to buy."""
        return tuple(n for s in self.starters for n in s.names)


def starter_set(product: str | ProductType, *, library: Library | None = None) -> StarterSet:
    """The emulsifiers to buy first for a product type, each with reason and source.

    Parameters
    ----------
    product : str or ProductType
        The product type.

    Returns
    -------
    StarterSet
        Two or three emulsifiers; none for a product without one.

    Examples
    --------
    >>> starter_set("o/w cream").names
    ('sorbitan stearate', 'polysorbate 60', 'cetearyl olivate (and) sorbitan olivate')
    >>> starter_set("whipped butter").names
    ()
    """
    library = library or load_library()
    kind = product_type(product)
    printed = _printed(kind, library)
    found = _first(kind, printed, library)
    for key, rows in sorted(printed.items(), key=lambda held: (-len(_roots(held[1])), held[0])):
        roots = _roots(rows)
        count = sum(len(s.names) for s in found)
        if count >= STARTERS_MOST or (count > 1 and len(roots) < ROOTS_LEAST):
            break
        ingredient = library.ingredients.get(key) or library.known(key)
        if ingredient is None or any(ingredient.common_name in s.names for s in found):
            continue
        found.append(_of_print(ingredient, rows, kind, library))
    if not found:
        return StarterSet(kind.name, (), f"{kind.reason} No emulsifier is printed for it.")
    every = {r for rows in printed.values() for r in _roots(rows)}
    return StarterSet(
        kind.name,
        tuple(found),
        f"What {len(every)} independent authors print for {_plural(kind.name)} with emulsifiers that the "
        "tables know, the plain pair or the usual one first. A start, no verdict.",
    )


def _plural(name: str) -> str:
    return f"{name}s" if not name.endswith(("butter",)) else name


def _roots(rows: list[DoseRow]) -> set[str]:
    return {row.root for row in rows}


def _printed(kind: ProductType, library: Library) -> dict[str, list[DoseRow]]:
    """The printed rows of a type by the emulsifier that they use; those the tables do not know left out."""
    held: dict[str, list[DoseRow]] = {}
    for row in dose_rows():
        for name in row.uses if row.product_type == kind.name else ():
            found = library.known(name)
            if found is not None:
                held.setdefault(found.id, []).append(row)
    return held


def _first(kind: ProductType, printed: dict[str, list[DoseRow]], library: Library) -> list[Starter]:
    """The usual one of the type, or the plain pair where HLB judges."""
    if kind.alone:
        usual = library.known(kind.alone)
        if usual is None:
            return []
        roots = len(_roots(printed.get(usual.id, [])))
        return [Starter((usual.common_name,), f"Usual alone: {kind.alone_reason}.", kind.alone_source, roots)]
    if kind.role != "governs":
        return []
    asked = sorted(
        e.value
        for i in library.oils
        if i.kind in MIDDLE_OILS and (e := i.required_hlb(kind.phase_emulsion)) is not None
    )
    if not asked:
        return []
    middle = asked[len(asked) // 2]
    try:
        choice = choose_emulsifiers(middle, kind, library=library)
    except HlbError:
        return []
    if len(choice.names) != 2:
        return []
    low, high = (library.emulsifier(n).hlb for n in choice.names)
    assert low is not None
    assert high is not None
    every = [e.value for i in library.oils if (e := i.required_hlb(kind.phase_emulsion)) is not None]
    reached = sum(low.value <= v <= high.value for v in every)
    why = (
        f"Weighed apart, the two meet any HLB from {low.value:.1f} to {high.value:.1f}: what {reached} of "
        f"the {len(every)} oils, butters and waxes of the tables require; {choice.reason}."
    )
    return [Starter(choice.names, why, "readings of the tables; default choice, our convention")]


def _of_print(ingredient: Ingredient, rows: list[DoseRow], kind: ProductType, library: Library) -> Starter:
    roots = _roots(rows)
    name = ingredient.common_name
    line = counted(Line(name, counts="emulsifier"), library, kind.phase_emulsion, pct=0.0)
    rate = rate_of(line, library, Around())
    stated = rate.low is not None or rate.high is not None
    says = rate.text if stated and not rate.once and not kind.anhydrous else ""
    authors = f"{len(roots)} independent author{'s' if len(roots) > 1 else ''}"
    why = f"Printed by {authors} for {_plural(kind.name)}"
    why += f"; its {rate.who} says {says}." if says else "."
    sources = ", ".join(dict.fromkeys(row.source for row in rows))
    return Starter((name,), why, sources, len(roots), says)
