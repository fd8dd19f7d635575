"""Own ingredients and own readings as text, for files and for the store."""

from __future__ import annotations

from dataclasses import asdict

from hlbcore._numbers import checked, read_range
from hlbcore.errors import clipped
from hlbcore.estimate import HLB_MAX
from hlbcore.library import Library
from hlbcore.own_items import OwnIngredient, OwnReading
from hlbcore.quantities import COLD_C, HOT_C, TEMPERATURE, read_quantity
from hlbcore.saved_text import made, opened, saved
from hlbcore.sheets import Own, OwnSheet

VERSION = 1
_SCHEMAS: dict[str, type[OwnReading] | type[OwnIngredient] | type[OwnSheet]] = {
    "hlbcore own reading": OwnReading,
    "hlbcore own ingredient": OwnIngredient,
    "hlbcore own sheet": OwnSheet,
}


def own_to_json(item: Own) -> str:
    """An own ingredient, reading or sheet as text, with a schema version.

    Parameters
    ----------
    item : OwnReading, OwnIngredient or OwnSheet
        What the user entered.

    Returns
    -------
    str
        JSON in one line.

    Examples
    --------
    >>> from hlbcore import OwnIngredient
    >>> own_to_json(OwnIngredient("meadow butter", "butter"))[:40]
    '{"schema": "hlbcore own ingredient", "ve'
    """
    schema = next(name for name, kind in _SCHEMAS.items() if type(item) is kind)
    return saved(schema, VERSION, asdict(item))


def own_from_json(text: str) -> Own:
    """The own ingredient, reading or sheet that a text of this tool holds.

    Parameters
    ----------
    text : str
        JSON; fields that are missing take their default.

    Returns
    -------
    OwnReading, OwnIngredient or OwnSheet
        Equal to the one that was written.

    Raises
    ------
    InvalidInput
        For any other text: odd fields, words for numbers, a newer version.

    Examples
    --------
    >>> from hlbcore import OwnReading
    >>> own = OwnReading("shea butter", 9.0, on="2026-03-01")
    >>> own_from_json(own_to_json(own)) == own
    True
    """
    with opened(text, _SCHEMAS, VERSION, "own item") as (schema, _, raw):
        return made(_SCHEMAS[schema], raw)


def own_items(
    name: str,
    *,
    quantity: str = "required HLB",
    value: str = "",
    emulsion: str = "o/w",
    kind: str = "oil",
    inci: str = "",
    pair: str = "",
    method: str = "",
    on: str = "",
    dose_pct: str = "",
    temperature_c: str = "",
) -> tuple[OwnReading | OwnIngredient, ...]:
    """An ingredient and a figure of the user's own, as typed.

    Parameters
    ----------
    name : str
        The ingredient.
    quantity : str
        ``"required HLB"`` or ``"HLB"``.
    value : str
        A number or a range, whose middle then counts; blank for an ingredient alone. [HLB]
    emulsion, kind, inci, pair, method, on, dose_pct, temperature_c : str
        As for `OwnReading` and `OwnIngredient`; blank where not known. [% of formula, °C or with its unit]

    Returns
    -------
    tuple of OwnReading or OwnIngredient
        To be laid over the tables.

    Raises
    ------
    InvalidInput
        For a text that cannot be used; it names the field.

    Examples
    --------
    >>> [item.value for item in own_items("shea butter", value="8 to 10")]
    [9.0]
    """
    item = f"own figure of '{clipped(name)}'"

    def number(text: str, what: str, unit: str) -> float | None:
        return checked(text, f"{item}, {what}", unit=unit) if text.strip() else None

    def heat(text: str) -> float | None:
        of = f"{item}, temperature"
        return read_quantity(text, of, TEMPERATURE, low=COLD_C, high=HOT_C) if text.strip() else None

    items: list[OwnReading | OwnIngredient] = []
    if inci.strip() or not value.strip():
        items.append(OwnIngredient(name, kind, inci.strip()))
    if value.strip():
        low, high = (
            checked(end, f"{item}, figure", low=0, high=HLB_MAX)
            for end in read_range(value, f"{item}, figure", "HLB")
        )
        one = low == high
        items.append(
            OwnReading(
                name,
                (low + high) / 2,
                None if one else low,
                None if one else high,
                quantity,
                emulsion,
                kind=kind,
                pair=pair,
                method=method,
                on=on,
                dose_pct=number(dose_pct, "dose", "%"),
                temperature_c=heat(temperature_c),
            )
        )
    return tuple(items)


def own_in_words(item: Own) -> str:
    """An own ingredient, figure or sheet in a few words.

    Parameters
    ----------
    item : OwnReading, OwnIngredient or OwnSheet
        What the user entered.

    Returns
    -------
    str
        What it is, with its figure.

    Examples
    --------
    >>> from hlbcore import OwnReading
    >>> own_in_words(OwnReading("shea butter", 9.0, on="2026-03-01"))
    'required HLB o/w 9.0 (8.5 to 9.5), 2026-03-01'
    """
    if isinstance(item, OwnIngredient):
        return ", ".join(part for part in (item.kind, item.inci, item.note) if part)
    if isinstance(item, OwnSheet):
        return ", ".join(part for part in (f"supplier's sheet: {item.text}", item.inci, item.on) if part)
    reading = item.reading
    what = item.quantity if item.quantity == "HLB" else f"{item.quantity} {item.emulsion}"
    span = f"{what} {reading.value:.1f} ({reading.low:.1f} to {reading.high:.1f})"
    return ", ".join(part for part in (span, reading.note, reading.where) if part)


def sheet_that_fits(sheet: OwnSheet, library: Library) -> OwnSheet:
    """The sheet itself, where it can be one of an emulsifier.

    Parameters
    ----------
    sheet : OwnSheet
        What the user entered.
    library : Library
        The tables.

    Returns
    -------
    OwnSheet
        As given.

    Raises
    ------
    UnknownIngredient
        If the tables know the name and it is no emulsifier.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> sheet_that_fits(OwnSheet("polysorbate 60", 1, 3), load_library()).name
    'polysorbate 60'
    """
    if library.known(sheet.name) is not None:
        library.emulsifier(sheet.name)  # says what it is instead
    return sheet
