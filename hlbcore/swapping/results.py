"""What `swap` returns: the answer, the options as a table, and what else shifts."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd

from hlbcore.blending.results import BlendHlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import Estimate
from hlbcore.findings import Changes, Finding
from hlbcore.formula.formula import Formula
from hlbcore.library import Library
from hlbcore.shares import share_text
from hlbcore.swapping.exchange import Exchange

NO_CHANGE = "no change"
"""The option that leaves the emulsifiers as they are after the swap."""

FOLLOWS = "dose follows the oil phase"
"""The option whose total keeps its share of the oil phase."""

OPTION_COLUMNS = {
    "option": "name; `Swap.accept` takes it",
    "possible": "whether it keeps to all limits",
    "changes": "each emulsifier that changes, before and after the swap, % of formula",
    "change_pct": "sum of the changes without their signs, % of formula",
    "hlb": "HLB of the blend",
    "low": "HLB",
    "high": "HLB",
    "required_hlb": "HLB",
    "share": "share of the sources' spread inside the window, 0 to 1",
    "total": "all emulsifiers, active part, % of formula",
    "of_oil_pct": "all emulsifiers, % of oil phase",
    "cost_per_kg": "emulsifiers, price unit per kg of formula; blank where a price is missing",
    "disturbs": "charge, form, PEG and dose beside the emulsifiers before the swap",
    "remark": "why it is not possible, or what holds it",
}
"""Columns of `Swap.options` with unit or meaning."""

SHIFT_COLUMNS = {
    "quantity": "what shifts",
    "before": "unit in its column; blank where a part is unknown, or where it is no number",
    "after": "unit in its column; blank where a part is unknown, or where it is no number",
    "before_text": "as people read it; unknown is said",
    "after_text": "as people read it; unknown is said",
    "unit": "unit",
    "before_known_pct": "part of the mass that has a figure, %",
    "after_known_pct": "part of the mass that has a figure, %",
    "source": "keys of sources.csv, or the rule",
    "unknown": "ingredients without a figure, after the swap; before it in brackets",
}
"""Columns of `Swap.shifts` with unit or meaning."""


@dataclass(frozen=True, slots=True)
class Option:
    """One way to go on after the swap.

    Parameters
    ----------
    key : str
        Its name in the table.
    formula : Formula or None
        The whole formula; None where it is not possible.
    blend : BlendHlb or None
        Its emulsifiers; None where no HLB is computed.
    share : float or None
        Share of the sources' spread inside the window. [-]
    inside : bool
        Whether the nominal HLB lies inside the window.
    total_pct : float
        All emulsifiers, active part. [% of formula]
    of_oil_pct : float or None
        The same. [% of oil phase]
    changes : tuple of (str, float, float)
        Emulsifiers that differ from before the swap: name, before, after. [% of formula]
    cost_per_kg : float or None
        Of the emulsifiers; None where a price is missing. [price unit/kg of formula]
    disturbs : tuple of str
        What else changes for the emulsifiers.
    remark : str
        Why it is not possible, or what holds it.
    """

    key: str
    formula: Formula | None
    blend: BlendHlb | None = None
    share: float | None = None
    inside: bool = False
    total_pct: float = 0.0
    of_oil_pct: float | None = None
    changes: tuple[tuple[str, float, float], ...] = ()
    cost_per_kg: float | None = None
    disturbs: tuple[str, ...] = ()
    remark: str = ""

    @property
    def change_pct(self) -> float:
        """Sum of the changes without their signs. [% of formula]"""
        return math.fsum(abs(b - a) for _, a, b in self.changes)

    @property
    def change_text(self) -> str:
        """The changes in words."""
        said = ", ".join(f"{n} from {a:.2f} to {b:.2f} %" for n, a, b in self.changes)
        return said or "none"


def base_amounts(formula: Formula, library: Library) -> dict[str, tuple[str, float]]:
    """Name and amount of each ingredient of the base, by id. [% of formula]"""
    found: dict[str, tuple[str, float]] = {}
    for line, pct in zip(formula.lines, formula.pcts, strict=True):
        if line.portion is None and not line.blank:
            key = library.key(line.name)
            name, before = found.get(key, (line.name, 0.0))
            found[key] = (name, before + pct)
    return found


@dataclass(frozen=True, slots=True)
class Shift:
    """One thing that shifts with the swap.

    Parameters
    ----------
    quantity : str
        What.
    before, after : float or None
        The figure. [unit]
    before_text, after_text : str
        As people read it.
    unit : str
        Its unit.
    source : str
        Keys of the sources, or the rule.
    unknown : str
        Ingredients without a figure.
    known_pct : tuple of float
        Part of the mass that has a figure, before and after. [%]
    """

    quantity: str
    before: float | None
    after: float | None
    before_text: str
    after_text: str
    unit: str
    source: str
    unknown: str = ""
    known_pct: tuple[float, float] = (100.0, 100.0)


@dataclass(frozen=True, slots=True)
class Swap:
    """The result of a swap.

    Parameters
    ----------
    before : Formula
        As it was.
    formula : Formula
        With the swap and the chosen option.
    chosen : str
        Name of that option.
    objective : str
        What was asked for.
    exchanges : tuple of Exchange
        What went out and came in.
    choices : tuple of Option
        Every option, the one without change first.
    old_required, new_required : RequiredHlb or None
        Of the oil phase before and after; None where it cannot be computed.
    old_blend : BlendHlb or None
        The emulsifiers before the swap.
    old_blend_share : float or None
        Share of the sources' spread inside the new window with the emulsifiers as the swap leaves
        them; None where HLB has no say or is not computed. [-]
    window : float
        Half width. [HLB]
    role : str
        Role of HLB in the product type.
    answer : str
        The first answer in words.
    shift_rows : tuple of Shift
        What else shifts.
    findings : tuple of Finding
        On the swap itself, worst first.
    changes : Changes
        Findings of the checks that are gone and new.
    """

    before: Formula
    formula: Formula
    chosen: str
    objective: str
    exchanges: tuple[Exchange, ...]
    choices: tuple[Option, ...]
    old_required: RequiredHlb | None
    new_required: RequiredHlb | None
    old_blend: BlendHlb | None
    old_blend_share: float | None
    window: float
    role: str
    answer: str
    shift_rows: tuple[Shift, ...]
    findings: tuple[Finding, ...]
    changes: Changes

    @property
    def old_target(self) -> Estimate | None:
        """Required HLB before. [HLB]"""
        return None if self.old_required is None else self.old_required.estimate

    @property
    def new_target(self) -> Estimate | None:
        """Required HLB after. [HLB]"""
        return None if self.new_required is None else self.new_required.estimate

    @property
    def option(self) -> Option:
        """The chosen option."""
        return next(o for o in self.choices if o.key == self.chosen)

    @property
    def new_blend(self) -> BlendHlb | None:
        """The emulsifiers of the chosen option. [HLB]"""
        return self.option.blend

    @property
    def old_blend_fits(self) -> bool:
        """Whether the emulsifiers as the swap leaves them lie in the new window."""
        return self.choices[0].inside

    @property
    def reason(self) -> str:
        """What was done, as a note for a new version of the formula."""
        return self.reason_for(self.chosen)

    def reason_for(self, option: str) -> str:
        """The note for a new version of the formula, where that option is taken.

        Parameters
        ----------
        option : str
            As in the column ``option`` of `options`.

        Returns
        -------
        str
            What was swapped, and which way was taken.
        """
        said = []
        for e in self.exchanges:
            much = "" if e.pct is None else f"{e.pct:g} % of "
            new = " and ".join(n for n, a in e.into if a > 0)
            said.append(f"{much}{e.out} {f'swapped for {new}' if new else 'taken out'}")
        return f"{'; '.join(said)}; emulsifiers: {option}"

    @property
    def options(self) -> pd.DataFrame:
        """One row an option; columns as in `OPTION_COLUMNS`."""
        wanted = self.new_target

        def number(value: float | None) -> float:
            return math.nan if value is None else value

        return pd.DataFrame(
            [
                (
                    o.key,
                    o.formula is not None,
                    o.change_text,
                    o.change_pct,
                    *(
                        number(v)
                        for v in ((o.blend.value, o.blend.low, o.blend.high) if o.blend else (None,) * 3)
                    ),
                    number(wanted.value if wanted else None),
                    number(o.share),
                    o.total_pct,
                    number(o.of_oil_pct),
                    number(o.cost_per_kg),
                    "; ".join(o.disturbs),
                    o.remark,
                )
                for o in self.choices
            ],
            columns=list(OPTION_COLUMNS),
        )

    @property
    def shifts(self) -> pd.DataFrame:
        """What else shifts, one row a quantity; columns as in `SHIFT_COLUMNS`."""
        return pd.DataFrame(
            [
                (
                    s.quantity,
                    math.nan if s.before is None else s.before,
                    math.nan if s.after is None else s.after,
                    s.before_text,
                    s.after_text,
                    s.unit,
                    *s.known_pct,
                    s.source,
                    s.unknown,
                )
                for s in self.shift_rows
            ],
            columns=list(SHIFT_COLUMNS),
        )

    def accept(self, option: str) -> Formula:
        """The formula of one option.

        Parameters
        ----------
        option : str
            As in the column ``option`` of `options`.

        Returns
        -------
        Formula
            Whole, its total as before.

        Raises
        ------
        InvalidInput
            If there is no such option or it is not possible.
        """
        for o in self.choices:
            if o.key == option:
                if o.formula is None:
                    raise InvalidInput(
                        f"option '{option}'", o.remark or "it is not possible", "Choose another one."
                    )
                return o.formula
        raise InvalidInput(
            f"option '{clipped(option)}'",
            "there is none of that name",
            f"Choose one of: {', '.join(o.key for o in self.choices)}.",
        )

    def __repr__(self) -> str:
        return f"{self.reason}. {self.answer}"


def window_sentence(share: float, blend: Estimate, target: Estimate, window: float) -> str:
    """Blend against window in words."""
    return f"HLB {blend.value:.1f} against {target.value:.1f} ± {window:g} required; {share_text(share)}"
