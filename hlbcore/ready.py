"""Ready emulsifiers: what the supplier of a composition says of rate, oil limit, pH and process."""

from __future__ import annotations

import re
from dataclasses import dataclass

from hlbcore.sheets import span

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


_PRINTED_OIL = re.compile(r"((?:about )?[\d.-]+)(?: more)? in the printed formula")


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
        return not self.one_formula and (self.low_pct is not None or self.high_pct is not None)

    @property
    def counts_emulsifier(self) -> bool:
        """Whether its oil figure counts the emulsifier in."""
        return "emulsifier" in self.oil_note and "counted in" in self.oil_note

    @property
    def by_hand(self) -> bool:
        """Whether a craft author's rule stands behind it, and no supplier."""
        return self.note.startswith("craft rule")

    @property
    def rate(self) -> str:
        """The rate in words."""
        low, high = self.low_pct, self.high_pct
        if low is None and high is None:
            return "no rate known"
        if self.one_formula or low == high:
            seen = _PRINTED_OIL.match(self.oil_note)
            oil = f" with {seen[1]} % oil" if seen else ""
            return f"seen once: {high:g} % of the {self.basis}{oil}"
        return f"{span(low, high, ' %')} of the {self.basis}"
