"""The tables as one object: look-up by any name, class ranges, the user's own figures on top."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType

from hlbcore._class_tables import read_classes, read_rates
from hlbcore._numbers import checked_word
from hlbcore._tables import read_labels, read_tables
from hlbcore.classes import CLASS_LEAST, ClassRange, figures_of, spread_of
from hlbcore.errors import MissingValue, TableError, UnknownIngredient
from hlbcore.estimate import Estimate
from hlbcore.ingredients import EMULSIONS, Ingredient, Source, fold
from hlbcore.lookup import NameBook
from hlbcore.overlay import in_order, overlaid, with_sheets
from hlbcore.ready import ReadyEmulsifier
from hlbcore.sheets import Own, OwnSheet

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

        Parameters
        ----------
        name : str
            Any name.

        Returns
        -------
        str
            Equal for two names of one thing.

        Examples
        --------
        >>> load_library().key("Karité butter")
        'shea_butter'
        """
        found = self._book.known(name)
        return found.id if found else fold(name)

    def near(self, name: str, among: Iterable[Ingredient] | None = None) -> tuple[str, ...]:
        """Names that look like the one given.

        Parameters
        ----------
        name : str
            A name that nobody knows.
        among : iterable of Ingredient, optional
            Only these; all if left out.

        Returns
        -------
        tuple of str
            At most three common names.

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
        """The ingredient that `find` gives; None where nobody knows the name.

        Parameters
        ----------
        name : str
            Case, spacing and punctuation are free.

        Returns
        -------
        Ingredient or None
            Close names are not looked for.

        Examples
        --------
        >>> load_library().known("zork guard") is None
        True
        """
        return self._book.known(name)

    def oil(self, name: str) -> Ingredient:
        """The ingredient of that name on the oil side.

        Parameters
        ----------
        name : str
            Id, INCI name, common name or alias.

        Returns
        -------
        Ingredient
            With `required_hlb`.

        Raises
        ------
        UnknownIngredient
            If nobody knows it, or if it does not stand in the oil phase.
        """
        return self._on_side(name, OIL_SIDE, "oil-phase ingredient")

    def emulsifier(self, name: str) -> Ingredient:
        """The ingredient of that name on the emulsifier side.

        Parameters
        ----------
        name : str
            Id, INCI name, common name or alias.

        Returns
        -------
        Ingredient
            With `hlb`.

        Raises
        ------
        UnknownIngredient
            If nobody knows it, or if it is no emulsifier.
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
        """A text with every source key in it written out as its citation.

        Parameters
        ----------
        text : str
            For example the rule of a finding.

        Returns
        -------
        str
            For people; the keys stand in ``data/sources.csv``.

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

    def class_range(self, kind: str, emulsion: str = "o/w") -> tuple[Estimate, int]:
        """The first range of a kind: from the table of classes, else the spread in the tables.

        Parameters
        ----------
        kind : str
            For example ``"butter"``; fragrance takes the range of the essential oils.
        emulsion : str
            ``"o/w"`` or ``"w/o"``.

        Returns
        -------
        tuple of Estimate and int
            Figure to start from and range [HLB], and how many ingredients of the kind have a
            figure [-].

        Raises
        ------
        MissingValue
            If neither a class nor three ingredients of the kind have a figure.

        Examples
        --------
        >>> spread, count = load_library().class_range("butter")
        >>> spread.low <= spread.value <= spread.high
        True
        """
        wanted = "essential oil" if kind == "fragrance" else kind
        word = checked_word(emulsion, EMULSIONS, "emulsion")
        listed = next((c for c in self.classes if c.emulsion == word and wanted in c.kinds), None)
        found = figures_of(self.oils, wanted, word)
        if listed is not None:
            return listed.estimate, len(found)
        if len(found) < CLASS_LEAST:
            raise MissingValue(
                [wanted],
                f"{emulsion} class range",
                f"Only {len(found)} of its kind have a figure; give a value or a range of your own.",
            )
        return spread_of(found), len(found)

    def class_of(self, what: Ingredient | str, emulsion: str = "o/w") -> ClassRange | None:
        """The class that the table of classes puts an ingredient or a kind in.

        Parameters
        ----------
        what : Ingredient or str
            An ingredient; or the name of one, or of a kind.
        emulsion : str
            ``"o/w"`` or ``"w/o"``.

        Returns
        -------
        ClassRange or None
            The class of the ingredient itself before that of its kind.

        Examples
        --------
        >>> load_library().class_of("murumuru butter").name
        'lauric fat'
        """
        word = checked_word(emulsion, EMULSIONS, "emulsion")
        kind, key = (what.kind, what.id) if isinstance(what, Ingredient) else (what, what)
        if isinstance(what, str) and (found := self._book.known(what)) is not None:
            kind, key = found.kind, found.id
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
            Graded ``class range``, for the start of a bench ladder and never for "outside"; weak
            where sources contradict each other. None where there is no class: `hlbcore.estimate.bounded`
            holds the bounds of what nobody knows. [HLB]

        Examples
        --------
        >>> lib = load_library()
        >>> lib.class_estimate("argan oil"), lib.class_estimate("dicaprylyl ether") is None
        (7.0 (5.0 to 9.0; 7 independent roots (7 pages)), True)
        """
        if (listed := self.class_of(what, emulsion)) is not None:
            return listed.estimate
        kind = what.kind if isinstance(what, Ingredient) else what
        if isinstance(what, str) and (found := self._book.known(what)) is not None:
            kind = found.kind
        try:
            return self.class_range(kind, emulsion)[0]
        except MissingValue:
            return None

    def parts_of(self, name: str) -> tuple[str, ...]:
        """The parts of a blend, by common name where the tables know them.

        Parameters
        ----------
        name : str
            A blend: an ingredient of the tables, or parts with "(and)", commas, plus signs or
            slashes between.

        Returns
        -------
        tuple of str
            Empty for a single material.

        Examples
        --------
        >>> load_library().parts_of("Ceteareth-20 + Cetearyl Alcohol")
        ('ceteareth-20', 'cetearyl alcohol')
        """
        return self._book.parts_of(name)

    def ready_rows(self, name: str) -> tuple[ReadyEmulsifier, ...]:
        """All that suppliers and printed formulas say of a composition.

        Parameters
        ----------
        name : str
            Its bench name, or its parts in any order.

        Returns
        -------
        tuple of ReadyEmulsifier
            Stated ranges first, the maker's own sheet before shops; empty where nothing is known.
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
        """The supplier's sheet of the user's own for an emulsifier.

        Parameters
        ----------
        name : str
            Any of its names.

        Returns
        -------
        OwnSheet or None
            The last one that was typed.

        Examples
        --------
        >>> mine = load_library(overlay=[OwnSheet("polysorbate 60", 1, 3)])
        >>> mine.sheet("Polysorbate-60").text
        '1 to 3 % of the formula'
        """
        return self.sheets.get(self.key(name)) if self.sheets else None

    def ready(self, name: str) -> ReadyEmulsifier | None:
        """What its supplier says of a ready emulsifier.

        Parameters
        ----------
        name : str
            Its bench name, or its parts in any order, with "(and)", commas, plus signs or slashes.

        Returns
        -------
        ReadyEmulsifier or None
            The row with a stated range before one read off a single formula; None where no row of
            its own exists (`parts_of` then takes it apart).

        Examples
        --------
        >>> load_library().ready("PEG-100 Stearate, Glyceryl Stearate").rate
        '1 to 25 % of the formula'
        """
        rows = self.ready_rows(name)
        return rows[0] if rows else None


def packed_folder(name: str, holds: str) -> Path:
    """A folder beside the code: the packed copy of an installed wheel, else the checkout's.

    Parameters
    ----------
    name : str
        Its name.
    holds : str
        A file that stands in it.

    Returns
    -------
    Path
        An existing folder.

    Raises
    ------
    FileNotFoundError
        If neither is there.
    """
    here = Path(__file__).resolve().parent
    for folder in (here / name, here.parent / name):
        if (folder / holds).is_file():
            return folder
    raise FileNotFoundError(f"No folder {name} beside {here}: install the package again.")


def data_folder() -> Path:
    """The folder of the tables.

    Returns
    -------
    Path
        An existing folder.
    """
    return packed_folder("data", "ingredients.csv")


def _library(
    ingredients: Iterable[Ingredient],
    sources: Mapping[str, Source],
    digest: str,
    faults: tuple[TableError, ...] = (),
) -> Library:
    ordered = {i.id: i for i in sorted(ingredients, key=lambda i: i.id)}
    names: dict[str, str] = {}
    # names of one ingredient win in this order: ids, then aliases, then common names, then INCI
    for pick in (lambda i: (i.id,), lambda i: i.aliases, lambda i: (i.common_name,), lambda i: (i.inci,)):
        for ingredient in ordered.values():
            for name in pick(ingredient):
                if name:
                    names.setdefault(fold(name), ingredient.id)
    return Library(
        MappingProxyType(ordered),
        MappingProxyType(dict(sources)),
        digest,
        MappingProxyType(names),
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
