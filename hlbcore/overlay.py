"""The user's own ingredients and readings, laid over those of the tables."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from hlbcore.ingredients import KINDS, Ingredient, fold
from hlbcore.own_items import OwnIngredient, OwnReading
from hlbcore.sheets import Own, OwnSheet


def in_order(overlay: Iterable[Own]) -> str:
    """What is laid over, as a text that changes with it: ingredients first, then readings.

    Parameters
    ----------
    overlay : iterable of OwnReading, OwnIngredient and OwnSheet
        In any order.

    Returns
    -------
    str
        For the digest of a library.
    """
    items = tuple(overlay)
    added = [x for x in items if isinstance(x, OwnIngredient)]
    sheets = [x for x in items if isinstance(x, OwnSheet)]
    return f"{added!r}{[x for x in items if isinstance(x, OwnReading)]!r}{sheets if sheets else ''!s}"


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


def with_sheets(
    held: Mapping[str, Ingredient],
    named: Mapping[str, str],
    sheets: Iterable[OwnSheet],
    known: Callable[[str], Ingredient | None],
) -> tuple[dict[str, Ingredient], dict[str, str], dict[str, OwnSheet]]:
    """Ingredients and names with suppliers' sheets, and the sheets by id.

    Parameters
    ----------
    held : mapping of str to Ingredient
        Ingredients by id.
    named : mapping of str to str
        Id by folded name.
    sheets : iterable of OwnSheet
        The last one of an emulsifier holds.
    known : callable
        The ingredient that a name means, or None.

    Returns
    -------
    tuple
        Ingredients by id, ids by folded name, sheets by id. An HLB on a sheet is a reading of the
        user's own.
    """
    ingredients, names, kept = dict(held), dict(named), {}
    for sheet in sheets:
        key = names.get(fold(sheet.name))
        found = ingredients[key] if key is not None else known(sheet.name)
        if found is not None:
            found = ingredients.get(found.id, found)  # a strength in the name belongs to a line
        else:
            found = Ingredient(
                _own_id(sheet.name),
                sheet.inci,
                sheet.name,
                "emulsifier",
                convention=KINDS["emulsifier"],
                system="other",
            )
        if sheet.reading is not None and found.convention not in ("oil", "outside", "base"):
            found = replace(found, hlb_readings=(sheet.reading, *found.hlb_readings))
        names.setdefault(fold(sheet.name), found.id)
        ingredients[found.id] = replace(found, by_kind=False)
        kept[found.id] = sheet
    return ingredients, names, kept
