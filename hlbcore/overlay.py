"""The user's own ingredients and readings, laid over those of the tables."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from hlbcore.ingredients import Ingredient, OwnIngredient, OwnReading, fold

Own = OwnReading | OwnIngredient


def in_order(overlay: Iterable[Own]) -> str:
    """What is laid over, as a text that changes with it: ingredients first, then readings.

    Parameters
    ----------
    overlay : iterable of OwnReading and OwnIngredient
        In any order.

    Returns
    -------
    str
        For the digest of a library.
    """
    items = tuple(overlay)
    added = [x for x in items if isinstance(x, OwnIngredient)]
    return f"{added!r}{[x for x in items if isinstance(x, OwnReading)]!r}"


def _own_id(name: str) -> str:
    return f"own_{fold(name)}"


def overlaid(
    held: Mapping[str, Ingredient], named: Mapping[str, str], overlay: Iterable[Own]
) -> tuple[dict[str, Ingredient], dict[str, str]]:
    """Ingredients and names with the user's own items over them.

    Parameters
    ----------
    held : mapping of str to Ingredient
        Ingredients by id.
    named : mapping of str to str
        Id by folded name.
    overlay : iterable of OwnReading and OwnIngredient
        Own ingredients are laid first, then own readings, the last one on top.

    Returns
    -------
    tuple
        Ingredients by id, and ids by folded name.
    """
    overlay = tuple(overlay)
    ingredients, names = dict(held), dict(named)
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
    for key, ingredient in ingredients.items():
        for name in (ingredient.inci, key):
            if name:
                names.setdefault(fold(name), key)
    return ingredients, names
