"""What one finished ladder says: its oil phase, its emulsifier pair, the optimum and its interval."""

from __future__ import annotations

import hashlib
import json
import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from hlbcore._numbers import checked, checked_text, checked_word, same_unit
from hlbcore.errors import EmptyPhase, InvalidInput, clipped
from hlbcore.estimate import HLB_MAX
from hlbcore.ingredients import EMULSIONS, NAME_MAX, fold
from hlbcore.own_items import TEXT_MAX

Z_95 = 1.959963984540054
"""Standard deviations from the middle to each end of a normal 95 % interval. [-]"""

READING_FLOOR = 0.05
"""Least standard deviation of a measured optimum, which is printed to one decimal. [HLB]
Our convention."""

BARE_HALF_WIDTH = 1.0
"""Half width of the 95 % interval of an optimum that is given without one. [HLB] Our convention: a
ladder of nine rungs that was published left three of them alike, about 1 each way (hassan_2018)."""

LEARNED = "learned here"
"""First words of the provenance of a figure that was learned; such a figure is no ladder."""

Phase = Mapping[str, float | str] | Iterable[tuple[str, float | str]]


@dataclass(frozen=True, slots=True, init=False)
class BenchResult:
    """What one bench ladder says about the oil phase that it was made on.

    Parameters
    ----------
    phase : mapping of str to float, or pairs
        The oil phase: names and masses; kept as pairs. [any one unit]
    pair : tuple of str
        The emulsifiers that were stepped, in any order; empty where that was not told.
    optimum : float, optional
        HLB of the best vials; None where the ladder shows none. [HLB]
    low, high : float, optional
        Ends of the 95 % interval of the fit; None where that end is open. All three left out: a
        flat ladder, which says nothing. An optimum alone: 1.0 each way. [HLB]
    name : str
        Name of the ladder; one name, one ladder.
    made_on, who, method, note, source : str
        Day, maker, how it was read, free text, key of a published source.
    dose_pct : float, optional
        Emulsifier in every vial. [% of the vial]
    temperature_c : float, optional
        Temperature at which the phases met. [°C]
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    others : pairs of str and float
        What else was in every vial; leaves with a shared file only where that is ticked. [% of the vial]
    uid : str
        Identity of the kept ladder that it stands for; blank: its own figures are its identity.

    Raises
    ------
    InvalidInput
        For a number or word that cannot be used; it names the ladder.
    EmptyPhase
        If the phase adds to 0.

    Examples
    --------
    >>> one = BenchResult({"sunflower oil": 10, "shea butter": 5},
    ...                   ("sorbitan stearate", "polysorbate 60"), optimum=7.6, low=7.0, high=8.3)
    >>> one.label, round(one.sd, 2)
    ('sunflower oil 67 %, shea butter 33 %', 0.33)
    """

    phase: tuple[tuple[str, float], ...]
    pair: tuple[str, ...]
    optimum: float | None
    low: float | None
    high: float | None
    name: str
    made_on: str
    who: str
    method: str
    note: str
    source: str
    dose_pct: float | None
    temperature_c: float | None
    emulsion: str
    others: tuple[tuple[str, float], ...]
    uid: str

    def __init__(
        self,
        phase: Phase,
        pair: Iterable[str] | str | None = (),
        optimum: float | str | None = None,
        low: float | str | None = None,
        high: float | str | None = None,
        *,
        name: str = "",
        made_on: str = "",
        who: str = "",
        method: str = "",
        note: str = "",
        source: str = "",
        dose_pct: float | str | None = None,
        temperature_c: float | str | None = None,
        emulsion: str = "o/w",
        others: Iterable[tuple[str, float | str]] = (),
        uid: str = "",
    ) -> None:
        def put(what: str, value: object) -> None:
            object.__setattr__(self, what, value)

        texts = {"made_on": made_on, "who": who, "method": method, "note": note, "source": source, "uid": uid}
        put("name", _text(name, "ladder, name", NAME_MAX))
        item = f"ladder '{clipped(self.name)}'" if self.name else "ladder"
        for what, text in texts.items():
            put(what, _text(text, f"{item}, {what.replace('_', ' ')}", TEXT_MAX))
        put("emulsion", checked_word(emulsion, EMULSIONS, f"{item}, emulsion"))
        put("phase", _phase(phase, item))
        put("pair", _pair(pair, item))
        put("others", tuple(_named(others, f"{item}, other ingredients")))
        if not self.name:
            item = f"ladder of {self.label}"
        put("dose_pct", _number(dose_pct, f"{item}, dose", 0, 100, "%"))
        put("temperature_c", _number(temperature_c, f"{item}, temperature", -30, 250, "°C"))
        ends = (
            _number(v, f"{item}, {w}", 0, HLB_MAX) for v, w in zip((low, high), ("low", "high"), strict=True)
        )
        put("optimum", _number(optimum, f"{item}, optimum", 0, HLB_MAX))
        for what, end in zip(("low", "high"), ends, strict=True):
            put(what, end)
        rising = [v for v in (self.low, self.optimum, self.high) if v is not None]
        if rising != sorted(rising):
            raise InvalidInput(
                item,
                "low end, optimum and high end are not in rising order",
                "Enter them in rising order, as the fit prints them.",
            )
        if self.method.casefold().startswith(LEARNED):
            raise InvalidInput(
                item,
                "it is a figure that was learned from ladders, and would count them twice",
                "Enter only what was read at the bench.",
            )

    @property
    def kind(self) -> str:
        """``closed`` (an interval), ``above`` or ``below`` (an open end), ``flat`` (says nothing)."""
        if self.low is not None and self.high is not None:
            return "closed"
        if self.low is None and self.high is None:
            return "flat" if self.optimum is None else "closed"
        return "above" if self.high is None else "below"

    @property
    def edge(self) -> float:
        """The closed end of a ladder whose other end is open. [HLB]"""
        end = self.low if self.kind == "above" else self.high
        assert end is not None
        return end

    @property
    def value(self) -> float:
        """The optimum, or the middle of a band that passed. [HLB]"""
        if self.optimum is not None:
            return self.optimum
        assert self.low is not None
        assert self.high is not None
        return (self.low + self.high) / 2

    @property
    def sd(self) -> float:
        """Standard deviation of the optimum, from its 95 % interval. [HLB]"""
        if self.low is None or self.high is None:
            return BARE_HALF_WIDTH / Z_95
        return max((self.high - self.low) / (2 * Z_95), READING_FLOOR)

    @property
    def label(self) -> str:
        """Its name, else its oil phase in words."""
        return self.name or phase_words(self.phase)

    @property
    def pair_words(self) -> str:
        """The pair in words; blank where it was not told."""
        return " with ".join(self.pair)

    @property
    def digest(self) -> str:
        """Equal for two of the same oil phase, pair and figures, made on the same day by the same hand."""
        whole = math.fsum(m for _, m in self.phase)
        shares = sorted((fold(n), round(m / whole, 9)) for n, m in self.phase if m > 0)
        held = (shares, sorted(map(fold, self.pair)), self.optimum, self.low, self.high, self.emulsion)
        told = (*held, fold(self.name), fold(self.made_on), fold(self.who), self.source)
        return hashlib.sha256(json.dumps(told).encode()).hexdigest()[:16]

    @property
    def identity(self) -> str:
        """What tells it from other ladders."""
        return self.uid or self.digest


def phase_words(phase: Iterable[tuple[str, float]]) -> str:
    """An oil phase in words: the shares of its three greatest parts.

    Parameters
    ----------
    phase : iterable of (str, float)
        Names and masses. [any one unit]

    Returns
    -------
    str
        A single oil by its name alone.

    Examples
    --------
    >>> phase_words([("shea butter", 1), ("jojoba oil", 3)])
    'jojoba oil 75 %, shea butter 25 %'
    """
    held = sorted(((n, m) for n, m in phase if m > 0), key=lambda p: (-p[1], p[0]))
    if len(held) == 1:
        return clipped(held[0][0])
    whole = math.fsum(m for _, m in held)
    told = [f"{clipped(n, 40)} {100 * m / whole:.0f} %" for n, m in held[:3]]
    rest = len(held) - 3
    return ", ".join([*told, f"{rest} more"] if rest > 0 else told)


def _text(value: str, item: str, longest: int) -> str:
    text = checked_text(value, item).strip()
    if len(text) > longest:
        raise InvalidInput(item, f"it has {len(text)} characters", f"Use at most {longest} characters.")
    if any("\ud800" <= c <= "\udfff" for c in text):
        raise InvalidInput(item, "it holds half a sign that no file can keep", "Type it again.")
    return text


def _number(value: float | str | None, item: str, low: float, high: float, unit: str = "HLB") -> float | None:
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    return checked(value, item, low=low, high=high, unit=unit)


def _named(pairs: Iterable[tuple[str, float | str]], item: str) -> list[tuple[str, float]]:
    """Names with amounts in one unit."""
    rows = [pairs] if isinstance(pairs, str) else list(pairs)
    for row in rows:
        if not isinstance(row, (tuple, list)) or len(row) != 2 or not isinstance(row[0], str):
            raise InvalidInput(item, "names and masses are wanted", "Give {name: mass}.")
    named = [(_text(n, item, NAME_MAX), m) for n, m in rows]
    if any(not fold(n) for n, _ in named):
        raise InvalidInput(item, "a name is blank", "Name the ingredient, or delete the line.")
    masses, _ = same_unit([(f"{item}, '{clipped(n)}'", m) for n, m in named])
    return [(n, m) for (n, _), m in zip(named, masses, strict=True)]


def _phase(phase: Phase, item: str) -> tuple[tuple[str, float], ...]:
    named = _named(phase.items() if isinstance(phase, Mapping) else phase, f"{item}, oil phase")
    masses = [m for _, m in named]
    if not any(m > 0 for m in masses):
        raise EmptyPhase(
            f"The oil phase of {item}" if item != "ladder" else "The oil phase of the ladder",
            "Enter the oils and their amounts, or take the ladder out.",
        )
    largest = max(masses)
    held: dict[str, tuple[str, float]] = {}
    for name, mass in named:
        before = held.get(fold(name), (name, 0.0))
        # in parts of the largest, so that 1e308 twice does not overflow
        held[fold(name)] = (before[0], before[1] + (mass / largest if largest > 1e9 else mass))
    return tuple(held.values())


def _pair(pair: Iterable[str] | str | None, item: str) -> tuple[str, ...]:
    parts = re.split(r"\s+with\s+|\s*\+\s*", pair) if isinstance(pair, str) else list(pair or ())
    held = [_text(p, f"{item}, pair", NAME_MAX) for p in parts]
    if any(not fold(p) for p in held):
        if all(not p for p in held):
            return ()
        raise InvalidInput(f"{item}, pair", "a name is blank", "Name both emulsifiers, or neither.")
    return tuple({fold(p): p for p in held}.values())
