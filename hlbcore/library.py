"""The tables as one object: look-up by any name, class ranges, the user's own figures on top."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from functools import cache, lru_cache
from pathlib import Path
from types import MappingProxyType

from hlbcore._tables import read_tables
from hlbcore.errors import MissingValue, TableError, UnknownIngredient
from hlbcore.estimate import Estimate
from hlbcore.ingredients import NAME_MAX, Ingredient, OwnIngredient, OwnReading, Source, fold

OIL_SIDE = ("oil", "oil_or_emulsifier", "emulsifier_or_oil")
EMULSIFIER_SIDE = ("emulsifier", "oil_or_emulsifier", "emulsifier_or_oil", "all_in_one")

CLASS_LEAST = 3
"""Ingredients of a kind with a figure that a class range needs. [-] Our convention."""

NEAR_HELD = 2_000
"""Unknown names whose close matches are remembered. [-] Our convention."""

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
    faults : tuple of TableError
        Rows of the tables that were left out, and why.
    """

    ingredients: Mapping[str, Ingredient]
    sources: Mapping[str, Source]
    digest: str
    names: Mapping[str, str] = field(repr=False, default_factory=dict)
    faults: tuple[TableError, ...] = ()
    _near: dict[frozenset[str], dict[str, tuple[str, ...]]] = field(
        repr=False, init=False, default_factory=dict
    )

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
        return self.names.get(fold(name), fold(name))

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
        return self._close(fold(name), self if among is None else among)

    def find(self, name: str) -> Ingredient:
        """The ingredient with that id, INCI name, common name or alias.

        Parameters
        ----------
        name : str
            Case, spacing and punctuation are free.

        Returns
        -------
        Ingredient
            The one ingredient of that name.

        Raises
        ------
        UnknownIngredient
            With close matches.

        Examples
        --------
        >>> load_library().find("Karité butter").common_name
        'shea butter'
        """
        key = fold(name)
        if key not in self.names:
            raise UnknownIngredient(name, self._close(key, self))
        return self.ingredients[self.names[key]]

    def _close(self, key: str, among: Iterable[Ingredient]) -> tuple[str, ...]:
        if not key or len(key) > NAME_MAX:
            return ()
        ids = frozenset(i.id for i in among)
        held = self._near.setdefault(ids, {})
        if key in held:  # a page asks for the same unknown names again and again
            return held[key]
        if len(held) >= NEAR_HELD:
            held.clear()
        keys = {k: i for k, i in self.names.items() if i in ids}
        near = get_close_matches(key, keys, n=8, cutoff=0.7)
        if len(key) >= 4:
            near += sorted((k for k in keys if key in k), key=lambda k: (len(k), k))[:3]
        found = dict.fromkeys(self.ingredients[keys[k]].common_name for k in near)
        held[key] = tuple(found)[:3]
        return held[key]

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

    def has_class_range(self, kind: str, emulsion: str = "o/w") -> bool:
        """Whether enough ingredients of a kind have a figure.

        Parameters
        ----------
        kind : str
            For example ``"butter"``.
        emulsion : str
            ``"o/w"`` or ``"w/o"``.

        Returns
        -------
        bool
            Whether `class_range` has an answer.
        """
        try:
            self.class_range(kind, emulsion)
        except MissingValue:
            return False
        return True

    def class_range(self, kind: str, emulsion: str = "o/w") -> tuple[Estimate, int]:
        """The spread of required HLB among all ingredients of a kind.

        Parameters
        ----------
        kind : str
            For example ``"butter"``; fragrance takes the range of the essential oils.
        emulsion : str
            ``"o/w"`` or ``"w/o"``.

        Returns
        -------
        tuple of Estimate and int
            Median, lowest and highest figure of the kind [HLB], and how many ingredients
            it rests on [-].

        Raises
        ------
        MissingValue
            If fewer than three ingredients of the kind have a figure.

        Examples
        --------
        >>> spread, count = load_library().class_range("butter")
        >>> spread.low <= spread.value <= spread.high
        True
        """
        wanted = "essential oil" if kind == "fragrance" else kind
        held = [
            e
            for i in self
            if i.kind == wanted and i.convention in OIL_SIDE and (e := i.required_hlb(emulsion)) is not None
        ]
        if len(held) < CLASS_LEAST:
            raise MissingValue(
                [wanted],
                f"{emulsion} class range",
                f"Only {len(held)} of its kind have a figure; give a value or a range of your own.",
            )
        values = sorted(e.value for e in held)
        middle = len(values) // 2
        median = values[middle] if len(values) % 2 else (values[middle - 1] + values[middle]) / 2
        spread = Estimate(median, min(e.low for e in held), max(e.high for e in held), grade="class range")
        return spread, len(held)


def data_folder() -> Path:
    """The folder of the tables: the packed copy of an installed wheel, else the checkout's.

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
    for folder in (here / "data", here.parent / "data"):
        if (folder / "ingredients.csv").is_file():
            return folder
    raise FileNotFoundError(f"No tables beside {here}: install the package again.")


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
        MappingProxyType(ordered), MappingProxyType(dict(sources)), digest, MappingProxyType(names), faults
    )


def _own_id(name: str) -> str:
    return f"own_{fold(name)}"


def _with_own(library: Library, *overlay: OwnReading | OwnIngredient) -> Library:
    """The library with own ingredients, then own readings, laid over it."""
    ingredients, names = dict(library.ingredients), dict(library.names)
    added = [x for x in overlay if isinstance(x, OwnIngredient)]
    readings = [x for x in overlay if isinstance(x, OwnReading)]
    for own in added:
        names.setdefault(fold(own.name), _own_id(own.name))
    for own in added:
        key = names[fold(own.name)]
        before = ingredients.get(key) or Ingredient(key, "", own.name, own.kind, convention=own.convention)
        # names that anybody has already stay theirs
        new = tuple(a for a in own.aliases if names.setdefault(fold(a), key) == key)
        ingredients[key] = replace(
            before,
            inci=before.inci or own.inci,
            note=before.note or own.note,
            aliases=tuple(dict.fromkeys((*before.aliases, *new))),
        )
    for mine in readings:
        key = names.setdefault(fold(mine.name), _own_id(mine.name))
        if key not in ingredients:
            convention = "oil" if mine.quantity == "required HLB" else "emulsifier"
            kind = mine.kind if convention == "oil" else "emulsifier"
            ingredients[key] = Ingredient(key, "", mine.name, kind, convention=convention)
        before = ingredients[key]
        if mine.quantity == "HLB":
            after = replace(before, hlb_readings=(mine.reading, *before.hlb_readings))
        elif mine.emulsion == "o/w":
            after = replace(before, ow_readings=(mine.reading, *before.ow_readings))
        else:
            after = replace(before, wo_readings=(mine.reading, *before.wo_readings))
        ingredients[key] = after
    for key, held in ingredients.items():
        for name in (held.inci, key):
            if name:
                names.setdefault(fold(name), key)
    digest = hashlib.sha256(f"{library.digest}{added!r}{readings!r}".encode()).hexdigest()[:16]
    return Library(
        MappingProxyType(dict(sorted(ingredients.items()))),
        library.sources,
        digest,
        MappingProxyType(names),
        library.faults,
    )


@cache
def _built_in() -> Library:
    return _library(*read_tables(data_folder()))


@lru_cache(maxsize=OVERLAYS_HELD)
def _laid_over(overlay: tuple[OwnReading | OwnIngredient, ...]) -> Library:
    return _with_own(_built_in(), *overlay)


def load_library(overlay: Iterable[OwnReading | OwnIngredient] = ()) -> Library:
    """The built-in tables, with the user's own ingredients and readings laid over them.

    Parameters
    ----------
    overlay : iterable of OwnReading and OwnIngredient
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
