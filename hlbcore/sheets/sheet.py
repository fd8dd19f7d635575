"""A sheet: what a person typed on one page, as typed; and what follows from it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields, replace
from typing import Any

from hlbcore._numbers import checked_word
from hlbcore.blending.results import Blend
from hlbcore.blending.solving import OBJECTIVES
from hlbcore.blending.verdict import Verdict
from hlbcore.blending.weighing import WeighedBlend
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import InvalidInput, UnreachableTarget, clipped
from hlbcore.formula.lines import PHASES
from hlbcore.library import data_folder
from hlbcore.limits import FILE_MOST, SHEET_MOST, TEXT_MOST, check_count, check_length
from hlbcore.product_types import product_type

PERCENT, GRAMS = "% of the formula", "grams"
UNITS = (PERCENT, GRAMS)
"""What a plain number in the oil phase means."""

CHECK_ONLY = "check my amounts"
GOALS = (*OBJECTIVES[:3], CHECK_ONLY, *OBJECTIVES[3:])
"""What can be asked of the sheet."""


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of the oil phase, as typed.

    Parameters
    ----------
    name, amount : str
        As typed.
    side : str
        ``"oil"`` or ``"emulsifier"`` for a two-sided ingredient; blank for the default.
    own : str
        A required HLB of the user's own: a number, a range, or the name of a kind; ``reading 9``
        chooses that one of the tables' disputed readings and keeps their range. [HLB]
    phase, note : str
        The phase that it goes into, and free text.
    """

    name: str
    amount: str = ""
    side: str = ""
    own: str = ""
    phase: str = "oil"
    note: str = ""


@dataclass(frozen=True, slots=True)
class SheetEmulsifier:
    """One emulsifier, as typed.

    Parameters
    ----------
    name : str
        As typed.
    now : str
        The amount in use. [% of formula]
    low, high : str
        Limits. [% of formula]
    price : str
        Price. [price unit/kg]
    hlb : str
        An HLB of the user's own: a number or a range. [HLB]
    rate, oil_limit : str
        Supplier's rate and oil limit of an all-in-one wax. [% of formula]
    phase, note : str
        The phase that it goes into, and free text.
    """

    name: str
    now: str = ""
    low: str = ""
    high: str = ""
    price: str = ""
    hlb: str = ""
    rate: str = ""
    oil_limit: str = ""
    phase: str = "oil"
    note: str = ""


@dataclass(frozen=True, slots=True)
class SheetOther:
    """One line beside oils and emulsifiers, as typed: water, preservative, gum, colour.

    Parameters
    ----------
    name, amount : str
        As typed; a plain number is % of the formula.
    phase : str
        The phase that it goes into.
    active : str
        Active part; blank means 100. [% of the line]
    portion : str
        The portion that it is added to, on top of 100 parts of base.
    note : str
        Free text.
    """

    name: str
    amount: str = ""
    phase: str = "water"
    active: str = ""
    portion: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """All that is typed on one page.

    Parameters
    ----------
    title : str
        Free text.
    product : str
        Product type.
    unit : str
        One of `UNITS`.
    lines : tuple of SheetLine
        The oil phase.
    emulsifiers : tuple of SheetEmulsifier
        Blank: the tool chooses.
    objective : str
        One of `GOALS`.
    total, window, batch, scale, smallest : str
        As typed. [% of formula, HLB, g, g, % of formula]
    count_fragrance, ionics : bool
        The two choices.
    others : tuple of SheetOther
        The rest of the formula.
    portions : str
        Portions with their share of the base, as typed: ``rose 50, plain 50``. [% of the base]
    facts : tuple of (str, str)
        What checks may need, by the names of `Facts`, as typed.
    blends : str
        Bought blends with their parts, one a line: ``house wax: cetearyl alcohol 80, ...``.
        [% of the blend]
    phases : tuple of str
        Names of the phases, in the order of work.
    note : str
        Free text on the formula.
    """

    title: str = ""
    product: str = "o/w cream"
    unit: str = PERCENT
    lines: tuple[SheetLine, ...] = ()
    emulsifiers: tuple[SheetEmulsifier, ...] = ()
    objective: str = "closest"
    total: str = "3 to 6"
    window: str = "1"
    batch: str = "500 g"
    scale: str = "0.1 g"
    smallest: str = ""
    count_fragrance: bool = True
    ionics: bool = False
    others: tuple[SheetOther, ...] = ()
    portions: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    blends: str = ""
    phases: tuple[str, ...] = PHASES
    note: str = ""

    def check_size(self) -> None:
        """Refuse a sheet that is too large to be written and read again.

        Raises
        ------
        InvalidInput
            Naming the list or the text that is too long.
        """
        total = 0
        for name, value in _values(self).items():
            item = f"sheet, {_PLACES.get(name, name)}"
            if isinstance(value, tuple):
                check_count(value, item)
                for n, entry in enumerate(value):
                    texts = _values(entry).values() if name in _LISTS else entry
                    # a phase is one text, a fact is two
                    for text in [texts] if isinstance(texts, str) else texts:
                        check_length(text, f"{item}, line {n + 1}")
                        total += len(text)
            elif isinstance(value, str):
                if name in ("note", "portions", "blends"):
                    check_length(value, item, TEXT_MOST)
                else:
                    check_length(value, item)
                total += len(value)
        if total > SHEET_MOST:
            raise InvalidInput(
                "sheet",
                f"its texts have {total:,} characters in all, more than {SHEET_MOST:,}",
                "Shorten the notes.",
            )

    def to_json(self, *, compact: bool = False) -> str:
        """The sheet as text.

        Parameters
        ----------
        compact : bool
            Without spaces, and without fields that have their default.

        Returns
        -------
        str
            JSON with the names of the fields.

        Raises
        ------
        InvalidInput
            If the sheet is too large to be read again.

        Examples
        --------
        >>> Sheet(total="5", lines=(SheetLine("olive oil"),)).to_json(compact=True)
        '{"lines":[{"name":"olive oil"}],"total":"5"}'
        """
        self.check_size()
        if not compact:
            return json.dumps(asdict(self), ensure_ascii=False, indent=1)
        bare = _bare(self)
        for name in _LISTS & bare.keys():
            bare[name] = [_bare(line) for line in bare[name]]
        return json.dumps(bare, ensure_ascii=False, separators=(",", ":"))

    @classmethod
    def from_json(cls, text: str) -> Sheet:
        """The sheet from its text.

        Parameters
        ----------
        text : str
            As written by `to_json`.

        Returns
        -------
        Sheet
            Fields that are missing take their default.

        Raises
        ------
        InvalidInput
            If it is no sheet, or too large.

        Examples
        --------
        >>> Sheet.from_json(Sheet(total="5").to_json()).total
        '5'
        """
        check_length(text, "sheet", FILE_MOST)
        try:
            raw = json.loads(text)
            json.dumps(raw, ensure_ascii=False).encode()  # half a sign could never be written again
            if not isinstance(raw, dict):
                raise ValueError("it is no sheet")
            lines = tuple(SheetLine(**_texts(SheetLine, r)) for r in raw.pop("lines", ()))
            held = tuple(SheetEmulsifier(**_texts(SheetEmulsifier, r)) for r in raw.pop("emulsifiers", ()))
            others = tuple(SheetOther(**_texts(SheetOther, r)) for r in raw.pop("others", ()))
            facts = tuple((str(n), str(v)) for n, v in raw.pop("facts", ()))
            phases = tuple(str(p) for p in raw.pop("phases", PHASES))
            flags = [raw.pop(n, d) for n, d in (("count_fragrance", True), ("ionics", False))]
            if not all(isinstance(flag, bool) for flag in flags):
                raise ValueError("count_fragrance and ionics are true or false")
            draft = cls(
                lines=lines,
                emulsifiers=held,
                count_fragrance=flags[0],
                ionics=flags[1],
                others=others,
                facts=facts,
                phases=phases,
            )
            draft = replace(draft, **_texts(cls, raw))  # type: ignore[arg-type]
            made = replace(
                draft,
                product=product_type(draft.product).name,
                unit=checked_word(draft.unit, UNITS, "unit"),
                objective=checked_word(draft.objective, GOALS, "objective"),
            )
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
            raise InvalidInput(
                "sheet", f"it cannot be read: {clipped(error, 120)}", "Choose a file that this tool wrote."
            ) from None
        made.check_size()
        return made


_LISTS = {"lines", "emulsifiers", "others"}
_PLACES = {"lines": "oil phase", "others": "other lines", "blends": "bought blends"}


def _values(kind: Any) -> dict[str, Any]:
    return {f.name: getattr(kind, f.name) for f in fields(kind)}


def _bare(kind: Any) -> dict[str, Any]:
    """The fields that differ from their default."""
    return {f.name: v for f in fields(kind) if (v := getattr(kind, f.name)) != f.default}


def _texts(kind: type, raw: Mapping[str, object]) -> dict[str, str]:
    known = {f.name for f in fields(kind)}
    if odd := sorted(set(raw) - known):
        raise ValueError(f"'{odd[0]}' is not a field of it")
    if odd := [n for n, v in raw.items() if isinstance(v, bool) or not isinstance(v, str | int | float)]:
        raise ValueError(f"'{odd[0]}' is not text")
    return {name: str(value) for name, value in raw.items()}


def example_sheet(name: str = "hand_cream") -> Sheet:
    """A bundled example.

    Parameters
    ----------
    name : str
        Name of a file in ``data/examples``.

    Returns
    -------
    Sheet
        Ready to be worked out.

    Examples
    --------
    >>> example_sheet().product
    'o/w cream'
    """
    return Sheet.from_json((data_folder() / "examples" / f"{name}.json").read_text("utf-8"))


@dataclass(frozen=True, slots=True)
class Outcome:
    """What follows from a sheet.

    Parameters
    ----------
    sheet : Sheet
        The sheet.
    errors : mapping of str to str
        A sentence for each field that cannot be used, for example ``"line 0 amount"``.
    unknown : mapping of int to tuple of str
        Lines whose name nobody knows, with close matches.
    required : RequiredHlb or None
        What the oil phase requires; amounts are in per cent of the formula.
    blend : Blend or None
        The amounts worked out.
    amounts : mapping of str to float
        The emulsifiers that the verdict is about. [% of formula]
    verdict : Verdict or None
        The verdict on them.
    weighed : WeighedBlend or None
        The blend in grams.
    unreachable : UnreachableTarget or None
        Why no blend meets what was asked.
    reason : str
        Why the tool chose these emulsifiers.
    pending : tuple of str
        Lines of the oil phase with an amount that do not count yet, since something is missing.
    total : tuple of float
        Total asked for. [% of formula]
    limits : mapping of str to tuple of float
        Limits asked for. [% of formula]
    batch_g : float or None
        Mass of the batch. [g]
    """

    sheet: Sheet
    errors: Mapping[str, str] = field(default_factory=dict)
    unknown: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    required: RequiredHlb | None = None
    blend: Blend | None = None
    amounts: Mapping[str, float] = field(default_factory=dict)
    verdict: Verdict | None = None
    weighed: WeighedBlend | None = None
    unreachable: UnreachableTarget | None = None
    reason: str = ""
    pending: tuple[str, ...] = ()
    total: tuple[float, float] = (0.0, 100.0)
    limits: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    batch_g: float | None = None
