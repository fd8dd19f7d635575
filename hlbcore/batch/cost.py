"""What a batch and a jar cost: each line by the price of its pack, packaging and other cost beside it.

Cost counts what is bought: the amount of a line, blends whole. A price that is missing is named and
never taken for 0: sums are then "at least". What is lost in pot and filling makes each jar dearer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from hlbcore._numbers import checked, checked_text, checked_word, grams
from hlbcore.batch.prices import COUNT_MOST, PER, Price, PriceList
from hlbcore.blending.worked import Worked
from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.fields import read_plain
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import fold
from hlbcore.library import Library, load_library
from hlbcore.limits import check_count, check_length

NAMED_MOST = 4
"""Names of one sentence; the table has them all. [-] Our convention."""

LOSS_MOST = 99.0
"""Most that can be lost. [% of the batch] Our convention."""

COLUMNS = ("item", "kind", "pct", "grams", "price_per_kg", "cost", "per_jar", "share_pct", "from_list")
"""Columns of `Cost.table`: % of formula, g, currency/kg, currency of the batch, currency, % of the cost."""


@dataclass(frozen=True, slots=True)
class OtherCost:
    """A cost beside the ingredients: jar, lid, label, work.

    Parameters
    ----------
    name : str
        What it is.
    price : float or str, optional
        Of one; blank: it is looked up in the price list. [currency]
    per : str
        One of `PER`: how often it is counted.
    count : float or str
        How many of it each time. [-]
    """

    name: str
    price: float | str = ""
    per: str = "jar"
    count: float | str = 1

    def __post_init__(self) -> None:
        item = f"cost '{clipped(self.name)}'"
        check_length(checked_text(self.name, "cost, name"), "cost, name")
        object.__setattr__(self, "per", checked_word(self.per, PER, f"{item}, counted by"))
        object.__setattr__(self, "count", checked(self.count, f"{item}, how many", low=0, high=COUNT_MOST))
        if not (isinstance(self.price, str) and not self.price.strip()):
            object.__setattr__(self, "price", read_plain(self.price, item))


@dataclass(frozen=True, slots=True)
class CostLine:
    """One row of a cost.

    Parameters
    ----------
    item, kind : str
        What it is; ``ingredient`` or how a cost beside them is counted.
    pct, grams : float or None
        Amount. [% of formula; g]
    price_per_kg : float or None
        None where no price is known. [currency/kg]
    cost : float or None
        In the whole batch; in one jar where it is counted by the jar. [currency]
    from_list : str
        Supplier and date of the price, or where else it comes from.
    """

    item: str
    kind: str
    pct: float | None
    grams: float | None
    price_per_kg: float | None
    cost: float | None
    from_list: str = ""


@dataclass(frozen=True, slots=True)
class Cost:
    """What a batch and a jar cost.

    Parameters
    ----------
    lines : tuple of CostLine
        Ingredients in the order of the formula, then other cost.
    mass_g, jar_g : float
        The batch as weighed, and what one jar holds. [g]
    loss_pct : float
        What is lost in pot and filling. [% of the batch]
    currency : str
        As the maker writes it.
    """

    lines: tuple[CostLine, ...]
    mass_g: float
    jar_g: float
    loss_pct: float
    currency: str = ""

    @property
    def missing(self) -> tuple[str, ...]:
        """What has no price."""
        return tuple(dict.fromkeys(x.item for x in self.lines if x.cost is None))

    @property
    def priced(self) -> bool:
        """Whether anything has a price."""
        return any(x.cost is not None for x in self.lines)

    @property
    def jars(self) -> int:
        """Whole jars that come out, loss counted. [-]"""
        return math.floor(self.mass_g * (1 - self.loss_pct / 100) / self.jar_g + 1e-9)

    @property
    def batch_cost(self) -> float:
        """All that has a price, without what is counted by the jar. [currency]"""
        return math.fsum(x.cost for x in self.lines if x.cost is not None and x.kind != "per jar")

    @property
    def jar_extras(self) -> float:
        """What is counted by the jar. [currency a jar]"""
        return math.fsum(x.cost for x in self.lines if x.cost is not None and x.kind == "per jar")

    @property
    def per_jar(self) -> float:
        """One jar, nothing lost. [currency]"""
        return self.batch_cost * self.jar_g / self.mass_g + self.jar_extras

    @property
    def per_jar_with_loss(self) -> float:
        """One jar, the loss spread over what is left. [currency]"""
        return self.batch_cost * self.jar_g / (self.mass_g * (1 - self.loss_pct / 100)) + self.jar_extras

    @property
    def whole(self) -> float:
        """The batch with all its whole jars. [currency]"""
        return self.batch_cost + self.jar_extras * self.jars

    def share(self, line: CostLine) -> float | None:
        """Its part of the cost of one jar, loss counted. [% of what has a price]"""
        one = self.of_jar(line)
        return None if one is None or self.per_jar_with_loss <= 0 else 100 * one / self.per_jar_with_loss

    def of_batch(self, line: CostLine) -> float | None:
        """What it costs in the whole batch, with all whole jars. [currency]"""
        return line.cost * self.jars if line.cost is not None and line.kind == "per jar" else line.cost

    def of_jar(self, line: CostLine) -> float | None:
        """What it costs in one jar, loss counted. [currency]"""
        if line.cost is None or line.kind == "per jar":
            return line.cost
        return line.cost * self.jar_g / (self.mass_g * (1 - self.loss_pct / 100))

    def money(self, value: float) -> str:
        """An amount with two decimals and the currency; "at least" where a price is missing."""
        return f"{value:,.2f} {self.currency}".strip()

    @property
    def headline(self) -> str:
        """The cost of one jar in a few words."""
        if not self.priced:
            return "No price yet"
        at_least = "At least " if self.missing else ""
        return f"{at_least}{self.money(self.per_jar_with_loss)} a jar"

    @property
    def words(self) -> str:
        """The answer in a sentence or two."""
        if not self.priced:
            filled = f"fills {self.jars} jars of {self.jar_g:.6g} g."
            return f"The batch of {self.mass_g:.6g} g {filled}{self._unpriced}"
        at_least = "at least " if self.missing else ""
        text = f"One jar of {self.jar_g:.6g} g costs {at_least}{self.money(self.per_jar_with_loss)}"
        if self.loss_pct > 0:
            text += (
                f" with {self.loss_pct:.3g} % lost, {at_least}{self.money(self.per_jar)} with nothing lost"
            )
        text += f"; the batch of {self.mass_g:.6g} g costs {at_least}{self.money(self.batch_cost)}"
        text += f" and fills {self.jars} jars"
        text += f", {at_least}{self.money(self.whole)} with what the jars need." if self.jar_extras else "."
        return text + self._unpriced

    @property
    def _unpriced(self) -> str:
        names = self.missing
        if not names:
            return ""
        said = ", ".join(f"'{clipped(n)}'" for n in names[:NAMED_MOST])
        more = f" and {len(names) - NAMED_MOST} more" if len(names) > NAMED_MOST else ""
        return f" No price is known for {said}{more}."

    @property
    def table(self) -> pd.DataFrame:
        """A row a line; columns as in `COLUMNS`, blank where no price is known."""
        rows = [
            (
                x.item,
                x.kind,
                x.pct,
                x.grams,
                x.price_per_kg,
                self.of_batch(x),
                self.of_jar(x),
                self.share(x),
                x.from_list,
            )
            for x in self.lines
        ]
        return pd.DataFrame(rows, columns=list(COLUMNS)).astype(
            dict.fromkeys(("pct", "grams", "price_per_kg", "cost", "per_jar", "share_pct"), float)
        )


def cost(
    formula: Formula | Worked,
    prices: PriceList | None = None,
    *,
    batch: float | str,
    jar: float | str,
    loss_pct: float | str = 0.0,
    others: Sequence[OtherCost] = (),
    currency: str = "",
    library: Library | None = None,
) -> Cost:
    """What a batch and a jar of a formula cost.

    Parameters
    ----------
    formula : Formula or Worked
        Its amounts; a price typed in a line goes before that of the list. A closed record gives one as
        weighed.
    prices : PriceList, optional
        Prices of packs.
    batch : float or str
        Mass of the batch; of the base where there are portions. [g, or text with its unit]
    jar : float or str
        What one jar holds. [g, or text with its unit]
    loss_pct : float or str
        What is lost in pot and filling. [% of the batch]
    others : sequence of OtherCost
        Packaging, labels, work, beside those that stand in the price list.
    currency : str
        As it is written behind an amount; that of the list if left out.

    Returns
    -------
    Cost
        Sums are "at least" where a price is missing.

    Raises
    ------
    InvalidInput
        For a number that cannot be used, or a formula without amounts.

    Examples
    --------
    >>> from hlbcore import Formula, Line
    >>> f = Formula("Balm", "cleansing balm", [Line("olive oil", 80, price=10), Line("beeswax", 20)])
    >>> made = cost(f, batch="1 kg", jar=50, others=[OtherCost("jar", 0.4)])
    >>> round(made.per_jar, 2), made.missing
    (0.8, ('beeswax',))
    """
    held = formula.made if isinstance(formula, Worked) else formula
    tables = library or (formula.library if isinstance(formula, Worked) else load_library())
    mass, fill = grams(batch, "batch"), grams(jar, "jar")
    lost = checked(loss_pct, "loss", low=0, high=LOSS_MOST, unit="%")
    check_count(others, "other cost")
    money = currency or (prices.currency if prices else "")
    PriceList(currency=money)  # says what is wrong with it
    shares = {fold(p.name): p.share_pct / 100 for p in held.portion_list}
    lines: list[CostLine] = []
    for line, pct in zip(held.lines, held.pcts, strict=True):
        if line.blank or pct <= 0:
            continue
        part = 1.0 if line.portion is None else shares.get(fold(line.portion), 0.0)
        weight = mass * part * pct / 100
        per_kg, said = _price(line.name, line.price.value, line.price.problem, prices, tables)
        amount = None if per_kg is None else per_kg * weight / 1000
        lines.append(CostLine(line.name.strip(), "ingredient", pct, weight, per_kg, amount, said))
    whole = math.fsum(x.grams for x in lines if x.grams)
    if whole <= 0:
        raise InvalidInput("cost", "the formula has no amounts", "Enter amounts first.")
    if fill > whole:
        raise InvalidInput(
            "jar", f"{fill:g} g is more than the batch of {whole:.6g} g", "Enter a larger batch."
        )
    lines += [_other(x, whole, prices, tables) for x in others]
    lines += [_listed(p, whole) for p in (prices.prices if prices else ()) if p.per and p.name.strip()]
    return Cost(tuple(lines), whole, fill, lost, money)


def _price(
    name: str, typed: float | None, problem: str, prices: PriceList | None, library: Library
) -> tuple[float | None, str]:
    """Price per kg and where it comes from."""
    if typed is not None:
        return typed, "typed in the formula"
    if problem:
        return None, problem
    found = prices.of(name, library) if prices is not None else None
    if found is None or found.per_kg is None:
        return None, ""
    return found.per_kg, ", ".join(
        filter(None, (found.supplier, found.on.text, f"pack {found.pack or '1 kg'}"))
    )


def _other(held: OtherCost, mass: float, prices: PriceList | None, library: Library) -> CostLine:
    price: float | None = held.price if isinstance(held.price, float) else None
    said = "typed" if price is not None else ""
    if price is None and prices is not None and (found := prices.of(held.name, library)) is not None:
        price = found.per_piece if found.per_piece is not None else found.price.value
        said = ", ".join(filter(None, (found.supplier, found.on.text)))
    assert isinstance(held.count, float)
    times = held.count * (mass / 1000 if held.per == "kg" else 1.0)
    return CostLine(
        held.name, f"per {held.per}", None, None, None, None if price is None else price * times, said
    )


def _listed(held: Price, mass: float) -> CostLine:
    """A cost beside the ingredients that stands in the price list."""
    each = None if held.count.problem else held.per_piece
    times = (1.0 if held.count.value is None else held.count.value) * (
        mass / 1000 if held.per == "kg" else 1.0
    )
    listed = ", ".join(filter(None, (held.supplier, held.on.text))) or (
        "" if each is None else "the price list"
    )
    said = " ".join(held.problems) or listed
    return CostLine(
        held.name.strip(), f"per {held.per}", None, None, None, None if each is None else each * times, said
    )
