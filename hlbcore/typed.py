"""A field that a person typed: its text, and the value that it was read as, once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Generic, TypeVar

from hlbcore.errors import HlbError

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Typed(Generic[T]):
    """A text as typed, with its value or with what is wrong with it.

    Parameters
    ----------
    text : str
        As typed; nothing typed is lost.
    value : object, optional
        What it was read as; None where it is blank or cannot be read.
    problem : str
        What is wrong with it and what to do, as a sentence; blank where nothing is.

    Examples
    --------
    >>> from hlbcore._numbers import read_amount
    >>> Typed.read("12,5 %", lambda text: read_amount(text, "shea butter")).value
    Amount(number=12.5, unit='%')
    """

    text: str = ""
    value: T | None = field(default=None, compare=False)
    problem: str = field(default="", compare=False)

    @classmethod
    def read(cls, text: str, how: Callable[[str], T]) -> Typed[T]:
        """The text with the value that a reader finds in it.

        Parameters
        ----------
        text : str
            As typed; blank has no value and no problem.
        how : callable
            Reads the text; raises HlbError where it cannot.

        Returns
        -------
        Typed
            With value or problem.
        """
        if not text.strip():
            return cls(text)
        try:
            return cls(text, how(text))
        except HlbError as error:
            return cls(text, None, str(error))

    def __bool__(self) -> bool:
        return bool(self.text.strip())

    def __str__(self) -> str:
        return self.text


class Fields:
    """Reads fields one by one; a sentence is kept for each that cannot be used."""

    def __init__(self) -> None:
        self.errors: dict[str, str] = {}

    def read(self, key: str, how: Callable[[], T]) -> T | None:
        """The value, or None with the sentence kept under the key."""
        try:
            return how()
        except HlbError as error:
            self.errors[key] = str(error)
            return None


def in_full(number: float) -> str:
    """A number with all its digits, as people write it.

    Parameters
    ----------
    number : float
        Any finite number. [-]

    Returns
    -------
    str
        Reads as the same number again.

    Examples
    --------
    >>> in_full(12.0), in_full(0.0001), in_full(1e-7)
    ('12', '0.0001', '0.0000001')
    """
    text = f"{Decimal(repr(float(number))):f}"
    return text.removesuffix(".0")
