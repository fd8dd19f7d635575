"""The kinds of things that are kept: how each becomes text, comes back, and stands in a list.

The store knows nothing of what it keeps but these entries. Another kind is one more entry: a class
for its body, a function each way, and what a list shows of it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Generic, TypeVar, cast

from hlbcore.batch.prices import PriceList, price_changes
from hlbcore.batch.record import BatchRecord
from hlbcore.batch.record_file import record_from_json, record_json
from hlbcore.batch.record_made import log_lines
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import fold
from hlbcore.kept.changes import changes_in_words, formula_changes
from hlbcore.ladder import Trial
from hlbcore.ladder.changes import ladder_changes
from hlbcore.ladder.sheet import SCHEMA, LadderSheet
from hlbcore.learning.bench import Bench
from hlbcore.learning.bench import changed as bench_changed
from hlbcore.limits import FILE_MOST, check_length
from hlbcore.shelf.stock import Stock, changed_words

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Listed:
    """How a thing stands in its list.

    Parameters
    ----------
    name : str
        Its name; blank where it has none yet.
    product : str
        What it is for, in a word or two; blank where that says nothing.
    found_by : tuple of str
        Words beside name and product that a search finds it by.
    """

    name: str
    product: str = ""
    found_by: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """All that a search looks through, folded."""
        return " ".join(map(fold, (self.name, self.product, *self.found_by)))


def _changed(before: object, after: object) -> str:
    return "changed"


@dataclass(frozen=True, slots=True)
class Kind(Generic[T]):
    """One kind of thing that is kept.

    Parameters
    ----------
    name : str
        Its word in the file; the plural is its folder in an export. Never altered once released.
    of : type
        Class of its body, frozen.
    dump : callable
        From the body to JSON.
    load : callable
        Back; HlbError for any other text. Must read what every earlier release wrote.
    listed_as : callable
        From the body to what a list shows.
    changed : callable
        From two bodies to what was changed, in words.

    Examples
    --------
    >>> FORMULA.folder, FORMULA.listed_as(Formula("Balm")).name
    ('formulas', 'Balm')
    """

    name: str
    of: type[T]
    dump: Callable[[T], str]
    load: Callable[[str], T]
    listed_as: Callable[[T], Listed]
    changed: Callable[[T, T], str] = _changed

    @property
    def folder(self) -> str:
        """Where it lies in an export."""
        return f"{self.name}s"

    def read(self, text: str) -> T:
        """The body of a text; InvalidInput, whatever goes wrong."""
        try:
            check_length(text, self.name, FILE_MOST)
            return cast(T, _loaded(self, text))
        except HlbError:
            raise
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
            raise InvalidInput(
                self.name, f"it cannot be read: {clipped(error, 120)}", "Choose a file that this tool wrote."
            ) from None

    def written(self, body: T) -> str:
        """The text of a body, once it is sure that it can be read back."""
        text = self.dump(body)
        self.read(text)
        return text


@lru_cache(16)
def _loaded(kind: Kind[Any], text: str) -> object:
    """The body of a text; it is frozen, and a save and the next undo ask for the same one again."""
    return kind.load(text)


def kind_of(body: T, kinds: Iterable[Kind[Any]]) -> Kind[T]:
    """The kind of a body.

    Parameters
    ----------
    body : object
        What is to be kept.
    kinds : iterable of Kind
        Those that are known.

    Returns
    -------
    Kind
        The one whose class it has.

    Raises
    ------
    InvalidInput
        If nothing of its class can be kept.
    """
    for kind in kinds:
        if isinstance(body, kind.of):
            return kind
    raise InvalidInput("kept work", f"a {type(body).__name__} cannot be kept", "Save a formula or a ladder.")


def kind_named(name: str, kinds: Iterable[Kind[Any]]) -> Kind[Any]:
    """The kind of that name; InvalidInput if there is none."""
    for kind in kinds:
        if kind.name == name:
            return kind
    raise InvalidInput(
        "kept work", f"'{clipped(name)}' is no kind of work", "A later version of this tool may know it."
    )


# a formula


def formula_title(formula: Formula) -> str:
    """The name of a formula, or its first oils until it is named.

    Parameters
    ----------
    formula : Formula
        As typed.

    Returns
    -------
    str
        Blank where it has neither.

    Examples
    --------
    >>> from hlbcore import Line
    >>> lines = [Line("shea butter", 8, phase="oil"), Line("jojoba oil", 4, phase="oil")]
    >>> formula_title(Formula(lines=lines))
    'shea butter, jojoba oil'
    """
    if formula.name.strip():
        return formula.name
    names = [x.name.strip() for x in formula.lines if x.phase == "oil" and x.name.strip()]
    return clipped(", ".join((names or [x.name.strip() for x in formula.lines if x.name.strip()])[:2]), 60)


FORMULA = Kind(
    "formula",
    Formula,
    dump=lambda formula: formula.to_json(compact=True),
    load=Formula.from_json,
    listed_as=lambda formula: Listed(
        formula_title(formula), formula.product_type, tuple(x.name for x in formula.lines)
    ),
    changed=lambda before, after: changes_in_words(formula_changes(before, after)),
)
"""A formula as typed."""


# a ladder at the bench


@dataclass(frozen=True, slots=True)
class KeptLadder:
    """A ladder that is recorded, and what was typed for it.

    Parameters
    ----------
    trial : Trial
        The ladder with what was weighed and seen.
    sheet : LadderSheet or None
        What was typed; None where the trial came from elsewhere.
    """

    trial: Trial
    sheet: LadderSheet | None = None


def _ladder_text(body: KeptLadder) -> str:
    typed = body.sheet.to_json() if body.sheet else ""
    return json.dumps({"trial": json.loads(body.trial.to_json()), "sheet": typed}, ensure_ascii=False)


def _ladder(text: str) -> KeptLadder:
    held = json.loads(text)
    trial = Trial.from_json(json.dumps(held["trial"]))
    typed = held["sheet"]
    if not isinstance(typed, str) or set(held) != {"trial", "sheet"}:
        raise ValueError("it is no recorded ladder")
    return KeptLadder(trial, _typed(typed) if typed else None)


def _typed(text: str) -> LadderSheet:
    """What was typed for a ladder; the first release kept it without its schema too."""
    raw = json.loads(text)
    if isinstance(raw, dict) and "schema" not in raw:
        raw = {"schema": SCHEMA, "version": 1, **raw}
    return LadderSheet.from_json(json.dumps(raw))


def _ladder_changed(before: KeptLadder, after: KeptLadder) -> str:
    old, new = (b.sheet or LadderSheet() for b in (before, after))
    return ladder_changes(after.trial.ladder, old, new) or "changed"


LADDER = Kind(
    "trial",
    KeptLadder,
    dump=_ladder_text,
    load=_ladder,
    listed_as=lambda body: Listed(body.trial.name, "", tuple(body.trial.ladder.ingredients)),
    changed=_ladder_changed,
)
"""A recorded ladder; its word in the file is that of the first release that kept one."""

PRICES = Kind(
    "price",
    PriceList,
    dump=PriceList.to_json,
    load=PriceList.from_json,
    listed_as=lambda body: Listed(
        body.name, f"{len(body.prices)} prices", tuple(n for p in body.prices for n in (p.name, p.supplier))
    ),
    changed=price_changes,
)
"""Prices of packs, with date and supplier."""


# a batch


def _record_changed(before: BatchRecord, after: BatchRecord) -> str:
    """The entries that are new, in words."""
    said = []
    for e in log_lines(after)[len(before.entries) :]:
        was = f"{e.before} → " if e.before else ""
        place = f"{e.where}, " if e.where else ""
        correction = "correction: " if e.correction else ""
        said.append(clipped(f"{correction}{place}{e.what} {was}{e.entry}".strip(), 120))
    return "; ".join(said[:3]) + (f" and {len(said) - 3} more" if len(said) > 3 else "") or "head changed"


def record_listed(record: BatchRecord) -> Listed:
    """How a batch stands in its list: product, number, day, and whether it is closed."""
    words = [f"batch {record.number}" if record.number else "no number", record.made_on]
    words.append("closed" if record.closed else "open")
    lots = (e.text for e in record.entries if e.kind == "lot")
    return Listed(
        record.name, ", ".join(w for w in words if w), (*(r.name for r in record.rows), *dict.fromkeys(lots))
    )


RECORD = Kind(
    "record",
    BatchRecord,
    dump=record_json,
    load=record_from_json,
    listed_as=record_listed,
    changed=_record_changed,
)
"""A batch record, with all its entries."""

STOCK = Kind(
    "stock",
    Stock,
    dump=Stock.to_json,
    load=Stock.from_json,
    listed_as=lambda body: Listed("My shelf", f"{len(body.items)} packs", tuple(x.name for x in body.items)),
    changed=changed_words,
)
"""The shelf of the workshop."""

# what is learned from

BENCH = Kind(
    "bench",
    Bench,
    dump=Bench.to_json,
    load=Bench.from_json,
    listed_as=lambda body: Listed("Bench figures", f"{len(body.ladders)} ladders"),
    changed=bench_changed,
)
"""The ladders that figures are learned from, and the figures in use."""

KINDS: tuple[Kind[Any], ...] = (FORMULA, LADDER, PRICES, RECORD, STOCK, BENCH)
"""All kinds that this version keeps."""
