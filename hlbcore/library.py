"""The tables as one object: look-up by any name, class ranges, the user's own figures on top."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from types import MappingProxyType

from hlbcore._class_tables import read_classes, read_rates
from hlbcore._numbers import checked_word
from hlbcore._tables import read_labels, read_tables
from hlbcore.classes import CLASS_LEAST, ClassRange, figures_of, spread_of
from hlbcore.errors import TableError, UnknownIngredient
from hlbcore.estimate import Estimate
from hlbcore.folders import data_folder
from hlbcore.ingredients import EMULSIONS, Ingredient, fold
from hlbcore.lookup import NameBook, index_of
from hlbcore.overlay import in_order, overlaid, with_sheets
from hlbcore.ready import ReadyEmulsifier
from hlbcore.sheets import Own, OwnSheet
from hlbcore.sources import Source

OIL_SIDE = ("oil", "oil_or_emulsifier", "emulsifier_or_oil")
EMULSIFIER_SIDE = ("emulsifier", "oil_or_emulsifier", "emulsifier_or_oil", "all_in_one")

OVERLAYS_HELD = 64
"""Libraries with own items that are held ready: a class with a workspace each. [-]
Our convention."""


@dataclass(frozen=True, slots=True)
class Library:
    """All ingredients and sources; immutable, so that many sessions can share one.

    Parameters
    ----------
    ingredients : mapping of str to Ingredient
        By id, in rising order of id.
    sources : mapping of str to Source
        By key.
    digest : str
        Changes when any figure changes; saved results carry it.
    names : mapping of str to str
        Id by folded name.
    labels : mapping of str to str
        INCI name for the label by folded alias, where it is not the ingredient's own.
    classes : tuple of ClassRange
        First ranges of what has no figure.
    rates : tuple of ReadyEmulsifier
        What suppliers say of ready emulsifiers.
    faults : tuple of TableError
        Rows of the tables that were left out, and why.
    sheets : mapping of str to OwnSheet
        Suppliers' sheets of the user's own, by id of the emulsifier.
    """

    ingredients: Mapping[str, Ingredient]
    sources: Mapping[str, Source]
    digest: str
    names: Mapping[str, str] = field(repr=False, default_factory=dict)
    labels: Mapping[str, str] = field(repr=False, default_factory=dict)
    classes: tuple[ClassRange, ...] = field(repr=False, default=())
    rates: tuple[ReadyEmulsifier, ...] = field(repr=False, default=())
    faults: tuple[TableError, ...] = ()
    sheets: Mapping[str, OwnSheet] = field(repr=False, default_factory=dict)
    _book: NameBook = field(repr=False, init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_book", NameBook(self.ingredients, self.names, self.labels))

    def __hash__(self) -> int:
        return hash(self.digest)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Library) and other.digest == self.digest

    def __repr__(self) -> str:
        return f"Library of {len(self.ingredients)} ingredients, tables {self.digest}"

    def __iter__(self) -> Iterator[Ingredient]:
        return iter(self.ingredients.values())

    def key(self, name: str) -> str:
        """The id of the ingredient with that name, or the folded name where nobody knows it.

        Two names of one thing give the same key.

        Examples
        --------
        >>> load_library().key("Karité butter")
        'shea_butter'
        """
        found = self._book.known(name)
        return found.id if found else fold(name)

    def near(self, name: str, among: Iterable[Ingredient] | None = None) -> tuple[str, ...]:
        """At most three common names, of all or of those given, that look like one that nobody knows.

        Examples
        --------
        >>> load_library().near("shea buter")[0]
        'shea butter'
        """
        return self._book.near(name, self if among is None else among)

    def find(self, name: str) -> Ingredient:
        """The ingredient with that id, INCI name, common name or alias.

        Parameters
        ----------
        name : str
            Case, spacing and punctuation are free.

        Returns
        -------
        Ingredient
            The one ingredient of that name. A label name typed stays its INCI name; a strength in
            the name becomes `active_pct`; a blend of known parts has `parts`; a name that only
            tells its kind gives an ingredient of that kind without figures (`by_kind`).

        Raises
        ------
        UnknownIngredient
            With close matches.

        Examples
        --------
        >>> load_library().find("Karité butter").common_name
        'shea butter'
        >>> load_library().find("lactic acid 80 %").active_pct
        80.0
        """
        if (found := self.known(name)) is None:
            raise UnknownIngredient(name, self._book.near(name, self))
        return found

    def known(self, name: str) -> Ingredient | None:
        """The ingredient that `find` gives; None where nobody knows the name, close ones left aside.

        Examples
        --------
        >>> load_library().known("zork guard") is None
        True
        """
        return self._book.known(name)

    def oil(self, name: str) -> Ingredient:
        """The ingredient that `find` gives, on the oil side: with `required_hlb`.

        Raises
        ------
        UnknownIngredient
            If nobody knows it, or if it does not stand in the oil phase.

        Examples
        --------
        >>> load_library().oil("cocoa butter").required_hlb().value
        6.0
        """
        return self._on_side(name, OIL_SIDE, "oil-phase ingredient")

    def emulsifier(self, name: str) -> Ingredient:
        """The ingredient that `find` gives, on the emulsifier side: with `hlb`.

        Raises
        ------
        UnknownIngredient
            If nobody knows it, or if it is no emulsifier.

        Examples
        --------
        >>> load_library().emulsifier("polysorbate 80").hlb.value
        15.0
        """
        return self._on_side(name, EMULSIFIER_SIDE, "emulsifier")

    def _on_side(self, name: str, side: tuple[str, ...], what: str) -> Ingredient:
        try:
            found = self.find(name)
        except UnknownIngredient:
            raise UnknownIngredient(
                name, self.near(name, (i for i in self if i.convention in side))
            ) from None
        if found.convention not in side:
            other = {
                "oil": "an oil-phase ingredient; oils and waxes never emulsify by themselves",
                "emulsifier": "an emulsifier; its HLB is no required HLB",
                "all_in_one": "an all-in-one emulsifying wax",
                "base": "a base that neutralises fatty acids",
            }.get(found.convention, f"of kind {found.kind}")
            raise UnknownIngredient(name, (), f"is no {what}: it is {other}.")
        return found

    def cite(self, text: str) -> str:
        """A text, such as the rule of a finding, with every source key in it written out as its citation.

        Examples
        --------
        >>> "Pasquali" in load_library().cite("rule of pasquali_2008")
        True
        """
        return re.sub(r"\w+", lambda w: s.citation if (s := self.sources.get(w[0])) else w[0], text)

    @property
    def oils(self) -> tuple[Ingredient, ...]:
        """Every ingredient that can stand in the oil phase."""
        return tuple(i for i in self if i.convention in OIL_SIDE)

    @property
    def emulsifiers(self) -> tuple[Ingredient, ...]:
        """Every ingredient that can stand among the emulsifiers."""
        return tuple(i for i in self if i.convention in EMULSIFIER_SIDE)

    def class_of(self, what: Ingredient | str, emulsion: str = "o/w") -> ClassRange | None:
        """The class that the table of classes puts an ingredient or a kind in, or the name of one.

        The class of the ingredient itself comes before that of its kind.

        Examples
        --------
        >>> load_library().class_of("murumuru butter").name
        'lauric fat'
        """
        word = checked_word(emulsion, EMULSIONS, "emulsion")
        kind, key = self._kind_and_id(what)
        held = [c for c in self.classes if c.emulsion == word]
        return next((c for c in held if key in c.ids), next((c for c in held if kind in c.kinds), None))

    def class_estimate(self, what: Ingredient | str, emulsion: str = "o/w") -> Estimate | None:
        """The first range of an ingredient without a figure, or of a kind.

        Parameters
        ----------
        what : Ingredient or str
            An ingredient; or the name of one, or of a kind.
        emulsion : str
            ``"o/w"`` or ``"w/o"``; a w/o range is never filled from o/w.

        Returns
        -------
        Estimate or None
            That of its class, else the spread of its kind, graded ``class range``: for the start of a
            bench ladder and never for "outside"; weak where sources contradict each other. None where
            there is no class and fewer than three of the kind have a figure: `hlbcore.estimate.bounded`
            holds the bounds of what nobody knows. [HLB]

        Examples
        --------
        >>> lib = load_library()
        >>> lib.class_estimate("argan oil"), lib.class_estimate("dicaprylyl ether") is None
        (7.0 (5.0 to 9.0; 7 independent roots (7 pages)), True)
        """
        if (listed := self.class_of(what, emulsion)) is not None:
            return listed.estimate
        figures = figures_of(self.oils, self._kind_and_id(what)[0], emulsion)
        return spread_of(figures) if len(figures) >= CLASS_LEAST else None

    def _kind_and_id(self, what: Ingredient | str) -> tuple[str, str]:
        found = what if isinstance(what, Ingredient) else self._book.known(what)
        return (str(what), str(what)) if found is None else (found.kind, found.id)

    def parts_of(self, name: str) -> tuple[str, ...]:
        """The parts of a blend, by common name where the tables know them; empty for a single material.

        Between parts stand "(and)", commas, plus signs or slashes.

        Examples
        --------
        >>> load_library().parts_of("Ceteareth-20 + Cetearyl Alcohol")
        ('ceteareth-20', 'cetearyl alcohol')
        """
        return self._book.parts_of(name)

    def ready_rows(self, name: str) -> tuple[ReadyEmulsifier, ...]:
        """All that suppliers and printed formulas say of a composition; empty where nothing is known.

        Its name is its bench name, or its parts in any order. Stated ranges come first, the maker's own
        sheet before shops.
        """
        key, parts = {self.key(name)}, self._book.folded(self.parts_of(name) or (name,))
        held = [
            r for r in self.rates if fold(r.name) == fold(name) or self._book.folded(r.parts) in (parts, key)
        ]

        def rank(row: ReadyEmulsifier) -> tuple[bool, bool, bool, bool]:
            makers = re.search(r"\[(?:manufacturer|maker)", self.sources[row.source].title) is not None
            return not row.has_rate, row.high_pct is None, row.by_hand, not makers

        return tuple(sorted(held, key=rank))

    def sheet(self, name: str) -> OwnSheet | None:
        """The supplier's sheet of the user's own for an emulsifier, the last one that was typed.

        Examples
        --------
        >>> mine = load_library(overlay=[OwnSheet("polysorbate 60", 1, 3)])
        >>> mine.sheet("Polysorbate-60").text
        '1 to 3 % of the formula'
        """
        return self.sheets.get(self.key(name)) if self.sheets else None

    def ready(self, name: str) -> ReadyEmulsifier | None:
        """What its supplier says of a ready emulsifier: the first of `ready_rows`.

        None where no row of its own exists; `parts_of` then takes it apart.

        Examples
        --------
        >>> load_library().ready("PEG-100 Stearate, Glyceryl Stearate").rate
        '1 to 25 % of the formula'
        """
        rows = self.ready_rows(name)
        return rows[0] if rows else None


def _library(
    ingredients: Iterable[Ingredient],
    sources: Mapping[str, Source],
    digest: str,
    faults: tuple[TableError, ...] = (),
) -> Library:
    ordered = {i.id: i for i in sorted(ingredients, key=lambda i: i.id)}
    return Library(
        MappingProxyType(ordered),
        MappingProxyType(dict(sources)),
        digest,
        MappingProxyType(index_of(ordered.values())),
        faults=faults,
    )


def _with_own(library: Library, *overlay: Own) -> Library:
    """The library with own ingredients, then own readings, then suppliers' sheets, laid over it."""
    ingredients, names = overlaid(library.ingredients, library.names, overlay)
    digest = hashlib.sha256(f"{library.digest}{in_order(overlay)}".encode()).hexdigest()[:16]
    mine = replace(
        library,
        ingredients=MappingProxyType(dict(sorted(ingredients.items()))),
        digest=digest,
        names=MappingProxyType(names),
    )
    kept = [x for x in overlay if isinstance(x, OwnSheet)]
    if not kept:
        return mine
    ingredients, names, sheets = with_sheets(ingredients, names, kept, mine.known)
    return replace(
        mine,
        ingredients=MappingProxyType(dict(sorted(ingredients.items()))),
        names=MappingProxyType(names),
        sheets=MappingProxyType(sheets),
    )


@cache
def _built_in() -> Library:
    folder = data_folder()
    library = _library(*read_tables(folder))
    return replace(
        library,
        labels=MappingProxyType({fold(a): inci for a, inci in read_labels(folder).items()}),
        classes=read_classes(folder, library.sources),
        rates=read_rates(folder, library.sources),
    )


@lru_cache(maxsize=OVERLAYS_HELD)
def _laid_over(overlay: tuple[Own, ...]) -> Library:
    return _with_own(_built_in(), *overlay)


def load_library(overlay: Iterable[Own] = ()) -> Library:
    """The built-in tables, with the user's own ingredients and readings laid over them.

    Parameters
    ----------
    overlay : iterable of OwnReading, OwnIngredient and OwnSheet
        In any order. A reading leads over the tables, the last one first; the tables' readings
        stay visible beside it. An own ingredient whose name is known adds only what is blank.

    Returns
    -------
    Library
        Immutable; the same overlay gives the same object while it is held ready.

    Examples
    --------
    >>> load_library().emulsifier("polysorbate 80").hlb.value
    15.0
    """
    items = tuple(overlay)
    return _laid_over(items) if items else _built_in()
