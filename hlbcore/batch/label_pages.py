"""Label draft, cost and what to have before a sale as pages to print."""

from __future__ import annotations

import re

from hlbcore.batch.cost import Cost
from hlbcore.batch.declaration import CHECKED, Declaration
from hlbcore.batch.selling import BeforeYouSell
from hlbcore.library import Library, load_library
from hlbcore.printed import printed_page
from hlbcore.rules.safety import NOTICE
from hlbcore.units import AS_KEPT, Units

COST_REMARK = (
    "Jar: loss counted. Work, rent, fees, tests and tax are only in it where they were entered. A missing "
    "price is not 0."
)


def label_page(draft: Declaration, *, paper: str = "A4", library: Library | None = None) -> str:
    """A label draft as a page to print.

    Parameters
    ----------
    draft : Declaration
        Any.
    paper : str
        ``A4`` or ``Letter``.
    library : Library, optional
        Writes out the sources; the built-in tables if left out.

    Returns
    -------
    str
        HTML; everything typed by a user is escaped. What is open stands at its top.

    Examples
    --------
    >>> from hlbcore import declare, example_formula
    >>> "DRAFT for the EU" in label_page(declare(example_formula(), "eu"))
    True
    """
    tables = library or load_library()
    name = draft.formula.name.strip() or "Label"
    made = [
        (held.name if product is None else product, entries)
        for held in draft.lists
        for product, entries in ((None, held.entries), *held.apart)
    ]
    return printed_page(
        "label_draft.html",
        paper=paper,
        title=f"{name}: label draft",
        status=draft.status,
        open_points=draft.open_points,
        lists=[{"name": x.name, "text": x.text(draft.market)} for x in draft.lists],
        items=draft.items,
        made=made,
        notes=[tables.cite(n) for n in draft.notes],
        checked=CHECKED,
        notice=NOTICE,
    )


def selling_page(held: BeforeYouSell, *, paper: str = "A4", library: Library | None = None) -> str:
    """What to have before a sale, as a page to print and tick.

    Parameters
    ----------
    held : BeforeYouSell
        Of one market.
    paper : str
        ``A4`` or ``Letter``.
    library : Library, optional
        Writes out the sources; the built-in tables if left out.

    Returns
    -------
    str
        HTML.

    Examples
    --------
    >>> from hlbcore.batch.selling import before_you_sell
    >>> "Safety report" in selling_page(before_you_sell("eu"))
    True
    """
    tables = library or load_library()
    name = f"{held.product}: before you sell" if held.product else "Before you sell"
    return printed_page(
        "before_you_sell.html",
        paper=paper,
        title=f"{name}, {held.title}",
        stops=held.stops,
        steps=[
            {"step": s.step, "here": s.here, "section": without_keys(s.step.section, tables)}
            for s in held.steps
        ],
        cannot_know=held.cannot_know,
        notice=held.notice,
    )


def without_keys(text: str, library: Library) -> str:
    """A text without the keys of sources in brackets: the law itself stands before them."""
    return re.sub(r" \((\w+)\)", lambda m: "" if m[1] in library.sources else m[0], text)


def cost_page(held: Cost, name: str, *, paper: str = "A4", units: Units = AS_KEPT) -> str:
    """A cost as a page to print.

    Parameters
    ----------
    held : Cost
        Any.
    name : str
        Name of the formula.
    paper : str
        ``A4`` or ``Letter``.
    units : Units
        How masses, temperatures and numbers are read.

    Returns
    -------
    str
        HTML; a missing price is said.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> from hlbcore.batch.cost import cost
    >>> "No price is known" in cost_page(cost(example_formula(), batch=500, jar=50), "Cream")
    True
    """

    def money(value: float | None) -> str:
        return "no price" if value is None else f"{value:,.2f}"

    rows = [
        {
            "item": x.item if x.kind == "ingredient" else f"{x.item} ({x.kind})",
            "grams": "" if x.grams is None else units.bare(f"{x.grams:.4g}", "g"),
            "per_kg": "" if x.price_per_kg is None else f"{x.price_per_kg:,.2f}",
            "cost": "" if x.kind == "per jar" else money(x.cost),
            "jar": money(held.of_jar(x)),
            "share": "" if held.share(x) is None else f"{held.share(x):.0f} %",
            "said": x.from_list,
        }
        for x in held.lines
    ]
    return printed_page(
        "cost.html",
        paper=paper,
        units=units,
        title=f"{name.strip() or 'Formula'}: cost",
        words=held.words,
        rows=rows,
        sum_name="at least" if held.missing else "sum",
        batch=held.money(held.batch_cost),
        jar=held.money(held.per_jar_with_loss),
        remark=COST_REMARK,
    )
