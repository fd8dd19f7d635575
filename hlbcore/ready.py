"""Ready emulsifiers: what the supplier of a composition says of rate, oil limit, pH and process."""

from __future__ import annotations

import re
from dataclasses import dataclass

ROLES = (
    "ready o/w blend",
    "all-in-one wax",
    "lamellar",
    "single nonionic",
    "anionic",
    "cationic",
    "polymeric",
    "solubiliser",
    "w/o",
)
"""What a ready emulsifier is sold for."""


@dataclass(frozen=True, slots=True)
class ReadyEmulsifier:
    """One composition as it is sold, and what its supplier's page or one printed formula says.

    Parameters
    ----------
    name : str
        Bench name.
    parts : tuple of str
        INCI names of the parts, as listed.
    shares : str
        Shares of the parts as printed; blank where none is.
    role : str
        One of `ROLES`.
    emulsion : str
        ``o/w``, ``w/o``, ``both`` or ``o/w on rinsing``.
    charge : str
        nonionic, anionic, cationic, amphoteric, zwitterionic or blank.
    low_pct, high_pct : float, optional
        The supplier's rate; equal where `one_formula`. [% of `basis`]
    basis : str
        ``formula``, ``oil phase`` or ``water phase``.
    oil_low_pct, oil_high_pct : float, optional
        Oil phase that the sheet allows; None where only a printed formula shows one. [% of formula]
    oil_note : str
        The oil figure in the words of the source.
    ph_low, ph_high : float, optional
        pH window; a formula's own pH where the note says so.
    process, electrolyte, partner : str
        As the sheet says; blank where it is silent.
    hlb : float, optional
        The maker's figure, by a convention of its own: orientation, never in a sum. [HLB]
    hlb_note : str
        That convention.
    melting : str
        Melting range. [°C]
    one_formula : bool
        Whether the rate was read off one printed formula: seen once, no window.
    source, where : str
        Key in ``data/sources.csv`` and the place in it.
    seen : str
        How it was seen.
    note : str
        Remark.
    """

    name: str
    parts: tuple[str, ...]
    shares: str
    role: str
    emulsion: str
    charge: str
    low_pct: float | None
    high_pct: float | None
    basis: str
    oil_low_pct: float | None
    oil_high_pct: float | None
    oil_note: str
    ph_low: float | None
    ph_high: float | None
    process: str
    electrolyte: str
    partner: str
    hlb: float | None
    hlb_note: str
    melting: str
    one_formula: bool
    source: str
    where: str
    seen: str
    note: str = ""

    @property
    def has_rate(self) -> bool:
        """Whether a range is stated, which a dose can be held against."""
        return not self.one_formula and self.high_pct is not None

    @property
    def rate(self) -> str:
        """The rate in words."""
        low, high = self.low_pct, self.high_pct
        if high is None:
            return "no rate known"
        if self.one_formula or low == high:
            note = re.sub(r"^([\d.-]+) in the printed", r"\1 % oil in the printed", self.oil_note)
            oil = f" with {note}" if note else ""
            return f"seen once: {high:g} % of the {self.basis}{oil}"
        span = f"up to {high:g}" if low is None else f"{low:g} to {high:g}"
        return f"{span} % of the {self.basis}"
