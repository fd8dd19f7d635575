"""The lists of a draft: one a product, or one for portions that are sold together or as shades."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from hlbcore.batch.declared_allergens import ToName, allergens_to_name
from hlbcore.batch.declared_names import by_base, is_label_name, label_name
from hlbcore.batch.declared_order import COLOUR, Entry, entries_of, group_of, in_order, unsettled
from hlbcore.batch.declared_parts import Share, taken_apart
from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import fold
from hlbcore.library import Library

SHADES_US = (
    "'May contain' is for colours alone: those added to match the shade of a batch, or one label for "
    "shaded eye, make-up and nail products of one brand; 21 CFR 701.3(g). See that this is such a case."
)
SHADES_EU = (
    "'+/-' is for decorative cosmetics sold in several shades only; Art. 19(1)(g). See that this is "
    "such a case."
)
TOGETHER = "One list is for an assortment of similar products in one package; 21 CFR 701.3(h), (o)(1)."


@dataclass(frozen=True, slots=True)
class IngredientList:
    """One list in its order.

    Parameters
    ----------
    name : str
        The portion; blank where there is one product.
    entries : tuple of Entry
        In order.
    may_contain : tuple of str
        Colours that may be in it.
    apart : tuple of (str, tuple of Entry)
        In an assortment: what only some of the products hold, by product.
    """

    name: str
    entries: tuple[Entry, ...]
    may_contain: tuple[str, ...] = ()
    apart: tuple[tuple[str, tuple[Entry, ...]], ...] = ()

    def text(self, market: str) -> str:
        """The names with commas between, as the market writes them."""
        colours = ", ".join(e.name for e in self.entries if e.group == COLOUR)
        names = ", ".join(e.name for e in self.entries if e.group != COLOUR)
        if self.apart:
            more = [f"{product}: {', '.join(e.name for e in held)}" for product, held in self.apart if held]
            return "; ".join(filter(None, (names, *more, colours)))
        text = ", ".join(filter(None, (names, colours)))
        if not self.may_contain:
            return text
        listed = ", ".join(self.may_contain)
        return f"{text}, [+/- {listed}]" if market == "eu" else f"{text}. May contain: {listed}"


@dataclass
class Drafting:
    """One draft while it is made: what is open and what is worth knowing of it is gathered here."""

    formula: Formula
    market: str
    library: Library
    leave_out: tuple[str, ...] = ()
    open_points: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    left_out: set[str] = field(default_factory=set)

    def lists(self, portions: str) -> tuple[IngredientList, ...]:
        """The lists, as the portions shall stand."""
        names = [p.name for p in self.formula.portion_list]
        if not names or portions == "apart":
            made = zip(names or [""], self.formula.finished(), strict=True)
            found = tuple(IngredientList(name, self.entries(product)) for name, product in made)
        elif portions == "together":
            found = (self._together(names),)
        else:
            found = (self._shades(names),)
        if missing := [n for n in self.leave_out if fold(n) not in self.left_out]:
            raise InvalidInput(
                f"left out '{clipped(missing[0])}'",
                "no such ingredient came within a bought material alone",
                "Only that may be left out, in the US, where it is insignificant and does nothing.",
            )
        return found

    def entries(self, product: Formula) -> tuple[Entry, ...]:
        """The list of one finished product."""
        taken = taken_apart(product, self.library)
        allergens = ToName()
        if self.market == "eu":
            allergens = allergens_to_name(product, taken.shares, self.library)
        found, questions = entries_of(
            taken.shares, self.market, self.library, allergens=allergens.named, leave_out=self._leaves_out
        )
        self.open_points += [*taken.questions, *questions, *allergens.open_points, *_strange(taken.shares)]
        self.notes += allergens.notes
        if doubtful := unsettled(found):
            said = ", ".join(f"{e.base} ({e.span})" for e in doubtful)
            self.open_points.append(f"The shares entered do not settle the place of: {said}.")
        if self.market == "us" and any(e.carried for e in found):
            said = ", ".join(f"{e.base} ({e.span})" for e in found if e.carried)
            self.notes.append(
                f"{said}: came within a bought material. It may be left out if its level is insignificant "
                "and it does nothing here, and the maker can say so; 21 CFR 701.3(l)(1)."
            )
        return found

    def _leaves_out(self, entry: Entry) -> bool:
        asked = {fold(n) for n in self.leave_out}
        names = {fold(entry.base), fold(entry.name)} & asked
        if not names or not entry.came_within or self.market != "us":
            return False
        self.left_out |= names
        return True

    def _products(self, names: Sequence[str]) -> list[tuple[str, float, tuple[Entry, ...]]]:
        """Each portion with its share of all and its list. [fraction]"""
        made = list(zip(names, self.formula.portion_list, self.formula.finished(), strict=True))
        tops = [
            1 + math.fsum(p for x, p in self._lines() if x is not None and fold(x) == fold(name)) / 100
            for name in names
        ]
        masses = [portion.share_pct * top for (_, portion, _), top in zip(made, tops, strict=True)]
        whole = math.fsum(masses) or 1.0
        return [
            (name, mass / whole, self.entries(product))
            for (name, _, product), mass in zip(made, masses, strict=True)
        ]

    def _lines(self) -> list[tuple[str | None, float]]:
        return [(x.portion, p) for x, p in zip(self.formula.lines, self.formula.pcts, strict=True)]

    def _together(self, names: Sequence[str]) -> IngredientList:
        """An assortment: common names once in cumulative order, the others by product, colours last."""
        if self.market != "us":
            raise InvalidInput(
                "portions",
                "one list for several products is written by US law, 21 CFR 701.3(o)(1)",
                "Write a list for each: portions='apart'.",
            )
        self.notes.append(TOGETHER)
        products = self._products(names)
        bases = [{e.base for e in held} for _, _, held in products]
        common = set.intersection(*bases)
        sums: dict[str, Entry] = {}
        for _, share, held in products:
            for e in held:
                if e.base not in common and e.group != COLOUR:
                    continue
                now = replace(e, pct=share * e.pct, low=share * e.low, high=share * e.high)
                old = sums.get(e.base)
                sums[e.base] = now if old is None else _added(old, now)
        regrouped = (
            e if e.group == COLOUR else replace(e, group=group_of(e.pct, "us")) for e in sums.values()
        )
        apart = tuple(
            (name, tuple(e for e in held if e.base not in common and e.group != COLOUR))
            for name, _, held in products
        )
        return IngredientList("", in_order(regrouped), apart=apart)

    def _shades(self, names: Sequence[str]) -> IngredientList:
        """Shades of one product: the colours of all as what may be in it."""
        products = self._products(names)
        bare = [[(e.base, round(e.pct, 2)) for e in held if e.group != COLOUR] for _, _, held in products]
        kept = {base for base, _ in bare[0]}
        for name, held in zip(names, bare, strict=True):
            if {base for base, _ in held} != kept:
                raise InvalidInput(
                    f"portion '{clipped(name)}'",
                    "it differs from the others by more than its colours",
                    "Shades differ by colours alone; write a list for each: portions='apart'.",
                )
        colours = by_base(e.label for _, _, held in products for e in held if e.group == COLOUR)
        first = tuple(e for e in products[0][2] if e.group != COLOUR)
        self.open_points.append(SHADES_US if self.market == "us" else SHADES_EU)
        return IngredientList("", first, may_contain=tuple(map(str, colours)))

    def shaded(self, held: IngredientList, names: Sequence[str]) -> IngredientList:
        """A list with colours that may be in it."""
        colours = by_base(label_name(n, self.market, colour=True, library=self.library) for n in names)
        listed = {e.base for e in held.entries}
        more = (*held.may_contain, *(str(c) for c in colours if c.base not in listed))
        self.open_points.append(SHADES_US if self.market == "us" else SHADES_EU)
        return replace(held, may_contain=tuple(dict.fromkeys(more)))


def _added(a: Entry, b: Entry) -> Entry:
    lines = tuple(dict.fromkeys((*a.lines, *b.lines)))
    return replace(a, pct=a.pct + b.pct, low=a.low + b.low, high=a.high + b.high, lines=lines)


def _strange(shares: Sequence[Share]) -> list[str]:
    """Names that the tables cannot tell to be INCI names, in one sentence."""
    names = dict.fromkeys(s.name for s in shares if not s.scent and not s.colour and _is_strange(s))
    if not names:
        return []
    said = ", ".join(f"'{clipped(n)}'" for n in names)
    return [
        f"Printed as typed, since the tables hold no INCI name of it: {said}. A trade name may not stand."
    ]


def _is_strange(share: Share) -> bool:
    held = share.ingredient
    return not is_label_name(share.name) and (held is None or held.by_kind or not held.inci)
