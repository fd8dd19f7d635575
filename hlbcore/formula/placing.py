"""Where a new line goes: phases by kind, lines of a pasted list, recipes from a file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePath

from hlbcore.errors import HlbError, InvalidInput, UnknownIngredient
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Line
from hlbcore.formula.reading import ListRow, read_list, recipe_grams
from hlbcore.ingredients import Ingredient
from hlbcore.intake.ingredients import read_rows
from hlbcore.library import Library, load_library
from hlbcore.limits import FORMULA_LINES_MOST, check_count
from hlbcore.typed import Typed

LATE = ("preservative", "fragrance", "essential oil", "antioxidant", "active")
"""Kinds that go in at the cool-down; common practice, no source."""

GRAINS = ("sugar", "salt", "powder")
"""Kinds that are stirred in as grains where there is no water; common practice, no source."""


def usual_phase(ingredient: Ingredient | None, formula: Formula, *, anhydrous: bool = False) -> str:
    """The phase that an ingredient usually goes into; blank where nobody knows it.

    Parameters
    ----------
    ingredient : Ingredient or None
        None where nobody knows the name.
    formula : Formula
        Its phases are those to choose from.
    anhydrous : bool
        Whether the product holds no water phase.

    Returns
    -------
    str
        One of the formula's phases, or blank.

    Examples
    --------
    >>> lib = load_library()
    >>> usual_phase(lib.find("sugar"), Formula(), anhydrous=True)
    'solids'
    >>> usual_phase(lib.find("glycerin"), Formula())
    'water'
    """
    if ingredient is None:
        return ""
    if ingredient.kind in LATE:
        wanted = "cool-down"
    elif ingredient.kind in GRAINS and anhydrous:
        wanted = "solids"
    elif ingredient.convention == "outside":
        wanted = "water"
    else:
        wanted = "oil"
    return wanted if wanted in formula.phases else ""


def _ingredient(name: str, library: Library) -> Ingredient | None:
    try:
        return library.find(name)
    except UnknownIngredient:
        return None


def lines_of(
    rows: tuple[ListRow, ...], formula: Formula, library: Library, *, anhydrous: bool = False
) -> tuple[Line, ...]:
    """The rows of a pasted list as lines, each in its usual phase.

    Parameters
    ----------
    rows : tuple of ListRow
        As read by `read_list`.
    formula : Formula
        Its phases are those to choose from.
    library : Library
        The tables.
    anhydrous : bool
        Whether the product holds no water phase.

    Returns
    -------
    tuple of Line
        Amounts as written; a name that nobody knows stands in the oil phase until it is said what
        it is, since there it cannot be overlooked.
    """
    held = [(r, _ingredient(r.name, library)) for r in rows]
    return tuple(
        Line(
            r.name,
            r.amount,
            phase=usual_phase(i, formula, anhydrous=anhydrous) or ("oil" if "oil" in formula.phases else ""),
        )
        for r, i in held
    )


def with_list(
    formula: Formula,
    rows: tuple[ListRow, ...],
    library: Library,
    *,
    anhydrous: bool = False,
    instead: bool = True,
) -> Formula:
    r"""The formula with the lines of a pasted list.

    Parameters
    ----------
    formula : Formula
        Type, aims and facts stay.
    rows : tuple of ListRow
        As read by `read_list`.
    library : Library
        The tables.
    anhydrous : bool
        Whether the product holds no water phase.
    instead : bool
        In place of all lines, or behind them.

    Returns
    -------
    Formula
        In place of all lines the batch follows a recipe in units of mass; portions and bought
        blends go with the lines that they belonged to.

    Raises
    ------
    InvalidInput
        If there are too many lines.

    Examples
    --------
    >>> lib = load_library()
    >>> made = with_list(Formula(), read_list("water 1 kg\nolive oil 250 g"), lib)
    >>> [x.phase for x in made.lines], made.aims.batch.text
    (['water', 'oil'], '1250 g')
    """
    lines = lines_of(rows, formula, library, anhydrous=anhydrous)
    if not instead:
        lines = (*formula.lines, *lines)
        check_count(lines, "formula, lines", FORMULA_LINES_MOST)
        return replace(formula, lines=lines)
    check_count(lines, "formula, lines", FORMULA_LINES_MOST)
    grams = recipe_grams(rows)
    aims = formula.aims if grams is None else replace(formula.aims, batch=Typed(f"{grams:g} g", grams))
    return replace(formula, lines=lines, portions=Typed(), blends=Typed(), aims=aims)


def with_names(formula: Formula, names: tuple[str, ...], library: Library) -> Formula:
    """The formula with ingredients that it does not hold yet, amounts blank, each in its usual phase.

    Parameters
    ----------
    formula : Formula
        As typed.
    names : tuple of str
        Ingredients by any of their names.
    library : Library
        The tables.

    Returns
    -------
    Formula
        New lines stand behind the others.

    Examples
    --------
    >>> made = with_names(Formula(), ("polysorbate 60",), load_library())
    >>> [(x.name, x.phase, x.amount.text) for x in made.lines]
    [('polysorbate 60', 'oil', '')]
    """
    held = {library.key(x.name) for x in formula.lines}
    rows = [ListRow(n, name, "", "") for n, name in enumerate(names) if library.key(name) not in held]
    return with_list(formula, tuple(rows), library, instead=False) if rows else formula


def read_recipe(
    data: bytes, filename: str, *, plain_unit: str = "", library: Library | None = None
) -> tuple[ListRow, ...]:
    r"""The lines of a recipe in a CSV, XLSX or text file.

    Parameters
    ----------
    data : bytes
        The file.
    filename : str
        Its name; the ending tells what it is.
    plain_unit : str
        Unit of amounts that have none, where no heading says it.

    Returns
    -------
    tuple of ListRow
        As `read_list` gives them.

    Raises
    ------
    InvalidInput
        If it cannot be read, or holds no line with a name.

    Examples
    --------
    >>> [(r.name, r.amount) for r in read_recipe(b"name;%\nolive oil;25\nwater;75\n", "r.csv")]
    [('olive oil', '25'), ('water', '75')]
    """
    library = library or load_library()
    if PurePath(filename).suffix.casefold() == ".txt":
        return read_list(data.decode("utf-8", "replace"), plain_unit=plain_unit, library=library)
    rows = read_rows(data, filename)
    lines = ["\t".join(cells) for cells in (rows.header, *rows.rows)]
    return read_list("\n".join(lines), plain_unit=plain_unit, library=library)


def read_formula_file(
    data: bytes, filename: str, product: str, library: Library | None = None
) -> Formula | tuple[ListRow, ...]:
    """A formula that this tool wrote, as JSON or CSV, or else the lines of a recipe.

    Parameters
    ----------
    data : bytes
        The file.
    filename : str
        Its name; the ending tells what it is.
    product : str
        Product type of a CSV file, which names none.

    Returns
    -------
    Formula or tuple of ListRow
        A whole formula, or lines that can go into one.

    Raises
    ------
    InvalidInput
        If it cannot be read.

    Examples
    --------
    >>> made = Formula("Balm", lines=[Line("olive oil", 100)])
    >>> read_formula_file(made.to_json().encode(), "balm.json", "o/w cream") == made
    True
    """
    ending = PurePath(filename).suffix.casefold()
    if ending == ".json":
        if "".join(data.decode("utf-8", "replace").split()) == "{}":  # only kept work holds blank pages
            raise InvalidInput("formula", "it cannot be read: it holds nothing", "Choose another file.")
        return Formula.from_json(data.decode("utf-8", "replace"))
    if ending == ".csv" and data.lstrip(b"\xef\xbb\xbf").startswith(b"phase,ingredient,pct"):
        name = PurePath(filename).stem
        try:
            return Formula.from_csv(data.decode("utf-8-sig", "replace"), name=name, product=product)
        except HlbError:
            pass  # another program's file with like headings
    return read_recipe(data, filename, library=library)
