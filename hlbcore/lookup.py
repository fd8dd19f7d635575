"""Which ingredient a name means: lists first, then what the name itself says, then close matches."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace

from hlbcore.ingredients import NAME_MAX, Ingredient, fold
from hlbcore.names import close, read_name, split_parts

NAMES_HELD = 2_000
"""Names outside the lists whose meaning, and whose close matches, are remembered. [-]
Our convention."""

NEAR_MOST = 3
"""Close matches that are named. [-] Our convention."""


def index_of(ingredients: Collection[Ingredient]) -> dict[str, str]:
    """Id by folded name; ids win over aliases, these over common names, these over INCI names."""
    names: dict[str, str] = {}
    for pick in (lambda i: (i.id,), lambda i: i.aliases, lambda i: (i.common_name,), lambda i: (i.inci,)):
        for ingredient in ingredients:
            for name in filter(None, pick(ingredient)):
                names.setdefault(fold(name), ingredient.id)
    return names


@dataclass(frozen=True, slots=True)
class NameBook:
    """The names of a set of ingredients.

    Parameters
    ----------
    ingredients : mapping of str to Ingredient
        By id.
    names : mapping of str to str
        Id by folded name.
    labels : mapping of str to str
        INCI name for the label by folded alias, where it is not the ingredient's own.
    """

    ingredients: Mapping[str, Ingredient]
    names: Mapping[str, str]
    labels: Mapping[str, str]
    _read: dict[str, Ingredient | None] = field(repr=False, init=False, default_factory=dict)
    _sets: dict[frozenset[str], str] = field(repr=False, init=False, default_factory=dict)
    _near: dict[frozenset[str], dict[str, tuple[str, ...]]] = field(
        repr=False, init=False, default_factory=dict
    )

    def exact(self, name: str) -> Ingredient | None:
        """The ingredient that a list of names holds, under the label name that was asked for."""
        key = fold(name)
        if key not in self.names:
            return None
        found = self.ingredients[self.names[key]]
        return replace(found, inci=self.labels[key]) if key in self.labels else found

    def known(self, name: str) -> Ingredient | None:
        """The ingredient that a name means, by the lists or by what it says itself; or None."""
        if (found := self.exact(name)) is not None:
            return found
        if name not in self._read:  # a page asks for the same names again and again
            if len(self._read) >= NAMES_HELD:
                self._read.clear()
            self._read[name] = self._same_parts(name) or read_name(name, self.exact, tuple(self.ingredients))
        return self._read[name]

    def parts_of(self, name: str) -> tuple[str, ...]:
        """The parts of a blend, by common name where they are known; empty for a single material."""
        found = self.known(name)
        listed = found.parts if found is not None else ()
        if not listed:
            texts = [name] if found is None else [name, found.inci, found.common_name, *found.aliases]
            listed = next((p for t in texts if len(p := split_parts(t)) > 1), ())
        return tuple(i.common_name if (i := self.known(p)) is not None else p for p in listed)

    def folded(self, parts: Iterable[str]) -> frozenset[str]:
        """Parts as a set that two ways of writing one blend share."""
        return frozenset(self.names.get(fold(p), fold(p)) for p in parts)

    def near(self, name: str, among: Iterable[Ingredient]) -> tuple[str, ...]:
        """At most three common names that look like the one given."""
        key = fold(name)
        if not key or len(key) > NAME_MAX:
            return ()
        ids = frozenset(i.id for i in among)
        held = self._near.setdefault(ids, {})
        if key in held:
            return held[key]
        if len(held) >= NAMES_HELD:
            held.clear()
        keys = {k: i for k, i in self.names.items() if i in ids}
        likest = close(key, keys)
        if len(key) >= 5:
            likest += sorted((k for k in keys if key in k), key=lambda k: (len(k), k))[:NEAR_MOST]
        found = dict.fromkeys(self.ingredients[keys[k]].common_name for k in likest)
        held[key] = tuple(found)[:NEAR_MOST]
        return held[key]

    def _same_parts(self, name: str) -> Ingredient | None:
        """The ingredient whose name lists the same parts in another order or with other signs between."""
        parts = split_parts(name) if len(name) <= NAME_MAX else ()
        if len(parts) < 2:
            return None
        if not self._sets:
            for ingredient in self.ingredients.values():
                for own in (ingredient.inci, ingredient.common_name, *ingredient.aliases):
                    if len(listed := split_parts(own)) > 1:
                        self._sets.setdefault(self.folded(listed), ingredient.id)
        found = self._sets.get(self.folded(parts))
        return self.ingredients[found] if found else None
