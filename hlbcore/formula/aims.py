"""What is asked of a formula beside its lines: what to look for, how much, on which scale."""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore._numbers import checked_dose, checked_word, read_range
from hlbcore.errors import InvalidInput
from hlbcore.estimate import HLB_MAX
from hlbcore.formula.fields import mass_reader, number_reader, typed
from hlbcore.sheets import read_basis
from hlbcore.typed import Typed

OBJECTIVES = ("closest", "most tolerant", "cheapest", "least total", "fewest", "least change")
"""What the solver can be asked for."""

AS_TYPED = "as typed"
GOALS = ("", AS_TYPED, *OBJECTIVES)
"""What can be looked for; blank: as typed where every emulsifier has an amount, else closest."""

FORMULA, OIL = "formula", "oil phase"

UNITS = ("%", "g")
"""What a plain number in a line means: % of the formula, or grams of the batch."""

Given = float | str | Typed[float] | None


def read_dose(text: str) -> tuple[float, float]:
    """All emulsifiers together: a number or a range. [% of the basis that `dose_basis` reads]"""
    item = "total of the emulsifiers"
    figures, _ = read_basis(text, item)
    whole = dose_basis(text)
    low, high = read_range(figures, item, f"% of the {whole}")
    checked_dose(low, item, whole)
    checked_dose(high, item, whole)
    return low, high


def dose_basis(text: str) -> str:
    """What a dose is a part of: `formula`, or `oil phase` where it says so.

    Examples
    --------
    >>> dose_basis("20 % of the oil phase"), dose_basis("4 to 6")
    ('oil phase', 'formula')
    """
    item = "total of the emulsifiers"
    basis = read_basis(text, item)[1] or FORMULA
    if basis not in (FORMULA, OIL):
        raise InvalidInput(
            item, f"a part of the {basis} is no dose", "Write % of the formula or of the oil phase."
        )
    return basis


@dataclass(frozen=True, slots=True, init=False)
class Aims:
    """What is asked of a formula, as typed.

    Parameters
    ----------
    goal : str
        One of `GOALS`.
    dose : Typed, str, float or (float, float)
        All emulsifiers together; blank means the usual. [% of formula, or a text that ends in
        "of the oil phase"]
    window : Typed, str or float
        Half width of the window; blank: that of the product type. [HLB]
    batch : Typed, str or float
        Mass of the batch. [g, or text with its unit]
    scales : Typed, str or float
        Readability of the scale. [g, or text with its unit]
    smallest : Typed, str or float
        If used, an emulsifier takes at least this much. [% of formula]
    fragrance_counts : bool
        Whether fragrance and essential oils count in the oil phase.
    ionics : bool
        Whether the tool may choose ionic emulsifiers.
    unit : str
        One of `UNITS`.

    Examples
    --------
    >>> Aims(dose="4 to 6", batch="1 kg").batch.value
    1000.0
    """

    goal: str
    dose: Typed[tuple[float, float]]
    window: Typed[float]
    batch: Typed[float]
    scales: Typed[float]
    smallest: Typed[float]
    fragrance_counts: bool
    ionics: bool
    unit: str

    def __init__(
        self,
        goal: str = "",
        dose: float | str | tuple[float, float] | Typed[tuple[float, float]] | None = None,
        window: Given = None,
        batch: Given = "500 g",
        scales: Given = "0.1 g",
        smallest: Given = None,
        *,
        fragrance_counts: bool = True,
        ionics: bool = False,
        unit: str = "%",
    ) -> None:
        put = object.__setattr__
        put(self, "goal", goal and checked_word(goal, GOALS[1:], "what to look for"))
        put(self, "dose", typed(dose, read_dose))
        put(self, "window", typed(window, number_reader("window", high=HLB_MAX, unit="HLB")))
        put(self, "batch", typed(batch, mass_reader("batch")))
        put(self, "scales", typed(scales, mass_reader("scale")))
        put(self, "smallest", typed(smallest, number_reader("smallest amount")))
        for name, flag in (("fragrance_counts", fragrance_counts), ("ionics", ionics)):
            if not isinstance(flag, bool):
                raise InvalidInput(name.replace("_", " "), "it is neither yes nor no", "Choose one.")
            put(self, name, flag)
        put(self, "unit", checked_word(unit, UNITS, "unit of plain numbers"))

    def typed_fields(self) -> tuple[tuple[str, Typed[object]], ...]:
        """Names and contents of the fields that hold a number."""
        names = ("dose", "window", "batch", "scales", "smallest")
        return tuple((name, getattr(self, name)) for name in names)
