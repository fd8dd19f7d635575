"""What a student typed, read as a number: fractions, ratios, spans, words around it."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from hlbcore._numbers import GRAMS_PER, read_amount
from hlbcore.errors import InvalidInput, clipped

TYPED_MOST = 200  # characters of an answer that are read

SPAN_MOST = 0.2
"""A span that reaches further from its middle names more than one answer. [fraction of it] Our convention."""

_BEFORE = re.compile(
    r"^(?:about|around|roughly|approx(?:imately|\.)?|circa|ca\.?|nearly|between|either|~|≈|=|:|it|is|answer|"
    r"i think|the required hlb|required hlb|the hlb|r?hlb|vial|x|r|h)[\s=:]+|^(?:[~≈=±:]|\+-|r?hlb(?=\d))\s*"
)
_NUMBER = r"[-+]?\d+(?:[.,]\d+)?(?:e[-+]?\d+)?"
_RATIO = re.compile(rf"^({_NUMBER})\s*%?\s*(?::|/|to|and|\+|-)\s*({_NUMBER})\s*%?$")
_SPAN = re.compile(rf"^({_NUMBER})\s*(?:-|to|and|or)\s*({_NUMBER})$")
_FRACTION = re.compile(r"(?<![\d.,/])(?:(\d{1,9})\s+)?(\d{1,9})\s?[/\u2044]\s?(\d{1,9})(?![.,]?\d|/)")
_ONE_SIGN = re.compile("(?<=\\d)(?=[¼½¾⅐-⅞])")
_BEHIND = (
    *("of the formula", "of formula", "of the whole", "of the total", "of the blend", "of the emulsifiers"),
    *("of the oil phase", "(o/w)", "(w/o)", "=", "!"),
)
_DOUBT = re.compile(rf"^(.*?\d.*?)\s*(?:±|\+/-|\+-)\s*{_NUMBER}(?:[/\u2044]\d+)?\s*(?:hlb)?$")


@dataclass(frozen=True, slots=True)
class Read:
    """Numbers that the words may mean, the plain reading first; what is said of a right one.

    Parameters
    ----------
    values : tuple of float
        In the unit asked for.
    note : str
        Said beside praise where a reading was chosen.
    """

    values: tuple[float, ...]
    note: str = ""


def read_answer(text: str, unit: str, names: Sequence[str] = ()) -> Read | str:
    """The numbers that an answer may mean, or a sentence on its unit.

    Parameters
    ----------
    text : str
        As typed: ``75/25``, ``1:3``, ``about 15``, ``12-13``, ``12 or 13``, ``x = 7.8``, ``13 ± 1``, ``7,8``,
        ``1/8``, ``1 1/2``, ``¾``.
    unit : str
        What is asked for.
    names : sequence of str
        Names in the question, which may stand behind the number.

    Returns
    -------
    Read or str
        A sentence where another unit was typed.

    Raises
    ------
    InvalidInput
        If it cannot be read.

    Examples
    --------
    >>> read_answer("75/25", "% of the blend").values
    (75.0, 25.0)
    >>> read_answer("about 7,8 ± 0.5", "HLB").values
    (7.8,)
    >>> read_answer("12½", "HLB").values
    (12.5,)
    """
    if len(text) > TYPED_MOST:
        raise InvalidInput("your answer", f"it is longer than {TYPED_MOST} characters", "Type one number.")
    folded = _bare(text, unit, names)
    if (found := _DOUBT.match(folded)) is not None:
        folded = found[1]
    if unit == "% of the blend" and (ratio := _RATIO.match(folded)) is not None:
        first, second = (_plain(part) for part in ratio.groups())
        if "-" not in folded[1:] or math.isclose(first + second, 100):  # 75-25 is a ratio, 20-30 a span
            return _ratio(first, second, fraction="/" in folded)
    folded = _FRACTION.sub(_quotient, folded)
    if (span := _SPAN.match(folded)) is not None:
        low, high = (_plain(part) for part in span.groups())
        if low < high:
            if high - low > SPAN_MOST * abs(low + high) * (1 + 1e-9):
                raise InvalidInput(
                    "your answer",
                    f"{low:g} to {high:g} holds too much",
                    "Type one number, or a closer range.",
                )
            return Read(((low + high) / 2,), f"The middle of {low:g} to {high:g} was taken.")
    return _one(folded or text, unit)


def _bare(text: str, unit: str, names: Sequence[str]) -> str:
    """The words without what stands before and behind the number."""
    apart = _ONE_SIGN.sub(" ", text)  # folded, 1½ would be eleven halves
    folded = " ".join(
        unicodedata.normalize("NFKC", apart).replace("−", "-").replace("–", "-").casefold().split()
    )
    for name in sorted(names, key=len, reverse=True):
        folded = folded.removesuffix(f" {name.casefold()}").removesuffix(" of").strip()
    before = ""
    while before != folded:
        before = folded
        folded = _BEFORE.sub("", folded, count=1).strip()
        for word in _BEHIND:
            folded = folded.removesuffix(word).strip()
        for name in names:
            folded = folded.removeprefix(f"{name.casefold()} ").removeprefix(f"{name.casefold()}:").strip()
        if folded[:1] == "(" and folded[-1:] == ")":
            folded = folded[1:-1].strip()
        if unit == "HLB":
            folded = folded.removesuffix(".").removesuffix("units").strip().removesuffix("hlb").strip()
    return folded


def _plain(part: str) -> float:
    return read_amount(part, "your answer").number


def _quotient(found: re.Match[str]) -> str:
    whole, above, below = (int(part or 0) for part in found.groups())
    if not below:
        raise InvalidInput("your answer", f"'{found[0]}' divides by nothing", "Type a plain number.")
    return repr(whole + above / below)


def _ratio(a: float, b: float, *, fraction: bool) -> Read:
    """Both ways round: words do not say which emulsifier stands first. A stroke may mean a fraction."""
    if a < 0 or b < 0 or not 0 < a + b < math.inf:
        raise InvalidInput("your answer", "it is no ratio of two amounts", "Type per cent, or 75:25.")
    first, second = 100 * a / (a + b), 100 * b / (a + b)
    note = f"Read as {first:.3g} % and {second:.3g} %: say beside it which is which."
    if fraction and a < b:
        return Read((first, second, 100 * a / b), note if math.isclose(a + b, 100) else "")
    return Read((first, second), note)


def _one(folded: str, unit: str) -> Read | str:
    amount = read_amount(folded, "your answer")
    if not math.isfinite(amount.number):
        raise InvalidInput("your answer", "it is no finite number", "Type a plain number.")
    asked = unit[:1] if unit[:1] == "%" else unit
    if not amount.unit or amount.unit == asked:
        return Read((amount.number,))
    if asked == "g" and amount.unit in GRAMS_PER:
        return Read((amount.number * GRAMS_PER[amount.unit],))
    return f"The answer is asked in {unit}, and you typed {clipped(amount.unit)}."
